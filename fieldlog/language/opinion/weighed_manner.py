"""How a fact is told, weighed between rules and network: doubt, time, who says so, place, trend."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from fieldlog.core.facts import Comparison, Fact, FactKind, Reporter, Severity, Trend
from fieldlog.language.lexicon import find_item, items
from fieldlog.language.opinion.labels import as_told, told_with
from fieldlog.language.opinion.logit import Signs, log_odds
from fieldlog.language.opinion.weighed_parts import AGAINST, EDGE, ON_A_FOOT, Told

GROUPS: dict[str, tuple[str, ...]] = {
    "uncertain": ("@uncertain",),
    "historical": ("@historical",),
    "planned": ("@planned",),
    "reporter": tuple(f"@{r.value}" for r in Reporter if r is not Reporter.FARRIER),
    "severity": tuple(f"@{severity.value}" for severity in Severity),
    "comparison": tuple(f"@{trend.value}" for trend in Trend),
    "places": ("@medial", "@lateral", *(f"@at_{item.id}" for item in items("places"))),
}
"""What is weighed beside the feet, and the network's names for it."""
FILLED = frozenset({"severity", "comparison", "places"})
"""Groups on which the rules are often silent where something was said."""
_OF_SUSPICION = frozenset({"uncertain", "historical", "planned", "reporter"})
"""What is not weighed of a word for a disease: it is a suspicion or somebody's report."""
SILENT = 0.6
"""Chance from which a place, a severity or a comparison is told where the rules have none."""
PLAINLY = 0.65
"""Chance against a place, a severity or a comparison that the rules have, from which it goes: it
was mostly said in so many words."""
WITH_SIDE = 0.35
"""Chance from which a part is told with the side of which it was not quite heard."""
SIDE = 0.3
"""Chance from which a side is told with a part that has two; both, if both have it."""
TWO_SIDED = frozenset({
    "@at_quarter", "@at_heel", "@at_bar", "@at_collateral_sulcus", "@at_heel_bulb",
})  # fmt: skip
QUIET = 0.2
"""Chance below which what the network hears of a manner that no rule tells is not weighed."""


def told_of(fact: dict[str, Any]) -> set[str]:
    """``told_with``'s names, without a place that the code names already."""
    return {
        name
        for name in told_with(fact)
        if not name.startswith("@at_") or name.removeprefix("@at_") not in fact["code"]
    }


@dataclass(frozen=True, slots=True)
class Weighed:
    """A fact whose manner is weighed."""

    fact: Fact
    told: Told
    """How the network hears it told."""
    sorts: Sequence[str]
    chance: Callable[[Signs], float]
    settled: Collection[str] = ()
    """Groups of which its words leave no doubt."""

    @property
    def mine(self) -> set[str]:
        """The network's names for how the rules have it."""
        return told_of(as_told(self.fact))


def manner_changed(weighed: Weighed) -> Iterator[tuple[dict[str, Any], bool]]:
    """What a fact gets of each group that is told otherwise, and whether the rules were silent."""
    mine, told = weighed.mine, weighed.told
    at_issue = mine.union(name for name, heard in told.items() if heard >= QUIET)
    for group, names in GROUPS.items():
        own = mine.intersection(names)
        if at_issue.isdisjoint(names) or not _weighs(weighed, group, own):
            continue
        kept = _kept(weighed, group, mine, at_issue)
        if kept.keys() != own.intersection(told):
            yield _manner(weighed.fact, group, kept), group in FILLED and not own


def _kept(weighed: Weighed, group: str, mine: set[str], at_issue: set[str]) -> dict[str, float]:
    """The names of a group that hold of a fact, and the chance of each.

    Args:
        weighed: the fact.
        group: one of ``GROUPS``.
        mine: the names of how the rules have it.
        at_issue: those and what is heard well enough to be weighed.
    """
    fact, told, sorts = weighed.fact, weighed.told, manner_sorts(weighed.fact, weighed.sorts)
    silent = group in FILLED and mine.isdisjoint(GROUPS[group])
    least = SILENT if silent else AGAINST
    own_least = 1 - (PLAINLY if group in FILLED else AGAINST)
    kept, near = {}, {}
    for name in GROUPS[group]:
        if name in at_issue and name in told and _says(fact, name):
            so = weighed.chance(manner_signs(told, group, name, mine, sorts))
            if so > (own_least if name in mine else least):
                kept[name] = so
            else:
                near[name] = so
    return kept | _belonging(kept, near) if group == "places" and kept else kept


def _belonging(kept: Mapping[str, float], near: Mapping[str, float]) -> dict[str, float]:
    """What of the names that were not quite heard belongs to those that were.

    A side is seldom told of no part, nor a quarter of no side.
    """
    sides = [name for name in kept if not name.startswith("@at_")]
    parts = [name for name in kept if name.startswith("@at_")]
    if sides and not parts:
        best = max((n for n in near if n.startswith("@at_")), key=near.__getitem__, default="")
        return {best: near[best]} if best and near[best] >= WITH_SIDE else {}
    if parts and not sides and set(parts) & TWO_SIDED:
        both = {n: near[n] for n in near if not n.startswith("@at_")}
        if len(both) == 2 and min(both.values()) >= SIDE:
            return both
        best = max(both, key=both.__getitem__, default="")
        return {best: both[best]} if best and both[best] >= SIDE else {}
    return {}


def _weighs(weighed: Weighed, group: str, own: set[str]) -> bool:
    """Whether the group is weighed of this fact.

    Args:
        weighed: the fact.
        group: one of ``GROUPS``.
        own: what the rules tell of it.
    """
    fact = weighed.fact
    if not _may_have(fact, group) or (group in _OF_SUSPICION and _disease(fact)):
        return False
    if own and fact.code == "change" and group in ("places", "comparison"):
        return False  # it tells of nothing else: "toes shorter than last time"
    if group in weighed.settled:
        return False
    # which of two is worse than last time, the words beside it tell
    return not (own and group in FILLED and "twice" in weighed.sorts)


def _may_have(fact: Fact, group: str) -> bool:
    """Whether the group can be of such a fact: not what it compares with another foot, and of a
    score only who gave it."""
    if fact.kind is FactKind.SCORE:
        return group == "reporter"  # its number and its foot were said at once
    if group == "comparison":
        return fact.comparison is None or fact.comparison.against == "last_visit"
    if group == "places" and any(place.startswith("clock_") for place in fact.places):
        return False  # the network knows no hours
    return group not in ("places", "severity") or fact.kind in ON_A_FOOT


def _says(fact: Fact, name: str) -> bool:
    """Whether the name can be told of the fact: gone is what is not there."""
    if name == f"@{Trend.GONE.value}":
        return fact.negated
    return name.removeprefix("@at_") not in fact.code if name.startswith("@at_") else True


def manner_sorts(fact: Fact, sorts: Sequence[str]) -> tuple[str, ...]:
    """The sorts that count for its manner: also whether it is denied."""
    return (*sorts, "denied") if fact.negated else tuple(sorts)


def _manner(fact: Fact, group: str, kept: Mapping[str, float]) -> dict[str, Any]:
    """What the fact gets of a group; nothing where that cannot be told."""
    best = max(kept, key=kept.__getitem__, default="").removeprefix("@")
    if group == "reporter":
        return {"reporter": Reporter(best or Reporter.FARRIER.value)}
    if group == "severity":
        return {"severity": Severity(best) if best else None}
    if group == "comparison":
        return {"comparison": Comparison(Trend(best)) if best else None}
    if group == "places":
        return _placed(fact, kept)
    return {group: bool(best)}


def _placed(fact: Fact, kept: Mapping[str, float]) -> dict[str, Any]:
    """The places of the names that are kept; no more than one side and two parts are told apart."""
    parts = [name.removeprefix("@at_") for name in kept if name.startswith("@at_")]
    sides = [name.removeprefix("@") for name in kept if not name.startswith("@at_")]
    if len(parts) > 2 or (len(sides) > 1 and len(parts) != 1):
        return {}
    named = tuple(p for p in fact.places if p.split("_", 1)[-1] in fact.code and not sides)
    if sides:
        return {"places": tuple(f"{side}_{part}" for side in sides for part in parts or ["wall"])}
    return {"places": (*named, *(part for part in parts if part not in named))}


def manner_signs(told: Told, group: str, name: str, mine: set[str], sorts: Sequence[str]) -> Signs:
    """The numbers that the chance of a manner is made of.

    Args:
        told: how the network hears the fact told.
        group: one of ``GROUPS``.
        name: one of its names.
        mine: the names of how the rules have it.
        sorts: what sort of fact it is.
    """
    said, heard = float(name in mine), log_odds(told[name], EDGE)
    others = [other for other in GROUPS[group] if other != name and other in told]
    loudest = max((told[other] for other in others), default=0.5)
    signs = {
        "": 1.0, ":said": said, ":heard": heard, ":both": heard * said,
        ":other_said": float(any(other in mine for other in others)),
        ":other_heard": log_odds(loudest, EDGE),
    }  # fmt: skip
    for sort in sorts:
        signs |= {f":{sort}": 1.0, f":{sort}:said": said, f":{sort}:heard": heard}
    return {group + sign: value for sign, value in signs.items()}


def _disease(fact: Fact) -> bool:
    """Whether it is a word for a disease, which is a suspicion or somebody's report in any case."""
    item = find_item(fact.code, "finding") if fact.kind is FactKind.FINDING else None
    return item is not None and item.disease
