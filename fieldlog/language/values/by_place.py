"""The length or the angle of a place, by the unit or by the size of the number."""

from __future__ import annotations

from fieldlog.core.units import UNITS, Dimension, Unit
from fieldlog.language.numbers.spoken import NumberSpan
from fieldlog.language.values.around import Around
from fieldlog.language.values.kinds import PLACE_KINDS, Value, fits, likely_units
from fieldlog.language.values.making import value_of
from fieldlog.language.values.neighbours import length_before, length_follows, unit_beside
from fieldlog.language.values.sense import one_side
from fieldlog.language.words.marks import Mark


def from_place(note: Around, place: str, mark: Mark, rule: str) -> Value | None:
    """The length or the angle of a place, by the unit or by the number's size."""
    span, kinds = mark.value, PLACE_KINDS[place]
    if span.unit is not None:
        kind = kinds.get(UNITS[span.unit].dimension)
        return value_of(note, kind, mark, rule) if kind and _near(kind, span) else None
    if Dimension.LENGTH in kinds:
        if _as_thick(note, mark, kinds[Dimension.LENGTH]):
            return None
        if _length_only(note, place, mark):
            kinds = {Dimension.LENGTH: kinds[Dimension.LENGTH]}
    readings = _readings(note, place, kinds, span)
    if not readings:
        return None
    kind, unit = readings[0]
    found = value_of(note, kind, mark, rule, unit)
    found.rivals = readings[1:]
    return found


def _as_thick(note: Around, mark: Mark, kind: str) -> bool:
    """ "Eight mil at the toe, seven at the quarters": the wall's thickness."""
    unit = unit_beside(note.line, mark)
    value = mark.value.value
    return unit is not None and not any(fits(kind, value * by, unit) for by in (1, 1.5))


def _length_only(note: Around, place: str, mark: Mark) -> bool:
    """ "Toe eighty-eight, heel thirty-eight": who measures the toe in mil does so the heel."""
    if length_follows(note.line, mark) or length_before(note.line, mark):
        return True
    if place != "heel":
        return False
    metric = mark.value.value <= 45 and any(
        m.kind == "value"
        and m.code == "toe_length"
        and m.end <= mark.start
        and m.value.quantity.unit is Unit.MM
        for m in note.line.marks
    )
    return metric or one_side(note.line, mark)


def _readings(
    note: Around, place: str, kinds: dict[Dimension, str], span: NumberSpan
) -> list[tuple[str, Unit]]:
    """Kinds and units that a number without a unit may be of, the likeliest first."""
    angle, length = kinds.get(Dimension.ANGLE), kinds.get(Dimension.LENGTH)
    readings: list[tuple[str, Unit]] = []
    low, high = (18, 33) if place == "coronet" else (30, 75)
    if angle and low <= span.value <= high and fits(angle, span.value, Unit.DEGREE):
        readings.append((angle, Unit.DEGREE))
    if length:
        readings += [(length, unit) for unit in likely_units(length, span.value, note.habit)]
    return readings


def possible(place: str, span: NumberSpan) -> bool:
    """Whether a length may be of a place, as far as its size goes."""
    if span.unit is None or UNITS[span.unit].dimension is not Dimension.LENGTH:
        return True
    kind = PLACE_KINDS[place].get(Dimension.LENGTH)
    return kind is None or _near(kind, span)


def _near(kind: str, span: NumberSpan) -> bool:
    """Whether a value with its unit is not far out of the range of a kind that a place gave."""
    return any(fits(kind, span.value * by, span.unit or Unit.MM) for by in (1, 2, 0.5))
