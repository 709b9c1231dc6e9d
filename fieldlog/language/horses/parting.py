"""A note on its way to be parted among its horses: the parts so far, and the herd."""

from __future__ import annotations

from collections.abc import Sequence, Set
from dataclasses import dataclass, field

from fieldlog.language.horses.herd import Herd
from fieldlog.language.horses.listed import TELLS_OF_ONE
from fieldlog.language.horses.naming import Opening, herd_words
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.tokens import Token

WHOLE_HORSE = frozenset({"time", "followup", "handling"})
"""What is told of whole horses, never of single feet."""
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

    def told(self, begin: int, end: int, kinds: Set[str] = TELLS_OF_ONE) -> list[Mark]:
        """The marks of some kinds that begin among some words."""
        return [m for m in self.marks if m.kind in kinds and begin <= m.start < end]

    def worked(self, end: int) -> None:
        """Note of the horses of the last part whether a job was told of them, or anything."""
        if not self.out:
            return
        self.tell(self.now.horses, self.now.begin, end)

    def tell(self, horses: Sequence[int], begin: int, end: int) -> None:
        """Note of some horses what some words tell of them."""
        jobs = [m for m in self.told(begin, end, frozenset({"work"}))
                if not self._denied(m.start)]  # fmt: skip
        told = 2 if jobs else int(bool(self.told(begin, end)))
        for horse in horses:
            self.herd.beasts[horse].told = max(told, self.herd.beasts[horse].told)

    def _denied(self, at: int) -> bool:
        """Whether a word shortly before a job, or its first one, says that it was not done."""
        lead = range(max(0, at - 3), at + 1)
        return any(
            m.code in ("negation", "work_negation") and m.start in lead for m in self.marks
        ) or any(self.words[word].norm in _WORDS["denies"] for word in lead)
