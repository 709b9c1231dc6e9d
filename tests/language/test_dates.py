"""Spoken times to days, counted from Wednesday 2026-11-25."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.core.facts import Due
from fieldlog.language.times.dates import find_times
from fieldlog.language.times.days_said import add_months

DAY = date(2026, 11, 25)


def only(text: str) -> Due:
    found = find_times(text, DAY)
    assert len(found) == 1, found
    return found[0].due


@pytest.mark.parametrize(
    ("text", "period", "on"),
    [
        ("in four weeks", "P4W", "2026-12-23"),
        ("five weeks", "P5W", "2026-12-30"),
        ("in six weeks", "P6W", "2027-01-06"),
        ("eight weeks", "P8W", "2027-01-20"),
        ("in ten days", "P10D", "2026-12-05"),
        ("a fortnight", "P2W", "2026-12-09"),
        ("a five week cycle", "P5W", "2026-12-30"),
        ("in a month", "P1M", "2026-12-25"),
        ("height thirty three eight weeks is fine", "P8W", "2027-01-20"),
        ("a five six week cycle", "P5W", "2026-12-30"),
        ("every thirty five days", "P35D", "2026-12-30"),
        ("in forty two days", "P42D", "2027-01-06"),
        ("in thirty days", "P30D", "2026-12-25"),
        ("twenty-one days", "P21D", "2026-12-16"),
        ("trimmed four six weeks", "P6W", "2027-01-06"),
        ("shod two eight weeks", "P8W", "2027-01-20"),
        ("ring me if he's sore, otherwise six.", "P6W", "2027-01-06"),
        ("if he's sore call, if not eight", "P8W", "2027-01-20"),
    ],
)
def test_periods(text: str, period: str, on: str) -> None:
    """Worked dates from Wednesday 2026-11-25: calendar arithmetic."""
    due = only(text)
    assert (due.period, due.on) == (period, date.fromisoformat(on))


@pytest.mark.parametrize(
    ("text", "on"),
    [
        ("tomorrow", "2026-11-26"),
        ("call the vet today", "2026-11-25"),
        ("on friday", "2026-11-27"),
        ("tuesday week", "2026-12-08"),
        ("first of the month", "2026-12-01"),
        ("end of the month", "2026-11-30"),
        ("the third of march", "2027-03-03"),
        ("january sixth", "2027-01-06"),
        ("by the twelfth", "2026-12-12"),
        ("2026-12-01", "2026-12-01"),
        ("vet's coming at noon", "2026-11-25"),
        ("see him 8 Dec", "2026-12-08"),
        ("Tues 8 Dec", "2026-12-08"),
        ("back 12 Jan", "2027-01-12"),
        ("on the 8th of Dec", "2026-12-08"),
        ("Dec 8th", "2026-12-08"),
        ("booked for January 12", "2027-01-12"),
    ],
)
def test_days(text: str, on: str) -> None:
    assert only(text).on == date.fromisoformat(on)


def test_a_range_keeps_both_ends() -> None:
    due = only("in three or four weeks")
    assert (due.on, due.until) == (date(2026, 12, 16), date(2026, 12, 23))


@pytest.mark.parametrize(
    ("text", "anchor"),
    [
        ("before the next trim", "before_next_visit"),
        ("ahead of next visit", "before_next_visit"),
        ("next time", "next_visit"),
        ("at the next shoeing", "next_visit"),
    ],
)
def test_times_without_a_day(text: str, anchor: str) -> None:
    due = only(text)
    assert (due.anchor, due.on) == (anchor, None)


def test_next_friday_names_both_days_it_may_mean() -> None:
    due = only("next friday")
    assert due.alternatives == (date(2026, 11, 27), date(2026, 12, 4))
    assert "2026-11-27" in due.ambiguous


@pytest.mark.parametrize("text", ["last week", "may be foundered", "the second toe", "three feet"])
def test_what_is_no_time(text: str) -> None:
    assert find_times(text, DAY) == []


@given(st.dates(date(2000, 1, 1), date(2100, 1, 1)), st.integers(0, 60))
def test_months_agree_with_dateutil(day: date, months: int) -> None:
    """Outside reference: dateutil's relativedelta."""
    assert add_months(day, months) == day + relativedelta(months=months)


@given(st.integers(1, 20), st.dates(date(2000, 1, 1), date(2100, 1, 1)))
def test_weeks_are_seven_days(weeks: int, day: date) -> None:
    found = find_times(f"in {weeks} weeks", day)
    assert found[0].due.on == day + timedelta(weeks=weeks)


@given(st.text(max_size=60))
def test_any_text_is_survived(text: str) -> None:
    for span in find_times(text, DAY):
        assert 0 <= span.start < span.end <= len(text)


@pytest.mark.parametrize(
    ("said", "day"),
    [
        ("five weeks Thursday", "2026-12-31"),
        ("two weeks from Friday", "2026-12-11"),
        ("by the weekend", "2026-11-28"),
        ("tomorrow night", "2026-11-26"),
        ("the week after next", "2026-12-07"),
        ("the week after Christmas", "2026-12-28"),
        ("before Christmas", "2026-12-25"),
        ("after Thanksgiving", "2026-11-26"),
        ("end of January", "2027-01-31"),
        ("mid December", "2026-12-15"),
        ("the first week of January", "2027-01-01"),
        ("Monday the fourteenth", "2026-12-14"),
        ("the second Saturday in December", "2026-12-12"),
        ("for the fifteenth", "2026-12-15"),
        ("Saturday morning", "2026-11-28"),
    ],
)
def test_days_of_everyday_talk(said: str, day: str) -> None:
    """Checked by hand against the calendar of 2026: 25 November is a Wednesday."""
    (span,) = find_times(said, date(2026, 11, 25))
    assert span.due.on == date.fromisoformat(day)


def test_weeks_that_were_not_said_are_asked_about() -> None:
    (span,) = find_times("back in six to eight.", date(2026, 11, 25))
    assert (span.due.period, span.due.until) == ("P6W", date(2027, 1, 20))
    assert span.due.ambiguous
    assert not find_times("back in six hours", date(2026, 11, 25))


def test_a_day_of_another_name_says_so() -> None:
    (span,) = find_times("Monday the fifteenth", date(2026, 11, 25))
    assert span.due.on == date(2026, 12, 15)
    assert "Tuesday" in span.due.ambiguous


@pytest.mark.parametrize(
    "text", ["vet before I shoe again", "films before I reset him again", "before I trim again"]
)
def test_before_the_next_visit(text: str) -> None:
    assert only(text).anchor == "before_next_visit"
