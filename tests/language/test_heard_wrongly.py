"""Words that recognisers and hurried typists confuse, read as meant and left where right."""

from __future__ import annotations

import pytest

from fieldlog.language.words.tokens import tokenise


def read(text: str) -> str:
    return " ".join(token.norm for token in tokenise(text))


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("crack at the tow", "crack at the toe"),
        ("both tow walls", "both toe walls"),
        ("left four is sound", "left fore is sound"),
        ("of hind is sound", "off hind is sound"),
        ("pattern is upright", "pastern is upright"),
    ],
)
def test_read_as_meant(text: str, meant: str) -> None:
    assert read(text) == meant


@pytest.mark.parametrize(
    "text",
    [
        "packed it with tow and tar",
        "leather tow and tar under the pad",
        "sole on the left four right six",
        "a set of hind boots",
        "same pattern behind",
        "an odd wear pattern",
    ],
)
def test_left_as_it_is(text: str) -> None:
    assert read(text) == text
