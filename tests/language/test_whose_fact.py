"""Facts of which it is not sure whose they are are asked about, and names that are plain words.

The notes are our own; that farriers talk so is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Entry
from tests.language.said import heard

Read = Callable[..., tuple[Entry, ...]]


def asked(entries: tuple[Entry, ...]) -> set[str]:
    """Codes of the facts that are asked about."""
    return {
        f.code for e in entries for f in e.facts if "whose" in {doubt.code for doubt in f.doubts}
    }


def test_what_was_told_before_a_horse_was_named(entries: Read) -> None:
    text = "Thrush in the left hind, treated it. Juno, trimmed. Max, reset in front."
    found = entries(text, "Juno", "Max")
    assert asked(found) == {"thrush", "treat"}


def test_far_behind_a_name_without_stops(entries: Read) -> None:
    chatter = "and the weather was grim and the lad talked about his holidays in spain " * 4
    text = heard(f"Juno, trimmed. Max, trimmed. {chatter} thrush in the left hind.")
    assert asked(entries(text, "Juno", "Max")) == {"thrush"}


@pytest.mark.parametrize(
    "text",
    [
        "Juno, trimmed, thrush in the left hind. Max, reset in front, six weeks.",
        "Thrush in the left hind, treated it. Juno was good.",
        "Thrush in the left hind, treated it.",
    ],
)
def test_what_is_sure_is_not_asked(entries: Read, text: str) -> None:
    assert asked(entries(text, "Juno", "Max")) == set()


PLAIN = ("Star", "Copper", "Bay", "Lucky", "Blue", "Grey", "Stocking", "Penny", "Will", "Frost",
         "Clip", "Nail", "Toe", "May", "Friday", "Rasp", "Sandy", "Dusty", "Rocky", "Chip",
         "Ginger", "Patch", "Socks", "Flare", "Bar", "Angel", "Champ", "Rush", "Hope")  # fmt: skip


@pytest.mark.parametrize("as_heard", [False, True], ids=["typed", "heard"])
@pytest.mark.parametrize(
    "text",
    [
        "Grey mare, left front toe three and a quarter. Bit of copper sulphate on the frog.",
        "Star of flaring on the left front, trimmed all four, six weeks.",
        "Bay gelding, lucky he wasn't lame, left hind thrush, blue spray on it.",
        "Bar shoes in front, toe clip on the left hind, one nail rocky, see him friday.",
        "Trimmed all four, I hope, chip in the right front, patch of blood in the sole.",
        "She was an angel. Reset in front, socks muddy, a dusty day.",
    ],
)
def test_plain_words_are_no_horses_of_a_note(entries: Read, text: str, as_heard: bool) -> None:
    said = heard(text) if as_heard else text
    plain, named = entries(said), entries(said, *PLAIN)
    assert len(named) == 1
    told = [[(f.code, f.feet, f.quantity) for f in e.facts] for e in (plain[0], named[0])]
    assert told[0] == told[1]
