"""Which fact belongs in which box, in what order, and which ones are sure: pure rules.

The boxes stand as the feet do under the horse seen from above, head at the top. A fact about a
pair stands between that pair's boxes, one about all four (or any other set) with the whole horse,
so each fact is shown exactly once.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum

from fieldlog.core.facts import Doubt, Fact, FootBasis
from fieldlog.core.feet import FRONTS, HINDS, Foot


class Part(StrEnum):
    """Where a fact stands, in the order that the cursor visits them."""

    UNSTATED = "foot not said"
    LF = "LF"
    RF = "RF"
    FRONTS = "both fronts"
    LH = "LH"
    RH = "RH"
    HINDS = "both hinds"
    HORSE = "whole horse"


PART_FEET: dict[Part, tuple[Foot, ...]] = {
    Part.LF: (Foot.LF,),
    Part.RF: (Foot.RF,),
    Part.FRONTS: FRONTS,
    Part.LH: (Foot.LH,),
    Part.RH: (Foot.RH,),
    Part.HINDS: HINDS,
}

DOUBT_ORDER = (
    "foot_unstated",
    "out_of_range",
    "competing_readings",
    "readers_differ",
    "correction_unclear",
    "second_opinion",
    "model_candidate",
    "foot_assumed",
    "unit_inferred",
    "changed_word",
    "word_confidence",
)
"""What can do most harm if it is saved wrong comes first; other doubts follow (common practice)."""


def part_of(fact: Fact) -> Part:
    """The box in which a fact stands."""
    if fact.foot_basis is FootBasis.UNSTATED:
        return Part.UNSTATED
    feet = frozenset(fact.feet)
    return next((part for part, of in PART_FEET.items() if frozenset(of) == feet), Part.HORSE)


def doubt_rank(doubt: Doubt) -> int:
    """Lower is looked at earlier."""
    if doubt.code in DOUBT_ORDER:
        return DOUBT_ORDER.index(doubt.code)
    return len(DOUBT_ORDER)


def urgency(fact: Fact) -> tuple[int, int, int]:
    """Sorting key: what needs a look first, the most harmful doubt first, then as spoken."""
    if not fact.doubts:
        return (1, 0, fact.span[0])
    return (0, min(doubt_rank(d) for d in fact.doubts), fact.span[0])


def boxes(facts: Iterable[Fact]) -> dict[Part, tuple[Fact, ...]]:
    """The facts of one entry by box; within a box, those that need a look come first."""
    sorted_facts = sorted(facts, key=urgency)
    return {part: tuple(f for f in sorted_facts if part_of(f) is part) for part in Part}


def walk(facts: Iterable[Fact]) -> list[Fact]:
    """The facts in the order that the cursor visits them."""
    grouped = boxes(facts)
    return [fact for part in Part for fact in grouped[part]]


def to_look_at(facts: Iterable[Fact]) -> list[Fact]:
    """The facts that need a look, the most pressing first."""
    return sorted((f for f in facts if f.needs_look), key=urgency)


def next_to_look_at(facts: Iterable[Fact], after: str = "") -> Fact | None:
    """The next fact that needs a look; with ``after`` (an id) the one that follows it, around."""
    waiting = to_look_at(facts)
    if not waiting:
        return None
    ids = [f.id for f in waiting]
    if after in ids:
        return waiting[(ids.index(after) + 1) % len(waiting)]
    return waiting[0]


def is_sure(facts: Iterable[Fact], horse_known: bool) -> bool:
    """True if an entry may be saved with the rest of the day without another look.

    It needs a horse and at least one fact, and no fact may have a doubt left.
    """
    listed = list(facts)
    return horse_known and bool(listed) and not any(f.needs_look for f in listed)
