"""What is asked, feared, watched for or only chatted about makes no fact."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Entry, Fact, Reporter, Trend

Facts = Callable[[str], list[Fact]]


def findings(told: list[Fact]) -> list[tuple[str, bool]]:
    return [(f.code, f.negated) for f in told if f.kind.value == "finding"]


@pytest.mark.parametrize(
    "said",
    [
        "they asked me about bute and i said ask the vet",
        "owner asked will he be sound",
        "should i give him bute she asked",
        "she wants to know if he's lame",
        "keep an eye out for thrush",
        "the vet's doing a blood test",
        "the pain stuff was stopped sunday",
        "i'm at the hollow road place",
        "i smell of goat and can't stand this heat",
        "to prevent thrush i packed it",
        "third one is the mare with the blanket that's got ducks on it",
    ],
)
def test_talk_is_no_finding(said: str, facts: Facts) -> None:
    assert findings(facts(said)) == []


@pytest.mark.parametrize(
    ("said", "found"),
    [
        ("asked the owner about the abscess in the left front", [("abscess", False)]),
        ("checked for heat and found some in the left front", [("heat", False)]),
        ("no pulse worth talking about in the right hind", [("digital_pulse", True)]),
        ("the pulse is good and strong in the right front", [("digital_pulse", False)]),
        ("he's gone sound on the bar shoes", [("sound", False)]),
        ("no heat swelling flare on the left front", [("heat", True), ("swelling", True)]),
        ("left front no heat swelling crack",
         [("heat", True), ("swelling", True), ("crack", True)]),
    ],
)  # fmt: skip
def test_beside_it_what_was_found(said: str, found: list[tuple[str, bool]], facts: Facts) -> None:
    assert findings(facts(said))[: len(found)] == found


@pytest.mark.parametrize(
    "said",
    [
        "ring the vet if he's lame in the morning or he won't put weight on it",
        "any time he lies down a lot or won't get up ring the vet",
        "call me if it smells or gets hot or he goes lame",
    ],
)
def test_a_condition_goes_on_behind_or(
    said: str, entries: Callable[..., tuple[Entry, ...]]
) -> None:
    (entry,) = entries(said)
    assert findings(list(entry.facts)) == []
    assert not entry.red_flags


@pytest.mark.parametrize(
    ("said", "who"),
    [
        ("sore in the left front so says the vet", Reporter.VET),
        ("lame on the right hind says the pony man", Reporter.OWNER),
        ("according to the pony man he's lame on the near fore", Reporter.OWNER),
        ("trainer says he's been short on the left front", Reporter.OTHER),
        ("short on the left front according to the trainer", Reporter.OTHER),
        ("the trainer that owns him says he's short on the off fore", Reporter.OWNER),
    ],
)
def test_who_says_so(said: str, who: Reporter, facts: Facts) -> None:
    (told,) = [f for f in facts(said) if f.kind.value == "finding"]
    assert told.reporter is who


@pytest.mark.parametrize(
    ("said", "trend"),
    [
        ("near fore the sole's thicker than last time", Trend.LARGER),
        ("soles thinner than last time both fronts", Trend.WORSE),
        ("crack hasn't moved left front", Trend.SAME),
        ("left front crack up to the nails and no further", None),
        ("left front clinches tight and the shoe hasn't moved", None),
    ],
)
def test_trends(said: str, trend: Trend | None, facts: Facts) -> None:
    fact = facts(said)[0]
    assert (fact.comparison.trend if fact.comparison else None) is trend


def test_an_old_abscess_it_still_favours(entries: Callable[..., tuple[Entry, ...]]) -> None:
    (entry,) = entries("could be he's standing off it after that abscess in the summer")
    assert [(f.code, f.historical) for f in entry.facts] == [("abscess", True)]
    assert not entry.red_flags


@pytest.mark.parametrize(
    "said",
    [
        "he'll be footy a day or two on the rocks",
        "used slim nails so as not to split what little wall he has",
        "i filled the rest with putty",
        "three all belonging to the same sisters",
        "i said get a better fence",
        "shoe off and had a look",
        "poultice for two days and the shoe stays off that one",
        "if it starts to bleed or he's lame then sooner",
    ],
)
def test_not_seen_today(said: str, facts: Facts) -> None:
    assert findings(facts(said)) == []


@pytest.mark.parametrize(
    ("said", "trend", "denied"),
    [
        ("sand cracks in both fronts have grown out to about half an inch", Trend.GROWING_OUT, 0),
        ("the crack's grown out left front", Trend.GONE, 1),
        ("old rings at the bottom both fronts and they'll be gone by autumn", None, 0),
        ("the crack's not going deeper left front", Trend.SAME, 0),
    ],
)
def test_what_becomes_of_it(said: str, trend: Trend | None, denied: int, facts: Facts) -> None:
    fact = facts(said)[0]
    assert (fact.comparison.trend if fact.comparison else None) is trend
    assert fact.negated is bool(denied)
