"""A note on its way to be parted among its horses: the parts so far, and the herd."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence, Set
from dataclasses import dataclass, field
from functools import cached_property

from fieldlog.language.horses.herd import Herd
from fieldlog.language.horses.listed import TELLS_OF_ONE
from fieldlog.language.horses.naming import BREAKS, Opening, herd_words
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.tokens import Token

WHOLE_HORSE = frozenset({"time", "followup", "handling"})
"""What is told of whole horses, never of single feet."""
_ROLES = frozenset({"role"})
_DENIALS = frozenset({"negation", "work_negation"})
_WORDS = herd_words("turns")


@dataclass(frozen=True, slots=True)
class Turn:
    """A part of the note."""

    begin: int
    """Its first word."""
    who: tuple[Opening, ...] = ()
    """The horses that it is of; none before the first is named."""
    horses: tuple[int, ...] = ()
    """The same, by their place among the horses of the note."""
    said: tuple[int, int] | None = None
    """The words that say so, one past the last; None where a horse before goes on."""


@dataclass
class Parting:
    """The parts found so far."""

    words: Sequence[Token]
    marks: Sequence[Mark]
    herd: Herd = field(default_factory=Herd)
    out: list[Turn] = field(default_factory=list)

    @property
    def now(self) -> Turn:
        """The last part."""
        return self.out[-1] if self.out else Turn(0)

    @cached_property
    def _starts(self) -> list[int]:
        """The first word of each mark; marks are in order."""
        return [mark.start for mark in self.marks]

    @cached_property
    def stopped(self) -> bool:
        """Whether clauses are set apart in the note, by stops, commas or pauses."""
        return any(w.sort in BREAKS for w in self.words)

    def told(self, begin: int, end: int, kinds: Set[str] = TELLS_OF_ONE) -> list[Mark]:
        """The marks of some kinds that begin among some words."""
        low, high = bisect_left(self._starts, begin), bisect_left(self._starts, end)
        return [mark for mark in self.marks[low:high] if mark.kind in kinds]

    def worked(self, end: int) -> None:
        """Note of the horses of the last part whether a job was told of them, or anything."""
        if self.out:
            self.tell(self.now.horses, self.now.begin, end)

    def tell(self, horses: Sequence[int], begin: int, end: int) -> None:
        """Note of some horses what some words tell of them."""
        unsure = [beast for beast in map(self.herd.beasts.__getitem__, horses) if beast.told < 2]
        if not unsure:
            return
        marks = self.told(begin, end)
        jobs = any(m.kind == "work" and not self._denied(m.start) for m in marks)
        for beast in unsure:
            beast.told = max(beast.told, 2 if jobs else int(bool(marks)))

    def _denied(self, at: int) -> bool:
        """Whether a word shortly before a job, or its first one, says that it was not done."""
        first = max(0, at - 3)
        said = {mark.code for mark in self.told(first, at + 1, _ROLES)}
        words = {word.norm for word in self.words[first : at + 1]}
        return bool(said & _DENIALS) or bool(words & _WORDS["denies"])
