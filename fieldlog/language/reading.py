"""From units to facts: feet, places, sizes, flags, and a sentence on how the foot was found."""

from __future__ import annotations

from dataclasses import replace

from fieldlog.config import Settings
from fieldlog.core.facts import (
    Comparison,
    Due,
    Fact,
    FactKind,
    FootBasis,
    Reading,
    Reporter,
    Trend,
)
from fieldlog.core.feet import ALL_FEET, Foot, describe_feet
from fieldlog.core.units import Quantity, Unit
from fieldlog.language.closing_pairs import NAMED_BEHIND
from fieldlog.language.comparisons import (
    grown_since,
    more_so,
    no_more,
    not_so_much,
    of_value,
    rather,
)
from fieldlog.language.context import Context, is_past
from fieldlog.language.crack_names import named_crack
from fieldlog.language.doubts_said import across, value_doubts
from fieldlog.language.gist_marks import with_origin
from fieldlog.language.history import TRACES
from fieldlog.language.lexicon import find_item, item_per_horse, word_set
from fieldlog.language.marks import Mark
from fieldlog.language.numbers import find_numbers
from fieldlog.language.objects import done_to, the_whole_horse
from fieldlog.language.places_said import inner_feet, narrowed, places_of, several, spoken_feet
from fieldlog.language.shoe_words import shoe_slots
from fieldlog.language.tracker import (
    MENDS,
    NO_FAULT,
    OF_A_FOOT,
    OF_THE_HORSE,
    Assignment,
    FootTracker,
)
from fieldlog.language.units_said import Line, UnitSaid
from fieldlog.language.value_kinds import Value
from fieldlog.language.values_wanted import wanted
from fieldlog.language.wording import unit_fits
from fieldlog.language.work_words import done_as_asked, nothing_else_done

SHOES = frozenset({"shoe", "reset", "bar_shoe", "egg_bar", "heart_bar", "glue_on",
                   "hospital_plate"})  # fmt: skip
SCALES = {"lameness": "lameness_scale", "condition": "condition_scale"}
_DIFFERS = frozenset({"imbalance", "mismatched", "sheared_heel", "long_toe", "high_heel",
                      "low_heel", "contracted_heel", "uneven"})  # fmt: skip
_LOST = frozenset({"scar", "nail_missing", "shoe_lost", "pad_loose", "rub"})
"""What is gone with these is a nail, a shoe, a pad or hair."""
_GROWS_NOT = frozenset({"normal", "not_examined", "scar", "nail_missing", "distortion"})
_NOW = frozenset({"today", "now", "this morning", "this afternoon", "on time"})
BARE = frozenset({"pull", "shoe", "trim", "reset", "take", "drop", "lower", "add", "remove", "glue",
                  "roll", "shorten", "put", "set", "switch", "go", "do", "bring", "back", "raise",
                  "wedge", "pad"})  # fmt: skip
"""Verbs of work that may stand for what is still to be done."""
_ON_BOTH = frozenset({"shorten_toe", "lower_heel", "set_back_toe", "roll_toe"})
_TRENDS = ("better", "worse", "growing_out", "gone", "larger", "smaller", "new", "same")


class FactMaker:
    """Makes the facts of one horse's part of a note, sentence by sentence."""

    def __init__(self, line: Line, tracker: FootTracker, settings: Settings) -> None:
        self.line = line
        self.tracker = tracker
        self.settings = settings
        self._last_moment = ""
        self._sick_before: tuple[Foot, ...] = ()

    # -- feet -------------------------------------------------------------------------------

    def feet(self, unit: UnitSaid) -> Assignment | None:
        """The feet named in the unit, or None if none were."""
        named: list[Assignment] = []
        spared: tuple[Foot, ...] = ()
        for mark in spoken_feet(self.line, unit):
            named.append(self.tracker.name(mark.code, self.line.text(mark)))
            if "pair_behind" in mark.tags:
                why = f"“{self.line.text(mark)}” was said here, {NAMED_BEHIND}"
                named[-1] = replace(named[-1], why=why)
            at = mark.end + self.line.break_at(mark.end)
            if "all_but" in mark.tags and self.line.norm(at) in _TELLS_MORE:
                rest = named[-1].feet
                spared = tuple(f for f in ALL_FEET if f not in rest)
                spared = (rest[0].mate,) if len(rest) == 1 else spared
        if spared:
            # "... except the left hind, which has a crack"
            self.tracker.in_hand = spared
            if all(m.end <= unit.head.start for m in spoken_feet(self.line, unit)):
                return self.tracker.name("in_hand", describe_feet(spared))
        named = narrowed([n for n in named if n.feet]) or named
        if not named and "each" in unit.head.tags and self.tracker.in_hand:
            return self.tracker.name("both", "each")
        single = not named and len(self.tracker.in_hand) == 1
        if single and (unit.head.code == "mismatched" or several(self.line, unit)):
            return self.tracker.name("both", self.line.text(unit.head))
        if not named and unit.head.code in _ON_BOTH and self._plural(unit):
            # "three and a half left, three and a quarter right, took half an inch off the toes"
            return self.tracker.name("both", "toes")
        ends = next((t[5:] for t in unit.head.tags if t.startswith("feet:")), "")
        if ends:
            return self.tracker.name(ends, "fronts" if ends == "LF+RF" else "hinds")
        side = next((t[5:] for t in unit.head.tags if t.startswith("side:")), "")
        if side:
            pair = named[0].feet if named else self.tracker.in_hand
            end = next((t[5:] for t in unit.head.tags if t.startswith("pair:")), "")
            own = tuple(Foot(f) for f in end.split("+")) if end else ()
            self.tracker.in_hand = own or self.tracker.end or pair
            one = self.tracker.name(side, side)
            both = {*one.feet, *(f.mate for f in one.feet)}
            self.tracker.in_hand = tuple(f for f in ALL_FEET if f in both)
            if "order_guessed" in unit.head.tags:
                why = "Two values for a pair; left first is a guess."
                return Assignment(one.feet, FootBasis.ASSUMED, why)
            return one
        inner = inner_feet(self.line, unit)
        if inner and not any(m.start >= unit.head.start for m in unit.feet()):
            return self.tracker.name(*inner)
        if not any(n.feet for n in named) and all(
            m.code in ("in_hand", "bad_one") for m in spoken_feet(self.line, unit)
        ):
            return None
        if len(named) == 1:
            return named[0]
        if any("all_but" in m.tags for m in unit.feet()):
            return named[-1]
        feet = tuple(f for f in Foot if any(f in n.feet for n in named))
        basis = next((n.basis for n in named if n.basis is not FootBasis.SAID), FootBasis.SAID)
        self.tracker.in_hand = feet
        return Assignment(feet, basis, " ".join(n.why for n in named))

    def _plural(self, unit: UnitSaid) -> bool:
        """Whether toes or heels are spoken of after both feet of an end were named."""
        begin = unit.start if unit.start < unit.head.start else unit.head.start
        words = {self.line.norm(i) for i in range(begin, unit.head.end + 4)}
        if not words & {"toes", "heels"} or len(self.tracker.in_hand) != 1:
            return False
        last = [m for m in self.line.marks if m.kind == "foot" and m.end <= unit.head.start][-2:]
        one = {"LF": "left", "LH": "left", "RF": "right", "RH": "right"}
        sides = {one.get(m.code, m.code) for m in last}
        return sides == {"left", "right"} and unit.head.start - last[-1].end <= 8

    def compared(self, unit: UnitSaid) -> Foot | None:
        """The foot that the unit compares with, if any."""
        for mark in unit.marks():
            if mark.kind == "foot" and "compared" in mark.tags:
                found = self.tracker.name(mark.code, self.line.text(mark), take=False)
                if len(found.feet) == 1:
                    return found.feet[0]
        return None

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

    def _base(self, unit: UnitSaid, context: Context, kind: FactKind, code: str) -> Fact:
        head = unit.head
        table = {"value": "measure"}.get(head.kind, head.kind)
        item = head.item or find_item(code, table)
        per_horse = item is not None and item.per == "horse"
        before = self.tracker.in_hand
        named = None if code == "condition" else self.feet(unit)
        if named is not None and rather(self.line, unit, named.feet, before):
            named = self.tracker.name("+".join(f.value for f in before), "both")
        if code in OF_THE_HORSE and named is not None:
            named = Assignment((), FootBasis.WHOLE_HORSE, "This is about the whole horse.")
        if named is None:
            graded = kind is FactKind.SCORE and code == "lameness"
            held = (graded or kind is FactKind.HANDLING) and unit.says_it(self.line)
            held = held and len(self.tracker.in_hand) == 1
            if per_horse and kind is FactKind.FINDING and self.tracker.in_hand:
                held = unit.leans_on_it(self.line)
            held = held or code in OF_A_FOOT
            if not held and (
                per_horse or kind in (FactKind.HANDLING, FactKind.ADVICE, FactKind.SCORE)
            ):
                named = Assignment((), FootBasis.WHOLE_HORSE, "This is about the whole horse.")
            elif code == "club_grade":
                named = self.tracker.name("bad_one", "club")
            elif code in ("trim", "reset") and the_whole_horse(self.line, unit):
                why = "The horse was trimmed or reset, and no foot of it was named beside that."
                named = Assignment(tuple(Foot), FootBasis.ASSUMED, why)
            else:
                feet_said = unit.says_feet(self.line) or context.negated or code == "normal"
                guess = context.uncertain and code in ("bruise", "abscess", "nail_bind")
                mend = (code in MENDS or guess) and not context.negated
                if kind is FactKind.FINDING:
                    self.tracker.back_to_both(unit.sentence)
                elif (thing := done_to(self.line, unit)) and self.tracker.back_to(thing):
                    mend = False
                named = self.tracker.carry(kind is FactKind.WORK or feet_said, mend)
        elif kind is FactKind.WORK and len(named.feet) == 4:
            self.tracker.for_job_only = True
        again = unit.head.kind == "change" and not unit.head.code.startswith("denied")
        again |= kind is FactKind.MEASUREMENT and "versus" not in unit.head.tags
        self.tracker.told(code, named.feet, unit.sentence, bool(unit.feet()), again)
        fact = Fact(
            kind=kind,
            code=code,
            feet=named.feet,
            foot_basis=named.basis,
            places=places_of(self.line, unit),
            negated=context.negated,
            uncertain=context.uncertain,
            historical=context.historical,
            reporter=context.reporter,
            span=unit.span(self.line),
            why_foot=named.why,
        )
        found = kind is FactKind.FINDING and code not in NO_FAULT
        if found and not context.negated:
            self.tracker.ailing = named.feet or self.tracker.ailing
            self.tracker.found.pop(code, None)
            self.tracker.found[code] = named.feet
            if len(named.feet) == 1:
                self.tracker.sick = named.feet
        fact = self._foot_doubts(fact)
        if any(self.line.words[i].mended for i in range(unit.start, unit.end)):
            fact = fact.with_doubt("changed_word", "A word was read as another that sounds alike.")
        return fact

    def _foot_doubts(self, fact: Fact) -> Fact:
        if fact.foot_basis is FootBasis.UNSTATED:
            return fact.with_doubt("foot_unstated", "No foot was named for this.")
        if fact.foot_basis is FootBasis.ASSUMED:
            fact = fact.with_doubt("foot_assumed", fact.why_foot)
            other = tuple(across(f) for f in fact.feet)
            if len(fact.feet) < 4:
                label = " and ".join(f.american for f in other)
                return replace(
                    fact,
                    readings=(*fact.readings, Reading(label, {"feet": [f.value for f in other]})),
                )
        return fact

    def _plain(self, unit: UnitSaid, context: Context) -> Fact | None:
        head = unit.head
        if head.kind == "work" and nothing_else_done(self.line, head):
            return None
        kind = FactKind(head.kind)
        item = head.item
        code = str(item.more.get("emits", head.code)) if item else head.code
        fact = self._base(unit, context, kind, code)
        if item is not None and item.more.get("emits_negated"):
            fact = replace(fact, negated=not context.negated)
        if code == "normal" and context.negated:
            # "Not happy with the heels" tells of no fault; the words stay as a passage.
            return None
        fact = replace(fact, rule=f"lexicon:{head.code}", severity=context.severity)
        fact = with_origin(fact, head)
        if kind is FactKind.FINDING:
            fact = self._finding(fact, unit, context)
        elif kind is FactKind.WORK:
            fact = self._work(fact, unit, context)
        elif kind in (FactKind.HANDLING, FactKind.ADVICE):
            fact = replace(fact, severity=None)
            if kind is FactKind.ADVICE:
                fact = self._advice(fact, unit)
        fact = self._sized(fact, unit)
        if context.list_unsure:
            fact = fact.with_doubt(
                "competing_readings", "It is unclear whether the “no” before reaches this word."
            )
            fact = replace(fact, readings=(*fact.readings, Reading("seen", {"negated": False})))
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
        return replace(fact, details={**fact.details, "to": name}, span=(fact.span[0], end))

    def _finding(self, fact: Fact, unit: UnitSaid, context: Context) -> Fact:
        details = dict(fact.details)
        if unit.has("not_hairline"):
            details["extent"] = "does not reach the hairline"
        elif unit.has("to_hairline"):
            details["extent"] = "reaches the hairline"
        if unit.has("twice"):
            details["repeatable"] = "yes"
        strikes = unit.roles("strikes")
        if strikes:
            sides = [m for m in unit.feet() if m.code in ("left", "right")]
            if sides:
                found = self.tracker.name(sides[-1].code, self.line.text(sides[-1]))
                if len(found.feet) == 1:
                    fact = replace(fact, feet=found.feet, foot_basis=FootBasis.SAID)
                    details["strikes"] = found.feet[0].mate.value
        comparison = self._comparison(unit)
        if fact.code == "crack":
            fact = named_crack(self.line, unit, fact)
        if fact.code == "abscess" and comparison and comparison.trend is Trend.GROWING_OUT:
            fact = replace(fact, code="abscess_track")
        if comparison is None and fact.code == "better_shape":
            comparison = Comparison(Trend.BETTER)
        named_old = self.line.norm(unit.head.start) == "old" and unit.head.size > 1
        historical = fact.historical or (named_old and fact.code in TRACES)
        grows = comparison is not None and comparison.trend is Trend.GROWING_OUT
        if grows and (item_per_horse(fact.code) or fact.code in _GROWS_NOT):
            comparison = None
        if grows and not (named_old and "abscess" in self.line.text(unit.head)):
            historical = False
        stronger = fact.code in ("digital_pulse", "bounding_pulse") and "stronger" in {
            self.line.norm(i) for m in unit.roles("better") for i in m.covers()
        }
        dried = fact.code == "dry_horn" and unit.has("better")
        if comparison is not None and (dried or stronger):
            # drier horn is worse, and so is a stronger pulse
            comparison = replace(comparison, trend=Trend.WORSE)
        gone = comparison is not None and comparison.trend is Trend.GONE and fact.code not in _LOST
        if gone is False and comparison is not None and comparison.trend is Trend.GONE:
            comparison = None
        negated = fact.negated or gone
        if fact.negated and comparison is None and no_more(self.line, unit):
            comparison = Comparison(Trend.GONE)
        if negated and comparison is not None and comparison.trend in _STILL_THERE:
            comparison = None
        historical = historical and not gone
        if fact.code in ("normal", "better_shape", "not_examined", "lands_flat"):
            fact = replace(fact, severity=None)
        item = find_item(fact.code, "finding")
        disease = item is not None and item.disease
        uncertain = fact.uncertain or (
            disease and not negated and not historical and fact.reporter is Reporter.FARRIER
        )
        return replace(
            fact,
            details=details,
            comparison=comparison,
            historical=historical,
            negated=negated,
            uncertain=uncertain and not negated,
        )

    def _comparison(self, unit: UnitSaid) -> Comparison | None:
        trend = next((t for t in _TRENDS if unit.has(t)), None)
        if trend is None and unit.head.code in _TRENDS:
            trend = unit.head.code
        against = unit.has("against_last") or self.compared(unit) is not None
        if trend is None and against and more_so(self.line, unit):
            trend = "worse"
        if trend is None and any("more" in m.tags for m in unit.roles("against_last")):
            trend = "worse"
        if trend is None:
            return None
        trend = not_so_much(self.line, unit, trend)
        other = self.compared(unit)
        if other in self.tracker.in_hand:
            return None
        alone = other is None and "second_foot" not in unit.head.tags
        if trend in ("larger", "smaller") and alone and not unit.has("against_last"):
            words = {self.line.norm(i) for m in unit.roles(trend) for i in m.covers()}
            if not words & (_CHANGING | {"was"}) and not grown_since(self.line, unit, trend):
                return None
        return Comparison(Trend(trend), other.value if other else "last_visit")

    def _change(self, unit: UnitSaid, context: Context) -> Fact | None:
        context.negated = False
        self._sick_before = self.tracker.sick
        code = "better_shape" if unit.head.code == "better" else "change"
        fact = self._base(unit, context, FactKind.FINDING, code)
        if unit.head.code == "denied_here":
            return replace(fact, rule="denied_here")
        if unit.head.code == "denied":
            return fact if fact.foot_basis is not FootBasis.CARRIED else None
        if unit.head.code == "again":
            said = unit.head.value
            if isinstance(said, Value):
                return replace(fact, quantity=said.quantity, severity=context.severity)
            new = None
            if "new" in unit.head.tags or unit.has("new"):
                new = Comparison(Trend.NEW)
            return replace(fact, severity=said or context.severity, comparison=new)
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
        if "bad" in words and unit.feet() and self._sick_before not in ((), fact.feet):
            # "the other one's not as bad": as bad as the foot before
            return None
        if code == "better_shape" and not told_against:
            fact = replace(fact, rule="compare:better")
            return self._sized(fact, unit)
        fact = replace(fact, comparison=comparison, rule=f"compare:{comparison.trend}")
        return self._sized(fact, unit)

    def _work(self, fact: Fact, unit: UnitSaid, context: Context) -> Fact:
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
        if unit.head.code == "leave_alone" and not unit.of("time"):
            planned = False
        due = unit.when()
        if due is not None and due.spoken.startswith("every"):
            due = None
        if due is not None and not is_past(verb):
            planned = planned or due.anchor == "next_visit" or self._to_come(unit, due)
        details.update(shoe_slots(self.line, unit.marks()))
        return replace(
            fact,
            details=details,
            planned=planned,
            due=due if planned else None,
            places=() if fact.code in SHOES or fact.code == "pull" else fact.places,
            severity=None,
            historical=fact.historical and not planned,
        )

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

    def _sized(self, fact: Fact, unit: UnitSaid) -> Fact:
        if fact.negated and fact.kind is FactKind.FINDING:
            return fact  # what is not there has no size: it is of what stands beside it
        marks = unit.of("size")
        if unit.head.kind == "finding" and unit.head.code not in _DIFFERS:
            marks = [m for m in marks if m.value.rule != "size:difference"]
        today = [m for m in marks if not self._as_it_was(m)]
        sizes = [m.value for m in today or marks]
        if unit.head.kind == "work":
            # what came off is said first; what stands behind it is something else
            sizes = [s for s in sizes if s.measure in ("", "amount")][:1]
        if unit.head.kind == "work" and isinstance(unit.head.value, Value):
            sizes.append(unit.head.value)
        for value in sizes:
            fact = replace(fact, quantity=value.quantity)
            if value.measure and value.measure != "amount":
                fact = replace(fact, details={**fact.details, "measure": value.measure})
            if value.quantity.unit_inferred and value.quantity.value > 1.5:
                fact = fact.with_doubt("unit_inferred", unit_fits(value.quantity.unit))
        return fact

    def _as_it_was(self, mark: Mark) -> bool:
        """ "Was two inches in May", "half an inch it was last time": the size of before."""
        if self.line.norm(mark.start - 1) in ("was", "were", "from"):
            return True
        words = [self.line.norm(i) for i in range(mark.end, mark.end + 3)]
        return words[:2] in (["it", "was"], ["last", "time"], ["last", "visit"])

    def _measurement(self, unit: UnitSaid, context: Context) -> Fact:
        value: Value = unit.head.value
        context.severity = None
        held = self.tracker.in_hand
        fact = self._base(unit, context, FactKind.MEASUREMENT, value.kind)
        if "versus" in unit.head.tags and held:
            self.tracker.in_hand = held  # "sixty against fifty-two on the near": only compared
        if "versus" in unit.head.tags and not unit.feet() and len(self.tracker.in_hand) == 1:
            mate = self.tracker.in_hand[0].mate
            fact = replace(
                fact,
                feet=(mate,),
                foot_basis=FootBasis.OTHER_OF_PAIR,
                why_foot=f"The value after “against” is the {mate.american}'s.",
            )
        side = [p for p in fact.places if p.startswith(("medial", "lateral"))]
        region = "heel" if value.kind.startswith("heel") else ""
        places = tuple(p if "_" in p or not region else f"{p}_{region}" for p in side)
        negated = False
        if value.kind in ("depth", "remaining"):
            places = fact.places
        fact = replace(
            fact,
            quantity=value.quantity,
            places=places,
            rule=value.rule,
            negated=negated,
            comparison=of_value(self._comparison(unit)),
            uncertain=context.uncertain and not value.quantity.approximate,
        )
        now = self.line.norm(unit.head.end) in ("now", "today")
        if value.rule == "measure:was" and not now:
            fact = replace(fact, historical=True)
        if "order" in unit.head.tags:
            why = "Two values for a pair: the left one is taken to be said first."
            fact = fact.with_doubt("foot_assumed", why)
        moment = self.line.norm(unit.head.end)
        lead = {self.line.norm(i) for i in range(unit.head.start - 3, unit.head.start)}
        if "from" in lead:
            moment = "before"
        elif "to" in lead and self._last_moment == "before":
            moment = "after"
        self._last_moment = moment
        if moment in ("before", "after") and self.line.norm(unit.head.end + 1) not in (
            "the",
            "next",
        ):
            fact = replace(fact, details={**fact.details, "moment": moment})
        return value_doubts(fact, value)

    def _score(self, unit: UnitSaid, context: Context) -> Fact | None:
        grades = [m for m in unit.marks() if m.kind == "grade"]
        if unit.head.number is not None:
            grades.insert(0, unit.head)
        if not grades:
            return None
        code = unit.head.code
        item = unit.head.item
        span = grades[0].number
        high = span.high
        uncertain = context.uncertain
        past = [m for m in grades if self.line.norm(m.start - 1) in ("was", "were", "from")]
        if past and len(past) < len(grades):
            # "five, was four last time": the score of today is the other one
            grades = [m for m in grades if m not in past]
            span, context.historical = grades[0].number, False
            high = span.high
            uncertain = context.uncertain
        if high is None and len(grades) > 1:
            high = grades[1].number.value
            uncertain = True
        top = next((t[3:] for g in grades for t in g.tags if t.startswith("of:")), "")
        scale, assumed = self._scale(code, top, item.more.get("scales", []) if item else [])
        fact = self._base(unit, context, FactKind.SCORE, code)
        low = span.value
        if high is not None and high < low:
            low, high = high, low
        fact = replace(
            fact,
            quantity=Quantity(low, Unit.GRADE, high, span.approximate, spoken=span.spoken),
            details={**fact.details, "scale": scale, **self._gait(unit)},
            uncertain=uncertain,
            negated=False,
            rule=f"score:{code}",
        )
        if assumed:
            fact = fact.with_doubt("scale_assumed", "The scale was not named; it is assumed.")
        return fact

    def _gait(self, unit: UnitSaid) -> dict[str, str]:
        words = [self.line.text(m) for m in unit.roles("gait")]
        return {"gait": " ".join(words)} if words else {}

    def _scale(self, code: str, top: str, scales: list[str]) -> tuple[str, bool]:
        if top:
            for scale in scales:
                if scale.endswith(f"_{top}"):
                    return scale, False
        habit = getattr(self.settings, SCALES.get(code, ""), "")
        if habit in scales:
            return habit, True
        return (scales[0], len(scales) > 1) if scales else ("", True)


_STILL_THERE = frozenset({Trend.LARGER, Trend.SMALLER, Trend.NEW, Trend.GROWING_OUT})
_CHANGING = word_set("changing_verbs")
_TELLS_MORE = frozenset({"which", "that", "who", "because", "cause", "'cause", "as", "it", "where",
                         "he", "she"})  # fmt: skip
