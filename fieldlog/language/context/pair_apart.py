"""A pair of which one foot is longer by so much: "left heel's a quarter longer than the right".

The words are plain, and the network has seldom met them: what they tell stands as the rules read it
(marked where the network does not hear it), and what the network hears there instead is not told.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from fieldlog.core.facts import Fact, FactKind, Trend
from fieldlog.core.feet import Foot
from fieldlog.core.units import UNITS, Dimension

PAIR_MEASURED = "compare:mismatched"
"""The rule of such a fact."""
_APART_MM = 40.0
"""Millimetres by which two feet of a pair may differ."""
_SIZED = (Trend.LARGER, Trend.SMALLER)


def as_mismatched(fact: Fact) -> Fact:
    """A size by which one foot differs from its mate, as a fact of the pair; else the fact."""
    size, told = fact.quantity, fact.comparison
    if fact.code != "change" or size is None or told is None or told.trend not in _SIZED:
        return fact
    mate = len(fact.feet) == 1 and fact.feet[0].mate.value == str(told.against)
    length = UNITS[size.unit].dimension is Dimension.LENGTH
    if not mate or not length or size.value * UNITS[size.unit].to_base > _APART_MM:
        return fact
    pair = tuple(foot for foot in Foot if foot in (fact.feet[0], fact.feet[0].mate))
    places = tuple(p for p in fact.places if p in ("toe", "heel"))
    return replace(
        fact, code="mismatched", feet=pair, comparison=None, places=places, rule=PAIR_MEASURED,
        readings=(),
    )  # fmt: skip


def as_measured(facts: Sequence[Fact], before: Sequence[Fact]) -> list[Fact]:
    """The facts; those of a measured pair as the rules had them, without what is heard instead.

    Args:
        facts: what is told.
        before: what was told before the network's word was weighed.
    """
    plain = {f.id: f for f in before if f.rule == PAIR_MEASURED}
    if not plain:
        return list(facts)
    out: list[Fact] = []
    for fact in facts:
        if fact.id in plain and _measured_itself(fact, facts):
            continue
        if fact.id in plain:
            own = plain[fact.id]
            fact = replace(own, doubts=fact.doubts)
        elif fact.kind is FactKind.FINDING and fact.only_heard and _within(fact, plain.values()):
            continue
        out.append(fact)
    return out


def _measured_itself(fact: Fact, facts: Sequence[Fact]) -> bool:
    """Whether the toes of both feet are told: "longer by five mil, eighty-five and eighty"."""
    toes = [f for f in facts if f.code == "toe_length" and not f.historical]
    measured = {foot for f in toes for foot in f.feet}
    return "heel" not in fact.places and set(fact.feet) <= measured


def _within(fact: Fact, plain: Iterable[Fact]) -> bool:
    return any(f.span[0] <= fact.span[0] and fact.span[1] <= f.span[1] for f in plain)
