"""Short ways of saying a thing that writers nobody had heard before brought."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Entry, Fact, FactKind
from tests.language.said import heard, values

Facts = Callable[[str], list[Fact]]


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    "text",
    [
        "Can't rule out a fracture on the off fore.",
        "Could be a fracture, off fore.",
        "Worried it might be a fracture of the pedal bone off fore.",
        "Off fore, I suspect a coffin bone fracture.",
    ],
)
def test_a_fracture_is_feared_and_a_vet_called(
    entries: Callable[..., tuple[Entry, ...]], text: str, as_heard: bool
) -> None:
    (entry,) = entries(heard(text) if as_heard else text)
    (found,) = [f for f in entry.facts if f.kind is FactKind.FINDING]
    assert (found.code, [foot.value for foot in found.feet]) == ("fracture", ["RF"])
    assert found.uncertain
    assert entry.red_flags == ("fracture",)


def test_a_fracture_that_is_denied_calls_nobody(
    entries: Callable[..., tuple[Entry, ...]],
) -> None:
    (entry,) = entries("No fracture on the films, off fore.")
    assert not entry.red_flags


@pytest.mark.parametrize(
    "text",
    [
        "I'd be amazed if that isn't an abscess in the near hind.",
        "I'd be surprised if it wasn't an abscess, near hind.",
        "Would be very surprised if there isn't an abscess in the near hind.",
    ],
)
def test_amazed_if_it_is_not(facts: Facts, text: str) -> None:
    (found,) = facts(text)
    assert (found.code, found.negated, found.uncertain) == ("abscess", False, True)


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("Thrush right hind. All trimmed.", "trim"),
        ("Thrush in the right hind, all shod.", "shoe"),
        ("Thrush right hind. All reset.", "reset"),
    ],
)
def test_all_trimmed_is_of_four_feet(facts: Facts, text: str, code: str, as_heard: bool) -> None:
    found = facts(heard(text) if as_heard else text)
    assert {(f.code, len(f.feet)) for f in found} == {("thrush", 1), (code, 4)}


def test_all_of_a_pair(facts: Facts) -> None:
    assert {(f.code, len(f.feet)) for f in facts("Hinds all trimmed.")} == {("trim", 2)}


@pytest.mark.parametrize(
    ("text", "places"),
    [
        ("Resected the left hind from one o'clock to three.", ("clock_1", "clock_3")),
        ("Wall separation left hind from ten o'clock to two.", ("clock_10", "clock_2")),
        ("Wall separation left hind, between eleven o'clock and one.", ("clock_11", "clock_1")),
    ],
)
def test_the_second_hour_of_a_stretch(facts: Facts, text: str, places: tuple[str, ...]) -> None:
    (found,) = facts(text)
    assert found.places == places


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize("how", ["right the same", "right same", "right front the same"])
def test_the_other_side_is_the_same(facts: Facts, how: str, as_heard: bool) -> None:
    text = f"Left front heel one and a quarter, {how}."
    told = values(facts(heard(text) if as_heard else text))
    assert told == {("LF", "heel_length", 1.25), ("RF", "heel_length", 1.25)}


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    "text",
    [
        "Quarter crack left front. The other front has one starting.",
        "Quarter crack left front. The right has one starting.",
        "Quarter crack left front, right front's got one too.",
        "Quarter crack left front and the right front has a smaller one.",
    ],
)
def test_the_other_has_one(facts: Facts, text: str, as_heard: bool) -> None:
    found = facts(heard(text) if as_heard else text)
    told = {(f.code, foot.value) for f in found for foot in f.feet}
    assert told == {("quarter_crack", "LF"), ("quarter_crack", "RF")}


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    "text",
    ["She's on a five week cycle now.", "Put him on a five week cycle from now on."],
)  # fmt: skip
def test_a_cycle_of_now_keeps_its_weeks(facts: Facts, text: str, as_heard: bool) -> None:
    (visit,) = facts(heard(text) if as_heard else text)
    assert visit.code == "cycle"
    assert visit.due is not None
    assert visit.due.period == "P5W"


@pytest.mark.parametrize(
    "text", ["Trimmed the hinds, she's resting him till January.", "He's resting it until spring."]
)
def test_a_rest_from_work_is_no_sign(entries: Callable[..., tuple[Entry, ...]], text: str) -> None:
    (entry,) = entries(text)
    assert "shifting_weight" not in {f.code for f in entry.facts}
    assert not entry.red_flags


@pytest.mark.parametrize("text", ["Near fore side bone.", "side bones on the near fore"])
def test_a_side_bone_is_no_side(facts: Facts, text: str) -> None:
    (found,) = facts(text)
    assert (found.code, [foot.value for foot in found.feet]) == ("sidebone", ["LF"])


def test_an_hour_without_its_sign(facts: Facts) -> None:
    (found,) = facts("Wall separation left hind from ten oclock to two.")
    assert found.places == ("clock_10", "clock_2")


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    "text",
    [
        "Neither front is sore, both hinds are.",
        "No soreness in the fronts, the hinds are.",
        "The fronts aren't sore but the hinds are.",
    ],
)
def test_what_is_denied_of_some_feet_and_so_of_others(
    facts: Facts, text: str, as_heard: bool
) -> None:
    found = facts(heard(text) if as_heard else text)
    told = {(f.code, f.negated, foot.value) for f in found for foot in f.feet}
    assert told == {("sore", True, "LF"), ("sore", True, "RF"), ("sore", False, "LH"),
                    ("sore", False, "RH")}  # fmt: skip


def test_where_nothing_was_denied_nothing_is_so(facts: Facts) -> None:
    found = facts("Both fronts are sore, the hinds are a picture.")
    assert {(f.code, len(f.feet)) for f in found if f.code == "sore"} == {("sore", 2)}
