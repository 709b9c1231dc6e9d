"""What stands around a fact in its sentence: signs that the rules may have read it wrongly.

Talkers nobody has heard yet use words that no rule knows. A fact whose sentence holds such words,
talks of several feet, or turns on "if", "but" and "then", is likelier wrong than one said plainly.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Sequence
from functools import lru_cache

from fieldlog.core.facts import Fact, FactKind, FootBasis
from fieldlog.language.words.known_words import FOOT, SWAY, vocabulary

_WORD = re.compile(r"[a-z]+(?:'[a-z]+)?|\d+(?:[.,/]\d+)*")
_STOPS = ".?!;\n"
_STOP = re.compile(f"[{_STOPS}]")
_GOES_ON = frozenset({"but", "and", "just", "though"})
_OF_THEN = frozenset({"was", "were", "had"})
NEAR = 24
"""Characters on either side of a fact that count as beside it."""
AROUND = 90
"""Characters on either side of a fact that count as its sentence at most: a recogniser writes no
full stops, and a whole note is no sentence."""


@lru_cache(maxsize=256)
def sentence_of(text: str, span: tuple[int, int]) -> tuple[int, int]:
    """The characters from the full stop before a span to the one after it."""
    begin = max([text.rfind(stop, 0, span[0]) for stop in _STOPS]) + 1
    after = _STOP.search(text, min(span[1], len(text)))
    return begin, after.start() if after else len(text)


def around(fact: Fact, text: str) -> tuple[int, int]:
    """The characters of a fact's sentence, at most ``AROUND`` of them on either side."""
    begin, end = sentence_of(text, fact.span)
    if begin < fact.span[0] - AROUND:
        begin = text.find(" ", fact.span[0] - AROUND, fact.span[0]) + 1 or fact.span[0]
    if end > fact.span[1] + AROUND:
        end = max(text.rfind(" ", fact.span[1], fact.span[1] + AROUND), fact.span[1])
    return begin, end


def unknown_beside(fact: Fact, text: str) -> list[str]:
    """Words in or beside a fact, within its sentence, that no rule knows."""
    return list(unknown_at(text, fact.span))


@lru_cache(maxsize=256)
def unknown_at(text: str, span: tuple[int, int]) -> tuple[str, ...]:
    """``unknown_beside`` for the characters of a fact."""
    begin, end = sentence_of(text, span)
    low, high = max(begin, span[0] - NEAR), min(end, span[1] + NEAR)
    low = text.find(" ", low, span[0]) + 1 if low > begin else low
    known = vocabulary()
    out = []
    for word in _WORD.findall(text[max(0, low) : high].lower().replace("’", "'")):
        if word[0].isdigit() or word in known or word.partition("'")[0] in known:
            continue
        out.append(word)
    return tuple(out)


def _count(ordered: Sequence[int], low: int, high: int) -> int:
    """How many of some ascending numbers are at least ``low`` and below ``high``."""
    return max(0, bisect_left(ordered, high) - bisect_left(ordered, low))


def signs(
    fact: Fact, text: str, facts: Sequence[Fact] = (), unused: Sequence[int] = ()
) -> dict[str, float]:
    """Numbers from 0 to 1 about the surroundings of a fact, larger for less plain talk.

    Args:
        fact: one of ``facts``.
        text: the note that its span points into.
        facts: the facts of the entry in order, to see how far back its foot was named.
        unused: see ``unused_words``.
    """
    begin, end = around(fact, text)
    words = _WORD.findall(text[begin:end].lower())
    beside = len(unknown_beside(fact, text))
    within = len([f for f in facts if f.span[0] < end and f.span[1] > begin])
    sway = len([w for w in words if w in SWAY])
    feet = len([w for w in words if w in FOOT])
    near = _count(unused, max(begin, fact.span[0] - NEAR), min(end, fact.span[1] + NEAR))
    inside = _count(unused, begin, end)
    out = {
        "unused_near": min(near, 4) / 4,
        "any_unused_near": float(near > 0),
        "unused": min(inside, 6) / 6,
        "any_unused": float(inside > 0),
        "strange": min(beside, 4) / 4,
        "any_strange": float(beside > 0),
        "sway": min(sway, 3) / 3,
        "feet_said": min(max(0, feet - 2), 4) / 4,
        "long": min(len(words), 40) / 40,
        "thin": min(len(words) / max(1, within), 15) / 15,
        "wide_span": min(fact.span[1] - fact.span[0], 80) / 80,
    }
    if fact.foot_basis is FootBasis.CARRIED:
        since = 0
        for other in reversed([f for f in facts if f.span[0] < fact.span[0]]):
            since += 1
            if other.foot_basis is FootBasis.SAID:
                break
        out["carried_far"] = min(since, 6) / 6
    if fact.negated and not _GOES_ON.isdisjoint(words):
        out["no_over_and"] = 1.0
    if fact.kind is FactKind.FINDING and fact.historical == _OF_THEN.isdisjoint(words):
        out["when"] = 1.0
    return out
