"""Names of the day found by sound; none of these names is in any training text."""

from __future__ import annotations

import pytest

from fieldlog.core.words import Transcript, Word
from fieldlog.speech.names import find_names, likeness
from fieldlog.speech.pronounce import names_to_say, phrase, plain, ways

NAMES = ["Quillaway", "Tamsin", "Bramley Boy", "Osgood", "Zephyrine", "Hollins Ridge"]


def said(text: str, confidence: float = 0.6) -> list[Word]:
    return [Word(t, i * 0.3, i * 0.3 + 0.3, confidence) for i, t in enumerate(text.split())]


def shown(words: list[Word]) -> str:
    return " ".join(w.text for w in words)


@pytest.mark.parametrize(
    ("heard", "meant"),
    [
        ("this is quill away left front", "this is quillaway left front"),
        ("next horse tam sin", "next horse tamsin"),
        ("starting with bramble boy near fore", "starting with bramley boy near fore"),
        ("horse zephyr in left hind", "horse zephyrine left hind"),
        ("at hollands ridge today", "at hollins ridge today"),
        ("told oz good to call the vet", "told osgood to call the vet"),
    ],
)
def test_a_name_is_found_in_what_it_was_taken_for(heard: str, meant: str) -> None:
    assert shown(find_names(said(heard), NAMES)) == meant


def test_what_was_heard_is_kept() -> None:
    words = find_names(said("next horse tam sin"), NAMES)
    assert (words[2].heard, words[2].changed_by) == ("tam sin", "names")
    assert [words[2].start, words[2].end] == pytest.approx([0.6, 1.2])
    assert Transcript(tuple(words)).raw_text == "next horse tam sin"


def test_no_heard_word_is_lost_when_the_name_is_longer() -> None:
    words = find_names(said("this is bramleyboy"), NAMES)
    assert shown(words) == "this is bramley boy"
    assert Transcript(tuple(words)).raw_text == "this is bramleyboy"


@pytest.mark.parametrize(
    "text", ["the toe is long and the heel is good", "left front three and a quarter", ""]
)
def test_plain_dictation_stays(text: str) -> None:
    assert shown(find_names(said(text), NAMES)) == text


def test_sure_words_stay_outside_the_places_of_names() -> None:
    assert shown(find_names(said("the quill away there", 0.99), NAMES)) == "the quill away there"


def test_sure_words_of_the_trade_are_never_names() -> None:
    words = find_names(said("this is the heel", 0.95), ["Heal", "Theel"], {"heel"})
    assert shown(words) == "this is the heel"


def test_a_name_heard_as_it_is_written_stays_as_it_was_heard() -> None:
    words = said("next horse bramley boy")
    assert find_names(words, NAMES) == words


def test_the_likest_of_overlapping_stretches_is_taken() -> None:
    words = find_names(said("this is tam sin tam"), ["Tamsin", "Sintam"])
    assert shown(words) == "this is tam sintam", "its vowels are the same, those of tamsin are not"
    written = find_names(said("this is tamsin tam"), ["Tamsin", "Sintam"])
    assert shown(written) == "this is tamsin tam", "what is heard as it is written comes first"


def alike(heard: str, name: str) -> float:
    return likeness(phrase(heard), phrase(name))


def test_a_short_name_must_be_more_alike() -> None:
    """It is easily met by chance."""
    assert alike("all", "Al") > alike("damp sin", "Tamsin")
    assert shown(find_names(said("this is damp sin"), ["Tamsin"])) == "this is tamsin"
    assert shown(find_names(said("this is all"), ["Al"])) == "this is all"


def test_less_will_do_straight_after_a_word_that_brings_a_name() -> None:
    for before, heard, meant in (
        ("horse", "also good", "osgood"), ("is", "also good", "also good"),
        ("is", "ours good", "osgood"), ("long", "ours good", "ours good"),
        ("long", "us could", "osgood"),
    ):  # fmt: skip
        words = find_names(said(f"{before} {heard}"), ["Osgood"])
        assert shown(words) == f"{before} {meant}"


def test_without_names_or_words_nothing_changes() -> None:
    words = said("next horse tam sin")
    assert find_names(words, []) == words
    assert find_names([], NAMES) == []


def test_likeness_of_sounds() -> None:
    cat, cad, dog = ("K", "AE", "T"), ("K", "AE", "D"), ("D", "AO", "G")
    assert likeness(cat, cat) == 1.0
    assert likeness(cat, cad) == pytest.approx(1 - 0.4 / 3)
    assert likeness(cat, dog) < 0.5
    assert likeness((), cat) == 0.0


def test_pronunciations_against_cmudict() -> None:
    """Lines of CMUdict 0.7b (Carnegie Mellon University), stress dropped."""
    assert ways("horse") == (("HH", "AO", "R", "S"),)
    assert ways("knight")[0] == ("N", "AY", "T")
    assert phrase("Copper Penny") == ("K", "AA", "P", "ER", "P", "EH", "N", "IY")


def test_accents_and_signs_do_not_matter() -> None:
    assert plain("Ébène  O’Brien!") == "ebene o'brien"
    assert plain("…") == ""


def test_ways_to_say_names() -> None:
    assert names_to_say(["Copper Penny", "77"]) == {"copper penny": [["K AA P ER", "P EH N IY"]]}
    assert names_to_say(["Hoof"]) == {"hoof": [["HH UH F"], ["HH UW F"]]}, "both ways"
    assert names_to_say(["", "…"]) == {}
    assert names_to_say(["Bay 7"]) == {"bay": [["B EY"]]}, "nobody knows how a number is said"
