"""What the picker offers for a fact: the likely other readings first, then the near misses."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from fieldlog.app.editing import FOOT_DOUBTS
from fieldlog.core.facts import Fact, FactKind, Severity
from fieldlog.core.feet import Foot
from fieldlog.core.scales import SCALES
from fieldlog.core.typed import UNITS_OF
from fieldlog.core.units import UNITS, Quantity
from fieldlog.language.lexicon import find_item, items
from fieldlog.language.wording import label, on_scale

MOST = 9
"""Choices with a number key of their own."""

_DATA = {
    FactKind.FINDING: ("findings", "finding"),
    FactKind.MEASUREMENT: ("measures", "measure"),
    FactKind.WORK: ("work", "work"),
    FactKind.FOLLOW_UP: ("followups", "followup"),
    FactKind.HANDLING: ("handling", "handling"),
    FactKind.SCORE: ("scores", "score"),
}
_PASSING = frozenset({"of", "the", "by", "a", "or", "and", "in", "on", "suspected", "veterinary"})


@dataclass(frozen=True, slots=True)
class Choice:
    """One line of the picker."""

    label: str
    changes: dict[str, Any]
    """Fields of ``Fact.to_dict`` that it sets; None removes a field."""


def choices(fact: Fact) -> list[Choice]:
    """What may have been meant instead, most likely first, at most nine."""
    found = _feet(fact) + _due_choices(fact)
    dated = bool(fact.due and fact.due.alternatives)
    read = [Choice(r.label, r.changes) for r in fact.readings]
    moves = [c for c in read if set(c.changes) == {"feet"}]
    found += [c for c in read if c not in moves and not (dated and set(c.changes) == {"due"})]
    units = _unit_choices(fact)
    guessed = fact.quantity is not None and fact.quantity.unit_inferred
    found += (units if guessed else []) + _other_scales(fact)
    found += _alternative(fact)
    found += _sides(fact)
    if fact.kind is FactKind.MEASUREMENT:
        found += units + _other_measures(fact)
    elif fact.kind in (FactKind.FINDING, FactKind.HANDLING):
        found += _when_and_how_much(fact) + _similar(fact)
    elif fact.kind is FactKind.WORK:
        found += _planned(fact) + _similar(fact)
    else:
        found += _similar(fact)
    # A foot that nobody doubts is moved with its own key; here it only fills what is left.
    found += moves
    unique: dict[str, Choice] = {}
    for choice in found:
        unique.setdefault(choice.label, choice)
    return list(unique.values())[:MOST]


def _feet(fact: Fact) -> list[Choice]:
    """Each foot, if just that is in doubt; the one that was concluded is left out."""
    if not any(d.code in FOOT_DOUBTS for d in fact.doubts):
        return []
    return [Choice(foot.american, {"feet": [foot.value]}) for foot in Foot if fact.feet != (foot,)]


def _due_choices(fact: Fact) -> list[Choice]:
    if fact.due is None:
        return []
    due = fact.to_dict()["due"]
    return [
        Choice(
            f"on {day:%A} {day.isoformat()}",
            {"due": {**due, "on": day.isoformat(), "until": "", "ambiguous": ""}},
        )
        for day in fact.due.alternatives
        if day != fact.due.on
    ]


def _quantity_dict(fact: Fact, quantity: Quantity) -> dict[str, Any]:
    shown: dict[str, Any] = replace(fact, quantity=quantity).to_dict()["quantity"]
    return shown


def _unit_choices(fact: Fact) -> list[Choice]:
    return [
        Choice(other.shown(), {"quantity": _quantity_dict(fact, other)})
        for other in (_in_other_units(fact.code, fact.quantity) if fact.quantity else ())
    ]


def _in_other_units(code: str, quantity: Quantity) -> list[Quantity]:
    """The same number in the other units that fit its measure."""
    others = (
        replace(quantity, unit=unit, unit_inferred=False)
        for unit in UNITS_OF.get(UNITS[quantity.unit].dimension, ())
        if unit is not quantity.unit
    )
    return [other for other in others if _plausible(code, other)]


def as_it_fits(code: str, quantity: Quantity) -> Quantity | None:
    """A quantity typed without its unit, in one that fits its measure; None if none does."""
    if _plausible(code, quantity):
        return quantity
    return next(iter(_in_other_units(code, quantity)), None)


def _other_scales(fact: Fact) -> list[Choice]:
    """The same value on each other scale of this score that has such a value."""
    item = find_item(fact.code, "score") if fact.kind is FactKind.SCORE else None
    quantity = fact.quantity
    if item is None or quantity is None:
        return []
    ends = [v for v in (quantity.value, quantity.high) if v is not None]
    return [
        Choice(on_scale(quantity, scale), {"details": {**fact.details, "scale": scale}})
        for scale in item.more.get("scales", [])
        if scale != fact.details.get("scale")
        and scale in SCALES
        and all(SCALES[scale].allows(value) for value in ends)
    ]


def unusual(facts: Iterable[Fact]) -> str:
    """A sentence on each measure whose size nobody expects, or nothing: a slip of the fingers
    counts as looked at, so nothing would ask about it later.
    """
    told = [
        f"{fact.quantity.shown()} is no usual {label(fact.code)}: look again."
        for fact in facts
        if fact.kind is FactKind.MEASUREMENT and fact.quantity is not None
        if not _plausible(fact.code, fact.quantity)
    ]
    return " ".join(told)


def _plausible(code: str, quantity: Quantity) -> bool:
    """True if the size fits the published or common range of this measure."""
    item = find_item(code, "measure")
    if item is None:
        return True
    low, high = item.more.get("low", quantity.base), item.more.get("high", quantity.base)
    return bool(low <= quantity.base <= high)


def _alternative(fact: Fact) -> list[Choice]:
    other = fact.details.get("alternative", "")
    if not other:
        return []
    details = {key: value for key, value in fact.details.items() if key != "alternative"}
    return [Choice(f"{label(other, 'finding')} only", {"code": other, "details": details})]


def _sides(fact: Fact) -> list[Choice]:
    """Inside for outside: the two that are most easily said for each other."""
    swapped = tuple(_other_side(place) for place in fact.places)
    if swapped == fact.places:
        return []
    words = " and ".join(label(place, "place") for place in swapped)
    return [Choice(words, {"places": list(swapped)})]


def _other_side(place: str) -> str:
    for one, other in (("medial_", "lateral_"), ("lateral_", "medial_")):
        if place.startswith(one):
            return other + place.removeprefix(one)
    return {"medial": "lateral", "lateral": "medial"}.get(place, place)


def _other_measures(fact: Fact) -> list[Choice]:
    if fact.quantity is None:
        return []
    dimension = UNITS[fact.quantity.unit].dimension.value
    same = [
        m for m in items("measures") if m.more.get("dimension") == dimension and m.id != fact.code
    ]
    base = fact.quantity.base
    fitting = [m for m in same if m.more.get("low", 0) <= base <= m.more.get("high", base)]
    return [Choice(f"{m.label} {fact.quantity.shown()}", {"code": m.id}) for m in fitting[:5]]


def _when_and_how_much(fact: Fact) -> list[Choice]:
    out = [
        Choice(f"{severity.value}", {"severity": severity.value})
        for severity in Severity
        if severity is not fact.severity and _may_be_bad(fact)
    ]
    if fact.severity is not None:
        out.append(Choice("no word on how bad", {"severity": None}))
    if fact.historical:
        out.append(Choice("seen today, not earlier", {"historical": None}))
    else:
        out.append(Choice("seen earlier, not today", {"historical": True}))
    return out


def _may_be_bad(fact: Fact) -> bool:
    """Whether how bad it is can be told of it: thrush, not a sound trot."""
    item = find_item(fact.code, "finding")
    graded = item is None or item.more.get("graded", True)
    return fact.kind is FactKind.FINDING and not fact.negated and graded


def _planned(fact: Fact) -> list[Choice]:
    if fact.planned:
        return [Choice("done today, not planned", {"planned": None})]
    return [Choice("planned for later, not done today", {"planned": True})]


def _words(text: str) -> frozenset[str]:
    return frozenset(text.lower().replace("(", " ").replace(")", " ").split()) - _PASSING


def _similar(fact: Fact) -> list[Choice]:
    """Others of the same sort whose names share a word with this one."""
    if fact.kind not in _DATA:
        return []
    name, table = _DATA[fact.kind]
    mine = _words(label(fact.code, table))
    others = [item for item in items(name) if item.id != fact.code and not item.plain]
    near = [item for item in others if mine & _words(item.label)]
    near.sort(key=lambda item: -len(mine & _words(item.label)))
    return [Choice(item.label, {"code": item.id}) for item in near[:4]]
