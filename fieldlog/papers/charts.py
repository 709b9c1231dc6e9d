"""Charts as PNG or SVG, and sparklines for the terminal.

Lines differ by marker and dash as well as by colour, so that they hold up in grey and for eyes
that mix colours up. A grade is never drawn with another scale's grades on one axis.
"""

from __future__ import annotations

import io
from collections.abc import Sequence, Set
from dataclasses import dataclass
from datetime import date
from typing import Any

from fieldlog.core.units import UNITS, Unit

BARS = "▁▂▃▄▅▆▇█"

_LOOKS = (
    ("o", "-", "#0b5394"),
    ("s", "--", "#b45f06"),
    ("^", "-.", "#38761d"),
    ("D", ":", "#741b47"),
    ("v", "-", "#444444"),
    ("P", "--", "#134f5c"),
)


@dataclass(frozen=True, slots=True)
class Point:
    """One value on one day."""

    day: date
    value: float
    low: float | None = None
    """Lower and upper end of an interval, if there is one."""
    high: float | None = None
    before_work: bool = False
    """Measured before the work of that day; drawn hollow."""


@dataclass(frozen=True, slots=True)
class Trace:
    """One line of a chart."""

    label: str
    points: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class Panel:
    """One set of axes: traces that share a unit and, for grades, a scale."""

    title: str
    unit: str
    traces: tuple[Trace, ...]


def sparkline(values: Sequence[float], low: float | None = None, high: float | None = None) -> str:
    """A row of block characters, one a value, from ``low`` to ``high`` (the values' own ends).

    >>> sparkline([1, 2, 3])
    '▁▅█'
    """
    if not values:
        return ""
    bottom = min(values) if low is None else low
    top = max(values) if high is None else high
    if top <= bottom:
        return BARS[3] * len(values)
    steps = len(BARS) - 1
    return "".join(
        BARS[max(0, min(steps, int((value - bottom) / (top - bottom) * steps + 0.5)))]
        for value in values
    )


def draw(panels: Sequence[Panel], title: str, form: str = "png") -> bytes:
    """The panels one under another.

    Args:
        panels: those without any point are left out.
        title: over all of them.
        form: ``png`` or ``svg``.

    Raises:
        ValueError: another form, or nothing to draw.
    """
    if form not in ("png", "svg"):
        raise ValueError(f"a chart is png or svg, not {form!r}")
    shown = [p for p in panels if any(t.points for t in p.traces)]
    if not shown:
        raise ValueError("there is nothing to draw")
    import matplotlib
    from matplotlib import dates
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    ticks: Any = dates

    with matplotlib.rc_context({"svg.hashsalt": "fieldlog", "svg.fonttype": "none"}):
        figure = Figure(figsize=(8, 0.7 + 2.6 * len(shown)), layout="constrained")
        FigureCanvasAgg(figure)
        figure.suptitle(title, fontsize=12, parse_math=False)
        axes = figure.subplots(len(shown), 1, squeeze=False, sharex=True)[:, 0]
        for axis, panel in zip(axes, shown, strict=True):
            _panel(axis, panel)
            locator = ticks.AutoDateLocator(minticks=3, maxticks=8)
            axis.xaxis.set_major_locator(locator)
            axis.xaxis.set_major_formatter(ticks.ConciseDateFormatter(locator))
        out = io.BytesIO()
        metadata: dict[str, Any] = {"Date": None} if form == "svg" else {"Software": "fieldlog"}
        figure.savefig(out, format=form, dpi=130, metadata=metadata)
    return out.getvalue()


def _panel(axis: Any, panel: Panel) -> None:
    traces = [t for t in panel.traces if t.points]
    for number, trace in enumerate(traces):
        marker, dash, colour = _LOOKS[number % len(_LOOKS)]
        ordered = sorted(trace.points, key=lambda p: (p.day, not p.before_work))
        xs, ys = [p.day for p in ordered], [p.value for p in ordered]
        axis.plot(xs, ys, dash, color=colour, linewidth=1.3, label="_line")
        _marks(axis, ordered, trace.label, marker, colour)
        _uncertainty(axis, ordered, colour)
    axis.set_title(panel.title, fontsize=10, loc="left", parse_math=False)
    axis.set_ylabel(panel.unit, parse_math=False)
    axis.grid(True, alpha=0.3)
    if panel.unit == "mm":  # as the tables have it: who thinks in inches reads those
        inch = UNITS[Unit.INCH].to_base
        inches = axis.secondary_yaxis("right", functions=(lambda v: v / inch, lambda v: v * inch))
        inches.set_ylabel("in")
    _room_for_one_day(axis, {p.day for t in traces for p in t.points})
    axis.legend(fontsize=8, loc="best")


def _marks(axis: Any, points: Sequence[Point], label: str, marker: str, colour: str) -> None:
    """The values themselves; hollow where they were taken before the work."""
    for hollow in (False, True):
        some = [p for p in points if p.before_work is hollow]
        if some:
            axis.plot(
                [p.day for p in some],
                [p.value for p in some],
                marker,
                color=colour,
                markerfacecolor="white" if hollow else colour,
                label=_plain(f"{label}, before" if hollow else label),
            )


def _uncertainty(axis: Any, points: Sequence[Point], colour: str) -> None:
    """A bar from the lowest to the highest value where a range is known."""
    spans = [p for p in points if p.low is not None and p.high is not None]
    if not spans:
        return
    below = [max(0.0, p.value - (p.low or 0.0)) for p in spans]
    above = [max(0.0, (p.high or 0.0) - p.value) for p in spans]
    axis.errorbar(
        [p.day for p in spans],
        [p.value for p in spans],
        yerr=[below, above],
        fmt="none",
        ecolor=colour,
        capsize=3,
    )


def _room_for_one_day(axis: Any, days: Set[date]) -> None:
    """Two weeks on both sides of a single day, which has no width of its own."""
    if len(days) == 1:
        only = next(iter(days)).toordinal()
        axis.set_xlim(date.fromordinal(only - 14), date.fromordinal(only + 14))


def _plain(label: str) -> str:
    """A label that matplotlib takes literally (no mathematics, no hidden entry)."""
    text = label.replace("$", "\\$")
    return f" {text}" if text.startswith("_") else text
