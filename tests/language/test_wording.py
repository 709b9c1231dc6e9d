"""The short lines that screens and papers show."""

from __future__ import annotations

from datetime import date

import pytest

from fieldlog.core.facts import Due, Fact, FactKind, FootBasis, Reporter, Severity
from fieldlog.core.feet import FRONTS, Foot
from fieldlog.core.units import Quantity, Unit
from fieldlog.language import wording
from fieldlog.language.lexicon import KINDS, items
from fieldlog.language.wording import describe, describe_feet, label, unit_fits

LF = (Foot.LF,)


def test_measurement_line() -> None:
    fact = Fact(FactKind.MEASUREMENT, "toe_length", LF, quantity=Quantity(3.25, Unit.INCH))
    assert describe(fact) == "left front · toe length · 3 1/4 in"
    assert describe(fact, british=True).startswith("near fore")


def test_disease_words_are_worded_as_suspicion() -> None:
    fact = Fact(FactKind.FINDING, "founder", FRONTS, uncertain=True)
    assert describe(fact) == "both fronts · suspected founder"
    assert "suspected" in describe(Fact(FactKind.FINDING, "founder", LF))
    told = Fact(FactKind.FINDING, "laminitis", LF, reporter=Reporter.VET)
    assert describe(told) == "left front · laminitis · vet says"


def test_negation_severity_and_place() -> None:
    fact = Fact(FactKind.FINDING, "thrush", LF, places=("central_sulcus",), severity=Severity.MILD)
    assert describe(fact) == "left front · thrush, central sulcus · mild"
    assert describe(Fact(FactKind.FINDING, "thrush", LF, negated=True)) == "left front · no thrush"
    assert describe(Fact(FactKind.WORK, "trim", LF, negated=True)) == "left front · not done: trim"


@pytest.mark.parametrize(
    ("kind", "code", "words"),
    [
        (FactKind.HANDLING, "kicked", "did not kick"),
        (FactKind.HANDLING, "stood_well", "did not stand well"),
        (FactKind.HANDLING, "nervous", "not nervous"),
        (FactKind.HANDLING, "twitched", "no twitch used"),
        (FactKind.FINDING, "tester_positive", "not sore to hoof testers"),
        (FactKind.FINDING, "lands_flat", "does not land flat"),
        (FactKind.FINDING, "not_weight_bearing", "bears weight"),
        (FactKind.FINDING, "sound", "not sound"),
        (FactKind.FINDING, "lameness", "sound"),
        (FactKind.FINDING, "heat", "no heat"),
    ],
)
def test_what_was_not_so_is_said_in_english(kind: FactKind, code: str, words: str) -> None:
    assert describe(Fact(kind, code, negated=True)) == words


def test_every_exception_is_an_id_of_the_vocabulary() -> None:
    known = {item.id for kind in ("findings", "handling") for item in items(kind)}
    assert set(wording._NOT_SO) | wording._NOT_BEFORE <= known


@pytest.mark.parametrize(
    ("unit", "words"),
    [
        (Unit.INCH, "inches fit the size"),
        (Unit.MM, "millimetres fit the size"),
        (Unit.DEGREE, "degrees fit the size"),
        (Unit.GRADE, "a grade fits the size"),
    ],
)
def test_why_a_unit_was_taken(unit: Unit, words: str) -> None:
    assert unit_fits(unit) == f"The unit was not spoken; {words}."


def test_unknown_foot_is_a_question() -> None:
    fact = Fact(FactKind.FINDING, "heat", foot_basis=FootBasis.UNSTATED)
    assert describe(fact) == "foot? · heat"


def test_follow_up_says_when_and_who() -> None:
    due = Due(spoken="in four weeks", period="P4W", on=date(2026, 12, 23))
    fact = Fact(FactKind.FOLLOW_UP, "radiographs", due=due, details={"who": "vet"})
    assert describe(fact).endswith("by vet · in four weeks (2026-12-23)")


@pytest.mark.parametrize(
    ("code", "words"),
    [
        ("medial_quarter", "inside quarter"),
        ("lateral", "outside"),
        ("clock_12", "12 o'clock"),
        ("lateral_heel", "outside heel"),
        ("no_such_code", "no such code"),
    ],
)
def test_labels(code: str, words: str) -> None:
    assert label(code) == words


def test_british_feet() -> None:
    assert describe_feet(FRONTS, british=True) == "both fores"
    assert describe_feet((Foot.RH,), british=True) == "off hind"


def test_ids_are_unique_within_a_kind() -> None:
    for name in KINDS:
        ids = [item.id for item in items(name)]
        assert len(ids) == len(set(ids)), name
