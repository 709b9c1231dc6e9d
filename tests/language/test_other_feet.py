"""What a few words say of one more foot, which pair a side belongs to, and what has no foot."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Fact

Facts = Callable[[str], list[Fact]]


def told(found: list[Fact], code: str) -> dict[str, bool]:
    """By foot: whether it was denied there."""
    return {foot.value: f.negated for f in found if f.code == code for foot in f.feet}


@pytest.mark.parametrize(
    ("said", "code"),
    [
        ("Corn in the off fore, inside. The near fore never had one.", "corn"),
        ("Thrush in the right front, middle groove. Left front has no sign of it.", "thrush"),
        ("Quarter crack on the off fore. Near fore not a mark on it.", "quarter_crack"),
        ("The right front is toed out. Left front, straight as a die.", "toed_out"),
        ("Soft spot on the sole of the right front. The left is hard.", "soft_spot"),
        ("White line separation at the toe, off fore. Near fore nothing like it.",
         "white_line_separation"),
    ],
)  # fmt: skip
def test_the_mate_has_none_of_it(said: str, code: str, facts: Facts) -> None:
    assert told(facts(said), code) == {"RF": False, "LF": True}


@pytest.mark.parametrize(
    ("said", "code"),
    [
        ("Thrush in the left hind. Right hind still has some.", "thrush"),
        ("Big flare on the left hind, outside. The right hind isn't as bad.", "flare"),
        ("Near hind has a heel crack. The off hind not so much.", "heel_crack"),
        ("Left hind has a grass crack at the toe. Right hind has the same thing.", "grass_crack"),
        ("Bruise at the toe of the left hind, and right hind the same only at the quarter.",
         "bruise"),
        ("Both hinds toed out, the left more so.", "toed_out"),
        ("Both hinds are long. Thrush in there too, the left worse than the right.", "thrush"),
    ],
)  # fmt: skip
def test_the_mate_has_it_too(said: str, code: str, facts: Facts) -> None:
    assert told(facts(said), code) == {"LH": False, "RH": False}


def test_less_of_it_is_not_as_severe(facts: Facts) -> None:
    found = facts("Severe thrush in the left hind. Right hind isn't as bad.")
    assert [f.severity.value if f.severity else "" for f in found] == ["severe", ""]


def test_the_same_done_to_the_other_foot(facts: Facts) -> None:
    found = facts("Left front, pulled the shoe, trimmed, reset it. Right front, same thing.")
    assert [told(found, c) for c in ("pull", "trim", "reset")] == [{"LF": False, "RF": False}] * 3


@pytest.mark.parametrize(
    ("said", "code", "feet"),
    [
        ("Both hinds first: left one has thrush.", "thrush", {"LH"}),
        ("Bars folded over on the two hinds.", "folded_bar", {"LH", "RH"}),
        ("Thrush in both fronts. I'll take the rest next time. Soles are flat.", "flat_sole",
         {"LF", "RF"}),
    ],
)  # fmt: skip
def test_which_feet_are_meant(said: str, code: str, feet: set[str], facts: Facts) -> None:
    assert set(told(facts(said), code)) == feet


@pytest.mark.parametrize(
    ("said", "code"),
    [
        ("He's forging behind.", "forging"),
        ("She has been stumbling in front.", "stumbling"),
        ("Call me if that left front gets warm.", "call"),
        ("The vet will sedate him for the hinds.", "sedation_by_vet"),
    ],
)
def test_the_horse_and_its_people_have_no_foot(said: str, code: str, facts: Facts) -> None:
    found = [f for f in facts(said) if f.code == code]
    assert [f.feet for f in found] == [()]


@pytest.mark.parametrize(
    ("said", "code", "feet"),
    [
        ("Fronts done. Hinds not done.", "trim",
         {"LF": False, "RF": False, "LH": True, "RH": True}),
        ("Trimmed the fronts. I haven't touched the hinds.", "leave_alone",
         {"LH": False, "RH": False}),
        ("Frogs ragged on the fronts. No heat in any.", "heat",
         {"LF": True, "RF": True, "LH": True, "RH": True}),
    ],
)  # fmt: skip
def test_the_other_pair(said: str, code: str, feet: dict[str, bool], facts: Facts) -> None:
    assert told(facts(said), code) == feet


@pytest.mark.parametrize(
    "said",
    [
        "Left front thrush. Right front the same but not as bad.",
        "Thrush in the left front, right front's the same thing only milder.",
    ],
)
def test_the_same_but_less_is_there_too(said: str, facts: Facts) -> None:
    assert told(facts(said), "thrush") == {"LF": False, "RF": False}
