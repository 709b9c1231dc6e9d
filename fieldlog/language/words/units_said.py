"""Clauses without punctuation: groups marks into units, one head with what belongs to it.

A *head* is a finding, a job, a value, a follow-up, a grade...; everything else is an attribute.
Between two heads there is one place where the words stop belonging to the left head and start
belonging to the right one: ``units_built`` finds it, and ``foot_between`` says whether a foot name
between them belongs to the left one.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from copy import copy
from dataclasses import dataclass, field
from itertools import pairwise

from fieldlog.core.facts import Due
from fieldlog.language.lexicon import word_set
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.tokens import Token

HEADS = frozenset({"finding", "work", "followup", "handling", "advice", "score", "value",
                   "change"})  # fmt: skip
SIDES = frozenset({"inside", "outside", "medial", "lateral", "inner", "outer"})
"""Words for one side of one hoof."""
NEEDS_FOOT = frozenset({"finding", "work", "value"})
FORWARD = frozenset({"negation", "other_says", "work_negation", "unsure_before", "owner_says",
                     "vet_says", "plan", "history_before", "farrier_says", "by_owner", "by_vet",
                     "if"})  # fmt: skip
SEVERITIES = frozenset({"mild", "moderate", "severe"})
BREAKS = frozenset({"comma", "pause"})
_NOT_OWN = frozenset({"compared", "idle"})
"""Tags of a foot that a unit is not about."""
PREPOSITIONS = word_set("prepositions")
COPULAS = word_set("copulas")
ARTICLES = word_set("articles")


@dataclass(slots=True)
class UnitSaid:
    """One head and the marks before and after it that belong to it."""

    head: Mark
    before: list[Mark] = field(default_factory=list)
    after: list[Mark] = field(default_factory=list)
    start: int = 0
    """First word of the unit."""
    end: int = 0
    """One past its last word."""
    sentence: int = 0
    feet_follow: bool = False
    """The unit before is a value whose foot stood behind it, so this one's may as well."""
    about: str = ""
    """For follow-ups: the finding or job that it concerns."""

    def marks(self) -> list[Mark]:
        """All marks but the head."""
        return [*self.before, *self.after]

    def roles(self, *codes: str) -> list[Mark]:
        """The role marks with one of these codes."""
        return [m for m in self.marks() if m.kind == "role" and m.code in codes]

    def has(self, *codes: str) -> bool:
        """True if one of these roles is in the unit."""
        for marks in (self.before, self.after):
            for mark in marks:
                if mark.code in codes and mark.kind == "role":
                    return True
        return False

    def of(self, kind: str) -> list[Mark]:
        """The marks of one kind."""
        return [m for m in self.marks() if m.kind == kind]

    def span(self, line: Line) -> tuple[int, int]:
        """Characters from the first to the last word that has a meaning in the unit."""
        words = {i for m in [self.head, *self.marks()] if m.tells() for i in m.covers()}
        if self.head.end > self.head.start:
            words |= {self.head.start, self.head.end - 1}
        words = words or {self.start}
        return line.words[min(words)].start, line.words[max(words)].end

    def says_feet(self, line: Line) -> bool:
        """ "Feet were badly overgrown": all that are in hand."""
        return any(line.norm(i) in ("feet", "hooves") for i in range(self.start, self.end))

    def leans_on_it(self, line: Line) -> bool:
        """ "Leaning back off them": a way of standing told of the feet in hand."""
        return any(
            line.norm(i) in ("off", "on") and line.norm(i + 1) in ("them", "it")
            for i in range(self.head.start, self.end)
        )

    def says_it(self, line: Line) -> bool:
        """ "Snatched it away": the one foot in hand."""
        words = [line.norm(i) for i in range(self.head.start, self.end)]
        return any(a == "it" and b not in ("of", "about") for b, a in pairwise(words))

    def when(self) -> Due | None:
        """The time beside the head, else the first behind it, else the last before it.

        Of two beside it the one behind: "cancelled today, rescheduled to Friday".
        """
        head, other = self.head, self.roles("otherwise")
        late = other[0].start if other and other[0].start >= head.end else None
        times = [m for m in self.of("time") if late is None or m.start < late]
        beside = [m for m in times if -1 <= head.start - m.end <= 2 or 0 <= m.start - head.end <= 1]
        behind = [m for m in times if m.start >= head.end]
        beside.sort(key=lambda m: head.start - m.end + 0.5 if m.end <= head.start else 0)
        chosen = beside[:1] or behind[:1] or times[-1:]
        due: Due | None = chosen[0].value.due if chosen else None
        return due

    def feet(self) -> list[Mark]:
        """Feet that the unit is about (not merely compared with)."""
        return [m for m in self.marks() if m.kind == "foot" and m.tags.isdisjoint(_NOT_OWN)]


class _Norms(dict[int, str]):
    """Words by their number, and an empty string outside the note."""

    def __missing__(self, at: int) -> str:
        return ""


class Line:
    """The significant words of a note with helpers to look around a mark."""

    norm: Callable[[int], str]
    """The word at a number, or an empty string outside the note; asked for thousands of times."""

    def __init__(self, words: Sequence[Token], marks: Sequence[Mark]) -> None:
        self.words = words
        self.marks = marks
        self.norm = _Norms((at, word.norm) for at, word in enumerate(words)).__getitem__
        self._sentences: tuple[tuple[int, int], ...] | None = None

    def with_marks(self, marks: Sequence[Mark]) -> Line:
        """The same words with other marks."""
        line = copy(self)
        line.marks = marks
        return line

    def text(self, mark: Mark) -> str:
        """The words of a mark."""
        return " ".join(map(self.norm, sorted(mark.covers())))

    def break_at(self, at: int) -> bool:
        """True if the word at ``at`` is a comma or a pause (or past an end)."""
        return not 0 <= at < len(self.words) or self.words[at].sort in (*BREAKS, "stop")

    def sentences(self) -> tuple[tuple[int, int], ...]:
        """Word ranges between full stops."""
        if self._sentences is None:
            self._sentences = tuple(self._between_stops())
        return self._sentences

    def sentence_begin(self, at: int) -> int:
        """The first word of the sentence that a word is in."""
        return next((low for low, high in self.sentences() if low <= at < high), 0)

    def _between_stops(self) -> list[tuple[int, int]]:
        out: list[tuple[int, int]] = []
        begin = 0
        for at, word in enumerate(self.words):
            if word.sort == "stop":
                if at > begin:
                    out.append((begin, at))
                begin = at + 1
        if begin < len(self.words):
            out.append((begin, len(self.words)))
        return out


_SMALL_ROLES = frozenset({"copula", "adverb", "article"})


def mark_before(line: Line, at: int) -> Mark | None:
    """The mark before number ``at``, over copulas, adverbs and articles, if words touch."""
    for mark in reversed(line.marks[:at]):
        if mark.kind == "role" and mark.code in _SMALL_ROLES:
            continue
        covered = {
            i for m in line.marks if m.kind == "role" and m.code in _SMALL_ROLES for i in m.covers()
        }
        touch = all(i in covered for i in range(mark.end, line.marks[at].start))
        return mark if touch else None
    return None
