"""Find today's names in what was heard, with any model: by sound, after recognition.

A name that a model does not know comes out as other words that sound like it ("Tamsin" as "tam
sin"). Every stretch of one to four words is compared, phone by phone, with the names of the day;
an unsure stretch needs to be alike, a sure one almost the same and in a place where names stand.
Nothing is lost: the changed word keeps what was heard.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
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
class _Candidate:
    name: str
    shown: str
    phones: tuple[str, ...]


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
    candidates = [
        _Candidate(plain(name), plain(name), phones)
        for name in dict.fromkeys(names)
        if len(phones := phrase(name)) >= 2
    ]
    said = [(ways(w.text) or ((),))[0] for w in words]
    sounds = {c.name for c in candidates}
    found: list[tuple[float, int, int, _Candidate]] = []
    for start in range(len(words)):
        for end in range(start + 1, min(start + LONGEST, len(words)) + 1):
            heard = " ".join(w.text for w in words[start:end])
            if heard in sounds:
                found.append((9.0, start, end, _Candidate(heard, heard, ())))
                continue
            hit = _best(words, said, start, end, candidates, protected)
            if hit:
                found.append((hit[0], start, end, hit[1]))
    taken = [False] * len(words)
    chosen: dict[int, tuple[int, _Candidate]] = {}
    for _, start, end, candidate in sorted(found, key=lambda f: (-f[0], f[1], f[1] - f[2])):
        if not any(taken[start:end]):
            taken[start:end] = [True] * (end - start)
            if candidate.phones:
                chosen[start] = (end, candidate)
    out: list[Word] = []
    at = 0
    while at < len(words):
        if at in chosen:
            end, candidate = chosen[at]
            out += _shown(words[at:end], candidate)
            at = end
        else:
            out.append(words[at])
            at += 1
    return out


def _best(
    words: Sequence[Word],
    said: Sequence[tuple[str, ...]],
    start: int,
    end: int,
    candidates: Sequence[_Candidate],
    protected: Collection[str],
) -> tuple[float, _Candidate] | None:
    stretch = words[start:end]
    sure = sum(w.confidence for w in stretch) / len(stretch)
    terms = [w for w in stretch if w.text in protected or w.text in NEVER]
    if len(terms) == len(stretch) or any(w.confidence >= UNSURE for w in terms):
        return None
    called = start == 0 or words[start - 1].text in CALLS
    if sure >= UNSURE and not called:
        return None
    needed = ALIKE if called and sure < UNSURE else VERY_ALIKE
    if start and words[start - 1].text in OUTCRIES and sure < UNSURE:
        needed = CALLED_OUT
    phones = tuple(p for s in said[start:end] for p in s)
    best: tuple[float, _Candidate] | None = None
    for candidate in candidates:
        if abs(len(phones) - len(candidate.phones)) > 0.4 * len(candidate.phones):
            continue
        if not Levenshtein.normalized_similarity(phones, candidate.phones, score_cutoff=0.3):
            continue
        alike = likeness(phones, candidate.phones)
        # A short name is easily met by chance.
        floor = needed + 0.06 * max(0, 4 - len(candidate.phones))
        if alike >= floor and (best is None or alike > best[0]):
            best = (alike, candidate)
    return best


def _shown(stretch: Sequence[Word], candidate: _Candidate) -> list[Word]:
    """The stretch as the name: as many words as both have, so that no heard word is lost."""
    count = min(len(stretch), len(candidate.shown.split()))
    texts = _shared(candidate.shown.split(), count)
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
