"""The seat of the name finder: candidates only, and never against a rule."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from datetime import datetime

import pytest

from fieldlog.core.facts import Entry, Fact, FactKind, HorseMention, Passage
from fieldlog.core.words import Transcript
from fieldlog.language.names_model import Finder, Named, shipped_model, with_candidates
from fieldlog.language.pipeline import Understander, load

RECORDED = datetime(2026, 11, 25, 9, 0)


def scripted(**labels: str) -> Finder:
    """A finder that gives each word its label wherever it stands."""

    def find(texts: tuple[str, ...]) -> list[list[Named]]:
        return [
            [
                Named(text.index(word), text.index(word) + len(word), label)
                for word, label in labels.items()
                if word in text
            ]
            for text in texts
        ]

    return find


def test_unknown_finding_becomes_a_candidate_on_the_foot_in_hand(
    understander: Understander,
) -> None:
    text = "left hind thrush in the frog. there is zorkle too."
    entry = understander.understand(Transcript.typed(text), recorded=RECORDED)[0]
    (told,) = with_candidates([entry], scripted(zorkle="FINDING"))
    added = next(f for f in told.facts if f.details.get("text") == "zorkle")
    assert (added.code, [f.value for f in added.feet]) == ("other_finding", ["LH"])
    assert [d.code for d in added.doubts] == ["model_candidate"]
    assert not any("zorkle" in p.text for p in told.passages)


def test_words_that_a_rule_understood_are_left_alone(understander: Understander) -> None:
    entry = understander.understand(
        Transcript.typed("left hind thrush. the gate squeaks zorkly."), recorded=RECORDED
    )[0]
    (told,) = with_candidates([entry], scripted(thrush="FINDING", hind="HORSE"))
    assert told.facts == entry.facts
    assert told.horse == entry.horse


def _recording(read: list[tuple[str, ...]]) -> Finder:
    """A finder that names nothing and keeps what it was given."""

    def find(texts: tuple[str, ...]) -> list[list[Named]]:
        read.append(texts)
        return [[] for _ in texts]

    return find


def _left_over(words: str) -> Entry:
    """An entry of a named horse in which no rule took some words."""
    text = f"Duke. Left hind thrush. {words}"
    at = (text.index(words), len(text))
    horse = HorseMention("Duke", (0, 4))
    return Entry((), text, (0, len(text)), horse, (Passage(at, words),))


@pytest.mark.parametrize(
    ("words", "read"),
    [
        ("so he's", False),
        ("then zorkle", False),
        ("there is a zorkle", True),
        ("put some of the zorkle", True),
        ("one two three four five six zorkle", True),
    ],
)
def test_only_what_something_may_lead_to_is_read(words: str, read: bool) -> None:
    given: list[tuple[str, ...]] = []
    entry = _left_over(words)
    assert with_candidates([entry], _recording(given)) == (entry,)
    assert bool(given) is read


def test_a_missing_horse_or_person_is_looked_for_anywhere() -> None:
    entry = _left_over("so he's")
    given: list[tuple[str, ...]] = []
    with_candidates([replace(entry, horse=None)], _recording(given))
    with_candidates([replace(entry, facts=(Fact(FactKind.ADVICE, "spoke_to"),))], _recording(given))
    assert len(given) == 2


def test_what_a_passage_offers_stays_when_another_is_named() -> None:
    entry = _left_over("zorkle")
    offer = Passage((6, 15), "Left hind", (Fact(FactKind.FINDING, "crack"),))
    entry = replace(entry, horse=None, passages=(offer, *entry.passages))
    (told,) = with_candidates([entry], scripted(zorkle="PLACE"))
    assert told.passages == entry.passages


def test_named_horse_is_never_replaced(understander: Understander) -> None:
    text = "next horse Duke. zorkle stood well."
    entry = understander.understand(Transcript.typed(text), recorded=RECORDED)[0]
    assert entry.horse is not None
    (told,) = with_candidates([entry], scripted(zorkle="HORSE"))
    assert told.horse is not None
    assert told.horse.name == "Duke"


def test_no_passage_no_call(understander: Understander) -> None:
    entry = understander.understand(Transcript.typed("left hind thrush"), recorded=RECORDED)[0]

    def never(texts: tuple[str, ...]) -> list[list[Named]]:
        raise AssertionError(texts)

    assert with_candidates([entry], never) == (entry,)


def test_what_stands_far_into_a_note_is_found_word_for_word() -> None:
    text = (
        "left front thrush in the frog and a bit of a crack at the toe that runs up an inch. "
        "so the owner says the vet has him on firocoxib this week."
    )
    entry = load(names_model=shipped_model()).understand(Transcript.typed(text), recorded=RECORDED)[
        0
    ]
    assert "firocoxib" in [f.details.get("text") for f in entry.facts]


def test_shipped_finder_adds_a_medication() -> None:
    folder = shipped_model()
    assert folder is not None
    entry = load(names_model=folder).understand(
        Transcript.typed("left front thrush. vet has him on firocoxib this week."),
        recorded=RECORDED,
    )[0]
    found = [f for f in entry.facts if f.rule == "ner:medication"]
    assert [f.details["text"] for f in found] == ["firocoxib"]
    assert all(f.needs_look for f in found)


def test_spacy_comes_without_its_command_line_tools() -> None:
    said = (
        "import sys; from fieldlog.language.pipeline import load; load(); "
        "print('spacy.cli' in sys.modules); import spacy; "
        "print(spacy.info(silent=True)['spacy_version'] == spacy.__version__)"
    )
    done = subprocess.run([sys.executable, "-c", said], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["False", "True"]
