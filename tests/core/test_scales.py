"""Scales against their published ranges."""

from __future__ import annotations

import pytest

from fieldlog.core.scales import SCALES, grade_in_words


@pytest.mark.parametrize(
    ("code", "low", "high"),
    [
        ("aaep_0_5", 0, 5),  # AAEP
        ("uk_0_10", 0, 10),  # Vet Times 2015
        ("henneke_1_9", 1, 9),  # Henneke et al. 1983
        ("obel_1_4", 1, 4),  # Obel 1948
    ],
)
def test_ranges(code: str, low: float, high: float) -> None:
    scale = SCALES[code]
    assert scale.allows(low)
    assert scale.allows(high)
    assert not scale.allows(low - 1)
    assert not scale.allows(high + 1)


@pytest.mark.parametrize(
    ("grade", "keyword"),
    [
        (0, "no lameness"),
        (1, "not consistent"),
        (2, "some circumstances"),
        (3, "trot in all"),
        (4, "obvious at the walk"),
        (5, "least weight"),
    ],
)
def test_aaep_wording_keeps_the_published_sense(grade: int, keyword: str) -> None:
    """Source: AAEP lameness scale, equinepainmatters.com."""
    assert keyword in grade_in_words("aaep_0_5", grade)


@pytest.mark.parametrize("code", list(SCALES))
def test_halves_are_in_use_and_nothing_finer(code: str) -> None:
    """Common practice, no source."""
    scale = SCALES[code]
    assert scale.allows(scale.low + 0.5)
    assert not scale.allows(scale.low + 0.25)
    assert all(scale.allows(grade) for grade in scale.grades)


def test_every_scale_names_its_source() -> None:
    assert all(scale.source for scale in SCALES.values())


def test_half_grades_have_no_wording_of_their_own() -> None:
    assert grade_in_words("aaep_0_5", 2.5) == ""
    assert grade_in_words("unknown", 2) == ""
