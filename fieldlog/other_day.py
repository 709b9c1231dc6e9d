"""The facts of a note that is of another day than its recorder said: what counts from that day."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date

from fieldlog.core.facts import Due, Fact


def counted_from(facts: Iterable[Fact], before: date, day: date) -> tuple[Fact, ...]:
    """The facts with every spoken time, such as “in six weeks”, counted from ``day``.

    A day that was named (“the 20th of December”) or chosen by hand stays.

    Args:
        facts: of one note.
        before: the day that they were counted from.
        day: the day on which the note was said.
    """
    return tuple(_fact(fact, before, day) for fact in facts)


def _fact(fact: Fact, before: date, day: date) -> Fact:
    if fact.due is None or fact.due.on is None:
        return fact
    old, new = (_understood(fact.due.spoken, counted) for counted in (before, day))
    if old is None or new is None or old.on != fact.due.on:
        return fact
    due = replace(new, spoken=fact.due.spoken, anchor=fact.due.anchor)
    # Other readings of the time were counted from the day before too.
    readings = tuple(r for r in fact.readings if "due" not in r.changes)
    return replace(fact, due=due, readings=readings)


def _understood(spoken: str, day: date) -> Due | None:
    from fieldlog.language.times.dates import find_times

    return next((t.due for t in find_times(spoken, day) if t.due.on is not None), None)
