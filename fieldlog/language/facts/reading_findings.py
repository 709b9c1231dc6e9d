"""What was seen: how far it goes, how it compares, whether it is there at all."""

from __future__ import annotations

from dataclasses import replace

from fieldlog.core.changed import changed
from fieldlog.core.facts import Comparison, Fact, FootBasis, Reporter, Trend
from fieldlog.language.context.comparisons import no_more
from fieldlog.language.context.history import TRACES
from fieldlog.language.facts.crack_names import named_crack
from fieldlog.language.facts.maker import FactMaker
from fieldlog.language.facts.reading_base import comparison_of
from fieldlog.language.lexicon import find_item, item_per_horse
from fieldlog.language.words.units_said import UnitSaid

_LOST = frozenset({"scar", "nail_missing", "shoe_lost", "pad_loose", "rub"})
"""What is gone with these is a nail, a shoe, a pad or hair."""
_GROWS_NOT = frozenset({"normal", "not_examined", "scar", "nail_missing", "distortion"})


def as_finding(maker: FactMaker, fact: Fact, unit: UnitSaid) -> Fact:
    """What was seen: how far it goes, how it compares, and whether it is there at all."""
    details = {**fact.details, **_how_far(unit)}
    fact, struck = _struck(maker, fact, unit)
    comparison = comparison_of(maker, unit)
    if fact.code == "crack":
        fact = named_crack(maker.line, unit, fact)
    if fact.code == "abscess" and comparison and comparison.trend is Trend.GROWING_OUT:
        fact = changed(fact, code="abscess_track")
    if comparison is None and fact.code == "better_shape":
        comparison = Comparison(Trend.BETTER)
    historical = _is_old(maker, fact, unit, comparison)
    comparison = _trend_meant(maker, fact, unit, comparison)
    gone = comparison is not None and comparison.trend is Trend.GONE
    negated = fact.negated or gone
    if fact.negated and comparison is None and no_more(maker.line, unit):
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


def _struck(maker: FactMaker, fact: Fact, unit: UnitSaid) -> tuple[Fact, dict[str, str]]:
    """ "The right strikes the left": which foot has the mark, and which one struck it."""
    sides = [m for m in unit.feet() if m.code in ("left", "right")]
    if not sides or not unit.roles("strikes"):
        return fact, {}
    found = maker.tracker.name(sides[-1].code, maker.line.text(sides[-1]))
    if len(found.feet) != 1:
        return fact, {}
    fact = changed(fact, feet=found.feet, foot_basis=FootBasis.SAID)
    return fact, {"strikes": found.feet[0].mate.value}


def _is_old(maker: FactMaker, fact: Fact, unit: UnitSaid, comparison: Comparison | None) -> bool:
    """ "Old abscess track": of before; but what grows out is there today."""
    old = maker.line.norm(unit.head.start) == "old" and unit.head.size > 1
    grows = comparison is not None and comparison.trend is Trend.GROWING_OUT
    if grows and not (old and "abscess" in maker.line.text(unit.head)):
        return False
    return fact.historical or (old and fact.code in TRACES)


def _trend_meant(
    maker: FactMaker, fact: Fact, unit: UnitSaid, comparison: Comparison | None
) -> Comparison | None:
    """How a finding really compares: drier horn is worse, and so is a stronger pulse."""
    if comparison is None:
        return None
    grows = comparison.trend is Trend.GROWING_OUT
    if grows and (item_per_horse(fact.code) or fact.code in _GROWS_NOT):
        return None
    stronger = fact.code in ("digital_pulse", "bounding_pulse") and "stronger" in {
        maker.line.norm(i) for m in unit.roles("better") for i in m.covers()
    }
    if stronger or (fact.code == "dry_horn" and unit.has("better")):
        return replace(comparison, trend=Trend.WORSE)
    return None if comparison.trend is Trend.GONE and fact.code in _LOST else comparison


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
