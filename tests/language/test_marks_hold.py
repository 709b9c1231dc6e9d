"""Which words belong to a mark."""

from __future__ import annotations

import pytest

from fieldlog.language.words.marks import Mark

WHOLE = Mark("finding", "thrush", 3, 6)
ROUND_A_FOOT = Mark("finding", "crack", 2, 8, gap=(4, 6))
EMPTY = Mark("work", "shoe", 5, 5)


@pytest.mark.parametrize(
    ("mark", "words"), [(WHOLE, {3, 4, 5}), (ROUND_A_FOOT, {2, 3, 6, 7}), (EMPTY, set())]
)
def test_it_holds_its_words_but_not_those_of_its_gap(mark: Mark, words: set[int]) -> None:
    assert mark.covers() == words
    assert {at for at in range(-1, 12) if mark.holds(at)} == words


def test_it_touches_words_of_which_it_holds_one() -> None:
    assert ROUND_A_FOOT.touches({1, 7})
    assert not ROUND_A_FOOT.touches({1, 4, 5, 8})
    assert not WHOLE.touches(frozenset())
    assert not EMPTY.touches({5})
