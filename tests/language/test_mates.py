"""Feet set against the one before, answers of the testers, days and seasons of what was."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Fact, Reporter, Trend

Facts = Callable[[str], list[Fact]]


def told(facts: list[Fact]) -> list[tuple[str, str, bool]]:
    return [
        (f.code, "+".join(foot.name for foot in f.feet), f.negated)
        for f in facts
        if f.kind.value == "finding"
    ]


@pytest.mark.parametrize(
    ("said", "code", "found", "denied"),
    [
        ("thrush in the right hind the left hind's clean", "thrush", "RH", "LH"),
        ("crack in the off fore inside quarter, the near one's clear", "quarter_crack", "RF", "LF"),
        ("pulse in the left front, the other one's normal", "digital_pulse", "LF", "RF"),
        ("soles are thin on the fronts, hinds aren't thin", "thin_sole", "LF+RF", "LH+RH"),
        ("near fore is lame the off isn't", "lameness", "LF", "RF"),
        ("off fore sore near not", "sore", "RF", "LF"),
    ],
)
def test_the_other_foot_is_clear_of_it(
    said: str, code: str, found: str, denied: str, facts: Facts
) -> None:
    assert told(facts(said)) == [(code, found, False), (code, denied, True)]


@pytest.mark.parametrize(
    ("said", "code"),
    [
        ("testers at the toe off fore, jumped", "tester_positive"),
        ("hoof testers on the left front, he went through the roof", "tester_positive"),
        ("half the wall's gone with it outside quarter left front", "wall_broken"),
        ("swings about, brushes the near, off hind", "interference"),
    ],
)
def test_said_in_passing(said: str, code: str, facts: Facts) -> None:
    assert code in {f.code for f in facts(said)}


@pytest.mark.parametrize(
    ("said", "earlier"),
    [
        ("laminitis in both fronts last spring", True),
        ("owner says she tripped on tuesday", True),
        ("event lines on the fronts, that'll be when he had colic back in the summer", False),
    ],
)
def test_days_and_seasons(said: str, earlier: bool, facts: Facts) -> None:
    assert [f.historical for f in facts(said) if f.kind.value == "finding"] == [earlier]


def test_compared_with_a_bare_side(facts: Facts) -> None:
    (heat,) = facts("off fore's warmer than the near")
    assert heat.comparison is not None
    assert (heat.comparison.trend, heat.comparison.against) == (Trend.WORSE, "LF")


def test_what_i_did_is_my_word(facts: Facts) -> None:
    given, mine = facts("doc has him on bute i gave him nothing")
    assert (given.reporter, given.negated) == (Reporter.VET, False)
    assert (mine.reporter, mine.negated) == (Reporter.FARRIER, True)


def test_lovely_alone_is_no_finding(facts: Facts) -> None:
    assert told(facts("no thrush lovely")) == [("thrush", "", True)]


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("never saw any heat in the left front", ("heat", "LF", True)),
        ("thrush hasn't come back left hind", ("thrush", "LH", True)),
        ("she won't take nails thin soles both fronts", ("thin_sole", "LF+RF", False)),
        ("left front toes were getting long", ("long_toe", "LF", False)),
    ],
)
def test_denied_or_not(said: str, meant: tuple[str, str, bool], facts: Facts) -> None:
    assert told(facts(said)) == [meant]


def test_he_is_not_is_the_farriers_word(facts: Facts) -> None:
    first, second, _ = facts("jockey reckons he's lame on the left well he's not the left is cold")
    assert (first.code, first.reporter, first.negated) == ("lameness", Reporter.OWNER, False)
    assert (second.code, second.reporter, second.negated) == ("lameness", Reporter.FARRIER, True)


def test_the_month_right_behind_it(facts: Facts) -> None:
    (abscess,) = facts("abscess in the off hind in march")
    assert abscess.historical


def test_the_size_of_something_else(facts: Facts) -> None:
    (told_of,) = facts("little section a laminitis in front last spring")
    assert told_of.severity is None
    (small,) = facts("wee dirty crack at the toe left front")
    assert small.severity is not None


def test_good_wall_it_was_cut_back_to(facts: Facts) -> None:
    assert [f.code for f in facts("left front cleaned it out to good wall")] == ["clean_out"]


def test_threw_it_and_tore_the_wall(facts: Facts) -> None:
    said = "She threw the left front, tore a chunk of wall off the outside quarter."
    assert {f.code for f in facts(said)} == {"shoe_lost", "wall_broken"}


@pytest.mark.parametrize(
    ("said", "trend"),
    [
        ("pulse left front stronger than last time", Trend.WORSE),
        ("thrush up between the heels twenty mil or better left hind", None),
        ("same kind of retained sole right front", None),
        ("thrush is worse than it was left hind", Trend.WORSE),
    ],
)
def test_trends_and_no_trends(said: str, trend: Trend | None, facts: Facts) -> None:
    fact = facts(said)[0]
    assert (fact.comparison.trend if fact.comparison else None) is trend


@pytest.mark.parametrize(
    ("said", "earlier"),
    [
        ("three tough old trekking cobs all with thrush", False),
        ("old dirty crack left front", False),
        ("had laminitis as a four year old she thinks", True),
        ("three weeks since the abscess broke out at the heel bulb left hind", True),
    ],
)
def test_what_is_old(said: str, earlier: bool, facts: Facts) -> None:
    assert [f.historical for f in facts(said) if f.kind.value == "finding"] == [earlier]


def test_might_not_be_is_a_doubt(facts: Facts) -> None:
    (abscess,) = facts("might not be an abscess left front")
    assert (abscess.negated, abscess.uncertain) == (False, True)
