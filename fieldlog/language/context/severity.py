"""How bad a thing is said to be."""

from __future__ import annotations

from fieldlog.core.facts import Severity
from fieldlog.language.lexicon import word_set
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import SEVERITIES, Line, UnitSaid

_MILD_INSIDE = frozenset({"bit", "little", "touch", "slightly", "tad", "shade"})
_BAD_INSIDE = frozenset({"badly", "awful", "awfully", "terrible", "terribly", "shocking"})
_GRADES = frozenset({"mild", "moderate", "severe", "bad", "serious", "slight", "medium"})
"""How bad a thing is; "a bit", "much" and "badly" before "worse" tell by how much."""


def severity_of(line: Line, unit: UnitSaid) -> Severity | None:
    """How bad it is said to be."""
    best: tuple[int, Severity] | None = None
    trends = {m.start for m in unit.roles("better", "worse", "larger", "smaller")}
    for mark in unit.roles(*SEVERITIES):
        a_grade = line.norm(mark.end - 1) in _GRADES
        if (mark.end in trends and not a_grade) or mark.start in trends:
            continue
        if line.text(mark) in _NO_GRADE or _of_another_thing(line, unit, mark):
            continue
        if mark.end <= unit.head.start:
            distance = unit.head.start - mark.end
        elif mark.start >= unit.head.end:
            distance = mark.start - unit.head.end + 1
        else:
            distance = 0
        if best is None or distance < best[0]:
            best = (distance, Severity(mark.code))
    if best is None and unit.head.item is not None:
        inside = {line.norm(i) for i in unit.head.covers()}
        if inside & _MILD_INSIDE or {"a", "hair"} <= inside:
            return Severity.MILD
        if inside & _BAD_INSIDE or (unit.head.code == "wound" and "deep" in inside):
            return Severity.SEVERE
    return best[1] if best else None


_NO_GRADE = word_set("no_grade")
_SIZES = frozenset({"little", "wee", "small", "big", "light"})


def _of_another_thing(line: Line, unit: UnitSaid, mark: Mark) -> bool:
    """ "Little Section A, laminitis", "there's a small scab": the size of something else."""
    if mark.size > 1 or line.norm(mark.start) not in _SIZES or mark.start in unit.head.covers():
        return False
    word = line.norm(mark.end)
    if mark.end + 1 == unit.head.start:
        return False  # "wee dirty crack"
    marked = any(m.holds(mark.end) for m in [unit.head, *unit.marks()])
    return word.isalpha() and not marked and word not in _GLUE_WORDS


_GLUE_WORDS = word_set("glue") | {"old", "bit", "more", "wee", "little", "surface", "early"}
