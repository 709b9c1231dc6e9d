"""A time belongs to what it is said of: the next trim's is not the vet's."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Due, Fact
from tests.language.said import heard


def times(found: list[Fact]) -> dict[str, str]:
    """By the code of a follow-up its period, else its anchor or day, else nothing."""
    return {f.code: _said(f.due) for f in found if f.kind.value == "follow_up"}


def _said(due: Due | None) -> str:
    return "" if due is None else due.period or due.anchor or str(due.on)


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    ("words", "expected"),
    [
        (
            "Get the vet to see those legs, eight weeks will do for the feet.",
            {"vet_visit": "", "next_trim": "P8W"},
        ),
        (
            "Have the vet out to that leg, seven weeks for the trim.",
            {"vet_visit": "", "next_trim": "P7W"},
        ),
        (
            "Next time I'd like the vet to sedate him, six weeks to the day.",
            {"sedation_by_vet": "next_visit", "next_trim": "P6W"},
        ),
        (
            "Have somebody on his head next time. Four weeks.",
            {"second_handler": "next_visit", "next_trim": "P4W"},
        ),
        ("Next time I want somebody on his head.", {"second_handler": "next_visit"}),
        (
            "Want to see that left front in two weeks, full reset in six.",
            {"recheck": "P2W", "next_trim": "P6W"},
        ),
        (
            "Look at the off hind again in two weeks, trim in seven.",
            {"recheck": "P2W", "next_trim": "P7W"},
        ),
    ],
)
def test_each_has_the_time_that_is_said_of_it(
    facts: Callable[[str], list[Fact]], words: str, expected: dict[str, str], as_heard: bool
) -> None:
    assert times(facts(heard(words) if as_heard else words)) == expected


def test_a_time_of_the_vet_stays_the_vets(facts: Callable[[str], list[Fact]]) -> None:
    assert times(facts("The vet is to see him in eight weeks.")) == {"vet_visit": "P8W"}


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    "words",
    [
        "Boot on the right front until Monday. Then glue on, and a pad with it.",
        "Poultice right front till Monday then glue on and a pad with it.",
    ],
)
def test_what_comes_after_an_until_is_to_come(
    facts: Callable[[str], list[Fact]], words: str, as_heard: bool
) -> None:
    found = facts(heard(words) if as_heard else words)
    later = {f.code: (f.planned, _said(f.due)) for f in found if f.code in ("glue_on", "pad")}
    assert later == {"glue_on": (True, "2026-11-30"), "pad": (True, "2026-11-30")}


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    ("words", "planned"),
    [
        ("I'd leave it be till the spring.", True),
        ("I'd leave that foot alone until new year.", True),
        ("I left it be.", False),
    ],
)
def test_what_i_would_do_is_not_done(
    facts: Callable[[str], list[Fact]], words: str, planned: bool, as_heard: bool
) -> None:
    text = f"Old abscess in the off fore. {words}"
    found = facts(heard(text) if as_heard else text)
    assert [f.planned for f in found if f.code == "leave_alone"] == [planned]


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    ("words", "day"),
    [
        ("See him again mid December, say the sixteenth.", "2026-12-16"),
        ("Back early January, call it the fourth.", "2027-01-04"),
        ("See him again mid December.", "2026-12-15"),
    ],
)
def test_a_day_said_behind_a_part_of_a_month_is_the_day(
    facts: Callable[[str], list[Fact]], words: str, day: str, as_heard: bool
) -> None:
    text = f"Trimmed all round. {words}"
    assert times(facts(heard(text) if as_heard else text)) == {"next_trim": day}
