"""Feet and jobs that are left out of what is told of the others."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from fieldlog.core.facts import Fact, FactKind, FootBasis
from fieldlog.core.feet import ALL_FEET, Foot
from fieldlog.language.opinion.weighing import weighed
from tests.language.hearing import hears
from tests.language.said import heard


def feet(found: list[Fact], code: str, negated: bool = False) -> list[str]:
    return [foot.value for fact in found for foot in fact.feet
            if fact.code == code and fact.negated is negated]  # fmt: skip


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    "text",
    [
        "Trimmed all four but the left hind.",
        "Trimmed all four except that left hind.",
        "Every foot trimmed other than the left hind.",
        "Trimmed all round apart from the left hind.",
        "Trimmed the lot with the exception of the left hind.",
        "Trimmed all four, all but the left hind.",
        "Trimmed all four minus the left hind.",
        "All trimmed bar the left hind.",
        "Trimmed them all excluding the left hind.",
        "Trimmed all four, not the left hind though.",
        "Trimmed all four but not the left hind.",
        "Trimmed all round, only not the left hind, he wouldn't give it.",
        "All four trimmed, skipped the left hind.",
        "All four trimmed except I skipped the left hind.",
        "Trimmed the lot, missed out the left hind.",
        "Everything trimmed but the left hind.",
        "Everything but the left hind, trimmed.",
        "Three feet done but not the left hind.",
        "All four done, well, not the left hind, he wouldn't lift it.",
        "Trimmed three of them, left the left hind.",
        "Did all but the left hind.",
        "Did everything bar the left hind.",
        "Did the lot except the left hind.",
    ],
)
def test_what_is_told_is_of_the_other_feet(
    facts: Callable[[str], list[Fact]], text: str, as_heard: bool
) -> None:
    assert feet(facts(heard(text) if as_heard else text), "trim") == ["LF", "RF", "RH"]


@pytest.mark.parametrize(
    ("text", "left"),
    [
        ("Fronts trimmed except the left.", "RF"),
        ("Both hinds trimmed but not the near.", "RH"),
        ("Hinds trimmed, not the left one, that's for next time.", "RH"),
        ("Hinds trimmed bar the off one.", "LH"),
        ("Hinds done bar the near, he kicked.", "RH"),
        ("Fronts done but not the left.", "RF"),
        ("Fronts trimmed apart from the right front.", "LF"),
    ],
)
def test_one_of_a_pair_is_left_out(
    facts: Callable[[str], list[Fact]], text: str, left: str
) -> None:
    assert feet(facts(text), "trim") == [left]


@pytest.mark.parametrize(
    ("text", "spared"),
    [
        ("Seedy in three of them, not the off hind.", "RH"),
        ("Seedy toe in every foot bar the near fore.", "LF"),
        ("Seedy toe all round except for the left hind.", "LH"),
        ("All four but the left hind have seedy toe.", "LH"),
        ("Everything but the left hind has seedy toe.", "LH"),
    ],
)
def test_a_finding_is_of_the_other_feet(
    facts: Callable[[str], list[Fact]], text: str, spared: str
) -> None:
    found = feet(facts(text), "seedy_toe")
    assert found == [foot.value for foot in ALL_FEET if foot.value != spared]


def test_what_follows_is_of_the_foot_that_was_left_out(
    facts: Callable[[str], list[Fact]],
) -> None:
    found = facts("Trimmed all round, only not the off hind, he wouldn't give it.")
    assert feet(found, "hard_to_pick_up") == ["RH"]


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("All four trimmed but the left hind was hard work.", "trim"),
        ("All four trimmed, put a bar on the left hind.", "trim"),
        ("Trimmed all four except the heels on the left hind.", "trim"),
        ("All four trimmed, heels on the left hind low.", "trim"),
    ],
)
def test_a_foot_that_is_only_spoken_of_is_not_left_out(
    facts: Callable[[str], list[Fact]], text: str, code: str
) -> None:
    assert feet(facts(text), code) == [foot.value for foot in ALL_FEET]


@pytest.mark.parametrize(
    ("text", "done", "left"),
    [
        ("Hinds done bar the clinching on the off one.", "trim", "clinch"),
        ("Fronts reset except for the clinching.", "reset", "clinch"),
        ("Trimmed all four apart from rolling the toes.", "trim", "roll_toe"),
    ],
)
def test_a_job_that_is_left_out_was_not_done(
    facts: Callable[[str], list[Fact]], text: str, done: str, left: str
) -> None:
    found = facts(text)
    assert feet(found, done)
    assert feet(found, left, negated=True)
    assert not feet(found, left)


def test_a_job_behind_apart_from_that_opens_was_done(facts: Callable[[str], list[Fact]]) -> None:
    (job,) = [f for f in facts("Apart from trimming the hinds I did nothing.")
              if f.kind is FactKind.WORK]  # fmt: skip
    assert not job.negated


def test_three_feet_stay_where_the_network_hears_all_four() -> None:
    text = "trimmed all four but the left hind"
    three = tuple(foot for foot in ALL_FEET if foot is not Foot.LH)
    fact = Fact(FactKind.WORK, "trim", three, FootBasis.SAID, rule="lexicon:trim",
                span=(0, len(text)), why_foot="“but the left hind” was said here.")  # fmt: skip
    all_four = {foot.value: 0.98 for foot in ALL_FEET}
    heard_so = hears(text, ("trim", "trimmed", all_four))
    assert weighed([fact], heard_so) == [fact]
    named_apart = replace(fact, why_foot="“left hind” was said here. “fronts” was said here.")
    assert weighed([named_apart], heard_so) != [named_apart]
