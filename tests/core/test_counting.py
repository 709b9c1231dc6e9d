"""Things counted in words."""

from __future__ import annotations

import pytest

from fieldlog.core.counting import counted


@pytest.mark.parametrize(("number", "words"), [(0, "0 entries"), (1, "1 entry"), (2, "2 entries")])
def test_one_and_many(number: int, words: str) -> None:
    assert counted(number, "entry", "entries") == words
    assert counted(number, "horse") == f"{number} horse{'' if number == 1 else 's'}"
