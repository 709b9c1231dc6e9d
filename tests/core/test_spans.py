"""Stretches of a text."""

from __future__ import annotations

import pytest

from fieldlog.core.spans import joined, touch


@pytest.mark.parametrize(
    ("one", "other", "shared"),
    [
        ((0, 3), (2, 5), True),
        ((0, 3), (3, 5), False),
        ((0, 9), (4, 4), True),
        ((0, 1), (5, 6), False),
    ],
)
def test_stretches_touch_where_they_share_a_character(
    one: tuple[int, int], other: tuple[int, int], shared: bool
) -> None:
    assert touch(one, other) is shared
    assert touch(other, one) is shared


@pytest.mark.parametrize(
    ("spans", "wanted"),
    [
        ([(0, 3), (5, 8)], ((0, 8),)),  # a comma between is no word
        ([(5, 8), (0, 3)], ((0, 8),)),
        ([(0, 3), (12, 15)], ((0, 3), (12, 15))),
        ([(0, 10), (2, 4)], ((0, 10),)),
        ([], ()),
    ],
)
def test_stretches_with_no_word_between_are_one(
    spans: list[tuple[int, int]], wanted: tuple[tuple[int, int], ...]
) -> None:
    assert joined(spans, "one, two and six") == wanted
