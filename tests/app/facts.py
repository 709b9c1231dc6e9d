"""Invented facts for the tests of the screens."""

from __future__ import annotations

from datetime import date

from fieldlog.core.facts import (
    Doubt,
    Due,
    Fact,
    FactKind,
    FootBasis,
    Reading,
)
from fieldlog.core.feet import Foot
from fieldlog.core.units import Quantity, Unit


def toe(foot: Foot = Foot.LF, value: float = 3.25, unit: Unit = Unit.INCH, **more: object) -> Fact:
    """A toe length."""
    made = Fact(
        FactKind.MEASUREMENT,
        "toe_length",
        (foot,),
        FootBasis.SAID,
        quantity=Quantity(value, unit),
        span=(0, 10),
        rule="measure:value_after",
        confidence=0.97,
    )
    from dataclasses import replace

    return replace(made, **more)  # type: ignore[arg-type]


def finding(code: str, *feet: Foot, **more: object) -> Fact:
    """A finding on some feet."""
    from dataclasses import replace

    basis = FootBasis.SAID if feet else FootBasis.UNSTATED
    made = Fact(FactKind.FINDING, code, feet, basis, rule=f"lexicon:{code}", confidence=0.95)
    return replace(made, **more)  # type: ignore[arg-type]


def inferred_toe() -> Fact:
    """A toe length whose unit was not spoken, with two other readings."""
    return toe(
        quantity=Quantity(3.25, Unit.INCH, unit_inferred=True),
        doubts=(Doubt("unit_inferred", "The unit was not spoken; inches fit the size."),),
        readings=(
            Reading("3 3/4 in", {"quantity": {"value": 3.75, "unit": "in"}}),
            Reading("heel length 3 1/4 in", {"code": "heel_length"}),
        ),
    )


def recheck() -> Fact:
    """A follow-up in four weeks."""
    return Fact(
        FactKind.FOLLOW_UP,
        "recheck",
        due=Due("in four weeks", "P4W", on=date(2026, 12, 23)),
        details={"who": "farrier"},
        confidence=0.95,
    )
