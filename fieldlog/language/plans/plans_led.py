"""What a "next time" says that stands before jobs or behind the last of their feet.

"Next time pull the fronts, hinds just a trim": all of it is still to come. "Reset the fronts, hinds
next time": only the hinds are.
"""

from __future__ import annotations

from dataclasses import replace

from fieldlog.core.facts import Due, Fact, FactKind, FootBasis, new_id
from fieldlog.language.context.history import is_past
from fieldlog.language.facts.reading_work import BARE
from fieldlog.language.feet.tracker import FootTracker
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import Line, UnitSaid

_LINKS = frozenset({"and", ",", "then", "just", "a", "an", "the", "his", "her", "both", "on", "in",
                    "only", "with", "same", "again", "new", "at", "of", "to", "for", "or", "some",
                    "it", "off", "out", "plus", "also", "maybe", "probably", "is", "plan", "'s",
                    "will", "be", "'ll", "go", "get", "need", "needs", ":", "want", "wants", "put",
                    "i'd", "i", "we", "'d", "like", "bring", "here"})  # fmt: skip
_OF_A_JOB = frozenset({"foot", "place", "side", "time", "size", "number"})
_OPENERS = frozenset({"", "and", "so", "then", "but", "for", "right", "plan", "plans", "is", "the",
                      "now", "okay", "well", "maybe"})  # fmt: skip
_UNTIL_THEN = frozenset({"in", "come"})
_NOW = frozenset({"today", "now", "already"})


def led_by_plan(line: Line, units: list[UnitSaid]) -> dict[int, Due | None]:
    """The units of a sentence that a "next time" or "plan is" before them makes plans, by number.

    A list of jobs goes on with it; what was seen, and what was done, ends it.
    """
    out: dict[int, Due | None] = {}
    led: Due | None = None
    last = -1
    for at, unit in enumerate(units):
        opened, due = _opening(line, unit)
        if opened:
            led, last = due, at
        goes_on = last >= 0 and (opened or _listed(line, units[at - 1], unit))
        if not goes_on or unit.head.kind != "work" or _told_done(line, unit, opened):
            last = -1
            continue
        out[at] = led
        last = at
    return out


def _opening(line: Line, unit: UnitSaid) -> tuple[bool, Due | None]:
    """Whether a next visit or a plan opens before the head, and when it is."""
    if (until := _then(line, unit)) is not None:
        return True, until
    for mark in unit.before:
        ahead = mark.kind == "time" and mark.value.due.anchor == "next_visit"
        plan = mark.code == "plan" and line.norm(mark.start) in ("plan", "plans", "for")
        begin = mark.start - (line.norm(mark.start - 1) in _UNTIL_THEN)
        timed = mark.kind == "time" and line.norm(begin) in _UNTIL_THEN
        timed = timed and line.norm(unit.head.start) in BARE
        opens = line.break_at(begin - 1) or line.norm(begin - 1) in _OPENERS
        if (
            (ahead or plan or timed)
            and opens
            and _only_links(line, mark.end, unit.head.start, unit)
        ):
            return True, mark.value.due if mark.kind == "time" else None
    return False, None


def _then(line: Line, unit: UnitSaid) -> Due | None:
    """ "Boot until Monday. Then glue on": when what comes after an "until" is to be done."""
    at = unit.head.start - 1
    while line.norm(at) in _BEFORE_A_JOB:
        at -= 1
    if line.norm(at) != "then":
        return None
    at -= line.norm(at - 1) in ("and", "but", ",") or line.words[max(at - 1, 0)].sort != "word"
    for mark in line.marks:
        if mark.kind == "time" and mark.end == at and mark.value.due.on is not None:
            led = (line.norm(mark.start), line.norm(mark.start - 1))
            due: Due = mark.value.due
            return due if {*led} & {"until", "till", "til"} else None
    return None


_BEFORE_A_JOB = frozenset({"a", "an", "the", "it", "goes", "put", "new", "another", "i", "we",
                           "'ll", "i'll", "we'll", "will", "plain", "normal", "his", "her", ",",
                           "back", "straight", "to"})  # fmt: skip


def _listed(line: Line, left: UnitSaid, unit: UnitSaid) -> bool:
    return _only_links(line, left.head.end, unit.head.start, left, unit)


def _only_links(line: Line, low: int, high: int, *units: UnitSaid) -> bool:
    """Whether only feet, places and small words stand between."""
    known = {i for u in units for m in u.marks() if m.kind in _OF_A_JOB
             or m.code in ("plan", "material") for i in m.covers()}  # fmt: skip
    return all(
        i in known or line.norm(i) in _LINKS or line.words[i].sort in ("comma", "pause")
        for i in range(low, high)
    )


def _told_done(line: Line, unit: UnitSaid, opened: bool) -> bool:
    """A past verb, or a "today" beside it, tells of this visit."""
    words = {line.norm(i) for m in unit.of("time") for i in m.covers()}
    if words & _NOW:
        return True
    verb = line.norm(unit.head.start)
    return not opened and is_past(verb) and verb not in ("put", "set", "cut", "let")


def foot_for_later(line: Line, unit: UnitSaid) -> tuple[Mark, Due] | None:
    """The last foot of a job and its time: "reset the fronts, | hinds next time".

    The foot is taken out of the unit. None where it is joined by "and" or where no foot of today
    stands before it.
    """
    if unit.head.kind != "work" or len(unit.feet()) < 2:
        return None
    feet = sorted(unit.feet(), key=lambda m: m.start)
    last, before = feet[-1], feet[-2]
    time = next((m for m in unit.of("time") if 0 <= m.start - last.end <= 1), None)
    if time is None or not _later(time.value.due) or last.start < unit.head.end:
        return None
    between = {line.norm(i) for i in range(max(before.end, unit.head.end), last.start)}
    if not between <= {",", "the", "his", "her", ""} or not _apart(line, time, between):
        return None
    unit.before = [m for m in unit.before if m is not last and m is not time]
    unit.after = [m for m in unit.after if m is not last and m is not time]
    return last, time.value.due


def _apart(line: Line, time: Mark, between: set[str]) -> bool:
    """ "Reset the fronts, hinds in two weeks"; "hinds, six weeks" is when the horse is next due."""
    if time.value.due.anchor == "next_visit":
        return True
    return "," in between and "in" in (line.norm(time.start), line.norm(time.start - 1))


def _later(due: Due) -> bool:
    return due.anchor == "next_visit" or bool(due.period)


def done_later(fact: Fact, line: Line, tracker: FootTracker, foot: Mark, due: Due) -> Fact:
    """The job as it is planned for the foot that was named with a time."""
    named = tracker.name(foot.code, line.text(foot))
    words = line.words
    return replace(
        fact,
        id=new_id(),
        kind=FactKind.WORK,
        feet=named.feet,
        foot_basis=named.basis if named.feet else FootBasis.UNSTATED,
        why_foot=named.why,
        planned=True,
        negated=False,
        historical=False,
        due=due,
        quantity=None,
        span=(words[foot.start].start, words[foot.end - 1].end),
    )
