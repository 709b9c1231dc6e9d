"""One sentence of a note, whose feet are read one after the other."""

from __future__ import annotations

from collections.abc import Sequence

from fieldlog.language.words.marks import Mark, in_order
from fieldlog.language.words.units_said import HEADS, Line

PREPOSITIONS = frozenset({"in", "on", "off", "at", "for", "from", "with", "of", "behind"})
TO_FOOT = PREPOSITIONS | {"the", "his", "her", "up", "so", "my", "both"}
"""Words that lead to a foot: "mild *in the* left hind"."""
WHERE = ("place", "side", "clock")
"""Kinds of marks that tell where on a foot."""
_GLUE = ("copula", "adverb", "article", "starter")


class Sentence:
    """The marks of one sentence, and what was found of its feet so far.

    Args:
        line: the note.
        begin: the sentence's first word.
        end: the word behind its last.
        seen: a finding was said in an earlier sentence.
    """

    def __init__(self, line: Line, begin: int, end: int, seen: bool) -> None:
        self.line = line
        self.begin, self.end = begin, end
        self.seen = seen
        self.marks: list[Mark] = []
        self.put(line.marks)
        self.glue: set[int] = set()
        """Words that join others, once the words of the sentence are settled."""
        self.taken: set[int] = set()
        """Words that tell of a foot already, by the mark's ``id``."""
        self.behind = False
        """The amount told of the first foot stood before it."""
        self.led = False
        """The foot told of last stood before what was said of it."""
        self.none_first = False
        """ "None left front, none right front": said before each foot."""

    def put(self, marks: Sequence[Mark]) -> None:
        """Give the note other marks, and the sentence those that begin in it."""
        self.line.marks = marks
        self.marks = [m for m in marks if self.begin <= m.start < self.end]

    def note_glue(self) -> None:
        """Remember which words join others; those that become heads later stay so."""
        glue = (m for m in self.marks if m.kind == "role" and m.code in _GLUE)
        self.glue = {i for m in glue for i in m.covers()}

    def between(self, low: int, high: int, words: frozenset[str]) -> bool:
        """Whether nothing but some words, glue and commas stands from one word to another."""
        return all(
            self.line.norm(i) in words or i in self.glue or self.line.words[i].sort == "comma"
            for i in range(low, high)
        )

    def placed(self, foot: Mark, low: int) -> bool:
        """Whether a preposition stands right before the foot ("in the", "up front")."""
        if self.line.norm(foot.start) in ("in", "up", "out", "behind", "at"):
            return True
        at = foot.start - 1
        feet = {i for m in self.marks if m.kind == "foot" for i in m.covers()}
        while at >= low and self.line.norm(at) in TO_FOOT and at not in feet:
            if self.line.norm(at) in PREPOSITIONS:
                return True
            at -= 1
        return False

    def lead(self, foot: Mark) -> int:
        """The word before a foot and before what leads to it: "mild in the | left hind"."""
        at = foot.start - 1
        while self.line.norm(at) in TO_FOOT and at > self.begin:
            at -= 1
        return at

    def claimed(self, foot: Mark) -> bool:
        """Whether a head follows the foot that it may well belong to."""
        for other in self.marks:
            if other.start < foot.end:
                continue
            if any(self.line.break_at(i) for i in range(foot.end, other.start)):
                return False
            if other.kind == "foot":
                return False
            if other.kind in HEADS or (other.kind == "role" and other.code == "good_word"):
                return other.kind not in ("followup", "advice", "handling", "score")
            if other.kind == "role" and other.code in ("starter", "joint"):
                return False
        return False

    def make(self, head: Mark, foot: Mark) -> None:
        """Put a head where its words had another meaning, and give it the foot."""
        words = head.covers()
        kept = [m for m in self.line.marks if not m.touches(words)]
        self.put(in_order([*kept, head]))
        foot.tags.add("looks_back" if head.start < foot.start else "looks_forward")
