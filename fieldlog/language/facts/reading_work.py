"""Jobs: done today, or still to be done."""

from __future__ import annotations

from fieldlog.core.changed import changed
from fieldlog.core.facts import Due, Fact
from fieldlog.language.context.head_context import Context
from fieldlog.language.context.history import is_past
from fieldlog.language.facts.maker import FactMaker
from fieldlog.language.numbers.shoes import shoe_slots, sizes_apart
from fieldlog.language.senses.work_words import done_as_asked
from fieldlog.language.words.units_said import UnitSaid

SHOES = frozenset({"shoe", "reset", "bar_shoe", "egg_bar", "heart_bar", "glue_on",
                   "hospital_plate"})  # fmt: skip
_NOW = frozenset({"today", "now", "this morning", "this afternoon", "on time"})
BARE = frozenset({"pull", "shoe", "trim", "reset", "take", "drop", "lower", "add", "remove", "glue",
                  "roll", "shorten", "put", "set", "switch", "go", "do", "bring", "back", "raise",
                  "wedge", "pad"})  # fmt: skip
"""Verbs of work that may stand for what is still to be done."""


def as_work(maker: FactMaker, fact: Fact, unit: UnitSaid, context: Context) -> Fact:
    """A job: done, or still to be done."""
    details = dict(fact.details)
    verb = maker.line.norm(unit.head.start)
    sayings = unit.roles("vet_says", "owner_says")
    asked = {maker.line.norm(i) for m in sayings for i in m.covers()}
    if asked & {"wants", "wanted", "like"}:
        context.planned = True
    if context.planned and done_as_asked(maker.line, unit):
        context.planned = False
    asked_to = any(m.end == unit.head.start for m in unit.roles("plan"))
    both = verb in ("set", "put", "cut", "let", "shed") and asked_to
    planned = context.planned and (both or not is_past(verb))
    if unit.head.code == "leave_alone" and not (unit.of("time") or _till_then(maker, unit)):
        planned = False
    due = unit.when()
    if due is not None and due.spoken.startswith("every"):
        due = None
    if due is not None and not is_past(verb):
        planned = planned or due.anchor == "next_visit" or _to_come(maker, unit, due)
    details.update(shoe_slots(maker.line, unit.marks()))
    if len(fact.feet) > 2 and (apart := sizes_apart(maker.line, unit.marks())):
        details["size"] = apart
    return changed(
        fact,
        details=details,
        planned=planned,
        due=due if planned else None,
        places=() if fact.code in SHOES or fact.code == "pull" else fact.places,
        severity=None,
        historical=fact.historical and not planned,
    )


def _till_then(maker: FactMaker, unit: UnitSaid) -> bool:
    """ "I'd leave it be till the spring"."""
    end = unit.head.end
    return any(maker.line.norm(i) in ("till", "until", "til") for i in range(end, end + 4))


def _to_come(maker: FactMaker, unit: UnitSaid, due: Due) -> bool:
    """ "Pull the shoes in two weeks": a bare verb with a day or a period of its own."""
    mark = unit.of("time")[0]
    verb, first = maker.line.norm(unit.head.start), maker.line.norm(mark.start)
    # the preposition is not always part of the time
    first = maker.line.norm(mark.start - 1) if first.isdigit() or first == "the" else first
    led = {first, maker.line.norm(mark.start - 1)} & {"in", "on", "by", "before", "within"}
    apart = any(maker.line.break_at(i) for i in range(unit.head.end, mark.start))
    bare = verb in BARE
    return bool(bare and led and not apart and mark.start > unit.head.start
                and (due.period or due.on) and due.spoken.lower() not in _NOW)  # fmt: skip
