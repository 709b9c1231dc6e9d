"""What a spoken number means: a measurement, the size of a finding, an amount of work, a count.

The value usually follows its cue ("toe's three and a quarter"); value-first ("a fifty-two toe",
"three inches of toe") is a rule of its own. A number without a cue is only believed when its
unit or size fits one reading. A unit that was not said is concluded from the kind, the size and
the neighbours, and the fact says so.
"""

from __future__ import annotations

from fieldlog.core.units import Unit
from fieldlog.language.values.alone import uncued
from fieldlog.language.values.around import Around
from fieldlog.language.values.changes import each_off, is_difference, trimmed_off
from fieldlog.language.values.cues import cued
from fieldlog.language.values.grades import as_score
from fieldlog.language.values.horse import hands, read_hundreds
from fieldlog.language.values.kinds import Value, about_as_large
from fieldlog.language.values.lists import settle_lists
from fieldlog.language.values.making import size_of
from fieldlog.language.values.neighbours import (
    feet_in_order,
    join_ranges,
    join_tenths,
    set_against,
    share_units,
    sides_in_order,
)
from fieldlog.language.values.order import said_first
from fieldlog.language.values.sense import in_range, measures_nothing
from fieldlog.language.values.sizes import attached_size
from fieldlog.language.values.slots import as_slot
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import Line

_PUT_RIGHT = 7
"""Words between a number that is denied and the one that is meant."""


def read_values(note: Around) -> None:
    """Classify every number mark."""
    join_tenths(note.line)
    settle_lists(note.line)
    _same_measures(note.line)
    marks = note.line.marks
    join_ranges(note.line)
    note.said_first = said_first(note.line)
    for at, mark in enumerate(marks):
        if mark.kind == "number":
            _classify(note, at, mark)
    share_units(note.line)
    sides_in_order(note.line)
    feet_in_order(note.line)
    set_against(note.line)


def _same_measures(line: Line) -> None:
    """ "Left front same length, fifty-three": the length is the other foot's, the number is not."""
    for mark in line.marks:
        if mark.kind == "measure" and line.norm(mark.start - 1) == "same" and mark.size == 1:
            mark.kind = "same_measure"


def _classify(note: Around, at: int, mark: Mark) -> None:
    """Give one number its kind and its meaning."""
    if _compares(note, at, mark):
        return
    if nothing := measures_nothing(note.line, at, mark):
        mark.kind, mark.code = "count", nothing
        return
    read_hundreds(note, at, mark)
    if (
        each_off(note, at, mark)
        or as_slot(note, at, mark)
        or as_score(note, at, mark)
        or trimmed_off(note, at, mark)
    ):
        return
    value = _meaning(note, at, mark)
    if value is None:
        mark.kind, mark.code = "count", "count"
        return
    mark.value = value
    mark.kind = "size" if value.kind == "size" else "value"
    mark.code = value.kind


def _compares(note: Around, at: int, mark: Mark) -> bool:
    """ "A quarter higher", "half an inch longer than", "two feet": no measure by itself."""
    following = note.next(at)
    larger = following is not None and following.code in ("larger", "smaller")
    if following is not None and (
        (following.code == "imbalance" and following.start == mark.end)
        or (larger and note.line.norm(following.end) == "than")
    ):
        mark.value = size_of(mark, "", "size:difference")
        mark.kind, mark.code = "size", "size"
        return True
    if following is not None and _came_off(note, mark, following):
        mark.value = size_of(mark, "amount", "size:of")
        mark.kind, mark.code = "size", "size"
        return True
    if is_difference(note, mark):
        mark.kind, mark.code = "count", "difference"
        return True
    feet = note.line.norm(mark.end) in ("feet", "hooves") and mark.value.value <= 4
    if larger or feet:
        mark.kind, mark.code = "count", "count"
    return larger or feet


def _came_off(note: Around, mark: Mark, job: Mark) -> bool:
    """ "Two inches came off the toes": what went, not how long they are."""
    led = note.line.norm(job.start) in ("came", "comes", "come", "went")
    cut = job.kind == "work" and job.code in ("shorten_toe", "lower_heel")
    return led and cut and job.start == mark.end


def _meaning(note: Around, at: int, mark: Mark) -> Value | None:
    """The value or the size that a number is; None if it counts something."""
    span = mark.value
    if _rejected(note, at, mark) or (span.unit is None and note.line.text(mark) == "one"):
        return None
    if span.unit is Unit.GRADE:
        return None
    value = (
        hands(note, at, mark)
        or cued(note, at, mark)
        or attached_size(note, at, mark)
        or uncued(note, at, mark)
    )
    if value is not None and value.kind != "size":
        return in_range(note.line, mark, value)
    return value


def _rejected(note: Around, at: int, mark: Mark) -> bool:
    """ "Fifty-four, not fifty-two": the second number is what it is not."""
    than = [note.line.norm(mark.start - n) for n in (2, 1)] == ["rather", "than"]
    if not than and _put_right(note, at, mark):
        return True
    if (note.line.norm(mark.start - 1) != "not" and not than) or at == 0:
        return False
    other = note.line.marks[at - 1]
    if other.code in ("negation", "work_negation") and at > 1:
        other = note.line.marks[at - 2]
    return other.number is not None and mark.start - other.end <= 2 + than


def _put_right(note: Around, at: int, mark: Mark) -> bool:
    """ "It's not fifty on the left, it's fifty-two": the first number is what it is not."""
    if note.line.norm(mark.start - 1) not in ("not", "isn't"):
        return False
    new = next((m for m in note.line.marks[at + 1 :] if m.number is not None), None)
    if new is None or new.start - mark.end > _PUT_RIGHT:
        return False
    if not about_as_large(mark.number, new.number):
        return False
    lead = {note.line.norm(new.start - 1), note.line.norm(new.start - 2)}
    beside = new.start - mark.end == 1 and note.line.break_at(mark.end)
    return beside or bool(lead & {"it", "'s", "but"})
