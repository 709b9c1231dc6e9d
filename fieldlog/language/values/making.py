"""How a value is made of a number: its kind, its unit, what else it could be."""

from __future__ import annotations

from dataclasses import replace

from fieldlog.core.units import UNITS, Dimension, Unit
from fieldlog.language.values.around import Around
from fieldlog.language.values.kinds import (
    Value,
    default_unit,
    dimension_of,
    likely_units,
    quantity_of,
)
from fieldlog.language.words.marks import Mark


def value_of(
    note: Around, kind: str, mark: Mark, rule: str, unit: Unit | None = None, sure: bool = True
) -> Value:
    """The value of a number that is of a kind, as far as its unit and its sign allow.

    Args:
        note: where it stands.
        kind: a measure id; a spoken unit of another dimension decides against it.
        mark: the number.
        rule: what tells the kind.
        unit: where none was spoken, the one to take; None takes the likeliest.
        sure: False if no cue was said.
    """
    span = mark.value
    said = span.unit
    if said is Unit.DEGREE and dimension_of(kind) is not Dimension.ANGLE:
        kind = "heel_angle" if kind.startswith("heel") else "toe_angle"
    elif said is not None and UNITS[said].dimension is Dimension.MASS:
        kind = "weight"
    rivals: list[tuple[str, Unit]] = []
    wanted = dimension_of(kind)
    if kind == "palmar_angle" and note.line.norm(mark.start - 1) in ("minus", "negative"):
        span = replace(span, value=-span.value)
    if said is not None and UNITS[said].dimension is not wanted:
        said = None
    if said is None and unit is None:
        units = likely_units(kind, span.value, note.habit)
        unit = units[0] if units else default_unit(wanted, span.value)
        rivals = [(kind, other) for other in units[1:]]
    return Value(kind, quantity_of(span, said or unit or Unit.MM, said is None), rule,
                 sure=sure, rivals=rivals)  # fmt: skip


def size_of(mark: Mark, measure: str, rule: str) -> Value:
    """The size of a finding or the amount of a job, ``measure`` saying of which extent."""
    span = mark.value
    whole = span.form == "plain" and span.value >= 2 and measure == "amount"
    unit = span.unit or (Unit.MM if whole or span.value > 8 else Unit.INCH)
    return Value("size", quantity_of(span, unit, span.unit is None), rule, measure=measure)
