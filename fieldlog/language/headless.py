"""Words without a head: a foot, a time, a size, or particulars of what was told before."""

from __future__ import annotations

from dataclasses import replace

from fieldlog.core.facts import FactKind
from fieldlog.language.corrections.narrowed import narrowed
from fieldlog.language.facts.reading_work import SHOES
from fieldlog.language.feet.late_feet import late_place, named_first, named_late, said_last
from fieldlog.language.numbers.shoes import shoe_slots
from fieldlog.language.plans.asks_nothing import talks
from fieldlog.language.plans.followups import far_off, implied, others_weeks
from fieldlog.language.plans.visits_apart import visits_apart
from fieldlog.language.told import Told
from fieldlog.language.values.kinds import Value
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import Line


def headless(told: Told, line: Line, loose: list[Mark], begin: int, end: int) -> None:
    """Words without a head: a foot, a time, a size, a shoe's particulars of what was told."""
    if (cut := narrowed(line, loose, (begin, end), told.tracker, told.facts)) is not None:
        told.facts, narrower = cut
        told.corrections.append(narrower)
        return
    if told.facts:
        told.facts = late_place(line, told.facts, loose, begin, end)
    _feet_alone(told, line, loose, begin, end)
    if apart := visits_apart(line, told.tracker, loose):
        told.facts += apart
        return
    if times := _times_alone(told, line, loose, begin, end):
        told.facts.append(implied(told.maker, times[0], times[0].start, times[0].end))
        told.facts += others_weeks(told.maker, times[1:])
        return
    sizes = [m.value for m in loose if m.kind == "size"]
    if sizes and told.facts and told.facts[-1].kind is FactKind.FINDING:
        _size_of_the_last(told, sizes[0], line.words[end - 1].end)
        return
    _slots_of_the_shoe(told, shoe_slots(line, loose))


def _feet_alone(told: Told, line: Line, loose: list[Mark], begin: int, end: int) -> None:
    """ "Thrush. Left hind." and "... that's the left front": the feet of what was told."""
    for mark in loose:
        if mark.kind != "foot" or "compared" in mark.tags:
            continue
        named = told.tracker.name(mark.code, line.text(mark))
        told.loose_foot = True
        if "closing" in mark.tags:
            late = [named_late(f, named, carried=True) for f in told.facts[told.closed :]]
            told.facts[told.closed :] = late
            told.closed = len(told.facts)
        elif said_last(line, begin, end) or named_first(told.facts, named):
            told.facts = [named_late(f, named) for f in told.facts]


def _times_alone(told: Told, line: Line, loose: list[Mark], begin: int, end: int) -> list[Mark]:
    """ "Six weeks.": the next visit, unless it is talk or far off; none if nothing is told."""
    times = [m for m in loose if m.kind == "time" and m.value.due.on != told.recorded]
    if not times or talks(line, loose, begin, end):
        return []
    due = times[0].value.due
    soon = (due.period or due.on) and not far_off(due, told.recorded)
    return times if soon else []


def _size_of_the_last(told: Told, size: Value, end: int) -> None:
    """ "Crack at the toe. Half an inch.": the finding's size, if it has none."""
    fact = told.facts[-1]
    if fact.quantity is None:
        kept = {"measure": size.measure} if size.measure else {}
        told.facts[-1] = replace(
            fact,
            quantity=size.quantity,
            span=(fact.span[0], end),
            details={**fact.details, **kept},
        )


def _slots_of_the_shoe(told: Told, slots: dict[str, str]) -> None:
    """ "New shoes. Six nails each.": particulars of the last shoe told of."""
    for at in range(len(told.facts) - 1, -1, -1) if slots else ():
        fact = told.facts[at]
        if fact.code in SHOES:
            told.facts[at] = replace(fact, details={**fact.details, **slots})
            return
