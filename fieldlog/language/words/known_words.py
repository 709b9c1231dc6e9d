"""Which words the rules know: the vocabulary, what of a note they read, what they left unread."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from itertools import pairwise

from fieldlog.language.lexicon import read_data
from fieldlog.language.words.marks import Mark, pattern_words
from fieldlog.language.words.tokens import Token

SWAY = frozenset({"if", "but", "then", "than", "before", "after", "until", "till", "was",
                   "unless", "were", "had", "would", "should", "could", "when", "while",
                   "since", "because", "so", "though", "instead", "except", "ever", "yet",
                   "again", "like"})  # fmt: skip
"""Words that turn what is told: a condition, a contrast, an earlier time."""
FOOT = frozenset({"left", "right", "near", "off", "front", "fronts", "fore", "fores", "hind",
                   "hinds", "behind", "lf", "rf", "lh", "rh", "other", "both", "all"})  # fmt: skip
"""Words that name feet."""
_SHORT_TITLES = frozenset({"dr", "mr", "mrs", "ms"})


@cache
def vocabulary() -> frozenset[str]:
    """Every word that some rule knows."""
    known: set[str] = set(SWAY | FOOT | pattern_words())
    for words in read_data("words").values():
        known |= {str(word) for word in words}
    numbers = read_data("numbers")
    for part in ("small", "tens", "denominators", "ordinals"):
        known |= set(numbers[part])
    for units in numbers["units"].values():
        known |= {str(unit) for unit in units}
    known |= {"hundred", "thousand", "point", "monday", "tuesday", "wednesday", "thursday",
              "friday", "saturday", "sunday", "weeks", "week", "days", "day", "months", "month",
              "fortnight"}  # fmt: skip
    return frozenset(known)


def significant(tokens: Sequence[Token]) -> list[Token]:
    """The tokens that rules look at: no fillers, hyphens or quotes, no name behind "doctor".

    The stop of "Dr." ends no sentence.
    """
    kept = [t for t in tokens if t.sort not in ("filler", "joiner")]
    titles = {id(b) for a, b in pairwise(kept) if a.norm in _SHORT_TITLES and b.norm == "."}
    kept = [t for t in kept if id(t) not in titles]
    vets = {i for i, t in enumerate(kept) if t.norm in ("doctor", "dr", "doc")}
    named = {i + 1 for i in vets if i + 1 < len(kept) and kept[i + 1].norm.isalpha()}
    return [t for i, t in enumerate(kept) if i not in named or t.norm in vocabulary()]


def unused_words(words: Sequence[Token], marks: Sequence[Mark]) -> tuple[int, ...]:
    """Where words stand (first character) that no mark took and that are not mere glue."""
    taken = {i for mark in marks for i in mark.covers()}
    small = frozenset(read_data("words")["glue"])
    return tuple(
        w.start
        for i, w in enumerate(words)
        if w.sort == "word" and i not in taken and w.norm not in small
    )
