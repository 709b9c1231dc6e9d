"""What somebody is told to take out or leave is no correction."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Entry


@pytest.mark.parametrize(
    "text",
    [
        "Studs in both hinds, told her to take them out at night.",
        "Studs in both hinds, she'll take them out at night.",
        "Studs in both hinds. He should take it out after the show.",
        "Studs in both hinds, told him not to take that out.",
        "Studs in both hinds. Told the girl to leave it out of the mud.",
        "Studs in both hinds. You can't ignore that.",
    ],
)
def test_somebody_is_told_to(entries: Callable[..., tuple[Entry, ...]], text: str) -> None:
    (entry,) = entries(text)
    assert "studs" in {f.code for f in entry.facts}
    assert entry.corrections == ()


@pytest.mark.parametrize(
    "text",
    [
        "Studs in both hinds. Take that out.",
        "Studs in both hinds, no, scratch that.",
        "Studs in both hinds. I'll have to scratch that.",
        "Studs in both hinds. I want to take that back.",
    ],
)
def test_what_the_farrier_takes_back(entries: Callable[..., tuple[Entry, ...]], text: str) -> None:
    (entry,) = entries(text)
    assert "studs" not in {f.code for f in entry.facts}
    assert len(entry.corrections) == 1
