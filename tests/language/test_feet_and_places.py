"""Feet and places that are not said again: the mate, the foot behind an aside, the place before."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Fact
from fieldlog.core.feet import Foot
from tests.language.test_second_foot import told

Facts = Callable[[str], list[Fact]]

SAYINGS = [
    # a foot of which only a short word is said
    ("Thrush in the near fore, near hind does.", "LF thrush|LH thrush"),
    ("Neither front has thrush. Both hinds do.", "LF thrush not|RF thrush not|LH thrush|RH thrush"),
    ("Grass crack near fore. Off fore's got one as well.", "LF grass_crack|RF grass_crack"),
    ("Thrush off hind. Near hind, never had it.", "RH thrush|LH thrush not"),
    ("He wings in on the off fore, near fore he doesn't.", "RF winging|LF winging not"),
    (
        "Quarter crack near fore, inside. Off fore's got an old one on the outside.",
        "LF quarter_crack medial_quarter|RF quarter_crack lateral_quarter",
    ),
    ("Flare on the left front. The right front never had one.", "LF flare|RF flare not"),
    ("Shoe's loose on the left hind. Right one's tight.", "LH shoe_loose|RH shoe_loose not"),
    # back to the foot that was spoken of before the aside
    (
        "Corn in the left front, inside heel. Right front's fine. Packed it.",
        "LF corn medial_heel|RF normal|LF packing",
    ),
    (
        "Thrush in the off hind. Near hind's clean. Cleaned it out.",
        "RH thrush|LH thrush not|RH clean_out",
    ),
    ("Club foot, off fore. Near fore fine. Club grade two.", "RF clubby|LF normal|RF club_grade 2"),
    ("Toed in, near fore. Off swings straight.", "LF toed_in|RF toed_in not"),
    ("He lands toe first on the left hind. Right lands flat.", "LH toe_first|RH lands_flat"),
    (
        "Bruise near fore. Pulled it right back out, iodine in the hole.",
        "LF bruise|LF pull|LF treat",
    ),
    # more than one of what a foot has one of
    (
        "Bruise right front. Left front, no bruise. Heart bars on.",
        "RF bruise|LF bruise not|LF heart_bar|RF heart_bar",
    ),
    ("Flare near fore, corn off fore. Mismatched.", "LF flare|RF corn|LF mismatched|RF mismatched"),
    (
        "Rotation left front six degrees, right front four degrees. No sinking.",
        "LF rotation 6deg|RF rotation 4deg|LF sinking not|RF sinking not",
    ),
    (
        "Club foot, near fore. Toe angle sixty against fifty-two on the off. Heels are high.",
        "LF clubby|LF toe_angle 60deg|RF toe_angle 52deg|LF high_heel",
    ),
    # what the horse did is of the horse
    ("Twitched him for the hinds.", "twitched"),
    # named only behind it
    ("Head nod. Right front.", "RF head_nod"),
    ("Quicked him. Near hind, inside heel.", "LH quick_nail medial_heel"),
    # one place for two things
    (
        "Stone beside the inside bar, left front. Bruise under it.",
        "LF stone_lodged medial_bar|LF bruise medial_bar",
    ),
    (
        "Corn near fore, inside heel, sore when I squeeze it.",
        "LF corn medial_heel|LF tester_positive medial_heel",
    ),
    (
        "Cut on the left hind heel bulb, cleaned it out.",
        "LH wound heel_bulb|LH clean_out heel_bulb",
    ),
    ("Off hind pastern's swollen, it's warm.", "RH swelling pastern|RH heat pastern"),
    (
        "Quarter crack off fore, outside, floated that heel.",
        "RF quarter_crack lateral_quarter|RF float_heel lateral_heel",
    ),
    ("Quicked him, left hind, nail on the outside.", "LH quick_nail lateral"),
    # places that tell of no place
    ("Rolled the toe of the left hind, sealed the wall.", "LH roll_toe|LH seal"),
    ("There's a dish in the wall of the left front.", "LF dish"),
    ("Toe crack right front, hairline.", "RF toe_crack"),
    ("Deep crease between the bulbs, left hind.", "LH deep_sulcus central_sulcus"),
    ("New shoes in front with toe clips.", "LF shoe|RF shoe|LF clips toe|RF clips toe"),
]


@pytest.mark.parametrize(("said", "wanted"), SAYINGS)
def test_what_is_not_said_again(facts: Facts, said: str, wanted: str) -> None:
    found = {line.replace("2grade", "2") for line in told(facts(said))}
    assert found == set(wanted.split("|"))


def test_a_pair_is_carried_in_its_order(facts: Facts) -> None:
    """It came out of a set: left and right changed places from run to run."""
    (*_, front) = facts("Fronts: toe three and a half and three and a quarter. Thrush.")
    (*_, hind) = facts("Hinds fifty six and fifty five. Thrush.")
    assert (front.feet, hind.feet) == ((Foot.LF, Foot.RF), (Foot.LH, Foot.RH))
