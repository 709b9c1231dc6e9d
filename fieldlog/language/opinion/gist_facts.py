"""What the trained network hears at the words of a fact.

Where it hears next to nothing of the rule's code and plainly another of the same kind, the fact
tells that one, marked, with the rule's code one key away. Where it hears both, the other becomes a
candidate beside the fact, which is always looked at.
"""

from __future__ import annotations

from collections.abc import Sequence, Set
from dataclasses import replace
from functools import cache

from fieldlog.core.facts import (
    Fact,
    FactKind,
    FootBasis,
    Passage,
    Reading,
    SpokenCorrection,
    new_id,
)
from fieldlog.core.feet import Foot
from fieldlog.core.redflags import red_flags
from fieldlog.language.lexicon import Item, find_item, items
from fieldlog.language.opinion.gist_marks import CANDIDATE, COMPARED, FOOT_HEARD, NEVER, TABLES
from fieldlog.language.opinion.heard import Opinion, Span
from fieldlog.language.opinion.labels import label

NOT_HEARD = 0.1
"""Chance below which the network contradicts a rule."""
HEARD_INSTEAD = 0.7
"""Chance from which another code is told for one that is not heard: of 270 such facts of unseen
writers the rule was right in 9, the other in 150."""
SOME_JOB = 0.5
"""Chance that one of several kindred jobs is said, from which the rules' name of it is told."""
QUIETLY = 0.1
"""Chance from which a name counts among them."""
KIN_INSTEAD = 0.75
"""Chance from which a kindred name is told for a job's that would be set aside."""
HEARD_TOO = 0.8
"""Chance from which another code is proposed beside one that is heard."""

SAID_ALONE = {**TABLES, FactKind.ADVICE: "advice"}
"""Kinds of what may be heard without a rule, and their vocabularies."""
TOO = {FactKind.FINDING: (FactKind.WORK,), FactKind.WORK: (FactKind.WORK, FactKind.FINDING)}
"""What may be heard beside a kind of fact: work at what was found, and what was worked at."""
GONE = frozenset({"pull", "take_off", "shoe_lost"})
"""What is named beside these was taken away, not put on."""
NEAR_CORRECTION = 40
"""Characters around a spoken correction within which only the rules know what still holds."""


Heard = tuple[FactKind, Item, bool]
"""Kind, item, denied."""


def contradicted(fact: Fact, opinion: Opinion) -> bool:
    """Whether the network knows the fact's code and hears nothing of it.

    What the farrier taught is beyond its doubt.
    """
    if fact.taught or not opinion.knows(fact.code, fact.negated):
        return False
    return opinion.chance(fact.code, fact.negated, fact.span) < NOT_HEARD


def plainly_said(fact: Fact) -> bool:
    """Whether it was told in words that mean nothing else: "gave her no shoe", "left the shoe
    off". Where the network has seldom met them, its silence is no doubt."""
    if fact.kind not in (FactKind.FINDING, FactKind.WORK):
        return False
    return fact.rule.endswith(":plain") or fact.rule in _plain_rules()


@cache
def _plain_rules() -> frozenset[str]:
    """The rules of rows that say that their words are plain."""
    rows = (*items("work"), *items("findings"))
    return frozenset(f"lexicon:{item.id}" for item in rows if item.plain)


def reheard(
    facts: Sequence[Fact], opinion: Opinion, corrections: Sequence[SpokenCorrection] = ()
) -> list[Fact]:
    """The facts of an entry, with what the network hears at their words.

    As they were, if a call for a veterinarian would be lost: some hang on two facts together.
    """
    told = {label(f.code, f.negated) for f in facts}
    out: list[Fact] = []
    for fact in facts:
        corrected = near_correction(fact.span, corrections)
        # Only what a pattern alone made: not what the farrier taught, nor what is carried over; and
        # not "the same", which is of something said elsewhere.
        if (
            fact.kind not in TABLES
            or not fact.rule.startswith("lexicon")
            or fact.code in COMPARED
            or corrected
            or plainly_said(fact)
        ):
            out.append(fact)
            continue
        if contradicted(fact, opinion):
            other = _turned(fact, opinion) or _heard_at(
                fact, opinion, (fact.kind,), told, HEARD_INSTEAD
            )
            out.append(_retold(fact, other) if other is not None else fact)
            continue
        out.append(fact)
        too = () if fact.code in GONE else TOO.get(fact.kind, ())
        other = _heard_at(fact, opinion, too, told, HEARD_TOO)
        if other is not None:
            told.add(label(other[1].id, other[2]))
            out.append(beside(fact, other))
    return out if flags_kept(facts, out) else list(facts)


def flags_kept(before: Sequence[Fact], after: Sequence[Fact]) -> bool:
    """Whether every red flag that some facts raise is raised by others too."""
    raised = {flag.code for flag in red_flags(before)}
    return not raised or raised <= {flag.code for flag in red_flags(after)}


def with_offers(
    passages: Sequence[Passage], aside: Sequence[Fact], text: str
) -> tuple[Passage, ...]:
    """The passages with the words of what was set aside, which they offer."""
    more = [Passage(f.span, text[slice(*f.span)], (f,)) for f in aside]
    return tuple(sorted([*passages, *more], key=lambda p: p.span))


def shares(one: Span, other: Span) -> bool:
    return one[0] < other[1] and other[0] < one[1]


def near_correction(span: Span, corrections: Sequence[SpokenCorrection]) -> bool:
    """Whether something was taken back there: only the rules know what still holds."""
    around = (span[0] - NEAR_CORRECTION, span[1] + NEAR_CORRECTION)
    return any(shares(correction.span, around) for correction in corrections)


@cache
def named(kind: FactKind) -> dict[str, tuple[Item, bool]]:
    """The items of a kind, and whether denied, by the network's names."""
    found: dict[str, tuple[Item, bool]] = {}
    for item in items(SAID_ALONE[kind]):
        for negated in (False, True):
            found.setdefault(label(item.id, negated), (item, negated))
    return found


def _turned(fact: Fact, opinion: Opinion) -> Heard | None:
    """The fact's own code, denied where the fact has it or there where the fact denies it."""
    name = label(fact.code, not fact.negated)
    item, negated = named(fact.kind).get(name, (None, False))
    if item is None or item.id != fact.code:
        return None
    likely = opinion.chance(fact.code, not fact.negated, fact.span) >= HEARD_INSTEAD
    return (fact.kind, item, negated) if likely else None


def _heard_at(
    fact: Fact, opinion: Opinion, kinds: Sequence[FactKind], told: Set[str], least: float
) -> Heard | None:
    """The likeliest code at a fact's own words that neither it nor its denial is told yet."""
    if not kinds:
        return None
    for name in opinion.heard(fact.span, least):
        if opinion.rather_elsewhere(name, fact.span):
            continue
        for kind in kinds:
            item, negated = named(kind).get(name, (None, False))
            if (
                item is not None
                and item.id not in NEVER
                and item.id not in fact.details  # "bar shoe with side clips"
                and not kin(item.id, fact.code, kind is fact.kind)
                and told.isdisjoint((label(item.id, True), label(item.id, False)))
            ):
                return kind, item, negated
    return None


def as_kin(
    aside: Sequence[Fact], told: Sequence[Fact], opinion: Opinion
) -> tuple[list[Fact], list[Fact]]:
    """(facts retold, those left) of what would be set aside.

    A job whose name is not heard while a kindred one is: toe set back, toe shortened. It is told by
    that name, marked, with its size and the rule's name one key away, unless something else tells
    that one at its words. Where the network wavers between such names, the rules' name stands.
    """
    out: list[Fact] = []
    left: list[Fact] = []
    for fact in aside:
        near = {f.code for f in told if shares(f.span, fact.span)}
        other = _kindred(fact, opinion, near)
        if other is not None:
            out.append(_retold(fact, other))
        elif _some_kin(fact, opinion, near):
            out.append(fact)
        else:
            left.append(fact)
    return out, left


def _some_kin(fact: Fact, opinion: Opinion, told: Set[str]) -> bool:
    """Whether a job of which a size was said is heard under more than one name, none plainly: the
    rules' name of it stands, so that the size is not lost."""
    if fact.kind is not FactKind.WORK or fact.quantity is None:
        return False
    names = [named(fact.kind).get(name) for name in opinion.heard(fact.span, QUIETLY)]
    other = [item.id for item, no in filter(None, names) if no == fact.negated
             and item.id != fact.code and kin(item.id, fact.code, True)]  # fmt: skip
    if not other or not told.isdisjoint(other):
        return False
    none = opinion.chance_of_none((fact.code, *other), fact.negated, fact.span)
    return 1.0 - none >= SOME_JOB


def _kindred(fact: Fact, opinion: Opinion, told: Set[str]) -> Heard | None:
    """The likeliest kindred name of a job at its own words that is not told there."""
    if fact.kind is not FactKind.WORK or not fact.rule.startswith("lexicon"):
        return None
    for name in opinion.heard(fact.span, KIN_INSTEAD):
        item, negated = named(fact.kind).get(name, (None, False))
        if (
            item is not None
            and item.id not in {fact.code, *NEVER, *told}
            and negated == fact.negated
            and kin(item.id, fact.code, True)
        ):
            return fact.kind, item, negated
    return None


def kin(one: str, other: str, alike: bool) -> bool:
    """Whether two codes of a kind are the same thing told more closely: crack, quarter_crack."""
    return alike and not {*one.split("_")}.isdisjoint(other.split("_"))


def _retold(fact: Fact, heard: Heard) -> Fact:
    """The fact with the code that is heard, and the rule's one key away.

    A word for a disease is only offered, or keeps its place; so does what calls for a veterinarian.
    """
    _, item, negated = heard
    old = find_item(fact.code, item.table)
    said = ("no " if negated else "") + item.label
    changes = {"code": item.id, "negated": negated or None}
    doubted = replace(fact, readings=(Reading(said, changes), *fact.readings)).with_doubt(
        "second_opinion", f"A second opinion on the words hears “{said}” here."
    )
    if old is None or old.disease or item.disease:
        return doubted
    was = ("no " if fact.negated else "") + old.label
    back = Reading(was, {"code": fact.code, "negated": fact.negated or None})
    new = replace(fact, code=item.id, negated=negated, readings=(back, *fact.readings))
    if item.per == "horse":
        new = replace(new, feet=(), foot_basis=FootBasis.WHOLE_HORSE, places=())
    return outweighed(new, was) if flags_kept([fact], [new]) else doubted


def outweighed(fact: Fact, was: str) -> Fact:
    """The fact as it was weighed against the rules, marked; ``was`` is how they have it."""
    return fact.with_doubt(
        "second_opinion", f"The rules say: {was}. A second opinion outweighs them."
    )


def on_heard_feet(fact: Fact, feet: tuple[Foot, ...]) -> Fact:
    """The fact on the feet that the network hears, not its host's."""
    return replace(fact, feet=feet, foot_basis=FootBasis.HEARD, why_foot=FOOT_HEARD)


def beside(fact: Fact, heard: Heard) -> Fact:
    """A candidate with the fact's foot and place; how bad the fact is, is said of that alone."""
    kind, item, negated = heard
    new = replace(
        fact, id=new_id(), kind=kind, code=item.id, negated=negated, quantity=None, details={},
        severity=None, due=None, rule=f"gist:{item.id}", doubts=(), readings=(),
    )  # fmt: skip
    if item.per == "horse":
        new = replace(new, feet=(), foot_basis=FootBasis.WHOLE_HORSE, places=())
    return new.with_doubt("model_candidate", CANDIDATE)
