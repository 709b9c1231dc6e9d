"""When: whether a finding or a value is of today or of an earlier visit."""

from __future__ import annotations

from itertools import pairwise

from fieldlog.core.facts import Reporter
from fieldlog.language.context.comparisons import TRENDS
from fieldlog.language.lexicon import word_set
from fieldlog.language.times.days_of_work import DAYS, a_day, done_on_a_day
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import Line, UnitSaid

_SAYS = frozenset({"farrier_says", "owner_says", "vet_says", "other_says"})


def is_earlier(line: Line, units: list[UnitSaid], at: int, reporter: Reporter) -> bool:
    """Whether the unit at ``at`` tells of something that is not of today."""
    unit = units[at]
    if _historical(line, unit, reporter) or _long_past(line, unit) or _went_through(line, unit):
        return True
    if unit.head.kind == "work":
        return done_on_a_day(line, unit)
    if unit.head.kind == "value":
        return _was_once(line, units, at) or _until_now(line, units, at)
    return (
        reporter in (Reporter.OWNER, Reporter.OTHER)
        and unit.head.kind == "finding"
        and unit.head.code != "shoe_lost"
        and (any(_was(line, i) for i in range(_told(unit), unit.head.end)) or _on_a_day(line, unit))
    )


_STILL = frozenset({"now", "today", "is", "are", "'s", "isn't", "aren't", "has", "have", "still",
                    "i've", "'ve", "since", "i"})  # fmt: skip
_OVER = frozenset({"was", "were", "had", "'d", "could", "wasn't", "weren't", "couldn't"})
_LAST = frozenset({"time", "visit", "trim", "shoeing", "year", "month", "week", "day"})
_VISITS = _LAST | {"times", "visits", "trims", "shoeings", "years", "months", "weeks", "days"}
_IT = frozenset({"it", "he", "she", "that", "there", "which", "they"})
_FIRST = 8
"""In how many words a sentence names the time that it tells of."""


def _long_past(line: Line, unit: UnitSaid) -> bool:
    """ "In the summer the near was broken forward and the off broken back": all of it was then."""
    if unit.head.kind not in ("finding", "value"):
        return False
    begin = line.sentence_begin(unit.head.start)
    first = [line.norm(i) for i in range(begin, min(begin + _FIRST + 4, unit.head.end))]
    starts = range(min(_FIRST, len(first)))
    then = next((i for i in starts if _names_a_time(first[i : i + 5])), None)
    if then is None or any(
        m.kind == "finding" for m in line.marks if begin <= m.start < begin + then
    ):
        return False
    told = [line.norm(i) for i in range(begin, unit.head.end)]
    rest = [w for i, w in enumerate(told) if i > then + 1 and (w != "'s" or told[i - 1] in _IT)]
    after = [line.norm(i) for i in range(unit.head.end, unit.head.end + 3)]
    return bool(_OVER & {*rest}) and not _STILL & {*rest} and not {"now", "today"} & {*after}


def _names_a_time(words: list[str]) -> bool:
    """Whether a past time begins here: "in the spring", "last visit", "two years ago"."""
    first, rest = words[0], [*words[1:], "", ""]
    if first in ("in", "by", "back", "over"):
        at = 0
        while rest[at] in ("in", "the", "early", "late", "last", "mid"):
            at += 1
        return rest[at] in _MONTHS | _SEASONS
    if first == "last":
        return rest[0] in _LAST | _MONTHS | _SEASONS
    if first == "when":
        return rest[0] in ("i", "we") and rest[1] in ("started", "first", "took", "began", "last")
    if first == "first":
        return rest[0] in ("visit", "time", "day")
    return first in _VISITS and rest[0] in ("ago", "back")


_ILLNESSES = frozenset({"laminitis", "founder", "abscess", "seedy_toe", "canker"})
_GLANCED = frozenset({"a", "an", "the", "that", "some", "bad", "his", "her", "bout", "of"})
_WHOSE = frozenset({"he", "she", "that", "who", "which", "they", "'s", "has", "'d", "have"})


def _went_through(line: Line, unit: UnitSaid) -> bool:
    """ "The pony that had laminitis", "he's had an abscess": an illness that is over."""
    at = unit.head.start - 1
    while line.norm(at) in _GLANCED:
        at -= 1
    if unit.head.code not in _ILLNESSES or line.norm(at) != "had":
        return False
    later = {line.norm(i) for i in range(unit.head.end, unit.end)}
    return line.norm(at - 1) in _WHOSE and not later & {"since", "now", "today", "still"}


def _was(line: Line, at: int) -> bool:
    """A past form; "has been stumbling" is still so."""
    word = line.norm(at)
    if word in ("was", "were"):
        return True
    done = word in ("been", "had") or word.endswith("ed")
    return done and line.norm(at - 1) in ("had", "'d")


def _on_a_day(line: Line, unit: UnitSaid) -> bool:
    """ "The owner says she tripped on Tuesday"."""
    at = unit.head.end
    while line.norm(at) in ("on", "last", "back", "again", "out"):
        at += 1
    return line.norm(unit.head.end - 1).endswith("ed") and line.norm(at) in DAYS


def _was_once(line: Line, units: list[UnitSaid], at: int) -> bool:
    """ "Forty-one, was thirty-nine": of two values, the one that was."""
    back = units[at].head.start - 1
    while line.norm(back) in ("about", "at", "around", "up", "down"):
        back -= 1
    if at == 0 or units[at - 1].head.kind != "value":
        return False
    lead = line.norm(units[at].head.start - 2)
    risen = line.norm(units[at].head.start - 1) == "from" and lead in ("up", "down")
    return risen or line.norm(back) in ("was", "were")


_OUR_DOING = frozenset({"took", "brought", "got", "trimmed", "rasped", "dropped", "i", "cut"})
_WORKED_ON = ("toe_", "heel_", "hoof_")


def _until_now(line: Line, units: list[UnitSaid], at: int) -> bool:
    """ "Eight mil deep before and three now", "up from forty-five to fifty": the first is old.

    A toe or a heel that was so long "before" was so before it was trimmed today.
    """
    head = units[at].head
    later = next((u.head for u in units[at + 1 : at + 2] if u.head.kind == "value"), None)
    if later is None or later.code != head.code or later.start - head.end > 5:
        return False
    if line.norm(head.start - 1) == "from":
        ours = {line.norm(i) for i in range(head.start - 10, head.start)} & _OUR_DOING
        moved = line.norm(later.start - 1) == "to" and line.norm(head.start - 2) in ("up", "down")
        return moved and not ours
    now = line.norm(later.end) in ("now", "today")
    return "before" in (line.norm(head.end), line.norm(head.end + 1)) and (
        now and not head.code.startswith(_WORKED_ON)
    )


def _told(unit: UnitSaid) -> int:
    """Where the words begin that are told of, behind "the owner says"."""
    return max([unit.start, *(m.end for m in unit.before if m.code in _SAYS)])


def _historical(line: Line, unit: UnitSaid, reporter: Reporter) -> bool:
    """Whether a unit tells of what was: by a word before it, a time behind it, or "last time"."""
    if any(_was_before(line, unit, mark) for mark in unit.roles("history_before")):
        return True
    past = _since_that(line, unit)
    past = past or any(_was(line, i) or line.norm(i) in _HAD for i in range(unit.start, unit.end))
    if _before_now(line, unit) or _in_a_month(line, unit) or _in_a_season(line, unit, past):
        return True
    if unit.head.kind == "finding" and _since_that(line, unit, ("since", "after")):
        return True
    # "He's been short since last week" goes on today.
    goes_on = any(line.norm(i) == "been" for i in range(unit.start, unit.head.end))
    after = _times_behind(line, unit, past)
    if goes_on or reporter not in (Reporter.OWNER, Reporter.OTHER):
        # "Toe touching since Sunday" is seen today.
        after = [m for m in after if line.norm(m.start) != "since"]
    if after:
        return True
    late = [m for m in unit.roles("against_last") if not _comparing(unit)]
    late = [m for m in late if not (goes_on and line.norm(m.start - 1) == "since")]
    return any(line.norm(m.start) == "last" for m in late)


def _was_before(line: Line, unit: UnitSaid, mark: Mark) -> bool:
    """ "Old abscess track", "used to have thrush"; an old scar is there today."""
    seen = unit.head.code not in TRACES or unit.head.kind != "finding"
    if line.norm(mark.start) == "old" and seen and not _was_said(line, unit):
        return False
    if line.norm(mark.end - 1) == "old" and _of_something_else(line, unit, mark):
        return False
    return mark.end <= unit.head.start and unit.head.start - mark.end <= 4


def _times_behind(line: Line, unit: UnitSaid, past: bool) -> list[Mark]:
    """The times gone by that a unit is of: "lame in the spring", "lost a shoe on Sunday"."""
    # "Vet was out Tuesday and found thrush": the day is of the telling.
    after = [m for m in unit.roles("history_after") if m.start >= _told(unit)]
    if unit.head.code == "shoe_lost":
        # lost on Sunday, and still not there
        after = [m for m in after if {line.norm(i) for i in m.covers()} & {"last", "ago", "back"}]
    after = [m for m in after if not _apart(line, unit, m) and not _an_old_one(line, m)]
    if unit.head.kind == "work":
        # "put him back in the same shoes"
        after = [m for m in after if line.text(m) != "back in" and not a_day(line, m)]
    if not past and not line.norm(unit.head.end - 1).endswith("ed"):
        # "Gets thrush in the winter" is of every year.
        after = [m for m in after if not _every_year(line, m)]
    # "The crack he had in the spring is nearly out" is seen today.
    trends = [m.start for m in unit.marks() if m.kind == "role" and m.code in TRENDS]
    return [m for m in after if not any(_now_between(line, m.end, start) for start in trends)]


TRACES = frozenset({"abscess_track", "event_line"})
"""What an old illness left behind: an old one tells of the illness."""


def _was_said(line: Line, unit: UnitSaid) -> bool:
    return any(_was(line, i) or line.norm(i) == "had" for i in range(unit.start, unit.head.end))


_HAD = frozenset({"had", "'d", "got", "came", "went", "blew", "burst", "threw", "lost", "started"})
_SEASONS = frozenset({"spring", "summer", "winter", "autumn", "fall", "drought", "spell"})


def _now_between(line: Line, low: int, high: int) -> bool:
    return any(line.norm(i) in ("is", "'s", "are", "now", "today") for i in range(low, high + 1))


def _before_now(line: Line, unit: UnitSaid) -> bool:
    """ "He's had laminitis before": a bare "before" behind what he had."""
    had = any(line.norm(i) in ("had", "been") for i in range(unit.start, unit.head.start))
    return had and any(
        line.norm(i) == "before" and line.break_at(i + 1) for i in range(unit.head.end, unit.end)
    )


_GOES_ON = frozenset({"and", "which", "that", "had", "was", "were", "there"})
_MONTHS = frozenset({"january", "february", "march", "april", "june", "july", "august",
                     "september", "october", "november", "december"})  # fmt: skip


def _in_a_season(line: Line, unit: UnitSaid, past: bool) -> bool:
    """ "He'd an abscess in spring, near fore": the season right behind what he had.

    An illness needs no past form ("vet said laminitis in the spring"), unless he gets it every
    year.
    """
    ill = unit.head.code in _ILLNESSES
    if unit.head.kind != "finding" or not (past or ill):
        return False
    at = unit.head.end if ill else _behind(unit)
    at += line.norm(at) == "back"
    season = at + 1 + (line.norm(at + 1) == "the")
    words = {line.norm(i) for i in range(unit.start, unit.end)}
    yearly = words & {"gets", "get", "every", "always", "comes"}
    return line.norm(at) == "in" and line.norm(season) in _SEASONS and not yearly


def _in_a_month(line: Line, unit: UnitSaid) -> bool:
    """ "Abscess in the off hind in march": the month right behind what was there."""
    if unit.head.kind != "finding":
        return False
    at = _behind(unit)
    while line.norm(at) in ("back", "over", "way", ","):
        at += 1
    return line.norm(at) in ("in", "last") and line.norm(at + 1) in _MONTHS


def _behind(unit: UnitSaid) -> int:
    """The first word behind what is told and where it is."""
    near = [m for m in unit.after if m.kind in ("foot", "place", "side")]
    return max([unit.head.end, *(m.end for m in near if m.start - unit.head.end <= 6)])


def _apart(line: Line, unit: UnitSaid, mark: Mark) -> bool:
    """ "No pulse, so whatever it was last week": the time is of another statement."""
    words = [line.norm(i) for i in range(unit.head.end, mark.start)]
    between = {*words}
    if any(a == "and" and b in ("she", "he", "they", "i") for a, b in pairwise(words)):
        return True
    now = between & {"today", "now"} or _this_time(line, unit.head.end, mark.start)
    return bool(between & _OTHERWISE) or bool(now and between & _GOES_ON)


def _this_time(line: Line, low: int, high: int) -> bool:
    return any(line.norm(i) == "this" and line.norm(i + 1) == "time" for i in range(low, high))


def _of_something_else(line: Line, unit: UnitSaid, mark: Mark) -> bool:
    """ "Three old trekking cobs all with thrush": the horses are old."""
    if mark.end + 1 >= unit.head.start:
        return False
    return not any(m.holds(mark.end) for m in unit.marks()) and line.norm(mark.end) != "and"


def _every_year(line: Line, mark: Mark) -> bool:
    words = {line.norm(i) for i in mark.covers()}
    return bool(words & _SEASONS) and not words & {"last", "back", "since", "ago", "earlier"}


def _since_that(
    line: Line,
    unit: UnitSaid,
    links: tuple[str, ...] = ("after", "since", "from", "following"),
) -> bool:
    """ "Standing off it after that abscess in the summer"."""
    at = unit.head.start - 1
    while line.norm(at) in ("that", "the", "his", "her", "a", "an", "bad"):
        at -= 1
    return at < unit.head.start - 1 and line.norm(at) in links


def _an_old_one(line: Line, mark: Mark) -> bool:
    """ "There's old dark blood": "old" is of what stands behind it."""
    if line.norm(mark.end - 1) != "old" or mark.size != 2:
        return False
    return not line.break_at(mark.end) and line.norm(mark.end) not in ("and", "but", "now", "so")


_OTHERWISE = frozenset({"so", "whatever", "but", "because", "like", "than", "as", "when"})


def _comparing(unit: UnitSaid) -> bool:
    return unit.has("better", "worse", "same", "larger", "smaller", "new", "gone") or (
        unit.head.kind == "change"
    )


_PAST = word_set("past_verbs")


def is_past(word: str) -> bool:
    """Whether a verb form tells of something already done."""
    return word.endswith("ed") or word in _PAST
