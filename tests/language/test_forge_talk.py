"""More ways in which strangers talk: cut toes, left heels, grades of last time."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Fact, Trend
from tests.language.said import values

Facts = Callable[[str], list[Fact]]


@pytest.mark.parametrize(
    ("words", "code"),
    [
        ("He's grown right out over his shoes on the hinds.", "overgrown"),
        ("Heels in front are too high.", "high_heel"),
        ("Run under both fronts, this one.", "underrun"),
        ("Left front pastern, skin's off.", "wound"),
        ("The pad's halfway out of the left front.", "pad_loose"),
        ("Couldn't keep his off hind up.", "hard_to_pick_up"),
        ("Toey, the lot of them.", "nervous"),
        ("Took the foot away from me.", "snatched"),
        ("Flew back hard in the cross ties.", "pulled_back"),
        ("His manners are getting better.", "improving_manners"),
        ("No reason to look at it again.", "no_follow_up"),
        ("Groom's phoning me Monday.", "call"),
        ("She's not to leave her box.", "owner_care"),
        ("Get the vet for something to settle him.", "sedation_by_vet"),
        ("Asked for some pictures of the right front.", "radiographs"),
        ("I recommended them to have the vet.", "advised_vet"),
        ("Soles I've left.", "leave_alone"),
        ("Left every bit of heel, left front.", "leave_alone"),
    ],
)
def test_said_another_way(words: str, code: str, facts: Facts) -> None:
    assert code in [f.code for f in facts(words)]


@pytest.mark.parametrize(
    "words",
    [
        "Right hind, not bothered by the testers.",
        "Right hind, couldn't get a thing off the testers.",
        "Right hind, nothing out of the testers.",
    ],
)
def test_quiet_to_the_testers(words: str, facts: Facts) -> None:
    assert "tester_negative" in [f.code for f in facts(words)]


@pytest.mark.parametrize(
    "words",
    [
        "I could've trimmed her in the kitchen.",
        "Cold mud, hard as that, just dirt, sound underneath.",
    ],
)
def test_what_might_have_been_is_no_fact(words: str, facts: Facts) -> None:
    assert facts(words) == []


def test_so_much_off_each_foot(facts: Facts) -> None:
    found = facts("Took an inch off each front and three quarters of an inch behind.")
    assert values(found) == {
        ("LF", "taken_off", 1.0),
        ("RF", "taken_off", 1.0),
        ("LH", "taken_off", 0.75),
        ("RH", "taken_off", 0.75),
    }


def test_near_toe_names_the_foot(facts: Facts) -> None:
    found = facts("Near toe ninety-one mil, off toe eighty-nine.")
    assert values(found) == {("LF", "toe_length", 91.0), ("RF", "toe_length", 89.0)}


def test_what_the_score_was(facts: Facts) -> None:
    now, then = facts("Condition six today. He was a four last spring.")
    assert (now.code, then.code) == ("condition", "condition")
    assert then.historical
    assert not now.historical


def test_grade_of_a_clubby_foot(facts: Facts) -> None:
    assert "club_grade" in [f.code for f in facts("That's a clubby right, grade three.")]


@pytest.mark.parametrize(
    ("words", "period"),
    [
        ("Trimmed all round, seven weeks since it's cold.", "P7W"),
        ("It's six weeks from now on.", "P6W"),
        ("Five-weekly from now on.", "P5W"),
        ("Just the usual eight.", "P8W"),
    ],
)
def test_weeks_to_come(words: str, period: str, facts: Facts) -> None:
    assert [f.due.period for f in facts(words) if f.due] == [period]


def test_weeks_gone_by(facts: Facts) -> None:
    assert not any(f.due for f in facts("Duke, six weeks on. Shoes worn thin, left front."))


def test_an_animal_has_four_feet(facts: Facts) -> None:
    (fact,) = facts("Trimmed the mare.")
    assert len(fact.feet) == 4


def test_nothing_trimmed(facts: Facts) -> None:
    (fact,) = facts("Trimmed nothing.")
    assert (fact.code, fact.negated, len(fact.feet)) == ("trim", True, 4)


def test_what_was_hung_is_a_shoe(facts: Facts) -> None:
    (fact,) = facts("Hung a new one on the right hind.")
    assert (fact.code, fact.feet[0].value) == ("shoe", "RH")


def test_care_in_one_breath_is_one_call(facts: Facts) -> None:
    found = facts("Told Ann, off the grass today, soft bed, and soak his hay.")
    (care,) = [f for f in found if f.code == "owner_care"]
    assert care.due is not None
    assert "bed" in care.details["what"]


@pytest.mark.parametrize(
    ("words", "code"),
    [
        ("He went up on his hind legs.", "reared"),
        ("I had Tess holding.", "held"),
        ("She used to be a terror.", "improving_manners"),
    ],
)
def test_how_he_stood_and_what_was_said(words: str, code: str, facts: Facts) -> None:
    assert [f.code for f in facts(words)] == [code]


@pytest.mark.parametrize("words", ["Came off the float in a sweat.", "Vet's on it."])
def test_travel_and_who_is_at_it_are_no_work(words: str, facts: Facts) -> None:
    assert facts(words) == []


def test_stronger_on_one_side_is_worse_than_the_other(facts: Facts) -> None:
    found = facts("Pulses up in both fronts, stronger on the left.")
    assert [f.feet[0].value for f in found if f.comparison] == ["LF"]


def test_less_of_it_is_better(facts: Facts) -> None:
    (thrush,) = facts("Thrush, right hind, less of it than last time.")
    assert thrush.comparison is not None
    assert thrush.comparison.trend is Trend.BETTER
