"""Grading scales, each kept with its name and never converted into another.

The wording is ours; the grades and their meaning are the published ones.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Scale:
    """One scale: its range, what each grade means and where that is published."""

    code: str
    """As it stands in ``Fact.details["scale"]``."""
    name: str
    """For screens and papers."""
    low: float
    high: float
    grades: dict[int, str]
    """What whole grades mean; not of every scale all of them."""
    source: str

    def allows(self, value: float) -> bool:
        """Whether ``value`` is on the scale (halves are in use on all of them)."""
        return self.low <= value <= self.high and (value * 2) % 1 == 0


SCALES = {
    s.code: s
    for s in (
        Scale(
            "aaep_0_5",
            "AAEP lameness, 0 to 5",
            0,
            5,
            {
                0: "no lameness seen in any circumstances",
                1: "hard to see and not consistent, whatever the circumstances",
                2: "hard to see at walk or straight trot, consistent in some circumstances",
                3: "consistent at the trot in all circumstances",
                4: "obvious at the walk",
                5: "bears the least weight moving or standing, or cannot move",
            },
            "AAEP scale, equinepainmatters.com",
        ),
        Scale(
            "uk_0_10",
            "UK lameness, 0 to 10",
            0,
            10,
            {
                0: "sound",
                3: "mild (1 to 3)",
                6: "moderate (4 to 6)",
                10: "no weight (7 up: severe)",
            },
            "Vet Times, 7 Dec 2015",
        ),
        Scale(
            "obel_1_4",
            "Obel, 1 to 4",
            1,
            4,
            {
                1: "shifts weight at rest, sound at walk, stilted at trot and in turns",
                2: "stilted at walk, turns with difficulty, a forefoot can be lifted",
                3: "reluctant to walk, a forefoot is lifted only with great difficulty",
                4: "moves only if forced",
            },
            "BMC Vet Res 2020, s12917-020-02715-7, after Obel 1948",
        ),
        Scale(
            "henneke_1_9",
            "Henneke body condition, 1 to 9",
            1,
            9,
            {
                1: "poor",
                2: "very thin",
                3: "thin",
                4: "moderately thin",
                5: "moderate",
                6: "moderately fleshy",
                7: "fleshy",
                8: "fat",
                9: "extremely fat",
            },
            "Henneke et al., Equine Vet J 1983;15:371",
        ),
        Scale(
            "bcs_0_5",
            "UK body condition, 0 to 5",
            0,
            5,
            {},
            "in use in the UK; from memory",
        ),
        Scale(
            "redden_1_4",
            "Redden club foot, 1 to 4",
            1,
            4,
            {
                1: "3 to 5 degrees steeper than its mate",
                2: "5 to 8 degrees steeper, rings wider at the heel",
                3: "dished wall (from memory)",
                4: "severe dish, wall about 80 degrees or more (from memory)",
            },
            "Redden 2012, nanric.com",
        ),
    )
}


def grade_in_words(scale: str, value: float) -> str:
    """What a whole grade means on its scale; empty if the scale or grade has no wording."""
    known = SCALES.get(scale)
    if known is None or value != int(value):
        return ""
    return known.grades.get(int(value), "")
