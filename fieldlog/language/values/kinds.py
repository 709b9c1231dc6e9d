"""What numbers may mean: kinds of measure by place, units that fit a size, and a value's shape."""

from __future__ import annotations

from dataclasses import dataclass, field

from fieldlog.core.units import UNITS, Dimension, Quantity, Unit
from fieldlog.language.lexicon import find_item
from fieldlog.language.numbers.spoken import NumberSpan

PLACE_KINDS: dict[str, dict[Dimension, str]] = {
    "toe": {Dimension.LENGTH: "toe_length", Dimension.ANGLE: "toe_angle"},
    "dorsal_wall": {Dimension.LENGTH: "toe_length", Dimension.ANGLE: "toe_angle"},
    "heel": {Dimension.LENGTH: "heel_length", Dimension.ANGLE: "heel_angle"},
    "heel_bulb": {Dimension.LENGTH: "heel_length", Dimension.ANGLE: "heel_angle"},
    "sole": {Dimension.LENGTH: "sole_depth"},
    "hoof": {Dimension.LENGTH: "hoof_length", Dimension.ANGLE: "toe_angle"},
    "coronet": {Dimension.ANGLE: "coronet_angle", Dimension.LENGTH: "coronet_circumference"},
    "frog": {Dimension.LENGTH: "frog_length"},
}
SIZED = {
    ("frog", "wide"): "frog_width",
    ("frog", "long"): "frog_length",
    ("hoof", "wide"): "hoof_width",
    ("hoof", "long"): "hoof_length",
    ("sole", "deep"): "sole_depth",
    ("toe", "long"): "toe_length",
    ("heel", "long"): "heel_length",
    ("heel", "high"): "heel_height",
}
CONNECTING = frozenset({"copula", "adverb", "article", "versus", "joint", "starter", "by",
                        "moderate", "mild", "unsure_before", "farrier_says", "against_foot",
                        "vet_says", "owner_says", "good_word", "urgent"})  # fmt: skip
DETERMINERS = frozenset({"a", "an", "that", "with", "got", "has", "his", "her", "of", "at"})
ANGLED = frozenset(
    {"underrun", "rotation", "axis_broken_back", "axis_broken_forward", "axis_broken"}
)
_CLOSE = 0.2
"""By how much of itself a number is read wrongly: a gauge by some degrees, a tape by an eighth."""
WORK_ANGLE = frozenset({"wedge", "pad", "bar_shoe", "shoe", "raise_heel"})


@dataclass(slots=True)
class Value:
    """A number with its meaning."""

    kind: str
    """Measure id, or ``size`` for an attribute of a finding or a job."""
    quantity: Quantity
    rule: str
    measure: str = ""
    """For sizes: ``width``, ``length``, ``depth``, ``remaining``, ``below_coronet``, ..."""
    places: tuple[str, ...] = ()
    sure: bool = True
    """False if no cue was said."""
    rivals: list[tuple[str, Unit]] = field(default_factory=list)
    """Other kinds and units that fit as well."""


def about_as_large(old: NumberSpan, new: NumberSpan) -> bool:
    """Whether a number may be the one before it, read better."""
    before, after = float(old.value), float(new.value)
    return before > 0 and before != after and abs(after - before) <= _CLOSE * before


def horn(span: NumberSpan) -> float:
    """Millimetres of a length."""
    return float(span.value * UNITS[span.unit].to_base) if span.unit is not None else 0.0


def dimension_of(kind: str) -> Dimension:
    """What a measure id measures."""
    item = find_item(kind, "measure")
    return Dimension(item.more.get("dimension", "length")) if item else Dimension.LENGTH


def fits(kind: str, value: float, unit: Unit) -> bool:
    """Whether a value lies in the plausible range of its kind."""
    item = find_item(kind, "measure")
    if item is None or UNITS[unit].dimension is not dimension_of(kind):
        return False
    base = value * UNITS[unit].to_base
    return float(item.more.get("low", 0)) <= base <= float(item.more.get("high", 1e9))


def likely_units(kind: str, value: float, habit: str = "") -> list[Unit]:
    """Units for an unsaid one, likeliest first; none if nothing is plausible.

    Args:
        kind: measure id.
        value: the number.
        habit: ``in`` or ``mm`` if the farrier always means that.
    """
    dimension = dimension_of(kind)
    if dimension is Dimension.ANGLE:
        return [Unit.DEGREE]
    if dimension is Dimension.MASS:
        return [Unit.LB, Unit.KG] if value > 650 else [Unit.KG, Unit.LB]
    horse = find_item(kind, "measure")
    if horse is not None and horse.per == "horse":
        if kind == "height" and value < 20:
            return [Unit.HAND]
        return [Unit.INCH, Unit.CM] if value <= 100 else [Unit.CM]
    order = [Unit.INCH, Unit.MM]
    tenths = value < 20 and (value * 16) % 1 and abs(value * 10 - round(value * 10)) < 1e-6
    if tenths and fits(kind, value, Unit.CM):
        return [Unit.CM]  # "eight point four": no tape has tenths of an inch
    if habit == "mm" or (kind in ("depth", "remaining") and value >= 2):
        order = [Unit.MM, Unit.INCH]
    units = [u for u in order if fits(kind, value, u)]
    if units or (kind.startswith("heel") and float(value).is_integer()):
        return units  # "seven at the quarters and six at the heels" is the wall's thickness
    return [u for u in (Unit.CM,) if fits(kind, value, u)]


def quantity_of(span: object, unit: Unit, inferred: bool) -> Quantity:
    value = getattr(span, "value")  # noqa: B009
    return Quantity(
        value=value,
        unit=unit,
        high=getattr(span, "high", None),
        approximate=bool(getattr(span, "approximate", False)),
        unit_inferred=inferred,
        qualifier=getattr(span, "qualifier", "") or "",
        spoken=getattr(span, "spoken", "") or "",
    )


def default_unit(dimension: Dimension, value: float) -> Unit:
    if dimension is Dimension.LENGTH:
        return Unit.INCH if value < 20 else Unit.MM
    if dimension is Dimension.MASS:
        return Unit.LB
    return Unit.DEGREE


def as_digits(value: float, spoken: str) -> str:
    return str(int(value)) if float(value).is_integer() else spoken
