"""Days as they are typed, read alike on the command line and in the app."""

from __future__ import annotations

import re
from datetime import date, timedelta

from fieldlog.errors import InputError

_SHIFTS = {"today": 0, "tomorrow": 1, "yesterday": -1}
_BY_DIGITS = re.compile(r"(\d{1,2})([./-])(\d{1,2})(?:\2(\d{4}|\d{2}))?\.?")


def written_day(text: str, today: date) -> date:
    """A day as written: ``2026-11-25``, ``31.12.2026``, ``31/12``, ``today``, ``yesterday``.

    Without a year it is the coming one. Which of 12/01 is the month nobody can know, so it is
    refused; in 31/12 and in 12/31 only one of the two can be.

    Raises:
        InputError: no day, or one that may be two.
    """
    typed = text.strip().casefold()
    if typed in _SHIFTS:
        return today + timedelta(days=_SHIFTS[typed])
    try:
        return date.fromisoformat(typed)
    except ValueError:
        pass
    parts = _BY_DIGITS.fullmatch(typed)
    found = _by_digits(text, parts, today) if parts else None
    if found is None:
        raise InputError(
            f"“{text}” is not a day.",
            "Write it as year-month-day, e.g. 2026-11-25, or today, tomorrow, yesterday.",
        )
    return found


def _by_digits(text: str, parts: re.Match[str], today: date) -> date | None:
    first, second, year = int(parts[1]), int(parts[3]), parts[4]
    years = [int(year) + 2000 * (len(year) == 2)] if year else [today.year, today.year + 1]
    readings: list[date] = []
    for day, month in {(first, second), (second, first)}:
        for number in years:
            try:
                found = date(number, month, day)
            except ValueError:
                continue
            if year or found >= today:
                readings.append(found)
                break
    if len(readings) > 1:
        early, late = sorted(readings)
        raise InputError(
            f"“{text}” may be {early} or {late}.", "Write the one you mean, year-month-day."
        )
    return readings[0] if readings else None


def spoken_day(text: str, today: date) -> tuple[date, str]:
    """A day as written or as said (``friday``, ``in two weeks``), and in what it is ambiguous.

    Raises:
        InputError: no day, or one that may be two.
    """
    from fieldlog.language.dates import find_times

    try:
        return written_day(text, today), ""
    except InputError as problem:
        if not re.search(r"[^\W\d]", text):
            raise
        for time in find_times(text, today):
            if time.due.on is not None:
                return time.due.on, time.due.ambiguous
        raise InputError(
            problem.message,
            "Write it as 2026-11-25, or say “tomorrow”, “friday”, “in two weeks”.",
        ) from problem


def coming_day(text: str, today: date) -> tuple[date, str]:
    """``spoken_day``, from today on.

    Raises:
        InputError: no day, one that may be two, or one that is past.
    """
    day, doubt = spoken_day(text, today)
    if day < today:
        raise InputError(f"{day} is past.", "Give a day from today on.")
    return day, doubt
