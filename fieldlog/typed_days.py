"""Days as they are typed, read alike on the command line and in the app."""

from __future__ import annotations

import re
from datetime import date, timedelta

from fieldlog.errors import InputError

_SHIFTS = {"today": 0, "tomorrow": 1, "yesterday": -1}
_BY_DIGITS = re.compile(r"(\d{1,2})([./-])(\d{1,2})(?:\2(\d{4}|\d{2}))?\.?")
_ISO = re.compile(r"\d{4}-\d{2}-\d{2}")
_MONTHS = (
    "january", "february", "march", "april", "may", "june", "july", "august", "september",
    "october", "november", "december",
)  # fmt: skip
_DAY = r"(?P<day>\d{1,2})(?:st|nd|rd|th)?"
_MONTH = r"(?P<month>[a-z]{3,9})\.?"
_YEAR = r"(?:,?\s+(?P<year>\d{4}))?"
_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_WEEKDAY = re.compile(r"(?:(?:on|last)\s+)?([a-z]{3,9})")
_LAST_WEEKDAY = re.compile(r"last\s+([a-z]{3,9})|([a-z]{3,9})\s+last")
_BACKWARD = re.compile(r"\bago\b|\blast \w+day\b")
_AGO = re.compile(r"(an?|one|two|three|four|\d{1,3})\s+(day|week)s?\s+ago")
_HOW_MANY = {"a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4}
_BY_NAME = (
    re.compile(rf"{_DAY}\s+(?:of\s+)?{_MONTH}{_YEAR}"),
    re.compile(rf"{_MONTH}\s+{_DAY}{_YEAR}"),
)


def written_day(text: str, today: date, back: bool = False) -> date:
    """A day as written: ``2026-11-25``, ``31.12.2026``, ``31/12``, ``dec 20``, ``yesterday``.

    Which of 12/01 is the month nobody can know, so it is refused; in 31/12 and in 12/31 only one
    of the two can be.

    Args:
        text: as typed.
        today: what ``yesterday`` and a day without a year count from.
        back: a day without a year is the last one that was; else the one to come.

    Raises:
        InputError: no day, or one that may be two.
    """
    typed = text.strip().casefold()
    if typed in _SHIFTS:
        return today + timedelta(days=_SHIFTS[typed])
    try:
        return date.fromisoformat(typed)
    except ValueError:
        if _ISO.fullmatch(typed):
            raise InputError(
                f"There is no {typed} in the calendar.", "The month or the day is too high."
            ) from None
    parts = _BY_DIGITS.fullmatch(typed)
    found = _by_digits(text, parts, today, back) if parts else _by_name(typed, today, back)
    if found is None:
        raise InputError(
            f"“{text}” is not a day.",
            "Write it as year-month-day, e.g. 2026-11-25, or 20 dec, "
            f"{'yesterday' if back else 'tomorrow, yesterday'}.",
        )
    return found


def _by_name(typed: str, today: date, back: bool) -> date | None:
    """``20 December``, ``dec 20``, ``the`` left out, with or without a year."""
    for pattern in _BY_NAME:
        parts = pattern.fullmatch(typed)
        if parts:
            months = [n for n, name in enumerate(_MONTHS, 1) if _short_for(parts["month"], name)]
            year = int(parts["year"]) if parts["year"] else None
            return _nearest(int(parts["day"]), months[0], year, today, back) if months else None
    return None


def _short_for(said: str, month: str) -> bool:
    return said == month or (said == month[: len(said)] and len(said) in (3, 4))


def _nearest(day: int, month: int, year: int | None, today: date, back: bool) -> date | None:
    """The day of that year; without one the next that is to come, or the last that was."""
    for number in [year] if year else [today.year, today.year + (-1 if back else 1)]:
        try:
            found = date(number, month, day)
        except ValueError:
            continue
        if year or (found <= today if back else found >= today):
            return found
    return None


def _by_digits(text: str, parts: re.Match[str], today: date, back: bool) -> date | None:
    first, second, typed = int(parts[1]), int(parts[3]), parts[4]
    year = int(typed) + 2000 * (len(typed) == 2) if typed else None
    pairs = {(first, second), (second, first)}
    found = [_nearest(day, month, year, today, back) for day, month in pairs if 0 < month < 13]
    readings = [day for day in found if day is not None]
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
    from fieldlog.language.times.dates import find_times

    typed = " ".join(text.casefold().split())
    # The language reads what was promised: of “last friday” it would take the friday alone.
    named = _that_was(typed, today) or _coming_week_day(typed, today)
    if named is not None:
        return named, ""
    try:
        return written_day(text, today), ""
    except InputError as problem:
        if not re.search(r"[^\W\d]", text) or _BACKWARD.search(typed):
            raise
        for time in find_times(text, today):
            if time.due.on is not None:
                return time.due.on, time.due.ambiguous
        raise InputError(
            problem.message,
            "Write it as 2026-11-25 or 20 dec, or say “tomorrow”, “friday”, “in two weeks”.",
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


def gone_day(text: str, today: date) -> date:
    """The day of a note, up to today: as written, or ``friday``, ``last friday``, ``two days ago``.

    A day without a year is the last one that was, and so is a day of the week.

    Raises:
        InputError: no day, one that may be two, or one that is to come.
    """
    day = day_back(text, today)
    if day > today:
        raise InputError(f"{day} is to come.", "A note is of today or of a day before.")
    return day


def day_back(text: str, today: date) -> date:
    """``gone_day``, which may also be written as one to come.

    Raises:
        InputError: no day, or one that may be two.
    """
    typed = " ".join(text.casefold().split())
    return _week_day(typed, today) or _ago(typed, today) or written_day(text, today, back=True)


def _that_was(typed: str, today: date) -> date | None:
    """``last friday``, ``two weeks ago``: days that can only be behind today."""
    last = _LAST_WEEKDAY.fullmatch(typed)
    return _week_day(last[1] or last[2], today) if last else _ago(typed, today)


def _week_day(typed: str, today: date) -> date | None:
    """The last day of that name before today."""
    said = _WEEKDAY.fullmatch(typed)
    number = _number_of(said[1]) if said else None
    return (
        None if number is None else today - timedelta(days=(today.weekday() - number - 1) % 7 + 1)
    )


def _coming_week_day(typed: str, today: date) -> date | None:
    """The next day of that name behind today, written short: ``sat`` is a verb in a sentence."""
    number = _number_of(typed) if len(typed) < 5 else None
    return (
        None if number is None else today + timedelta(days=(number - today.weekday() - 1) % 7 + 1)
    )


def _number_of(said: str) -> int | None:
    """Of a day of the week, from Monday as 0."""
    return next((n for n, name in enumerate(_WEEKDAYS) if _short_for(said, name)), None)


def _ago(typed: str, today: date) -> date | None:
    said = _AGO.fullmatch(typed)
    if said is None:
        return None
    number = int(_HOW_MANY.get(said[1], said[1]))
    return today - timedelta(days=number * (7 if said[2] == "week" else 1))
