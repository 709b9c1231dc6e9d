"""Horses of one note that come one after the other, first, then, last."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Entry
from tests.language.said import heard

Told = list[tuple[str, set[str]]]


def told(entries: tuple[Entry, ...]) -> Told:
    """Each horse with its jobs and findings."""
    return [
        (e.horse.name if e.horse else "", {f"{f.code} {len(f.feet)}" for f in e.facts})
        for e in entries
    ]


@pytest.mark.parametrize(
    "text",
    [
        "Biscuit first, trimmed all four. Then Marlow, shod in front. Last was Pip, hinds trimmed.",
        "Three today. Biscuit first, trimmed all four. Marlow next, shod in front. Pip last, "
        "hinds trimmed.",
        "First was Biscuit, trimmed all four. Second was Marlow, shod in front. Last of all was "
        "Pip, hinds trimmed.",
    ],
)
def test_each_has_its_own(entries: Callable[..., tuple[Entry, ...]], text: str) -> None:
    wanted = [("Biscuit", {"trim 4"}), ("Marlow", {"shoe 2"}), ("Pip", {"trim 2"})]
    assert told(entries(text)) == wanted
    assert told(entries(text, "Biscuit", "Marlow", "Pip")) == wanted


def test_names_of_the_day_without_stops(entries: Callable[..., tuple[Entry, ...]]) -> None:
    text = heard("Three today. Biscuit first, trimmed all four. Then Marlow, shod in front. "
                 "Last was Pip, hinds trimmed.")  # fmt: skip
    found = told(entries(text, "Biscuit", "Marlow", "Pip"))
    assert found == [("Biscuit", {"trim 4"}), ("Marlow", {"shoe 2"}), ("Pip", {"trim 2"})]


@pytest.mark.parametrize(
    "text",
    [
        "Coffee first, then the mare. Trimmed all four.",
        "Fronts first, trimmed. Then Tuesday, the hinds.",
        "Last was bad, thrush in the left hind.",
        "Trimmed the fronts. Then Gary, the owner, came out and held him. Hinds trimmed.",
        "Coon-footed behind, trimmed.",
        "Half moon of blood in the left front sole.",
    ],
)
def test_what_is_no_horse(entries: Callable[..., tuple[Entry, ...]], text: str) -> None:
    assert [e.horse for e in entries(text)] == [None]
