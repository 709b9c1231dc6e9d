"""Stretches of a text: a pair of characters, the second one excluded."""

from __future__ import annotations

Span = tuple[int, int]
"""First character, and the one after the last."""


def touch(one: Span, other: Span) -> bool:
    """Whether two stretches share a character, or an empty one lies within the other."""
    return one[0] < other[1] and other[0] < one[1]
