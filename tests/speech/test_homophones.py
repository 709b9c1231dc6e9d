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
        ("a trace off the frog", "a trace of the frog"),
        ("ring the that tomorrow", "ring the vet tomorrow"),
        ("so that says leave it", "so vet says leave it"),
        ("the that's films are good", "the vet's films are good"),
        ("three and a her", "three and a half"),
        ("level with the bride heel", "level with the right heel"),
        ("now heat in leave her foot", "no heat in either foot"),
        ("toe lengths eighty two", "toe length eighty two"),
        ("no camper in it", "no canker in it"),
        ("a small strong bruise", "a small stone bruise"),
        ("then i build both fronts", "then i pulled both fronts"),
        ("a flap handing off the frog", "a flap hanging off the frog"),
        ("no thinking in that one", "no sinking in that one"),
        ("both heel's are low", "both heels are low"),
        ("lever pad on the near", "leather pad on the near"),
        ("bring me friday with how he is", "ring me friday with how he is"),
        ("a touch on the neither", "a touch on the near"),
        ("left pale her angle", "left palmar angle"),
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
        "took a quarter inch off the heel",
        "an inch off the right and an eighth off the left",
        "a bit off the toe",
        "a nice pair of hinds on her",
        "leather tow and tar under it",
        "took the shoes off behind",
        "two mil on the left four right toes back",
        "there's now heat in the foot",
        "make a note heat was gone",
        "build the heel up",
        "bring me the long one",
        "neither front is hot",
        "the tape that says nine hundred",
        "a flap that they keep handing round",
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


def test_what_depends_on_doubt() -> None:
    assert mended("on the ride she lands flat", 0.95) == "on the ride she lands flat"
    assert mended("on the ride she lands flat", 0.5) == "on the right she lands flat"
    assert mended("toe angle fifty for", 0.5) == "toe angle fifty four"
    assert mended("worth fifty for the pair", 0.95) == "worth fifty for the pair"


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
