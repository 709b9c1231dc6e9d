"""What the farrier takes back or changes while speaking; both sides are always kept.

A correction word alone does nothing: ``plan_for`` first looks at what follows ("make it" needs a
value, a time or a foot). Only then is the note cut there and the facts before it changed.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any

from fieldlog.core.facts import (
    Due,
    Fact,
    FactKind,
    FootBasis,
    Reading,
    SpokenCorrection,
)
from fieldlog.core.units import UNITS, Quantity, Unit
from fieldlog.language.corrected_late import (
    about_as_large,
    after_aside,
    is_told_behind,
    last_number,
    said_before,
    spoken_in,
    time_lately,
)
from fieldlog.language.lexicon import word_set
from fieldlog.language.marks import Mark
from fieldlog.language.shoe_words import shoe_size
from fieldlog.language.some_feet import is_the_fourth
from fieldlog.language.swaps import is_swap, swapped
from fieldlog.language.takes_back import (
    NUMBERS,
    about,
    after_reason,
    means,
    not_the,
    only_that,
    said_again,
    starts_afresh,
    told_to,
    turns_away,
    unsaid,
)
from fieldlog.language.tracker import FootTracker
from fieldlog.language.units_said import Line
from fieldlog.language.value_kinds import fits, likely_units

_SKIP = word_set("correction_links")
_NO_CORRECTION = frozenset({"than", "as", "what", "how", "where", "like", "when", "if", "since"})
"""Before "it was": a comparison, no correction."""
_WHILE = 22
"""Words between a time and the one that takes its place."""
_MOST_WEEKS = 16
_UNITS_OF_TIME = {Unit.WEEK: "weeks", Unit.DAY: "days", Unit.MONTH: "months"}
_PERIODS = {"D": "days", "W": "weeks", "M": "months", "Y": "years"}


def _unit_of(period: str) -> str:
    """The unit a period was said in: 38 days are five and a half weeks."""
    half = period.endswith("D") and int(period[1:-1]) % 7 == 4 and int(period[1:-1]) > 14
    return "weeks" if half else _PERIODS.get(period[-1], "weeks")


@dataclass(slots=True)
class Plan:
    """What a correction will do."""

    mark: Mark
    action: str
    """``scratch``, ``value``, ``time``, ``foot``, ``restore``, ``code`` or ``flip``."""
    new: Mark | None = None
    wrong: Mark | None = None
    """The foot after "not the"."""
    end: int = 0
    """One past the last word of the correction."""
    used: list[Mark] = field(default_factory=list)


def plan_for(line: Line, mark: Mark, earlier: Mark | None) -> Plan | None:
    """What ``mark`` does, or None if its words are ordinary speech here.

    Args:
        line: words and marks.
        mark: a correction mark (not one that opens or ends a horse).
        earlier: the correction planned directly before it, if it is adjacent.
    """
    if mark.code == "it_was" and line.norm(mark.start - 1) in _NO_CORRECTION:
        return None
    if mark.code == "scratch" and told_to(line, mark):
        return None
    if mark.code in _OF_TIMES:
        return _OF_TIMES[mark.code](line, mark)
    if mark.code == "flip":
        return Plan(mark, "flip", end=mark.end) if is_swap(line, mark) else None
    if mark.code == "restore":
        return _restore(line, mark)
    new = next(iter(_following(line, mark)), None)
    if new is not None and new.kind == "foot":
        return _foot_plan(line, mark, new, earlier is not None)
    if new is not None and mark.code != "it_was":
        if new.kind == "time":
            return Plan(mark, "time", new, end=new.end, used=[new])
        if new.kind in NUMBERS:
            if mark.code == "scratch" and starts_afresh(line, mark, new):
                return Plan(mark, "scratch", end=mark.end)
            return Plan(mark, "value", new, end=new.end, used=[new])
    if mark.code == "scratch":
        return _scratch(line, mark)
    if mark.code == "rather" and unsaid(line, mark):
        return Plan(mark, "scratch", end=mark.end)
    if (
        new is not None
        and new.kind == "finding"
        and mark.code in ("rather", "make_it", "it_was")
        and new.start - mark.end <= 2
        and (means(line, mark) or only_that(line, mark, new))
    ):
        return Plan(mark, "code", new, end=new.end, used=[new])
    return None


def _foot_plan(line: Line, mark: Mark, new: Mark, chained: bool) -> Plan | None:
    """ "No, the right", "scratch that, left hind": another foot, or words that begin afresh.

    Args:
        line: words and marks.
        mark: the correction.
        new: the foot that follows it.
        chained: another correction stands right before it.
    """
    if mark.code == "it_was" and is_the_fourth(line, new):
        return None
    wrong, end = not_the(line, new)
    ended = line.break_at(new.end) and not any(
        line.words[i].sort == "stop" for i in range(mark.end, new.start)
    )
    scratch = mark.code == "scratch"
    if scratch and not wrong and not ended and line.norm(new.start - 1) != "the":
        return Plan(mark, "scratch", end=mark.end)
    closes = _closes(line, mark, new, chained)
    if not closes and mark.code == "rather" and said_again(line, mark, new):
        return Plan(mark, "scratch", end=mark.end)
    if closes or wrong is not None:
        return Plan(mark, "foot", new, wrong, end, [new] + ([wrong] if wrong else []))
    return Plan(mark, "scratch", end=mark.end) if scratch else None


def _closes(line: Line, mark: Mark, new: Mark, chained: bool) -> bool:
    """Whether a foot behind a correction is all that is put right: "no, the right."."""
    after = line.norm(new.end)
    if line.break_at(new.end) or after in ("not", "", "and", "so"):
        return True
    if chained and (
        mark.code in ("scratch", "it_was")
        or turns_away(line, new)
        or any(m.kind == "foot" and m.start == new.end for m in line.marks)
    ):
        return True
    if mark.code == "rather" and after in ("i", "we"):
        return True
    return is_told_behind(line, new)


def _scratch(line: Line, mark: Mark) -> Plan | None:
    """ "Scratch that", "forget the crack", "scratch what I said about the thrush"."""
    if line.norm(mark.end - 1) == "the":
        thing = next((m for m in line.marks if m.start == mark.end), None)
        if thing is None or thing.kind not in ("finding", "work"):
            return None
    else:
        thing = about(line, mark)
    if thing is None:
        return Plan(mark, "scratch", end=mark.end)
    return Plan(mark, "restore", None, thing, thing.end, [thing])


def _nearer(line: Line, mark: Mark) -> Plan | None:
    """ "In a week, well, more like ten days": a time or a number right behind one of its kind."""
    old, new = said_before(line, mark), next(iter(_following(line, mark)), None)
    if old is None or new is None:
        return None
    if old.kind == "time" and (new.kind == "time" or _bare(new)):
        return Plan(mark, "time" if new.kind == "time" else "value", new, end=new.end, used=[new])
    if new.kind in NUMBERS and old.number is not None and about_as_large(old, new):
        return Plan(mark, "value", new, end=new.end, used=[new])
    return None


def _bare(mark: Mark) -> bool:
    """A number of which no unit is said: "six weeks, or more like seven"."""
    return mark.kind in NUMBERS and mark.number is not None and mark.number.unit is None


def _other_time(line: Line, mark: Mark) -> Plan | None:
    """ "Six weeks, I told her, so I'm coming on the seventh instead": of two times the last."""
    times = [m for m in line.marks if m.kind == "time" and m.end <= mark.start][-2:]
    if len(times) < 2 or mark.start - times[1].end > 1 or times[1].start - times[0].end > _WHILE:
        return None
    return Plan(mark, "time", times[1], end=mark.end, used=[times[1]])


def _go_for(line: Line, mark: Mark) -> Plan | None:
    """ "Five weeks. No wait, she's got the show, so let's go four"."""
    new = next(iter(_following(line, mark)), None)
    if new is None or time_lately(line, mark) is None:
        return None
    if new.kind == "time":
        return Plan(mark, "time", new, end=new.end, used=[new])
    closes = line.break_at(new.end) or line.norm(new.end) in _AFTER_WEEKS
    return Plan(mark, "value", new, end=new.end, used=[new]) if closes and _bare(new) else None


_AFTER_WEEKS = frozenset({"", "then", "that", "so", "and", "not", "instead", "this", "again", "for",
                          "because", "since", "till", "until"})  # fmt: skip
_OF_TIMES = {"nearer": _nearer, "instead": _other_time, "go_for": _go_for}


def plans(line: Line, begin: int = 0, end: int | None = None) -> list[Plan]:
    """The corrections of a stretch of words that do something, in order."""
    stop = len(line.words) if end is None else end
    out: list[Plan] = []
    for mark in line.marks:
        if mark.kind != "correction" or mark.code in ("new_horse", "end_horse"):
            continue
        if not (begin <= mark.start and mark.end <= stop):
            continue
        if out and mark.start < out[-1].end:
            continue
        near = out[-1].mark if out and mark.start - out[-1].end <= 3 else None
        plan = plan_for(line, mark, near)
        if plan is not None:
            plan.end = min(max(plan.end, mark.end), stop)
            out.append(plan)
    return out


def _following(line: Line, mark: Mark) -> list[Mark]:
    """Marks right after the correcting words, over commas, pauses and small words."""
    at = mark.end
    out: list[Mark] = []
    by_start = {m.start: m for m in line.marks}
    steps = 0
    while at < len(line.words) and steps < 7:
        hit = by_start.get(at)
        if hit is not None and hit.kind == "correction":
            at, steps = hit.end, steps + 1
            continue
        if (
            hit is not None
            and hit.kind == "foot"
            and "not"
            in (
                line.norm(at - 1),
                line.norm(at - 2),
            )
        ):
            at, steps = hit.end, steps + 1
            continue
        if hit is not None and hit.kind in (*NUMBERS, "foot", "time", "finding"):
            out.append(hit)
            return out
        word = line.words[at]
        glue = hit is not None and hit.kind == "role"
        if word.sort in ("comma", "pause") or word.norm in _SKIP:
            at, steps = at + 1, steps + 1
            continue
        if word.sort == "stop" and mark.code == "scratch":
            at, steps = at + 1, steps + 1
            continue
        if word.sort == "stop" and mark.code == "rather":
            return after_reason(line, at)  # "New shoes on the fronts. No. Hinds."
        if glue and hit is not None and hit.code in ("unsure_before", "mild", "adverb", "copula"):
            at, steps = hit.end, steps + 1
            continue
        return after_reason(line, at) if mark.code == "scratch" else after_aside(line, mark)
    return out


def _restore(line: Line, mark: Mark) -> Plan | None:
    inside = [
        m
        for m in line.marks
        if m.kind in ("finding", "work") and mark.start <= m.start < mark.end + 1
    ]
    after = [
        m
        for m in line.marks
        if m.kind in ("finding", "work", "value") and mark.end <= m.start <= mark.end + 12
    ]
    words = " ".join(w.norm for w in line.words[mark.start : mark.end + 14])
    meant = "meant" in words
    if not inside and not meant:
        return None
    wrong = after[0] if after and meant else None
    keep = inside[0] if inside else None
    if keep is None and wrong is None:
        return None
    end = wrong.end if wrong else mark.end
    return Plan(mark, "restore", keep, wrong, end, [m for m in (keep, wrong) if m])


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
        return self._restored(plan, facts)

    def _note(
        self, plan: Plan, kind: str, before: tuple[Fact, ...], after: tuple[Fact, ...]
    ) -> None:
        words = self.line.words
        span = (words[plan.mark.start].start, words[max(plan.end, plan.mark.end) - 1].end)
        self.log.append(SpokenCorrection(span, kind, before, after))

    def _scratch(self, plan: Plan, facts: list[Fact], loose_foot: bool, whole: bool) -> list[Fact]:
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
        if plan.new is None:
            return facts
        if loose_foot:
            self.tracker.name(plan.new.code, self.line.text(plan.new))
            self._note(plan, "move_foot", (), ())
            return facts
        holders = [f for f in facts if f.feet]
        if not holders:
            self.tracker.name(plan.new.code, self.line.text(plan.new))
            self._note(plan, "move_foot", (), ())
            return facts
        last = holders[-1].feet
        found = self.tracker.name(plan.new.code, self.line.text(plan.new))
        self.tracker.ailing = ()
        if not found.feet:
            return facts
        out: list[Fact] = []
        before: list[Fact] = []
        after: list[Fact] = []
        moving = True
        for fact in reversed(facts):
            if moving and fact.feet == last:
                moved = replace(
                    fact,
                    feet=found.feet,
                    foot_basis=FootBasis.SAID,
                    why_foot=f"Moved by the spoken correction “{self.line.text(plan.new)}”.",
                )
                before.append(fact)
                after.append(moved)
                out.append(moved)
                continue
            if fact.feet:
                moving = False
            out.append(fact)
        self._note(plan, "move_foot", tuple(reversed(before)), tuple(reversed(after)))
        return list(reversed(out))

    def _flip(self, plan: Plan, facts: list[Fact]) -> list[Fact]:
        new = swapped(facts)
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
        dated = [at for at, fact in enumerate(facts) if fact.due is not None and due is not None]
        if dated:
            # what the rules told before what a network alone heard
            at = max(dated, key=lambda at: (not facts[at].only_heard, at))
            return self._swap(plan, facts, at, replace(facts[at], due=due), "replace_value")
        if due is None:
            return facts
        words = self.line.words
        span = (words[plan.mark.start].start, words[plan.end - 1].end)
        alone = Fact(
            kind=FactKind.FOLLOW_UP,
            code="next_trim",
            details={"who": "farrier"},
            due=due,
            span=span,
            rule="time:alone",
        )
        return [*facts, alone]

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
