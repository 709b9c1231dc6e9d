"""Work that was done on a day gone by: "fronts trimmed Monday", "Monday I put a pad on it"."""

from __future__ import annotations

from fieldlog.language.lexicon import word_set
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import Line, UnitSaid

DAYS = frozenset({"monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"})
_PAST = word_set("past_verbs") | {"done"}
_LIKE_PRESENT = frozenset({"put", "set", "cut", "reset", "let", "shed"})
"""Verbs whose past form is that of an order: "reset the fronts Monday" may be either."""
_WHO = frozenset({"i", "we", "he", "she", "they", "'ve", "i've", "vet", "owner", "lad", "was",
                  "were", "been", "groom", "fella", "who"})  # fmt: skip
_TO_COME = frozenset({"to", "be", "will", "'ll", "should", "need", "needs", "want", "wants", "get",
                      "gets", "getting", "booked", "book", "going", "gonna", "if", "can", "could",
                      "would", "must", "due"})  # fmt: skip
_ANOTHER = frozenset({"and", "but", "so", "for", "back", "vet", "see", "i", "we", "then", "till",
                      "until", "before", "due", "next", "again", "if", "every", "by", "when", "not",
                      "after", "since", "because", "he", "she", "they", "'s", "is", "are", "who",
                      "which", "while", "as", "going"})  # fmt: skip
"""Behind the work: words from which the day is of something else."""
_GOES_ON = frozenset({"and", "but", "so", "by", "with", "when", "because", "it", "he", "she",
                      "they", "today", "now", "already", "this", "morning", "afternoon", "night",
                      "evening", "just", "last", "there", "did", "as", "after",
                      "still"})  # fmt: skip
_FAR = 7
_LEAD = 5


def done_on_a_day(line: Line, unit: UnitSaid) -> bool:
    """Whether the work was done on a weekday that was named beside it, not today."""
    if unit.has("plan"):
        return False
    if _worn_since(line, unit):
        return True
    if not _done(line, unit):
        return False
    return any(_behind(line, unit, day) or _before(line, unit, day) for day in days_of(line, unit))


def _worn_since(line: Line, unit: UnitSaid) -> bool:
    """ "In egg bars six weeks now": what he has been wearing."""
    behind = range(unit.head.end, unit.end)
    now = next((i for i in behind if line.norm(i) == "now" and line.norm(i - 1) in _SPANS), None)
    return now is not None and now - unit.head.end <= _FAR


_SPANS = frozenset({"weeks", "months", "month"})


def days_of(line: Line, unit: UnitSaid) -> list[Mark]:
    """The marks of a unit that name a weekday, "last Monday" and "since Monday" left out."""
    return [m for m in unit.marks() if a_day(line, m)]


def a_day(line: Line, mark: Mark) -> bool:
    """Whether a mark names a weekday and neither which one nor how long since."""
    said = {line.norm(i) for i in mark.covers()}
    timed = mark.kind == "time" or mark.code == "history_after"
    return timed and bool(said & DAYS) and not said & {"last", "since", "next", "week"}


def _done(line: Line, unit: UnitSaid) -> bool:
    lead = _led_by(line, unit.head)
    if lead & _TO_COME:
        return False
    own = [line.norm(i) for i in sorted(unit.head.covers())]
    led = [line.norm(i) for i in range(unit.head.start - 2, unit.head.start)]  # "put a | pad"
    verb = next((w for w in (*own, *led) if w in _PAST | _LIKE_PRESENT or w.endswith("ed")), "")
    return bool(lead & _WHO) if verb in _LIKE_PRESENT else bool(verb)


def _led_by(line: Line, head: Mark) -> set[str]:
    """The words before a job, back to a comma, and those of its own that open it."""
    at = head.start
    while at > head.start - _LEAD and not line.break_at(at - 1):
        at -= 1
    return {line.norm(i) for i in range(at, head.start)} | ({line.norm(head.start)} & _WHO)


def _behind(line: Line, unit: UnitSaid, day: Mark) -> bool:
    """ "Trimmed the fronts on Monday": nothing but what was worked on stands between."""
    between = range(unit.head.end, day.start)
    if day.start < unit.head.end or len(between) > _FAR:
        return False
    if any(line.break_at(i) or line.norm(i) in _ANOTHER for i in between):
        return False
    foot = any(m.kind == "foot" and m.start == day.end for m in line.marks)
    return line.break_at(day.end) or line.norm(day.end) in _GOES_ON or foot


def _before(line: Line, unit: UnitSaid, day: Mark) -> bool:
    """ "Monday I trimmed the fronts": the day opens, and who did it follows."""
    between = [line.norm(i) for i in range(day.end, unit.head.start)]
    opens = day.start - (line.norm(day.start - 1) == "on")
    return (
        0 < len(between) <= 3
        and bool({*between} & _WHO)
        and (line.break_at(opens - 1) or opens == unit.start == 0)
    )
