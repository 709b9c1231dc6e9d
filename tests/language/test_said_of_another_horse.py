"""What is said of one horse of a note is no fact of the next."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from fieldlog.core.facts import Entry
from fieldlog.language.opinion.gist import words_of
from fieldlog.language.opinion.heard import Opinion
from tests.language.said import heard

SECOND_OPINION = True
"""With the network: it hears a little of the first horse in the words about the next one."""
Entries = Callable[..., tuple[Entry, ...]]


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    "text",
    [
        "New horse Duke, left front thrush. New horse Bella, trimmed all four.",
        "Left front thrush. End of horse. Next horse Bella, trimmed all four.",
        "New horse Duke, left front thrush. Next one is Bella, trimmed all four, six weeks.",
        "New horse Duke, crack on the right hind. New horse Bella, reset the fronts.",
    ],
)
def test_the_next_horse_has_only_its_own(entries: Entries, text: str, as_heard: bool) -> None:
    first, second = entries(heard(text) if as_heard else text)
    assert {f.code for f in first.facts} <= {"thrush", "crack"}
    assert {f.code for f in second.facts} <= {"trim", "reset", "next_trim"}


def test_what_both_have_is_told_of_both(entries: Entries) -> None:
    text = (
        "New horse Duke, left front thrush. New horse Bella, right hind thrush, trimmed all four."
    )
    first, second = entries(text)
    assert {f.code for f in first.facts} == {"thrush"}
    assert {f.code for f in second.facts} == {"thrush", "trim"}


def test_what_another_part_says_more_plainly_is_said_there() -> None:
    text = "thrush here nothing there"
    chances = {"thrush": 0.9, "here": 0.5, "nothing": 0.7, "there": 0.7}
    words = tuple(words_of(text))
    not_said = np.log1p(-np.array([[chances[word]] for word, _, _ in words]))
    opinion = Opinion(words, not_said, {"thrush": 0})
    assert [name for name, _ in opinion.sayings((0, len(text)), 0.75)] == ["thrush"]
    assert opinion.sayings((text.index("nothing"), len(text)), 0.75) == []
    assert opinion.rather_elsewhere("thrush", (text.index("nothing"), len(text)))
    assert not opinion.rather_elsewhere("thrush", (0, len(text)))
