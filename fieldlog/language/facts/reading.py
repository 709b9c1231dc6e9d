"""From units to facts: feet, places, sizes, flags, and a sentence on how the foot was found."""

from __future__ import annotations

from dataclasses import replace

from fieldlog.config import Settings
from fieldlog.core.changed import changed
from fieldlog.core.facts import Comparison, Due, Fact, FactKind, FootBasis, Reading, Reporter, Trend
from fieldlog.core.feet import Foot
from fieldlog.language.context.comparisons import no_more
from fieldlog.language.context.head_context import Context
from fieldlog.language.context.history import TRACES, is_past
from fieldlog.language.facts.crack_names import named_crack
from fieldlog.language.facts.reading_values import ValueMaker
from fieldlog.language.feet.tracker import FootTracker
from fieldlog.language.lexicon import find_item, item_per_horse, word_set
from fieldlog.language.numbers.shoes import shoe_slots
from fieldlog.language.numbers.spoken import find_numbers
from fieldlog.language.opinion.gist_marks import with_origin
from fieldlog.language.senses.work_words import done_as_asked, nothing_else_done
from fieldlog.language.values.kinds import Value
from fieldlog.language.values.wanted import wanted
from fieldlog.language.words.units_said import Line, UnitSaid

SHOES = frozenset({"shoe", "reset", "bar_shoe", "egg_bar", "heart_bar", "glue_on",
                   "hospital_plate"})  # fmt: skip
_LOST = frozenset({"scar", "nail_missing", "shoe_lost", "pad_loose", "rub"})
"""What is gone with these is a nail, a shoe, a pad or hair."""
_GROWS_NOT = frozenset({"normal", "not_examined", "scar", "nail_missing", "distortion"})
_NOW = frozenset({"today", "now", "this morning", "this afternoon", "on time"})
BARE = frozenset({"pull", "shoe", "trim", "reset", "take", "drop", "lower", "add", "remove", "glue",
                  "roll", "shorten", "put", "set", "switch", "go", "do", "bring", "back", "raise",
                  "wedge", "pad"})  # fmt: skip
"""Verbs of work that may stand for what is still to be done."""


class FactMaker(ValueMaker):
    """Makes the facts of one horse's part of a note, sentence by sentence."""

    def __init__(self, line: Line, tracker: FootTracker, settings: Settings) -> None:
        super().__init__(line, tracker, settings)
        self._sick_before: tuple[Foot, ...] = ()

    def period(self, words: str) -> Due | None:
        """The period of "a five week cycle" or "every six weeks"."""
        numbers = find_numbers(words)
        if not numbers:
            return None
        low, high = numbers[0].value, numbers[0].high
        spoken = f"every {low:g}{f' to {high:g}' if high else ''} weeks"
        return Due(spoken=spoken, period=f"P{low:g}W")

    # -- one unit ---------------------------------------------------------------------------

    def make(self, unit: UnitSaid, context: Context) -> Fact | None:
        """The fact of a unit (follow-ups are made elsewhere)."""
        kind = unit.head.kind
        if kind == "work" and unit.head.code == "examine" and context.negated:
            unit.head.kind, unit.head.code = "finding", "not_examined"
            unit.head.item = find_item("not_examined", "finding")
            context.negated = False
        if kind == "value":
            return None if wanted(self.line, unit.head) else self._measurement(unit, context)
        if kind == "score":
            return self._score(unit, context)
        if kind == "change":
            return self._change(unit, context)
        if kind in ("finding", "work", "handling", "advice"):
            return self._plain(unit, context)
        return None

    def _plain(self, unit: UnitSaid, context: Context) -> Fact | None:
        """A finding, a job, handling or advice."""
        head = unit.head
        if head.kind == "work" and nothing_else_done(self.line, head):
            return None
        kind = FactKind(head.kind)
        item = head.item
        code = str(item.more.get("emits", head.code)) if item else head.code
        fact = self._base(unit, context, kind, code)
        if item is not None and item.more.get("emits_negated"):
            fact = changed(fact, negated=not context.negated)
        if code == "normal" and context.negated:
            # "Not happy with the heels" tells of no fault; the words stay as a passage.
            return None
        fact = changed(fact, rule=f"lexicon:{head.code}", severity=context.severity)
        fact = with_origin(fact, head)
        if kind is FactKind.FINDING:
            fact = self._finding(fact, unit)
        elif kind is FactKind.WORK:
            fact = self._work(fact, unit, context)
        elif kind in (FactKind.HANDLING, FactKind.ADVICE):
            fact = changed(fact, severity=None)
            if kind is FactKind.ADVICE:
                fact = self._advice(fact, unit)
        fact = self._sized(fact, unit)
        if context.list_unsure:
            fact = fact.with_doubt(
                "competing_readings", "It is unclear whether the “no” before reaches this word."
            )
            fact = changed(fact, readings=(*fact.readings, Reading("seen", {"negated": False})))
        return fact

    def _advice(self, fact: Fact, unit: UnitSaid) -> Fact:
        """To whom: the person named right after "spoke to", "told"."""
        at = unit.head.end
        if self.line.norm(at) in ("the", "his", "her", "my"):
            at += 1
        word = self.line.words[at] if at < len(self.line.words) else None
        if word is None or word.sort != "word":
            return fact
        known = word.norm in ("owner", "client", "vet")
        if word.norm in word_set("never_a_name") and not known:
            return fact
        name = word.norm
        if name not in word_set("people"):
            name = name[:1].upper() + name[1:]
        end = max(fact.span[1], word.end)
        return changed(fact, details={**fact.details, "to": name}, span=(fact.span[0], end))

    def _finding(self, fact: Fact, unit: UnitSaid) -> Fact:
        """What was seen: how far it goes, how it compares, and whether it is there at all."""
        details = {**fact.details, **_how_far(unit)}
        fact, struck = self._struck(fact, unit)
        comparison = self._comparison(unit)
        if fact.code == "crack":
            fact = named_crack(self.line, unit, fact)
        if fact.code == "abscess" and comparison and comparison.trend is Trend.GROWING_OUT:
            fact = changed(fact, code="abscess_track")
        if comparison is None and fact.code == "better_shape":
            comparison = Comparison(Trend.BETTER)
        historical = self._is_old(fact, unit, comparison)
        comparison = self._trend_meant(fact, unit, comparison)
        gone = comparison is not None and comparison.trend is Trend.GONE
        negated = fact.negated or gone
        if fact.negated and comparison is None and no_more(self.line, unit):
            comparison = Comparison(Trend.GONE)
        if negated and comparison is not None and comparison.trend in _STILL_THERE:
            comparison = None
        historical = historical and not gone
        if fact.code in ("normal", "better_shape", "not_examined", "lands_flat"):
            fact = changed(fact, severity=None)
        suspected = not historical and fact.reporter is Reporter.FARRIER and _is_disease(fact.code)
        return changed(
            fact,
            details=details | struck,
            comparison=comparison,
            historical=historical,
            negated=negated,
            uncertain=(fact.uncertain or suspected) and not negated,
        )

    def _struck(self, fact: Fact, unit: UnitSaid) -> tuple[Fact, dict[str, str]]:
        """ "The right strikes the left": which foot has the mark, and which one struck it."""
        sides = [m for m in unit.feet() if m.code in ("left", "right")]
        if not sides or not unit.roles("strikes"):
            return fact, {}
        found = self.tracker.name(sides[-1].code, self.line.text(sides[-1]))
        if len(found.feet) != 1:
            return fact, {}
        fact = changed(fact, feet=found.feet, foot_basis=FootBasis.SAID)
        return fact, {"strikes": found.feet[0].mate.value}

    def _is_old(self, fact: Fact, unit: UnitSaid, comparison: Comparison | None) -> bool:
        """ "Old abscess track": of before; but what grows out is there today."""
        old = self.line.norm(unit.head.start) == "old" and unit.head.size > 1
        grows = comparison is not None and comparison.trend is Trend.GROWING_OUT
        if grows and not (old and "abscess" in self.line.text(unit.head)):
            return False
        return fact.historical or (old and fact.code in TRACES)

    def _trend_meant(
        self, fact: Fact, unit: UnitSaid, comparison: Comparison | None
    ) -> Comparison | None:
        """How a finding really compares: drier horn is worse, and so is a stronger pulse."""
        if comparison is None:
            return None
        grows = comparison.trend is Trend.GROWING_OUT
        if grows and (item_per_horse(fact.code) or fact.code in _GROWS_NOT):
            return None
        stronger = fact.code in ("digital_pulse", "bounding_pulse") and "stronger" in {
            self.line.norm(i) for m in unit.roles("better") for i in m.covers()
        }
        if stronger or (fact.code == "dry_horn" and unit.has("better")):
            return replace(comparison, trend=Trend.WORSE)
        return None if comparison.trend is Trend.GONE and fact.code in _LOST else comparison

    def _change(self, unit: UnitSaid, context: Context) -> Fact | None:
        """How something told before has changed, or that it has not."""
        context.negated = False
        self._sick_before = self.tracker.sick
        code = "better_shape" if unit.head.code == "better" else "change"
        fact = self._base(unit, context, FactKind.FINDING, code)
        if unit.head.code == "denied_here":
            return changed(fact, rule="denied_here")
        if unit.head.code == "denied":
            return fact if fact.foot_basis is not FootBasis.CARRIED else None
        if unit.head.code == "again":
            said = unit.head.value
            if isinstance(said, Value):
                return changed(fact, quantity=said.quantity, severity=context.severity)
            new = None
            if "new" in unit.head.tags or unit.has("new"):
                new = Comparison(Trend.NEW)
            return changed(fact, severity=said or context.severity, comparison=new)
        if "does" in unit.head.tags:
            return self._sized(fact, unit)
        comparison = self._comparison(unit)
        if comparison is None:
            return None
        back = {self.line.norm(i) for i in unit.head.covers()} >= {"back"}
        led = any(m.start < unit.head.start for m in unit.of("place"))
        if comparison.trend is Trend.WORSE and back and led:
            # heels and frogs that come back are on the mend
            comparison = replace(comparison, trend=Trend.BETTER)
        told_against = self.compared(unit) or unit.has("against_last")
        words = {self.line.norm(i) for m in (unit.head, *unit.roles("better")) for i in m.covers()}
        sick, same = self._sick_before, unit.head.code == "same"
        if "bad" in words and unit.feet() and sick not in ((), fact.feet) and not same:
            # "the other one's not as bad": as bad as the foot before
            return None
        if code == "better_shape" and not told_against:
            fact = changed(fact, rule="compare:better")
            return self._sized(fact, unit)
        fact = changed(fact, comparison=comparison, rule=f"compare:{comparison.trend}")
        return self._sized(fact, unit)

    def _work(self, fact: Fact, unit: UnitSaid, context: Context) -> Fact:
        """A job: done, or still to be done."""
        details = dict(fact.details)
        verb = self.line.norm(unit.head.start)
        sayings = unit.roles("vet_says", "owner_says")
        asked = {self.line.norm(i) for m in sayings for i in m.covers()}
        if asked & {"wants", "wanted", "like"}:
            context.planned = True
        if context.planned and done_as_asked(self.line, unit):
            context.planned = False
        asked_to = any(m.end == unit.head.start for m in unit.roles("plan"))
        both = verb in ("set", "put", "cut", "let", "shed") and asked_to
        planned = context.planned and (both or not is_past(verb))
        if unit.head.code == "leave_alone" and not (unit.of("time") or self._till_then(unit)):
            planned = False
        due = unit.when()
        if due is not None and due.spoken.startswith("every"):
            due = None
        if due is not None and not is_past(verb):
            planned = planned or due.anchor == "next_visit" or self._to_come(unit, due)
        details.update(shoe_slots(self.line, unit.marks()))
        return changed(
            fact,
            details=details,
            planned=planned,
            due=due if planned else None,
            places=() if fact.code in SHOES or fact.code == "pull" else fact.places,
            severity=None,
            historical=fact.historical and not planned,
        )

    def _till_then(self, unit: UnitSaid) -> bool:
        """ "I'd leave it be till the spring"."""
        end = unit.head.end
        return any(self.line.norm(i) in ("till", "until", "til") for i in range(end, end + 4))

    def _to_come(self, unit: UnitSaid, due: Due) -> bool:
        """ "Pull the shoes in two weeks": a bare verb with a day or a period of its own."""
        mark = unit.of("time")[0]
        verb, first = self.line.norm(unit.head.start), self.line.norm(mark.start)
        # the preposition is not always part of the time
        first = self.line.norm(mark.start - 1) if first.isdigit() or first == "the" else first
        led = {first, self.line.norm(mark.start - 1)} & {"in", "on", "by", "before", "within"}
        apart = any(self.line.break_at(i) for i in range(unit.head.end, mark.start))
        bare = verb in BARE
        return bool(bare and led and not apart and mark.start > unit.head.start
                    and (due.period or due.on) and due.spoken.lower() not in _NOW)  # fmt: skip


_STILL_THERE = frozenset({Trend.LARGER, Trend.SMALLER, Trend.NEW, Trend.GROWING_OUT})


def _how_far(unit: UnitSaid) -> dict[str, str]:
    """How far a crack goes, and whether it was felt twice."""
    details: dict[str, str] = {}
    if unit.has("not_hairline"):
        details["extent"] = "does not reach the hairline"
    elif unit.has("to_hairline"):
        details["extent"] = "reaches the hairline"
    if unit.has("twice"):
        details["repeatable"] = "yes"
    return details


def _is_disease(code: str) -> bool:
    """Whether a finding is a word for a disease: of the farrier always a suspicion."""
    item = find_item(code, "finding")
    return item is not None and item.disease
