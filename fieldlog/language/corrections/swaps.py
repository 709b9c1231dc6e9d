""" "Flip that": what was just told of two feet is of each other's."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fieldlog.core.facts import Fact, FootBasis
from fieldlog.core.feet import FRONTS, HINDS, Foot
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import Line

_BACK = 8
"""How many facts back the other foot may be."""
SWAPPED = "Told of the other foot first, then taken as the other way round."
Feet = tuple[Foot, ...]


def is_swap(line: Line, mark: Mark) -> bool:
    """Whether "other way round" takes something back: "no, other way round", not "it was the
    other way round a year ago"."""
    if line.norm(mark.end) in ("from", "than", "to", "like"):
        return False  # "that's backwards from last time"
    if line.norm(mark.start) not in ("other", "wrong"):
        return True
    at = mark.start - 1
    while line.norm(at) in (",", "the"):
        at -= 1
    after = line.norm(mark.end)
    alone = line.break_at(at) and (line.break_at(mark.end) or after in _SORRY)  # "Other way round."
    late = after in _SORRY and line.break_at(mark.end + 1)
    held = line.norm(at) != "on" or line.norm(at - 1) in ("hang", "hold")
    said = (line.norm(at) in _NO and held) or line.norm(mark.end - 1) in ("that", "those", "sorry")
    return said or alone or late


_SORRY = frozenset({"actually", "sorry", "rather"})


_NO = frozenset({"no", "sorry", "wait", "actually", "on", "oops", "nope", "er", "hm"})


def swapped(facts: Sequence[Fact]) -> dict[str, Fact]:
    """The facts told last of a foot and its mate (or of the fronts and the hinds), each as the
    other's, by their ids; empty if only one of the two was spoken of.
    """
    told = [f for f in facts if f.feet][-_BACK:]
    if not told:
        return {}
    one, other = told[-1].feet, _opposite(told[-1].feet)
    out: dict[str, Fact] = {}
    turned = 0
    for at in range(len(told) - 1, -1, -1):
        fact = told[at]
        if fact.feet not in (one, other) or turned > 1:
            break
        turned += at > 0 and told[at - 1].feet != fact.feet
        feet = other if fact.feet == one else one
        out[fact.id] = replace(fact, feet=feet, foot_basis=FootBasis.SAID, why_foot=SWAPPED)
    return out if len({fact.feet for fact in out.values()}) == 2 else {}


def _opposite(feet: Feet) -> Feet:
    if len(feet) == 1:
        return (feet[0].mate,)
    if feet == FRONTS:
        return HINDS
    return FRONTS if feet == HINDS else ()
