"""Change over time from saved measurements: charts, growth, grow-out. All worked out, so marked.

Nothing here gives a verdict. Rates state what they assume: that both readings were taken the same
way, each good to a millimetre; the published range of adult growth stands beside them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from fieldlog.core.computed import (
    DAYS_PER_MONTH,
    GROWTH_MM_PER_MONTH,
    LENGTH_TOLERANCE_MM,
    Growth,
    grow_out,
    growth,
    left_right,
    weight_kg,
)
from fieldlog.core.facts import Fact, FactKind
from fieldlog.core.feet import ALL_FEET, FRONTS, Foot
from fieldlog.core.scales import SCALES
from fieldlog.language.wording import describe_feet, label
from fieldlog.papers.charts import Panel, Point, Trace
from fieldlog.papers.content import VisitNotes, short_day

CHARTED = ("toe_length", "toe_angle", "heel_angle", "remaining", "girth")
"""Measures that get a chart of their own, besides the grades."""

UNSAID = "scale not said"

_UNITS = {"toe_angle": "degrees", "heel_angle": "degrees"}


@dataclass(frozen=True, slots=True)
class Value:
    """One value of one measure on one foot."""

    day: date
    code: str
    foot: Foot | None
    value: float
    """mm, degrees, kg; grades as spoken."""
    moment: str
    """``before`` or ``after`` the work of that day, or empty."""
    scale: str = ""
    """For grades; grades of different scales are never put together."""


def values_of(visits: Iterable[VisitNotes]) -> list[Value]:
    """Measured values, oldest first, with before and after told apart.

    Where a length was said twice for the same foot on one day without a word on it, the first is
    taken as before the work and the second as after it (the order in which one works).
    """
    found: list[Value] = []
    for visit in visits:
        today: list[Value] = []
        for fact in visit.facts:
            today += _values(fact, visit.day)
        for at, value in enumerate(today):
            if value.code != "toe_length" or value.moment:
                continue
            twins = [v for v in today if (v.code, v.foot) == (value.code, value.foot)]
            if len(twins) == 2 and not any(v.moment for v in twins if v is not value):
                today[at] = replace(value, moment="before" if value is twins[0] else "after")
            elif len(twins) == 2 and twins[0].moment == "before":
                today[at] = replace(value, moment="after")
        found += today
    return found


def _values(fact: Fact, day: date) -> list[Value]:
    quantity = fact.quantity
    if quantity is None or fact.negated or fact.historical:
        return []
    if fact.kind not in (FactKind.MEASUREMENT, FactKind.SCORE):
        return []
    amount = quantity.base
    if quantity.high is not None:
        amount = (quantity.value + quantity.high) / 2 * (quantity.base / quantity.value or 1.0)
    moment = fact.details.get("moment", "")
    scale = fact.details.get("scale", UNSAID) if fact.kind is FactKind.SCORE else ""
    feet: tuple[Foot | None, ...] = fact.feet or (None,)
    if fact.kind is FactKind.SCORE:
        feet = (None,) if fact.code == "condition" else feet
    return [Value(day, fact.code, foot, amount, moment, scale) for foot in feet]


def panels(values: Sequence[Value], british: bool = False) -> list[Panel]:
    """Charts: one a measure, one a grade and scale, one of growth."""
    groups: dict[tuple[str, str], dict[Foot | None, list[Point]]] = {}
    for v in values:
        if v.code in CHARTED or v.scale:
            groups.setdefault((v.code, v.scale), {}).setdefault(v.foot, []).append(
                Point(v.day, v.value, before_work=v.moment == "before")
            )
    order = {code: at for at, code in enumerate(CHARTED)}
    made = []
    for code, scale in sorted(groups, key=lambda k: (order.get(k[0], 99), k)):
        traces = tuple(
            Trace(_foot(foot, british), tuple(points))
            for foot, points in sorted(groups[code, scale].items(), key=lambda i: _rank(i[0]))
        )
        title = ", ".join(part for part in (label(code), scale_words(scale)) if part)
        made.append(Panel(title, "grade" if scale else _UNITS.get(code, "mm"), traces))
    rates = growths(values)
    if rates:
        traces = tuple(
            Trace(_foot(foot, british), tuple(Point(d, g.per_week, g.low, g.high) for d, g in some))
            for foot, some in rates.items()
        )
        made.append(Panel("Toe growth between visits, with its interval", "mm a week", traces))
    return made


def scale_words(scale: str) -> str:
    """``AAEP lameness, 0 to 5``: a scale as people name it."""
    known = SCALES.get(scale)
    return known.name if known else scale


def _rank(foot: Foot | None) -> int:
    return ALL_FEET.index(foot) if foot else len(ALL_FEET)


def _foot(foot: Foot | None, british: bool) -> str:
    return describe_feet((foot,), british) if foot else "whole horse"


def growths(values: Sequence[Value]) -> dict[Foot, list[tuple[date, Growth]]]:
    """Toe growth of each foot: from the length left at one visit to that found at the next.

    Only where it is known that the earlier length was left by the work and the later one found
    before it; two lengths of which that is not known tell nothing about growth. A foot does not
    shrink: readings that would say so beyond their tolerance are left out (``misfits``).
    """
    return {
        foot: kept
        for foot, rates in _rates(values).items()
        if (kept := [(day, rate) for day, rate in rates if rate.high >= 0])
    }


def misfits(values: Sequence[Value]) -> list[tuple[date, Foot]]:
    """Days on which a toe was found shorter than the work before had left it."""
    return [
        (day, foot)
        for foot, rates in _rates(values).items()
        for day, rate in rates
        if rate.high < 0
    ]


def _rates(values: Sequence[Value]) -> dict[Foot, list[tuple[date, Growth]]]:
    rates: dict[Foot, list[tuple[date, Growth]]] = {}
    for foot in ALL_FEET:
        lengths = [v for v in values if v.code == "toe_length" and v.foot is foot]
        for later in (v for v in lengths if v.moment == "before"):
            left = [v for v in lengths if v.day < later.day and v.moment != "before"]
            if left:
                rate = growth(left[-1].value, later.value, left[-1].day, later.day)
                rates.setdefault(foot, []).append((later.day, rate))
    return rates


def worked_out(values: Sequence[Value], british: bool = False) -> list[str]:
    """Sentences on the newest values: growth, grow-out, left against right, weight."""
    return [
        *_growth_lines(values, british),
        *_grow_out_lines(values, british),
        *_left_right_lines(values, british),
        *_weight_lines(values),
    ]


def _growth_lines(values: Sequence[Value], british: bool) -> Iterator[str]:
    for foot, rates in growths(values).items():
        day, rate = rates[-1]
        yield (
            f"{_capital(_foot(foot, british))} toe grew {rate.per_week:.1f} mm a week "
            f"({rate.low:.1f} to {rate.high:.1f}) over {rate.weeks:.0f} weeks to {short_day(day)}."
        )
    for day, foot in misfits(values)[-2:]:
        yield (
            f"{_capital(_foot(foot, british))} toe: the length found on {short_day(day)} is "
            "shorter than the last trim left it. One of the two is wrong; no growth worked out."
        )


def _grow_out_lines(values: Sequence[Value], british: bool) -> Iterator[str]:
    """When what remains to grow out on a foot will be out; measured before the work or after."""
    for foot in ALL_FEET:
        left = [v for v in values if v.code == "remaining" and v.foot is foot]
        if left and left[-1].value > 0:
            day, window = left[-1].day, grow_out(left[-1].value)
            first = day + timedelta(days=window.soonest_months * DAYS_PER_MONTH)
            last = day + timedelta(days=window.latest_months * DAYS_PER_MONTH)
            yield (
                f"{_capital(_foot(foot, british))}: {left[-1].value:.0f} mm to go on "
                f"{short_day(day)}, expected out between {short_day(first)} and {short_day(last)}."
            )


def _left_right_lines(values: Sequence[Value], british: bool) -> Iterator[str]:
    for code, unit in (("toe_length", " mm"), ("toe_angle", "°")):
        pair = [_last(values, code, foot) for foot in FRONTS]
        if pair[0] and pair[1] and pair[0].day == pair[1].day:
            difference = left_right(pair[0].value, pair[1].value)
            day = short_day(pair[0].day)
            yield f"{_side_by_side(code, unit, difference, british)} on {day}."


def _weight_lines(values: Sequence[Value]) -> Iterator[str]:
    girth, length = _last(values, "girth", None), _last(values, "body_length", None)
    if girth and length and girth.day == length.day:
        kg = weight_kg(girth.value / 10, length.value / 10)
        yield (
            f"Weight about {kg:.0f} kg by girth and length on {short_day(girth.day)}: an adult's "
            "estimate, never for a drug dose."
        )


def _side_by_side(code: str, unit: str, difference: float, british: bool) -> str:
    """``Left front toe length was 1.6 mm less than right front``."""
    one, other = (_foot(foot, british) for foot in FRONTS)
    amount = f"{abs(difference):.1f}"
    if float(amount) == 0:
        return f"{_capital(label(code, 'measure'))} was the same on {one} and {other}"
    more = "more" if difference > 0 else "less"
    return f"{_capital(one)} {label(code, 'measure')} was {amount}{unit} {more} than {other}"


def assumptions() -> str:
    """What the sentences take for granted, with sources."""
    slow, fast = GROWTH_MM_PER_MONTH
    return (
        f"Worked out, not measured. Growth takes each length as good to {LENGTH_TOLERANCE_MM:.0f} "
        f"mm. Published adult growth is {slow:.0f} to {fast:.0f} mm a month (horsesport.com, "
        "nutrition for healthy hooves); grow-out dates use it. Weight: Carroll & Huntington, "
        "Equine Vet J 1988;20:41."
    )


def _last(values: Sequence[Value], code: str, foot: Foot | None) -> Value | None:
    found = [v for v in values if v.code == code and v.foot is foot and v.moment != "before"]
    return found[-1] if found else None


def _capital(text: str) -> str:
    return text[0].upper() + text[1:]
