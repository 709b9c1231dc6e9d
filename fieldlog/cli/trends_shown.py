"""The course of a horse's measurements, as lines of the terminal or as a picture."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from fieldlog.cli.session import Session, plain, print_json, say, write_file
from fieldlog.errors import InputError, NotFound

if TYPE_CHECKING:
    from fieldlog.core.feet import Foot
    from fieldlog.papers.trends import Value
    from fieldlog.records.types import Horse

Courses = Mapping[tuple[str, str, str], Sequence["Value"]]
"""Values in the order of their days, by what was measured, where, and its code."""


def print_trends(
    session: Session, horse: Horse, foot: Foot | None, since: date | None, as_json: bool
) -> None:
    """Each measure of each foot in one line, then what follows from them."""
    from fieldlog.core.units import in_inches
    from fieldlog.papers.gather import visit_notes
    from fieldlog.papers.trends import assumptions, values_of, worked_out

    british = session.settings.british_names
    values = [
        v
        for v in values_of(visit_notes(session.store.entries_of(horse.id)))
        if (not since or v.day >= since) and (not foot or v.foot is foot)
    ]
    if as_json:
        print_json([plain(v) for v in values])
        return
    if not values:
        say(f"No measurements of {horse.name}{asked_for(foot, since, british)} are saved.")
        return
    measured = (saved.fact.quantity for saved in session.store.saved_facts(horse.id))
    _print(_courses(values, british), in_inches(measured, session.settings.length_unit))
    sentences = worked_out(values, british)
    if sentences:
        say("\n" + "\n".join(sentences))
        say(assumptions())


def asked_for(foot: Foot | None, since: date | None, british: bool) -> str:
    """``, left front since 2026-03-01``: what of a horse was asked for; empty if all."""
    from fieldlog.language.wording import describe_feet

    where = f", {describe_feet((foot,), british)}" if foot else ""
    return f"{where} since {since}" if since else where


def _courses(values: Sequence[Value], british: bool) -> Courses:
    from fieldlog.language.wording import describe_feet, label
    from fieldlog.papers.trends import scale_words

    found: dict[tuple[str, str, str], list[Value]] = {}
    for v in values:
        where = describe_feet((v.foot,), british) if v.foot else "whole horse"
        moment = v.moment if v.moment == "before" else ""
        what = " ".join(part for part in (scale_words(v.scale) or label(v.code), moment) if part)
        found.setdefault((what, where, v.code), []).append(v)
    return found


def _print(courses: Courses, inches: bool) -> None:
    wide = max(len(where) for _, where, _ in courses)
    bars = {key: _course([v.value for v in some]) for key, some in courses.items()}
    long = max(map(len, bars.values()))
    measure = ""
    for key, some in sorted(courses.items()):
        what, where, _ = key
        if what != measure:  # the measure once, its feet under it: a line fits the terminal
            say(what)
            measure = what
        first, last = (_measured(v, inches) for v in (some[0], some[-1]))
        days = (
            f"{first} to {last}, {some[0].day} to {some[-1].day}"
            if len(some) > 1
            else f"{first}, {some[0].day}"
        )
        say(f"  {where:{wide}}  {bars[key]:{long}}  {days}")


COURSE = 15
"""Values of a course at most: with names and days the line still fits 80 columns."""


def _course(values: Sequence[float]) -> str:
    """The newest values as bars; a ``…`` stands for those before."""
    from fieldlog.papers.charts import sparkline

    before = "…" if len(values) > COURSE else ""
    return before + sparkline(values[-(COURSE - len(before)) :])


def _measured(value: Value, inches: bool) -> str:
    """A value with its unit; a length in inches or in millimetres."""
    from fieldlog.core.units import Dimension, Quantity, Unit, convert
    from fieldlog.language.values.kinds import dimension_of

    if value.scale:
        return f"{value.value:g}"
    units = {Dimension.ANGLE: Unit.DEGREE, Dimension.MASS: Unit.KG}
    dimension = dimension_of(value.code)
    if dimension is not Dimension.LENGTH:
        return Quantity(value.value, units.get(dimension, Unit.GRADE)).shown()
    if not inches:
        return Quantity(round(value.value), Unit.MM).shown()
    return Quantity(convert(value.value, Unit.MM, Unit.INCH), Unit.INCH).shown()


def write_chart(session: Session, horse: Horse, chart: Path, force: bool) -> None:
    """Write the trends as a picture.

    Raises:
        InputError: another form, or a file that is there.
        NotFound: nothing was measured.
    """
    from fieldlog.papers.charts import draw
    from fieldlog.papers.gather import visit_notes
    from fieldlog.papers.trends import panels, values_of

    form = chart.suffix.lower().lstrip(".")
    if form not in ("png", "svg"):
        raise InputError(f"“{chart.suffix}” is no picture that can be made.", "Use .png or .svg.")
    values = values_of(visit_notes(session.store.entries_of(horse.id)))
    found = panels(values, session.settings.british_names)
    if not found:
        raise NotFound(f"No measurements of {horse.name} are saved.", "Save a note with some.")
    write_file(chart, draw(found, horse.name, form), force)
    say(f"Wrote {chart}.")
