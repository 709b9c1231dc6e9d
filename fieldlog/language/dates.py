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

_TENS = {"twenty": 20, "thirty": 30, "forty": 40, "fifty": 50, "sixty": 60, "ninety": 90}
_COUNT = (
    r"(?:a couple(?: of)?|couple of|a few|few|an?|"
    rf"(?:{'|'.join(_TENS)})[ -](?:{'|'.join(_SMALL[1:10])})|{'|'.join(_TENS)}|"
    + "|".join(sorted(_SMALL[1:], key=len, reverse=True))
    + r"|\d{1,3})"
)
_PAIRS = "|".join(
    f"{_SMALL[low]} {_SMALL[high]}" for low in range(1, 13) for high in (low + 1, low + 2)
)
"""A recogniser's "four five weeks", its "to" swallowed: numbers that stand near each other."""
_SO_MANY_FEET = (
    r"(?:(?<=trimmed )|(?<=trim )|(?<=shod )|(?<=did )|(?<=done )|(?<=reset )|(?<=dressed ))"
    r"(?:four (?:six|seven|eight|nine|ten|twelve)|two (?:four|five|six|seven|eight|ten)) weeks\b"
)
"""A recogniser's "trimmed four six weeks": so many feet, then when."""
_UNIT = r"(?:days?|weeks?|wks?|months?|mths?|years?|fortnights?)"
_WEEKDAY = r"(?:" + "|".join(_DAYS) + r"|mon|tues?|wed|thurs?|thu|fri)"
_NTH_WORDS = sorted((o for o in _ORDINALS if o), key=len, reverse=True)
_ORDINAL = rf"(?:{'|'.join(_NTH_WORDS).replace(' ', '[ -]')}|\d{{1,2}}(?:st|nd|rd|th))"
_MONTH = r"(?:" + "|".join(_MONTHS) + r")"
_SHORT_MONTHS = r"(?:jan|feb|mar|apr|jun|jul|aug|sept?|oct|nov|dec)"
_VISIT = (
    r"(?:trim|visit|trip|appointment|shoeing|shoein|trimming|trimmin|set|reset|"
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
    for pattern, read, needs in _RULES:
        if needs and not any(word in lowered for word in needs):
            continue
        for match in pattern.finditer(lowered):
            due = read(match, recorded)
            if due is None:
                continue
            begin = match.start("low" if "led" in pattern.groupindex else 0)
            spoken = text[begin : match.end()]
            found.append(TimeSpan(begin, match.end(), replace(due, spoken=spoken)))
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
    tens, _, ones = word.replace("-", " ").partition(" ")
    if tens in _TENS:
        return _TENS[tens] + (_SMALL.index(ones) if ones else 0)
    return _SMALL.index(word)


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


def _period(match: re.Match[str], day: date) -> Due | None:
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


def _weeks_unsaid(match: re.Match[str], day: date) -> Due:
    """ "Back in six": weeks, as every farrier counts."""
    low = _counted(match["low"])
    high = _counted(match["high"].split()[-1]) if match["high"] else None
    return Due(period=f"P{low}W", on=day + timedelta(weeks=low),
               until=day + timedelta(weeks=high) if high and high > low else None,
               ambiguous="weeks were not said")  # fmt: skip


def _of_others(match: re.Match[str], day: date) -> Due | None:
    """ "Eight weeks for the mares, the hunter at five": weeks again, but "vet's here at five" is an
    hour."""
    if set(re.findall(r"[a-z]+", match["led"])) & _BY_THE_CLOCK:
        return None
    return _weeks_unsaid(match, day)


_BY_THE_CLOCK = frozenset({"vet", "here", "there", "ring", "call", "text", "phone", "meet", "be",
                           "coming", "out", "tomorrow", "tonight", "today", "doc", "doctor", "got",
                           "school", "finish", "started", "left", "inches", "degrees",
                           "mil"})  # fmt: skip


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
    return Due(period="P1W", on=day, until=day + timedelta(days=6 - day.weekday()))


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


def _typed_day(match: re.Match[str], day: date) -> Due | None:
    """ "8 Dec", "Dec 8th": as days are typed."""
    month = next(n for n, name in enumerate(_MONTHS, 1) if name[:3] == match["month"][:3])
    return _dated(day, month, int(match["nth"]))


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


def _weeks_on(match: re.Match[str], day: date) -> Due:
    """ "Five weeks Thursday": counted from the coming Thursday, or from today if it is one."""
    weekday = _weekday_index(match["day"])
    first = day if day.weekday() == weekday else _coming(day, weekday)
    return Due(on=first + timedelta(weeks=_counted(match["low"])))


def _weekday_dated(match: re.Match[str], day: date) -> Due | None:
    """ "Monday the fourteenth": the next fourteenth, said to be a Monday if it is not one."""
    if match["nth"] == "first" and not match["month"] and " the " not in match[0]:
        return None  # "Monday first": before anything else
    found: Due | None
    if match["month"]:
        found = _dated(day, _MONTHS.index(match["month"]) + 1, _ordinal(match["nth"]))
    else:
        found = _of_the_month(match, day)
    if found is None or found.on is None or found.on.weekday() == _weekday_index(match["day"]):
        return found
    named = _DAYS[found.on.weekday()].capitalize()
    return replace(found, ambiguous=f"{found.on.isoformat()} is a {named}")


def _nth_weekday(match: re.Match[str], day: date) -> Due | None:
    """ "The second Saturday in December", "the first Monday of the month"."""
    weekday, name = _weekday_index(match["day"]), match["month"]
    first = day.replace(day=1)
    if name:
        dated = _dated(first, _MONTHS.index(name) + 1, 1)
        if dated is None or dated.on is None:
            return None
        first = dated.on
    for month in (first, add_months(first, 1)):
        start = month + timedelta(days=(weekday - month.weekday()) % 7)
        found = start + timedelta(weeks=_ORDINALS.index(match["which"]) - 1)
        if found > day and found.month == month.month:
            return Due(on=found)
    return None


def _weekend(match: re.Match[str], day: date) -> Due:
    saturday = day if day.weekday() == 5 else _coming(day, 5)
    if "next" in match[0]:
        saturday += timedelta(days=7)
    return Due(on=saturday, until=saturday + timedelta(days=1))


def _week_after_next(match: re.Match[str], day: date) -> Due:
    monday = day + timedelta(days=14 - day.weekday())
    return Due(on=monday, until=monday + timedelta(days=6))


def _week_of(match: re.Match[str], day: date) -> Due | None:
    nth, month = match["nth"] or match["nth2"], match["month"] or match["month2"]
    if month:
        found = _dated(day, _MONTHS.index(month) + 1, _ordinal(nth))
    else:
        found = _of_the_month(match, day)
    if found is None or found.on is None:
        return None
    monday = found.on - timedelta(days=found.on.weekday())
    return Due(on=monday, until=monday + timedelta(days=6))


def _part_of_month(match: re.Match[str], day: date) -> Due | None:
    """ "Mid December", "end of January", "the first week of March"."""
    first = _dated(day.replace(day=1), _MONTHS.index(match["month"]) + 1, 1)
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


def _feast(match: re.Match[str], day: date) -> Due | None:
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


def _month_name(match: re.Match[str], day: date) -> Due | None:
    first = _dated(day.replace(day=1), _MONTHS.index(match["month"]) + 1, 1)
    if first is None or first.on is None:
        return None
    return Due(on=first.on, until=add_months(first.on, 1) - timedelta(days=1))


_Reader = Callable[[re.Match[str], date], Due | None]


def _rule(
    pattern: str, read: _Reader, needs: tuple[str, ...] = ()
) -> tuple[re.Pattern[str], _Reader, tuple[str, ...]]:
    """A pattern, what reads its matches, and ``needs``: every match holds one of these or stands
    beside it, so that a text without them need not be searched."""
    return re.compile(rf"(?<![\w'])(?:{pattern})(?![\w])"), read, needs


_A_DAY = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
"""What every name of a weekday begins with."""
_DIGITS = tuple("0123456789")
_A_SPAN = ("day", "week", "wk", "month", "mth", "year", "fortnight")
"""What every unit of time holds."""


_LEAD = r"(?:in|within|for|after|every|about|in about|within about|another)"
_RULES = [
    _rule(r"\d{4}-\d{2}-\d{2}", _iso, ("-",)),
    _rule(
        rf"(?:(?:{_LEAD}) )?(?:about |another )?(?:an? (?={_COUNT} ?-?{_UNIT}))?(?!{_SO_MANY_FEET})"
        rf"(?:(?P<pair>{_PAIRS})|(?P<low>{_COUNT})(?: (?:to|or) ?(?P<high>{_COUNT}))?)"
        rf"(?: more)?[ -](?P<unit>{_UNIT})"
        r"(?: or (?P<more>two|three))?(?: time| from now| from today)?",
        _period,
        _A_SPAN,
    ),
    _rule(r"another (?P<unit>week|fortnight|month)(?P<low>)(?P<high>)(?P<more>)", _period,
          ("another ",)),
    _rule(rf"(?:in )?(?P<low>{_COUNT}) and a half weeks", _half_period, ("half weeks",)),
    _rule(rf"(?:every )?(?P<low>{_COUNT})[ -](?P<unit>week)ly(?: from now)?(?P<high>)(?P<more>)",
          _period, ("weekly",)),
    _rule(r"(?:(?<=usual )|(?<=regular )|(?<=normal ))"
          r"(?P<low>four|five|six|seven|eight|nine|ten)(?P<high>)(?=\s*(?:[.,;!]|$|again\b))",
          _weeks_unsaid, ("usual ", "regular ", "normal ")),
    _rule(r"(?:(?<=weeks )|(?<=weeks, ))(?P<low>four|five|six|seven|eight)(?P<high>)"
          r"(?= for (?:the|him|her|his)\b)", _weeks_unsaid, ("weeks",)),
    _rule(r"(?P<led>weeks (?:for|on|in) (?:\w+ ){0,3}?\w+[,.]? (?:and |then |but )?)"
          r"(?P<low>three|four|five|six|seven|eight|nine|ten|twelve)(?P<high>)"
          r"(?= (?:for|on) (?:the|him|her|his|everything|all|both|my)\b)",
          _of_others, ("weeks",)),
    _rule(r"(?P<led>weeks\b[^;]{1,60}?\b(?:at|every) )"
          r"(?P<low>three|four|five|six|seven|eight|nine|ten|twelve)(?P<high>)"
          r"(?=\s*(?:[.,;!]|$|because\b|as\b|and\b|but\b|though\b|then\b))",
          _of_others, ("weeks",)),
    _rule(r"(?:(?<=the rest )|(?<=the others ))(?:in )?"
          r"(?P<low>four|five|six|seven|eight)(?P<high>)(?=\s*(?:[.,;!]|$))", _weeks_unsaid,
          ("the rest ", "the others ")),
    _rule(r"(?:(?<=rest )|(?<=others )|(?<=hinds )|(?<=fronts )|(?<=rest of him )|"
          r"(?<=rest of her )|(?<=rest of them )|(?<=all of them )|(?<=other three )|"
          r"(?<=other two ))(?:in|at|every) "
          r"(?P<low>two|three|four|five|six|seven|eight|nine|ten|twelve)(?P<high>)"
          r"(?=\s*(?:[.,;!]|$))", _weeks_unsaid,
          ("rest ", "others ", "hinds ", "fronts ", "of them ", "other t")),
    _rule(r"(?:a )?week (?:from )?(?:today|now)|today week|this day week", _in_days(7, "P1W"),
          ("week",)),
    _rule(r"(?:with)?in (?:side )?(?:of )?(?:the|a) week|inside (?:of )?(?:the|a) week",
          _in_days(7, "P1W"), ("week",)),
    _rule(rf"(?P<low>{_COUNT}) weeks? (?:(?:on|from|come) )?(?P<day>{_WEEKDAY})",
          _weeks_on, ("week",)),
    _rule(r"(?:(?<=back )|(?<=again )|(?<=him )|(?<=her )|(?<=them )|(?<=due )|(?<=see ))"
          r"(?:in|every) "
          r"(?P<low>four|five|six|seven|eight|nine|ten|twelve)(?P<high>(?: or| to)? "
          r"(?:five|six|seven|eight|nine|ten|twelve))?"
          r"(?! (?:minutes?|mins?|hours?|days?|weeks?|months?|years?|seconds?|o'clock|of|or|to|"
          r"more|"
          r"other|different|and a|inch(?:es)?|mil|degrees?|hundred|point|stalls?|horses?)\b)",
          _weeks_unsaid),
    _rule(r"(?:(?<=him )|(?<=her )|(?<=them )|(?<=it )|(?<=me ))(?:on|at|every|to) "
          r"(?P<low>four|five|six|seven|eight|nine|ten)(?P<high>)"
          r"(?=,? (?:from (?:now|here) on|not (?:five|six|seven|eight|nine|ten|twelve)\b))",
          _weeks_unsaid, ("from now on", "from here on", "not ")),
    _rule(r"(?:(?<=him on )|(?<=her on )|(?<=them on )|(?<=it on )|(?<=cycle of )|(?<=can go )|"
          r"(?<=could go )|(?<='ll go )|(?<=will go ))"
          r"(?P<low>four|five|six|seven|eight|nine|ten|eleven|twelve)(?P<high>)"
          r"(?=\s*(?:[.,;!]|$))", _weeks_unsaid,
          ("him on ", "her on ", "them on ", "it on ", "cycle of ", "can go ", "could go ",
           "'ll go ", "will go ")),
    _rule(r"(?:(?<=otherwise )|(?<=if not )|(?<=or else )|(?<=if so )|(?<=if it is )|"
          r"(?<=otherwise, )|(?<=if not, ))(?:in |at |it'?s )?"
          r"(?P<low>four|five|six|seven|eight|nine|ten|eleven|twelve)(?P<high>)"
          r"(?=\s*(?:[.,;!]|$|as (?:usual|normal)))", _weeks_unsaid,
          ("otherwise", "if not", "or else", "if so", "if it is")),
    _rule(rf"(?:on |by |before |for )?(?P<day>{_WEEKDAY}),? (?:the )?(?P<nth>{_ORDINAL})"
          rf"(?: of (?P<month>{_MONTH}))?", _weekday_dated, _A_DAY),
    _rule(rf"(?:on |by |before )?(?:the )?(?P<which>first|second|third|fourth) (?P<day>{_WEEKDAY})"
          rf" (?:in|of) (?:(?P<month>{_MONTH})|the month|next month)", _nth_weekday, _A_DAY),
    _rule(r"(?:(?:by|before|over|at|on|till|until|this|next|come) )(?:the |this |next )?weekend",
          _weekend, ("weekend",)),
    _rule(r"(?:the )?week after next", _week_after_next, ("week after next",)),
    _rule(rf"(?:(?:the|in the) )?week of (?:the )?(?:(?P<nth>{_ORDINAL})"
          rf"(?: of (?P<month>{_MONTH}))?|(?P<month2>{_MONTH}) (?:the )?(?P<nth2>{_ORDINAL}))",
          _week_of, ("week of",)),
    _rule(rf"(?:(?:by|at|in|before|around) )?(?:the )?(?P<part>mid|middle of|end of|back end of|"
          rf"start of|beginning of|first week (?:of|in)|second week (?:of|in)|third week (?:of|in)|"
          rf"last week (?:of|in)) ?-?(?P<month>{_MONTH})", _part_of_month, _MONTHS),
    _rule(r"(?:(?P<week>(?:the )?week (?:after|before|of) )|(?P<lead>(?:right |just |straight )?"
          r"(?:before|after|by|until|till|come|in) ))?(?P<feast>christmas(?: day| eve)?|boxing day|"
          r"st stephen'?s(?: day)?|(?:the )?new year(?:'?s)?(?: day)?|thanksgiving|halloween)"
          r"(?P<own> week)?", _feast,
          ("christmas", "boxing", "stephen", "new year", "thanksgiving", "halloween")),
    _rule(rf"(?:on )?(?:a )?week (?:on|from|come) (?P<day>{_WEEKDAY})", _week_on, _A_DAY),
    _rule(rf"(?:on )?(?P<day>{_WEEKDAY}) (?:fortnight|two weeks)", _fortnight_on, _A_DAY),
    _rule(r"(?:first thing )?tomorrow(?: morning| afternoon| evening| night)?|"
          r"(?:first thing )?in the morning", _in_days(1), ("tomorrow", "in the morning")),
    _rule(r"today|tonight|this (?:morning|afternoon|evening)|right away|right now|straight away|"
          r"this (?:minute|instant|arvo)|(?:straight|right) (?:out|over)|on (?:his|her|their) way|"
          r"immediately|at once|as soon as possible|a s a p|asap|now", _in_days(0)),
    _rule(r"(?:(?<=coming )|(?<=coming out )|(?<=be out )|(?<=be here ))at (?:about |half )?"
          rf"(?:(?:{'|'.join(_SMALL[1:13])})(?: o'clock)?|noon|midday|lunchtime|dinner ?time|"
          r"tea ?time)", _in_days(0), ("coming ", "be out ", "be here ")),
    _rule(r"the day after tomorrow|day after tomorrow", _in_days(2), ("tomorrow",)),
    _rule(r"(?:sometime |some time |early |late |in the )?next week", _next_week, ("next week",)),
    _rule(r"(?:later )?this week|by the end of the week|end of the week", _this_week,
          ("this week", "end of the week")),
    _rule(r"(?:sometime )?next month", _next_month, ("next month",)),
    _rule(r"(?:by |at |towards? )?(?:the )?end of (?:the|this|next) month", _month_end,
          ("end of",)),
    _rule(r"(?:on |by )?(?:the )?first of (?:the|next) month", _first_of_month, ("first of",)),
    _rule(
        rf"(?:(?P<lead>on|by|before|this|this coming|next|on next|by next|come) )?"
        rf"(?P<day>{_WEEKDAY})(?: (?P<week>(?:a )?week|after next))?"
        r"(?: morning| afternoon| evening| night)?",
        _weekday,
        _A_DAY,
    ),
    _rule(
        rf"(?:on |by |before )?(?:the )?(?P<nth>{_ORDINAL}) of (?P<month>{_MONTH})", _calendar_day,
        _MONTHS,
    ),
    _rule(rf"(?:on |by |before )?(?P<month>{_MONTH}) (?:the )?(?P<nth>{_ORDINAL})", _calendar_day,
          _MONTHS),
    _rule(rf"(?:on |by |before )?(?:{_WEEKDAY},? )?(?:the )?(?P<nth>\d{{1,2}})(?:st|nd|rd|th)? "
          rf"(?:of )?(?P<month>{_MONTH}|{_SHORT_MONTHS})", _typed_day, _DIGITS),
    _rule(rf"(?:on |by |before )?(?:{_WEEKDAY},? )?(?P<month>{_MONTH}|{_SHORT_MONTHS})\.? "
          r"(?P<nth>\d{1,2})(?:st|nd|rd|th)?", _typed_day, _DIGITS),
    _rule(rf"(?:on |by |before )?(?:the )?(?P<nth>{_ORDINAL})(?: of the month)", _of_the_month,
          ("of the month",)),
    _rule(rf"(?:on|by|before|for|till|until) the (?P<nth>{_ORDINAL})", _of_the_month),
    _rule(rf"(?:(?<=him )|(?<=her )|(?<=them )|(?<=you ))the (?P<nth>{_ORDINAL})"
          r"(?=\s*(?:[.,;!]|$|and\b|then\b))", _of_the_month),
    _rule(rf"(?:in|by|early|late|early in|before) (?P<month>{_MONTH})", _month_name, _MONTHS),
    _rule(
        rf"(?:before|ahead of|prior to) (?:the|his|her|its|my|our)? ?"
        rf"(?:next (?:{_VISIT}|time|one|go)|"
        rf"i (?:trim|shoe|do|see|reset) (?:(?:him|her|them|it) )?again|i'?m back|we trim again|"
        r"i come(?: back| out| over| up| down| round)?|then|"
        r"i (?:touch|go near|cut on) (?:it|him|her|them|the|that|those|his)\b|"
        r"(?:he|she)(?:'?s| is) done again|(?:i|we) (?:go|do) any(?: further|thing(?: more| else)?|"
        r" more)|i do the next one|"
        rf"i'?m (?:next )?(?:out|here|there|round|up)(?: again| next)?|i get back|i come again|"
        rf"my next {_VISIT})",
        _anchor("before_next_visit"),
    ),
    _rule(
        rf"(?:at |on |by |for )?(?:the |his |her |my |our )?(?:next {_VISIT}|next go round|next go)"
        r"|when i ?(?:'m|am|come|get) (?:back|next (?:out|here)|here next|out next)"
        rf"|next time(?: (?:i'?m|we'?re) (?:out|here)| around| round)?",
        _anchor("next_visit"),
        ("next ", "when i"),
    ),
]  # fmt: skip
