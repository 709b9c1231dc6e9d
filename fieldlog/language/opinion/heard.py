"""What the network heard in one note: what is said at which words, and how it is told."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from math import expm1
from typing import Any

from fieldlog.language.opinion.labels import label
from fieldlog.language.opinion.word_pieces import FEET_TOLD

BESIDE = 3
"""Words on either side of a fact that may say it too."""
MAY_SAY = -0.1
"""Log of the chance of not saying a code below which a word belongs to the words that say it."""
ELSEWHERE = 0.85
"""Share of the chance of the plainest word outside a part that its own plainest word must have:
what is said of one horse, the network hears a little in the words about the next one too."""
ALSO_SAYS = 0.1
"""Chance of saying it of a foot above which a word belongs to the words that say so."""
Span = tuple[int, int]
"""First character, and the one behind the last."""


@dataclass(frozen=True)
class Opinion:
    """What the network says about one note."""

    words: tuple[tuple[str, int, int], ...]
    not_said: Any
    """Natural log of the chance that a code is not said, words by codes."""
    columns: dict[str, int]
    manner: Any = None
    """The chance, 0 to 1, that what a word says is told so, words by manners."""
    manners: dict[str, int] = field(default_factory=dict)
    """``told_with``'s names and their columns in ``manner``."""

    def told(
        self, code: str, negated: bool, span: tuple[int, int], beside: int = BESIDE
    ) -> Mapping[str, float]:
        """How a code is told within a span: the chance of each manner, given that it is said there.

        Args:
            code: an id of the vocabulary.
            negated: whether it is said to be absent.
            span: characters.
            beside: words before and behind the span that count too.

        Returns:
            Nothing for a code that the network does not know, and without words.
        """
        column = self.columns.get(label(code, negated))
        first, last = self._between(span)
        if column is None or not self.manners or first >= last:
            return {}
        asked = (column, max(0, first - beside), last + beside)
        told = self._told.get(asked)
        if told is None:
            self._told[asked] = told = self._told_of(*asked)
        return told

    def _told_of(self, column: int, first: int, last: int) -> dict[str, float]:
        import numpy as np

        said = -np.expm1(self.not_said[first:last, column])
        both = (1.0 - np.multiply.reduce(1.0 - said[:, None] * self.manner[first:last])).tolist()
        any_ = max(1.0 - float(np.multiply.reduce(1.0 - said)), 1e-9)
        return {name: both[at] / any_ for name, at in self.manners.items()}

    def knows(self, code: str, negated: bool) -> bool:
        """Whether the network was trained on this code."""
        return label(code, negated) in self.columns

    def chance_of_none(self, codes: Iterable[str], negated: bool, span: Span) -> float:
        """The chance, 0 to 1, that none of some codes is said within a span of the text."""
        none = 1.0
        for code in codes:
            none *= 1.0 - self.chance(code, negated, span)
        return none

    def chance(
        self, code: str, negated: bool, span: tuple[int, int] | None = None, beside: int = BESIDE
    ) -> float:
        """The chance, 0 to 1, that a code is said within a span of the text.

        Args:
            code: an id of the vocabulary.
            negated: whether it is said to be absent.
            span: characters; None for the whole note.
            beside: words before and behind the span that count too.

        Returns:
            0 for a code that the network does not know.
        """
        column = self.columns.get(label(code, negated))
        if column is None or not self.words:
            return 0.0
        asked = (span, beside)
        sums = self._sums.get(asked)
        if sums is None:
            self._sums[asked] = sums = self._sum(span, beside)
        return 0.0 - expm1(sums.item(column))

    def _sum(self, span: Span | None, beside: int) -> Any:
        """The log of the chance that each code is said nowhere in a span and beside it."""
        import numpy as np

        if span is None:
            return self.whole
        first, last = self._between(span)
        if first < last:
            first, last = max(0, first - beside), last + beside
        return np.add.reduce(self.not_said[first:last])

    def at_feet(
        self, code: str, negated: bool, part: tuple[int, int], least: float
    ) -> dict[str, tuple[int, int]]:
        """The feet of which a code is said somewhere in a part of the text, and the words of each.

        Args:
            code: an id of the vocabulary.
            negated: whether it is said to be absent.
            part: characters.
            least: the chance from which a foot counts.
        """
        import numpy as np

        column = self.columns.get(label(code, negated))
        feet = [foot for foot in FEET_TOLD if foot in self.manners]
        first, last = self._between(part)
        if column is None or not feet or first >= last:
            return {}
        said = -np.expm1(self.not_said[first:last, column])
        if said.max() < ALSO_SAYS:
            return {}
        both = said[:, None] * self.manner[first:last, [self.manners[foot] for foot in feet]]
        chances = 1.0 - np.multiply.reduce(1.0 - both)
        out = {}
        for foot, chance, at in zip(feet, chances, both.T, strict=True):
            if chance >= least:
                low, high = _stretch(at > ALSO_SAYS, int(at.argmax()))
                span = (self.words[first + low][1], self.words[first + high][2])
                out[foot.removeprefix("@")] = span
        return out

    def heard(self, span: tuple[int, int], least: float) -> list[str]:
        """The network's names said within a span with at least some chance, likeliest first."""
        import numpy as np

        first, last = self._between(span)
        chances = -np.expm1(self.not_said[first:last].sum(0))
        likely = self._names_at(chances >= least)
        return sorted(likely, key=lambda name: -float(chances[self.columns[name]]))

    def sayings(self, part: tuple[int, int], least: float) -> list[tuple[str, tuple[int, int]]]:
        """What is said within a part of the text, and the characters that say it most.

        What another part says much more plainly is said there.

        Args:
            part: characters.
            least: the chance from which it counts.
        """
        import numpy as np

        first, last = self._between(part)
        if first >= last:
            return []
        own = self.not_said[first:last]
        chances = -np.expm1(own.sum(0))
        out = []
        for name in self._names_at(chances >= least):
            at = self.columns[name]
            word = int(own[:, at].argmin())
            low, high = _stretch(own[:, at] < MAY_SAY, word)
            if own[word, at] < MAY_SAY and not self._rather_outside(at, first, last):
                out.append((name, (self.words[first + low][1], self.words[first + high][2])))
        return out

    def rather_elsewhere(self, name: str, span: Span) -> bool:
        """Whether a word outside a span says something (the network's name) much more plainly."""
        first, last = self._between(span)
        return first < last and self._rather_outside(self.columns[name], first, last)

    def _rather_outside(self, column: int, first: int, last: int) -> bool:
        logs = self.not_said[:, column]
        others = [float(part.min()) for part in (logs[:first], logs[last:]) if len(part)]
        own = -expm1(float(logs[first:last].min()))
        return bool(others) and own < ELSEWHERE * -expm1(min(others))

    def _between(self, span: tuple[int, int]) -> tuple[int, int]:
        """The first word of a span and the one behind its last."""
        begins, ends = self._edges
        return bisect_right(ends, span[0]), bisect_left(begins, span[1])

    def _names_at(self, wanted: Any) -> list[str]:
        """The network's names of some columns."""
        names, columns = self._named
        return [names[i] for i in wanted[columns].nonzero()[0]]

    @cached_property
    def _edges(self) -> tuple[list[int], list[int]]:
        """The first character of each word, and the one behind its last."""
        return [word[1] for word in self.words], [word[2] for word in self.words]

    @cached_property
    def _named(self) -> tuple[list[str], Any]:
        """The names and their columns."""
        import numpy as np

        return list(self.columns), np.array(list(self.columns.values()), dtype=int)

    @cached_property
    def _sums(self) -> dict[tuple[Span | None, int], Any]:
        """``_sum`` by what it was asked for: ``chance`` wants many codes at the same words."""
        return {}

    @cached_property
    def _told(self) -> dict[tuple[int, int, int], dict[str, float]]:
        """What ``told`` found, by column and words: it is asked for again and again."""
        return {}

    @cached_property
    def whole(self) -> Any:
        """The log of the chance that a code is said nowhere in the note."""
        return self.not_said.sum(0)


def _stretch(says: Any, at: int) -> tuple[int, int]:
    """The first and last word of the run around one in which every other word may say it too."""
    low = high = at
    while low > 0 and says[low - 1]:
        low -= 1
    while high + 1 < len(says) and says[high + 1]:
        high += 1
    return low, high
