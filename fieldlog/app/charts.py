"""Small charts for the terminal: values over time, left against right, told apart by letters."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date

from fieldlog.core.feet import Foot

SIGNS = {"L": "L", "R": "R", "LR": "B", "l": "l", "r": "r", "lr": "b"}
"""What is drawn where these marks meet, in sorted order."""
MIXED = "*"
LEGEND = "L left  R right  B both  small letter: before the work  * before and after"


@dataclass(frozen=True, slots=True)
class Point:
    """One measured value."""

    day: date
    value: float
    """In the unit of the chart."""
    foot: Foot
    before: bool = False
    """Measured before the work of that day."""


def plot(
    points: Sequence[Point],
    width: int,
    height: int = 6,
    shown: Callable[[float], str] = lambda v: f"{v:g}",
) -> list[str]:
    """A chart as rows of equal width; empty without points.

    Args:
        points: of one pair of feet.
        width: columns, at least 30.
        height: rows for the values, at least 2.
        shown: how a value is written at the axis.
    """
    if not points:
        return []
    width, height = max(30, width), max(2, height)
    low, high = min(p.value for p in points), max(p.value for p in points)
    flat = low == high
    if flat:
        low, high = low - 1, high + 1
    labels = [shown(high), shown((low + high) / 2), shown(low)]
    margin = max(len(label) for label in labels[flat : 2 if flat else 3]) + 1
    inner = width - margin - 2
    at = _axis_labels(labels, height, flat)
    rows = [
        f"{at.get(y, ''):>{margin}} {'┤' if y in at else '│'}{''.join(row)}"
        for y, row in enumerate(_grid(points, inner, height, low, high))
    ]
    rows.append(f"{'':>{margin}} └{'─' * inner}")
    start, end = min(p.day for p in points).isoformat(), max(p.day for p in points).isoformat()
    dates = start if start == end else start + end.rjust(inner - len(start))
    rows.append(f"{'':>{margin}}  {dates}".ljust(width)[:width])
    return rows


def _grid(
    points: Sequence[Point], width: int, height: int, low: float, high: float
) -> list[list[str]]:
    """The marks, row by row from ``high`` to ``low``, column by column from first to last day."""
    first, last = min(p.day for p in points), max(p.day for p in points)
    days = max(1, (last - first).days)
    marks: dict[tuple[int, int], set[str]] = {}
    for point in points:
        x = round((point.day - first).days / days * (width - 1)) if last != first else width // 2
        y = height - 1 - round((point.value - low) / (high - low) * (height - 1))
        letter = "L" if point.foot.is_left else "R"
        marks.setdefault((y, x), set()).add(letter.lower() if point.before else letter)
    grid = [[" "] * width for _ in range(height)]
    for (y, x), found in marks.items():
        grid[y][x] = SIGNS.get("".join(sorted(found)), MIXED)
    return grid


def _axis_labels(labels: Sequence[str], height: int, flat: bool) -> dict[int, str]:
    """Which row has which of the labels for the highest, the middle and the lowest value."""
    if flat:  # one value only, and its row is the middle one
        return {height - 1 - round((height - 1) / 2): labels[1]}
    at = {0: labels[0], height - 1: labels[2]}
    if height > 2 and labels[1] not in (labels[0], labels[2]):
        at[height // 2] = labels[1]
    return at


def trend_words(points: Sequence[Point], shown: Callable[[float], str]) -> list[str]:
    """The same in words: ``left front: first 3 1/2 in, last 3 1/4 in (5 values)``, one a foot."""
    parts = []
    for foot in Foot:
        own = sorted((p for p in points if p.foot is foot), key=lambda p: (p.day, not p.before))
        if own:
            times = "1 value" if len(own) == 1 else f"{len(own)} values"
            first, last = shown(own[0].value), shown(own[-1].value)
            parts.append(f"{foot.american}: first {first}, last {last} ({times})")
    return parts
