"""Growth, grow-out and differences from saved values, against published figures."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from fieldlog.cli.demo_day import DemoDay
from fieldlog.core.facts import Fact, FactKind, FootBasis
from fieldlog.core.feet import Foot
from fieldlog.core.units import Quantity, Unit
from fieldlog.papers.content import VisitNotes
from fieldlog.papers.trends import assumptions, growths, panels, values_of, worked_out
from tests.papers.conftest import horse_file

SPRING = date(2026, 3, 18)


def toe(value: float, moment: str = "", unit: Unit = Unit.MM, foot: Foot = Foot.LF) -> Fact:
    return Fact(
        FactKind.MEASUREMENT,
        "toe_length",
        (foot,),
        FootBasis.SAID,
        quantity=Quantity(value, unit),
        details={"moment": moment} if moment else {},
    )


def score(code: str, value: float, scale: str, high: float | None = None) -> Fact:
    quantity = Quantity(value, Unit.GRADE, high=high)
    return Fact(FactKind.SCORE, code, quantity=quantity, details={"scale": scale})


def test_thirteen_millimetres_in_six_weeks() -> None:
    """13 / 6 = 2.17 mm a week (Kolstrung et al., Med Weter 2012;68:426)."""
    visits = [
        VisitNotes(SPRING, (toe(82.0, "after"),)),
        VisitNotes(SPRING + timedelta(weeks=6), (toe(95.0, "before"), toe(82.0, "after"))),
    ]
    ((day, rate),) = growths(values_of(visits))[Foot.LF]
    assert day == SPRING + timedelta(weeks=6)
    assert rate.per_week == pytest.approx(2.17, abs=0.005)
    assert rate.low == pytest.approx(11 / 6)
    assert rate.high == pytest.approx(15 / 6)
    (line,) = worked_out(values_of(visits))
    assert line.startswith("Left front toe grew 2.2 mm a week (1.8 to 2.5) over 6 weeks")


def test_dareh_shori_toe_before_and_after() -> None:
    """Dorsal wall 8.83 cm before and 8.53 cm after the trim, difference 0.30 cm (n = 10, Iranian
    Journal of Veterinary Surgery, article 79374)."""
    visit = VisitNotes(SPRING, (toe(8.83, "before", Unit.CM), toe(8.53, "after", Unit.CM)))
    before, after = values_of([visit])
    assert (before.moment, after.moment) == ("before", "after")
    assert (after.value - before.value) / 10 == pytest.approx(-0.30)


def test_two_lengths_of_one_day_are_before_and_after_in_their_order() -> None:
    visit = VisitNotes(SPRING, (toe(95.0), toe(82.0), toe(84.0, foot=Foot.RF)))
    moments = {(v.foot, v.value): v.moment for v in values_of([visit])}
    assert moments == {
        (Foot.LF, 95.0): "before",
        (Foot.LF, 82.0): "after",
        (Foot.RF, 84.0): "",
    }


def test_no_growth_is_made_up_where_it_is_not_known() -> None:
    plain = [VisitNotes(SPRING + timedelta(weeks=6 * n), (toe(82.0 + n),)) for n in range(3)]
    assert growths(values_of(plain)) == {}
    assert worked_out(values_of(plain)) == []


def test_half_an_inch_to_go_has_a_window() -> None:
    """12.7 mm at the published 6 to 10 mm a month: 1.27 to 2.12 months."""
    track = Fact(
        FactKind.MEASUREMENT, "remaining", (Foot.RH,), FootBasis.SAID,
        quantity=Quantity(0.5, Unit.INCH),
    )  # fmt: skip
    (line,) = worked_out(values_of([VisitNotes(date(2026, 11, 25), (track,))]))
    assert line == (
        "Right hind: 13 mm to go on 25 Nov 2026, expected out between 2 Jan 2027 and 28 Jan 2027."
    )


def test_weight_by_girth_and_length_is_an_estimate_only() -> None:
    """Girth squared times length over 11,900 (Carroll & Huntington 1988): 76 in and 65 in are
    193.04 and 165.1 cm, 517 kg."""
    both = [
        Fact(FactKind.MEASUREMENT, "girth", quantity=Quantity(76, Unit.INCH)),
        Fact(FactKind.MEASUREMENT, "body_length", quantity=Quantity(65, Unit.INCH)),
    ]
    (line,) = worked_out(values_of([VisitNotes(SPRING, tuple(both))]))
    assert "Weight about 517 kg" in line
    assert "never for a drug dose" in line
    assert "Carroll & Huntington" in assumptions()


def test_grades_of_two_scales_are_never_on_one_axis() -> None:
    visits = [
        VisitNotes(SPRING, (score("lameness", 2, "aaep_0_5"), score("lameness", 4, "uk_0_10"))),
        VisitNotes(SPRING + timedelta(days=7), (score("lameness", 1, "aaep_0_5"),)),
    ]
    titles = [p.title for p in panels(values_of(visits))]
    assert len(titles) == 2
    assert [t.split(", ", 1)[1] for t in titles] == [
        "AAEP lameness, 0 to 5",
        "UK lameness, 0 to 10",
    ]
    assert all(len(p.traces) == 1 for p in panels(values_of(visits)))


def test_a_range_is_drawn_in_its_middle() -> None:
    visit = VisitNotes(SPRING, (score("condition", 5.5, "henneke_1_9", 6.0),))
    (value,) = values_of([visit])
    assert value.value == pytest.approx(5.75)


def test_denied_and_earlier_values_are_left_out() -> None:
    visit = VisitNotes(SPRING, (replace(toe(80), negated=True), replace(toe(81), historical=True)))
    assert values_of([visit]) == []


def test_the_demos_youngster_has_a_course(day: DemoDay) -> None:
    values = values_of(horse_file(day, "bramble").visits)
    shown = panels(values, british=True)
    assert [p.title for p in shown][:2] == ["toe length", "toe angle"]
    assert shown[-1].title.startswith("Toe growth")
    assert {t.label for t in shown[0].traces} == {"near fore", "off fore"}
    assert all(p.low is not None for t in shown[-1].traces for p in t.points)


def test_a_toe_that_would_shrink_is_said_and_not_worked_out() -> None:
    visits = [
        VisitNotes(SPRING, (toe(90.0, "after"),)),
        VisitNotes(SPRING + timedelta(weeks=4), (toe(80.0, "before"),)),
    ]
    assert growths(values_of(visits)) == {}
    (line,) = worked_out(values_of(visits))
    assert "shorter than the last trim left it" in line


def test_left_and_right_are_compared_in_words() -> None:
    day = date(2026, 10, 1)

    def said(left: float, right: float) -> str:
        visit = VisitNotes(day, (toe(left, "after"), toe(right, "after", foot=Foot.RF)))
        return worked_out(values_of([visit]))[-1]

    assert said(82, 84) == "Left front toe length was 2.0 mm less than right front on 1 Oct 2026."
    assert said(84, 82) == "Left front toe length was 2.0 mm more than right front on 1 Oct 2026."
    assert said(84, 84) == ("Toe length was the same on left front and right front on 1 Oct 2026.")
