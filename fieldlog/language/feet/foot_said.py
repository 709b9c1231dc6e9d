"""A foot named in a note, with the words beside it that settle what it means."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from fieldlog.core.feet import ALL_FEET
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import Line

ONE_FOOT = frozenset(f.value for f in ALL_FEET)


class FootSaid(NamedTuple):
    """A foot mark, its words, and the word right before and right behind them."""

    line: Line
    mark: Mark
    words: str
    before: str
    after: str

    def lead(self, back: int) -> str:
        """The word so many words before the mark."""
        return self.line.norm(self.mark.start - back)

    def feet_before(self) -> list[Mark]:
        """The feet named earlier in the note."""
        return [m for m in self.line.marks if m.kind == "foot" and m.end <= self.mark.start]

    def ends(self) -> bool:
        """Whether a comma, a pause or a stop follows."""
        return self.line.break_at(self.mark.end)

    def opens(self) -> bool:
        """Whether a sentence or a clause begins with it."""
        return self.mark.start == 0 or self.line.break_at(self.mark.start - 1)


Rule = Callable[[FootSaid], bool]
"""One thing that the words around a foot may say of it."""


def foot_said(line: Line, mark: Mark) -> FootSaid:
    """A foot mark with the words beside it."""
    before, after = line.norm(mark.start - 1), line.norm(mark.end)
    return FootSaid(line, mark, line.text(mark), before, after)


def number_before(line: Line, at: int) -> bool:
    """Whether a value ends at ``at``: "fifty two left", "two deep left"."""
    at -= line.norm(at - 1) in ("deep", "wide", "long")
    amounts = ("number", "quarter")  # a bare "quarter" is a place yet
    return any((m.kind in amounts or m.code in amounts) and m.end == at for m in line.marks)
