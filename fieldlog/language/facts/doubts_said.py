"""Why a fact is to be looked at, and what else it could be."""

from __future__ import annotations

from dataclasses import replace

from fieldlog.core.changed import changed
from fieldlog.core.facts import Fact, Reading
from fieldlog.core.feet import ALL_FEET, Foot
from fieldlog.language.lexicon import find_item
from fieldlog.language.values.kinds import Value, fits
from fieldlog.language.wording import unit_fits


def across(foot: Foot) -> Foot:
    """The foot of the same side at the other end."""
    return next(f for f in ALL_FEET if f.is_left == foot.is_left and f.is_front != foot.is_front)


def value_doubts(fact: Fact, value: Value) -> Fact:
    quantity = value.quantity
    if quantity.unit_inferred and value.rivals:
        fact = fact.with_doubt("unit_inferred", unit_fits(quantity.unit))
    if not value.sure:
        fact = fact.with_doubt("competing_readings", "No word said what this number measures.")
    if not fits(value.kind, quantity.value, quantity.unit):
        fact = fact.with_doubt("out_of_range", "This value is outside the usual range.")
    readings = list(fact.readings)
    for kind, unit in value.rivals[:3]:
        other = replace(quantity, unit=unit, unit_inferred=True)
        item = find_item(kind, "measure")
        label = f"{item.label if item else kind} {other.shown()}"
        changes = {
            "code": kind,
            "quantity": {
                "value": other.value,
                "unit": unit.value,
                "unit_inferred": True,
                "spoken": other.spoken,
            },
        }
        readings.append(Reading(label, changes))
    return changed(fact, readings=tuple(readings))
