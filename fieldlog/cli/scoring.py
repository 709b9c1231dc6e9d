"""How close what was understood is to what was meant: word error rate, and facts field by field."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from rapidfuzz.distance import Levenshtein

from fieldlog.core.facts import Due, Fact

_WORD = re.compile(r"[a-z0-9']+")


def words_of(text: str) -> list[str]:
    """Lower-case words without punctuation; apostrophes stay."""
    return _WORD.findall(text.lower().replace("’", "'"))


@dataclass(slots=True)
class WordErrors:
    """Counts of one or many notes."""

    words: int = 0
    """Words that were meant."""
    wrong: int = 0
    """Words put in, left out or changed (Levenshtein distance over words)."""

    @property
    def rate(self) -> float:
        """Word error rate; may pass 1. With no words meant it is 0 or 1."""
        return self.wrong / self.words if self.words else float(self.wrong > 0)

    def add(self, meant: str, heard: str) -> int:
        """Count one note; returns its wrong words."""
        wanted = words_of(meant)
        wrong = Levenshtein.distance(wanted, words_of(heard))
        self.words += len(wanted)
        self.wrong += wrong
        return wrong


@dataclass(slots=True)
class Tally:
    """Precision and recall of one field."""

    right: int = 0
    said: int = 0
    """Times it was given out."""
    meant: int = 0
    """Times it should have been."""

    @property
    def precision(self) -> float | None:
        return self.right / self.said if self.said else None

    @property
    def recall(self) -> float | None:
        return self.right / self.meant if self.meant else None


def _value(fact: Fact) -> object:
    q = fact.quantity
    if q is None:
        return None
    high = None if q.high is None else round(q.high, 3)
    return (q.unit.value, round(q.value, 3), high)


def _trend(fact: Fact) -> object:
    return fact.comparison and (fact.comparison.trend.value, fact.comparison.against)


def _due(due: Due | None) -> object:
    if due is None:
        return None
    return due.period or due.anchor or (due.on.isoformat() if due.on else None)


FIELDS: dict[str, Callable[[Fact], object]] = {
    "feet": lambda f: tuple(sorted(f.feet)) or None,
    "place": lambda f: tuple(sorted(f.places)) or None,
    "value and unit": _value,
    "severity": lambda f: f.severity,
    "negated": lambda f: f.negated or None,
    "uncertain": lambda f: f.uncertain or None,
    "historical": lambda f: f.historical or None,
    "who says so": lambda f: None if f.reporter.value == "farrier" else f.reporter,
    "comparison": _trend,
    "due": lambda f: _due(f.due),
}
"""Fields that are compared. ``details`` are not: the truth names only some of them."""


@dataclass(slots=True)
class FactScore:
    """Tallies over many notes; ``fact`` counts facts of the right kind and code."""

    fields: dict[str, Tally] = field(
        default_factory=lambda: {name: Tally() for name in ("fact", "horse", *FIELDS, "whole fact")}
    )

    def add(
        self,
        meant: Sequence[Fact],
        got: Sequence[Fact],
        horses: Mapping[str, str] | None = None,
    ) -> list[tuple[Fact, Fact]]:
        """Count one note; returns the pairs that were taken to be the same fact.

        Args:
            meant: the truth.
            got: what was understood.
            horses: name of the horse of each fact, by the fact's id; of both sides.
        """
        pairs = match(meant, got)
        if horses is not None:
            tally = self.fields["horse"]
            tally.meant += sum(bool(horses.get(f.id)) for f in meant)
            tally.said += sum(bool(horses.get(f.id)) for f in got)
            tally.right += sum(
                bool(horses.get(a.id)) and horses.get(a.id) == horses.get(b.id) for a, b in pairs
            )
        self.fields["fact"].meant += len(meant)
        self.fields["fact"].said += len(got)
        self.fields["fact"].right += len(pairs)
        whole = self.fields["whole fact"]
        whole.meant += len(meant)
        whole.said += len(got)
        whole.right += sum(all(_same(read, a, b) for read in FIELDS.values()) for a, b in pairs)
        for name, read in FIELDS.items():
            tally = self.fields[name]
            tally.meant += sum(read(f) is not None for f in meant)
            tally.said += sum(read(f) is not None for f in got)
            tally.right += sum(read(a) is not None and _same(read, a, b) for a, b in pairs)
        return pairs


def _same(read: Callable[[Fact], object], a: Fact, b: Fact) -> bool:
    if read is FIELDS["due"] and a.due and b.due and _due(a.due) != _due(b.due):
        return bool(a.due.on) and a.due.on == b.due.on and not a.due.period
    return read(a) == read(b)


def match(meant: Sequence[Fact], got: Sequence[Fact]) -> list[tuple[Fact, Fact]]:
    """Pair facts of the same kind and code, those that agree in most fields first."""
    candidates = sorted(
        (
            (sum(_same(read, a, b) for read in FIELDS.values()), -i, -j)
            for i, a in enumerate(meant)
            for j, b in enumerate(got)
            if (a.kind, a.code) == (b.kind, b.code)
        ),
        reverse=True,
    )
    pairs: list[tuple[Fact, Fact]] = []
    used_meant: set[int] = set()
    used_got: set[int] = set()
    for _, i, j in candidates:
        if -i not in used_meant and -j not in used_got:
            used_meant.add(-i)
            used_got.add(-j)
            pairs.append((meant[-i], got[-j]))
    return pairs
