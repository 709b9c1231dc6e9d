"""What the trained network hears at the words of a fact.

Where it hears nothing of the rule's code and another of the same kind, that one is named in the
doubt and offered first in the picker. Where it hears both, the other becomes a candidate beside the
fact, which is always looked at. No rule is overridden.
"""

from __future__ import annotations

from collections.abc import Sequence, Set
from dataclasses import replace
from functools import cache

from fieldlog.core.facts import Fact, FactKind, FootBasis, Reading, SpokenCorrection, new_id
from fieldlog.language.gist import Opinion, label
from fieldlog.language.gist_marks import CANDIDATE, NEVER, TABLES
from fieldlog.language.lexicon import Item, items

NOT_HEARD = 0.1
"""Chance below which the network contradicts a rule."""
HEARD_INSTEAD = 0.5
"""Chance from which another code is offered for one that is not heard."""
HEARD_TOO = 0.8
"""Chance from which another code is proposed beside one that is heard."""

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
    if fact.rule.startswith("personal") or not opinion.knows(fact.code, fact.negated):
        return False
    return opinion.chance(fact.code, fact.negated, fact.span) < NOT_HEARD


def reheard(
    facts: Sequence[Fact], opinion: Opinion, corrections: Sequence[SpokenCorrection] = ()
) -> list[Fact]:
    """The facts of an entry, with what the network hears at their words."""
    told = {label(f.code, f.negated) for f in facts}
    out: list[Fact] = []
    for fact in facts:
        corrected = any(
            c.span[0] < fact.span[1] + NEAR_CORRECTION
            and fact.span[0] - NEAR_CORRECTION < c.span[1]
            for c in corrections
        )
        # Only what a pattern alone made: not what the farrier taught, nor what is carried over.
        if fact.kind not in TABLES or not fact.rule.startswith("lexicon") or corrected:
            out.append(fact)
            continue
        if contradicted(fact, opinion):
            other = _heard_at(fact, opinion, (fact.kind,), told, HEARD_INSTEAD)
            out.append(_doubted(fact, other) if other is not None else fact)
            continue
        out.append(fact)
        too = () if fact.code in GONE else TOO.get(fact.kind, ())
        other = _heard_at(fact, opinion, too, told, HEARD_TOO)
        if other is not None:
            told.add(label(other[1].id, other[2]))
            out.append(_beside(fact, other))
    return out


@cache
def _named(kind: FactKind) -> dict[str, tuple[Item, bool]]:
    """The items of a kind, and whether denied, by the network's names."""
    found: dict[str, tuple[Item, bool]] = {}
    for item in items(TABLES[kind]):
        for negated in (False, True):
            found.setdefault(label(item.id, negated), (item, negated))
    return found


def _heard_at(
    fact: Fact, opinion: Opinion, kinds: Sequence[FactKind], told: Set[str], least: float
) -> Heard | None:
    """The likeliest code at a fact's own words that neither it nor its denial is told yet."""
    if not kinds:
        return None
    for name in opinion.heard(fact.span, least):
        for kind in kinds:
            item, negated = _named(kind).get(name, (None, False))
            if (
                item is not None
                and item.id not in NEVER
                and item.id not in fact.details  # "bar shoe with side clips"
                and not _kin(item.id, fact.code, kind is fact.kind)
                and told.isdisjoint((label(item.id, True), label(item.id, False)))
            ):
                return kind, item, negated
    return None


def _kin(one: str, other: str, alike: bool) -> bool:
    """Whether two codes of a kind are the same thing told more closely: crack, quarter_crack."""
    return alike and not {*one.split("_")}.isdisjoint(other.split("_"))


def _doubted(fact: Fact, heard: Heard) -> Fact:
    """The fact with the code that is heard one key away."""
    _, item, negated = heard
    told = ("no " if negated else "") + item.label
    reading = Reading(told, {"code": item.id, "negated": negated or None})
    fact = replace(fact, readings=(reading, *fact.readings))
    return fact.with_doubt("second_opinion", f"A second opinion on the words hears “{told}” here.")


def _beside(fact: Fact, heard: Heard) -> Fact:
    """A candidate with the fact's foot and place."""
    kind, item, negated = heard
    new = replace(
        fact, id=new_id(), kind=kind, code=item.id, negated=negated, quantity=None, details={},
        due=None, rule=f"gist:{item.id}", doubts=(), readings=(),
    )  # fmt: skip
    if item.per == "horse":
        new = replace(new, feet=(), foot_basis=FootBasis.WHOLE_HORSE, places=())
    return new.with_doubt("model_candidate", CANDIDATE)
