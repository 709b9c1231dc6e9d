"""How what is measured today compares with the same of an earlier visit, where both are told.

"A two out of five. It was a three": no word compares, the numbers do. Which way is good only some
things say of themselves; else it is smaller or larger, unless the network hears better or worse. A
measure is not compared so: its two numbers stand beside each other with their days, and of 146 such
measures in the open notes those who annotated them compared 26.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace

from fieldlog.core.facts import Comparison, Fact, FactKind, Trend
from fieldlog.language.numbers.spoken import NumberSpan
from fieldlog.language.opinion.heard import Opinion, Span

HEARD = 0.3
"""Chance from which the network's word is taken for what the numbers allow."""
_LESS = {
    FactKind.FINDING: (Trend.SMALLER, Trend.BETTER, Trend.GROWING_OUT),
    FactKind.SCORE: (Trend.BETTER,),
}
_MORE = {
    FactKind.FINDING: (Trend.LARGER, Trend.WORSE),
    FactKind.SCORE: (Trend.WORSE,),
}
_EQUAL = dict.fromkeys(_LESS, (Trend.SAME,))
_MOVES = frozenset({"event_line", "remaining", "condition"})
"""What goes down by growing, or of which more may be better."""
_FAULTS = frozenset({"white_line_stretched", "sheared_heel", "rotation", "flare", "lameness",
                     "imbalance"})  # fmt: skip
"""Findings that are better where they are less."""
_WAS = re.compile(
    r"^(?:.{0,40}?\b(?:was|were) (?:about |around |at |maybe |nearly )?"
    r"|,? ?(?:down |up |now )?from (?:about |around |an? )?)$",
    re.IGNORECASE,
)
"""What stands between a number of today and the one of earlier."""
_LAST = re.compile(
    r"\b(?:was|were|had|last|before|earlier|first|then|been|from|started)\b[^.;]*$", re.IGNORECASE
)
"""Behind these a number is of earlier, or may be."""
_NOW = re.compile(
    r"^ (?:right )?(?:now|today|this (?:time|visit|trim|morning))"
    r"(?=\s*(?:[.,;]|$|and\b|but\b|so\b))",
    re.IGNORECASE,
)
"""Behind a number: it is of today, whatever was said of the one before it."""
_CLAUSE = 40
"""Characters before a number that tell of when it is."""


def of_today(
    facts: Sequence[Fact], text: str, at: Mapping[str, Span], numbers: Sequence[NumberSpan]
) -> list[Fact]:
    """The facts; a number before "it was sixteen in June" is today's, as is one before "now".

    "Last time" and "in June" are of the number that was, though the thing is told but once.

    Args:
        facts: what is told.
        text: the note.
        at: by a fact's id the characters of its number.
        numbers: the numbers of the note.
    """
    out = []
    for fact in facts:
        if fact.historical and fact.id in at and not fact.taught:
            first, last = at[fact.id]
            if _NOW.match(text[last : last + _CLAUSE]):
                out.append(replace(fact, historical=False))
                continue
            before = text[max(0, first - _CLAUSE) : first]
            if not _LAST.search(before) and any(
                n.start > last and _WAS.match(text[last : n.start]) for n in numbers
            ):
                fact = replace(fact, historical=False)
        out.append(fact)
    return out


def compared_with_before(facts: Sequence[Fact], opinion: Opinion) -> list[Fact]:
    """The facts; one of today that no word compares is compared with its number of earlier."""
    before = [f for f in facts if f.historical and f.quantity is not None and not f.negated]
    return [_compared(fact, before, opinion) for fact in facts]


def _compared(fact: Fact, before: Sequence[Fact], opinion: Opinion) -> Fact:
    now = fact.quantity
    if (
        now is None
        or fact.historical
        or fact.planned
        or fact.negated
        or fact.comparison is not None
        or fact.kind not in _LESS
        or fact.code in _MOVES
    ):
        return fact
    for earlier in before:
        was = earlier.quantity
        if was is None or earlier.code != fact.code or was.unit is not now.unit:
            continue
        if not set(fact.feet) <= set(earlier.feet) or (not fact.feet and earlier.feet):
            continue
        if fact.places and earlier.places and set(fact.places).isdisjoint(earlier.places):
            continue
        trends = _EQUAL if now.value == was.value else _LESS if now.value < was.value else _MORE
        allowed = trends[fact.kind]
        if fact.code in _FAULTS and Trend.BETTER in allowed:
            allowed = (Trend.BETTER, *allowed)
        trend = _trend(allowed, opinion.told(fact.code, False, fact.span))
        return replace(fact, comparison=Comparison(trend))
    return fact


def _trend(allowed: Sequence[Trend], told: Mapping[str, float]) -> Trend:
    """The first that the numbers allow, or what the network hears of the others."""
    heard = max(allowed, key=lambda trend: told.get(f"@{trend.value}", 0.0))
    return heard if told.get(f"@{heard.value}", 0.0) >= HEARD else allowed[0]
