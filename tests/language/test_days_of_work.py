"""Work of a day gone by is of earlier; a day to come, or of something else, leaves it of today."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Fact, FactKind
from tests.language.said import heard


def work(found: list[Fact]) -> list[Fact]:
    return [fact for fact in found if fact.kind is FactKind.WORK]


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    "text",
    [
        "Fronts trimmed Monday.",
        "Trimmed the fronts on Monday.",
        "I shod the fronts on Friday.",
        "We did the hinds Tuesday.",
        "Hinds were rasped Thursday by the owner.",
        "The lad trimmed her Saturday.",
        "Vet opened it Friday, near hind.",
        "I put a pad on the right front Monday.",
        "Monday I trimmed the fronts.",
        "On Tuesday the vet resected the toe, left front.",
        "Rolled the toes Monday and he's been better.",
        "Fronts done Monday.",
    ],
)
def test_work_of_a_day_gone_by_is_of_earlier(
    facts: Callable[[str], list[Fact]], text: str, as_heard: bool
) -> None:
    (job,) = work(facts(heard(text) if as_heard else text))
    assert job.historical
    assert not job.planned
    assert job.due is None


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    "text",
    [
        "Trim all four Monday.",
        "Reset the fronts Monday.",
        "Fronts to be trimmed Monday.",
        "Wants the fronts trimmed Monday.",
        "Hinds will be shod Thursday.",
        "Getting the fronts pulled Monday.",
        "Trimmed all four, Monday the vet comes.",
        "Trimmed all four, back Monday.",
        "Trimmed all four, Friday for the vet.",
        "Shoes pulled, vet Monday.",
        "Trimmed all four because he's playing Saturday.",
        "Clinched him up, Monday week the next.",
        "Trimmed all four and I'll shoe him Saturday.",
    ],
)
def test_a_day_to_come_or_of_something_else_leaves_the_work_of_today(
    facts: Callable[[str], list[Fact]], text: str, as_heard: bool
) -> None:
    assert not any(job.historical for job in work(facts(heard(text) if as_heard else text)))


def test_one_end_then_and_one_end_now(facts: Callable[[str], list[Fact]]) -> None:
    then, now = work(facts("Trimmed the fronts on Monday, did the hinds today."))
    assert then.historical
    assert not now.historical
