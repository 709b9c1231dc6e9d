"""Which box a fact stands in, and what is looked at first."""

from __future__ import annotations

from dataclasses import replace

from fieldlog.app.grouping import (
    Part,
    boxes,
    is_sure,
    next_to_look_at,
    part_of,
    to_look_at,
    walk,
)
from fieldlog.core.facts import Doubt
from fieldlog.core.feet import ALL_FEET, FRONTS, HINDS, LEFTS, Foot
from fieldlog.language.confidence import with_low_confidence
from tests.app.facts import finding, inferred_toe, recheck, toe


def test_each_foot_pair_and_the_rest_have_their_box() -> None:
    assert part_of(toe(Foot.RH)) is Part.RH
    assert part_of(finding("thrush", *FRONTS)) is Part.FRONTS
    assert part_of(finding("thrush", *HINDS)) is Part.HINDS
    assert part_of(finding("thrush", *ALL_FEET)) is Part.HORSE
    assert part_of(finding("thrush", *LEFTS)) is Part.HORSE
    assert part_of(finding("thrush")) is Part.UNSTATED
    assert part_of(recheck()) is Part.HORSE


def test_every_fact_stands_in_exactly_one_box() -> None:
    facts = [toe(f) for f in Foot] + [finding("flare", *FRONTS), finding("thrush"), recheck()]
    shown = [f.id for part in boxes(facts).values() for f in part]
    assert sorted(shown) == sorted(f.id for f in facts)
    assert [f.id for f in walk(facts)] == shown


def test_doubtful_facts_come_first_in_their_box() -> None:
    sure, doubtful = toe(), inferred_toe()
    assert boxes([sure, doubtful])[Part.LF] == (doubtful, sure)


def test_a_missing_foot_is_looked_at_before_a_missing_unit() -> None:
    no_foot = finding("thrush", doubts=(Doubt("foot_unstated", "Which foot?"),))
    assert next(f.id for f in to_look_at([inferred_toe(), no_foot, toe()])) == no_foot.id


def test_next_goes_round() -> None:
    first, second = inferred_toe(), replace(inferred_toe(), id="second", span=(20, 30))
    facts = [second, first, toe()]
    assert next_to_look_at(facts) == first
    assert next_to_look_at(facts, first.id) == second
    assert next_to_look_at(facts, "second") == first
    assert next_to_look_at([toe()]) is None


def test_low_confidence_alone_asks_for_a_look_and_says_why() -> None:
    marked = with_low_confidence(toe(confidence=0.5), sure_from=0.8)
    assert marked.needs_look
    assert "50 times in 100" in marked.doubts[0].reason
    assert not with_low_confidence(toe(confidence=0.9), sure_from=0.8).needs_look
    already = inferred_toe()
    assert with_low_confidence(replace(already, confidence=0.1), 0.8).doubts == already.doubts


def test_sure_needs_a_horse_a_fact_and_no_doubt() -> None:
    assert is_sure([toe()], horse_known=True)
    assert not is_sure([toe()], horse_known=False)
    assert not is_sure([], horse_known=True)
    assert not is_sure([toe(), inferred_toe()], horse_known=True)
