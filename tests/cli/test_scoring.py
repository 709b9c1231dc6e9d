"""Scores against jiwer and against counts worked by hand."""

from __future__ import annotations

from dataclasses import replace

import jiwer
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldlog.cli.scoring import FactScore, WordErrors, match, words_of
from fieldlog.core.facts import Due, Fact, FactKind, FootBasis, Severity
from fieldlog.core.feet import Foot
from fieldlog.core.units import Quantity, Unit

SOME_WORDS = st.lists(st.sampled_from(["left", "front", "toe", "thrush", "no"]), max_size=12)
THRUSH = Fact(FactKind.FINDING, "thrush", (Foot.LH,), FootBasis.SAID, severity=Severity.MILD)
TOE = Fact(
    FactKind.MEASUREMENT,
    "toe_length",
    (Foot.LF,),
    FootBasis.SAID,
    quantity=Quantity(3.25, Unit.INCH),
)


@given(SOME_WORDS.filter(bool), SOME_WORDS)
@settings(max_examples=80, deadline=None)
def test_word_errors_agree_with_jiwer(meant: list[str], heard: list[str]) -> None:
    errors = WordErrors()
    errors.add(" ".join(meant), " ".join(heard))
    assert errors.rate == pytest.approx(jiwer.wer(" ".join(meant), " ".join(heard)))


def test_punctuation_and_case_do_not_count() -> None:
    assert words_of("Left front, heel's at 46.") == ["left", "front", "heel's", "at", "46"]
    errors = WordErrors()
    assert errors.add("Owner says he’s fine.", "owner says he's fine") == 0
    assert errors.rate == 0.0


def test_words_out_of_nothing_are_all_wrong() -> None:
    errors = WordErrors()
    errors.add("", "thrush")
    assert errors.rate == 1.0


def test_fields_are_counted_one_by_one() -> None:
    """Two facts meant; one heard with the wrong foot, one missed, one made up."""
    score = FactScore()
    got = [replace(THRUSH, feet=(Foot.RH,)), replace(TOE, code="toe_angle")]
    score.add([THRUSH, TOE], got)
    fact, feet, severity = (score.fields[n] for n in ("fact", "feet", "severity"))
    assert (fact.right, fact.said, fact.meant) == (1, 2, 2)
    assert (feet.right, feet.said, feet.meant) == (0, 2, 2)
    assert (severity.precision, severity.recall) == (1.0, 1.0)
    assert score.fields["value and unit"].recall == 0.0
    assert score.fields["place"].precision is None
    assert score.fields["whole fact"].right == 0


def test_the_best_pairs_are_taken_first() -> None:
    other = replace(THRUSH, feet=(Foot.RH,), severity=None)
    pairs = match([THRUSH, other], [replace(other, id="x"), replace(THRUSH, id="y")])
    assert {(a.feet, b.feet) for a, b in pairs} == {
        ((Foot.LH,), (Foot.LH,)),
        ((Foot.RH,), (Foot.RH,)),
    }


def test_due_dates_agree_by_period_or_by_day() -> None:
    from datetime import date

    score = FactScore()
    meant = Fact(FactKind.FOLLOW_UP, "vet_visit", due=Due(on=date(2026, 11, 25)))
    said = replace(meant, due=Due(spoken="today", period="P0D", on=date(2026, 11, 25)))
    score.add([meant], [said])
    assert score.fields["due"].right == 1
    score.add([meant], [replace(meant, due=Due(on=date(2026, 11, 26)))])
    assert score.fields["due"].right == 1


def test_the_horse_counts_as_a_field() -> None:
    score = FactScore()
    heard = replace(THRUSH, id="heard")
    score.add([THRUSH, TOE], [heard], {THRUSH.id: "Rosie", TOE.id: "Rosie", "heard": "Rosie"})
    horse = score.fields["horse"]
    assert (horse.right, horse.said, horse.meant) == (1, 1, 2)
