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
        ([seen("will_not_rise")], "laminitis_signs"),  # EQUUS, 1 Apr 2017; NEWC says to call too
        ([lame(10, "uk_0_10")], "not_weight_bearing"),  # Vet Times 2015: 10 no weight
        ([lame(7, "uk_0_10")], "marked_lameness"),  # Vet Times 2015: 7 to 10 severe
        ([seen("wound", details={"extent": "deep"})], "deep_wound"),  # NEWC compendium 2005
        ([seen("canker")], "canker"),  # O'Grady 2018
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
        [lame(6, "uk_0_10")],  # Vet Times 2015: 4 to 6 moderate
        [lame(3.5, "aaep_0_5")],  # AAEP: 4 is the first that shows at the walk
        [seen("discharge", severity=Severity.MILD)],
        [seen("wound")],
        [seen("bleeding", severity=Severity.MODERATE)],
        [seen("digital_pulse")],
        [seen("penetrating_object", planned=True)],
        [Fact(FactKind.WORK, "trim")],
    ],
)
def test_no_flag(facts: list[Fact]) -> None:
    assert red_flags(facts) == []


def test_the_upper_end_of_a_range_counts() -> None:
    between = Fact(FactKind.SCORE, "lameness", quantity=Quantity(3, Unit.GRADE, high=4))
    assert [f.code for f in red_flags([between])] == ["marked_lameness"]


def test_the_worst_lameness_is_told_once() -> None:
    assert [f.code for f in red_flags([lame(5, "aaep_0_5")])] == ["not_weight_bearing"]


def test_a_flag_names_the_facts_that_raised_it() -> None:
    hot, beating, other = seen("heat"), seen("digital_pulse"), seen("thrush")
    (flag,) = red_flags([beating, other, hot])
    assert set(flag.fact_ids) == {hot.id, beating.id}
    (sure,) = red_flags([hot, beating, founder := seen("founder")])
    assert sure.fact_ids == (founder.id,), "told once, by what shows it alone"


def test_a_flag_of_another_version_still_says_to_call() -> None:
    assert flag_text("no_longer_known").startswith("Call a veterinarian.")


def test_the_most_urgent_comes_first() -> None:
    flags = red_flags([seen("abscess"), seen("penetrating_object")])
    assert [f.urgency for f in flags] == [Urgency.NOW, Urgency.WITHIN_48_H]


def test_a_flag_never_says_what_the_horse_has() -> None:
    flags = red_flags([seen("founder"), seen("abscess")])
    assert len(flags) == 2
    for flag in flags:
        assert "only a veterinarian diagnoses" in flag.text
        assert "may be" in flag.text
