"""Words in pieces, as the second opinion's network reads them.

The scheme is WordPiece with longest match first: a word is the longest listed piece that begins it,
then the longest that goes on (listed with ``##`` before it), and so on. An apostrophe is a piece of
its own. Imports nothing, so that training runs without the rest of fieldlog.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

UNKNOWN = "[UNK]"
HIDDEN = "[MASK]"
"""Stands for a word that is not read."""
BEGIN, END = "[CLS]", "[SEP]"
STOPS = (".", ",")
"""Marks between words; a recogniser writes none."""
FEET_TOLD = ("@LF", "@RF", "@LH", "@RH")
PLACES_TOLD = ("@at_", "@medial", "@lateral")
"""The second opinion's names for feet, and how those for places begin."""
_PART = re.compile(r"[^']+|'")


def unstopped(words: Iterable[str]) -> list[str]:
    """The words without the stops between them, as a recogniser writes."""
    return [word for word in words if word not in STOPS]


class Pieces:
    """A list of pieces; a piece's number is its line."""

    def __init__(self, listed: Sequence[str]) -> None:
        self.number = {piece: at for at, piece in enumerate(listed)}
        self._known: dict[str, list[int]] = {}

    def of(self, word: str) -> list[int]:
        """The numbers of a word's pieces; that of ``[UNK]`` for a part that no pieces make up."""
        known = self._known.get(word)
        if known is None:
            known = [n for part in _PART.findall(word) for n in self._of_part(part)]
            self._known[word] = known = known or [self.number[UNKNOWN]]
        return known

    def row(self, words: Sequence[str]) -> tuple[list[int], list[int]]:
        """The pieces of a text between its marks of begin and end, and where each word begins."""
        row, starts = [self.number[BEGIN]], []
        for word in words:
            starts.append(len(row))
            row += self.of(word)
        return [*row, self.number[END]], starts

    def _of_part(self, part: str) -> list[int]:
        out, at = [], 0
        while at < len(part):
            mark = "##" if at else ""
            ends = range(len(part), at, -1)
            end = next((e for e in ends if mark + part[at:e] in self.number), None)
            if end is None:
                return [self.number[UNKNOWN]]
            out.append(self.number[mark + part[at:end]])
            at = end
        return out
