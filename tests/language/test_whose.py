"""Facts that may be another horse's ask for a look, those of one horse's own words do not."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Entry

Read = Callable[..., tuple[Entry, ...]]


def asked(entries: tuple[Entry, ...]) -> dict[str, set[str]]:
    """Each horse with the codes of its facts that ask whose they are."""
    return {
        e.horse.name: {f.code for f in e.facts if any(d.code == "whose" for d in f.doubts)}
        for e in entries
        if e.horse is not None
    }


def test_what_is_said_of_several_asks_of_each(entries: Read) -> None:
    found = entries("Pippin, trimmed. Juno, reset. Both of them six weeks.", "Pippin", "Juno")
    assert asked(found) == {"Pippin": {"next_trim"}, "Juno": {"next_trim"}}
    (doubt,) = [d for f in found[0].facts for d in f.doubts if d.code == "whose"]
    assert "Both of them" in doubt.reason


@pytest.mark.parametrize(
    ("words", "codes"),
    [
        ("The yearling came in too, left hind thrush.", {"thrush"}),
        ("Left hind thrush. He stands beside Pippin, off fore seedy toe.", {"seedy_toe"}),
        ("Left hind thrush, white line stretched at the toe.", set()),
        ("Told Gary to keep him in. Left hind thrush.", set()),
    ],
)
def test_what_stands_behind_words_of_another_asks(
    entries: Read, words: str, codes: set[str]
) -> None:
    found = asked(entries(f"Pippin, trimmed. Juno, reset all round. {words}", "Pippin", "Juno"))
    assert found["Juno"] - {"owner_care", "spoke_to"} == codes
    assert found["Pippin"] == set()


def test_of_one_horse_nothing_asks(entries: Read) -> None:
    found = entries("Juno, the bay mare, trimmed. The mare stood well. Left hind thrush.", "Juno")
    assert asked(found) == {"Juno": set()}
