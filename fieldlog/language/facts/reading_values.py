"""Facts with numbers: measurements, scores, the sizes of findings, and how they compare."""

from __future__ import annotations

from fieldlog.config import Settings
from fieldlog.core.changed import changed
from fieldlog.core.facts import Comparison, Fact, FactKind, FootBasis, Reading, Trend
from fieldlog.core.units import Quantity, Unit
from fieldlog.language.context.comparisons import grown_since, more_so, not_so_much, of_value
from fieldlog.language.context.head_context import Context
from fieldlog.language.facts.doubts_said import across, value_doubts
from fieldlog.language.facts.reading_feet import FeetReader
from fieldlog.language.feet.places_said import places_of
from fieldlog.language.feet.tracker import NO_FAULT, FootTracker
from fieldlog.language.lexicon import word_set
from fieldlog.language.values.kinds import Value
from fieldlog.language.wording import unit_fits
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import Line, UnitSaid

SCALES = {"lameness": "lameness_scale", "condition": "condition_scale"}
_DIFFERS = frozenset({"imbalance", "mismatched", "sheared_heel", "long_toe", "high_heel",
                      "low_heel", "contracted_heel", "uneven"})  # fmt: skip
_TRENDS = ("better", "worse", "growing_out", "gone", "larger", "smaller", "new", "same")
_CHANGING = word_set("changing_verbs")


class ValueMaker(FeetReader):
    """Makes the facts that are numbers, and what all facts have."""

    def __init__(self, line: Line, tracker: FootTracker, settings: Settings) -> None:
        super().__init__(line, tracker, settings)
        self._last_moment = ""

    def _base(self, unit: UnitSaid, context: Context, kind: FactKind, code: str) -> Fact:
        """The feet, places and flags of a unit's fact; the tracker is told of it."""
        named = self._whose(unit, context, kind, code)
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
        if kind is FactKind.FINDING and code not in NO_FAULT and not context.negated:
            self.tracker.ailing = named.feet or self.tracker.ailing
            self.tracker.found.pop(code, None)
            self.tracker.found[code] = named.feet
            if len(named.feet) == 1:
                self.tracker.sick = named.feet
        fact = self._foot_doubts(fact)
        if any(self.line.words[i].mended for i in range(unit.start, unit.end)):
            return fact.with_doubt("changed_word", "A word was read as another that sounds alike.")
        return fact

    def _foot_doubts(self, fact: Fact) -> Fact:
        """The fact, with a doubt if its foot was guessed or not named."""
        if fact.foot_basis is FootBasis.UNSTATED:
            return fact.with_doubt("foot_unstated", "No foot was named for this.")
        if fact.foot_basis is FootBasis.ASSUMED:
            fact = fact.with_doubt("foot_assumed", fact.why_foot)
            other = tuple(across(f) for f in fact.feet)
            if len(fact.feet) < 4:
                label = " and ".join(f.american for f in other)
                return changed(
                    fact,
                    readings=(*fact.readings, Reading(label, {"feet": [f.value for f in other]})),
                )
        return fact

    def _comparison(self, unit: UnitSaid) -> Comparison | None:
        """How it compares with last time or with another foot; None if that was not said."""
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

    # -- sizes ----------------------------------------------------------------------------------

    def _sized(self, fact: Fact, unit: UnitSaid) -> Fact:
        """The fact with the size that was said of it today."""
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
            fact = changed(fact, quantity=value.quantity)
            if value.measure and value.measure != "amount":
                fact = changed(fact, details={**fact.details, "measure": value.measure})
            if value.quantity.unit_inferred and value.quantity.value > 1.5:
                fact = fact.with_doubt("unit_inferred", unit_fits(value.quantity.unit))
        return fact

    def _as_it_was(self, mark: Mark) -> bool:
        """ "Was two inches in May", "half an inch it was last time": the size of before."""
        if self.line.norm(mark.start - 1) in ("was", "were", "from"):
            return True
        words = [self.line.norm(i) for i in range(mark.end, mark.end + 3)]
        return words[:2] in (["it", "was"], ["last", "time"], ["last", "visit"])

    # -- measurements ---------------------------------------------------------------------------

    def _measurement(self, unit: UnitSaid, context: Context) -> Fact:
        """A measured value of a foot, or of the horse."""
        value: Value = unit.head.value
        context.severity = None
        fact = self._measured_foot(unit, context, value.kind)
        fact = changed(
            fact,
            quantity=value.quantity,
            places=_places_of_value(fact, value.kind),
            rule=value.rule,
            negated=False,
            comparison=of_value(self._comparison(unit)),
            uncertain=context.uncertain and not value.quantity.approximate,
        )
        now = self.line.norm(unit.head.end) in ("now", "today")
        if value.rule == "measure:was" and not now:
            fact = changed(fact, historical=True)
        if "order" in unit.head.tags:
            why = "Two values for a pair: the left one is taken to be said first."
            fact = fact.with_doubt("foot_assumed", why)
        self._last_moment = moment = self._moment(unit)
        behind = self.line.norm(unit.head.end + 1)
        if moment in ("before", "after") and behind not in ("the", "next"):
            fact = changed(fact, details={**fact.details, "moment": moment})
        return value_doubts(fact, value)

    def _measured_foot(self, unit: UnitSaid, context: Context, kind: str) -> Fact:
        """ "Fifty-two near, against fifty-four": the second value is the other foot's."""
        held = self.tracker.in_hand
        fact = self._base(unit, context, FactKind.MEASUREMENT, kind)
        if "versus" not in unit.head.tags:
            return fact
        if held:
            self.tracker.in_hand = held  # "sixty against fifty-two on the near": only compared
        if unit.feet() or len(self.tracker.in_hand) != 1:
            return fact
        mate = self.tracker.in_hand[0].mate
        return changed(
            fact,
            feet=(mate,),
            foot_basis=FootBasis.OTHER_OF_PAIR,
            why_foot=f"The value after “against” is the {mate.american}'s.",
        )

    def _moment(self, unit: UnitSaid) -> str:
        """ "From four inches to three and a half": before the trim, after it."""
        lead = {self.line.norm(i) for i in range(unit.head.start - 3, unit.head.start)}
        if "from" in lead:
            return "before"
        if "to" in lead and self._last_moment == "before":
            return "after"
        return self.line.norm(unit.head.end)

    # -- scores ---------------------------------------------------------------------------------

    def _score(self, unit: UnitSaid, context: Context) -> Fact | None:
        """A grade or a score with its scale."""
        grades = self._grades(unit, context)
        if not grades:
            return None
        code, item = unit.head.code, unit.head.item
        uncertain, span = context.uncertain, grades[0].number
        low, high = span.value, span.high
        if high is None and len(grades) > 1 and not self._of_other_feet(unit, *grades[:2]):
            high, uncertain = grades[1].number.value, True
        if "from_to" in unit.head.tags:
            uncertain = False  # "seven, maybe seven and a half": which of the two, not whether
        if high is not None and high < low:
            low, high = high, low
        top = next((t[3:] for g in grades for t in g.tags if t.startswith("of:")), "")
        scale, assumed = self._scale(code, top, item.more.get("scales", []) if item else [])
        fact = self._base(unit, context, FactKind.SCORE, code)
        fact = changed(
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

    def _of_other_feet(self, unit: UnitSaid, one: Mark, two: Mark) -> bool:
        """ "One left front, two right front": two grades, not one between them."""
        return any(m.kind == "foot" and one.end <= m.start < two.start for m in unit.marks())

    def _grades(self, unit: UnitSaid, context: Context) -> list[Mark]:
        """The grades of today: "five, was four last time"."""
        grades = [m for m in unit.marks() if m.kind == "grade"]
        if unit.head.number is not None:
            grades.insert(0, unit.head)
        past = [m for m in grades if self.line.norm(m.start - 1) in ("was", "were", "from")]
        if past and len(past) < len(grades):
            grades = [m for m in grades if m not in past]
            context.historical = False
        return grades

    def _gait(self, unit: UnitSaid) -> dict[str, str]:
        words = [self.line.text(m) for m in unit.roles("gait")]
        return {"gait": " ".join(words)} if words else {}

    def _scale(self, code: str, top: str, scales: list[str]) -> tuple[str, bool]:
        """The scale of a grade, and whether it was assumed."""
        if top:
            for scale in scales:
                if scale.endswith(f"_{top}"):
                    return scale, False
        habit = getattr(self.settings, SCALES.get(code, ""), "")
        if habit in scales:
            return habit, True
        return (scales[0], len(scales) > 1) if scales else ("", True)


def _places_of_value(fact: Fact, kind: str) -> tuple[str, ...]:
    """Where it was measured: for most kinds only the side of the hoof, joined to its region."""
    if kind in ("depth", "remaining"):
        return fact.places
    sides = [p for p in fact.places if p.startswith(("medial", "lateral"))]
    return tuple(f"{p}_heel" if kind.startswith("heel") and "_" not in p else p for p in sides)
