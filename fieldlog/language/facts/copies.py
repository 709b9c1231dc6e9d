"""What was said of one foot, copied to another: "same on the right", "the off fore isn't"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

from fieldlog.core.facts import (
    Comparison,
    Fact,
    FactKind,
    Reporter,
    Severity,
    Trend,
    new_id,
)
from fieldlog.core.feet import Foot, describe_feet
from fieldlog.language.ellipsis.mates import ISNT
from fieldlog.language.facts.maker import FactMaker
from fieldlog.language.facts.reading_feet import foot_compared
from fieldlog.language.facts.second_foot import placed
from fieldlog.language.feet.places_said import REGION_OF
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import Line, UnitSaid

_BESIDE = frozenset({"bad_smell", "bleeding", "discharge", "depth"})
"""What only goes with a finding: "off fore's got one as well" is not one of these."""


class _Saying(NamedTuple):
    """How "the same on the right" was said."""

    unit: UnitSaid
    fact: Fact
    """The feet that it is said of."""
    does: bool
    """ "The left does too", "the same only at the toe": the finding, and nothing beside it."""
    severity: Severity | None
    """ "A small bit of the same"."""

    @property
    def trend(self) -> Trend:
        """How the finding is on these feet, against the ones before."""
        if self.does and self.unit.has("gone"):
            return Trend.GONE
        return Trend.GROWING_OUT if self.does and self.unit.has("growing_out") else Trend.SAME


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
    does, so_far = _where_told(unit, [*facts, *(f for _, f in made)])
    if does:
        so_far = [f for f in so_far if f.code not in _BESIDE] or so_far
    if isinstance(unit.head.value, Severity):
        severity = unit.head.value
    said = _Saying(unit, fact, does, severity)
    sources = _sources(said, so_far, foot_compared(maker, unit))
    if not sources:
        return None
    if set(sources[0].feet) < set(fact.feet):
        _widen(sources[0], fact, facts, made)
        return []
    return _copies(maker.line, said, sources) if sources[0].feet else None


def _where_told(unit: UnitSaid, so_far: list[Fact]) -> tuple[bool, list[Fact]]:
    """Whether only a finding is meant, and the facts at the place that was said.

    "The off hind the same only at the toe" is told of a place where nothing was before.
    """
    does, said = "does" in unit.head.tags, unit.of("place")
    if not said:
        return does, so_far
    places = {m.code for m in said}
    there = [f for f in so_far if REGION_OF.get(f.code) in places or places & {*f.places}]
    there = [f for f in there if f.kind is FactKind.FINDING and f.code != "normal"]
    if not there and all(m.start >= unit.head.end for m in said):
        return True, so_far
    return does, there


def _sources(said: _Saying, so_far: list[Fact], other: Foot | None) -> list[Fact]:
    """The facts of the foot before, the last one first; of ``other`` if it was named."""
    sources: list[Fact] = []
    one = said.does or said.severity is not None
    for earlier in reversed(so_far):
        if earlier.kind not in (FactKind.FINDING, FactKind.MEASUREMENT, FactKind.WORK):
            continue
        if one and (earlier.kind is not FactKind.FINDING or sources):
            continue  # "a small bit of the same on the off hind": the finding, not the work
        if other is not None and earlier.feet != (other,):
            continue
        if sources and earlier.feet != sources[0].feet:
            break
        if earlier.feet == said.fact.feet:
            break
        sources.append(_at_its_place(said.fact, earlier, so_far) if said.does else earlier)
    return sources


def _at_its_place(fact: Fact, earlier: Fact, so_far: list[Fact]) -> Fact:
    """ "The left does too, at the quarter": the finding where it is on this foot."""
    twins = [f for f in so_far if (f.code, f.feet) == (earlier.code, earlier.feet)]
    where = earlier.places or next((f.places for f in twins if f.places), ())
    code, own = placed(earlier.code, fact.places, where[0] if where else "")
    return replace(earlier, code=code, places=own or where, quantity=fact.quantity)


def _widen(source: Fact, fact: Fact, facts: list[Fact], made: list[tuple[UnitSaid, Fact]]) -> None:
    """ "Same on all four": the fact before is of all these feet."""
    facts[:] = [_widened(f, fact) if f.id == source.id else f for f in facts]
    made[:] = [(u, _widened(f, fact) if f.id == source.id else f) for u, f in made]


def _copies(line: Line, said: _Saying, sources: list[Fact]) -> list[Fact]:
    """Copies of the facts before, in their order, but for what was left out."""
    fact, head = said.fact, said.unit.head
    why = f"“{line.text(head)}” copies what was said of the {describe_feet(sources[0].feet)}."
    less_this = _left_out(line, head.end)
    sources = [s for s in sources if not less_this or less_this not in s.code.split("_")]
    if (measure := line.norm(head.end)) in _MEASURES:
        # "left front same length": that one number, and nothing else
        sources = [s for s in sources if s.code.endswith(f"_{measure}")]
        sources = [s for s in sources if s.kind is FactKind.MEASUREMENT][:1]
    lists = "story" in head.tags and len(fact.feet) > 1
    if not sources or (lists and not {f.mate for f in sources[0].feet} & {*fact.feet}):
        return []
    copies = [_copy(said, source, why) for source in reversed(sources)]
    return [_milder(f, sources[0].feet) for f in copies] if _not_so_bad(line, head) else copies


_MEASURES = frozenset({"length", "angle", "width"})
_NOT = frozenset({"not", "no", "isn't", "ain't", "aren't", "wasn't", "weren't", "never"})
_BEHIND_SAME = 10
"""Words behind "same" in which it is said that it is not so bad."""


def _not_so_bad(line: Line, head: Mark) -> bool:
    """ "Same on the off but not so bad", "the same only not half as bad"."""
    if "same" not in {line.norm(i) for i in head.covers()}:
        return False  # "right hind isn't as bad": there may be none to speak of
    for at in range(head.start, head.end + _BEHIND_SAME):
        if at >= len(line.words) or line.words[at].sort == "stop":
            return False
        if line.norm(at) == "bad":
            lead = [line.norm(i) for i in range(at - 4, at)]
            return bool(_NOT & {*lead}) and bool({"as", "so"} & {*lead})
    return False


def _milder(fact: Fact, than: tuple[Foot, ...]) -> Fact:
    """The same thing, less of it than on the foot before; a job or a number is no worse."""
    if fact.kind is not FactKind.FINDING or fact.negated or len(than) != 1 or fact.feet == than:
        return fact
    if len(fact.feet) != 1 or fact.code == "event_line":
        return fact
    return replace(fact, comparison=Comparison(Trend.BETTER, than[0].value), severity=None)


def _copy(said: _Saying, source: Fact, why: str) -> Fact:
    """One fact on the feet of which the same was said."""
    fact, trend = said.fact, said.trend
    gone = trend is Trend.GONE
    compares = trend is not Trend.SAME or (source.comparison and not said.does)
    comparison = _than_mate(said, source) or (Comparison(trend) if compares else None)
    less = "less" in said.unit.head.tags
    return replace(
        source.on_feet_of(fact),
        id=new_id(),
        why_foot=why,
        span=fact.span,
        rule=f"same:{source.rule}",
        comparison=comparison,
        severity=said.severity or (None if less else source.severity),
        negated=gone or (source.negated and not said.does),
        historical=source.historical and not said.does,
        doubts=tuple(d for d in source.doubts if not d.code.startswith("foot_")),
        readings=(),
    )


def _than_mate(said: _Saying, source: Fact) -> Comparison | None:
    """ "Right front the same but shorter": than on the foot before."""
    trend = next((t for t in _SIZED if f"than:{t.value}" in said.unit.head.tags), None)
    if trend is None or len(source.feet) != 1 or source.feet == said.fact.feet:
        return None
    return Comparison(trend, source.feet[0].value)


_SIZED = (Trend.SMALLER, Trend.LARGER)


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
    if own:
        if not so_far or not _told_by_others(so_far[-1]):
            return []
        if so_far[-1].feet or not fact.feet:
            fact = replace(fact, feet=so_far[-1].feet, foot_basis=so_far[-1].foot_basis)
    source = _denied_source(unit, fact, so_far, own)
    if source is None or source.code == "normal":
        return []
    if not own:
        _nothing_left(source, fact, made)
        if not source.feet or not fact.feet:
            return []
    return [_denial(line, unit, fact, source, own)]


def _told_by_others(fact: Fact) -> bool:
    """ "Owner says he's lame; he isn't": a finding that is not the farrier's of today."""
    if fact.kind is not FactKind.FINDING or fact.negated:
        return False
    return fact.reporter is not Reporter.FARRIER or fact.historical


def _denied_source(unit: UnitSaid, fact: Fact, so_far: list[Fact], own: bool) -> Fact | None:
    """The last finding, of another foot unless that very fact is denied."""
    codes = unit.head.value or ()
    return next(
        (
            f
            for f in reversed(so_far)
            if f.kind is FactKind.FINDING
            and (own or f.feet != fact.feet)
            and (not codes or f.code in codes)
        ),
        None,
    )


def _nothing_left(source: Fact, fact: Fact, made: list[tuple[UnitSaid, Fact]]) -> None:
    """ "In front left small right none": nothing is left of the pair on the right."""
    if source.rule.startswith("again:"):
        gone = (source.code, fact.feet, source.kind)
        made[:] = [(u, f) for u, f in made if (f.code, f.feet, f.kind) != gone or f.negated]


def _denial(line: Line, unit: UnitSaid, fact: Fact, source: Fact, own: bool) -> Fact:
    """The finding denied; "the right one's growing out, the left one isn't" leaves it there."""
    gone, was = "gone" in unit.head.tags, source.comparison
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
    return copy.with_doubt("competing_readings", why)


def _widened(fact: Fact, by: Fact) -> Fact:
    return replace(
        fact.on_feet_of(by),
        span=(fact.span[0], by.span[1]),
        doubts=tuple(d for d in fact.doubts if not d.code.startswith("foot_")),
    )
