"""What a crack is called, by where it is and where it starts: toe crack, grass crack.

"Cracked at the toe", "a crack in the outside quarter", "a crack from the ground up".
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from fieldlog.core.facts import Fact, FactKind
from fieldlog.language.words.units_said import Line, UnitSaid

_FROM_THE_GROUND = re.compile(r"\b(from|at) the (ground|bottom)\b|\bground up\b")


def named_crack(line: Line, unit: UnitSaid, fact: Fact) -> Fact:
    """The fact with the name of its crack."""
    text = " ".join(line.norm(i) for i in range(unit.start, unit.end))
    for region in ("toe", "heel"):
        if any(p.endswith(region) for p in fact.places):
            rest = tuple(p for p in fact.places if p != region)
            return replace(fact, code=f"{region}_crack", places=rest)
    if _FROM_THE_GROUND.search(text):
        return replace(fact, code="grass_crack")
    if any(p.endswith("quarter") for p in fact.places) and "hairline crack" not in text:
        return replace(fact, code="quarter_crack")
    return fact


def named_again(facts: Sequence[Fact]) -> list[Fact]:
    """The facts; a crack of a further foot is named by its own place.

    "A crack at the quarter, right front one at the toe".
    """
    return [_by_place(fact) if fact.rule.startswith("again:") else fact for fact in facts]


def _by_place(fact: Fact) -> Fact:
    regions = {r for r in ("toe", "heel", "quarter") for p in fact.places if p.endswith(r)}
    if fact.kind is not FactKind.FINDING or len(regions) != 1:
        return fact
    (region,) = regions
    own = fact.code.removesuffix("crack").strip("_")
    if not fact.code.endswith("crack") or own not in ("", "toe", "heel", "quarter"):
        return fact
    return replace(
        fact, code=f"{region}_crack", places=tuple(p for p in fact.places if p != region)
    )
