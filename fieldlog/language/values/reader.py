"""What a spoken number means: a measurement, the size of a finding, an amount of work, a count.

The value usually follows its cue ("toe's three and a quarter"); value-first ("a fifty-two toe",
"three inches of toe") is a rule of its own. A number without a cue is only believed when its
unit or size fits one reading. A unit that was not said is concluded from the kind, the size and
the neighbours, and the fact says so.
"""

from __future__ import annotations

from fieldlog.core.units import Unit
from fieldlog.language.values.alone import AloneReader
from fieldlog.language.values.kinds import Value, about_as_large
from fieldlog.language.values.lists import settle_lists
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
from fieldlog.language.words.marks import Mark

_PUT_RIGHT = 7
"""Words between a number that is denied and the one that is meant."""


class ValueReader(AloneReader):
    """Turns the number marks of a note into values, sizes and slots, in place."""

    def read(self) -> None:
        """Classify every number mark."""
        join_tenths(self.line)
        settle_lists(self.line)
        marks = self.line.marks
        join_ranges(self.line)
        self.said_first = said_first(self.line)
        for at, mark in enumerate(marks):
            if mark.kind == "number":
                self._classify(at, mark)
        share_units(self.line)
        sides_in_order(self.line)
        feet_in_order(self.line)
        set_against(self.line)

    def _classify(self, at: int, mark: Mark) -> None:
        """Give one number its kind and its meaning."""
        if self._compares(at, mark):
            return
        if nothing := measures_nothing(self.line, at, mark):
            mark.kind, mark.code = "count", nothing
            return
        self._hundreds(at, mark)
        if (
            self._each_off(at, mark)
            or self.slot(at, mark)
            or self.score(at, mark)
            or self._trimmed_off(at, mark)
        ):
            return
        value = self._meaning(at, mark)
        if value is None:
            mark.kind, mark.code = "count", "count"
            return
        mark.value = value
        mark.kind = "size" if value.kind == "size" else "value"
        mark.code = value.kind

    def _compares(self, at: int, mark: Mark) -> bool:
        """ "A quarter higher", "half an inch longer than", "two feet": no measure by itself."""
        following = self.next(at)
        larger = following is not None and following.code in ("larger", "smaller")
        if following is not None and (
            (following.code == "imbalance" and following.start == mark.end)
            or (larger and self.line.norm(following.end) == "than")
        ):
            mark.value = self._size(mark, "", "size:difference")
            mark.kind, mark.code = "size", "size"
            return True
        if following is not None and self._came_off(mark, following):
            mark.value = self._size(mark, "amount", "size:of")
            mark.kind, mark.code = "size", "size"
            return True
        if self._difference(mark):
            mark.kind, mark.code = "count", "difference"
            return True
        feet = self.line.norm(mark.end) in ("feet", "hooves") and mark.value.value <= 4
        if larger or feet:
            mark.kind, mark.code = "count", "count"
        return larger or feet

    def _came_off(self, mark: Mark, job: Mark) -> bool:
        """ "Two inches came off the toes": what went, not how long they are."""
        led = self.line.norm(job.start) in ("came", "comes", "come", "went")
        cut = job.kind == "work" and job.code in ("shorten_toe", "lower_heel")
        return led and cut and job.start == mark.end

    def _meaning(self, at: int, mark: Mark) -> Value | None:
        """The value or the size that a number is; None if it counts something."""
        span = mark.value
        if self._rejected(at, mark) or (span.unit is None and self.line.text(mark) == "one"):
            return None
        if span.unit is Unit.GRADE:
            return None
        value = (
            self._hands(at, mark)
            or self._cued(at, mark)
            or self._attached(at, mark)
            or self._uncued(at, mark)
        )
        if value is not None and value.kind != "size":
            return in_range(self.line, mark, value)
        return value

    def _rejected(self, at: int, mark: Mark) -> bool:
        """ "Fifty-four, not fifty-two": the second number is what it is not."""
        than = [self.line.norm(mark.start - n) for n in (2, 1)] == ["rather", "than"]
        if not than and self._put_right(at, mark):
            return True
        if (self.line.norm(mark.start - 1) != "not" and not than) or at == 0:
            return False
        other = self.line.marks[at - 1]
        if other.code in ("negation", "work_negation") and at > 1:
            other = self.line.marks[at - 2]
        return other.number is not None and mark.start - other.end <= 2 + than

    def _put_right(self, at: int, mark: Mark) -> bool:
        """ "It's not fifty on the left, it's fifty-two": the first number is what it is not."""
        if self.line.norm(mark.start - 1) not in ("not", "isn't"):
            return False
        new = next((m for m in self.line.marks[at + 1 :] if m.number is not None), None)
        if new is None or new.start - mark.end > _PUT_RIGHT:
            return False
        if not about_as_large(mark.number, new.number):
            return False
        lead = {self.line.norm(new.start - 1), self.line.norm(new.start - 2)}
        beside = new.start - mark.end == 1 and self.line.break_at(mark.end)
        return beside or bool(lead & {"it", "'s", "but"})
