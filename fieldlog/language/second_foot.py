"""A finding told again of one more foot, or of some of its feet only."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fieldlog.core.facts import Comparison, Fact, FactKind, FootBasis, Severity, Trend, new_id
from fieldlog.language.places_said import REGION_OF

_SILENT = frozenset({"normal", "better_shape", "change"})
_SAME_SIZE = frozenset({Trend.LARGER, Trend.SMALLER, Trend.BETTER, Trend.WORSE})


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
    sized = told.quantity is not None
    another = another and not apart
    source = next(
        (
            f
            for f in reversed(so_far)
            if f.feet
            and f.code not in _SILENT
            and (
                f.kind is FactKind.FINDING
                or (f.kind is FactKind.WORK and (sized or another or apart))
            )
        ),
        None,
    )
    if source is None or not told.feet:
        return None
    if set(source.feet) <= set(told.feet) and not (another and told.places):
        return None
    plain = told.severity is None and not sized and not another and not apart
    if plain and (source.negated or told.foot_basis is not FootBasis.SAID):
        return None
    feet, mates = set(told.feet), {f.mate for f in told.feet}
    part = feet < set(source.feet)
    if plain and not part and source.comparison is None and not (mates & set(source.feet)):
        return None
    trend = told.comparison
    if (
        trend is not None
        and trend.against == "last_visit"
        and trend.trend in _SAME_SIZE
        and source.comparison is None
        and not against_last
    ):
        if len(told.feet) == 1 and set(source.feet) <= {*told.feet, *mates}:
            trend = Comparison(trend.trend, told.feet[0].mate.value)
        elif part and plain:
            return source, source, None
    place = source.places[0] if len(source.places) == 1 else ""
    code, places = placed(source.code, told.places, place)
    if code == "bounding_pulse" and (another or told.severity is Severity.MILD):
        code = "digital_pulse"
    new = replace(
        source.on_feet_of(told),
        id=new_id(),
        code=code,
        places=places if another or told.places else source.places,
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
    left = next(
        (
            f
            for f in so_far
            if f.kind is source.kind
            and f.code == source.code
            and set(f.feet) == feet
            and f.severity is None
            and f.quantity is None
            and f.comparison is None
            and f.negated == new.negated
        ),
        None,
    )
    if left is not None and not another:
        # what was left of a pair after its other foot was told
        return left, None, new
    if not part:
        return source, source, new
    rest = tuple(f for f in source.feet if f not in feet)
    return source, replace(source, feet=rest), new


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
