"""The same facts in other mouths: shorthand, British, Irish, formal. Common practice, no source."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Entry
from fieldlog.language.numbers.shorthand import trade_numbers
from fieldlog.language.surroundings import sentence_of, unknown_beside
from tests.language.conftest import RECORDED

Entries = Callable[..., tuple[Entry, ...]]


@pytest.mark.parametrize(
    "text",
    [
        "Left front NWB.",
        "He won't put the left front down.",
        "Toe touching on the left front.",
        "Non weight bearing on the left front.",
    ],
)
def test_not_weight_bearing_raises_its_flag(entries: Entries, text: str) -> None:
    entry = entries(text)[0]
    assert "not_weight_bearing" in [f.code for f in entry.facts]
    assert entry.red_flags


@pytest.mark.parametrize(
    ("text", "foot"),
    [
        ("Near fore's dished, off fore's not.", "RF"),
        ("Left front's sore on testers, the right front isn't.", "RF"),
        ("Testers positive at the toe, left hind, nothing in the right hind.", "RH"),
    ],
)
def test_what_the_other_foot_has_not(entries: Entries, text: str, foot: str) -> None:
    seen, denied = entries(text)[0].facts
    assert not seen.negated
    assert denied.negated
    assert denied.code == seen.code
    assert [f.value for f in denied.feet] == [foot]


def test_sides_said_after_two_values(entries: Entries) -> None:
    facts = entries("Fronts fifty-one and fifty-two, left then right.")[0].facts
    values = {f.feet[0].value: f.quantity.value for f in facts if f.quantity is not None}
    assert values == {"LF": 51, "RF": 52}


def test_the_pair_at_the_end_names_both_sides(entries: Entries) -> None:
    facts = entries("Toe left three and a half, right three and a quarter, hinds.")[0].facts
    values = {f.feet[0].value: f.quantity.value for f in facts if f.quantity is not None}
    assert values == {"LH": 3.5, "RH": 3.25}


def test_how_long_it_has_been_is_no_promise(entries: Entries) -> None:
    assert not entries("He's seven weeks out.")[0].facts


def test_a_week_on_friday(entries: Entries) -> None:
    due = entries("I'll look at him again a week on Friday.")[0].facts[0].due
    assert due is not None
    assert due.on is not None
    assert due.on.weekday() == 4
    assert 7 < (due.on - RECORDED.date()).days <= 14


def test_vet_suspects(entries: Entries) -> None:
    facts = entries("Laminitis suspected by the vet, both fronts.")[0].facts
    fact = next(f for f in facts if f.code == "laminitis")
    assert fact.reporter.value == "vet"
    assert fact.uncertain


def test_told_is_advice_and_what_was_asked_is_care(entries: Entries) -> None:
    codes = [f.code for f in entries("I told the owner to pick his feet out every day.")[0].facts]
    assert codes == ["spoke_to", "owner_care"]


def test_denial_stops_before_good_news(entries: Entries) -> None:
    facts = entries("No bruising, no corns, soles nice and firm in front.")[0].facts
    assert [f.negated for f in facts if f.code in ("bruise", "corn")] == [True, True]
    assert not any(f.code == "normal" and f.negated for f in facts)


def test_grades_and_inches_as_typed() -> None:
    (grade,) = trade_numbers("lame 2/5")
    assert (grade.value, grade.form) == (2, "grade/5")
    (length,) = trade_numbers("three inches and five eighths")
    assert length.value == 3.625


def test_unknown_words_beside_a_fact(entries: Entries) -> None:
    text = "Snow tomorrow. Blimmin gribbly thrush in the left hind."
    fact = next(f for f in entries(text)[0].facts if f.code == "thrush")
    assert unknown_beside(fact, text) == ["blimmin", "gribbly"]
    begin, end = sentence_of(text, fact.span)
    assert text[begin:end].strip() == "Blimmin gribbly thrush in the left hind"
