"""Bare numbers joined into ranges, with what was said of them before and behind."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from fieldlog.language.numbers.words import (
    BareNumber,
    NumberSpan,
    NumberWord,
    phrases,
    word_at,
)

_RUN = frozenset({"run", "running", "folded"})
"""Before "under" or "over" it is no amount."""
_RANGE_JOINERS = ("to", "or", "through", "till")
_MOVED = frozenset({"up", "down", "come", "came", "gone", "went", "raised", "lowered", "dropped",
                    "brought", "changed", "moved", "improved", "took", "taken", "him", "her",
                    "it", "them", "back"})  # fmt: skip


def finished(text: str, tokens: Sequence[NumberWord], found: list[BareNumber]) -> list[NumberSpan]:
    """The spans of bare numbers, in order: ranges joined, qualifiers read."""
    spans: list[NumberSpan] = []
    at = 0
    while at < len(found):
        number = found[at]
        end = max(number.last, number.unit_end)
        upper = found[at + 1] if at + 1 < len(found) else None
        high: float | None = None
        unit, form, maybe = number.unit, number.form, False
        if upper is not None and number.form in ("plain", "fraction", "grade"):
            joined = _ranged(tokens, end, upper, number)
            if joined is not None:
                high, unit, maybe = upper.value, upper.unit or number.unit, joined
                end = max(upper.last, upper.unit_end)
                form = "range" if number.form != "grade" else "grade"
                at += 1
        start_char, end_char = tokens[number.first].start, tokens[end - 1].end
        qualifier, about = _before(tokens, number.first)
        about = about or maybe or _after(tokens, end) or bool(qualifier)
        spans.append(
            NumberSpan(
                start=start_char,
                end=end_char,
                value=number.value,
                high=high,
                approximate=about,
                qualifier=qualifier,
                unit=unit,
                spoken=number.spoken or text[start_char:end_char],
                form=form,
            )
        )
        at += 1
    return spans


def _ranged(
    tokens: Sequence[NumberWord], end: int, upper: BareNumber, lower: BareNumber
) -> bool | None:
    """Whether two numbers are one range; True if the second came as a doubt ("six maybe")."""
    if upper.form not in ("plain", "fraction") or upper.value <= lower.value:
        return None
    if lower.unit is not None and upper.unit is not None and lower.unit is not upper.unit:
        return None
    between = [word_at(tokens, i, joined=False) for i in range(end, upper.first)]
    lead = [t.text for t in tokens[max(0, lower.first - 2) : lower.first]]
    if (
        between == ["to"]
        and lead[1:] == ["from"]
        and any(
            one.text in _MOVED and two.text == "from"
            for one, two in pairwise(tokens[: lower.first])
        )
    ):
        # "up from forty-eight to fifty-one" is two values
        return None
    half = not between and lower.value >= 1 and lower.value % 1 == 0
    if half and upper.value == lower.value + 0.5 and lower.form == "plain":
        return False  # "a six, six and a half"
    if any(t.wall for t in tokens[end : upper.first + 1]):
        close = upper.value - lower.value <= 1
        doubt = "maybe" in between or word_at(tokens, max(upper.last, upper.unit_end)) == "maybe"
        return True if close and doubt and len(between) <= 1 else None
    if len(between) == 1 and between[0] in _RANGE_JOINERS:
        return between[0] == "or"
    if between == ["or", "maybe"] or between == ["maybe"]:
        return True if upper.value - lower.value <= 2 else None
    if not between and word_at(tokens, max(upper.last, upper.unit_end)) == "maybe":
        return True if upper.value - lower.value <= 1 else None
    if not between and lower.form == "plain" and upper.value == lower.value + 1 <= 12:
        # "three four weeks"
        return True if word_at(tokens, upper.last) in ("weeks", "days", "inches") else None
    return None


def _before(tokens: Sequence[NumberWord], first: int) -> tuple[str, bool]:
    words = tuple(t.text for t in tokens[max(0, first - 4) : first])
    if tokens[first].wall:
        return "", False
    for phrase in phrases("qualifiers", "before"):
        if words[-len(phrase) :] == phrase:
            joined = " ".join(phrase)
            if joined in ("under", "over") and {*words[-2:-1]} & _RUN:
                return "", False
            return joined, True
    return "", any(words[-len(p) :] == p for p in phrases("approximate", "before"))


def _after(tokens: Sequence[NumberWord], end: int) -> bool:
    words = tuple(t.text for t in tokens[end : end + 3])
    if end < len(tokens) and tokens[end].wall:
        return False
    return any(words[: len(p)] == p for p in phrases("approximate", "after"))
