"""A visit for some feet and another for the rest: "left front in three weeks, the rest in six"."""

from __future__ import annotations

from dataclasses import replace

from fieldlog.core.facts import Fact, FactKind, FootBasis
from fieldlog.core.feet import Foot
from fieldlog.language.feet.tracker import FootTracker
from fieldlog.language.words.marks import ALL_FOUR, Mark
from fieldlog.language.words.units_said import Line, UnitSaid

_WHOLE = frozenset({"rest", ALL_FOUR})
_BETWEEN = frozenset({"in", "at", "every", "again", "back", "seen", "on", "him", "her", "of",
                      "them", "are", "is", "due", "for", "to", "be", "done", "'s", "a",
                      "another", "can", "will", "'ll", "could", "want", "wants", "need", "stay",
                      "go", "doing", "i", "see", "trimming", "shoeing"})  # fmt: skip
_BEHIND = frozenset({"for", "on", "with", "the", "his", "her", "both"})
_TRIMS = frozenset({"trim", "shoe", "reset", "shoes", "shoeing"})
_FAR = 5


def visits_apart(line: Line, tracker: FootTracker, marks: list[Mark]) -> list[Fact]:
    """A follow-up for each of several periods that were named with feet of their own.

    What is sooner than a visit of the whole horse is a second look at those feet, unless a trim
    was named; else each is the next trim of its feet. Empty where no foot was named, or only one
    period.

    Args:
        line: words and marks.
        tracker: resolves the names of the feet; the feet in hand stay.
        marks: the marks of one sentence.
    """
    times = [m for m in marks if m.kind == "time" and m.value.due.period]
    named = [_foot_of(line, marks, time) for time in times]
    if len(times) < 2 or not any(foot is not None and foot.code not in _WHOLE for foot in named):
        return []
    whole = [t for t, foot in zip(times, named, strict=True) if _of_all(foot)]
    held = tracker.in_hand
    out = [
        _visit(line, tracker, time, foot, whole) for time, foot in zip(times, named, strict=True)
    ]
    tracker.in_hand = held
    return out


def _foot_of(line: Line, marks: list[Mark], time: Mark) -> Mark | None:
    """The foot that stands before a time with nothing else between, or behind it ("six weeks for
    the fronts")."""
    feet = [m for m in marks if m.kind == "foot"]
    behind = next((m for m in feet if 0 < m.start - time.end <= 2), None)
    if behind is not None and line.norm(time.end) in ("for", "on", "with"):
        return behind if line.norm(behind.start - 1) in _BEHIND else None
    foot = next((m for m in reversed(feet) if m.end <= time.start), None)
    if foot is None or time.start - foot.end > _FAR:
        return None
    between = {line.norm(i) for i in range(foot.end, time.start)}
    return foot if between <= _BETWEEN else None


def _of_all(foot: Mark | None) -> bool:
    return foot is None or foot.code in _WHOLE


def _visit(
    line: Line, tracker: FootTracker, time: Mark, foot: Mark | None, whole: list[Mark]
) -> Fact:
    due = time.value.due
    feet: tuple[Foot, ...] = ()
    if foot is not None and not _of_all(foot):
        feet = tracker.name(foot.code, line.text(foot)).feet
    first = min(foot.start, time.start) if feet and foot is not None else time.start
    lead = {line.norm(i) for i in range(first - 4, first)}
    later = [t.value.due.on for t in whole if due.on and t.value.due.on]
    sooner = bool(feet) and not lead & _TRIMS and any(due.on < day for day in later)
    code = "cycle" if due.spoken.lower().startswith("every") else "next_trim"
    return Fact(
        kind=FactKind.FOLLOW_UP,
        code="recheck" if sooner else code,
        feet=feet,
        foot_basis=FootBasis.SAID if feet else FootBasis.WHOLE_HORSE,
        details={"who": "farrier"},
        due=due,
        span=(line.words[first].start, line.words[time.end - 1].end),
        rule="time:apart",
    )


def with_other_visit(line: Line, tracker: FootTracker, fact: Fact, unit: UnitSaid) -> list[Fact]:
    """A follow-up, and the visits of other feet that its words name: "again in three weeks, the
    rest in six".

    Args:
        line: words and marks.
        tracker: resolves the names of the feet.
        fact: a fact; only a follow-up with a period has others.
        unit: its words.
    """
    if fact.kind is not FactKind.FOLLOW_UP or fact.due is None or not fact.due.period:
        return [fact]
    marks = sorted(unit.marks(), key=lambda m: m.start)
    visits = visits_apart(line, tracker, marks)
    own = next((visit for visit in visits if visit.due == fact.due), None)
    if own is None:
        return [fact]
    others = [visit for visit in visits if visit is not own]
    named = own if own.feet else fact
    told = replace(fact, feet=named.feet, foot_basis=named.foot_basis)
    early = own.code if fact.code == "next_trim" else fact.code
    return [replace(told, code=early), *others]
