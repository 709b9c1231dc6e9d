"""Measures and places as new talkers say them: lists, tenths, what came off, where it was."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Fact, FactKind

Facts = Callable[[str], list[Fact]]

MEASURED = [
    (
        "Left front toe nine two, right front toe eight seven.",
        {("LF", "toe_length", 9.2, "cm"), ("RF", "toe_length", 8.7, "cm")},
    ),
    (
        "Off hind, toe eight point three, heel three one, fifty-four.",
        {
            ("RH", "toe_length", 8.3, "cm"),
            ("RH", "heel_length", 3.1, "cm"),
            ("RH", "toe_angle", 54, "deg"),
        },
    ),
    (
        "Near fore, heel an inch and three quarters, fifty-one degrees.",
        {("LF", "heel_length", 1.75, "in"), ("LF", "toe_angle", 51, "deg")},
    ),
    (
        "Coronary tape, near fore fourteen and a half, off fore fourteen.",
        {("LF", "coronet_circumference", 14.5, "in"), ("RF", "coronet_circumference", 14, "in")},
    ),
    (
        "Coronet tape, near fore three fifty, off fore three forty-five.",
        {("LF", "coronet_circumference", 350, "mm"), ("RF", "coronet_circumference", 345, "mm")},
    ),
    (
        "Near fore heel thirty-six inside, forty-one on the outside.",
        {("LF", "heel_length", 36, "mm"), ("LF", "heel_length", 41, "mm")},
    ),
    (
        "Hairline on the near fore, twenty-seven.",
        {("LF", "coronet_angle", 27, "deg")},
    ),
]
LISTED = [
    (
        "Toes: eighty-one, eighty-four, seventy-nine, eighty, that's near fore, off fore, "
        "off hind, near hind.",
        {("LF", 81), ("RF", 84), ("RH", 79), ("LH", 80)},
    ),
    (
        "Toe lengths, right front, left front, right hind, left hind. Three and an eighth, three, "
        "three and a quarter and three and three eighths.",
        {("RF", 3.125), ("LF", 3), ("RH", 3.25), ("LH", 3.375)},
    ),
    (
        "The pony. Fifty-six, fifty-five, fifty-eight, fifty-nine.",
        {("LF", 56), ("RF", 55), ("LH", 58), ("RH", 59)},
    ),
]
PLACED = [
    ("Stone wedged beside the frog, left hind.", "stone_lodged", ("collateral_sulcus",)),
    ("Outside groove of the frog on the near fore has thrush.", "thrush",
     ("lateral_collateral_sulcus",)),
    ("Tack in the right front at the frog's point.", "penetrating_object", ("frog_apex",)),
    ("Left hind has thrush in the middle.", "thrush", ("central_sulcus",)),
    ("Clips at the toe, left front.", "clips", ("toe",)),
    ("Small hole in the white line at the toe, off fore.", "hollow", ("white_line", "toe")),
    ("Brought the breakover back on the left front.", "set_back_toe", ("breakover",)),
    ("Near fore toe is long past the quarter.", "long_toe", ()),
]  # fmt: skip


def measured(found: list[Fact]) -> set[tuple[str, str, float, str]]:
    return {
        (foot.value, f.code, f.quantity.value, f.quantity.unit.value)
        for f in found
        for foot in f.feet
        if f.kind is FactKind.MEASUREMENT and f.quantity is not None
    }


@pytest.mark.parametrize(("text", "wanted"), MEASURED)
def test_a_value_and_its_measure(
    facts: Facts, text: str, wanted: set[tuple[str, str, float, str]]
) -> None:
    assert measured(facts(text)) == wanted


@pytest.mark.parametrize(("text", "wanted"), LISTED)
def test_a_list_of_numbers_for_a_list_of_feet(
    facts: Facts, text: str, wanted: set[tuple[str, float]]
) -> None:
    assert {(foot, value) for foot, _, value, _ in measured(facts(text))} == wanted


@pytest.mark.parametrize(("text", "code", "places"), PLACED)
def test_where_it_is(facts: Facts, text: str, code: str, places: tuple[str, ...]) -> None:
    assert [f.places for f in facts(text) if f.code == code] == [places]


def test_what_came_off_long_toes_is_the_job(facts: Facts) -> None:
    found = facts("Front toes are long. Took six mil off the left and four off the right.")
    jobs = [
        (f.feet[0].value, f.quantity.value) for f in found if f.code == "shorten_toe" and f.quantity
    ]
    assert jobs == [("LF", 6), ("RF", 4)]


@pytest.mark.parametrize(
    "text",
    [
        "Left hind has thrush, it goes six mil down.",
        "Seedy toe, left hind, I can hide the tip of the pick in it, six mil.",
        "Little hollow in the white line, left hind, I got six mil of probe into it.",
    ],
)
def test_how_far_the_pick_goes_is_a_depth(facts: Facts, text: str) -> None:
    assert ("LH", "depth", 6, "mm") in measured(facts(text))


def test_a_shrunken_frog_is_measured_by_its_width(facts: Facts) -> None:
    found = facts("Near fore, frog's shrunk, twenty-two mil.")
    assert measured(found) == {("LF", "frog_width", 22, "mm")}


@pytest.mark.parametrize(
    ("text", "code", "value"),
    [
        ("The toe on the near fore is long by twelve mil.", "long_toe", 12),
        ("Near fore, I've lowered the heel by five.", "lower_heel", 5),
    ],
)
def test_by_so_much(facts: Facts, text: str, code: str, value: float) -> None:
    assert [f.quantity and f.quantity.value for f in facts(text) if f.code == code] == [value]


def test_the_sides_of_the_heels_go_on_in_their_order(facts: Facts) -> None:
    found = facts(
        "Near fore inside heel one and a half, outside heel one and three quarters. "
        "Off fore one and a half and two."
    )
    sides = [(f.feet[0].value, f.places) for f in found if f.code == "heel_length"]
    assert sides == [
        ("LF", ("medial_heel",)),
        ("LF", ("lateral_heel",)),
        ("RF", ("medial_heel",)),
        ("RF", ("lateral_heel",)),
    ]


def test_a_depth_is_where_its_finding_is(facts: Facts) -> None:
    found = facts("Seedy toe on the near hind, an inch deep.")
    assert [f.places for f in found if f.code == "depth"] == [("toe",)]
