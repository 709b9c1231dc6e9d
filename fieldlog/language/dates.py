"""Spoken times to calendar days, counted from the day of the recording; the words are kept.

``in four weeks``, ``ten days``, ``tomorrow``, ``before the next trim``, ``first of the month``,
``Tuesday week``, ``the third of March``: each becomes a ``Due``. A time that can mean two days says
so and names both.
"""

from __future__ import annotations

import calendar
import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, timedelta

from fieldlog.core.facts import Due

_DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_MONTHS = ("january", "february", "march", "april", "may", "june", "july", "august",
           "september", "october", "november", "december")  # fmt: skip
_ABBREVIATED = {"mon": 0, "tue": 1, "tues": 1, "wed": 2, "thu": 3, "thur": 3, "thurs": 3, "fri": 4}
_LETTER = {"day": "D", "week": "W", "month": "M", "year": "Y", "fortnight": "W"}
_SMALL = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
          "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen",
          "eighteen", "nineteen", "twenty")  # fmt: skip
_ORDINALS = ("", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth",
             "ninth", "tenth", "eleventh", "twelfth", "thirteenth", "fourteenth", "fifteenth",
             "sixteenth", "seventeenth", "eighteenth", "nineteenth", "twentieth", "twenty first",
             "twenty second", "twenty third", "twenty fourth", "twenty fifth", "twenty sixth",
             "twenty seventh", "twenty eighth", "twenty ninth", "thirtieth",
             "thirty first")  # fmt: skip

_COUNT = (
    r"(?:a couple(?: of)?|couple of|a few|few|an?|thirty|"
    + "|".join(sorted(_SMALL[1:], key=len, reverse=True))
    + r"|\d{1,3})"
)
_UNIT = r"(?:days?|weeks?|wks?|months?|mths?|years?|fortnights?)"
_WEEKDAY = r"(?:" + "|".join(_DAYS) + r"|mon|tues?|wed|thurs?|thu|fri)"
_NTH_WORDS = sorted((o for o in _ORDINALS if o), key=len, reverse=True)
_ORDINAL = rf"(?:{'|'.join(_NTH_WORDS).replace(' ', '[ -]')}|\d{{1,2}}(?:st|nd|rd|th))"
_MONTH = r"(?:" + "|".join(_MONTHS) + r")"
_VISIT = (
    r"(?:trim|visit|appointment|shoeing|shoein|trimming|trimmin|set|reset|"
    r"time i'?m (?:out|here)|time we'?re (?:out|here))"
)


@dataclass(frozen=True, slots=True)
class TimeSpan:
    """A spoken time in a text."""

    start: int
    end: int
    due: Due


def find_times(text: str, recorded: date) -> list[TimeSpan]:
    """Times of ``text`` in order, never overlapping; the longest reading wins.

    Args:
        text: punctuated or not.
        recorded: the local day of the recording.
    """
    lowered = text.lower().replace("’", "'")
    found: list[TimeSpan] = []
    for pattern, read in _RULES:
        for match in pattern.finditer(lowered):
            due = read(match, recorded)
            if due is None:
                continue
            spoken = text[match.start() : match.end()]
            found.append(TimeSpan(match.start(), match.end(), replace(due, spoken=spoken)))
    found.sort(key=lambda t: (t.start, -(t.end - t.start)))
    kept: list[TimeSpan] = []
    for span in found:
        if not kept or span.start >= kept[-1].end:
            kept.append(span)
        elif span.end - span.start > kept[-1].end - kept[-1].start:
            kept[-1] = span
    return kept


def add_months(day: date, months: int) -> date:
    """The same day ``months`` later; the month's last day if it is too short."""
    index = day.year * 12 + day.month - 1 + months
    year, month = divmod(index, 12)
    return date(year, month + 1, min(day.day, calendar.monthrange(year, month + 1)[1]))


def _counted(word: str) -> int:
    word = re.sub(r"\s+", " ", word.strip())
    if word.isdigit():
        return int(word)
    if "couple" in word:
        return 2
    if "few" in word:
        return 3
    if word in ("a", "an"):
        return 1
    return 30 if word == "thirty" else _SMALL.index(word)


def _after(day: date, count: int, unit: str) -> date:
    unit = unit.rstrip("s")
    if unit == "month":
        return add_months(day, count)
    if unit == "year":
        return add_months(day, count * 12)
    days = {"day": 1, "week": 7, "fortnight": 14}[unit]
    return day + timedelta(days=days * count)


def _period(match: re.Match[str], day: date) -> Due | None:
    unit = {"wk": "week", "mth": "month"}.get(short := match["unit"].rstrip("s"), short)
    low = _counted(match["low"])
    if low > 400 or low == 0:
        return None
    high = _counted(match["high"]) if match["high"] else None
    if high is not None and match["low"] in ("a", "an"):
        # "a five week cycle": the article is no number.
        low, high = high, None
    factor = 2 if unit == "fortnight" else 1
    vague = "few" in match["low"]
    return Due(
        period=f"P{low * factor}{_LETTER[unit]}",
        on=_after(day, low, unit),
        until=_after(day, high, unit) if high and high > low else None,
        ambiguous="“a few” is taken as three" if vague else "",
    )


def _half_period(match: re.Match[str], day: date) -> Due | None:
    weeks = _counted(match["low"])
    return Due(period=f"P{weeks * 7 + 4}D", on=day + timedelta(days=weeks * 7 + 4),
               ambiguous="half a week is rounded up to four days")  # fmt: skip


def _in_days(count: int, period: str = "") -> Callable[[re.Match[str], date], Due]:
    return lambda match, day: Due(on=day + timedelta(days=count), period=period)


def _next_week(match: re.Match[str], day: date) -> Due:
    monday = day + timedelta(days=7 - day.weekday())
    return Due(on=monday, until=monday + timedelta(days=6))


def _this_week(match: re.Match[str], day: date) -> Due:
    return Due(on=day, until=day + timedelta(days=6 - day.weekday()))


def _next_month(match: re.Match[str], day: date) -> Due:
    first = add_months(day.replace(day=1), 1)
    return Due(on=first, until=add_months(first, 1) - timedelta(days=1))


def _month_end(match: re.Match[str], day: date) -> Due:
    first = day.replace(day=1)
    if "next" in match[0]:
        first = add_months(first, 1)
    last = add_months(first, 1) - timedelta(days=1)
    return Due(on=last)


def _first_of_month(match: re.Match[str], day: date) -> Due:
    return Due(on=add_months(day.replace(day=1), 1))


def _weekday_index(word: str) -> int:
    return _DAYS.index(word) if word in _DAYS else _ABBREVIATED[word]


def _coming(day: date, weekday: int) -> date:
    """The next such weekday after ``day``, never the day itself."""
    return day + timedelta(days=(weekday - day.weekday() - 1) % 7 + 1)


def _weekday(match: re.Match[str], day: date) -> Due:
    name = match["day"]
    coming = _coming(day, _weekday_index(name))
    lead, week = match["lead"] or "", match["week"] or ""
    if week:
        return Due(on=coming + timedelta(days=7))
    if "next" in lead:
        later = coming + timedelta(days=7)
        monday = day + timedelta(days=7 - day.weekday())
        if coming >= monday:
            # The coming one lies in next week already: both ways of speaking agree.
            return Due(on=coming)
        return Due(
            on=later,
            ambiguous=f"“next {name.capitalize()}” may mean {coming.isoformat()}",
            alternatives=(coming, later),
        )
    return Due(on=coming)


def _week_on(match: re.Match[str], day: date) -> Due:
    """ "A week on Friday": the Friday after the coming one."""
    return Due(on=_coming(day, _weekday_index(match["day"])) + timedelta(days=7))


def _fortnight_on(match: re.Match[str], day: date) -> Due:
    return Due(on=_coming(day, _weekday_index(match["day"])) + timedelta(days=14))


def _calendar_day(match: re.Match[str], day: date) -> Due | None:
    month = _MONTHS.index(match["month"]) + 1
    number = _ordinal(match["nth"])
    return _dated(day, month, number)


def _of_the_month(match: re.Match[str], day: date) -> Due | None:
    number = _ordinal(match["nth"])
    for first in (day.replace(day=1), add_months(day.replace(day=1), 1)):
        try:
            found = first.replace(day=number)
        except ValueError:
            continue
        if found > day:
            return Due(on=found)
    return None


def _ordinal(text: str) -> int:
    digits = re.match(r"\d+", text)
    return int(digits[0]) if digits else _ORDINALS.index(text.replace("-", " "))


def _dated(day: date, month: int, number: int) -> Due | None:
    for year in (day.year, day.year + 1):
        try:
            found = date(year, month, number)
        except ValueError:
            continue
        if found >= day:
            return Due(on=found)
    return None


def _iso(match: re.Match[str], day: date) -> Due | None:
    try:
        return Due(on=date.fromisoformat(match[0]))
    except ValueError:
        return None


def _anchor(name: str) -> Callable[[re.Match[str], date], Due]:
    return lambda match, day: Due(anchor=name)


def _month_name(match: re.Match[str], day: date) -> Due | None:
    first = _dated(day.replace(day=1), _MONTHS.index(match["month"]) + 1, 1)
    if first is None or first.on is None:
        return None
    return Due(on=first.on, until=add_months(first.on, 1) - timedelta(days=1))


def _rule(
    pattern: str, read: Callable[[re.Match[str], date], Due | None]
) -> tuple[re.Pattern[str], Callable[[re.Match[str], date], Due | None]]:
    return re.compile(rf"(?<![\w'])(?:{pattern})(?![\w])"), read


_LEAD = r"(?:in|within|for|after|every|about|in about|within about|another)"
_RULES = [
    _rule(r"\d{4}-\d{2}-\d{2}", _iso),
    _rule(
        rf"(?:(?:{_LEAD}) )?(?:about |another )?(?P<low>{_COUNT})"
        rf"(?: (?:to|or)? ?(?P<high>{_COUNT}))?[ -](?P<unit>{_UNIT})"
        r"(?: time| from now| from today)?",
        _period,
    ),
    _rule(rf"(?:in )?(?P<low>{_COUNT}) and a half weeks", _half_period),
    _rule(r"(?:a )?week (?:from )?(?:today|now)|today week|this day week", _in_days(7, "P1W")),
    _rule(rf"(?:on )?(?:a )?week (?:on|from|come) (?P<day>{_WEEKDAY})", _week_on),
    _rule(rf"(?:on )?(?P<day>{_WEEKDAY}) (?:fortnight|two weeks)", _fortnight_on),
    _rule(r"(?:first thing )?tomorrow(?: morning| afternoon| evening)?", _in_days(1)),
    _rule(r"today|tonight|this (?:morning|afternoon|evening)|right away|right now|straight away|"
          r"immediately|as soon as possible|a s a p|asap|now", _in_days(0)),
    _rule(r"the day after tomorrow|day after tomorrow", _in_days(2)),
    _rule(r"(?:sometime |some time |early |late |in the )?next week", _next_week),
    _rule(r"(?:later )?this week|by the end of the week|end of the week", _this_week),
    _rule(r"(?:sometime )?next month", _next_month),
    _rule(r"(?:by |at |towards? )?(?:the )?end of (?:the|this|next) month", _month_end),
    _rule(r"(?:on |by )?(?:the )?first of (?:the|next) month", _first_of_month),
    _rule(
        rf"(?:(?P<lead>on|by|before|this|this coming|next|on next|by next|come) )?"
        rf"(?P<day>{_WEEKDAY})(?: (?P<week>week|after next))?",
        _weekday,
    ),
    _rule(
        rf"(?:on |by |before )?(?:the )?(?P<nth>{_ORDINAL}) of (?P<month>{_MONTH})", _calendar_day
    ),
    _rule(rf"(?:on |by |before )?(?P<month>{_MONTH}) (?:the )?(?P<nth>{_ORDINAL})", _calendar_day),
    _rule(rf"(?:on |by |before )?(?:the )?(?P<nth>{_ORDINAL})(?: of the month)", _of_the_month),
    _rule(rf"(?:on|by|before) the (?P<nth>{_ORDINAL})", _of_the_month),
    _rule(rf"(?:in|by|early|late|early in|before) (?P<month>{_MONTH})", _month_name),
    _rule(
        rf"(?:before|ahead of|prior to) (?:the|his|her|its|my|our)? ?(?:next {_VISIT}|next time|"
        rf"i (?:trim|shoe) (?:him|her|them|it) again|i'?m back|i come back|we trim again)",
        _anchor("before_next_visit"),
    ),
    _rule(
        rf"(?:at |on |by |for )?(?:the |his |her |my |our )?(?:next {_VISIT}|next go round|next go)"
        rf"|next time(?: (?:i'?m|we'?re) (?:out|here)| around| round)?",
        _anchor("next_visit"),
    ),
]  # fmt: skip
