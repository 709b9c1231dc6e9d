"""One horse's part of a note: sentences, corrections and units turned into facts in order."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import date

from fieldlog.config import Settings
from fieldlog.core.facts import Comparison, Due, Fact, FactKind, Reporter, SpokenCorrection, Trend
from fieldlog.language.context.around import Context, read_context
from fieldlog.language.context.comparisons import with_values
from fieldlog.language.context.reporters import read_off_films
from fieldlog.language.corrections.corrector import Corrector
from fieldlog.language.corrections.it_is_not import taken_to_be, with_last_denied
from fieldlog.language.corrections.narrowed import narrowed
from fieldlog.language.corrections.spoken import plans as plans_of
from fieldlog.language.facts.copies import copied, denied, without_overruled
from fieldlog.language.facts.crack_names import named_again
from fieldlog.language.facts.merging import ask_two_values, merge_same
from fieldlog.language.facts.objects import owners_job, with_objects
from fieldlog.language.facts.reading import SHOES, FactMaker
from fieldlog.language.facts.second_foot import told_again
from fieldlog.language.facts.units_built import build_units
from fieldlog.language.facts.units_joined import Made, join
from fieldlog.language.feet.late_feet import (
    fill_back,
    graded_feet,
    late_place,
    named_first,
    named_late,
    said_last,
)
from fieldlog.language.feet.places_carried import carried_places
from fieldlog.language.feet.tracker import FootTracker
from fieldlog.language.lexicon import find_item
from fieldlog.language.numbers.shoes import shoe_slots
from fieldlog.language.plans.asks_nothing import other_event, rest_left, talks, vet_at_once
from fieldlog.language.plans.conditions import Condition, conditions
from fieldlog.language.plans.follow_up_made import make_follow_up
from fieldlog.language.plans.followups import (
    another_visit,
    far_off,
    follows_on,
    goes_on_planned,
    implied,
    is_purpose,
    leading_visit,
    others_weeks,
    otherwise_visit,
    same_person,
    same_time,
    share_due,
    time_of_work,
    told_to,
)
from fieldlog.language.plans.plans_led import done_later, foot_for_later, led_by_plan
from fieldlog.language.plans.visits_apart import visits_apart, with_other_visit
from fieldlog.language.values.before import with_size_before
from fieldlog.language.values.kinds import Value
from fieldlog.language.words.marks import Mark, in_order
from fieldlog.language.words.units_said import Line, UnitSaid

_OF_IT = frozenset({"it", "'s", "is", "that", "so", "and", ","})
_VISITS = ("trim", "shoe", "reset")
"""What a visit is for anyway."""


@dataclass(slots=True)
class Part:
    """What one part of the note says."""

    facts: list[Fact] = field(default_factory=list)
    corrections: list[SpokenCorrection] = field(default_factory=list)


@dataclass(slots=True)
class _Sentence:
    """The units of a sentence with what their words say of them, and the facts made so far."""

    units: list[UnitSaid]
    context: list[Context]
    hung: dict[int, Condition]
    """What a unit hangs on, by its number."""
    to_come: dict[int, Due | None]
    """Units that a plan leads, and when it is to be done."""
    made: Made = field(default_factory=list)


class PartReader:
    """Reads the words ``begin`` to ``end`` of a line as one horse's part."""

    def __init__(
        self,
        line: Line,
        settings: Settings,
        times: Callable[[str], Due | None],
        recorded: date,
    ) -> None:
        self.recorded = recorded
        self.line = line
        self.settings = settings
        self.times = times
        self.tracker = FootTracker()
        self.maker = FactMaker(line, self.tracker, settings)
        self.corrector = Corrector(line, self.tracker, times)
        self.facts: list[Fact] = []
        self.loose_foot = False
        self.closed = 0
        """Facts before this one have the foot that was named behind them."""

    def read(self, begin: int, end: int) -> Part:
        """All facts and corrections of the part."""
        plans = plans_of(self.line, begin, end)
        used = {id(m) for plan in plans for m in plan.used} | {id(p.mark) for p in plans}
        inner = [
            m
            for m in self.line.marks
            if begin <= m.start and m.end <= end and id(m) not in used and m.kind != "correction"
            and not any(p.mark.start <= m.start < p.end for p in plans)
        ]  # fmt: skip
        line = self.line.with_marks(inner)
        self.maker.line = line
        number = 0
        for low, high in line.sentences():
            low, high = max(low, begin), min(high, end)
            if low >= high:
                continue
            for plan in [p for p in plans if low <= p.mark.start < high]:
                self._segment(line, low, plan.mark.start, number)
                self.facts = self.corrector.apply(plan, self.facts, self.loose_foot)
                self.loose_foot = False
                low = max(plan.mark.end, plan.end)
                number += 1
            if low < high:
                number = self._unless_denied(line, low, high, number)
            number += 1
        placed = named_again(carried_places(self.facts, line))
        facts = with_values(read_off_films(merge_same(placed), line))
        return Part(ask_two_values(facts), self.corrector.log)

    # -- segments ---------------------------------------------------------------------------

    def _unless_denied(self, line: Line, begin: int, end: int, number: int) -> int:
        """Add the facts of words in which "it isn't" may deny what was told right before it.

        Returns:
            The number of the last stretch of words.
        """
        for at, after in taken_to_be(line, begin, end):
            self._segment(line, begin, at, number)
            self.facts, denied = with_last_denied(line, self.facts, at, after)
            self.corrector.log += denied
            begin, number = after, number + 1
        self._segment(line, begin, end, number)
        return number

    def _segment(self, line: Line, begin: int, end: int, number: int) -> None:
        """Add the facts of a sentence, or of what stands between two corrections."""
        if begin >= end:
            return
        self._implied_shoe(line, begin, end)
        units, loose = build_units(line, begin, end, number, bool(self.tracker.in_hand))
        units = with_objects(line, units)
        if not units:
            self._headless(line, loose, begin, end)
            return
        self.loose_foot = False
        sentence = _Sentence(
            units, read_context(line, units), conditions(line, units), led_by_plan(line, units)
        )
        for at in range(len(units)):
            self._tell(sentence, at)
        made = without_overruled(sentence.made)
        join(line, self.facts, made)
        share_due(line, made)
        fill_back(line, made, self.facts)
        graded_feet(made, self.facts)
        self.facts += [fact for _, fact in made]

    def _tell(self, sentence: _Sentence, at: int) -> None:
        """Add what one unit tells, or what it makes of the facts before."""
        unit, made = sentence.units[at], sentence.made
        if any(at in condition.inside for condition in sentence.hung.values()):
            first = leading_visit(self.maker, unit, supposed=True) if at == 0 else None
            if (instead := otherwise_visit(self.maker, unit) or first) is not None:
                made.append((unit, instead))
            return
        fact = self._fact(sentence, at)
        if fact is None:
            time_of_work(made, unit)
            return
        fact = self._behind_another(unit, fact, made)
        if fact is None or self._only_of_others(unit, fact, sentence.context[at], made):
            return
        self._add(at, unit, fact, made)

    def _fact(self, sentence: _Sentence, at: int) -> Fact | None:
        """The fact of a unit by itself; a job for the owner is a promise, not done."""
        line, unit, context = self.maker.line, sentence.units[at], sentence.context[at]
        asked = at > 0 and told_to(line, sentence.units[at - 1], unit)
        if unit.head.kind == "work" and owners_job(unit, asked):
            unit.head.kind, unit.head.code = "followup", "owner_care"
            unit.head.item = find_item("owner_care", "followup")
        if unit.head.kind == "followup":
            fact = self._follow_up(unit, context, sentence.hung.get(at))
        else:
            later = foot_for_later(line, unit)
            fact = self.maker.make(unit, context)
            if fact is not None and later is not None:
                left = done_later(fact, line, self.tracker, *later)
                sentence.made.append((unit, left))
                self.tracker.in_hand = fact.feet
        if fact is not None and at in sentence.to_come:
            due = fact.due or sentence.to_come[at]
            return replace(fact, planned=True, due=due, historical=False)
        return fact

    def _behind_another(self, unit: UnitSaid, fact: Fact, made: Made) -> Fact | None:
        """The fact as it goes on from the one before it in the sentence; None if that says it."""
        line = self.maker.line
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
        return same_time(made, self.facts, fact)

    def _only_of_others(self, unit: UnitSaid, fact: Fact, context: Context, made: Made) -> bool:
        """Whether a unit only says something of the facts before: a copy, a denial, a trend."""
        head = unit.head
        if head.kind == "change" and head.code.startswith("denied"):
            if made and self.maker.line.norm(head.start) == "not" and len(made[-1][1].feet) == 1:
                self.maker.tracker.in_hand = made[-1][1].feet  # "not the right": an aside
            copies = denied(self.maker.line, unit, fact, self.facts, made)
            made += [(unit, copy) for copy in copies]
            return True
        if "too" in head.tags and not unit.feet():
            return True
        if head.kind == "change" and head.code == "same" and self._same(unit, fact, context, made):
            return True
        if "too" in head.tags:
            return True
        return self._says_more(unit, fact, made) or self._one_of_them(unit, fact, made)

    def _same(self, unit: UnitSaid, fact: Fact, context: Context, made: Made) -> bool:
        """ "Same on the right": copies of what was said before; or nothing, if nothing was."""
        copies = copied(self.maker, unit, fact, self.facts, made, context.severity)
        if copies is not None or "does" in unit.head.tags:
            made += [(unit, copy) for copy in copies or ()]
            return True
        on = self.maker.line.norm(unit.head.end) in ("on", "in")
        return on and not unit.has("against_last") and not self.facts

    def _add(self, at: int, unit: UnitSaid, fact: Fact, made: Made) -> None:
        """Add a fact, and the visit or the second time that stands in its words."""
        line = self.maker.line
        if at == 0 and (visit := leading_visit(self.maker, unit)) is not None:
            made.append((unit, visit))
        fact, *before = with_size_before(line, unit, fact)
        one, *others = with_other_visit(line, self.tracker, fact, unit)
        made += [(unit, told) for told in (one, *before, *others)]
        if not others and (visit := another_visit(self.maker, unit)) is not None:
            made.append((unit, visit))
        self._stray_time(unit, fact, made)
        if (instead := otherwise_visit(self.maker, unit)) is not None:
            made.append((unit, instead))

    def _says_more(self, unit: UnitSaid, fact: Fact, made: Made) -> bool:
        """ "Better than last time." on its own speaks of the finding just before."""
        led = {self.maker.line.norm(i) for i in range(unit.start, unit.head.start)}
        tells = unit.head.kind == "change" or (unit.head.code == "better_shape" and led <= _OF_IT)
        if not tells or unit.feet() or unit.of("place"):
            return False
        if made:
            at, last = len(made) - 1, made[-1][1]
        elif self.facts:
            at = max((i for i, f in enumerate(self.facts) if f.code != "depth"), default=0)
            last = self.facts[at]
        else:
            return False
        if last.kind is not FactKind.FINDING or last.comparison is not None or last.negated:
            return False
        trend = fact.comparison or (
            Comparison(Trend.BETTER) if unit.head.code == "better" else None
        )
        told = replace(last, comparison=trend, span=(last.span[0], fact.span[1]))
        if fact.comparison is not None and fact.comparison.trend is Trend.GONE:
            told = replace(told, negated=True, uncertain=False, historical=False)
        if made:
            made[at] = (made[at][0], told)
        else:
            self.facts[at] = told
        return True

    def _one_of_them(self, unit: UnitSaid, fact: Fact, made: Made) -> bool:
        """ "Cracks on both fronts. Left one's growing out": one of its feet, or the mate."""
        if unit.head.kind != "change" or unit.head.code == "same" or not fact.feet:
            return False
        again = unit.head.code == "again"
        if not again and (fact.comparison is None or unit.of("place")):
            return False
        so_far = [*self.facts, *(f for _, f in made)]
        if apart := "apart" in unit.head.tags:
            fact = replace(fact, details=shoe_slots(self.maker.line, unit.marks()))
        found = told_again(fact, so_far, again and unit.head.value is None,
                           unit.has("against_last"), apart)  # fmt: skip
        if found is None:
            return again
        source, rest, one = found
        self.facts[:] = [g for f in self.facts if (g := rest if f is source else f) is not None]
        made[:] = [(u, g) for u, f in made if (g := rest if f is source else f) is not None]
        if one is not None:
            made.append((unit, one))
        return True

    def _follow_up(
        self, unit: UnitSaid, context: Context, condition: Condition | None
    ) -> Fact | None:
        """The follow-up of a unit, with the condition that it hangs on."""
        fact = make_follow_up(self.maker, unit, context, condition.words if condition else "")
        if fact is not None and fact.due is None and vet_at_once(self.maker.line, unit.head):
            fact = replace(fact, due=Due(on=self.recorded, spoken="now"))
        if fact is None or condition is None:
            return fact
        first, last = condition.span
        words = self.maker.line.words
        span = (
            min(fact.span[0], words[first].start),
            max(fact.span[1], words[max(first, last - 1)].end),
        )
        return replace(fact, due=fact.due or condition.due, span=span)

    def _stray_time(self, unit: UnitSaid, fact: Fact, made: Made) -> None:
        """A future time beside a finished job or a finding is the next visit."""
        if fact.kind is FactKind.FOLLOW_UP or fact.due is not None or fact.historical:
            return
        if fact.reporter is not Reporter.FARRIER:
            return
        for mark in unit.of("time"):
            due = mark.value.due
            if due.on == self.recorded:
                continue
            later = due.on and rest_left(self.maker.line, mark)
            if (other_event(self.maker.line, mark) and not later) or far_off(due, self.recorded):
                continue
            if later or (due.period and self.maker.line.norm(mark.start) != "for"):
                follow = implied(self.maker, mark, mark.start, mark.end)
                if mark.end == unit.head.start and unit.head.code in _VISITS:
                    made.pop()  # "In eight weeks trim" is what is to come, not what was done
                if due.spoken.lower().startswith("every"):
                    follow = replace(follow, code="cycle")
                made.append((unit, follow))
                return

    def _headless(self, line: Line, loose: list[Mark], begin: int, end: int) -> None:
        """Words without a head: a foot, a time, a size, a shoe's particulars of what was told."""
        if (cut := narrowed(line, loose, (begin, end), self.tracker, self.facts)) is not None:
            self.facts, told = cut
            self.corrector.log.append(told)
            return
        if self.facts:
            self.facts = late_place(line, self.facts, loose, begin, end)
        self._feet_alone(line, loose, begin, end)
        if apart := visits_apart(line, self.tracker, loose):
            self.facts += apart
            return
        if times := self._times_alone(line, loose, begin, end):
            self.facts.append(implied(self.maker, times[0], times[0].start, times[0].end))
            self.facts += others_weeks(self.maker, times[1:])
            return
        sizes = [m.value for m in loose if m.kind == "size"]
        if sizes and self.facts and self.facts[-1].kind is FactKind.FINDING:
            self._size_of_the_last(sizes[0], line.words[end - 1].end)
            return
        self._slots_of_the_shoe(shoe_slots(line, loose))

    def _feet_alone(self, line: Line, loose: list[Mark], begin: int, end: int) -> None:
        """ "Thrush. Left hind." and "... that's the left front": the feet of what was told."""
        for mark in loose:
            if mark.kind != "foot" or "compared" in mark.tags:
                continue
            named = self.tracker.name(mark.code, line.text(mark))
            self.loose_foot = True
            if "closing" in mark.tags:
                late = [named_late(f, named, carried=True) for f in self.facts[self.closed :]]
                self.facts[self.closed :] = late
                self.closed = len(self.facts)
            elif said_last(line, begin, end) or named_first(self.facts, named):
                self.facts = [named_late(f, named) for f in self.facts]

    def _times_alone(self, line: Line, loose: list[Mark], begin: int, end: int) -> list[Mark]:
        """ "Six weeks.": the next visit, unless it is talk or far off; none if nothing is told."""
        times = [m for m in loose if m.kind == "time" and m.value.due.on != self.recorded]
        if not times or talks(line, loose, begin, end):
            return []
        due = times[0].value.due
        told = (due.period or due.on) and not far_off(due, self.recorded)
        return times if told else []

    def _size_of_the_last(self, size: Value, end: int) -> None:
        """ "Crack at the toe. Half an inch.": the finding's size, if it has none."""
        fact = self.facts[-1]
        if fact.quantity is None:
            kept = {"measure": size.measure} if size.measure else {}
            self.facts[-1] = replace(
                fact,
                quantity=size.quantity,
                span=(fact.span[0], end),
                details={**fact.details, **kept},
            )

    def _slots_of_the_shoe(self, slots: dict[str, str]) -> None:
        """ "New shoes. Six nails each.": particulars of the last shoe told of."""
        for at in range(len(self.facts) - 1, -1, -1) if slots else ():
            fact = self.facts[at]
            if fact.code in SHOES:
                self.facts[at] = replace(fact, details={**fact.details, **slots})
                return

    def _implied_shoe(self, line: Line, begin: int, end: int) -> None:
        """ "Size twos in front": sizes with no job tell of a shoe."""
        marks = [m for m in line.marks if begin <= m.start < end]
        sizes = [m for m in marks if m.kind == "shoe_size"]
        if not sizes or any(m.kind == "work" and m.code in SHOES for m in marks):
            return
        if self.facts and self.facts[-1].code in SHOES and not any(m.kind == "foot" for m in marks):
            return
        for at, size in enumerate(sizes):
            stop = sizes[at + 1].start if at + 1 < len(sizes) else end
            begins = sizes[at - 1].end if at else begin
            if at and not any(m.kind == "foot" and begins <= m.start < stop for m in marks):
                continue
            head = Mark("work", "shoe", size.start, size.start, find_item("shoe", "work"))
            head.tags.add("implied")
            line.marks = in_order([*line.marks, head])
