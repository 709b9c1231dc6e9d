"""Condition scores told in passing: "he's fat, that's seven at least", "I'd say she's a three".

A bare number is one only where the talk just before is of fat and ribs, and its own lead says so.
"""

from __future__ import annotations

from dataclasses import replace

from fieldlog.language.lexicon import find_item
from fieldlog.language.values.around import Around
from fieldlog.language.words.marks import Mark

_LOWEST, _HIGHEST = 1, 9
"""The scale of nine, the longest that is used (Henneke 1983)."""
_FLESH = frozenset({"fat", "thin", "skinny", "ribs", "ribby", "condition", "chubby", "fleshy",
                    "poor", "crest", "bony", "hips", "obese", "podgy", "porky"})  # fmt: skip
_HORSES = frozenset({"he", "she", "him", "her", "mare", "one", "horse", "pony", "gelding", "cob",
                     "donkey", "weight"})  # fmt: skip
_CHANGED = frozenset({"dropped", "lost", "gained"})
"""What is done to weight where its talk is of fat and ribs."""
_LED = frozenset({"that", "he", "she", "'s", "is", "a", "an", "say", "score", "call", "it",
                  "about", "scores", "make", "him", "her", "i", "'d", "know"})  # fmt: skip
_SORE = frozenset({"lame", "lameness", "trot", "obel", "testers", "tester", "pulse", "nodding",
                   "toe", "heel", "heels", "angle", "sole", "degrees", "size", "weeks", "club",
                   "clubby", "crack", "long", "deep", "frog"})  # fmt: skip
_SO_MANY = frozenset({"weeks", "week", "days", "months", "years", "year", "shoes", "nails", "feet",
                      "of", "in", "times", "percent", "kilos", "pounds", "off", "on", "eighths",
                      "quarters", "mil", "inch", "inches", "degrees", "horses", "ponies",
                      "head"})  # fmt: skip
_FAR = 12
"""Words before a number in which fat or ribs are spoken of."""
_BETWEEN = frozenset({",", "maybe", "or", "and", "at", "least", "say", "to", "could", "be", "a",
                      "possibly", "."})  # fmt: skip
_NEXT = 5
"""Words from a score to the one that it may be as well."""


def as_condition(note: Around, at: int, mark: Mark) -> bool:
    """Whether a bare number scores the condition; it is made that."""
    line, value = note.line, mark.value
    if value.unit is not None or not _LOWEST <= value.value <= _HIGHEST or value.value % 0.5:
        return False
    scored = any(m.kind == "score" for m in note.previous(at)[:4])
    if scored or line.norm(mark.end) in _SO_MANY:
        return False
    lead = [line.norm(i) for i in range(max(0, mark.start - _FAR), mark.start)]
    if _SORE & {*lead} or not _spoken_of(line.norm(mark.start - 1), lead):
        return False
    _with_the_next(note, at, mark)
    mark.kind, mark.code, mark.item = "score", "condition", find_item("condition", "score")
    return True


def _spoken_of(before: str, lead: list[str]) -> bool:
    """ "The thin mare, score two", "he's fat, that's seven", "dropped weight, she's a three"."""
    words = {*lead}
    fat = not _FLESH.isdisjoint(words)
    if before in ("score", "scores", "scored"):
        return fat or not _HORSES.isdisjoint(words)
    fat = fat or ("weight" in words and not _CHANGED.isdisjoint(words))
    return fat and (before in _LED or before in (".", ","))


def _with_the_next(note: Around, at: int, mark: Mark) -> None:
    """ "Seven at least, maybe seven and a half": one score, from the one to the other."""
    if at + 1 >= len(note.line.marks) or mark.value.high is not None:
        return
    other = next((m for m in note.line.marks[at + 1 :] if m.kind == "number"), None)
    if other is None or not 0 < other.start - mark.end <= _NEXT:
        return
    if any(note.line.norm(i) not in _BETWEEN for i in range(mark.end, other.start)):
        return
    low, high = mark.value.value, other.value.value
    if other.value.unit is None and low < high <= low + 1:
        mark.value = mark.number = replace(mark.value, high=high)
        mark.tags.add("from_to")
        other.kind, other.code = "count", "scale"
        other.tags.add("used")
