"""Find today's names in what was heard, with any model: by sound, after recognition.

A name that a model does not know comes out as other words that sound like it ("Tamsin" as "tam
sin"). Every stretch of one to four words is compared, phone by phone, with the names of the day;
an unsure stretch needs to be alike, a sure one almost the same and in a place where names stand.
Nothing is lost: the changed word keeps what was heard.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from rapidfuzz.distance import Levenshtein

from fieldlog.core.words import Word
from fieldlog.speech.pronounce import phrase, plain, ways

T = TypeVar("T")

RULE = "names"
UNSURE = 0.85
"""Mean confidence under which a stretch counts as unsure."""
ALIKE = 0.68
"""Least likeness (1 is the same sound) for an unsure stretch in a place where names stand."""
CALLED_OUT = 0.58
"""The same straight after a word that nearly always brings a name, such as "next horse"."""
VERY_ALIKE = 0.82
"""The same elsewhere, or for a sure stretch in a place where names stand."""
LONGEST = 4
"""Most heard words that one name is looked for in."""
CALLS = (
    "horse", "is", "called", "named", "name", "mare", "gelding", "stallion", "pony", "filly",
    "colt", "with", "to", "for", "told", "owner", "at", "by", "mrs", "mr", "doctor", "call",
    "next", "up", "now", "and", "from", "ask", "remind", "text", "ring", "starting", "onto", "on",
)  # fmt: skip
"""Words after which a name often stands (common practice, no source)."""
OUTCRIES = (
    "horse", "called", "named", "mare", "gelding", "stallion", "pony", "filly", "colt", "mrs", "mr",
    "doctor",
)  # fmt: skip
"""Words after which it nearly always does."""

_TERMS = (
    "left right near off fore front hind fronts hinds both all four toe heel heels quarter frog",
    "sole wall line bar bars foot feet hoof inside outside medial lateral one two three five six",
    "seven eight nine ten inch inches degrees mil half trimmed pulled reset",
)
NEVER = frozenset(w for line in _TERMS for w in line.split())
"""Words that are never taken for a name while the reader was sure of them, nor when alone."""

_CLASSES = (
    "P B", "T D", "K G", "F V", "TH DH", "S Z", "SH ZH", "CH JH", "M N NG", "L R W", "Y IY",
    "IH IY EH", "EH AE EY", "AH ER UH", "AA AO AH", "AO OW", "UH UW", "AY AA", "AW AA", "OY AO",
    "IH AH", "T TH", "D DH", "F TH", "V DH", "V W", "S SH", "AE AH",
)  # fmt: skip
_NEAR = {(a, b) for row in _CLASSES for a in row.split() for b in row.split() if a != b}
_VOWELS = {p for pair in _CLASSES for p in pair.split() if p[0] in "AEIOU"}


@dataclass(frozen=True, slots=True)
class _Name:
    """A name of the day, in plain writing, and how it is said."""

    text: str
    phones: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Hit:
    """A stretch of what was heard that sounds like a name."""

    alike: float
    start: int
    end: int
    """Numbers of words, the second one excluded."""
    name: _Name | None
    """None: the name was heard as it is written, and nothing changes."""


def likeness(a: Sequence[str], b: Sequence[str]) -> float:
    """1 for the same phones, 0 for nothing in common; near sounds cost half.

    >>> likeness(("K", "AE", "T"), ("K", "AE", "T"))
    1.0
    """
    if not a or not b:
        return 0.0
    row = [float(j) for j in range(len(b) + 1)]
    for i, x in enumerate(a, 1):
        previous, row[0] = row[0], float(i)
        for j, y in enumerate(b, 1):
            step = previous + _swap(x, y)
            previous = row[j]
            row[j] = min(step, row[j] + 1.0, row[j - 1] + 1.0)
    return max(0.0, 1.0 - row[-1] / max(len(a), len(b)))


def _swap(x: str, y: str) -> float:
    if x == y:
        return 0.0
    if (x, y) in _NEAR:
        return 0.4
    if x in _VOWELS and y in _VOWELS:
        return 0.6
    return 1.0


def find_names(
    words: Sequence[Word], names: Iterable[str], protected: Collection[str] = ()
) -> list[Word]:
    """The words with stretches that sound like one of ``names`` shown as that name.

    Args:
        words: what was heard, in order.
        names: horses, owners, barns of the day, as written.
        protected: words that are never taken for a name while the reader was sure of them, such
            as the terms of the trade.

    Returns:
        A new list; the words of a replaced stretch are marked ``names`` and keep what was heard.
    """
    listening = _Listening(words, names, protected)
    out: list[Word] = []
    at = 0
    for hit in _apart(listening.hits(), len(words)):
        out += words[at : hit.start]
        stretch = words[hit.start : hit.end]
        out += _shown(stretch, hit.name) if hit.name is not None else stretch
        at = hit.end
    return [*out, *words[at:]]


class _Listening:
    """What was heard, and the names that may be in it; the arguments are those of
    ``find_names``."""

    def __init__(
        self, words: Sequence[Word], names: Iterable[str], protected: Collection[str]
    ) -> None:
        self._words, self._protected = words, protected
        self._names = [
            _Name(plain(name), phones)
            for name in dict.fromkeys(names)
            if len(phones := phrase(name)) >= 2
        ]
        self._written = {name.text for name in self._names}
        self._said = [(ways(w.text) or ((),))[0] for w in words]

    def hits(self) -> Iterator[_Hit]:
        """Every stretch that may be a name; they overlap."""
        for start in range(len(self._words)):
            for end in range(start + 1, min(start + LONGEST, len(self._words)) + 1):
                hit = self._hit(start, end)
                if hit is not None:
                    yield hit

    def _hit(self, start: int, end: int) -> _Hit | None:
        if " ".join(w.text for w in self._words[start:end]) in self._written:
            return _Hit(_AS_WRITTEN, start, end, None)
        needed = self._needed(start, end)
        if needed is None:
            return None
        phones = tuple(p for said in self._said[start:end] for p in said)
        alike = ((likeness(phones, n.phones), n) for n in self._names if _near(phones, n.phones))
        enough = [(how, n) for how, n in alike if how >= needed + _more_if_short(n)]
        if not enough:
            return None
        how, name = max(enough, key=lambda one: one[0])
        return _Hit(how, start, end, name)

    def _needed(self, start: int, end: int) -> float | None:
        """How alike a stretch must be to a name; None where it cannot be one."""
        stretch = self._words[start:end]
        terms = [w for w in stretch if w.text in self._protected or w.text in NEVER]
        if len(terms) == len(stretch) or any(w.confidence >= UNSURE for w in terms):
            return None
        before = self._words[start - 1].text if start else ""
        called = not start or before in CALLS
        if sum(w.confidence for w in stretch) / len(stretch) >= UNSURE:
            return VERY_ALIKE if called else None
        if before in OUTCRIES:
            return CALLED_OUT
        return ALIKE if called else VERY_ALIKE


_AS_WRITTEN = 2.0
"""The likeness of what was heard as it is written: before any that is only alike."""


def _near(heard: Sequence[str], name: Sequence[str]) -> bool:
    """Whether it is worth looking how alike they are, which takes longer."""
    if abs(len(heard) - len(name)) > 0.4 * len(name):
        return False
    return bool(Levenshtein.normalized_similarity(heard, name, score_cutoff=0.3))


def _more_if_short(name: _Name) -> float:
    """A short name is easily met by chance."""
    return 0.06 * max(0, 4 - len(name.phones))


def _apart(hits: Iterable[_Hit], words: int) -> list[_Hit]:
    """Of overlapping hits the likest one, then the earlier, then the longer; in order."""
    taken = [False] * words
    chosen = []
    for hit in sorted(hits, key=lambda h: (-h.alike, h.start, h.start - h.end)):
        if not any(taken[hit.start : hit.end]):
            taken[hit.start : hit.end] = [True] * (hit.end - hit.start)
            chosen.append(hit)
    return sorted(chosen, key=lambda h: h.start)


def _shown(stretch: Sequence[Word], name: _Name) -> list[Word]:
    """The stretch as the name: as many words as both have, so that no heard word is lost."""
    count = min(len(stretch), len(name.text.split()))
    texts = _shared(name.text.split(), count)
    pieces = _shared(list(stretch), count)
    return [
        replace(
            piece[0],
            text=" ".join(text),
            end=piece[-1].end,
            confidence=min(w.confidence for w in piece),
            heard=" ".join(w.heard or w.text for w in piece),
            changed_by=RULE,
        )
        for text, piece in zip(texts, pieces, strict=True)
    ]


def _shared(items: list[T], count: int) -> list[list[T]]:
    """``items`` in ``count`` runs, the last one taking what is left over."""
    return [*([item] for item in items[: count - 1]), items[count - 1 :]]
