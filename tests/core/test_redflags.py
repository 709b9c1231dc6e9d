"""When to call a veterinarian, each from its published source."""

from __future__ import annotations

import pytest

from fieldlog.core.facts import Fact, FactKind, Severity
from fieldlog.core.redflags import Urgency, flag_text, red_flags
from fieldlog.core.units import Quantity, Unit


def seen(code: str, **more: object) -> Fact:
    return Fact(FactKind.FINDING, code, **more)  # type: ignore[arg-type]


def lame(grade: float, scale: str) -> Fact:
    return Fact(
        FactKind.SCORE,
        "lameness",
        quantity=Quantity(grade, Unit.GRADE),
        details={"scale": scale},
    )


@pytest.mark.parametrize(
    ("facts", "code"),
    [
        ([seen("penetrating_object")], "penetrating_object"),  # Morton, Univ. of Florida 2012
        ([seen("not_weight_bearing")], "not_weight_bearing"),  # NEWC compendium 2005
        ([lame(5, "aaep_0_5")], "not_weight_bearing"),  # AAEP 5: minimal weight bearing
        ([seen("bounding_pulse")], "laminitis_signs"),  # EQUUS, 1 Apr 2017
        ([seen("heat"), seen("digital_pulse")], "laminitis_signs"),  # EQUUS, 1 Apr 2017
        ([seen("founder", uncertain=True)], "laminitis_signs"),  # EQUUS, 1 Apr 2017
        ([seen("wound", severity=Severity.SEVERE)], "deep_wound"),  # NEWC compendium 2005
        ([seen("bleeding", severity=Severity.SEVERE)], "severe_bleeding"),  # NEWC
        ([lame(4, "aaep_0_5")], "marked_lameness"),  # NEWC: within 48 hours
        ([lame(8, "uk_0_10")], "marked_lameness"),  # Vet Times 2015: 7 to 10 severe
        ([seen("fracture", uncertain=True)], "fracture"),  # common practice, no source
        ([seen("discharge")], "discharge"),  # Lungwitz: suppurating corn
    ],
)
def test_flags(facts: list[Fact], code: str) -> None:
    flags = red_flags(facts)
    assert flags[0].code == code
    assert flags[0].source
    assert "veterinarian" in flag_text(code)


@pytest.mark.parametrize(
    "facts",
    [
        [],
        [seen("bounding_pulse", negated=True)],
        [seen("abscess", historical=True)],
        [seen("thrush")],
        [seen("heat")],
        [lame(4, "uk_0_10")],
        [lame(2, "aaep_0_5")],
        [Fact(FactKind.WORK, "trim")],
    ],
)
def test_no_flag(facts: list[Fact]) -> None:
    assert red_flags(facts) == []


def test_the_most_urgent_comes_first() -> None:
    flags = red_flags([seen("abscess"), seen("penetrating_object")])
    assert [f.urgency for f in flags] == [Urgency.NOW, Urgency.WITHIN_48_H]


def test_a_flag_never_says_what_the_horse_has() -> None:
    flags = red_flags([seen("founder"), seen("abscess")])
    assert len(flags) == 2
    for flag in flags:
        assert "only a veterinarian diagnoses" in flag.text
        assert "may be" in flag.text
