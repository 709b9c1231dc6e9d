"""What something was first taken for and is not."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Entry, Fact
from tests.language.said import heard


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    "text",
    [
        "I thought it was an abscess but it turned out to be a bruise, left front.",
        "Left front looked like an abscess but it was only a bruise.",
        "Left front, figured it was an abscess but it's just a bruise.",
        "Thought abscess, left front, but it's just a bruise.",
        "I was sure it was an abscess left front, turned out to be a bruise.",
        "I'd have sworn it was an abscess left front but it's a bruise.",
    ],
)
def test_it_turned_out_to_be_another(
    facts: Callable[[str], list[Fact]], text: str, as_heard: bool
) -> None:
    found = facts(heard(text) if as_heard else text)
    assert {(f.code, f.negated) for f in found} == {("abscess", True), ("bruise", False)}


def test_no_vet_is_called_for_what_it_is_not(entries: Callable[..., tuple[Entry, ...]]) -> None:
    (entry,) = entries("I thought it was an abscess but it turned out to be a bruise, left front.")
    assert not entry.red_flags


@pytest.mark.parametrize(
    "text",
    [
        "Thought he had thrush off hind, turned out it was just dirt.",
        "Looked like thrush in the off hind but it was nothing.",
        "Thought there was thrush in the off hind but no.",
    ],
)
def test_it_was_nothing(facts: Callable[[str], list[Fact]], text: str) -> None:
    assert ("thrush", True) in {(f.code, f.negated) for f in facts(text)}


@pytest.mark.parametrize(
    "text",
    [
        "I thought it was an abscess left front and it was.",
        "I thought it was an abscess left front, turned out I was right.",
        "I thought it was an abscess left front but it's hard to tell.",
        "Looks like an abscess left front but it isn't draining.",
        "Owner thought it was an abscess left front, it turned out.",
    ],
)
def test_what_it_may_well_be(facts: Callable[[str], list[Fact]], text: str) -> None:
    assert ("abscess", True) not in {(f.code, f.negated) for f in facts(text)}
