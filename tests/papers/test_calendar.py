"""The iCalendar writer against RFC 5545 and the icalendar package."""

from __future__ import annotations

import dataclasses
from datetime import UTC, date, datetime, timedelta

import icalendar
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldlog.papers.calendar import CalendarItem, escape, fold, write_calendar

NOW = datetime(2026, 11, 25, 16, 0, tzinfo=UTC)
RECHECK = CalendarItem("a1@fieldlog", date(2026, 12, 23), "Bramble: recheck")

PRINTABLE = st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=120)


def read(text: str) -> icalendar.Calendar:
    return icalendar.Calendar.from_ical(text.encode())


def events(text: str) -> list[icalendar.Component]:
    return list(read(text).walk("VEVENT"))


def test_four_weeks_from_the_demo_day_is_one_whole_day() -> None:
    """2026-11-25 plus four weeks is 2026-12-23 (calendar arithmetic, worked by hand)."""
    (event,) = events(write_calendar([RECHECK], NOW))
    assert event.decoded("DTSTART") == date(2026, 12, 23)
    assert event.decoded("DTEND") == date(2026, 12, 24)
    assert event["DTSTART"].params["VALUE"] == "DATE"
    assert str(event["UID"]) == "a1@fieldlog"
    assert event.decoded("DTSTAMP") == NOW


def test_needed_properties_and_line_ends() -> None:
    """RFC 5545 sections 3.1 and 3.6: CRLF line ends, PRODID and VERSION once."""
    text = write_calendar([RECHECK], NOW, name="Sam's follow-ups")
    assert text.endswith("END:VCALENDAR\r\n")
    assert "\n" not in text.replace("\r\n", "")
    assert text.count("VERSION:2.0\r\n") == 1
    assert text.count("PRODID:") == 1
    assert read(text).errors == []


def test_escapes_are_those_of_the_standard() -> None:
    """RFC 5545 section 3.3.11: backslash, semicolon, comma and newline."""
    assert escape("a\\b;c,d\ne\r\nf") == "a\\\\b\\;c\\,d\\ne\\nf"
    assert escape("a\x00b\x1bc") == "abc"


def test_folded_lines_hold_75_octets_and_whole_characters() -> None:
    """RFC 5545 section 3.1."""
    line = "SUMMARY:" + "ü马é" * 60
    for piece in fold(line).split("\r\n"):
        assert len(piece.encode()) <= 75
    assert fold(line).replace("\r\n ", "") == line


@given(PRINTABLE, PRINTABLE, PRINTABLE.filter(bool), st.integers(0, 9))
@settings(max_examples=60, deadline=None)
def test_any_text_comes_back_the_same(
    summary: str, description: str, place: str, sequence: int
) -> None:
    item = dataclasses.replace(
        RECHECK, summary=summary, description=description, location=place, sequence=sequence
    )
    text = write_calendar([item], NOW)
    assert all(len(line.encode()) <= 75 for line in text.split("\r\n"))
    (event,) = events(text)
    assert str(event["SUMMARY"]) == summary
    assert str(event.get("DESCRIPTION", "")) == description
    assert str(event["LOCATION"]) == place
    assert event.decoded("SEQUENCE") == sequence


def test_a_change_and_a_cancellation_replace_the_old_event() -> None:
    """RFC 5545 sections 3.8.7.4 (SEQUENCE) and 3.8.1.11 (STATUS:CANCELLED)."""
    later = dataclasses.replace(RECHECK, day=date(2026, 12, 30), sequence=1, changed=NOW)
    gone = dataclasses.replace(later, sequence=2, cancelled=True)
    first, second, third = (events(write_calendar([i], NOW))[0] for i in (RECHECK, later, gone))
    assert str(first["UID"]) == str(second["UID"]) == str(third["UID"])
    assert [e.decoded("SEQUENCE") for e in (first, second, third)] == [0, 1, 2]
    assert second.decoded("DTSTART") == date(2026, 12, 30)
    assert str(first["STATUS"]) == "CONFIRMED"
    assert str(third["STATUS"]) == "CANCELLED"


def test_a_span_of_days_ends_the_day_after_its_last() -> None:
    """RFC 5545 section 3.6.1: DTEND of an all-day event is not included."""
    week = dataclasses.replace(RECHECK, until=RECHECK.day + timedelta(days=6))
    (event,) = events(write_calendar([week], NOW))
    assert event.decoded("DTEND") - event.decoded("DTSTART") == timedelta(days=7)


def test_an_empty_list_is_still_a_calendar() -> None:
    assert events(write_calendar([], NOW)) == []


@pytest.mark.parametrize(
    "items",
    [
        [RECHECK, RECHECK],
        [dataclasses.replace(RECHECK, until=date(2026, 1, 1))],
        [dataclasses.replace(RECHECK, uid="")],
        [dataclasses.replace(RECHECK, changed=datetime(2026, 1, 1))],
    ],
)
def test_nonsense_is_refused(items: list[CalendarItem]) -> None:
    with pytest.raises(ValueError, match=r"calendar"):
        write_calendar(items, NOW)
