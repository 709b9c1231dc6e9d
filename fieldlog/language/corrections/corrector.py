"""Corrections applied: what the farrier took back or changed is put right in the facts so far."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from fieldlog.core.facts import (
    Due,
    Fact,
    FactKind,
    FootBasis,
    Reading,
    SpokenCorrection,
)
from fieldlog.core.feet import Foot
from fieldlog.core.units import UNITS, Quantity, Unit
from fieldlog.language.corrections.corrected_late import (
    last_number,
    spoken_in,
)
from fieldlog.language.corrections.spoken import Plan
from fieldlog.language.corrections.swaps import swapped
from fieldlog.language.corrections.takes_back import denies_the_foot
from fieldlog.language.feet.tracker import FootTracker
from fieldlog.language.numbers.shoes import shoe_size
from fieldlog.language.values.kinds import fits, likely_units
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import Line

_MOST_WEEKS = 16
_UNITS_OF_TIME = {Unit.WEEK: "weeks", Unit.DAY: "days", Unit.MONTH: "months"}
_PERIODS = {"D": "days", "W": "weeks", "M": "months", "Y": "years"}


def _unit_of(period: str) -> str:
    """The unit a period was said in: 38 days are five and a half weeks."""
    half = period.endswith("D") and int(period[1:-1]) % 7 == 4 and int(period[1:-1]) > 14
    return "weeks" if half else _PERIODS.get(period[-1], "weeks")


def _may_be(fact: Fact, span: Any) -> bool:
    """Whether a number may be of what the fact measures, in any unit of it."""
    return any(fits(fact.code, span.value, unit) for unit in likely_units(fact.code, span.value))


def _may_replace(fact: Fact, old: Quantity, span: Any) -> bool:
    """Not "a thousand and forty pounds, call it a five and a half on condition"."""
    if span.unit is not None:
        return UNITS[span.unit].dimension is UNITS[old.unit].dimension
    return fact.kind is not FactKind.MEASUREMENT or _may_be(fact, span)


def _with_value(fact: Fact, old: Quantity, span: Any) -> Fact:
    """The fact with another number; the one said first stays as a reading."""
    inferred = span.unit is None and (
        old.unit_inferred or not fits(fact.code, span.value, old.unit)
    )
    quantity = replace(
        old,
        value=span.value,
        high=span.high,
        unit=span.unit or old.unit,
        unit_inferred=inferred,
        approximate=bool(span.approximate) or (old.approximate and bool(old.qualifier)),
        qualifier=span.qualifier or "",
        spoken=span.spoken or "",
    )
    earlier = Reading(f"{old.shown()} (said first)", {"quantity": fact.to_dict()["quantity"]})
    return replace(fact, quantity=quantity, readings=(*fact.readings, earlier))


def _last_on(facts: list[Fact], feet: tuple[Foot, ...]) -> list[Fact]:
    """The facts on these feet since the last one on other feet, in order."""
    out: list[Fact] = []
    for fact in reversed(facts):
        if fact.feet == feet:
            out.insert(0, fact)
        elif fact.feet:
            break
    return out


class Corrector:
    """Applies plans to the facts said so far."""

    def __init__(
        self,
        line: Line,
        tracker: FootTracker,
        times: Callable[[str], Due | None],
    ) -> None:
        self.line = line
        self.tracker = tracker
        self.times = times
        self.log: list[SpokenCorrection] = []
        self.removed: list[Fact] = []

    def apply(self, plan: Plan, facts: list[Fact], loose_foot: bool) -> list[Fact]:
        """The facts after the correction.

        Args:
            plan: what to do.
            facts: facts so far, in order.
            loose_foot: a foot was named just before and no fact made of it yet.
        """
        if plan.action == "scratch":
            whole = "all that" in self.line.text(plan.mark)
            return self._scratch(plan, facts, loose_foot, whole)
        if plan.action == "foot":
            return self._foot(plan, facts, loose_foot)
        if plan.action == "value":
            return self._value(plan, facts)
        if plan.action == "time":
            return self._time(plan, facts, plan.new.value.due if plan.new else None)
        if plan.action == "code":
            return self._code(plan, facts)
        if plan.action == "flip":
            return self._flip(plan, facts)
        if plan.action == "undeny":
            return self._undeny(plan, facts)
        if plan.action in ("weeks", "unheard"):
            return self._weeks(plan, facts)
        return self._restored(plan, facts)

    def _note(
        self, plan: Plan, kind: str, before: tuple[Fact, ...], after: tuple[Fact, ...]
    ) -> None:
        words = self.line.words
        span = (words[plan.mark.start].start, words[max(plan.end, plan.mark.end) - 1].end)
        self.log.append(SpokenCorrection(span, kind, before, after))

    def _scratch(self, plan: Plan, facts: list[Fact], loose_foot: bool, whole: bool) -> list[Fact]:
        """ "Scratch that": the last fact goes, or all of its feet."""
        if loose_foot or not facts:
            self._note(plan, "scratch", (), ())
            return facts
        gone = facts[-1:]
        if whole:
            gone = [f for f in facts if f.feet == facts[-1].feet]
        self.removed += gone
        self._note(plan, "scratch", tuple(gone), ())
        return [f for f in facts if f not in gone]

    def _foot(self, plan: Plan, facts: list[Fact], loose_foot: bool) -> list[Fact]:
        """ "Left front. No, the right": the last feet's facts move to the foot that is meant."""
        if plan.new is None:
            return facts
        wrong = self._told_of_wrong(plan, facts)
        holders = wrong or [f for f in facts if f.feet]
        found = self.tracker.name(plan.new.code, self.line.text(plan.new))
        if (loose_foot and not wrong) or not holders:
            self._note(plan, "move_foot", (), ())
            return facts
        self.tracker.ailing = ()
        if not found.feet:
            return facts
        moved = wrong or _last_on(facts, holders[-1].feet)
        why = f"Moved by the spoken correction “{self.line.text(plan.new)}”."
        new = {
            id(f): replace(
                f, feet=found.feet, foot_basis=FootBasis.SAID, why_foot=why,
                negated=f.negated and not denies_the_foot(self.line, plan.mark),
            )
            for f in moved
        }  # fmt: skip
        self._note(plan, "move_foot", tuple(moved), tuple(new.values()))
        there = {(f.code, f.feet) for f in new.values() if not f.negated}
        return [
            new.get(id(f), f)
            for f in facts
            if id(f) in new or not (f.negated and (f.code, f.feet) in there)
        ]

    def _told_of_wrong(self, plan: Plan, facts: list[Fact]) -> list[Fact]:
        """ "Scratch the near fore, that's the off": the facts of the foot that is not meant."""
        if plan.wrong is None or plan.mark.code != "scratch":
            return []
        feet = self.tracker.name(plan.wrong.code, self.line.text(plan.wrong)).feet
        return [f for f in facts if f.feet and f.feet == feet and not f.negated]

    def _undeny(self, plan: Plan, facts: list[Fact]) -> list[Fact]:
        """ "Leave out the no blood": the last denial of it is none."""
        for at in range(len(facts) - 1, -1, -1):
            fact = facts[at]
            if plan.new is not None and fact.negated and fact.code == plan.new.code:
                return self._swap(plan, facts, at, replace(fact, negated=False), "replace_word")
        return facts

    def _weeks(self, plan: Plan, facts: list[Fact]) -> list[Fact]:
        """ "(Ten weeks is silly.) Six.": the next visit, in so many weeks."""
        if plan.new is None or plan.new.number is None:
            return facts
        due = self.times(f"in {plan.new.number.value:g} weeks")
        return [*facts, self._alone(plan, due)] if due is not None else facts

    def _flip(self, plan: Plan, facts: list[Fact]) -> list[Fact]:
        new = swapped(facts)
        for foot in [m for m in plan.used if m.kind == "foot"]:
            self.tracker.name(foot.code, self.line.text(foot))  # named last, it is in hand
        before = tuple(f for f in facts if f.id in new)
        self._note(plan, "move_foot", before, tuple(new[f.id] for f in before))
        return [new.get(f.id, f) for f in facts]

    def _value(self, plan: Plan, facts: list[Fact]) -> list[Fact]:
        """ "Three and a half, no, three and a quarter": of the last fact that has such a number."""
        if plan.new is None or plan.new.number is None:
            return facts
        for at in range(len(facts) - 1, -1, -1):
            changed = self._value_of(plan, plan.new, facts, at)
            if changed is not None:
                return changed
        return self._weeks_said_so(plan, facts, plan.new.number)

    def _value_of(self, plan: Plan, new: Mark, facts: list[Fact], at: int) -> list[Fact] | None:
        """The facts with the number put into one of them; None if it is of one before that."""
        fact, span = facts[at], new.number
        if fact.kind is FactKind.FOLLOW_UP and fact.due is not None and fact.due.period:
            if span.unit not in (None, *_UNITS_OF_TIME):
                return None
            unit = _UNITS_OF_TIME.get(span.unit, _unit_of(fact.due.period))
            return self._time(plan, facts, self.times(f"in {span.value:g} {unit}"))
        if new.kind == "nail":
            key, _, text = new.code.partition(":")
            if key not in fact.details:
                return None
            changed = replace(fact, details={**fact.details, key: text})
        elif "size" in fact.details and new.kind in ("shoe_size", "count"):
            changed = replace(fact, details={**fact.details, "size": shoe_size(new)})
        elif fact.quantity is None:
            return None
        else:
            said = last_number(self.line, plan.mark)
            other = said is not None and said.number.value != fact.quantity.value
            if fact.kind is FactKind.WORK and other:
                return facts  # "heels down a quarter, set it all back a half, no, an eighth"
            if not _may_replace(fact, fact.quantity, span):
                return None
            changed = _with_value(fact, fact.quantity, span)
        return self._swap(plan, facts, at, changed, "replace_value")

    def _weeks_said_so(self, plan: Plan, facts: list[Fact], span: Any) -> list[Fact]:
        """ "I said five weeks for Bramble. Make that six": of what was no promise yet."""
        if span.unit is not None or not 1 <= span.value <= _MOST_WEEKS:
            return facts
        unit = spoken_in(self.line, plan.mark)
        if not unit:
            return facts
        due = self.times(f"in {span.value:g} {unit}")
        for at, fact in enumerate(facts):
            if fact.code == "next_trim" and fact.due is None:
                return self._swap(plan, facts, at, replace(fact, due=due), "replace_value")
        return self._time(plan, facts, due)

    def _time(self, plan: Plan, facts: list[Fact], due: Due | None) -> list[Fact]:
        """ "Make that five weeks": the last promise has another time."""
        dated = [at for at, fact in enumerate(facts) if fact.due is not None and due is not None]
        if dated:
            # what the rules told before what a network alone heard
            at = max(dated, key=lambda at: (not facts[at].only_heard, at))
            return self._swap(plan, facts, at, replace(facts[at], due=due), "replace_value")
        if due is None:
            return facts
        return [*facts, self._alone(plan, due)]

    def _alone(self, plan: Plan, due: Due) -> Fact:
        """A bare time is the next visit."""
        words = self.line.words
        span = (words[plan.mark.start].start, words[plan.end - 1].end)
        return Fact(
            kind=FactKind.FOLLOW_UP,
            code="next_trim",
            details={"who": "farrier"},
            due=due,
            span=span,
            rule="time:alone",
        )

    def _code(self, plan: Plan, facts: list[Fact]) -> list[Fact]:
        for at in range(len(facts) - 1, -1, -1):
            fact = facts[at]
            if fact.kind is FactKind.FINDING and plan.new is not None:
                changed = replace(fact, code=plan.new.code, rule=f"lexicon:{plan.new.code}")
                return self._swap(plan, facts, at, changed, "replace_word")
        return facts

    def _swap(self, plan: Plan, facts: list[Fact], at: int, changed: Fact, kind: str) -> list[Fact]:
        self._note(plan, kind, (facts[at],), (changed,))
        return [*facts[:at], changed, *facts[at + 1 :]]

    def _restored(self, plan: Plan, facts: list[Fact]) -> list[Fact]:
        """What was taken back stands again; what was meant instead goes."""
        out = list(facts)
        back: list[Fact] = []
        gone: list[Fact] = []
        if plan.new is not None:
            back = [f for f in self.removed if f.code == plan.new.code][-1:]
            out += back
        if plan.wrong is not None:
            gone = [f for f in out if f.code == plan.wrong.code or plan.wrong.code in f.code][-1:]
            out = [f for f in out if f not in gone]
        self._note(plan, "restore", tuple(gone), tuple(back))
        return out
