"""Two readings of a note: differences, marks, taking the other one, and places that move."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.core.disputes import (
    DIFFER,
    TAKEN,
    concerning,
    differences,
    for_understanding,
    marked,
    readers_of,
    stretches,
    taken,
    with_disputes,
)
from fieldlog.core.facts import Entry, Fact, FactKind, HorseMention
from fieldlog.core.words import Transcript, Word


def said(text: str, reader: str = "fake/first") -> Transcript:
    words = [Word(t, i, i + 0.5, 0.9, reader=reader) for i, t in enumerate(text.split())]
    return Transcript(tuple(words), reader, len(words))


FIRST = said("left hind so rush in the frog trimmed all four")
SECOND = said("left hind no thrush in the frog trimmed all four", "fake/second")
RUSH = (10, 17)
"""Where “so rush” stands in the first text."""


def at_stake() -> Transcript:
    (one,) = differences(FIRST, SECOND)
    return marked(FIRST, SECOND, {one: (RUSH,)})


def fact(name: str, words: str, text: str = FIRST.text) -> Fact:
    start = text.index(words)
    return Fact(FactKind.FINDING, name, span=(start, start + len(words)), id=name)


def entry(*facts: Fact, horse: HorseMention | None = None) -> Entry:
    return Entry(facts, FIRST.text, (0, len(FIRST.text)), horse)


def test_words_written_apart_are_no_difference() -> None:
    assert differences(said("recheck in four weeks"), said("re check in four weeks")) == []
    assert differences(said("he's sound"), said("hes sound")) == []
    assert differences(said(""), said("anything")) == []


def test_a_difference_is_marked_with_its_reader_and_what_hangs_on_it() -> None:
    words = at_stake().words
    assert [w.rival for w in words[2:4]] == ["no thrush"] * 2
    assert {w.rival_reader for w in words[2:4]} == {"fake/second"}
    assert {w.at_stake for w in words[2:4]} == {(RUSH,)}
    assert all(not w.rival for w in (*words[:2], *words[4:]))
    assert at_stake().text == FIRST.text


def test_fillers_are_marked_only_if_a_fact_hangs_on_them() -> None:
    first, second = said("three and a quarter"), said("three quarter")
    (one,) = differences(first, second)
    assert not any(w.rival for w in marked(first, second).words)
    assert [w.rival for w in marked(first, second, {one: ((0, 5),)}).words] == [
        "",
        "nothing",
        "nothing",
        "",
    ]


def test_marks_survive_being_stored() -> None:
    stored = json.loads(json.dumps(at_stake().to_dict()))
    assert Transcript.from_dict(stored) == at_stake()


def test_a_word_stored_before_there_were_two_readers_still_loads() -> None:
    old = {"words": [{"text": "toe", "start": 0.0, "end": 0.3}], "reader": "vosk/x"}
    assert Transcript.from_dict(old).words[0].at_stake == ()


def test_stretches_show_both_readings() -> None:
    (one,) = stretches(at_stake())
    assert (one.words, one.span) == ((2, 4), RUSH)
    assert str(one) == "“so rush” or “no thrush”"


def test_the_fact_of_the_words_is_asked_with_both_readings() -> None:
    about = entry(fact("rush", "rush in the frog"), fact("trim", "trimmed all four"))
    asked = concerning(about, at_stake())
    assert set(asked) == {"rush"}
    rush, trim = with_disputes(about.facts, asked)
    assert [d.code for d in rush.doubts] == [DIFFER]
    assert rush.doubts[0].reason == "Two readers differ: “so rush” or “no thrush”."
    assert not trim.doubts


def test_a_difference_that_would_add_a_fact_is_asked_with_the_nearest_open_one() -> None:
    about = entry(fact("trim", "trimmed all four"))
    assert set(concerning(about, at_stake())) == {"trim"}
    assert set(concerning(about, at_stake(), {"trim"})) == {""}
    assert with_disputes(about.facts, concerning(about, at_stake()), {"trim"}) == about.facts


def test_a_difference_in_the_horse_is_asked_with_the_horse() -> None:
    about = entry(fact("trim", "trimmed all four"), horse=HorseMention("so rush", RUSH))
    assert set(concerning(about, at_stake())) == {""}


def test_a_difference_outside_of_the_entry_is_not_asked() -> None:
    about = replace(entry(fact("trim", "trimmed all four")), span=(30, len(FIRST.text)))
    assert concerning(about, at_stake()) == {}


def test_a_difference_on_which_nothing_hangs_is_not_asked() -> None:
    assert concerning(entry(fact("rush", "rush")), marked(FIRST, SECOND)) == {}


def test_taken_words_keep_their_time_and_reader_and_what_was_heard() -> None:
    new, moved = taken(at_stake(), SECOND, differences(FIRST, SECOND))
    assert new.text == SECOND.text
    assert new.reader == "fake/first + fake/second"
    no, thrush = new.words[2:4]
    assert (no.text, no.heard, no.reader, no.changed_by) == ("no", "so", "fake/second", TAKEN)
    assert (thrush.text, thrush.heard) == ("thrush", "rush")
    assert not any(w.rival for w in new.words)
    assert readers_of(new) == {"fake/first": 8, "fake/second": 2}
    frog = FIRST.text.index("frog")
    assert new.text[slice(*moved.span((frog, frog + 4)))] == "frog"
    assert new.text[slice(*moved.span(RUSH))] == "no thrush"
    assert moved.span((0, len(FIRST.text))) == (0, len(new.text))
    head = FIRST.text.index("trimmed")
    assert new.text[slice(*moved.part((0, head)))] == "left hind no thrush in the frog "


def test_other_disputes_stay_and_move_along() -> None:
    first, second = said("so rush and city toe"), said("no thrush and seedy toe", "fake/second")
    one, two = differences(first, second)
    both = marked(first, second, {one: ((0, 7),), two: ((12, 16),)})
    new, _ = taken(both, second, [one])
    (left,) = stretches(new)
    assert (left.ours, left.theirs) == ("city", "seedy")
    assert new.text[slice(*left.at_stake[0])] == "city"


def test_what_one_reader_alone_heard_is_told_as_such() -> None:
    (more,) = stretches(marked(said("toe long"), said("toe very long", "fake/second")))
    assert str(more) == "“toe” or “toe very”"
    (less,) = stretches(marked(said("toe very long"), said("toe long", "fake/second")))
    assert str(less) == "“very” or nothing"


def test_disputes_side_by_side_stay_two() -> None:
    """Where facts hang on one of them only, each is asked by itself."""
    words = [Word("so", 0, 1, rival="no", rival_reader="b", at_stake=((0, 2),)),
             Word("rush", 1, 2, rival="thrush", rival_reader="b")]  # fmt: skip
    one, two = stretches(Transcript(tuple(words)))
    assert (one.ours, one.theirs, one.at_stake) == ("so", "no", ((0, 2),))
    assert (two.ours, two.theirs, two.words, two.span) == ("rush", "thrush", (1, 2), (3, 7))


@pytest.mark.parametrize(
    ("first", "second"),
    [("toe long", "toe very long"), ("toe very long", "toe long"), ("long", "very long")],
)
def test_words_that_only_one_reader_heard_come_and_go(first: str, second: str) -> None:
    both = marked(said(first), said(second, "fake/second"))
    (one,) = stretches(both)
    new, _ = taken(both, said(second, "fake/second"), differences(both, said(second)))
    assert new.text == second
    assert stretches(new) == []
    assert one.reader == "fake/second"


WORDS = st.lists(
    st.sampled_from(["left", "hind", "no", "toe", "rush", "frog", "in"]), min_size=1, max_size=12
)


@given(WORDS, WORDS)
def test_taking_everything_gives_the_second_reading_and_every_kept_word_its_place(
    one: list[str], other: list[str]
) -> None:
    first, second = said(" ".join(one)), said(" ".join(other), "fake/second")
    chosen = differences(first, second)
    new, moved = taken(first, second, chosen)
    assert new.text.replace(" ", "") == second.text.replace(" ", "")
    touched = {i for d in chosen for i in range(*d.ours)}
    for at, (word, span) in enumerate(zip(first.words, first.word_spans(), strict=True)):
        if at not in touched:
            assert new.text[slice(*moved.span(span))] == word.text


def test_what_is_understood_has_no_trace_of_two_readers() -> None:
    new, _ = taken(at_stake(), SECOND, differences(FIRST, SECOND))
    bare = for_understanding(new)
    assert bare.text == new.text
    assert not any(w.changed_by or w.rival or w.at_stake for w in bare.words)
