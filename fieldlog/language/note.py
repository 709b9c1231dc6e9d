"""One horse's part of a note: sentences, corrections and units turned into facts in order."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import date

from fieldlog.config import Settings
from fieldlog.core.facts import (
    Comparison,
    Due,
    Fact,
    FactKind,
    FootBasis,
    Reporter,
    SpokenCorrection,
    Trend,
)
from fieldlog.language.asks_nothing import other_event, rest_left, talks, vet_at_once
from fieldlog.language.comparisons import with_values
from fieldlog.language.conditions import Condition, conditions
from fieldlog.language.context import Context, read_context
from fieldlog.language.copies import copied, denied, without_overruled
from fieldlog.language.corrections import Corrector
from fieldlog.language.corrections import plans as plans_of
from fieldlog.language.followups import (
    another_visit,
    far_off,
    follows_on,
    goes_on_planned,
    implied,
    is_purpose,
    leading_visit,
    make_follow_up,
    others_weeks,
    otherwise_visit,
    same_person,
    same_time,
    share_due,
    time_of_work,
    told_to,
)
from fieldlog.language.late_feet import (
    fill_back,
    graded_feet,
    late_place,
    named_first,
    named_late,
    said_last,
)
from fieldlog.language.lexicon import find_item
from fieldlog.language.marks import Mark
from fieldlog.language.merging import ask_two_values, merge_same
from fieldlog.language.narrowed import narrowed
from fieldlog.language.objects import only_sizes, owners_job, with_objects
from fieldlog.language.places_carried import carried_places
from fieldlog.language.plans_led import done_later, foot_for_later, led_by_plan
from fieldlog.language.reading import SHOES, FactMaker
from fieldlog.language.reporters import read_off_films
from fieldlog.language.second_foot import told_again
from fieldlog.language.shoe_words import shoe_slots
from fieldlog.language.sizes_before import with_size_before
from fieldlog.language.tracker import FootTracker
from fieldlog.language.units_built import build_units
from fieldlog.language.units_said import Line, UnitSaid
from fieldlog.language.visits_apart import visits_apart, with_other_visit

_OF_IT = frozenset({"it", "'s", "is", "that", "so", "and", ","})


@dataclass(slots=True)
class Part:
    """What one part of the note says."""

    facts: list[Fact] = field(default_factory=list)
    corrections: list[SpokenCorrection] = field(default_factory=list)


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
        line = Line(self.line.words, inner)
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
                self._segment(line, low, high, number)
            number += 1
        placed = carried_places(self.facts, line)
        facts = with_values(read_off_films(merge_same(placed), line))
        return Part(ask_two_values(facts), self.corrector.log)

    # -- segments ---------------------------------------------------------------------------

    def _segment(self, line: Line, begin: int, end: int, number: int) -> None:
        if begin >= end:
            return
        self._implied_shoe(line, begin, end)
        units, loose = build_units(line, begin, end, number, bool(self.tracker.in_hand))
        units = with_objects(line, units)
        if not units:
            self._headless(line, loose, begin, end)
            return
        self.loose_foot = False
        found = read_context(line, units)
        hung = conditions(line, units)
        to_come = led_by_plan(line, units)
        made: list[tuple[UnitSaid, Fact]] = []
        for at, (unit, context) in enumerate(zip(units, found, strict=True)):
            if any(at in condition.inside for condition in hung.values()):
                first = leading_visit(self.maker, unit, supposed=True) if at == 0 else None
                if (instead := otherwise_visit(self.maker, unit) or first) is not None:
                    made.append((unit, instead))
                continue
            asked = at > 0 and told_to(line, units[at - 1], unit)
            if unit.head.kind == "work" and owners_job(unit, asked):
                unit.head.kind, unit.head.code = "followup", "owner_care"
                unit.head.item = find_item("owner_care", "followup")
            if unit.head.kind == "followup":
                fact = self._follow_up(unit, context, hung.get(at))
            else:
                later = foot_for_later(line, unit)
                fact = self.maker.make(unit, context)
                if fact is not None and later is not None:
                    made.append((unit, done_later(fact, line, self.tracker, *later)))
                    self.tracker.in_hand = fact.feet
            if fact is not None and at in to_come:
                fact = replace(fact, planned=True, due=fact.due or to_come[at], historical=False)
            if fact is None:
                time_of_work(made, unit)
                continue
            if fact.kind is FactKind.WORK and made and is_purpose(line, made[-1], unit):
                if fact.code in ("trim", "shoe", "reset"):
                    if unit.feet():
                        made[-1] = (made[-1][0], made[-1][1].on_feet_of(fact))
                    continue
                fact = replace(fact, planned=True, due=made[-1][1].due)
            if fact.kind is FactKind.WORK and made and goes_on_planned(line, made[-1], unit):
                fact = replace(fact, planned=True)
            if fact.kind is FactKind.FOLLOW_UP and made:
                fact = same_person(line, made[-1], unit, fact)
                going_on = follows_on(line, made, unit, fact)
                if going_on is None:
                    continue
                fact = going_on
            if fact.kind is FactKind.FOLLOW_UP:
                fact = same_time(made, self.facts, fact)
            if unit.head.kind == "change" and unit.head.code.startswith("denied"):
                if made and line.norm(unit.head.start) == "not" and len(made[-1][1].feet) == 1:
                    self.maker.tracker.in_hand = made[-1][1].feet  # "not the right": an aside
                made += [
                    (unit, copy) for copy in denied(self.maker.line, unit, fact, self.facts, made)
                ]
                continue
            if "too" in unit.head.tags and not unit.feet():
                continue
            if unit.head.kind == "change" and unit.head.code == "same":
                copies = copied(self.maker, unit, fact, self.facts, made, context.severity)
                if copies is not None or "does" in unit.head.tags:
                    made += [(unit, copy) for copy in copies or ()]
                    continue
                after = line.norm(unit.head.end)
                if after in ("on", "in") and not unit.has("against_last") and not self.facts:
                    continue
            if "too" in unit.head.tags:
                continue
            if self._says_more(unit, fact, made) or self._one_of_them(unit, fact, made):
                continue
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
        made = without_overruled(made)
        self._join(made)
        share_due(self.maker.line, made)
        fill_back(self.maker.line, made, self.facts)
        graded_feet(made, self.facts)
        self.facts += [fact for _, fact in made]

    def _says_more(self, unit: UnitSaid, fact: Fact, made: list[tuple[UnitSaid, Fact]]) -> bool:
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

    def _one_of_them(self, unit: UnitSaid, fact: Fact, made: list[tuple[UnitSaid, Fact]]) -> bool:
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

    def _stray_time(self, unit: UnitSaid, fact: Fact, made: list[tuple[UnitSaid, Fact]]) -> None:
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
                if mark.end == unit.head.start and unit.head.code in ("trim", "shoe", "reset"):
                    made.pop()  # "In eight weeks trim" is what is to come, not what was done
                if due.spoken.lower().startswith("every"):
                    follow = replace(follow, code="cycle")
                made.append((unit, follow))
                return

    def _headless(self, line: Line, loose: list[Mark], begin: int, end: int) -> None:
        if (cut := narrowed(line, loose, (begin, end), self.tracker, self.facts)) is not None:
            self.facts, told = cut
            self.corrector.log.append(told)
            return
        if self.facts:
            self.facts = late_place(line, self.facts, loose, begin, end)
        for mark in loose:
            if mark.kind == "foot" and "compared" not in mark.tags:
                named = self.tracker.name(mark.code, line.text(mark))
                self.loose_foot = True
                if "closing" in mark.tags:
                    late = [named_late(f, named, carried=True) for f in self.facts[self.closed :]]
                    self.facts[self.closed :] = late
                    self.closed = len(self.facts)
                elif said_last(line, begin, end) or named_first(self.facts, named):
                    self.facts = [named_late(f, named) for f in self.facts]
        if apart := visits_apart(line, self.tracker, loose):
            self.facts += apart
            return
        times = [m for m in loose if m.kind == "time" and m.value.due.on != self.recorded]
        if times and (talks(line, loose, begin, end) or far_off(times[0].value.due, self.recorded)):
            times = []
        if times and (times[0].value.due.period or times[0].value.due.on):
            self.facts.append(implied(self.maker, times[0], times[0].start, times[0].end))
            self.facts += others_weeks(self.maker, times[1:])
            return
        sizes = [m.value for m in loose if m.kind == "size"]
        if sizes and self.facts and self.facts[-1].kind is FactKind.FINDING:
            fact = self.facts[-1]
            if fact.quantity is None:
                kept = {"measure": sizes[0].measure} if sizes[0].measure else {}
                self.facts[-1] = replace(
                    fact,
                    quantity=sizes[0].quantity,
                    span=(fact.span[0], line.words[end - 1].end),
                    details={**fact.details, **kept},
                )
            return
        slots = shoe_slots(self.maker.line, loose)
        if slots and self.facts:
            for at in range(len(self.facts) - 1, -1, -1):
                if self.facts[at].code in SHOES:
                    fact = self.facts[at]
                    self.facts[at] = replace(fact, details={**fact.details, **slots})
                    return

    def _implied_shoe(self, line: Line, begin: int, end: int) -> None:
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
            line.marks = sorted([*line.marks, head], key=lambda m: (m.start, m.end))

    def _join(self, made: list[tuple[UnitSaid, Fact]]) -> None:
        """Fold shoe particulars into the shoe, pair alternatives, give reasons."""
        shoe_at: int | None = None
        drop: set[int] = set()
        for at, (unit, fact) in enumerate(made):
            if fact.code == "shoe" and only_sizes(self.maker.line, unit):
                so_far = [*self.facts[-4:], *(f for _, f in made[:at])]
                shod = [f for f in so_far if f.code in (*SHOES, "boot")]
                if any(set(f.feet) >= set(fact.feet) for f in shod):
                    # "shod all round, threes in front, twos behind": sizes of the same shoes
                    drop.add(at)
                    continue
            if "implied" in unit.head.tags:
                fact = fact.with_doubt("implied_work", "A shoe size was said, but not the job.")
                made[at] = (unit, fact)
            if fact.kind is FactKind.WORK and fact.code in SHOES:
                shoe_at = at
            elif fact.code == "clips" and fact.kind is FactKind.WORK and shoe_at is not None:
                if not unit.feet():
                    slots = shoe_slots(self.maker.line, unit.marks())
                    kind = self._clip_kind(unit)
                    # "bar shoes with side clips" is one thing, "shod, side clips" are two jobs
                    bar = made[shoe_at][1].code not in ("shoe", "reset")
                    linked = "with" in [self.maker.line.norm(unit.head.start - i) for i in (1, 2)]
                    folded = fact if (bar if linked else "nail_count" in slots) else None
                    self._fold(made, shoe_at, {"clips": kind, **slots}, folded)
                    if folded is not None:
                        drop.add(at)
                        continue
                    shoe = made[shoe_at][1]
                    fact = replace(fact, feet=shoe.feet, foot_basis=shoe.foot_basis)
                    made[at] = (unit, replace(fact, why_foot=shoe.why_foot, doubts=shoe.doubts))
            elif shoe_at is not None and fact.kind is FactKind.WORK:
                slots = shoe_slots(self.maker.line, unit.marks())
                if slots:
                    self._fold(made, shoe_at, slots, None)
                    rest = {k: v for k, v in fact.details.items() if k not in slots}
                    made[at] = (unit, replace(fact, details=rest))
            words = [self.maker.line.norm(i) for i in unit.head.covers()]
            words.append(self.maker.line.norm(unit.head.end))
            before = made[at - 1][1] if at else (self.facts[-1] if self.facts else None)
            of_frog = before is not None and ("frog" in before.code or "frog" in before.places)
            if fact.code == "trim" and {"it", "them", "those", "tidied"} & set(words) and of_frog:
                fact = replace(fact, code="pare_frog", rule="lexicon:pare_frog")
                made[at] = (unit, fact)
            if fact.code == "clean_out" and before and before.code == "retained_sole":
                fact = replace(fact, code="pare_sole", rule="lexicon:pare_sole")
                made[at] = (unit, fact)
            if fact.code in ("open_track", "clean_out") and before and before.code == "folded_bar":
                fact = replace(fact, code="pare_bar", rule="lexicon:pare_bar")
                made[at] = (unit, fact)
            flared = (
                before is not None
                and before.code == "flare"
                and {"it", "them", "that"} & set(words)
            )
            if fact.code in ("pull", "set_back_toe", "trim", "lower_heel") and flared:
                fact = replace(fact, code="dress_flare", rule="lexicon:dress_flare")
                made[at] = (unit, fact)
            if fact.code == "staged_correction" and at and at - 1 not in drop:
                planned = made[at - 1][1]
                if planned.kind is FactKind.WORK and planned.planned:
                    told = {**fact.details, "about": planned.code}
                    span = (planned.span[0], fact.span[1])
                    fact = replace(fact, details=told, span=span)
                    said = planned.foot_basis is FootBasis.SAID
                    made[at] = (unit, fact.on_feet_of(planned) if said else fact)
                    drop.add(at - 1)
            if fact.code == "clips" and at not in drop:
                kind = self._clip_kind(unit)
                made[at] = (unit, replace(fact, details={**fact.details, "clips": kind}))
            if at and fact.kind is FactKind.HANDLING:
                left, earlier = made[at - 1]
                if earlier.kind is FactKind.WORK and earlier.negated:
                    details = {**earlier.details, "reason": fact.code}
                    made[at - 1] = (made[at - 1][0], replace(earlier, details=details))
                elif earlier.code == "tester_positive" and fact.code == "snatched":
                    details = {**earlier.details, "repeatable": "yes"}
                    span = (earlier.span[0], fact.span[1])
                    made[at - 1] = (left, replace(earlier, details=details, span=span))
                    drop.add(at)
            if at and fact.kind is FactKind.FINDING and fact.uncertain:
                left_unit, earlier = made[at - 1]
                between = range(left_unit.head.end, unit.head.start)
                either = any(self.maker.line.norm(i) == "or" for i in between)
                if (
                    earlier.kind is FactKind.FINDING
                    and earlier.uncertain
                    and earlier.code != fact.code
                    and (unit.has("unsure_before") or either)
                    and "alternative" not in earlier.details
                ):
                    made[at - 1] = (
                        left_unit,
                        replace(earlier, details={**earlier.details, "alternative": fact.code}),
                    )
                    made[at] = (
                        unit,
                        replace(fact, details={**fact.details, "alternative": earlier.code}),
                    )
        for at in sorted(drop, reverse=True):
            del made[at]

    def _clip_kind(self, unit: UnitSaid) -> str:
        """``toe``, ``side`` or ``quarter``; ``plain`` if that was not said."""
        words = {self.maker.line.norm(i) for i in unit.head.covers()}
        return next((kind for kind in ("toe", "side", "quarter") if kind in words), "plain")

    def _fold(
        self,
        made: list[tuple[UnitSaid, Fact]],
        at: int,
        details: dict[str, str],
        folded: Fact | None,
    ) -> None:
        unit, shoe = made[at]
        span = shoe.span
        if folded is not None:
            span = (min(span[0], folded.span[0]), max(span[1], folded.span[1]))
        made[at] = (unit, replace(shoe, details={**shoe.details, **details}, span=span))
