"""Lists of numbers for a list of feet: "fifty, fifty-two, fifty-four, fifty-four, in that order".

Three or four like numbers in a row answer to as many feet named in a row, just before or just
behind them; four numbers alone in their sentence are of the four feet.
"""

from __future__ import annotations

from dataclasses import replace

from fieldlog.core.units import Unit
from fieldlog.language.values.order import is_cue
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import Line

FOUR = ("LF", "RF", "LH", "RH")
_JOINS = frozenset({",", "and", "then", "|", "the", "a"})
_APART = 14
"""Most words between the feet and their numbers."""


def settle_lists(line: Line) -> None:
    """Tie every list of numbers to its list of feet, before any number is classified."""
    runs = _runs(line, [m for m in line.marks if m.kind == "number"])
    for run in runs:
        _share_degrees(line, run)
    used: set[int] = set()
    for run in [r for r in runs if len(r) in (3, 4) and _alike(r)]:
        for feet in _runs(line, [m for m in line.marks if m.kind == "foot"]):
            codes = [m.code for m in feet]
            if len(feet) == len(run) == len({*codes} & {*FOUR}) and _beside(line, run, feet):
                for number, code in zip(run, codes, strict=True):
                    number.tags |= {f"feet:{code}", "order"}
                used |= {id(m) for m in feet}
                break
    line.marks = [m for m in line.marks if id(m) not in used]


def order_told(line: Line, before: Mark) -> tuple[str, ...]:
    """The order in which the four feet were named last, if all were, each by itself."""
    codes = tuple(m.code for m in line.marks if m.kind == "foot" and m.end <= before.start)[-4:]
    return codes if {*codes} == {*FOUR} else ()


def _runs(line: Line, marks: list[Mark]) -> list[list[Mark]]:
    """Marks with nothing but commas and "and" between them."""
    out: list[list[Mark]] = []
    for mark in marks:
        last = out[-1][-1] if out else None
        if last is not None and {line.norm(i) for i in range(last.end, mark.start)} <= _JOINS:
            out[-1].append(mark)
        else:
            out.append([mark])
    return out


def _alike(run: list[Mark], ratio: float = 1.8) -> bool:
    sizes = [m.number.value for m in run]
    return bool(0 < max(sizes) <= ratio * min(sizes))


def _beside(line: Line, run: list[Mark], feet: list[Mark]) -> bool:
    """Whether no other foot or number stands between the two lists, and not much else."""
    low, high = (feet[-1].end, run[0].start) if feet[0].start < run[0].start else (
        run[-1].end, feet[0].start)  # fmt: skip
    between = [m for m in line.marks if low <= m.start < high]
    return 0 <= high - low <= _APART and not any(
        m.kind in ("foot", "number", "finding") for m in between
    )


def _share_degrees(line: Line, run: list[Mark]) -> None:
    """ "Fifty-one, fifty-five, fifty-four, fifty-four degrees"; four alone that can be no else."""
    units = {m.number.unit for m in run}
    begin, end = next(s for s in line.sentences() if s[0] <= run[0].start < s[1])
    told = [m for m in line.marks if begin <= m.start < end and m.kind != "role"]
    header = any(is_cue(m) for m in line.marks if begin - 12 <= m.start < begin)
    steep = all(m.number.form == "plain" and 44 <= m.number.value <= 65 for m in run)
    alone = len(run) == 4 == len(told) and steep and not header
    if not (alone and units == {None}) and not (
        len(run) > 1
        and units == {None, Unit.DEGREE}
        and run[-1].number.unit is not None
        and _alike(run, 1.3)
    ):
        return
    for mark in run:
        mark.number = mark.value = replace(mark.number, unit=Unit.DEGREE)
        if alone:
            mark.tags.add("order")
