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
    first, last = min(p.day for p in points), max(p.day for p in points)
    days = max(1, (last - first).days)
    labels = [shown(high), shown((low + high) / 2), shown(low)]
    margin = max(len(label) for label in labels[flat : 2 if flat else 3]) + 1
    inner = width - margin - 2
    marks: dict[tuple[int, int], set[str]] = {}
    for point in points:
        x = round((point.day - first).days / days * (inner - 1)) if last != first else inner // 2
        y = height - 1 - round((point.value - low) / (high - low) * (height - 1))
        letter = "L" if point.foot.is_left else "R"
        letter = letter.lower() if point.before else letter
        marks.setdefault((y, x), set()).add(letter)
    grid = [[" "] * inner for _ in range(height)]
    for (y, x), found in marks.items():
        grid[y][x] = SIGNS.get("".join(sorted(found)), MIXED)
    at = {0: labels[0], height // 2: labels[1], height - 1: labels[2]}
    if labels[1] in (labels[0], labels[2]):
        del at[height // 2]
    if flat:
        at = {height - 1 - round((height - 1) / 2): labels[1]}
    elif height < 3:
        at = {0: labels[0], height - 1: labels[2]}
    rows = [
        f"{at.get(y, ''):>{margin}} ┤{''.join(row)}"
        if y in at
        else f"{'':>{margin}} │{''.join(row)}"
        for y, row in enumerate(grid)
    ]
    rows.append(f"{'':>{margin}} └{'─' * inner}")
    start, end = first.isoformat(), last.isoformat()
    dates = start if first == last else start + end.rjust(inner - len(start))
    rows.append(f"{'':>{margin}}  {dates}".ljust(width)[:width])
    return rows


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
