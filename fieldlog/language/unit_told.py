"""What one unit of a sentence tells: a fact of its own, or something of the facts before."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from fieldlog.core.facts import Comparison, Due, Fact, FactKind, Reporter, Trend
from fieldlog.language.context.head_context import Context
from fieldlog.language.facts.copies import copied, denied
from fieldlog.language.facts.objects import owners_job
from fieldlog.language.facts.reading import make_fact
from fieldlog.language.facts.second_foot import told_again
from fieldlog.language.facts.units_joined import Made
from fieldlog.language.lexicon import find_item
from fieldlog.language.numbers.shoes import shoe_slots
from fieldlog.language.plans.asks_nothing import other_event, rest_left, vet_at_once
from fieldlog.language.plans.conditions import Condition
from fieldlog.language.plans.follow_up_made import make_follow_up
from fieldlog.language.plans.followups import (
    another_visit,
    far_off,
    follows_on,
    goes_on_planned,
    implied,
    is_purpose,
    leading_visit,
    otherwise_visit,
    same_person,
    same_time,
    time_of_work,
    told_to,
    will_do,
)
from fieldlog.language.plans.plans_led import done_later, foot_for_later
from fieldlog.language.plans.visits_apart import with_other_visit
from fieldlog.language.told import Told
from fieldlog.language.values.before import with_size_before
from fieldlog.language.words.units_said import UnitSaid

_OF_IT = frozenset({"it", "'s", "is", "that", "so", "and", ","})
_VISITS = ("trim", "shoe", "reset")
"""What a visit is for anyway."""


@dataclass(slots=True)
class SentenceUnits:
    """The units of a sentence with what their words say of them, and the facts made so far."""

    units: list[UnitSaid]
    context: list[Context]
    hung: dict[int, Condition]
    """What a unit hangs on, by its number."""
    to_come: dict[int, Due | None]
    """Units that a plan leads, and when it is to be done."""
    made: Made = field(default_factory=list)


def tell_unit(told: Told, sentence: SentenceUnits, at: int) -> None:
    """Add what one unit tells, or what it makes of the facts before."""
    unit, made = sentence.units[at], sentence.made
    if any(at in condition.inside for condition in sentence.hung.values()):
        first = leading_visit(told.maker, unit, supposed=True) if at == 0 else None
        if (instead := otherwise_visit(told.maker, unit) or first) is not None:
            made.append((unit, instead))
        return
    fact = _fact(told, sentence, at)
    if fact is None:
        time_of_work(made, unit)
        return
    fact = _behind_another(told, unit, fact, made)
    if fact is None or _only_of_others(told, unit, fact, sentence.context[at], made):
        return
    _add(told, at, unit, fact, made)


def _fact(told: Told, sentence: SentenceUnits, at: int) -> Fact | None:
    """The fact of a unit by itself; a job for the owner is a promise, not done."""
    line, unit, context = told.maker.line, sentence.units[at], sentence.context[at]
    asked = at > 0 and told_to(line, sentence.units[at - 1], unit)
    if unit.head.kind == "work" and owners_job(unit, asked):
        unit.head.kind, unit.head.code = "followup", "owner_care"
        unit.head.item = find_item("owner_care", "followup")
    if unit.head.kind == "followup":
        fact = _follow_up(told, unit, context, sentence.hung.get(at))
    else:
        later = foot_for_later(line, unit)
        fact = make_fact(told.maker, unit, context)
        if fact is not None and later is not None:
            left = done_later(fact, line, told.tracker, *later)
            sentence.made.append((unit, left))
            told.tracker.in_hand = fact.feet
    if fact is not None and at in sentence.to_come:
        due = fact.due or sentence.to_come[at]
        return replace(fact, planned=True, due=due, historical=False)
    return fact


def _behind_another(told: Told, unit: UnitSaid, fact: Fact, made: Made) -> Fact | None:
    """The fact as it goes on from the one before it in the sentence; None if that says it."""
    line = told.maker.line
    if fact.kind is FactKind.WORK and made and is_purpose(line, made[-1], unit):
        if fact.code in _VISITS:
            if unit.feet():
                made[-1] = (made[-1][0], made[-1][1].on_feet_of(fact))
            return None
        fact = replace(fact, planned=True, due=made[-1][1].due)
    if fact.kind is FactKind.WORK and made and goes_on_planned(line, made[-1], unit):
        return replace(fact, planned=True)
    if fact.kind is not FactKind.FOLLOW_UP:
        return fact
    if made:
        going_on = follows_on(line, made, unit, same_person(line, made[-1], unit, fact))
        if going_on is None:
            return None
        fact = going_on
    return same_time(made, told.facts, fact)


def _only_of_others(told: Told, unit: UnitSaid, fact: Fact, context: Context, made: Made) -> bool:
    """Whether a unit only says something of the facts before: a copy, a denial, a trend."""
    head = unit.head
    if head.kind == "change" and head.code.startswith("denied"):
        if made and told.maker.line.norm(head.start) == "not" and len(made[-1][1].feet) == 1:
            told.maker.tracker.in_hand = made[-1][1].feet  # "not the right": an aside
        copies = denied(told.maker.line, unit, fact, told.facts, made)
        made += [(unit, copy) for copy in copies]
        return True
    if "too" in head.tags and not unit.feet():
        return True
    if head.kind == "change" and head.code == "same" and _same(told, unit, fact, context, made):
        return True
    if "too" in head.tags:
        return True
    return _says_more(told, unit, fact, made) or _one_of_them(told, unit, fact, made)


def _same(told: Told, unit: UnitSaid, fact: Fact, context: Context, made: Made) -> bool:
    """ "Same on the right": copies of what was said before; or nothing, if nothing was."""
    copies = copied(told.maker, unit, fact, told.facts, made, context.severity)
    if copies is not None or "does" in unit.head.tags:
        made += [(unit, copy) for copy in copies or ()]
        return True
    on = told.maker.line.norm(unit.head.end) in ("on", "in")
    return on and not unit.has("against_last") and not told.facts


def _add(told: Told, at: int, unit: UnitSaid, fact: Fact, made: Made) -> None:
    """Add a fact, and the visit or the second time that stands in its words."""
    line = told.maker.line
    if at == 0 and (visit := leading_visit(told.maker, unit)) is not None:
        made.append((unit, visit))
    fact, *before = with_size_before(line, unit, fact)
    one, *others = with_other_visit(line, told.tracker, fact, unit)
    made += [(unit, each) for each in (one, *before, *others)]
    if not others and (visit := another_visit(told.maker, unit)) is not None:
        made.append((unit, visit))
    if fact.kind is FactKind.FOLLOW_UP and (own := will_do(line, unit)) is not None:
        made.append((unit, implied(told.maker, own, own.start, own.end)))
    _stray_time(told, unit, fact, made)
    if (instead := otherwise_visit(told.maker, unit)) is not None:
        made.append((unit, instead))


def _says_more(told: Told, unit: UnitSaid, fact: Fact, made: Made) -> bool:
    """ "Better than last time." on its own speaks of the finding just before."""
    led = {told.maker.line.norm(i) for i in range(unit.start, unit.head.start)}
    tells = unit.head.kind == "change" or (unit.head.code == "better_shape" and led <= _OF_IT)
    if not tells or unit.feet() or unit.of("place"):
        return False
    if made:
        at, last = len(made) - 1, made[-1][1]
    elif told.facts:
        at = max((i for i, f in enumerate(told.facts) if f.code != "depth"), default=0)
        last = told.facts[at]
    else:
        return False
    if last.kind is not FactKind.FINDING or last.comparison is not None or last.negated:
        return False
    trend = fact.comparison or (Comparison(Trend.BETTER) if unit.head.code == "better" else None)
    better = replace(last, comparison=trend, span=(last.span[0], fact.span[1]))
    if fact.comparison is not None and fact.comparison.trend is Trend.GONE:
        better = replace(better, negated=True, uncertain=False, historical=False)
    if made:
        made[at] = (made[at][0], better)
    else:
        told.facts[at] = better
    return True


def _one_of_them(told: Told, unit: UnitSaid, fact: Fact, made: Made) -> bool:
    """ "Cracks on both fronts. Left one's growing out": one of its feet, or the mate."""
    if unit.head.kind != "change" or unit.head.code == "same" or not fact.feet:
        return False
    again = unit.head.code == "again"
    if not again and (fact.comparison is None or unit.of("place")):
        return False
    so_far = [*told.facts, *(f for _, f in made)]
    if apart := "apart" in unit.head.tags:
        fact = replace(fact, details=shoe_slots(told.maker.line, unit.marks()))
    found = told_again(fact, so_far, again and unit.head.value is None,
                       unit.has("against_last"), apart)  # fmt: skip
    if found is None:
        return again
    source, rest, one = found
    told.facts[:] = [g for f in told.facts if (g := rest if f is source else f) is not None]
    made[:] = [(u, g) for u, f in made if (g := rest if f is source else f) is not None]
    if one is not None:
        made.append((unit, one))
    return True


def _follow_up(
    told: Told, unit: UnitSaid, context: Context, condition: Condition | None
) -> Fact | None:
    """The follow-up of a unit, with the condition that it hangs on."""
    fact = make_follow_up(told.maker, unit, context, condition.words if condition else "")
    if fact is not None and fact.due is None and vet_at_once(told.maker.line, unit.head):
        fact = replace(fact, due=Due(on=told.recorded, spoken="now"))
    if fact is None or condition is None:
        return fact
    first, last = condition.span
    words = told.maker.line.words
    span = (
        min(fact.span[0], words[first].start),
        max(fact.span[1], words[max(first, last - 1)].end),
    )
    return replace(fact, due=fact.due or condition.due, span=span)


def _stray_time(told: Told, unit: UnitSaid, fact: Fact, made: Made) -> None:
    """A future time beside a finished job or a finding is the next visit."""
    if fact.kind is FactKind.FOLLOW_UP or fact.due is not None or fact.historical:
        return
    if fact.reporter is not Reporter.FARRIER:
        return
    for mark in unit.of("time"):
        due = mark.value.due
        if due.on == told.recorded:
            continue
        later = due.on and rest_left(told.maker.line, mark)
        if (other_event(told.maker.line, mark) and not later) or far_off(due, told.recorded):
            continue
        if later or (due.period and told.maker.line.norm(mark.start) != "for"):
            follow = implied(told.maker, mark, mark.start, mark.end)
            if mark.end == unit.head.start and unit.head.code in _VISITS:
                made.pop()  # "In eight weeks trim" is what is to come, not what was done
            if due.spoken.lower().startswith("every"):
                follow = replace(follow, code="cycle")
            made.append((unit, follow))
            return
