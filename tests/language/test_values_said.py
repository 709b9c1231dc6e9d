"""How talkers say numbers: before their cue, without one, of the horse, of nothing at all.

Ways of talking: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Fact
from tests.language.said import heard, values

Facts = Callable[[str], list[Fact]]


SAID = [
    (
        "Seventy four girth, sixty three length, sixteen hands.",
        {("-", "girth", 74), ("-", "body_length", 63), ("-", "height", 16)},
    ),
    (
        "Left front fifty two on the toe angle and forty eight the heel.",
        {("LF", "toe_angle", 52), ("LF", "heel_angle", 48)},
    ),
    (
        "Near fore, ninety mil toe, forty mil heel.",
        {("LF", "toe_length", 90), ("LF", "heel_length", 40)},
    ),
    (
        "Right hind, fifty six angle, three and a quarter length.",
        {("RH", "toe_angle", 56), ("RH", "toe_length", 3.25)},
    ),
    (
        "Right front toe fifty two, heel forty eight.",
        {("RF", "toe_angle", 52), ("RF", "heel_angle", 48)},
    ),
    (
        "Left front forty two on the heel and fifty at the toe, right front forty three and fifty.",
        {
            ("LF", "heel_angle", 42),
            ("LF", "toe_angle", 50),
            ("RF", "heel_angle", 43),
            ("RF", "toe_angle", 50),
        },
    ),
    (
        "Twelve mil of sole left front, eleven right front.",
        {("LF", "sole_depth", 12), ("RF", "sole_depth", 11)},
    ),
    ("She's fifteen two.", {("-", "height", 15.5)}),
    ("He's about eleven hundred pounds.", {("-", "weight", 1100)}),
    (
        "Left front fifty two, right front fifty three. Three and a half and three and an eighth.",
        {
            ("LF", "toe_angle", 52),
            ("RF", "toe_angle", 53),
            ("LF", "toe_length", 3.5),
            ("RF", "toe_length", 3.125),
        },
    ),
    (
        "The toe angle's up from forty eight to fifty one on the right front.",
        {("RF", "toe_angle", 48), ("RF", "toe_angle", 51)},
    ),
    ("Weight tape says seven hundred pounds. She was six hundred forty in October.",
     {("-", "weight", 700), ("-", "weight", 640)}),
    ("Toes were four inches on the left front so I brought them back to three and a half.",
     {("LF", "toe_length", 4), ("LF", "toe_length", 3.5)}),
    (
        "Trimmed all four fronts seven inches across six and three quarters long.",
        {(f, c, v) for f in ("LF", "RF") for c, v in (("hoof_width", 7), ("hoof_length", 6.75))},
    ),
    (
        "Frog on the near hind's an inch wide at the back, three inches long.",
        {("LH", "frog_width", 1), ("LH", "frog_length", 3)},
    ),
    (
        "Sole nine mil left front and eight mil right front, palmar angle twelve and fourteen.",
        {
            ("LF", "sole_depth", 9),
            ("RF", "sole_depth", 8),
            ("LF", "palmar_angle", 12),
            ("RF", "palmar_angle", 14),
        },
    ),
    (
        "Fronts are long, four and a quarter.",
        {("LF", "toe_length", 4.25), ("RF", "toe_length", 4.25)},
    ),
    ("Hinds are fifty five, fifty six.", {("LH", "toe_angle", 55), ("RH", "toe_angle", 56)}),
    (
        "Left front five and a half inches wide, right front five and a quarter.",
        {("LF", "hoof_width", 5.5), ("RF", "hoof_width", 5.25)},
    ),
    (
        "Left front one hundred thirty millimetres wide, one forty long.",
        {("LF", "hoof_width", 130), ("LF", "hoof_length", 140)},
    ),
    (
        "Hoof width one twenty four left front, one twenty seven right front.",
        {("LF", "hoof_width", 124), ("RF", "hoof_width", 127)},
    ),
    (
        "Hoof length one forty near fore, one forty two off fore.",
        {("LF", "hoof_length", 140), ("RF", "hoof_length", 142)},
    ),
    (
        "Near fore toe eighty eight, heel thirty eight.",
        {("LF", "toe_length", 88), ("LF", "heel_length", 38)},
    ),
    ("Left front was fifty five and I brought it down to fifty two.",
     {("LF", "toe_angle", 55), ("LF", "toe_angle", 52)}),
    ("About three to three and a quarter on the right hind toe.", {("RH", "toe_length", 3)}),
    (
        "Left fore eighty five mil at fifty one degrees. Heel thirty five.",
        {("LF", "toe_length", 85), ("LF", "toe_angle", 51), ("LF", "heel_length", 35)},
    ),
    (
        "She weighed nine hundred and twenty on the tape, that's down from nine eighty in August.",
        {("-", "weight", 920), ("-", "weight", 980)},
    ),
    ("Off fore sole at the toe's about twelve mil.", {("RF", "sole_depth", 12)}),
    (
        "Right so heels. Left front forty four, right front forty three.",
        {("LF", "heel_angle", 44), ("RF", "heel_angle", 43)},
    ),
    (
        "Two hundred and fifty mil across the fronts. Two forty on the hinds.",
        {(f, "hoof_width", 250) for f in ("LF", "RF")}
        | {(f, "hoof_width", 240) for f in ("LH", "RH")},
    ),
    (
        "Wedged him up two degrees in front, so he's sitting at fifty four now.",
        {("LF", "toe_angle", 54), ("RF", "toe_angle", 54)},
    ),
    ("Palmar angle of minus two on the left fore.", {("LF", "palmar_angle", -2)}),
    (
        "Fronts three and a half, hinds three and a quarter, angles fifty two and fifty five.",
        {(f, c, v) for f in ("LF", "RF") for c, v in (("toe_length", 3.5), ("toe_angle", 52))}
        | {(f, c, v) for f in ("LH", "RH") for c, v in (("toe_length", 3.25), ("toe_angle", 55))},
    ),
    (
        "Palmar angle five left front and eight right front, sole at twelve and nine.",
        {
            ("LF", "palmar_angle", 5),
            ("RF", "palmar_angle", 8),
            ("LF", "sole_depth", 12),
            ("RF", "sole_depth", 9),
        },
    ),
    (
        "Left front has nine degrees of rotation and the sole's down to seven mil.",
        {("LF", "sole_depth", 7)},
    ),
    (
        "Seven hundred and fifty pounds by the tape, thirteen one, girth sixty five.",
        {("-", "weight", 750), ("-", "height", 13.25), ("-", "girth", 65)},
    ),
    ("One eighty two on the girth, that's up three centimetres.", {("-", "girth", 182)}),
    (
        "Tape says two eighty kilos, up from two fifty five in September.",
        {("-", "weight", 280), ("-", "weight", 255)},
    ),
    (
        "Front left toe length eight point five centimetres, heel four centimetres. "
        "Front right eight point seven, four point one.",
        {
            ("LF", "toe_length", 8.5),
            ("LF", "heel_length", 4),
            ("RF", "toe_length", 8.7),
            ("RF", "heel_length", 4.1),
        },
    ),
    ("He's a hundred and fifty two centimetres to the withers.", {("-", "height", 152)}),
    (
        "Angle went from forty nine to fifty two left front, right front from fifty to fifty one.",
        {(f, "toe_angle", v) for f, v in (("LF", 49), ("LF", 52), ("RF", 50), ("RF", 51))},
    ),
    (
        "Palmar angle's dropped to two from five on the left fore.",
        {("LF", "palmar_angle", 2), ("LF", "palmar_angle", 5)},
    ),
    ("He weighs a thousand and fifty pounds.", {("-", "weight", 1050)}),
    ("Put the tape on him, eleven twenty five pounds.", {("-", "weight", 1125)}),
    ("Girth seventy six, down two inches from last time.", {("-", "girth", 76)}),
    ("Left front five wide by five and a quarter long.",
     {("LF", "hoof_width", 5), ("LF", "hoof_length", 5.25)}),
]  # fmt: skip


@pytest.mark.parametrize(("text", "expected"), SAID)
def test_each_number_finds_its_measure(
    facts: Facts, text: str, expected: set[tuple[str, str, float]]
) -> None:
    assert values(facts(text)) == expected
    if "heels." not in text:
        assert values(facts(heard(text))) == expected


@pytest.mark.parametrize(
    "text",
    [
        "It's ninety degrees out here and no shade.",
        "He leaned on me, two hundred pounds it felt like.",
        "Pair of fronts, three quarter by five sixteenths, seven nails.",
        "She owes me two hundred pounds.",
        "Trimmed at fifty two Oak Road.",
        "Left front, twenty by eight steel.",
        "Left front toe grew about three eighths in six weeks.",
        "He's got a sixteen foot trailer.",
        "Paid fifty for the fronts, forty for the hinds.",
        "Shod him in front, concave three quarters, size three.",
        "Heel bulbs on the right hind sit two inches apart.",
        "Left front's fine, I've forty two more to do this week.",
        "Left front shoe, number fifty two in the catalogue.",
        "Hind left shoe's a fifty fifty chance of lasting.",
        "Fronts fifty dollars, hinds forty.",
        "Frog's about two fingers wide on the left front.",
        "Toe to heel ratio's about two to one on the left front.",
    ],
)
def test_other_numbers_measure_nothing(facts: Facts, text: str) -> None:
    assert not values(facts(text))
    assert not values(facts(heard(text)))
    assert all(f.quantity is None for f in facts(text))


def test_a_sentence_of_its_own_tells_the_size_of_the_finding_before(facts: Facts) -> None:
    (crack,) = facts("Toe crack, left hind. Two inches long now.")
    assert crack.quantity is not None
    assert (crack.quantity.value, crack.details["measure"]) == (2, "length")


def test_a_length_behind_a_finding_is_no_amount_of_the_job_after_it(facts: Facts) -> None:
    crack, job = facts("Toe crack left hind, half an inch up from the ground and I rolled that toe")
    assert crack.quantity is not None
    assert crack.quantity.value == 0.5
    assert job.quantity is None


def test_the_score_of_today_is_not_joined_with_the_old_one(facts: Facts) -> None:
    (score,) = facts("Body condition's three and a half, it was two and a half when he came in.")
    assert score.quantity is not None
    assert (score.quantity.value, score.quantity.high, score.historical) == (3.5, None, False)


def test_two_values_for_a_pair_are_asked_about(facts: Facts) -> None:
    found = facts("Fronts are fifty, fifty two.")
    assert len(found) == 2
    assert all("foot_assumed" in {d.code for d in f.doubts} for f in found)


def test_a_heading_of_its_own_says_what_the_numbers_are(facts: Facts) -> None:
    found = facts("Heel angles now. Left front forty four, right front forty eight.")
    assert values(found) == {("LF", "heel_angle", 44), ("RF", "heel_angle", 48)}


def test_a_foot_that_is_pointed_at_is_not_measured(facts: Facts) -> None:
    found = facts("Left front sole depth eleven mil, fourteen on that foot.")
    assert {f.code for f in found} == {"sole_depth"}


def test_the_size_of_before_is_not_the_size_of_today(facts: Facts) -> None:
    (line,) = facts(
        "Event line on the left front, an inch from the hairline, half an inch it was last time."
    )
    assert line.quantity is not None
    assert line.quantity.value == 1


def test_three_tenths_lame_is_a_grade(facts: Facts) -> None:
    (score,) = facts("He's lame on the near fore, three tenths.")
    assert score.code == "lameness"
    assert score.quantity is not None
    assert (score.quantity.value, score.quantity.unit.value) == (3, "grade")


def test_up_on_last_time_compares_the_value_before(facts: Facts) -> None:
    (angle,) = facts("Left front angle fifty, that's three degrees up on last time.")
    assert angle.comparison is not None
    assert angle.comparison.trend == "larger"


def test_a_quarter_longer_is_a_difference(facts: Facts) -> None:
    (change,) = facts("Left front toe is a quarter longer than the right.")
    assert change.quantity is not None
    assert change.quantity.value == 0.25
