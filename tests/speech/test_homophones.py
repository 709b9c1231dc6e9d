"""Words that sound like a word of the trade, mended in context and kept as heard."""

from __future__ import annotations

import pytest

from fieldlog.core.words import Transcript, Word
from fieldlog.speech.homophones import mend, read_rules, table


def said(text: str, confidence: float = 0.95) -> list[Word]:
    return [Word(t, i * 0.3, i * 0.3 + 0.3, confidence) for i, t in enumerate(text.split())]


def mended(text: str, confidence: float = 0.95) -> str:
    return " ".join(w.text for w in mend(said(text, confidence)))


@pytest.mark.parametrize(
    ("heard", "meant"),
    [
        ("left four has rush in the central circus", "left fore has thrush in the central sulcus"),
        ("off four three inches", "off fore three inches"),
        ("bit off thrush on the souls", "bit of thrush on the soles"),
        ("under run heals both fours", "underrun heels both fores"),
        ("the wide line is tight", "the white line is tight"),
        ("double ought on the hinds", "double aught on the hinds"),
        ("an old access at the heal", "an old abscess at the heel"),
        ("of fore is sound", "off fore is sound"),
        ("medical heel is high", "medial heel is high"),
        ("took the heel down a good eight", "took the heel down a good eighth"),
        ("set the toe back an eight", "set the toe back an eighth"),
    ],
)
def test_mended(heard: str, meant: str) -> None:
    assert mended(heard) == meant


@pytest.mark.parametrize(
    "text",
    [
        "near four inches",
        "right four weeks",
        "it will heal up well",
        "access to the barn is muddy",
        "a wide line of rings",
        "do not rush him",
        "risen clenches",
        "loose clinches",
        "he ought to be fine",
        "a good eight weeks",
        "an eight inch crack",
        "an eight year old",
    ],
)
def test_left_alone(text: str) -> None:
    assert mended(text) == text


def test_what_was_heard_is_kept() -> None:
    words = mend(said("under run heals"))
    assert [(w.text, w.heard) for w in words] == [("underrun", "under run"), ("heels", "heals")]
    assert words[0].changed_by == "homophones:underrun"
    assert words[0].start == 0.0
    assert words[0].end == pytest.approx(0.6)
    assert Transcript(tuple(words)).raw_text == "under run heals"


def test_some_rules_ask_for_doubt() -> None:
    assert mended("left find", 0.95) == "left find"
    assert mended("left find", 0.5) == "left hind"


def test_a_word_changed_by_something_else_is_left() -> None:
    word = Word("soul", 0, 1).shown_as("soul", "names")
    assert mend([word]) == [word]


def test_mending_twice_changes_nothing_more() -> None:
    once = mend(said("left four under run heals of fore"))
    assert mend(once) == once


def test_bad_tables_are_refused() -> None:
    with pytest.raises(ValueError, match="needs heard and shown"):
        read_rules('[[rule]]\nheard = "soul"\n')
    with pytest.raises(ValueError, match="no field"):
        read_rules('[[rule]]\nheard = "soul"\nshown = "sole"\nwith = "x"\n')


def test_no_rule_shows_what_it_heard() -> None:
    assert [r for rules in table().values() for r in rules if r.heard == r.shown] == []
