"""Stretches of a text: a pair of characters, the second one excluded."""

from __future__ import annotations

import re
from collections.abc import Iterable

Span = tuple[int, int]
"""First character, and the one after the last."""


def touch(one: Span, other: Span) -> bool:
    """Whether two stretches share a character, or an empty one lies within the other."""
    return one[0] < other[1] and other[0] < one[1]


def joined(spans: Iterable[Span], text: str) -> tuple[Span, ...]:
    """Stretches of a text in order; those between which no word stands are one.

    Args:
        spans: in any order; they may share characters.
        text: what they point into.
    """
    out: list[Span] = []
    for begin, end in sorted(spans):
        if out and not re.search(r"\w", text[out[-1][1] : begin]):
            out[-1] = (out[-1][0], max(out[-1][1], end))
        else:
            out.append((begin, end))
    return tuple(out)
