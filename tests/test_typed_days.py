"""Days as they are typed, on the command line and in the app."""

from __future__ import annotations

from datetime import date

import pytest

from fieldlog.errors import InputError
from fieldlog.typed_days import coming_day, gone_day, spoken_day, written_day

TODAY = date(2026, 11, 25)


@pytest.mark.parametrize(
    ("typed", "coming", "gone"),
    [
        ("2026-03-01", "2026-03-01", "2026-03-01"),
        ("20 December", "2026-12-20", "2025-12-20"),
        ("dec 20", "2026-12-20", "2025-12-20"),
        ("Dec. 20th", "2026-12-20", "2025-12-20"),
        ("20th of dec", "2026-12-20", "2025-12-20"),
        ("1 sept", "2027-09-01", "2026-09-01"),
        ("march 3, 2025", "2025-03-03", "2025-03-03"),
        ("3 may 2027", "2027-05-03", "2027-05-03"),
        ("20/11", "2027-11-20", "2026-11-20"),
        ("11/20", "2027-11-20", "2026-11-20"),
        ("25.11.", "2026-11-25", "2026-11-25"),
        ("29 feb 2028", "2028-02-29", "2028-02-29"),
        ("yesterday", "2026-11-24", "2026-11-24"),
    ],
)
def test_days_to_come_and_days_gone_by(typed: str, coming: str, gone: str) -> None:
    assert written_day(typed, TODAY).isoformat() == coming
    assert written_day(typed, TODAY, back=True).isoformat() == gone


@pytest.mark.parametrize(
    "typed", ["31 nov", "dec", "20 decembre", "20 d", "29 feb 2027", "0 may", "31.2.2026", "1/13/1"]
)
def test_what_is_no_day_is_refused(typed: str) -> None:
    with pytest.raises(InputError, match="is not a day"):
        written_day(typed, TODAY)


@pytest.mark.parametrize("back", [False, True])
def test_which_is_the_month_is_not_guessed(back: bool) -> None:
    with pytest.raises(InputError, match="may be"):
        written_day("1/12", TODAY, back)
    assert written_day("12/12", TODAY).isoformat() == "2026-12-12"


@pytest.mark.parametrize("typed", ["2026-02-30", "2026-13-01", "2025-02-29"])
def test_a_day_that_the_calendar_lacks_is_not_called_badly_written(typed: str) -> None:
    """“Write it as year-month-day” was said of what was written so."""
    with pytest.raises(InputError, match=f"There is no {typed} in the calendar"):
        written_day(typed, TODAY)


@pytest.mark.parametrize(
    ("typed", "day"),
    [
        ("friday", "2026-11-20"),
        ("Last  Tues", "2026-11-24"),
        ("on wednesday", "2026-11-18"),
        ("two days ago", "2026-11-23"),
        ("a week ago", "2026-11-18"),
        ("10 days ago", "2026-11-15"),
        ("20 dec", "2025-12-20"),
        ("today", "2026-11-25"),
    ],
)
def test_the_day_of_a_note_is_one_gone_by(typed: str, day: str) -> None:
    """The 25th of November 2026 is a Wednesday (ISO 8601 weekday 3)."""
    assert gone_day(typed, TODAY).isoformat() == day


@pytest.mark.parametrize("typed", ["tomorrow", "2026-11-26", "next friday", "fri day", "ago", ""])
def test_a_day_to_come_or_none_is_refused(typed: str) -> None:
    with pytest.raises(InputError):
        gone_day(typed, TODAY)


@pytest.mark.parametrize(
    ("typed", "day"),
    [
        ("last friday", "2026-11-20"),
        ("friday last", "2026-11-20"),
        ("2 weeks ago", "2026-11-11"),
        ("a week ago", "2026-11-18"),
    ],
)
def test_a_day_gone_by_is_not_taken_for_one_to_come(typed: str, day: str) -> None:
    """Of “last friday” the friday alone was heard: a promise moved to the one to come."""
    assert spoken_day(typed, TODAY)[0].isoformat() == day
    with pytest.raises(InputError, match=f"{day} is past"):
        coming_day(typed, TODAY)


@pytest.mark.parametrize("typed", ["friday two weeks ago", "a week last friday"])
def test_words_that_lead_back_are_refused_where_not_all_of_them_are_read(typed: str) -> None:
    with pytest.raises(InputError, match="is not a day"):
        spoken_day(typed, TODAY)


@pytest.mark.parametrize(
    ("typed", "day"), [("sat", "2026-11-28"), ("wed", "2026-12-02"), ("thurs", "2026-11-26")]
)
def test_a_day_of_the_week_written_short_is_the_next_one(typed: str, day: str) -> None:
    assert coming_day(typed, TODAY) == (date.fromisoformat(day), "")
