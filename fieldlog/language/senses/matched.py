"""What a pattern matched, with the words around it that may make it something else."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from fieldlog.language.words.marks import Mark
from fieldlog.language.words.tokens import Token


class Matched(NamedTuple):
    """A candidate in a note's significant words."""

    words: Sequence[Token]
    mark: Mark
    first: str
    last: str
    """Its own first and last word."""
    before: str
    after: str
    """The word right before and right behind it; empty outside the note."""

    @property
    def led(self) -> str:
        """The word two words before it."""
        return self.word(self.mark.start - 2)

    def word(self, at: int) -> str:
        """A word by its number; empty outside the note."""
        return self.words[at].norm if 0 <= at < len(self.words) else ""

    def lead(self, most: int) -> set[str]:
        """At most so many words before it."""
        start = self.mark.start
        return {w.norm for w in self.words[max(0, start - most) : start]}

    def behind(self, most: int) -> set[str]:
        """At most so many words behind it."""
        end = self.mark.end
        return {w.norm for w in self.words[end : end + most]}


def matched(words: Sequence[Token], mark: Mark) -> Matched:
    """A candidate with the words beside it."""
    start, end = mark.start, mark.end
    before = words[start - 1].norm if start else ""
    after = words[end].norm if end < len(words) else ""
    return Matched(words, mark, words[start].norm, words[end - 1].norm, before, after)
