"""Facts with numbers: measurements, scores, and the sizes of findings."""

from __future__ import annotations

from fieldlog.core.changed import changed
from fieldlog.core.facts import Fact, FactKind, FootBasis
from fieldlog.core.units import Quantity, Unit
from fieldlog.language.context.comparisons import of_value
from fieldlog.language.context.head_context import Context
from fieldlog.language.facts.doubts_said import value_doubts
from fieldlog.language.facts.maker import FactMaker
from fieldlog.language.facts.reading_base import base_of, comparison_of
from fieldlog.language.values.kinds import Value
from fieldlog.language.wording import unit_fits
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import UnitSaid

SCALES = {"lameness": "lameness_scale", "condition": "condition_scale"}
_DIFFERS = frozenset({"imbalance", "mismatched", "sheared_heel", "long_toe", "high_heel",
                      "low_heel", "contracted_heel", "uneven"})  # fmt: skip


def with_size_said(maker: FactMaker, fact: Fact, unit: UnitSaid) -> Fact:
    """The fact with the size that was said of it today."""
    if fact.negated and fact.kind is FactKind.FINDING:
        return fact  # what is not there has no size: it is of what stands beside it
    marks = unit.of("size")
    if unit.head.kind == "finding" and unit.head.code not in _DIFFERS:
        marks = [m for m in marks if m.value.rule != "size:difference"]
    today = [m for m in marks if not _as_it_was(maker, m)]
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


def _as_it_was(maker: FactMaker, mark: Mark) -> bool:
    """ "Was two inches in May", "half an inch it was last time": the size of before."""
    if maker.line.norm(mark.start - 1) in ("was", "were", "from"):
        return True
    words = [maker.line.norm(i) for i in range(mark.end, mark.end + 3)]
    return words[:2] in (["it", "was"], ["last", "time"], ["last", "visit"])


def measurement(maker: FactMaker, unit: UnitSaid, context: Context) -> Fact:
    """A measured value of a foot, or of the horse."""
    value: Value = unit.head.value
    context.severity = None
    fact = _measured_foot(maker, unit, context, value.kind)
    fact = changed(
        fact,
        quantity=value.quantity,
        places=_places_of_value(fact, value.kind),
        rule=value.rule,
        negated=False,
        comparison=of_value(comparison_of(maker, unit)),
        uncertain=context.uncertain and not value.quantity.approximate,
    )
    now = maker.line.norm(unit.head.end) in ("now", "today")
    if value.rule == "measure:was" and not now:
        fact = changed(fact, historical=True)
    if "order" in unit.head.tags:
        why = "Two values for a pair: the left one is taken to be said first."
        fact = fact.with_doubt("foot_assumed", why)
    maker.last_moment = moment = _moment(maker, unit)
    behind = maker.line.norm(unit.head.end + 1)
    if moment in ("before", "after") and behind not in ("the", "next"):
        fact = changed(fact, details={**fact.details, "moment": moment})
    return value_doubts(fact, value)


def _measured_foot(maker: FactMaker, unit: UnitSaid, context: Context, kind: str) -> Fact:
    """ "Fifty-two near, against fifty-four": the second value is the other foot's."""
    held = maker.tracker.in_hand
    fact = base_of(maker, unit, context, FactKind.MEASUREMENT, kind)
    if "versus" not in unit.head.tags:
        return fact
    if held:
        maker.tracker.in_hand = held  # "sixty against fifty-two on the near": only compared
    if unit.feet() or len(maker.tracker.in_hand) != 1:
        return fact
    mate = maker.tracker.in_hand[0].mate
    return changed(
        fact,
        feet=(mate,),
        foot_basis=FootBasis.OTHER_OF_PAIR,
        why_foot=f"The value after “against” is the {mate.american}'s.",
    )


def _moment(maker: FactMaker, unit: UnitSaid) -> str:
    """ "From four inches to three and a half": before the trim, after it."""
    lead = {maker.line.norm(i) for i in range(unit.head.start - 3, unit.head.start)}
    if "from" in lead:
        return "before"
    if "to" in lead and maker.last_moment == "before":
        return "after"
    return maker.line.norm(unit.head.end)


def score_given(maker: FactMaker, unit: UnitSaid, context: Context) -> Fact | None:
    """A grade or a score with its scale."""
    grades = _grades(maker, unit, context)
    if not grades:
        return None
    code, item = unit.head.code, unit.head.item
    uncertain, span = context.uncertain, grades[0].number
    low, high = span.value, span.high
    if high is None and len(grades) > 1 and not _of_other_feet(unit, *grades[:2]):
        high, uncertain = grades[1].number.value, True
    if "from_to" in unit.head.tags:
        uncertain = False  # "seven, maybe seven and a half": which of the two, not whether
    if high is not None and high < low:
        low, high = high, low
    top = next((t[3:] for g in grades for t in g.tags if t.startswith("of:")), "")
    scale, assumed = _scale(maker, code, top, item.more.get("scales", []) if item else [])
    fact = base_of(maker, unit, context, FactKind.SCORE, code)
    fact = changed(
        fact,
        quantity=Quantity(low, Unit.GRADE, high, span.approximate, spoken=span.spoken),
        details={**fact.details, "scale": scale, **_gait(maker, unit)},
        uncertain=uncertain,
        negated=False,
        rule=f"score:{code}",
    )
    if assumed:
        fact = fact.with_doubt("scale_assumed", "The scale was not named; it is assumed.")
    return fact


def _of_other_feet(unit: UnitSaid, one: Mark, two: Mark) -> bool:
    """ "One left front, two right front": two grades, not one between them."""
    return any(m.kind == "foot" and one.end <= m.start < two.start for m in unit.marks())


def _grades(maker: FactMaker, unit: UnitSaid, context: Context) -> list[Mark]:
    """The grades of today: "five, was four last time"."""
    grades = [m for m in unit.marks() if m.kind == "grade"]
    if unit.head.number is not None:
        grades.insert(0, unit.head)
    past = [m for m in grades if maker.line.norm(m.start - 1) in ("was", "were", "from")]
    if past and len(past) < len(grades):
        grades = [m for m in grades if m not in past]
        context.historical = False
    return grades


def _gait(maker: FactMaker, unit: UnitSaid) -> dict[str, str]:
    words = [maker.line.text(m) for m in unit.roles("gait")]
    return {"gait": " ".join(words)} if words else {}


def _scale(maker: FactMaker, code: str, top: str, scales: list[str]) -> tuple[str, bool]:
    """The scale of a grade, and whether it was assumed."""
    if top:
        for scale in scales:
            if scale.endswith(f"_{top}"):
                return scale, False
    habit = getattr(maker.settings, SCALES.get(code, ""), "")
    if habit in scales:
        return habit, True
    return (scales[0], len(scales) > 1) if scales else ("", True)


def _places_of_value(fact: Fact, kind: str) -> tuple[str, ...]:
    """Where it was measured: for most kinds only the side of the hoof, joined to its region."""
    if kind in ("depth", "remaining"):
        return fact.places
    sides = [p for p in fact.places if p.startswith(("medial", "lateral"))]
    return tuple(f"{p}_heel" if kind.startswith("heel") and "_" not in p else p for p in sides)
