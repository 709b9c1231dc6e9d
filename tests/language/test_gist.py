"""The second opinion: what the trained network says, and what becomes of it."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from fieldlog.app.editing import change
from fieldlog.core.facts import Entry, Fact, FactKind, Severity
from fieldlog.core.feet import Foot
from fieldlog.core.words import Transcript, Word
from fieldlog.language import confidence, note_marks, second_opinion
from fieldlog.language.opinion import gist, standing
from fieldlog.language.opinion.gist import words_of
from fieldlog.language.opinion.heard import Opinion
from fieldlog.language.opinion.labels import label
from fieldlog.language.opinion.standing import set_aside, unclear_words
from fieldlog.language.opinion.word_pieces import Pieces
from fieldlog.language.pipeline import Understander
from tests.gold.evaluate import RECORDED

Facts = Callable[[str], list[Fact]]
Opined = Callable[[Opinion | None], None]


def said(text: str, **chances: dict[str, float]) -> Opinion:
    """An opinion by hand: chances by code and word, nothing said elsewhere."""
    words = tuple(words_of(text))
    columns = {code: at for at, code in enumerate(chances)}
    logs = np.zeros((len(words), len(columns)))
    for code, by_word in chances.items():
        for at, (word, _, _) in enumerate(words):
            logs[at, columns[code]] = math.log1p(-by_word.get(word, 0.0))
    return Opinion(words, logs, columns)


@pytest.fixture
def opined(monkeypatch: pytest.MonkeyPatch) -> Opined:
    """Set the opinion that is asked for."""

    def give(held: Opinion | None) -> None:
        monkeypatch.setattr(confidence, "opinion", lambda *_: held)
        monkeypatch.setattr(second_opinion, "opinion", lambda *_: held)
        monkeypatch.setattr(note_marks, "opinion", lambda *_: held)

    return give


def test_names_of_the_network() -> None:
    assert label("thrush", False) == "thrush"
    assert label("thrush", True) == "not:thrush"
    assert label("sound", False) == "not:lameness"
    assert label("sound", True) == "lameness"


def test_a_longer_stretch_says_at_least_as_much() -> None:
    text = "black porridge in the middle of that frog"
    held = said(text, thrush={"black": 0.3, "porridge": 0.6, "frog": 0.2})
    whole = held.chance("thrush", False)
    assert whole == pytest.approx(1 - 0.7 * 0.4 * 0.8)
    assert held.chance("thrush", False, (0, 5), beside=0) == pytest.approx(0.3)
    assert held.chance("thrush", False, (0, 14), beside=0) == pytest.approx(1 - 0.7 * 0.4)
    assert held.chance("thrush", True) == 0.0
    assert held.chance("thrush", False, (900, 910)) == 0.0


@pytest.mark.parametrize("count", [1, 127, 128, 129, 200, 5000])
def test_windows_cover_every_word_once(count: int) -> None:
    stretches = gist.windows(count)
    assert [n for first, last in stretches for n in range(first, last)] == list(range(count))
    if count > gist.WINDOW:
        assert max(last - first + 2 * gist.EDGE for first, last in stretches) <= gist.WINDOW


def test_words_in_pieces() -> None:
    """Longest match first, as WordPiece is described (Schuster and Nakajima 2012)."""
    pieces = Pieces(["[UNK]", "can", "##ker", "##k", "##er", "cank", "'", "he", "s", "##ered"])
    assert pieces.of("canker") == [5, 4]
    assert pieces.of("cankered") == [5, 9]
    assert pieces.of("he's") == [7, 6, 8]
    assert pieces.of("zebra") == [0]
    assert pieces.of("") == [0]


def test_a_long_note_is_read_as_its_parts_are() -> None:
    talk = "left hind the frog is black and gooey down the middle and it stinks of rot"
    chatter = "the dog has chewed my apron and the rain will not let up at all today is it"
    note = " ".join([chatter] * 10 + [talk] + [chatter] * 10)
    held = gist.opinion(note)
    assert held is not None
    assert len(held.words) > 2 * gist.WINDOW
    at = note.index(talk)
    assert held.chance("thrush", False, (at, at + len(talk)), beside=0) > 0.5
    assert held.chance("thrush", False, (0, at - 20), beside=0) < 0.1


def test_words_that_no_rule_took_become_a_marked_candidate(opined: Opined, facts: Facts) -> None:
    text = "Left front, wibbly wobbly jelly there. Trimmed all four."
    opined(said(text, thrush={"wibbly": 0.8, "wobbly": 0.8, "jelly": 0.8}))
    made = facts(text)
    new = next(f for f in made if f.code == "thrush")
    assert [f.value for f in new.feet] == ["LF"]
    assert new.rule == "gist:thrush"
    assert "model_candidate" in {d.code for d in new.doubts}
    assert "trim" in {f.code for f in made}


def test_what_is_heard_instead_is_told_and_the_rules_word_one_key_away(
    opined: Opined, facts: Facts
) -> None:
    text = "Left front, bit of thrush in the frog."
    opined(None)
    (without,) = facts(text)
    assert "second_opinion" not in {d.code for d in without.doubts}
    opined(said(text, bruise={"thrush": 0.9}, thrush={}))
    (fact,) = facts(text)
    assert (fact.code, fact.feet, fact.places) == ("bruise", without.feet, without.places)
    assert "The rules say: thrush. A second opinion outweighs them." in [
        d.reason for d in fact.doubts
    ]
    back = change(fact, fact.readings[0].changes)
    assert (back.code, back.feet, back.needs_look) == ("thrush", fact.feet, False)


def test_a_denial_that_is_heard_instead_is_told(opined: Opined, facts: Facts) -> None:
    text = "Left front, bit of thrush in the frog."
    opined(said(text, thrush={}, **{"not:thrush": {"thrush": 0.9}}))
    (fact,) = facts(text)
    assert (fact.code, fact.negated) == ("thrush", True)
    back = change(fact, fact.readings[0].changes)
    assert (back.code, back.negated, back.feet) == ("thrush", False, fact.feet)


@pytest.mark.parametrize("heard", ["bruise", "sidebone"])
def test_a_word_for_a_disease_is_only_offered_another_and_never_told_by_hearing(
    opined: Opined, facts: Facts, heard: str
) -> None:
    """Sidebone and navicular are diseases in findings.toml, bruise and thrush are none."""
    rule = "navicular" if heard == "bruise" else "thrush"
    text = f"Left front, some {rule} there."
    opined(said(text, **{heard: {rule: 0.9}, rule: {}}))
    (fact,) = facts(text)
    assert fact.code == rule
    assert change(fact, fact.readings[0].changes).code == heard


def test_what_is_heard_too_becomes_a_candidate_beside(opined: Opined, facts: Facts) -> None:
    text = "Left front, bit of thrush in the frog."
    opined(said(text, pare_frog={"thrush": 0.9}, thrush={"thrush": 0.9}))
    first, second = facts(text)
    assert (first.code, second.code) == ("thrush", "pare_frog")
    assert second.feet == first.feet
    assert (first.severity, second.severity) == (Severity.MILD, None)
    assert second.rule == "gist:pare_frog"
    assert [d.code for d in second.doubts] == ["model_candidate"]
    assert not first.needs_look


def test_what_a_fact_tells_already_is_no_candidate(facts: Facts) -> None:
    (fact,) = facts("Right front, bar shoe with side clips.")
    assert fact.details["clips"] == "side"


def test_a_fact_that_is_hardly_heard_gets_a_doubt(opined: Opined, facts: Facts) -> None:
    text = "Left front, toe is three and a half. She stood like a rock for it and never looked."
    opined(said(text, toe_length={"looked": 0.5}))
    (fact,) = facts(text)[:1]
    assert fact.code == "toe_length"
    assert "A second opinion on the words does not hear this." in [d.reason for d in fact.doubts]


def test_what_is_not_heard_at_all_is_set_aside_and_offered(
    opined: Opined, entries: Callable[..., tuple[Entry, ...]]
) -> None:
    text = "Left front, bit of thrush in the frog. Toe is three and a half."
    opined(said(text, thrush={}, toe_length={"toe": 0.2}))
    (entry,) = entries(text)
    assert [f.code for f in entry.facts] == ["toe_length"]
    (offered,) = entry.set_aside
    assert (offered.code, offered.feet, offered.places) == ("thrush", (Foot.LF,), ("frog",))
    assert Entry.from_dict(entry.to_dict()) == entry
    taken = replace(entry, facts=(*entry.facts, offered))
    assert not taken.set_aside


def test_a_job_that_would_be_set_aside_is_told_by_the_kindred_name_that_is_heard(
    opined: Opined, facts: Facts
) -> None:
    text = "Took the toe back a quarter inch on both fronts."
    opined(said(text, set_back_toe={"back": 0.15}, shorten_toe={"toe": 0.5, "back": 0.75}))
    (job,) = facts(text)
    assert (job.code, job.needs_look) == ("shorten_toe", True)
    assert job.feet == (Foot.LF, Foot.RF)
    assert "set_back_toe" in [reading.changes.get("code") for reading in job.readings]
    opined(said(text, set_back_toe={"back": 0.15}, shorten_toe={"toe": 0.2}))
    assert not list(facts(text))


@pytest.mark.parametrize(("chance", "stays"), [(0.05, False), (0.2, True)])
def test_a_measure_that_is_heard_nowhere_is_offered(chance: float, stays: bool) -> None:
    text = "Left front, testers two across the heel."
    fact = Fact(FactKind.MEASUREMENT, "heel_length", (Foot.LF,), span=(20, 38), rule="measure:cue")
    kept, aside = set_aside([fact], said(text, heel_length={"two": chance}))
    assert (kept, aside) == (([fact], []) if stays else ([], [fact]))
    taught = replace(fact, rule="personal:heel_length")
    assert set_aside([taught], said(text, heel_length={"two": chance}))[0] == [taught]


@pytest.mark.parametrize(("how_clear", "stays"), [(0.9, True), (0.3, False)])
def test_what_is_likely_by_a_word_that_was_not_clearly_heard_is_offered(
    monkeypatch: pytest.MonkeyPatch, how_clear: float, stays: bool
) -> None:
    monkeypatch.setattr(standing, "weighed_chance", lambda *_: 0.5)
    heard = Transcript((Word("bit", 0, 1), Word("of", 1, 2), Word("flare", 2, 3, how_clear)))
    fact = Fact(FactKind.FINDING, "flare", (Foot.LF,), span=(0, 12), rule="finding:flare")
    opinion = said(heard.text, flare={"flare": 0.6})
    kept, aside = set_aside([fact], opinion, (), unclear_words(heard))
    assert (kept, aside) == (([fact], []) if stays else ([], [fact]))
    beside = replace(fact, span=(0, 6))
    assert set_aside([beside], opinion, (), unclear_words(heard))[0] == [beside]


def test_a_finding_stays_where_the_network_wavers_between_two_names_of_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(standing, "weighed_chance", lambda *_: 0.1)
    text = "off fore there is a crack in the inside quarter"
    fact = Fact(FactKind.FINDING, "quarter_crack", (Foot.RF,), span=(20, 47), rule="finding:crack")
    either = said(text, quarter_crack={"crack": 0.5}, crack={"crack": 0.3})
    assert set_aside([fact], either) == ([fact], [])
    another = said(text, quarter_crack={"crack": 0.5}, thrush={"crack": 0.3})
    assert set_aside([fact], another) == ([], [fact])


def test_of_a_typed_note_every_word_is_clear() -> None:
    assert not unclear_words(Transcript.typed("bit of flare"))


@pytest.mark.parametrize("text", ["There's a nail in the near hind.", "I think he's foundered."])
def test_what_calls_for_a_veterinarian_is_never_set_aside(
    opined: Opined, entries: Callable[..., tuple[Entry, ...]], text: str
) -> None:
    opined(said(text, penetrating_object={}, founder={}, laminitis={}))
    (entry,) = entries(text)
    assert entry.red_flags
    assert not entry.set_aside


def test_a_call_that_hangs_on_two_facts_is_not_heard_away(
    opined: Opined, entries: Callable[..., tuple[Entry, ...]]
) -> None:
    text = "Left front is hot. Left front has a digital pulse."
    opined(None)
    (entry,) = entries(text)
    calls = entry.red_flags
    assert calls
    opined(said(text, heat={}, bruise={"hot": 0.95}, digital_pulse={"pulse": 0.9}))
    (entry,) = entries(text)
    assert entry.red_flags == calls
    assert not entry.set_aside


def test_what_is_surely_heard_becomes_a_candidate_also_over_a_rules_words(
    opined: Opined, facts: Facts
) -> None:
    text = "Left front, bit of thrush in the frog. Right front has a corn."
    heard = {"thrush": {"thrush": 0.9}, "corn": {"corn": 0.9}}
    opined(said(text, bad_smell={"frog": 0.95}, **heard))
    first, second, third = facts(text)
    assert (first.code, second.code, third.code) == ("thrush", "corn", "bad_smell")
    assert third.feet == first.feet
    assert third.rule == "gist:bad_smell"
    assert [d.code for d in third.doubts] == ["model_candidate"]
    opined(said(text, bad_smell={"frog": 0.7}, **heard))
    assert len(facts(text)) == 2, "not where it is less than sure"


def test_what_a_promise_is_about_is_no_candidate(opined: Opined, facts: Facts) -> None:
    text = "Left front is trimmed. Recheck the thrush in two weeks."
    opined(said(text, trim={"trimmed": 0.9}, recheck={"recheck": 0.9}, thrush={"thrush": 0.97}))
    assert [f.code for f in facts(text)] == ["trim", "recheck"]


def test_a_promise_that_only_the_network_hears_takes_its_time_and_no_foot(
    opined: Opined, facts: Facts
) -> None:
    text = "Left front has thrush. Wants snaps of it in two weeks."
    opined(said(text, thrush={"thrush": 0.9}, radiographs={"snaps": 0.97}))
    promise = next(f for f in facts(text) if f.code == "radiographs")
    assert promise.feet == ()
    assert promise.due is not None
    assert promise.due.period == "P2W"


def test_nothing_is_proposed_twice(opined: Opined, facts: Facts) -> None:
    text = "Left front, thrush, really goopy stuff."
    opined(said(text, thrush={"thrush": 0.9, "goopy": 0.95, "stuff": 0.9}))
    made = facts(text)
    assert [f.code for f in made] == ["thrush"]


def test_the_shipped_network() -> None:
    held = gist.opinion(
        "left hind the frog is all black and gooey down the middle and it stinks of rot"
    )
    assert held is not None
    assert len(held.columns) > 200
    assert held.chance("thrush", False) > 0.5
    assert held.chance("next_trim", False) < 0.1
    nothing = gist.opinion("the owner is on holiday and the dog chewed my apron")
    assert nothing is not None
    assert max(nothing.chance(c, False) for c in ("thrush", "abscess", "trim", "reset")) < 0.2
    assert gist.opinion("") is not None


def test_a_horse_named_as_a_rules_word_is_not_read(understander: Understander) -> None:
    text = "copper stood well right hind has a crack at the toe left hind thrush in the frog"
    named, unnamed = (
        understander.understand(Transcript.typed(text), recorded=RECORDED, names=names)
        for names in (["Copper"], ["Juniper"])
    )
    assert "treat" not in {f.code for e in named for f in e.facts}
    assert {f.code for e in named for f in e.facts} <= {f.code for e in unnamed for f in e.facts}
    network = gist.network()
    assert network is not None
    heard, not_heard = network.read(text), network.read(text, gist.HowRead(hidden=((0, 6),)))
    assert heard.chance("treat", False) > 0.5 > not_heard.chance("treat", False)
    assert not_heard.words == heard.words
