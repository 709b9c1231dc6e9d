"""Values worked out from what was said, always shown as worked out: pure.

The rules and their published sources are in ``fieldlog.core.computed``.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from fieldlog.app.grouping import Part
from fieldlog.core.computed import (
    ANGLE_TOLERANCE_DEGREES,
    GROWTH_MM_PER_MONTH,
    LENGTH_TOLERANCE_MM,
    UNDERRUN_DEGREES,
    frog_ratio,
    grow_out,
    heel_toe,
    left_right,
    weight_kg,
    weight_lb,
)
from fieldlog.core.facts import Fact, FactKind
from fieldlog.core.feet import ALL_FEET, FRONTS, HINDS, Foot
from fieldlog.core.redflags import DEFER, red_flags
from fieldlog.core.units import Unit, convert, show_number
from fieldlog.language.wording import label

_FOOT_PARTS = {Foot.LF: Part.LF, Foot.RF: Part.RF, Foot.LH: Part.LH, Foot.RH: Part.RH}


def worked_out(facts: Iterable[Fact], inches: bool = True) -> dict[Part, tuple[str, ...]]:
    """What follows from the measured values, by box.

    Args:
        facts: of one entry.
        inches: show lengths in inches, else in millimetres.
    """
    values = _values(facts)
    found: dict[Part, list[str]] = {}
    for foot in ALL_FEET:
        own = {code: value for (code, f), value in values.items() if f is foot}
        lines = _of_foot(own)
        if lines:
            found[_FOOT_PARTS[foot]] = lines
    for part, (left, right) in ((Part.FRONTS, FRONTS), (Part.HINDS, HINDS)):
        lines = [
            line
            for code in ("toe_length", "toe_angle")
            for line in _difference(
                code, values.get((code, left)), values.get((code, right)), inches
            )
        ]
        if lines:
            found[part] = lines
    weight = _weight(values.get(("girth", None)), values.get(("body_length", None)), inches)
    if weight:
        found[Part.HORSE] = [weight]
    return {part: tuple(lines) for part, lines in found.items()}


def flag_sentences(facts: Sequence[Fact]) -> tuple[str, ...]:
    """When to call a veterinarian, the most urgent first; what was denied raises nothing."""
    flags = red_flags(facts)
    if not flags:
        return ()
    return (*(flag.text.removesuffix(DEFER).strip() for flag in flags), DEFER)


def _values(facts: Iterable[Fact]) -> dict[tuple[str, Foot | None], float]:
    """Measured today and finished with: a value after the work goes before one before it."""
    out: dict[tuple[str, Foot | None], float] = {}
    for fact in sorted(facts, key=lambda f: f.details.get("moment", "") != "before"):
        if fact.kind is not FactKind.MEASUREMENT or fact.quantity is None:
            continue
        if fact.negated or fact.historical or fact.planned or fact.quantity.high is not None:
            continue
        for foot in fact.feet or (None,):
            out[(fact.code, foot)] = fact.quantity.base
    return out


def _of_foot(own: dict[str, float]) -> list[str]:
    lines = []
    if "toe_angle" in own and "heel_angle" in own:
        compared = heel_toe(own["toe_angle"], own["heel_angle"])
        by = f"{abs(compared.difference):g}°"
        limit = f"{UNDERRUN_DEGREES:g}°"
        if compared.underrun:
            lines.append(f"heel {by} under toe: underrun, over {limit}")
        elif compared.boundary:
            lines.append(f"heel {by} under toe: at the limit, no verdict")
        elif compared.difference > 0:
            lines.append(f"heel {by} under toe")
        elif compared.difference < 0:
            lines.append(f"heel {by} over toe")
        else:
            lines.append("heel and toe at one angle")
    if own.get("frog_length") and "frog_width" in own:
        ratio = frog_ratio(own["frog_width"], own["frog_length"])
        lines.append(f"frog width {ratio:.0%} of its length")
    if own.get("remaining", -1.0) >= 0:
        months = grow_out(own["remaining"])
        slow, fast = GROWTH_MM_PER_MONTH
        lines.append(
            f"grown out in {months.soonest_months:.1f} to {months.latest_months:.1f} months, "
            f"at {slow:g} to {fast:g} mm a month"
        )
    return lines


def _difference(code: str, left: float | None, right: float | None, inches: bool) -> list[str]:
    if left is None or right is None:
        return []
    by = left_right(left, right)
    angle = code.endswith("angle")
    if abs(by) < (ANGLE_TOLERANCE_DEGREES if angle else LENGTH_TOLERANCE_MM):
        return [f"{label(code, 'measure')}: left and right alike"]
    if angle:
        return [f"{label(code, 'measure')}: left {abs(by):g}° {'more' if by > 0 else 'less'}"]
    return [
        f"{label(code, 'measure')}: left {length_words(abs(by), inches)} "
        f"{'longer' if by > 0 else 'shorter'}"
    ]


def length_words(millimetres: float, inches: bool) -> str:
    """``3/16 in`` to the nearest sixteenth, or ``4.5 mm``."""
    if not inches:
        return f"{millimetres:.1f}".rstrip("0").rstrip(".") + " mm"
    nearest = round(convert(millimetres, Unit.MM, Unit.INCH) * 16) / 16
    return f"{show_number(nearest, Unit.INCH)} in"


def _weight(girth: float | None, length: float | None, inches: bool) -> str:
    if girth is None or length is None:
        return ""
    if inches:
        pounds = weight_lb(convert(girth, Unit.MM, Unit.INCH), convert(length, Unit.MM, Unit.INCH))
        shown = f"about {pounds:.0f} lb"
    else:
        shown = f"about {weight_kg(girth / 10, length / 10):.0f} kg"
    return f"weight {shown} by tape, an adult's estimate; never for a dose"
