"""The days that the words of a time mean, counted from the day of the recording.

Each reader takes the match of a pattern of ``dates`` and gives the time, or None if it is none.
"""

from __future__ import annotations

import calendar
import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta

from fieldlog.core.facts import Due

Reader = Callable[[re.Match[str], date], Due | None]
"""Gives the time that a match means, counted from the day of the recording."""
DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
MONTHS = ("january", "february", "march", "april", "may", "june", "july", "august",
          "september", "october", "november", "december")  # fmt: skip
_ABBREVIATED = {"mon": 0, "tue": 1, "tues": 1, "wed": 2, "thu": 3, "thur": 3, "thurs": 3, "fri": 4}
_LETTER = {"day": "D", "week": "W", "month": "M", "year": "Y", "fortnight": "W"}
SMALL = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
         "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen",
         "eighteen", "nineteen", "twenty")  # fmt: skip
ORDINALS = ("", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth",
            "ninth", "tenth", "eleventh", "twelfth", "thirteenth", "fourteenth", "fifteenth",
            "sixteenth", "seventeenth", "eighteenth", "nineteenth", "twentieth", "twenty first",
            "twenty second", "twenty third", "twenty fourth", "twenty fifth", "twenty sixth",
            "twenty seventh", "twenty eighth", "twenty ninth", "thirtieth",
            "thirty first")  # fmt: skip
TENS = {"twenty": 20, "thirty": 30, "forty": 40, "fifty": 50, "sixty": 60, "ninety": 90}


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
    tens, _, ones = word.replace("-", " ").partition(" ")
    if tens in TENS:
        return TENS[tens] + (SMALL.index(ones) if ones else 0)
    return SMALL.index(word)


def _after(day: date, count: int, unit: str) -> date:
    unit = unit.rstrip("s")
    if unit == "month":
        return add_months(day, count)
    if unit == "year":
        return add_months(day, count * 12)
    days = {"day": 1, "week": 7, "fortnight": 14}[unit]
    return day + timedelta(days=days * count)


_LASTS = "it may be how long something lasts"


def _lasts(match: re.Match[str]) -> bool:
    """ "Good for two more weeks", "another fortnight"."""
    return " more " in match[0] or (not match["low"] and match[0].startswith("another"))


def period(match: re.Match[str], day: date) -> Due | None:
    """ "Six weeks", "a few days", "three or four weeks"."""
    unit = {"wk": "week", "mth": "month"}.get(short := match["unit"].rstrip("s"), short)
    below, above = match["low"], match["high"] or match["more"]
    if pair := match.groupdict().get("pair"):
        below, above = pair.split()
    low, high = _counted(below or "a"), _counted(above) if above else None
    if low > 400 or low == 0:
        return None
    factor = 2 if unit == "fortnight" else 1
    vague = "few" in below
    return Due(
        period=f"P{low * factor}{_LETTER[unit]}",
        on=_after(day, low, unit),
        until=_after(day, high, unit) if high and high > low else None,
        ambiguous="“a few” is taken as three" if vague else _LASTS if _lasts(match) else "",
    )


def weeks_unsaid(match: re.Match[str], day: date) -> Due:
    """ "Back in six": weeks, as every farrier counts."""
    low = _counted(match["low"])
    high = _counted(match["high"].split()[-1]) if match["high"] else None
    return Due(period=f"P{low}W", on=day + timedelta(weeks=low),
               until=day + timedelta(weeks=high) if high and high > low else None,
               ambiguous="weeks were not said")  # fmt: skip


def of_others(match: re.Match[str], day: date) -> Due | None:
    """ "Eight weeks for the mares, the hunter at five": weeks again, but "vet's here at five" is an
    hour."""
    if set(re.findall(r"[a-z]+", match["led"])) & _BY_THE_CLOCK:
        return None
    return weeks_unsaid(match, day)


_BY_THE_CLOCK = frozenset({"vet", "here", "there", "ring", "call", "text", "phone", "meet", "be",
                           "coming", "out", "tomorrow", "tonight", "today", "doc", "doctor", "got",
                           "school", "finish", "started", "left", "inches", "degrees",
                           "mil"})  # fmt: skip


def half_period(match: re.Match[str], day: date) -> Due | None:
    """ "Four and a half weeks"."""
    weeks = _counted(match["low"])
    return Due(period=f"P{weeks * 7 + 4}D", on=day + timedelta(days=weeks * 7 + 4),
               ambiguous="half a week is rounded up to four days")  # fmt: skip


def in_days(count: int, period: str = "") -> Callable[[re.Match[str], date], Due]:
    """A reader of "today", "tomorrow", "a week today": so many days on."""
    return lambda match, day: Due(on=day + timedelta(days=count), period=period)


def next_week(match: re.Match[str], day: date) -> Due:
    """ "Next week", from its Monday to its Sunday."""
    monday = day + timedelta(days=7 - day.weekday())
    return Due(period="P1W", on=monday, until=monday + timedelta(days=6))


def this_week(match: re.Match[str], day: date) -> Due:
    """ "This week", from today to Sunday."""
    return Due(period="P1W", on=day, until=day + timedelta(days=6 - day.weekday()))


def next_month(match: re.Match[str], day: date) -> Due:
    """ "Next month", from its first day to its last."""
    first = add_months(day.replace(day=1), 1)
    return Due(period="P1M", on=first, until=add_months(first, 1) - timedelta(days=1))


def month_end(match: re.Match[str], day: date) -> Due:
    """ "The end of the month", "the end of next month"."""
    first = day.replace(day=1)
    if "next" in match[0]:
        first = add_months(first, 1)
    last = add_months(first, 1) - timedelta(days=1)
    return Due(on=last)


def first_of_month(match: re.Match[str], day: date) -> Due:
    """ "The first of the month"."""
    return Due(on=add_months(day.replace(day=1), 1))


def _weekday_index(word: str) -> int:
    return DAYS.index(word) if word in DAYS else _ABBREVIATED[word]


def _coming(day: date, weekday: int) -> date:
    """The next such weekday after ``day``, never the day itself."""
    return day + timedelta(days=(weekday - day.weekday() - 1) % 7 + 1)


def weekday(match: re.Match[str], day: date) -> Due:
    """ "Friday", "next Friday", "Friday week"."""
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


def week_on(match: re.Match[str], day: date) -> Due:
    """ "A week on Friday": the Friday after the coming one."""
    return Due(on=_coming(day, _weekday_index(match["day"])) + timedelta(days=7))


def fortnight_on(match: re.Match[str], day: date) -> Due:
    """ "A fortnight on Friday"."""
    return Due(on=_coming(day, _weekday_index(match["day"])) + timedelta(days=14))


def calendar_day(match: re.Match[str], day: date) -> Due | None:
    """ "The fifth of May"."""
    month = MONTHS.index(match["month"]) + 1
    number = _ordinal(match["nth"])
    return _dated(day, month, number)


def typed_day(match: re.Match[str], day: date) -> Due | None:
    """ "8 Dec", "Dec 8th": as days are typed."""
    month = next(n for n, name in enumerate(MONTHS, 1) if name[:3] == match["month"][:3])
    return _dated(day, month, int(match["nth"]))


def of_the_month(match: re.Match[str], day: date) -> Due | None:
    """ "The tenth": of this month or of the next."""
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
    return int(digits[0]) if digits else ORDINALS.index(text.replace("-", " "))


def _dated(day: date, month: int, number: int) -> Due | None:
    """The next such day; one that is in no calendar ("30 February") stays without a day, to ask."""
    for year in (day.year, day.year + 1):
        try:
            found = date(year, month, number)
        except ValueError:
            continue
        if found >= day:
            return Due(on=found)
    if not 1 <= number <= 31:
        return None
    named = MONTHS[month - 1].capitalize()
    return Due(ambiguous=f"{named} has no {number} this year or next")


def iso(match: re.Match[str], day: date) -> Due | None:
    """ "2026-05-04"; None if there is no such day."""
    try:
        return Due(on=date.fromisoformat(match[0]))
    except ValueError:
        return None


def anchor(name: str) -> Callable[[re.Match[str], date], Due]:
    """A reader of "next time", "before the next visit"."""
    return lambda match, day: Due(anchor=name)


def weeks_on(match: re.Match[str], day: date) -> Due:
    """ "Five weeks Thursday": counted from the coming Thursday, or from today if it is one."""
    weekday = _weekday_index(match["day"])
    first = day if day.weekday() == weekday else _coming(day, weekday)
    return Due(on=first + timedelta(weeks=_counted(match["low"])))


def weekday_dated(match: re.Match[str], day: date) -> Due | None:
    """ "Monday the fourteenth": the next fourteenth, said to be a Monday if it is not one."""
    if match["nth"] == "first" and not match["month"] and " the " not in match[0]:
        return None  # "Monday first": before anything else
    found: Due | None
    if match["month"]:
        found = _dated(day, MONTHS.index(match["month"]) + 1, _ordinal(match["nth"]))
    else:
        found = of_the_month(match, day)
    if found is None or found.on is None or found.on.weekday() == _weekday_index(match["day"]):
        return found
    named = DAYS[found.on.weekday()].capitalize()
    return replace(found, ambiguous=f"{found.on.isoformat()} is a {named}")


def nth_weekday(match: re.Match[str], day: date) -> Due | None:
    """ "The second Saturday in December", "the first Monday of the month"."""
    weekday, name = _weekday_index(match["day"]), match["month"]
    first = day.replace(day=1)
    if name:
        dated = _dated(first, MONTHS.index(name) + 1, 1)
        if dated is None or dated.on is None:
            return None
        first = dated.on
    for month in (first, add_months(first, 1)):
        start = month + timedelta(days=(weekday - month.weekday()) % 7)
        found = start + timedelta(weeks=ORDINALS.index(match["which"]) - 1)
        if found > day and found.month == month.month:
            return Due(on=found)
    return None


def weekend(match: re.Match[str], day: date) -> Due:
    """ "The weekend", "next weekend": its Saturday and Sunday."""
    saturday = day if day.weekday() == 5 else _coming(day, 5)
    if "next" in match[0]:
        saturday += timedelta(days=7)
    return Due(on=saturday, until=saturday + timedelta(days=1))


def week_after_next(match: re.Match[str], day: date) -> Due:
    """ "The week after next", from its Monday to its Sunday."""
    monday = day + timedelta(days=14 - day.weekday())
    return Due(period="P2W", on=monday, until=monday + timedelta(days=6))


def week_of(match: re.Match[str], day: date) -> Due | None:
    """ "The week of the tenth", from its Monday to its Sunday."""
    nth, month = match["nth"] or match["nth2"], match["month"] or match["month2"]
    if month:
        found = _dated(day, MONTHS.index(month) + 1, _ordinal(nth))
    else:
        found = of_the_month(match, day)
    if found is None or found.on is None:
        return found
    monday = found.on - timedelta(days=found.on.weekday())
    return Due(on=monday, until=monday + timedelta(days=6))


def part_of_month(match: re.Match[str], day: date) -> Due | None:
    """ "Mid December", "end of January", "the first week of March"."""
    first = _dated(day.replace(day=1), MONTHS.index(match["month"]) + 1, 1)
    if first is None or first.on is None:
        return None
    start, last = first.on, add_months(first.on, 1) - timedelta(days=1)
    part = match["part"]
    if "week" in part:
        at = 0 if "first" in part else 1 if "second" in part else 2 if "third" in part else None
        begin = last - timedelta(days=6) if at is None else start + timedelta(weeks=at)
        return Due(on=begin, until=begin + timedelta(days=6))
    if "mid" in part:
        return Due(on=start.replace(day=15))
    if "end" in part or "late" in part or "back" in part:
        return Due(on=last)
    return Due(on=start)


def feast(match: re.Match[str], day: date) -> Due | None:
    """ "Before Christmas", "the week after new year"."""
    name = match["feast"]
    found: date | None = None
    for year in (day.year, day.year + 1):
        if name.startswith("thanksgiving"):
            november = date(year, 11, 1)
            found = november + timedelta(days=(3 - november.weekday()) % 7 + 21)
        else:
            month, number = next(on for word, on in _FEASTS.items() if name.startswith(word))
            found = date(year, month, number)
        if found >= day:
            break
    week = match["week"] or ""
    own = match["own"]
    if found is None or not (week or match["lead"] or own):
        return None
    if week or own:
        monday = found - timedelta(days=found.weekday())
        shift = {"after": 7, "before": -7}.get((week or "of").split()[-1], 0)
        return Due(on=monday + timedelta(days=shift), until=monday + timedelta(days=shift + 6))
    return Due(on=found)


_FEASTS = {"christmas": (12, 25), "boxing": (12, 26), "st stephen": (12, 26),
           "new year": (1, 1), "the new year": (1, 1), "halloween": (10, 31)}  # fmt: skip


def month_name(match: re.Match[str], day: date) -> Due | None:
    """ "In May": from its first day to its last."""
    first = _dated(day.replace(day=1), MONTHS.index(match["month"]) + 1, 1)
    if first is None or first.on is None:
        return None
    return Due(on=first.on, until=add_months(first.on, 1) - timedelta(days=1))
