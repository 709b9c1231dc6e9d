"""What the entries of one note have in common, once its marks are settled."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial
from typing import Any

from fieldlog.core.facts import Due
from fieldlog.core.words import Transcript
from fieldlog.language.entries.herd_weeks import herd_counts
from fieldlog.language.horses.naming import NameAt
from fieldlog.language.note_marks import how_read
from fieldlog.language.numbers.spoken import NumberSpan
from fieldlog.language.opinion.gist import HowRead
from fieldlog.language.opinion.heard import Span
from fieldlog.language.opinion.standing import unclear_words
from fieldlog.language.times.dates import find_times
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.tokens import Token

Times = Sequence[tuple[Span, Due]]
"""Times and their characters."""


@dataclass(frozen=True, slots=True)
class WholeNote:
    """What the entries of one note have in common."""

    transcript: Transcript
    words: Sequence[Token]
    named: Sequence[NameAt]
    """Names of horses, by their words."""
    unused: Sequence[int]
    times: Callable[[str], Due | None]
    """The first time in a phrase."""
    refused: Sequence[tuple[str, tuple[int, int]]]
    """Codes whose pattern matched and became no mark, with its characters."""
    unclear: Sequence[Span]
    """Characters of words that were not clearly heard."""
    how: HowRead
    """How the second opinion reads it."""
    numbers: Sequence[NumberSpan]
    timed: Times
    counts: Sequence[re.Match[str]]
    """Where further horses may be given their weeks."""
    habit: str
    """The length unit that the farrier always means, or empty."""

    @property
    def text(self) -> str:
        """The words of the note, as they stand in the transcript."""
        return self.transcript.text

    def numbers_in(self, part: Span) -> list[NumberSpan]:
        """The numbers that begin within some characters."""
        return [n for n in self.numbers if part[0] <= n.start < part[1]]

    def times_in(self, part: Span) -> list[tuple[Span, Due]]:
        """The times that begin within some characters."""
        return [(span, due) for span, due in self.timed if part[0] <= span[0] < part[1]]

    def characters(self, first: int, behind: int) -> Span:
        """The characters of some words.

        Args:
            first: the first word.
            behind: the word behind the last.
        """
        return self.words[first].start, self.words[behind - 1].end

    def begins(self, word: int) -> int:
        """The first character of a word; behind the last word, the end of the note."""
        return self.words[word].start if word < len(self.words) else len(self.text)


def whole_note(
    transcript: Transcript,
    found: dict[str, Any],
    unused: Sequence[int],
    habit: str,
) -> WholeNote:
    """What the entries of a note have in common.

    Args:
        transcript: the note.
        found: its ``words``, ``marks``, ``named``, ``refused`` and ``turns``, and when it was
            ``recorded``.
        unused: see ``unused_words``; asked before marks grow over words around them.
        habit: the length unit that the farrier always means, or empty.
    """
    words: list[Token] = found["words"]
    marks: list[Mark] = found["marks"]
    return WholeNote(
        transcript=transcript,
        words=words,
        named=found["named"],
        unused=unused,
        times=partial(_first_time, day=found["recorded"]),
        refused=found["refused"],
        unclear=unclear_words(transcript),
        how=how_read(words, found["named"], found["turns"]),
        numbers=[m.number for m in marks if m.number is not None],
        timed=[
            ((words[m.start].start, words[m.end - 1].end), m.value.due)
            for m in marks
            if m.kind == "time" and m.value is not None
        ],
        counts=herd_counts(transcript.text),
        habit=habit,
    )


def _first_time(phrase: str, *, day: date) -> Due | None:
    """The first time in a phrase, counted from a day."""
    spoken = find_times(phrase, day)
    return spoken[0].due if spoken else None
