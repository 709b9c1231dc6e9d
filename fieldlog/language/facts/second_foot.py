"""A finding told again of one more foot, or of some of its feet only."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

from fieldlog.core.facts import Comparison, Fact, FactKind, FootBasis, Severity, Trend, new_id
from fieldlog.language.feet.places_said import REGION_OF

_SILENT = frozenset({"normal", "better_shape", "change"})
_SAME_SIZE = frozenset({Trend.LARGER, Trend.SMALLER, Trend.BETTER, Trend.WORSE})


class _Again(NamedTuple):
    """What was said of a further foot."""

    told: Fact
    another: bool
    """ "One more", or the same thing at a place of its own."""
    apart: bool
    """A place or a material of its own was said of each foot."""

    @property
    def sized(self) -> bool:
        """A size of its own was said."""
        return self.told.quantity is not None

    @property
    def plain(self) -> bool:
        """Nothing but how it compares was said."""
        return self.told.severity is None and not (self.sized or self.another or self.apart)


def told_again(
    told: Fact,
    so_far: Sequence[Fact],
    another: bool = False,
    against_last: bool = False,
    apart: bool = False,
) -> tuple[Fact, Fact | None, Fact | None] | None:
    """What "mild on the right", "the left one's worse" makes of the finding before.

    Args:
        told: feet, severity, size and comparison that were said of the second foot.
        so_far: the facts before, in order.
        another: "one more", or the same thing at a place of its own.
        against_last: "than last time" was said.
        apart: a place or a material of its own was said of each foot.

    Returns:
        The finding told of, what is left of it (None for nothing), and the new fact (None if
        "the left hind's the worst" of four says nothing that a fact can hold); or None if
        nothing before can be meant. "Left front worse" beside "both fronts" is worse than
        its mate; beside a finding that was itself compared it is worse than last time.
    """
    said = _Again(told, another and not apart, apart)
    source = _told_before(said, so_far)
    if source is None or not _may_be_meant(said, source):
        return None
    part = set(told.feet) < set(source.feet)
    trend = told.comparison
    if trend is not None and not against_last and _compares_feet(trend, source):
        if _with_its_mate(told, source):
            trend = Comparison(trend.trend, told.feet[0].mate.value)
        elif part and said.plain:
            return source, source, None
    new = _on_this_foot(said, source, trend)
    left = None if said.another else _left_of_a_pair(new, source, so_far)
    if left is not None:
        return left, None, new
    if not part:
        return source, source, new
    rest = tuple(f for f in source.feet if f not in told.feet)
    return source, replace(source, feet=rest), new


def _told_before(said: _Again, so_far: Sequence[Fact]) -> Fact | None:
    """The last finding that has feet; of a job only "one more" or a size tells again."""
    jobs = said.sized or said.another or said.apart
    kinds = (FactKind.FINDING, FactKind.WORK) if jobs else (FactKind.FINDING,)
    return next(
        (f for f in reversed(so_far) if f.feet and f.code not in _SILENT and f.kind in kinds), None
    )


def _may_be_meant(said: _Again, source: Fact) -> bool:
    """Whether something is told of further feet, or of some of the finding's feet."""
    told = said.told
    if not told.feet:
        return False
    if set(source.feet) <= set(told.feet) and not (said.another and told.places):
        return False
    if not said.plain:
        return True
    if source.negated or told.foot_basis is not FootBasis.SAID:
        return False
    part = set(told.feet) < set(source.feet)
    mates = {f.mate for f in told.feet} & set(source.feet)
    return part or source.comparison is not None or bool(mates)


def _compares_feet(trend: Comparison, source: Fact) -> bool:
    """ "Left front worse": than the other foot, unless the finding was compared with last time."""
    size = trend.against == "last_visit" and trend.trend in _SAME_SIZE
    return size and source.comparison is None


def _with_its_mate(told: Fact, source: Fact) -> bool:
    """Whether one foot is compared with the other one of its pair."""
    mates = {f.mate for f in told.feet}
    return len(told.feet) == 1 and set(source.feet) <= {*told.feet, *mates}


def _on_this_foot(said: _Again, source: Fact, trend: Comparison | None) -> Fact:
    """The finding as it is on the feet told of now."""
    told = said.told
    place = source.places[0] if len(source.places) == 1 else ""
    code, places = placed(source.code, told.places, place)
    if code == "bounding_pulse" and (said.another or told.severity is Severity.MILD):
        code = "digital_pulse"
    return replace(
        source.on_feet_of(told),
        id=new_id(),
        code=code,
        places=places if said.another or told.places else source.places,
        severity=told.severity or (None if told.quantity is None else source.severity),
        quantity=told.quantity,
        comparison=trend,
        historical=source.historical and not (trend is not None and trend.trend is Trend.NEW),
        negated=trend is not None and trend.trend is Trend.GONE,
        details={k: v for k, v in source.details.items() if k != "extent"} | told.details,
        span=told.span,
        rule=f"again:{source.rule}",
        doubts=told.doubts,
        readings=(),
    )


def _left_of_a_pair(new: Fact, source: Fact, so_far: Sequence[Fact]) -> Fact | None:
    """What was left of a pair after its other foot was told: it has nothing of its own."""
    return next(
        (
            f
            for f in so_far
            if f.kind is source.kind
            and f.code == source.code
            and set(f.feet) == set(new.feet)
            and f.severity is None
            and f.quantity is None
            and f.comparison is None
            and f.negated == new.negated
        ),
        None,
    )


_REGIONS = frozenset({"heel", "quarter", "toe", "bar"})


def placed(code: str, places: tuple[str, ...], place: str = "") -> tuple[str, tuple[str, ...]]:
    """A toe crack's fellow at the quarter is no toe crack; "outside" is of the same region."""
    region = REGION_OF.get(code, "") or (place if place in _REGIONS else "")
    if not region or not places:
        return code, places
    joined = tuple(f"{p}_{region}" if p in ("medial", "lateral") else p for p in places)
    if any(p.endswith(region) for p in joined):
        return code, tuple(p for p in joined if p != region)
    other = {f"{r}_crack" for r in ("toe", "heel", "quarter")}
    return ("crack" if code in other else code), joined
