"""Feet and places that are named only after what was said of them."""

from __future__ import annotations

from dataclasses import replace

from fieldlog.core.facts import Fact, FactKind, FootBasis
from fieldlog.core.feet import describe_feet
from fieldlog.language.feet.foot_neighbours import is_subject
from fieldlog.language.feet.places_said import places_of
from fieldlog.language.feet.tracker import Assignment
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import SEVERITIES, Line, UnitSaid

_LIST_WORDS = frozenset(
    {"and", "or", "no", "a", "an", ",", "nor", "any", "some", "not", "bit", "of"}
)


def fill_back(line: Line, made: list[tuple[UnitSaid, Fact]], earlier: list[Fact]) -> None:
    """ "Thrush and a crack in the left hind": the foot named last is of all before it.

    So is the first foot of a note that opens the next sentence: "Quicked him. Right front, ...".
    """
    _fill_sentence_before(made, earlier)
    chain = -1
    for at in range(len(made) - 2, -1, -1):
        unit, fact = made[at]
        after_unit, after = made[at + 1]
        said = {line.norm(i) for i in unit.head.covers()}
        listed = (
            not said & {"it", "them"}
            and (fact.foot_basis is FootBasis.CARRIED or _guess_carried(unit, fact, after_unit))
            and (fact.kind is FactKind.WORK) == (after.kind is FactKind.WORK)
            and _listed(line, unit, after_unit, chain == at + 1)
        )
        open_ = fact.foot_basis is FootBasis.UNSTATED or listed
        if open_ and _has_feet_for(after, fact) and _touching(line, unit, after_unit):
            made[at] = (unit, _filled(fact, after))
            chain = at if listed else -1


def _fill_sentence_before(made: list[tuple[UnitSaid, Fact]], earlier: list[Fact]) -> None:
    """ "Quicked him. Right front, ...": the first foot of a note, for the two facts before it."""
    told_now = all(f.code != "normal" and not f.historical for f in earlier)
    if not made or len(made[0][1].feet) != 1 or not told_now or any(f.feet for f in earlier):
        return
    unit, fact = made[0]
    if any(m.kind == "foot" and m.start <= unit.start + 1 for m in unit.before):
        why = f"The {describe_feet(fact.feet)} was named just after."
        named = Assignment(fact.feet, FootBasis.CARRIED, why)
        earlier[-2:] = [named_late(f, named) for f in earlier[-2:]]


def _has_feet_for(after: Fact, fact: Fact) -> bool:
    """Whether the feet of a fact may be those of the one before it."""
    return (
        bool(after.feet)
        and after.kind in (FactKind.FINDING, FactKind.MEASUREMENT, FactKind.WORK)
        and after.foot_basis in (FootBasis.SAID, FootBasis.ASSUMED)
        and after.code != "not_examined"
        and not (fact.code == "trim" and after.kind is FactKind.FINDING)
    )


def _filled(fact: Fact, after: Fact) -> Fact:
    """The fact on the feet of the one behind it."""
    return replace(
        fact,
        feet=after.feet,
        foot_basis=after.foot_basis,
        why_foot=f"The {describe_feet(after.feet)} was named just after.",
        doubts=tuple(d for d in fact.doubts if d.code != "foot_unstated")
        + tuple(d for d in after.doubts if d.code == "foot_assumed"),
    )


def _guess_carried(unit: UnitSaid, fact: Fact, after: UnitSaid) -> bool:
    """Carried on from a side whose end was a guess, between two values."""
    values = unit.head.kind == after.head.kind == "value" and not unit.feet()
    return values and fact.foot_basis is FootBasis.ASSUMED and not unit.head.tags


def without_excepted(line: Line, made: list[tuple[UnitSaid, Fact]]) -> None:
    """ "Sound on all four except a bit short on the right front": sound on the other three."""
    for at in range(len(made) - 1):
        (unit, fact), (after, fault) = made[at], made[at + 1]
        clean = fact.negated or fact.code in ("normal", "sound")
        told_of = fault.kind is FactKind.FINDING and not fault.negated
        rest = tuple(f for f in fact.feet if f not in fault.feet)
        if not (clean and told_of and len(fault.feet) == 1) or rest in ((), fact.feet):
            continue
        between = range(unit.head.end, after.head.start)
        if any(m.code == "except" and m.start in between for m in line.marks):
            why = f"“except” leaves out the {describe_feet(fault.feet)}."
            made[at] = (unit, replace(fact, feet=rest, why_foot=why))


_OF_A_FOOT = frozenset({"lameness", "hoof_tester_grade"})
_NEAR = 3
"""How many facts before a grade what it grades may stand."""
_LAME = frozenset({"head_nod", "lameness", "short_strided", "sore", "tester_positive"})


def graded_feet(made: list[tuple[UnitSaid, Fact]], earlier: list[Fact]) -> None:
    """ "Nodding on the right front. Two out of five": the grade is of the same foot."""
    so_far = earlier[-_NEAR:]
    for at, (unit, fact) in enumerate(made):
        lame = [f for f in so_far[-_NEAR:] if f.code in _LAME and f.kind is not FactKind.SCORE]
        graded = fact.kind is FactKind.SCORE and fact.code in _OF_A_FOOT and not fact.feet
        if graded and lame and len(lame[-1].feet) == 1 and not lame[-1].negated:
            fact = replace(
                fact,
                feet=lame[-1].feet,
                foot_basis=FootBasis.CARRIED,
                why_foot=lame[-1].why_foot,
            )
            made[at] = (unit, fact)
        so_far = [*so_far, fact]


def _listed(line: Line, unit: UnitSaid, after: UnitSaid, chained: bool) -> bool:
    """A list whose foot stands behind its last: "no heat and no pulse in either"."""
    behind = [m for m in after.after if m.kind == "foot"]
    if chained and not unit.feet() and not after.feet():
        between = {line.norm(i) for i in range(unit.head.end, after.head.start)}
        return bool(between) and between <= _LIST_WORDS
    if unit.feet() or not behind or any(m.kind == "foot" for m in after.before):
        return False
    values = unit.head.kind == after.head.kind == "value"
    if "versus" in after.head.tags:
        return False  # "sixty against fifty-two on the near"
    if values and line.norm(unit.head.start - 1) in ("was", "were"):
        return False  # "fifty-one left, it was forty-nine, and fifty-two right"
    placed = line.norm(behind[0].start - 1) in ("in", "on", "the", "of")
    closes = behind[0].start == after.head.end and line.break_at(behind[0].end)
    if not values and not placed and not closes:
        return False
    where = {i for m in unit.after if m.kind in ("place", "side") for i in m.covers()}
    where |= {i for m in after.before if m.code in SEVERITIES for i in m.covers()}
    between = {line.norm(i) for i in range(unit.head.end, after.head.start) if i not in where}
    between -= {"in", "at", "on", "the"} if where else set()
    denied = "no" in between and unit.has("negation")
    tied = placed or denied or between & {"and", "or", "nor"}
    return values or (bool(tied and between) and between <= _LIST_WORDS)


def _touching(line: Line, unit: UnitSaid, after: UnitSaid) -> bool:
    """The foot of ``after`` stands behind its head, or right behind ``unit`` without a break."""
    before = [m for m in after.before if m.kind == "foot"]
    if not before:
        return True
    if is_subject(line, before[0]) or _leads(line, before[0], after):
        return False
    last = max([unit.head.end, *(m.end for m in unit.marks() if m.tells())])
    return 0 <= before[0].start - last <= 2


def _leads(line: Line, foot: Mark, after: UnitSaid) -> bool:
    """ "Clenches risen, off hind sprung": a pause before the foot and none behind it."""
    beside = after.head.start - foot.end
    return line.break_at(foot.start - 1) and beside == 0 and not line.break_at(foot.end)


def said_last(line: Line, begin: int, end: int) -> bool:
    """ "No thrush, no cracks. Right front. Left front's the same": whose that was."""
    after = next((m for m in line.marks if m.start > end), None)
    told = {line.norm(i) for i in range(begin, end)}
    said = told & {"that", "this"} and told & {"is", "was", "'s"}
    return bool(said or told & {"talking", "mean"}) or (
        after is not None and after.kind == "foot" and after.start <= end + 2
    )


def named_late(fact: Fact, named: Assignment, carried: bool = False) -> Fact:
    """The finding or measurement with the feet that were named behind it.

    Args:
        fact: what was said before the feet.
        named: the feet.
        carried: whether a foot that was only carried on gives way.
    """
    told = fact.kind in (FactKind.FINDING, FactKind.MEASUREMENT)
    late = {FootBasis.UNSTATED, FootBasis.CARRIED} if carried else {FootBasis.UNSTATED}
    if fact.code in _LAME and len(named.feet) == 1 and not fact.negated:
        late.add(FootBasis.WHOLE_HORSE)
    if fact.foot_basis not in late or not told:
        return fact
    return replace(
        fact,
        feet=named.feet,
        foot_basis=named.basis,
        why_foot=named.why,
        doubts=tuple(d for d in fact.doubts if d.code != "foot_unstated"),
    )


def named_first(facts: list[Fact], named: Assignment) -> bool:
    """ "Toe's long. Left front. Longest I've seen": the first foot of a note, after a finding."""
    told = [f for f in facts if f.kind in (FactKind.FINDING, FactKind.MEASUREMENT)]
    late = bool(told) and all(f.foot_basis is not FootBasis.SAID for f in facts)
    loose = told and (told[-1].foot_basis is FootBasis.UNSTATED or told[-1].code in _LAME)
    return late and bool(loose) and len(named.feet) <= 2


_SHORT = 9


def late_place(
    line: Line, facts: list[Fact], loose: list[Mark], begin: int, end: int
) -> list[Fact]:
    """ "Quicked him. Right front, inside quarter.": where that was, in a sentence of its own."""
    last = facts[-1]
    where = [m for m in loose if m.kind in ("place", "side", "clock")]
    feet = [m for m in loose if m.kind == "foot"]
    if not where or end - begin > _SHORT or last.places or last.kind is not FactKind.FINDING:
        return facts
    if feet and last.foot_basis is FootBasis.SAID:
        return facts
    unit = UnitSaid(Mark("finding", last.code, begin, begin), after=loose, start=begin, end=end)
    return [*facts[:-1], replace(last, places=places_of(line, unit))]
