"""Jobs that a "next time" before or behind them makes plans, and jobs that were not done at all."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Fact, FactKind
from tests.language.said import heard

Told = list[tuple[str, list[str], bool]]


def told(found: list[Fact]) -> Told:
    """Code, feet and whether it is planned of every job."""
    return sorted(
        (f.code, [foot.value for foot in f.feet], f.planned)
        for f in found
        if f.kind is FactKind.WORK
    )


FR, HI, ALL = ["LF", "RF"], ["LH", "RH"], ["LF", "RF", "LH", "RH"]


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    ("text", "jobs"),
    [
        ("Next time pull the fronts, hinds just a trim.",
         [("pull", FR, True), ("trim", HI, True)]),
        ("Next visit reset the fronts and trim the hinds.",
         [("reset", FR, True), ("trim", HI, True)]),
        ("Next time I'm here, shoe the hinds, leave the fronts.",
         [("leave_alone", FR, True), ("shoe", HI, True)]),
        ("In six weeks pull the fronts, trim the hinds.",
         [("pull", FR, True), ("trim", HI, True)]),
        ("Plan is pull the fronts, pads on the hinds.",
         [("pad", HI, True), ("pull", FR, True)]),
        ("Plan for next time, heart bars in front, wedges behind.",
         [("heart_bar", FR, True), ("wedge", HI, True)]),
        ("Trimmed all four. Next time we pull the fronts.",
         [("pull", FR, True), ("trim", ALL, False)]),
    ],
)  # fmt: skip
def test_a_list_of_jobs_behind_next_time_is_planned(
    facts: Callable[[str], list[Fact]], text: str, jobs: Told, as_heard: bool
) -> None:
    assert told(facts(heard(text) if as_heard else text)) == jobs


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    "text",
    [
        "Next time pull the fronts, trimmed all four today.",
        "See him next time, trimmed all four.",
        "In six weeks he's due, trimmed all four.",
    ],
)
def test_what_was_done_is_not_planned(
    facts: Callable[[str], list[Fact]], text: str, as_heard: bool
) -> None:
    found = told(facts(heard(text) if as_heard else text))
    assert ("trim", ALL, False) in found


@pytest.mark.parametrize(
    ("text", "due"),
    [
        ("Reset the fronts, hinds next time.", "next_visit"),
        ("Reset the fronts, hinds in two weeks.", "P2W"),
    ],
)
def test_the_foot_beside_a_time_is_for_then(
    facts: Callable[[str], list[Fact]], text: str, due: str
) -> None:
    found = facts(text)
    assert told(found) == [("reset", FR, False), ("reset", HI, True)]
    (later,) = [f.due for f in found if f.planned]
    assert later is not None
    assert due in (later.anchor, later.period)


def test_a_period_behind_a_list_of_feet_is_the_next_visit(
    facts: Callable[[str], list[Fact]],
) -> None:
    found = facts("Trimmed the fronts, left hind, six weeks.")
    assert told(found) == [("trim", [*FR, "LH"], False)]


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    "text", ["Heart bar left hind. Reset nothing else.", "Heart bar left hind. Nothing else reset."]
)  # fmt: skip
def test_nothing_that_was_done_is_no_job(
    facts: Callable[[str], list[Fact]], text: str, as_heard: bool
) -> None:
    assert [job[0] for job in told(facts(heard(text) if as_heard else text))] == ["heart_bar"]


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    "text",
    ["Vet's looked at the off fore. I pulled nothing.", "Off fore hot. Nothing was pulled."],
)  # fmt: skip
def test_what_was_done_to_nothing_is_denied(
    facts: Callable[[str], list[Fact]], text: str, as_heard: bool
) -> None:
    (job,) = [f for f in facts(heard(text) if as_heard else text) if f.code == "pull"]
    assert job.negated


def test_nothing_behind_what_was_done_denies_it_not(
    facts: Callable[[str], list[Fact]],
) -> None:
    (job,) = [f for f in facts("all four trimmed nothing wrong with any of them")
              if f.kind is FactKind.WORK]  # fmt: skip
    assert not job.negated


@pytest.mark.parametrize(
    "text", ["Found nothing, trimmed the fronts.", "Trimmed nothing but the fronts."]
)
def test_nothing_found_and_nothing_but_deny_no_job(
    facts: Callable[[str], list[Fact]], text: str
) -> None:
    (job,) = [f for f in facts(text) if f.kind is FactKind.WORK]
    assert job.code == "trim"
    assert not job.negated


def test_neither_hind(facts: Callable[[str], list[Fact]]) -> None:
    (job,) = [f for f in facts("Shod neither hind.") if f.kind is FactKind.WORK]
    assert job.negated


@pytest.mark.parametrize(
    ("text", "used"),
    [
        ("Put the twitch on for the hinds.", True),
        ("Put the twitch back on for the hinds.", True),
        ("Left the twitch on for the hinds.", True),
        ("He stood so well I put the twitch away.", False),
        ("Had the twitch out but never used it.", False),
        ("Twitch stayed in the truck.", False),
        ("Left the twitch on the hook.", False),
    ],
)
def test_a_twitch_that_was_put_by_was_not_used(
    facts: Callable[[str], list[Fact]], text: str, used: bool
) -> None:
    assert any(f.code == "twitched" for f in facts(text)) is used


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("Meant to reset the hinds, ran out of time.", "reset"),
        ("I'd meant to pull both fronts today.", "pull"),
        ("Forgot to trim the left hind.", "trim"),
        ("I was going to pad the fronts but I've none.", "pad"),
    ],
)
def test_what_was_meant_was_not_done(
    facts: Callable[[str], list[Fact]], text: str, code: str
) -> None:
    (job,) = [f for f in facts(text) if f.code == code]
    assert job.negated


@pytest.mark.parametrize(
    "text", ["Nearly quicked him on the near fore.", "Nearly lost the off fore shoe.",
             "He almost kicked me behind."]
)  # fmt: skip
def test_what_nearly_befell_did_not(facts: Callable[[str], list[Fact]], text: str) -> None:
    assert not facts(text)
