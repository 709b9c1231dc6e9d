"""What was said of one foot, copied to another: "same on the right", "the off fore isn't"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fieldlog.core.facts import (
    Comparison,
    Fact,
    FactKind,
    Reporter,
    Severity,
    Trend,
    new_id,
)
from fieldlog.core.feet import describe_feet
from fieldlog.language.mates import ISNT
from fieldlog.language.places_said import REGION_OF
from fieldlog.language.reading import FactMaker
from fieldlog.language.second_foot import placed
from fieldlog.language.units_said import Line, UnitSaid

_BESIDE = frozenset({"bad_smell", "bleeding", "discharge", "depth"})
"""What only goes with a finding: "off fore's got one as well" is not one of these."""


def copied(
    maker: FactMaker,
    unit: UnitSaid,
    fact: Fact,
    facts: list[Fact],
    made: list[tuple[UnitSaid, Fact]],
    severity: Severity | None,
) -> list[Fact] | None:
    """ "Same on the right", "the other one's the same": what was said of the foot before.

    Returns:
        The copies, or None if this is no such statement. If the new feet include the old
        ones ("same on all four") the old facts are widened instead.
    """
    if unit.has("against_last") or not fact.feet:
        return None
    so_far = [*facts, *(f for _, f in made)]
    does = "does" in unit.head.tags
    places = {m.code for m in unit.of("place")}
    if places:
        there = [f for f in so_far if REGION_OF.get(f.code) in places or places & {*f.places}]
        there = [f for f in there if f.kind is FactKind.FINDING and f.code != "normal"]
        # "the off hind the same only at the toe"
        elsewhere = not there and all(m.start >= unit.head.end for m in unit.of("place"))
        does = does or elsewhere
        so_far = so_far if elsewhere else there
    other = maker.compared(unit)
    if does:
        so_far = [f for f in so_far if f.code not in _BESIDE] or so_far
    less = "less" in unit.head.tags
    if isinstance(unit.head.value, Severity):
        severity = unit.head.value
    gone = does and unit.has("gone")
    grows = does and unit.has("growing_out")
    trend = Trend.GONE if gone else Trend.GROWING_OUT if grows else Trend.SAME
    sources: list[Fact] = []
    for earlier in reversed(so_far):
        if earlier.kind not in (FactKind.FINDING, FactKind.MEASUREMENT, FactKind.WORK):
            continue
        if (does or severity is not None) and (earlier.kind is not FactKind.FINDING or sources):
            continue  # "a small bit of the same on the off hind": the finding, not the work
        if other is not None and earlier.feet != (other,):
            continue
        if sources and earlier.feet != sources[0].feet:
            break
        if earlier.feet == fact.feet:
            break
        twins = [f for f in so_far if (f.code, f.feet) == (earlier.code, earlier.feet)]
        where = next((f.places for f in twins if f.places), ())
        if does:
            where = earlier.places or where
            code, own = placed(earlier.code, fact.places, where[0] if where else "")
            earlier = replace(earlier, code=code, places=own or where, quantity=fact.quantity)
        sources.append(earlier)
    if not sources:
        return None
    if set(sources[0].feet) <= set(fact.feet) and len(fact.feet) > len(sources[0].feet):
        wide = {s.id for s in sources[:1]}
        grown = [_widened(f, fact) if f.id in wide else f for f in facts]
        facts[:] = grown
        made[:] = [(u, _widened(f, fact) if f.id in wide else f) for u, f in made]
        return []
    words = maker.line.text(unit.head)
    why = f"“{words}” copies what was said of the {describe_feet(sources[0].feet)}."
    if not sources[0].feet:
        return None
    less_this = _left_out(maker.line, unit.head.end)
    sources = [s for s in sources if not less_this or less_this not in s.code.split("_")]
    lists = "story" in unit.head.tags and len(fact.feet) > 1
    if not sources or (lists and not {f.mate for f in sources[0].feet} & {*fact.feet}):
        return []
    return [
        replace(
            source,
            id=new_id(),
            feet=fact.feet,
            foot_basis=fact.foot_basis,
            why_foot=why,
            span=fact.span,
            rule=f"same:{source.rule}",
            comparison=Comparison(trend)
            if gone or grows or (source.comparison and not does)
            else None,
            severity=severity or (None if less else source.severity),
            negated=gone or (source.negated and not does),
            historical=source.historical and not does,
            doubts=tuple(d for d in source.doubts if not d.code.startswith("foot_")),
            readings=(),
        )
        for source in reversed(sources)
    ]


def without_overruled(made: list[tuple[UnitSaid, Fact]]) -> list[tuple[UnitSaid, Fact]]:
    """ "Right front the same, only fifty-two", "the same but no thrush": what is told of the foot
    itself is no copy."""
    own = {(f.code, f.feet) for u, f in made if u.head.kind == "value"}
    denied = {(f.code, f.feet) for _, f in made if f.negated and not f.rule.startswith("same:")}
    return [
        (u, f)
        for u, f in made
        if not (f.rule.startswith("same:measure") and (f.code, f.feet) in own)
        and not (f.rule.startswith("same:") and not f.negated and (f.code, f.feet) in denied)
    ]


def _left_out(line: Line, at: int) -> str:
    """The thing behind "(the same) but no bar", "(the same) without the pad"; else empty."""
    while line.norm(at) in (",", "but", "just", "only", "again", "with"):
        at += 1
    if line.norm(at) not in ("no", "without", "minus", "less"):
        return ""
    at += 1
    while line.norm(at) in ("the", "a", "any"):
        at += 1
    return line.norm(at).removesuffix("s")


def denied(
    line: Line,
    unit: UnitSaid,
    fact: Fact,
    facts: Sequence[Fact],
    made: list[tuple[UnitSaid, Fact]],
) -> list[Fact]:
    """ "The off fore isn't": the finding before, denied on this foot."""
    so_far = [*facts, *(f for _, f in made)]
    own = fact.rule == "denied_here"
    codes, gone = unit.head.value or (), "gone" in unit.head.tags
    if own:
        told = so_far[-1:] if so_far and so_far[-1].kind is FactKind.FINDING else []
        if not told or told[0].negated:
            return []
        if told[0].reporter is Reporter.FARRIER and not told[0].historical:
            return []
        if told[0].feet or not fact.feet:
            fact = replace(fact, feet=told[0].feet, foot_basis=told[0].foot_basis)
    source = next(
        (
            f
            for f in reversed(so_far)
            if f.kind is FactKind.FINDING
            and (own or f.feet != fact.feet)
            and (not codes or f.code in codes)
        ),
        None,
    )
    if source is None or source.code == "normal":
        return []
    # "in front left small right none": nothing is left of the pair on the right
    made[:] = [
        (u, f)
        for u, f in made
        if own or (f.code, f.feet, f.kind) != (source.code, fact.feet, source.kind)
        or f.negated or not source.rule.startswith("again:")
    ]  # fmt: skip
    if not own and (not source.feet or not fact.feet):
        return []
    # "The right one's growing out, the left one isn't": the crack is there all the same
    was = source.comparison
    only_so = line.norm(unit.head.end - 1) in ISNT
    trend = only_so and not own and was is not None and was.trend is not Trend.GONE
    copy = replace(
        source.on_feet_of(fact),
        id=new_id(),
        places=(),
        negated=not trend or source.negated,
        severity=None,
        comparison=Comparison(Trend.GONE) if gone else None,
        quantity=None,
        details={},
        span=fact.span,
        rule=f"same:{source.rule}",
        reporter=Reporter.FARRIER if own else source.reporter,
        uncertain=False,
        historical=source.historical and not own and not gone,
        doubts=() if own else fact.doubts,
        readings=(),
    )
    why = "Read as the finding before, denied on this foot."
    return [copy.with_doubt("competing_readings", why)]


def _widened(fact: Fact, by: Fact) -> Fact:
    return replace(
        fact.on_feet_of(by),
        span=(fact.span[0], by.span[1]),
        doubts=tuple(d for d in fact.doubts if not d.code.startswith("foot_")),
    )
