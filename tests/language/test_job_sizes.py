"""Sizes of jobs, a value for each foot in a list, and which job a size is of."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Fact, FactKind, FootBasis
from fieldlog.core.feet import Foot
from fieldlog.core.units import Quantity, Unit
from fieldlog.language.numbers.shorthand import trade_numbers
from fieldlog.language.opinion.gist_facts import as_kin
from fieldlog.language.opinion.sizes_heard import without_others_sizes
from tests.language.hearing import hears
from tests.language.said import heard, values


def sizes(found: list[Fact]) -> set[tuple[str, str, float]]:
    return {(foot.value, f.code, f.quantity.value) for f in found if f.kind is FactKind.WORK
            and f.quantity is not None for foot in f.feet}  # fmt: skip


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    ("text", "left", "right"),
    [
        ("Toes back three eighths near, quarter off.", 0.375, 0.25),
        ("Toes back a quarter near, three eighths off.", 0.25, 0.375),
        ("Fronts, toes back six mil near, four off.", 6, 4),
        ("Toes back six mil left, four right.", 6, 4),
        ("Left front toe back three eighths, right front a quarter.", 0.375, 0.25),
        ("Took the toes back three eighths near, quarter off, fronts.", 0.375, 0.25),
    ],
)
def test_each_foot_has_its_own_where_the_unit_is_said_once(
    facts: Callable[[str], list[Fact]], text: str, left: float, right: float, as_heard: bool
) -> None:
    found = sizes(facts(heard(text) if as_heard else text))
    assert found == {("LF", "set_back_toe", left), ("RF", "set_back_toe", right)}


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    ("text", "left", "right"),
    [
        ("A quarter off the near fore, three eighths off the off fore.", 0.25, 0.375),
        ("Six mil off the near fore, four off the off fore.", 6, 4),
        ("Took six mil off the near fore and four off the off.", 6, 4),
    ],
)
def test_what_came_off_each_foot_with_or_without_a_verb(
    facts: Callable[[str], list[Fact]], text: str, left: float, right: float, as_heard: bool
) -> None:
    found = values(facts(heard(text) if as_heard else text))
    assert found == {("LF", "taken_off", left), ("RF", "taken_off", right)}


@pytest.mark.parametrize(
    "text", ["left front toe back a half right front toe back a quarter",
             "left front toe back a half inch right front toe back a quarter inch"]
)  # fmt: skip
def test_half_an_inch_without_stops(facts: Callable[[str], list[Fact]], text: str) -> None:
    found = sizes(facts(text))
    assert found == {("LF", "set_back_toe", 0.5), ("RF", "set_back_toe", 0.25)}


def test_off_the_near_toe(facts: Callable[[str], list[Fact]]) -> None:
    found = sizes(facts("Took six mil off the near toe and four off the off."))
    assert found == {("LF", "shorten_toe", 6), ("RF", "shorten_toe", 4)}


@pytest.mark.parametrize(
    ("text", "half"),
    [
        ("Half off the toe, left hind.", 0.5),
        ("Quarter off the toe, left hind.", 0.25),
        ("Left hind long, took half off the toe.", 0.5),
    ],
)
def test_half_and_quarter_without_an_article(
    facts: Callable[[str], list[Fact]], text: str, half: float
) -> None:
    assert sizes(facts(text)) == {("LH", "shorten_toe", half)}


@pytest.mark.parametrize(
    "text", ["The shoe was half off the near fore.", "He was half off the trailer."]
)
def test_half_off_is_no_amount_behind_a_verb(facts: Callable[[str], list[Fact]], text: str) -> None:
    assert not any(f.quantity for f in facts(text))


@pytest.mark.parametrize("text", ["Shoe came off the near fore.", "He's been off the near fore."])
def test_off_a_foot_without_an_amount(facts: Callable[[str], list[Fact]], text: str) -> None:
    assert not values(facts(text))


@pytest.mark.parametrize(
    "text", ["Crack at the toe near fore, quarter off.", "Flare outside quarter off fore."]
)
def test_a_quarter_of_the_hoof_is_no_amount(facts: Callable[[str], list[Fact]], text: str) -> None:
    assert not any(f.quantity for f in facts(text))


@pytest.mark.parametrize("as_heard", [False, True])
def test_a_pair_with_values_of_its_own_is_not_of_the_sides_before(
    facts: Callable[[str], list[Fact]], as_heard: bool
) -> None:
    text = "Angles fifty two left, fifty three right, fifty five and fifty six behind."
    assert values(facts(heard(text) if as_heard else text)) == {
        ("LF", "toe_angle", 52), ("RF", "toe_angle", 53),
        ("LH", "toe_angle", 55), ("RH", "toe_angle", 56),
    }  # fmt: skip


TEXT = "Took the toe back a quarter inch"
BACK = Fact(FactKind.WORK, "set_back_toe", (Foot.LF,), FootBasis.SAID, span=(0, len(TEXT)),
            quantity=Quantity(0.25, Unit.INCH, spoken="a quarter inch"),
            rule="lexicon:set_back_toe")  # fmt: skip
WAVERING = hears(TEXT, ("shorten_toe", "back", {}), ("set_back_toe", "took", {}), how=-0.7)
"""Each of the two names about as likely as not."""


def test_a_job_between_two_names_keeps_the_rules_name() -> None:
    assert as_kin([BACK], [], WAVERING) == ([BACK], [])


def test_a_job_that_is_heard_under_no_name_is_only_offered() -> None:
    silent = hears(TEXT, ("set_back_toe", "took", {}), how=-0.1)
    assert as_kin([BACK], [], silent) == ([], [BACK])


def test_a_kindred_job_that_is_told_there_leaves_no_room_for_the_other_name() -> None:
    other = Fact(FactKind.WORK, "shorten_toe", (Foot.LF,), span=BACK.span)
    assert as_kin([BACK], [other], WAVERING) == ([], [BACK])


def test_a_size_heard_of_a_kindred_job_that_nothing_tells_stays() -> None:
    at_number = hears(TEXT, ("shorten_toe", "quarter", {}), ("set_back_toe", "took", {}))
    numbers = trade_numbers(TEXT)
    assert without_others_sizes([BACK], at_number, numbers) == [BACK]
    other = Fact(FactKind.WORK, "shorten_toe", (Foot.LF,), span=BACK.span)
    (bare, _) = without_others_sizes([BACK, other], at_number, numbers)
    assert bare.quantity is None


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    ("text", "near", "off"),
    [
        ("Off the near fore three mil, off the off fore five.", 3, 5),
        ("Off the near fore a quarter, off the off fore three eighths.", 0.25, 0.375),
        ("Off the near fore half an inch, and off the off fore a quarter.", 0.5, 0.25),
    ],
)
def test_the_amount_behind_the_foot_that_it_came_off(
    facts: Callable[[str], list[Fact]], text: str, near: float, off: float, as_heard: bool
) -> None:
    found = facts(heard(text) if as_heard else text)
    assert values(found) == {("LF", "taken_off", near), ("RF", "taken_off", off)}


@pytest.mark.parametrize(
    "text",
    [
        "three degree wedge pads on the fronts",
        "Three degree wedges on both fronts.",
        "Put 3 degree wedge pads on the fronts with pour in.",
    ],
)
def test_a_wedge_has_its_degrees(facts: Callable[[str], list[Fact]], text: str) -> None:
    """The word "degree" was taken as part of "degree wedge pads", and the three stood alone."""
    wedge = next(f for f in facts(text) if f.code == "wedge")
    assert wedge.quantity is not None
    assert (wedge.quantity.value, wedge.quantity.unit) == (3, "deg")
    assert len(wedge.feet) == 2
