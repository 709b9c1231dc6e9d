"""Ways of talking that later writers brought, each in a sentence of its own."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Fact, FactKind, Reporter
from fieldlog.core.feet import Foot

Facts = Callable[[str], list[Fact]]


def test_a_saying_may_have_the_foot_in_its_middle(facts: Facts) -> None:
    (fact,) = facts("The heel on the left front is crushed.")
    assert fact.feet == (Foot.LF,)
    assert "heel" in fact.code


def test_a_foot_after_a_list_is_the_foot_of_all_of_it(facts: Facts) -> None:
    found = facts("No thrush, no cracks on the right hind.")
    assert [(f.code, f.feet, f.negated) for f in found] == [
        ("thrush", (Foot.RH,), True),
        ("crack", (Foot.RH,), True),
    ]


def test_numbers_without_a_cue_follow_the_feet_before(facts: Facts) -> None:
    found = facts("Toe left front three and a half, right front three and a quarter.")
    sizes = [(f.feet, str(f.quantity)) for f in found if f.kind is FactKind.MEASUREMENT]
    assert [feet for feet, _ in sizes] == [(Foot.LF,), (Foot.RF,)]
    assert ["3.5" in sizes[0][1], "3.25" in sizes[1][1]] == [True, True]


def test_an_inch_and_three_quarters_is_one_length(facts: Facts) -> None:
    (fact,) = facts("Heel height right front inch and three quarters.")
    assert fact.quantity is not None
    assert float(fact.quantity.value) == pytest.approx(1.75)


def test_what_he_says_is_a_report_and_what_follows_it_is_not(facts: Facts) -> None:
    found = facts("Owner says he was lame on the left hind. I found thrush in the right hind.")
    by_code = {f.code: f.reporter for f in found}
    assert by_code["lameness"] is Reporter.OWNER
    assert by_code["thrush"] is Reporter.FARRIER


def test_the_same_words_without_punctuation_keep_their_feet(facts: Facts) -> None:
    found = facts("left front thrush in the frog right front bruise at the toe")
    assert [(f.code, f.feet) for f in found] == [
        ("thrush", (Foot.LF,)),
        ("bruise", (Foot.RF,)),
    ]


def test_a_fraction_that_lost_its_end_is_asked_about(facts: Facts) -> None:
    found = facts("left front toe three and three right front bruise at the toe")
    sizes = [f for f in found if f.kind is FactKind.MEASUREMENT]
    assert sizes
    assert all("competing_readings" in {d.code for d in f.doubts} for f in sizes)
    whole = facts("left front toe three and three eighths right front bruise at the toe")
    (size,) = (f for f in whole if f.kind is FactKind.MEASUREMENT)
    assert "competing_readings" not in {d.code for d in size.doubts}


@pytest.mark.parametrize(
    ("said", "asked"),
    [
        ("right front is fine toe three and a close doc trimmed all four", True),
        ("left front toe three inches and a bit of flare", False),
        ("left front toe three and a quarter and a bruise at the toe", False),
    ],
)
def test_a_fraction_that_was_heard_as_something_else_is_asked_about(
    facts: Facts, said: str, asked: bool
) -> None:
    (size,) = (f for f in facts(said) if f.kind is FactKind.MEASUREMENT)
    assert ("competing_readings" in {d.code for d in size.doubts}) is asked


@pytest.mark.parametrize(
    "text",
    [
        "There is a flare on the left hind, not the right.",
        "Corn on the left hind, inside. Not the right.",
        "left hind has a corn not the right",
        "Corn on the left hind. On the right, no.",
        "Corn on the left hind. Right, no.",
    ],
)
def test_not_the_other_one_denies_it_there(text: str, facts: Facts) -> None:
    found, denied = facts(text)
    assert (found.feet, found.negated) == ((Foot.LH,), False)
    assert (denied.feet, denied.negated, denied.code) == ((Foot.RH,), True, found.code)


def test_not_the_other_one_is_an_aside(facts: Facts) -> None:
    found = facts("Flare on the right hind, not the left. Dressed that back.")
    assert [(f.code, f.feet) for f in found][-1] == ("dress_flare", (Foot.RH,))


def test_a_foot_that_is_no_answer_denies_nothing(facts: Facts) -> None:
    found = facts("Right hind. No thrush, cracks or heat.")
    assert [(f.code, f.negated) for f in found] == [
        ("thrush", True),
        ("crack", True),
        ("heat", True),
    ]


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("Left hind toe three and a half. Scratch that, I read it wrong. Three inches.", 3.0),
        ("Right front heel forty. Scratch that, the gauge slipped. Forty two.", 42.0),
    ],
)
def test_a_reason_may_stand_before_the_right_value(text: str, value: float, facts: Facts) -> None:
    (fact,) = facts(text)
    assert fact.quantity is not None
    assert fact.quantity.value == value


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("His sliders went back on behind.", "reset"),
        ("New sliders behind.", "shoe"),
        ("She is fine bare behind.", "barefoot"),
        ("He ran out of temper.", "lost_patience"),
        ("He flipped right over backwards.", "reared"),
        ("Couldn't get the hinds up.", "hard_to_pick_up"),
        ("Bring someone with me next time.", "second_handler"),
        ("Left hind, pounding in the pulse.", "bounding_pulse"),
        ("Flap of skin hanging off the left hind.", "wound"),
        ("He has scratches behind on the pasterns.", "skin_sores"),
        ("Hind feet like genie slippers.", "overgrown"),
        ("Nobody has dosed him.", "drugs_given"),
        ("He needs to quit hosing her every night.", "owner_care"),
        ("Tender in the left hind heel, testers say so.", "tester_positive"),
        ("Squirted some of the blue stuff on the left hind.", "treat"),
        ("Frog on the left hind's skinny.", "frog_atrophy"),
        ("Haven't even been to the left hind.", "not_examined"),
        ("Her neck tapes thirty six inches.", "neck"),
        ("Usual cycle is six weeks.", "next_trim"),
        ("Said to the trainer he wants rest.", "spoke_to"),
    ],
)
def test_ways_to_say_a_code(text: str, code: str, facts: Facts) -> None:
    assert code in [f.code for f in facts(text)]


def test_nothing_to_fuss_about_makes_no_good_landing_mild(facts: Facts) -> None:
    found = facts("Behind he lands flat, nothing to fuss about.")
    assert [f.severity for f in found if f.code == "lands_flat"] == [None]


def test_gone_all_rough_is_not_gone(facts: Facts) -> None:
    found = facts("Left hind frog is gone all lumpy and it bleeds easily.")
    assert [f.negated for f in found if f.code == "bleeding"] == [False]


def test_nothing_wet_in_a_hole_denies_a_discharge(facts: Facts) -> None:
    found = facts("Hole in the left hind sole, nothing wet in there.")
    assert [f.negated for f in found if f.code == "discharge"] == [True]


def test_a_shoe_held_by_a_nail_has_no_handler(facts: Facts) -> None:
    assert "held" not in [f.code for f in facts("Left hind shoe is held by one nail.")]
