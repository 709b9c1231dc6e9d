"""What stands around a number: the marks before and behind it in its sentence."""

from __future__ import annotations

from fieldlog.language.values.kinds import CONNECTING
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import Line


class Around:
    """A note's marks as seen from one of them; what all readers of its numbers share."""

    def __init__(self, line: Line, habit: str = "") -> None:
        self.line = line
        self.habit = habit
        """``in`` or ``mm`` if the farrier always means that, or empty."""
        self.said_first: dict[int, Mark] = {}
        """The cue behind each number that is said before its cue, by the number's ``id``."""
        self.sentence_of: dict[int, int] = {}
        for number, (begin, end) in enumerate(line.sentences()):
            for at in range(begin, end):
                self.sentence_of[at] = number

    def same_sentence(self, a: Mark, b: Mark) -> bool:
        """Whether two marks stand between the same full stops."""
        return self.sentence_of.get(a.start) == self.sentence_of.get(b.start)

    def next(self, at: int, most: int = 1) -> Mark | None:
        """The next mark if at most ``most`` small words lie between."""
        marks = self.line.marks
        for mark in marks[at + 1 :]:
            if mark.start - marks[at].end > most or not self.same_sentence(marks[at], mark):
                return None
            if mark.kind == "role" and mark.code in ("article", "copula", "adverb"):
                continue
            return mark
        return None

    def previous(self, at: int) -> list[Mark]:
        """Earlier marks of the sentence, nearest first, without connecting words."""
        earlier = self.line.marks[:at]
        number_of = self.sentence_of.get
        here = number_of(self.line.marks[at].start)
        return [
            m
            for m in reversed(earlier)
            if number_of(m.start) == here and not (m.kind == "role" and m.code in CONNECTING)
        ]
