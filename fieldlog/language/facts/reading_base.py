"""What all facts have: feet, places, flags, and how they compare."""

from __future__ import annotations

from fieldlog.core.changed import changed
from fieldlog.core.facts import Comparison, Fact, FactKind, FootBasis, Reading, Trend
from fieldlog.language.context.comparisons import grown_since, more_so, not_so_much
from fieldlog.language.context.head_context import Context
from fieldlog.language.facts.doubts_said import across
from fieldlog.language.facts.maker import FactMaker
from fieldlog.language.facts.reading_feet import foot_compared, whose_feet
from fieldlog.language.feet.places_said import places_of
from fieldlog.language.feet.tracker import NO_FAULT
from fieldlog.language.lexicon import word_set
from fieldlog.language.words.units_said import UnitSaid

_TRENDS = ("better", "worse", "growing_out", "gone", "larger", "smaller", "new", "same")
_CHANGING = word_set("changing_verbs")


def base_of(maker: FactMaker, unit: UnitSaid, context: Context, kind: FactKind, code: str) -> Fact:
    """The feet, places and flags of a unit's fact; the tracker is told of it."""
    named = whose_feet(maker, unit, context, kind, code)
    again = unit.head.kind == "change" and not unit.head.code.startswith("denied")
    again |= kind is FactKind.MEASUREMENT and "versus" not in unit.head.tags
    maker.tracker.told(code, named.feet, unit.sentence, bool(unit.feet()), again)
    fact = Fact(
        kind=kind,
        code=code,
        feet=named.feet,
        foot_basis=named.basis,
        places=places_of(maker.line, unit),
        negated=context.negated,
        uncertain=context.uncertain,
        historical=context.historical,
        reporter=context.reporter,
        span=unit.span(maker.line),
        why_foot=named.why,
    )
    if kind is FactKind.FINDING and code not in NO_FAULT and not context.negated:
        maker.tracker.ailing = named.feet or maker.tracker.ailing
        maker.tracker.found.pop(code, None)
        maker.tracker.found[code] = named.feet
        if len(named.feet) == 1:
            maker.tracker.sick = named.feet
    fact = _foot_doubts(fact)
    if any(maker.line.words[i].mended for i in range(unit.start, unit.end)):
        return fact.with_doubt("changed_word", "A word was read as another that sounds alike.")
    return fact


def _foot_doubts(fact: Fact) -> Fact:
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


def comparison_of(maker: FactMaker, unit: UnitSaid) -> Comparison | None:
    """How it compares with last time or with another foot; None if that was not said."""
    trend = next((t for t in _TRENDS if unit.has(t)), None)
    if trend is None and unit.head.code in _TRENDS:
        trend = unit.head.code
    against = unit.has("against_last") or foot_compared(maker, unit) is not None
    if trend is None and against and more_so(maker.line, unit):
        trend = "worse"
    if trend is None and any("more" in m.tags for m in unit.roles("against_last")):
        trend = "worse"
    if trend is None:
        return None
    trend = not_so_much(maker.line, unit, trend)
    other = foot_compared(maker, unit)
    if other in maker.tracker.in_hand:
        return None
    alone = other is None and "second_foot" not in unit.head.tags
    if trend in ("larger", "smaller") and alone and not unit.has("against_last"):
        words = {maker.line.norm(i) for m in unit.roles(trend) for i in m.covers()}
        if not words & (_CHANGING | {"was"}) and not grown_since(maker.line, unit, trend):
            return None
    return Comparison(Trend(trend), other.value if other else "last_visit")
