"""How a fact stands and what was promised, in ways of talking that newer writers brought."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Fact, FactKind, Reporter, Trend

Facts = Callable[[str], list[Fact]]


@pytest.fixture(autouse=True)
def _rules_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """The second opinion has no say here: it is trained apart from the rules."""
    monkeypatch.setattr("fieldlog.language.second_opinion.opinion", lambda _: None)


def due(fact: Fact) -> str:
    return (fact.due.period or str(fact.due.on or "")) if fact.due is not None else ""


@pytest.mark.parametrize(
    ("said", "code"),
    [
        ("There's a corn starting on the left front, inside heel.", "corn"),
        ("Big flare on the outside of the off hind.", "flare"),
        ("Off fore, a shallow crack at the toe.", "toe_crack"),
    ],
)
def test_beginning_and_size_are_no_grade(said: str, code: str, facts: Facts) -> None:
    assert [f.severity for f in facts(said) if f.code == code] == [None]


@pytest.mark.parametrize("who", ["groom", "girl", "lad", "neighbour"])
def test_who_works_there_does_not_own_him(who: str, facts: Facts) -> None:
    lame = [f for f in facts(f"The {who} says he was lame in front.") if f.code == "lameness"]
    assert {f.reporter for f in lame} == {Reporter.OTHER}


@pytest.mark.parametrize(
    ("said", "codes"),
    [
        ("In spring the near fore was broken forward and the off fore broken back.",
         {"axis_broken_forward", "axis_broken_back"}),
        ("Two years ago this mare had founder in both fronts.", {"founder"}),
        ("He's had an abscess in the off fore.", {"abscess"}),
        ("In September the left fore toe was ninety millimetres.", {"toe_length"}),
    ],
)  # fmt: skip
def test_told_of_another_time(said: str, codes: set[str], facts: Facts) -> None:
    assert {f.code for f in facts(said) if f.historical} == codes


def test_what_is_so_today_is_not_earlier(facts: Facts) -> None:
    said = "In spring the near fore was broken back, and it is still broken back now."
    assert not all(f.historical for f in facts(said) if f.code == "axis_broken_back")


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        ("In June the left fore toe was ninety millimetres.", []),
        ("Left hind's split to the hair and bleeding. Vet.", [("vet_visit", "")]),
        ("I told her vet.", [("vet_visit", "")]),
        ("That's a vet's problem.", [("vet_visit", "")]),
        ("Nobody moves this horse.", [("owner_care", "")]),
        ("He's split the frog and the groom is to watch it.", [("owner_care", "")]),
        ("It'll take me three goes.", [("staged_correction", "")]),
        ("Two more visits, then hold.", [("staged_correction", "")]),
        ("Keep him on five.", [("next_trim", "P5W")]),
        ("Fronts next time. Hinds can go ten.", [("next_trim", "P10W")]),
    ],
)
def test_promises(said: str, expected: list[tuple[str, str]], facts: Facts) -> None:
    found = [f for f in facts(said) if f.kind is FactKind.FOLLOW_UP]
    assert [(f.code, due(f)) for f in found] == expected


@pytest.mark.parametrize(
    ("said", "trend"),
    [
        ("Proud flesh on the left hind, it's smaller.", Trend.SMALLER),
        ("The flare on the near fore's a shadow of what it was.", Trend.BETTER),
        ("Soft spot in the right hind, that was not there in October.", Trend.NEW),
    ],
)
def test_against_the_last_visit(said: str, trend: Trend, facts: Facts) -> None:
    assert [f.comparison and f.comparison.trend for f in facts(said)] == [trend]


@pytest.mark.parametrize(
    ("said", "code", "who"),
    [
        ("Dr. Oakley says navicular, left front.", "navicular", Reporter.VET),
        ("Dr. Oakley's measurement on the left front was five degrees of rotation.",
         "rotation", Reporter.VET),
        ("Laminitis, that's Doc's word for it, both fronts.", "laminitis", Reporter.VET),
        ("In the vet's view there's sidebone in the off fore.", "sidebone", Reporter.VET),
        ("He's on bute from the vet all week.", "drugs_given", Reporter.VET),
        ("Overreach on the off fore, done Sunday according to the groom.", "overreach",
         Reporter.OTHER),
    ],
)  # fmt: skip
def test_whose_word_it_is(said: str, code: str, who: Reporter, facts: Facts) -> None:
    assert [f.reporter for f in facts(said) if f.code == code] == [who]


@pytest.mark.parametrize(
    "said", ["Told her don't turn him out.", "If it doesn't, I'll look at it in four weeks."]
)
def test_what_is_asked_for_is_not_denied(said: str, facts: Facts) -> None:
    assert not any(f.negated for f in facts(said) if f.kind is FactKind.FOLLOW_UP)


def test_the_makings_of_it_are_a_doubt(facts: Facts) -> None:
    said = "There's the makings of a corn in the off fore."
    assert [f.uncertain for f in facts(said) if f.code == "corn"] == [True]


def test_what_has_been_since_is_there_today(facts: Callable[[str], list[Fact]]) -> None:
    (fact,) = facts("Owner says he's been short on the left front since last week.")
    assert fact.reporter is Reporter.OWNER
    assert not fact.historical
    (fact,) = facts("Owner says he was short on the left front last week.")
    assert fact.historical
