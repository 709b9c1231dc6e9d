"""Computed numbers against published worked examples."""

from __future__ import annotations

from datetime import date

import pytest

from fieldlog.core.computed import (
    frog_ratio,
    grow_out,
    growth,
    heel_toe,
    left_right,
    weight_kg,
    weight_lb,
)


@pytest.mark.parametrize(("girth", "length", "pounds"), [(76, 65, 1137.7), (72, 66, 1036.8)])
def test_weight_in_pounds(girth: float, length: float, pounds: float) -> None:
    """Formula: M. Russell, Equine Extension; numbers 76 x 65: lylelandbarn.com; our arithmetic."""
    assert weight_lb(girth, length) == pytest.approx(pounds, abs=0.05)


@pytest.mark.parametrize(("girth", "length", "kilos"), [(193.04, 165.10, 517.0), (180, 160, 435.6)])
def test_weight_in_kilograms(girth: float, length: float, kilos: float) -> None:
    """Formula: Carroll & Huntington, Equine Vet J 1988;20:41; our arithmetic."""
    assert weight_kg(girth, length) == pytest.approx(kilos, abs=0.05)


@pytest.mark.parametrize(
    ("heel", "underrun", "boundary"), [(46, True, False), (47, False, True), (48, False, False)]
)
def test_underrun(heel: float, underrun: bool, boundary: bool) -> None:
    """Turner, equipodiatry.com/hoofbal: 5 degrees; exactly 5 is left open."""
    found = heel_toe(52, heel)
    assert (found.underrun, found.boundary) == (underrun, boundary)


def test_frog_ratio_is_a_number_without_a_verdict() -> None:
    """57.7 % is contracted by Turner (under 67 %) and healthy by Taylor (50 to 60 %)."""
    assert frog_ratio(1.875, 3.25) == pytest.approx(0.577, abs=0.0005)
    assert frog_ratio(2, 3.25) == pytest.approx(0.615, abs=0.0005)
    with pytest.raises(ValueError, match="length"):
        frog_ratio(2, 0)


def test_growth_of_the_malopolski_mares() -> None:
    """Kolstrung et al., Med Weter 2012;68:426: 13 mm in 6 weeks, 2.1 mm a week."""
    found = growth(80, 93, date(2026, 4, 1), date(2026, 5, 13))
    assert found.per_week == pytest.approx(2.1, abs=0.1)
    assert found.low < found.per_week < found.high


def test_grow_out_of_a_toe() -> None:
    """6 to 10 mm a month (horsesport.com): 82.55 mm takes 8.3 to 13.8 months."""
    found = grow_out(82.55)
    assert found.soonest_months == pytest.approx(8.3, abs=0.05)
    assert found.latest_months == pytest.approx(13.8, abs=0.05)


@pytest.mark.parametrize(
    ("before", "after", "change"),
    [(88.3, 85.3, -3.0), (136.9, 130.1, -6.8), (50.05, 51.40, 1.35), (48.65, 50.60, 1.95)],
)
def test_dareh_shori_differences(before: float, after: float, change: float) -> None:
    """Iran J Vet Surg article 79374, n = 10: wall, sole length (mm), hoof angle, P3 axis."""
    assert left_right(after, before) == pytest.approx(change, abs=0.005)


def test_growth_needs_time_to_pass() -> None:
    with pytest.raises(ValueError, match="two different days"):
        growth(80, 93, date(2026, 4, 1), date(2026, 4, 1))
    with pytest.raises(ValueError, match="negative"):
        grow_out(-1)
