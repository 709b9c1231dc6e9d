"""Spoken controls in words."""

from __future__ import annotations

import pytest

from fieldlog.core.feet import ALL_FEET, FRONTS, Foot
from fieldlog.core.words import Word
from fieldlog.speech.control import (
    Control,
    ControlKind,
    find_controls,
    find_controls_in_text,
)


def kinds(text: str) -> list[ControlKind]:
    return [c.kind for c in find_controls_in_text(text)]


@pytest.mark.parametrize(
    ("text", "feet"),
    [
        ("left front", (Foot.LF,)),
        ("off hind", (Foot.RH,)),
        ("near fore", (Foot.LF,)),
        ("both fronts", FRONTS),
        ("all four", ALL_FEET),
        ("Left Front", (Foot.LF,)),
    ],
)
def test_feet(text: str, feet: tuple[Foot, ...]) -> None:
    (control,) = find_controls_in_text(f"and now the {text} looks good")
    assert control.kind is ControlKind.FOOT
    assert control.feet == feet


@pytest.mark.parametrize(
    "text", ["he was left in front of the barn", "right back", "in front", "scratch on that", ""]
)
def test_words_that_are_no_control(text: str) -> None:
    assert kinds(text) == []


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("new horse copper penny is a chestnut mare", "copper penny"),
        ("new horse rosie left front thrush", "rosie"),
        ("new horse", ""),
        ("new horse the bay one", ""),
        ("next horse a b c d e f", ""),
        ("next horse bit of a lad called jim", "bit of"),
        ("new horse one two three four five", "one two three four"),
    ],
)
def test_a_new_horse_and_its_name(text: str, name: str) -> None:
    first = find_controls_in_text(text)[0]
    assert first.kind is ControlKind.NEW_HORSE
    assert first.name == name


def test_a_pause_ends_a_name() -> None:
    words = [
        Word("new", 0.0, 0.2),
        Word("horse", 0.2, 0.5),
        Word("storm", 1.5, 1.9),
        Word("sound", 3.0, 3.4),
    ]
    assert find_controls(words) == [Control(ControlKind.NEW_HORSE, 0, 3, (), "storm")]


def test_the_rest_in_order() -> None:
    assert kinds("scratch that right hind end of horse stop recording") == [
        ControlKind.SCRATCH,
        ControlKind.FOOT,
        ControlKind.END_OF_HORSE,
        ControlKind.STOP,
    ]
