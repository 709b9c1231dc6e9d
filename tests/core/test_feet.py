"""Feet as they are typed."""

from __future__ import annotations

import pytest

from fieldlog.core.feet import ALL_FEET, FRONTS, HINDS, LEFTS, Foot, feet_named


@pytest.mark.parametrize(
    ("text", "feet"),
    [
        ("LF", (Foot.LF,)),
        ("left front", (Foot.LF,)),
        ("Front-left", (Foot.LF,)),
        ("off hind", (Foot.RH,)),
        ("both fronts", FRONTS),
        ("hind", HINDS),
        ("left feet", LEFTS),
        ("all four", ALL_FEET),
        ("RH, lf", (Foot.LF, Foot.RH)),
        ("near fore and off hind", (Foot.LF, Foot.RH)),
    ],
)
def test_feet(text: str, feet: tuple[Foot, ...]) -> None:
    assert feet_named(text) == feet


@pytest.mark.parametrize("text", ["", "fifth", "left front toe", "and", "LFRF"])
def test_no_feet(text: str) -> None:
    assert feet_named(text) == ()
