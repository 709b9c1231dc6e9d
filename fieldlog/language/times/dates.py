"""Spoken times to calendar days, counted from the day of the recording; the words are kept.

``in four weeks``, ``ten days``, ``tomorrow``, ``before the next trim``, ``first of the month``,
``Tuesday week``, ``the third of March``: each becomes a ``Due``. A time that can mean two days says
so and names both.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from datetime import date

from fieldlog.core.facts import Due
from fieldlog.language.times.days_said import (
    DAYS,
    MONTHS,
    ORDINALS,
    SMALL,
    TENS,
    Reader,
    anchor,
    calendar_day,
    feast,
    first_of_month,
    fortnight_on,
    half_period,
    in_days,
    iso,
    month_end,
    month_name,
    next_month,
    next_week,
    nth_weekday,
    of_others,
    of_the_month,
    part_of_month,
    period,
    this_week,
    typed_day,
    week_after_next,
    week_of,
    week_on,
    weekday,
    weekday_dated,
    weekend,
    weeks_on,
    weeks_unsaid,
)

_COUNT = (
    r"(?:a couple(?: of)?|couple of|a few|few|an?|"
    rf"(?:{'|'.join(TENS)})[ -](?:{'|'.join(SMALL[1:10])})|{'|'.join(TENS)}|"
    + "|".join(sorted(SMALL[1:], key=len, reverse=True))
    + r"|\d{1,3})"
)
_PAIRS = "|".join(
    f"{SMALL[low]} {SMALL[high]}" for low in range(1, 13) for high in (low + 1, low + 2)
)
"""A recogniser's "four five weeks", its "to" swallowed: numbers that stand near each other."""
_SO_MANY_FEET = (
    r"(?:(?<=trimmed )|(?<=trim )|(?<=shod )|(?<=did )|(?<=done )|(?<=reset )|(?<=dressed ))"
    r"(?:four (?:six|seven|eight|nine|ten|twelve)|two (?:four|five|six|seven|eight|ten)) weeks\b"
)
"""A recogniser's "trimmed four six weeks": so many feet, then when."""
_UNIT = r"(?:days?|weeks?|wks?|months?|mths?|years?|fortnights?)"
_WEEKDAY = r"(?:" + "|".join(DAYS) + r"|mon|tues?|wed|thurs?|thu|fri)"
_NTH_WORDS = sorted((o for o in ORDINALS if o), key=len, reverse=True)
_ORDINAL = rf"(?:{'|'.join(_NTH_WORDS).replace(' ', '[ -]')}|\d{{1,2}}(?:st|nd|rd|th))"
_MONTH = r"(?:" + "|".join(MONTHS) + r")"
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


def _rule(
    pattern: str, read: Reader, needs: tuple[str, ...] = ()
) -> tuple[re.Pattern[str], Reader, tuple[str, ...]]:
    """A pattern, what reads its matches, and ``needs``: every match holds one of these or stands
    beside it, so that a text without them need not be searched."""
    return re.compile(rf"(?<![\w'])(?:{pattern})(?![\w])"), read, needs


_A_DAY = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
"""What every name of a weekday begins with."""
_DIGITS = tuple("0123456789")
_OF_THE_REST = tuple(
    f"{who} {lead} "
    for who in ("rest", "others", "hinds", "fronts", "of him", "of her", "of them", "other three",
                "other two")
    for lead in ("in", "at", "every")
)  # fmt: skip
_IN_SO_MANY = tuple(
    f"{lead} {count}"
    for lead in ("in", "every")
    for count in ("four", "five", "six", "seven", "eight", "nine", "ten", "twelve")
)
_A_SPAN = ("day", "week", "wk", "month", "mth", "year", "fortnight")
"""What every unit of time holds."""


_LEAD = r"(?:in|within|for|after|every|about|in about|within about|another)"
_RULES = [
    _rule(r"\d{4}-\d{2}-\d{2}", iso, ("-",)),
    _rule(
        rf"(?:(?:{_LEAD}) )?(?:about |another )?(?:an? (?={_COUNT} ?-?{_UNIT}))?(?!{_SO_MANY_FEET})"
        rf"(?:(?P<pair>{_PAIRS})|(?P<low>{_COUNT})(?: (?:to|or) ?(?P<high>{_COUNT}))?)"
        rf"(?: more)?[ -](?P<unit>{_UNIT})"
        r"(?: or (?P<more>two|three))?(?: time| from now| from today)?",
        period,
        _A_SPAN,
    ),
    _rule(r"another (?P<unit>week|fortnight|month)(?P<low>)(?P<high>)(?P<more>)", period,
          ("another ",)),
    _rule(rf"(?:in )?(?P<low>{_COUNT}) and a half weeks", half_period, ("half weeks",)),
    _rule(rf"(?:every )?(?P<low>{_COUNT})[ -](?P<unit>week)ly(?: from now)?(?P<high>)(?P<more>)",
          period, ("weekly",)),
    _rule(r"(?:(?<=usual )|(?<=regular )|(?<=normal ))"
          r"(?P<low>four|five|six|seven|eight|nine|ten)(?P<high>)(?=\s*(?:[.,;!]|$|again\b))",
          weeks_unsaid, ("usual ", "regular ", "normal ")),
    _rule(r"(?:(?<=weeks )|(?<=weeks, ))(?P<low>four|five|six|seven|eight)(?P<high>)"
          r"(?= for (?:the|him|her|his)\b)", weeks_unsaid, ("weeks",)),
    _rule(r"(?P<led>weeks (?:for|on|in) (?:\w+ ){0,3}?\w+[,.]? (?:and |then |but )?)"
          r"(?P<low>three|four|five|six|seven|eight|nine|ten|twelve)(?P<high>)"
          r"(?= (?:for|on) (?:the|him|her|his|everything|all|both|my)\b)",
          of_others, ("weeks",)),
    _rule(r"(?P<led>weeks\b[^;]{1,60}?\b(?:at|every) )"
          r"(?P<low>three|four|five|six|seven|eight|nine|ten|twelve)(?P<high>)"
          r"(?=\s*(?:[.,;!]|$|because\b|as\b|and\b|but\b|though\b|then\b))",
          of_others, ("weeks",)),
    _rule(r"(?P<led>(?:weeks|days|fortnight|monday|tuesday|wednesday|thursday|friday|saturday|sunday)"
          r"\b[^;]{1,50}?\b(?:reset|trim|set|job|shoeing|new shoes|whole lot) (?:in|at) )"
          r"(?P<low>three|four|five|six|seven|eight|nine|ten|twelve)(?P<high>)"
          r"(?=\s*(?:[.,;!]|$|as\b|and\b|but\b|though\b|then\b))",
          of_others, ("reset ", "trim ", "set ", "job ", "shoeing ", "shoes ", "lot ")),
    _rule(r"(?P<led>weeks\b[^;]{1,50}?\b(?:rest|others) (?:can be|are|is|can go|can wait) )"
          r"(?P<low>three|four|five|six|seven|eight|nine|ten|twelve)(?P<high>)"
          r"(?=\s*(?:[.,;!]|$|as\b|and\b|but\b|though\b|then\b))",
          weeks_unsaid, ("rest can", "rest is", "rest are", "others are", "others can")),
    _rule(r"(?P<led>weeks\b[^;]{1,50}? )"
          r"(?P<low>three|four|five|six|seven|eight|nine|ten|twelve)(?P<high>)"
          r"(?= for the (?:whole|full|lot|rest|trim|reset|next|others|set)\b)",
          of_others, ("for the ",)),
    _rule(r"(?:(?<=the rest )|(?<=the others ))(?:in )?"
          r"(?P<low>four|five|six|seven|eight)(?P<high>)(?=\s*(?:[.,;!]|$))", weeks_unsaid,
          ("the rest ", "the others ")),
    _rule(r"(?:(?<=rest )|(?<=others )|(?<=hinds )|(?<=fronts )|(?<=rest of him )|"
          r"(?<=rest of her )|(?<=rest of them )|(?<=all of them )|(?<=other three )|"
          r"(?<=other two ))(?:in|at|every) "
          r"(?P<low>two|three|four|five|six|seven|eight|nine|ten|twelve)(?P<high>)"
          r"(?=\s*(?:[.,;!]|$))", weeks_unsaid,
          _OF_THE_REST),
    _rule(r"(?:a )?week (?:from )?(?:today|now)|today week|this day week", in_days(7, "P1W"),
          ("week from", "week today", "week now", "today week", "this day week")),
    _rule(r"(?:with)?in (?:side )?(?:of )?(?:the|a) week|inside (?:of )?(?:the|a) week",
          in_days(7, "P1W"), ("the week", "a week")),
    _rule(rf"(?P<low>{_COUNT}) weeks? (?:(?:on|from|come) )?(?P<day>{_WEEKDAY})",
          weeks_on, _A_DAY),
    _rule(r"(?:(?<=back )|(?<=again )|(?<=him )|(?<=her )|(?<=them )|(?<=due )|(?<=see )|"
          r"(?<=see you )|(?<=see ya ))"
          r"(?:in|every) "
          r"(?P<low>four|five|six|seven|eight|nine|ten|twelve)(?P<high>(?: or| to)? "
          r"(?:five|six|seven|eight|nine|ten|twelve))?"
          r"(?! (?:minutes?|mins?|hours?|days?|weeks?|months?|years?|seconds?|o'clock|of|or|to|"
          r"more|"
          r"other|different|and a|inch(?:es)?|mil|degrees?|hundred|point|stalls?|horses?)\b)",
          weeks_unsaid, _IN_SO_MANY),
    _rule(r"(?:(?<=him )|(?<=her )|(?<=them )|(?<=it )|(?<=me ))(?:on|at|every|to) "
          r"(?P<low>four|five|six|seven|eight|nine|ten)(?P<high>)"
          r"(?=,? (?:from (?:now|here) on|not (?:five|six|seven|eight|nine|ten|twelve)\b))",
          weeks_unsaid, ("from now on", "from here on", "not ")),
    _rule(r"(?:(?<=him on )|(?<=her on )|(?<=them on )|(?<=it on )|(?<=cycle of )|(?<=can go )|"
          r"(?<=could go )|(?<='ll go )|(?<=will go ))"
          r"(?P<low>four|five|six|seven|eight|nine|ten|eleven|twelve)(?P<high>)"
          r"(?=\s*(?:[.,;!]|$))", weeks_unsaid,
          ("him on ", "her on ", "them on ", "it on ", "cycle of ", "can go ", "could go ",
           "'ll go ", "will go ")),
    _rule(r"(?:(?<=otherwise )|(?<=if not )|(?<=or else )|(?<=if so )|(?<=if it is )|"
          r"(?<=otherwise, )|(?<=if not, ))(?:in |at |it'?s )?"
          r"(?P<low>four|five|six|seven|eight|nine|ten|eleven|twelve)(?P<high>)"
          r"(?=\s*(?:[.,;!]|$|as (?:usual|normal)))", weeks_unsaid,
          ("otherwise", "if not", "or else", "if so", "if it is")),
    _rule(rf"(?:on |by |before |for )?(?P<day>{_WEEKDAY}),? (?:the )?(?P<nth>{_ORDINAL})"
          rf"(?: of (?P<month>{_MONTH}))?", weekday_dated, _A_DAY),
    _rule(rf"(?:on |by |before )?(?:the )?(?P<which>first|second|third|fourth) (?P<day>{_WEEKDAY})"
          rf" (?:in|of) (?:(?P<month>{_MONTH})|the month|next month)", nth_weekday, _A_DAY),
    _rule(r"(?:(?:by|before|over|at|on|till|until|this|next|come) )(?:the |this |next )?weekend",
          weekend, ("weekend",)),
    _rule(r"(?:the )?week after next", week_after_next, ("week after next",)),
    _rule(rf"(?:(?:the|in the) )?week of (?:the )?(?:(?P<nth>{_ORDINAL})"
          rf"(?: of (?P<month>{_MONTH}))?|(?P<month2>{_MONTH}) (?:the )?(?P<nth2>{_ORDINAL}))",
          week_of, ("week of",)),
    _rule(rf"(?:(?:by|at|in|before|around) )?(?:the )?(?P<part>mid|middle of|end of|back end of|"
          rf"start of|beginning of|first week (?:of|in)|second week (?:of|in)|third week (?:of|in)|"
          rf"last week (?:of|in)) ?-?(?P<month>{_MONTH})", part_of_month, MONTHS),
    _rule(rf"(?:mid|middle of|end of|start of|beginning of|early|late) ?-?(?P<month>{_MONTH}),? "
          rf"(?:say|so|call it|let'?s say) (?:on )?the (?P<nth>{_ORDINAL})", calendar_day, MONTHS),
    _rule(r"(?:(?P<week>(?:the )?week (?:after|before|of) )|(?P<lead>(?:right |just |straight )?"
          r"(?:before|after|by|until|till|come|in) ))?(?P<feast>christmas(?: day| eve)?|boxing day|"
          r"st stephen'?s(?: day)?|(?:the )?new year(?:'?s)?(?: day)?|thanksgiving|halloween)"
          r"(?P<own> week)?", feast,
          ("christmas", "boxing", "stephen", "new year", "thanksgiving", "halloween")),
    _rule(rf"(?:on )?(?:a )?week (?:on|from|come) (?P<day>{_WEEKDAY})", week_on, _A_DAY),
    _rule(rf"(?:on )?(?P<day>{_WEEKDAY}) (?:fortnight|two weeks)", fortnight_on, _A_DAY),
    _rule(r"(?:first thing )?tomorrow(?: morning| afternoon| evening| night)?|"
          r"(?:first thing )?in the morning", in_days(1), ("tomorrow", "in the morning")),
    _rule(r"today|tonight|this (?:morning|afternoon|evening)|right away|right now|straight away|"
          r"this (?:minute|instant|arvo)|(?:straight|right) (?:out|over)|on (?:his|her|their) way|"
          r"immediately|at once|as soon as possible|a s a p|asap|now", in_days(0)),
    _rule(r"(?:(?<=coming )|(?<=coming out )|(?<=be out )|(?<=be here ))at (?:about |half )?"
          rf"(?:(?:{'|'.join(SMALL[1:13])})(?: o'clock)?|noon|midday|lunchtime|dinner ?time|"
          r"tea ?time)", in_days(0), ("coming ", "be out ", "be here ")),
    _rule(r"the day after tomorrow|day after tomorrow", in_days(2), ("tomorrow",)),
    _rule(r"(?:sometime |some time |early |late |in the )?next week", next_week, ("next week",)),
    _rule(r"(?:later )?this week|by the end of the week|end of the week", this_week,
          ("this week", "end of the week")),
    _rule(r"(?:sometime )?next month", next_month, ("next month",)),
    _rule(r"(?:by |at |towards? )?(?:the )?end of (?:the|this|next) month", month_end,
          ("end of",)),
    _rule(r"(?:on |by )?(?:the )?first of (?:the|next) month", first_of_month, ("first of",)),
    _rule(
        rf"(?:(?P<lead>on|by|before|this|this coming|next|on next|by next|come) )?"
        rf"(?P<day>{_WEEKDAY})(?: (?P<week>(?:a )?week|after next))?"
        r"(?: morning| afternoon| evening| night)?",
        weekday,
        _A_DAY,
    ),
    _rule(
        rf"(?:on |by |before )?(?:the )?(?P<nth>{_ORDINAL}) of (?P<month>{_MONTH})", calendar_day,
        MONTHS,
    ),
    _rule(rf"(?:on |by |before )?(?P<month>{_MONTH}) (?:the )?(?P<nth>{_ORDINAL})", calendar_day,
          MONTHS),
    _rule(rf"(?:on |by |before )?(?:{_WEEKDAY},? )?(?:the )?(?P<nth>\d{{1,2}})(?:st|nd|rd|th)? "
          rf"(?:of )?(?P<month>{_MONTH}|{_SHORT_MONTHS})", typed_day, _DIGITS),
    _rule(rf"(?:on |by |before )?(?:{_WEEKDAY},? )?(?P<month>{_MONTH}|{_SHORT_MONTHS})\.? "
          r"(?P<nth>\d{1,2})(?:st|nd|rd|th)?", typed_day, _DIGITS),
    _rule(rf"(?:on |by |before )?(?:the )?(?P<nth>{_ORDINAL})(?: of the month)", of_the_month,
          ("of the month",)),
    _rule(rf"(?:on|by|before|for|till|until) the (?P<nth>{_ORDINAL})", of_the_month),
    _rule(rf"(?:(?<=him )|(?<=her )|(?<=them )|(?<=you ))the (?P<nth>{_ORDINAL})"
          r"(?=\s*(?:[.,;!]|$|and\b|then\b))", of_the_month,
          ("him the ", "her the ", "them the ", "you the ")),
    _rule(rf"(?:in|by|early|late|early in|before) (?P<month>{_MONTH})", month_name, MONTHS),
    _rule(
        rf"(?:before|afore|ahead of|prior to) (?:the|his|her|its|my|our)? ?"
        rf"(?:next (?:{_VISIT}|time|one|go|lot|plates?|set|pair|round|trip)|"
        r"(?:i|we) (?:come|see|shoe|trim|do|set about|lay|put|touch|start|go|get|pull|take)\b"
        r"[^.,;]{0,24}? (?:again|next)\b|(?:i|we) next (?:come|see|shoe|trim|do)\b|"
        r"i (?:shoe|trim) (?:it|him|her|them)\b|"
        rf"i (?:trim|shoe|do|see|reset) (?:(?:him|her|them|it) )?again|i'?m back|we trim again|"
        r"i come(?: back| out| over| up| down| round)?|then|"
        r"i (?:touch|go near|cut on) (?:it|him|her|them|the|that|those|his)\b|"
        r"(?:he|she)(?:'?s| is) done again|(?:i|we) (?:go|do) any(?: further|thing(?: more| else)?|"
        r" more)|i do the next one|"
        rf"i'?m (?:next )?(?:out|here|there|round|up)(?: again| next)?|i get back|i come again|"
        rf"my next {_VISIT})",
        anchor("before_next_visit"),
        ("before ", "afore ", "ahead of ", "prior to "),
    ),
    _rule(
        r"(?:(?<=films )|(?<=film )|(?<=pictures )|(?<=radiographs )|(?<=x-rays )|(?<=xrays ))"
        r"before (?:that|it|then)(?: one| visit)?(?=\s*(?:[.,;]|$|and\b))",
        anchor("before_next_visit"),
        ("before ",),
    ),
    _rule(
        rf"(?:at |on |by |for )?(?:the |his |her |my |our )?(?:next {_VISIT}|next go round|next go)"
        r"|when i ?(?:'m|am|come|get) (?:back|next (?:out|here)|here next|out next)"
        r"|when i (?:come|see (?:him|her|it)|do (?:him|her|it)) (?:again|next)\b"
        r"|when i'?m (?:next (?:round|over|up)|(?:round|over|up|out) (?:again|next))\b"
        r"|for the next (?:one|lot|plates?)(?=\s*(?:[.,;]|$|so\b|and\b))"
        rf"|next time(?: (?:i'?m|we'?re) (?:out|here)| around| round)?",
        anchor("next_visit"),
        ("next ", "when i"),
    ),
]  # fmt: skip
