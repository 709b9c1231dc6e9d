"""The pages of one horse as text."""

from __future__ import annotations

from datetime import date
from typing import Any

from fieldlog.app.horse_text import before_visit, history, last_measures
from fieldlog.core.facts import Fact, FactKind, FootBasis, Severity
from fieldlog.core.feet import Foot
from fieldlog.core.units import Quantity, Unit
from fieldlog.records.types import Horse, HorsePage, MeasuredPoint, SavedFact


def _page(**more: Any) -> HorsePage:
    fields = {"cautions": (), "last_facts": (), "follow_ups": (), "planned": (), **more}
    return HorsePage(Horse("h", "Storm"), last_day=date(2026, 11, 25), **fields)


def _point(
    day: date, foot: Foot, shown: str, code: str = "toe_length", before: bool = False
) -> MeasuredPoint:
    return MeasuredPoint(day, code, foot, 80.0, "in", shown, False, "e", before)


def test_the_horse_page_has_the_last_measures_foot_beside_foot() -> None:
    last, old = date(2026, 11, 25), date(2026, 10, 21)
    points = (
        _point(last, Foot.LF, "3 1/4 in"),
        _point(old, Foot.RF, "3 3/8 in"),
        _point(old, Foot.RF, "1/4 in", "depth"),
        _point(old, Foot.RF, "4", "lameness"),
    )
    lines = last_measures(_page(measures=points), 78)
    assert lines[0].split() == ["left", "front", "right", "front"]
    assert lines[1].split("  ")[0] == "toe length"
    assert "3 1/4 in  " in lines[1]
    assert lines[1].endswith("3 3/8 in, 21 Oct 2026")
    assert len(lines) == 2, "no depth of a finding and no score among the measures"
    four = tuple(_point(old, foot, "3 13/16 in", before=True) for foot in Foot)
    narrow = last_measures(_page(measures=four), 78)
    assert max(map(len, narrow)) <= 76
    assert all("3 13/16 in before, 21 Oct 2026" in line for line in narrow)


def test_the_horse_page_says_first_what_to_call_a_vet_for() -> None:
    shown = before_visit(
        _page(measures=(), red_flags=("laminitis_signs",)), 78, date(2026, 12, 1)
    ).plain
    assert shown.index("SAFETY FIRST") < shown.index("!! ") < shown.index("No caution")
    assert "From the last visit, 2026-11-25" in shown


def test_a_long_caution_goes_on_under_itself() -> None:
    words = "kicks out behind when the left hind is held above the hock, and needs two people"
    shown = before_visit(_page(measures=(), cautions=(words,)), 60, date(2026, 12, 1)).plain
    lines = shown.split("SAFETY FIRST\n")[1].split("\n\n")[0].splitlines()
    assert lines[0].startswith(" ! kicks")
    assert lines[1].startswith("   ")
    assert " ".join(" ".join(lines).split()) == f"! {words}"
    assert max(map(len, lines)) <= 60


def test_history_cuts_nothing_off() -> None:
    fact = Fact(
        FactKind.FINDING, "quarter_crack", (Foot.RF,), FootBasis.SAID,
        details={"extent": "does not reach the hairline"}, places=("inside_quarter",),
        severity=Severity.MODERATE, quantity=Quantity(1.25, Unit.INCH),
    )  # fmt: skip
    shown = history([SavedFact(fact, "e", "h", date(2026, 11, 25), None)], 44).plain
    assert "…" not in shown
    assert "1 1/4 in" in " ".join(shown.split())
