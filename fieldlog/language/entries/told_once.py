"""One thing that rules and network tell side by side, each by a name of its own, is told once.

"Crack in the right hind toe": the rules find a crack, the network a toe crack. "Two out of five on
the left front": the grade is the lameness. The closer name stands, with what either knows of it.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from fieldlog.core.facts import Due, Fact, FactKind, Reporter, SpokenCorrection, new_id
from fieldlog.core.units import Quantity
from fieldlog.language.feet.tracker import NO_FAULT
from fieldlog.language.opinion.gist_facts import flags_kept
from fieldlog.language.opinion.heard import Span

_NEAR = 60
"""Characters between the two names of a crack at most."""
_GRADE_NEAR = 50
"""Characters between a grade and the lameness that it grades."""


def told_once(
    facts: Sequence[Fact], text: str, corrections: Sequence[SpokenCorrection] = ()
) -> list[Fact]:
    """The facts without those that another one tells more closely.

    Args:
        facts: what is told.
        text: the note.
        corrections: what was put right; what is only heard in those very words is none.
    """
    out = [f for f in facts if not _of_a_correction(f, corrections)]
    out = [f for f in out if not (_has_its_grade(f, out, text) or _same_visit(f, out, text))]
    out = [one for f in out for one in _foot_by_foot(f)]
    out = [f for f in out if not _compared_beside(f, out, text)]
    for plain in [f for f in out if f.code == "crack" and not f.negated and not f.taught]:
        closer = next((f for f in out if _names(f, plain, text)), None)
        if closer is not None:
            one = _both(plain, closer)
            out = [one if f is closer else f for f in out if f is not plain]
    return _without_repeats(out)


_ONCE_A_FOOT = frozenset({FactKind.FINDING, FactKind.WORK, FactKind.MEASUREMENT, FactKind.SCORE})
_PROMISED_ONCE = frozenset({"next_trim", "cycle", "recheck", "radiographs", "sedation_by_vet",
                            "second_handler", "staged_correction"})  # fmt: skip
_FLAGS = ("kind", "code", "negated", "historical", "planned", "uncertain", "reporter")
_SAID_MORE = ("quantity", "comparison", "severity", "due")


def _without_repeats(facts: Sequence[Fact]) -> list[Fact]:
    """The facts; what is mentioned once more and then in fewer words is told by the fuller fact:
    "wants wedges. Put two degree wedges on both"."""
    out = list(facts)
    for fact in reversed(facts):
        alike = [other for other in out if other.code == fact.code and other is not fact]
        if any(_repeats(fact, other) for other in alike):
            out = [f for f in out if f is not fact]
    return out


def _repeats(fact: Fact, other: Fact) -> bool:
    """Whether a fact tells nothing that another one of the same feet does not tell."""
    promised = fact.kind is FactKind.FOLLOW_UP and fact.code in _PROMISED_ONCE
    if fact.taught or not (promised or fact.kind in _ONCE_A_FOOT):
        return False
    if any(getattr(fact, name) != getattr(other, name) for name in _FLAGS):
        return False
    within = set(fact.feet) <= {*other.feet} and bool(fact.feet or not other.feet or promised)
    if not within or not {*fact.places} <= {*other.places}:
        return False
    if any(not _no_more(getattr(fact, n), getattr(other, n)) for n in _SAID_MORE):
        return False
    fuller = any(getattr(other, n) and not getattr(fact, n) for n in _SAID_MORE)
    return fuller or other.places != fact.places or other.only_heard <= fact.only_heard


def _no_more(said: object, by_other: object) -> bool:
    """Whether what a fact says of one thing is nothing, or what the other one says of it."""
    if isinstance(said, Quantity) and isinstance(by_other, Quantity):
        alike = ("value", "high", "unit")
        return all(getattr(said, n) == getattr(by_other, n) for n in alike)
    if isinstance(said, Due) and isinstance(by_other, Due):
        return all(getattr(said, n) == getattr(by_other, n) for n in ("period", "on", "anchor"))
    return not said or said == by_other


_MEANT = re.compile(
    r"\b(?:went|meant|going|planned|intended|came|tried|hoped|wanted|supposed|gonna|planning)"
    r"(?: to| on)?(?: be)?(?: have)? ?(?:\w+ )?$",
    re.IGNORECASE,
)
_BUT = re.compile(r"^[^.;?!]{0,90}?\b(?:but|couldn't|didn't|wouldn't|ran out)\b", re.IGNORECASE)
_LEAD = 40
"""Characters before a job in which it is told that it was only meant to be done."""


def asked_if_done(facts: Sequence[Fact], text: str) -> list[Fact]:
    """The facts; a job of "went to shoe him all round but ..." has a doubt: was it done?"""
    return [_only_meant(fact, text) for fact in facts]


def _only_meant(fact: Fact, text: str) -> Fact:
    if fact.kind is not FactKind.WORK or fact.negated or fact.planned or fact.taught:
        return fact
    begin = fact.span[0]
    if not _BUT.match(text[begin:]):
        return fact
    words = text[begin : fact.span[1]].split()
    leads = [len(word) + 1 for word in words[:3]]
    heads = [begin, *(begin + sum(leads[: n + 1]) for n in range(len(leads)))]
    meant = any(_MEANT.search(text[max(0, at - _LEAD) : at]) for at in heads)
    if not meant:
        return fact
    return fact.with_doubt("competing_readings", "Said as meant, with a “but” behind: was it done?")


_SIDES = re.compile(
    r"\b(?:left|right|near|off|lefts?|rights?|nearside|offside|[lr][fh]|n[fh]|o[fh]|f[lr]|b[lr]"
    r"|diagonals?)\b",
    re.IGNORECASE,
)


_FEET = re.compile(
    r"\b(?:fronts?|hinds?|fores?|behind|backs?|all|both|every|any|anywhere|none|four|fours|round"
    r"|around|feet|foot|pair|pairs|each)\b",
    re.IGNORECASE,
)


def on_no_one_side(facts: Sequence[Fact], before: Sequence[Fact], text: str) -> list[Fact]:
    """The facts; in a note that names no side none is of one foot of a pair only because the
    network hears it so, and in one that names no feet at all it is of none.

    Args:
        facts: what is told.
        before: the same before the feet were weighed.
        text: the note.
    """
    if _SIDES.search(text):
        return list(facts)
    bare = {f.id: f for f in before if not f.feet}
    named = _FEET.search(text) is not None
    return [_with_rules_feet(f, bare[f.id], named) if f.id in bare else f for f in facts]


def _with_rules_feet(fact: Fact, before: Fact, named: bool) -> Fact:
    listed = fact.kind is FactKind.MEASUREMENT  # "toes eighty, eighty one" are left and right
    whole = named or fact.kind is not FactKind.FINDING or fact.code in NO_FAULT
    if listed or (whole and all(foot.mate in fact.feet for foot in fact.feet)):
        return fact
    return replace(
        fact, feet=(), foot_basis=before.foot_basis, why_foot=before.why_foot, doubts=before.doubts
    )


def no_more_told(before: Sequence[Fact], after: Sequence[Fact]) -> list[Fact]:
    """What rules told and is not told any more, and whose words are in no fact now; to be offered.

    Args:
        before: what was told.
        after: what is told now.
    """
    ids = {f.id for f in after}
    gone = [f for f in before if f.id not in ids and not f.only_heard]
    return [
        f for f in gone if not any(k.span[0] <= f.span[0] and f.span[1] <= k.span[1] for k in after)
    ]


def _of_a_correction(fact: Fact, corrections: Sequence[SpokenCorrection]) -> bool:
    """Whether a network alone heard it in correcting words, and no flag hangs on it."""
    inside = any(c.span[0] <= fact.span[0] and fact.span[1] <= c.span[1] for c in corrections)
    return inside and fact.only_heard and flags_kept([fact], [])


_VISITS = frozenset({"trim", "reset", "shoe"})
_NAMED_SO = re.compile(r"(?:re)?(?:set|shoe|shoeing|trim|trimming)\b", re.IGNORECASE)


def _same_visit(fact: Fact, facts: Sequence[Fact], text: str) -> bool:
    """Whether a promise or a job only names a visit that another fact promises.

    "She wants to see it in ten days" is the vet's visit and no recheck beside it; "the full reset
    is in six weeks" is the next one, and nothing that was done.
    """
    if fact.code == "recheck":
        return any(_by_the_vet(fact, other) for other in facts)
    job = fact.kind is FactKind.WORK and fact.code in _VISITS and fact.only_heard
    if not job or fact.planned:
        return False
    return any(
        other.code == "next_trim"
        and fact.span[0] <= other.span[0] <= fact.span[1] + 1
        and _NAMED_SO.match(text, other.span[0]) is not None
        for other in facts
    )


def _by_the_vet(recheck: Fact, visit: Fact) -> bool:
    """Whether a visit of the vet is told by the words of a recheck, at the same time."""
    heard = recheck.only_heard or visit.only_heard
    if recheck.reporter is not Reporter.VET or visit.code != "vet_visit" or not heard:
        return False
    if recheck.due is None or visit.due is None:
        return False
    over = recheck.span[0] < visit.span[1] and visit.span[0] < recheck.span[1]
    return over and recheck.due.period == visit.due.period != ""


def _foot_by_foot(fact: Fact) -> list[Fact]:
    """ "Sole's thin, left front more than right front": worse on the one than on the other."""
    against = str(fact.comparison.against) if fact.comparison else ""
    mate = next((foot for foot in fact.feet if foot.value == against), None)
    if fact.kind is not FactKind.FINDING or mate is None or len(fact.feet) < 2:
        return [fact]
    rest = tuple(foot for foot in fact.feet if foot is not mate)
    other = replace(fact, id=new_id(), feet=(mate,), comparison=None)
    return [replace(fact, feet=rest), other]


def _compared_beside(fact: Fact, facts: Sequence[Fact], text: str) -> bool:
    """Whether the same of the same feet is told once more in one breath, and there compared with
    the other foot."""
    bare = not (fact.comparison or fact.quantity or fact.places or fact.severity)
    if fact.kind is not FactKind.FINDING or not fact.feet or not bare or fact.taught:
        return False
    return any(
        other is not fact
        and other.code == fact.code
        and other.negated == fact.negated
        and other.comparison is not None
        and str(other.comparison.against) in {foot.mate.value for foot in other.feet}
        and set(fact.feet) <= set(other.feet)
        and _one_breath(fact.span, other.span, text, _NEAR)
        for other in facts
    )


def _has_its_grade(fact: Fact, facts: Sequence[Fact], text: str) -> bool:
    """Whether a lameness is the very one that a grade beside it tells; a pulse that was graded is
    not denied by what a network alone hears."""
    if fact.code == "digital_pulse" and fact.negated and fact.only_heard:
        graded = {foot for f in facts if f.code == "pulse_grade" for foot in f.feet}
        return bool(fact.feet) and set(fact.feet) <= graded
    if fact.kind is not FactKind.FINDING or fact.code != "lameness" or fact.negated or fact.taught:
        return False
    return any(
        grade.kind is FactKind.SCORE
        and grade.code == "lameness"
        and grade.historical == fact.historical
        and (not fact.feet or not grade.feet or set(fact.feet) & set(grade.feet))
        and _one_breath(fact.span, grade.span, text, _GRADE_NEAR)
        for grade in facts
    )


def _names(closer: Fact, plain: Fact, text: str) -> bool:
    """Whether a fact is the same crack by its own name: one that only the network heard, or that
    stands behind a crack of which nothing else is said ("two cracks, one at the toe")."""
    bare = not (plain.places or plain.quantity or plain.comparison or plain.severity)
    return (
        closer.code.endswith("_crack")
        and (closer.only_heard or (bare and plain.span[1] <= closer.span[0]))
        and not closer.negated
        and closer.historical == plain.historical
        and (set(closer.feet) == set(plain.feet) or not plain.feet)
        and not _elsewhere(plain, closer.code.removesuffix("_crack"))
        and _one_breath(plain.span, closer.span, text, _NEAR)
    )


def _elsewhere(plain: Fact, region: str) -> bool:
    """Whether the rules have the crack in another part: no heel crack between the bulbs."""
    named = region in ("toe", "heel", "quarter") and bool(plain.places)
    return named and not any(p.endswith(region) for p in plain.places)


def _one_breath(one: Span, other: Span, text: str, most: int) -> bool:
    first, last = sorted((one, other))
    between = text[first[1] : last[0]]
    return len(between) <= most and not any(stop in between for stop in ".;?!")


def _both(plain: Fact, closer: Fact) -> Fact:
    """The closer name, with what either tells of it."""
    places = tuple(dict.fromkeys([*closer.places, *plain.places]))
    return replace(
        closer,
        feet=closer.feet or plain.feet,
        places=tuple(p for p in places if p not in closer.code),
        quantity=closer.quantity or plain.quantity,
        severity=closer.severity or plain.severity,
        comparison=closer.comparison or plain.comparison,
        uncertain=closer.uncertain or plain.uncertain,
        span=(min(plain.span[0], closer.span[0]), max(plain.span[1], closer.span[1])),
    )
