"""Facts and entries survive the trip to JSON and back."""

from __future__ import annotations

import json
from datetime import date
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.core.facts import (
    Comparison,
    Doubt,
    Due,
    Entry,
    Fact,
    FactKind,
    FootBasis,
    HorseMention,
    Passage,
    Reading,
    Reporter,
    Severity,
    SpokenCorrection,
    Trend,
)
from fieldlog.core.feet import ALL_FEET, FRONTS, Foot, describe_feet
from fieldlog.core.units import Quantity, Unit

words = st.text("abc de", max_size=8)
codes = st.sampled_from(["thrush", "toe_length", "trim", "radiographs"])
spans = st.tuples(st.integers(0, 50), st.integers(0, 50))
quantities = st.builds(
    Quantity,
    value=st.floats(0, 500),
    unit=st.sampled_from(Unit),
    high=st.none() | st.floats(0, 500),
    approximate=st.booleans(),
    unit_inferred=st.booleans(),
    qualifier=words,
    spoken=words,
)
dues = st.builds(
    Due,
    spoken=words,
    period=st.sampled_from(["", "P4W"]),
    on=st.none() | st.dates(),
    until=st.none() | st.dates(),
    anchor=st.sampled_from(["", "next_visit"]),
    ambiguous=words,
    alternatives=st.lists(st.dates(), max_size=2).map(tuple),
)
facts = st.builds(
    Fact,
    kind=st.sampled_from(FactKind),
    code=codes,
    feet=st.sets(st.sampled_from(Foot)).map(lambda s: tuple(sorted(s))),
    foot_basis=st.sampled_from(FootBasis),
    places=st.lists(st.sampled_from(["toe", "medial_heel"]), max_size=2).map(tuple),
    quantity=st.none() | quantities,
    severity=st.none() | st.sampled_from(Severity),
    negated=st.booleans(),
    uncertain=st.booleans(),
    historical=st.booleans(),
    planned=st.booleans(),
    reporter=st.sampled_from(Reporter),
    comparison=st.none()
    | st.builds(Comparison, st.sampled_from(Trend), st.sampled_from(["last_visit", "RF"])),
    details=st.dictionaries(st.sampled_from(["size", "nails"]), words, max_size=2),
    due=st.none() | dues,
    span=spans,
    sound=st.none() | st.tuples(st.floats(0, 9), st.floats(0, 9)),
    rule=words,
    confidence=st.floats(0, 1),
    doubts=st.lists(st.builds(Doubt, words, words), max_size=2).map(tuple),
    readings=st.lists(st.builds(Reading, words, st.just({"negated": True})), max_size=2).map(tuple),
    why_foot=words,
)
entries = st.builds(
    Entry,
    facts=st.lists(facts, max_size=3).map(tuple),
    text=words,
    span=spans,
    horse=st.none() | st.builds(HorseMention, words, spans, st.just({"colour": "bay"})),
    passages=st.lists(st.builds(Passage, spans, words), max_size=2).map(tuple),
    corrections=st.lists(
        st.builds(SpokenCorrection, spans, st.just("scratch"), st.tuples(facts), st.just(())),
        max_size=1,
    ).map(tuple),
    red_flags=st.lists(words, max_size=2).map(tuple),
)


def through_json(data: dict[str, Any]) -> dict[str, Any]:
    loaded: dict[str, Any] = json.loads(json.dumps(data))
    return loaded


@given(facts)
def test_fact_round_trip(fact: Fact) -> None:
    assert Fact.from_dict(through_json(fact.to_dict())) == fact


@given(entries)
def test_entry_round_trip(entry: Entry) -> None:
    assert Entry.from_dict(through_json(entry.to_dict())) == entry


def test_an_unknown_kind_is_refused() -> None:
    with pytest.raises(ValueError, match="gossip"):
        Fact.from_dict({"kind": "gossip", "code": "x"})


@pytest.mark.parametrize("lacks", ["kind", "code"])
def test_a_fact_without_its_kind_or_code_is_refused(lacks: str) -> None:
    data = Fact(FactKind.FINDING, "thrush").to_dict()
    del data[lacks]
    with pytest.raises(KeyError, match=lacks):
        Fact.from_dict(data)


def test_what_was_set_aside_is_offered_until_somebody_takes_it() -> None:
    aside = Fact(FactKind.FINDING, "canker", id="aside")
    passage = Passage((0, 4), "ab c", (aside,))
    entry = Entry((), "ab c", passages=(passage,))
    assert entry.set_aside == entry.offers(passage) == (aside,)
    taken = Entry((aside,), "ab c", passages=(passage,))
    assert taken.set_aside == taken.offers(passage) == ()


@pytest.mark.parametrize(
    ("rule", "taught", "heard", "urgent"),
    [
        ("personal:seat", True, False, False),
        ("gist:finding", False, True, False),
        ("redflag:abscess", False, False, True),
        ("lexicon:thrush", False, False, False),
    ],
)
def test_a_rule_says_who_may_doubt_its_fact(
    rule: str, taught: bool, heard: bool, urgent: bool
) -> None:
    fact = Fact(FactKind.FOLLOW_UP, "recheck", rule=rule)
    assert (fact.taught, fact.only_heard, fact.urgent) == (taught, heard, urgent)
    assert Fact(FactKind.FOLLOW_UP, "recheck", rule=rule, details={"urgent": "yes"}).urgent


def test_a_doubt_is_told_once() -> None:
    fact = Fact(FactKind.FINDING, "thrush").with_doubt("foot_unstated", "a")
    assert fact.with_doubt("foot_unstated", "b").doubts == fact.doubts
    assert fact.needs_look


@pytest.mark.parametrize(
    ("feet", "words_for_them"),
    [
        ((), "whole horse"),
        (FRONTS, "both fronts"),
        (ALL_FEET, "all four"),
        ((Foot.RH,), "right hind"),
        ((Foot.RH, Foot.LF), "left front and right hind"),
    ],
)
def test_feet_in_plain_words(feet: tuple[Foot, ...], words_for_them: str) -> None:
    assert describe_feet(feet) == words_for_them


@pytest.mark.parametrize("foot", list(Foot))
def test_near_is_left_and_off_is_right(foot: Foot) -> None:
    """Source: equestrianandhorse.com, gaits page: near side = left, off side = right."""
    assert foot.british.startswith("near") == foot.american.startswith("left")
    assert foot.is_left == foot.american.startswith("left")


@pytest.mark.parametrize("foot", list(Foot))
def test_the_mate_is_the_other_foot_at_the_same_end(foot: Foot) -> None:
    assert foot.mate.is_front == foot.is_front
    assert foot.mate.is_left != foot.is_left


def test_due_keeps_its_dates() -> None:
    due = Due(spoken="in four weeks", period="P4W", on=date(2026, 12, 23))
    fact = Fact(FactKind.FOLLOW_UP, "recheck", due=due)
    assert through_json(fact.to_dict())["due"]["on"] == "2026-12-23"
