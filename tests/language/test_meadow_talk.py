"""What an unseen writer says and was read wrongly: corrections, steps, herds, feet that differ.

Found in notes that no rule and no network had seen (tests/gold/dev_as.txt to dev_bd.txt); here in
other words.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Fact, FactKind
from tests.language.said import heard, values

Facts = Callable[[str], list[Fact]]


def feet_of(found: list[Fact], code: str, negated: bool = False) -> list[str]:
    """The feet that a code is told of, or denied."""
    return [x.value for f in found if f.code == code and f.negated is negated for x in f.feet]


def weeks(found: list[Fact]) -> list[str]:
    """The periods of the next visits, in order of time."""
    visits = [f for f in found if f.code in ("next_trim", "cycle") and f.due is not None]
    return sorted(f.due.period for f in visits if f.due)


# -- what is told over again ----------------------------------------------------------------------


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    ("text", "code", "feet"),
    [
        ("Trimmed the hinds, no, trimmed the fronts.", "trim", ["LF", "RF"]),
        ("Reset the fronts, no I lie, reset the hinds.", "reset", ["LH", "RH"]),
        ("Heat in the right hind, sorry, heat in the left hind.", "heat", ["LH"]),
        ("Put pads on the hinds, hang on, put pads on the fronts.", "pad", ["LF", "RF"]),
        ("Thrush in both hinds, not both, just the right.", "thrush", ["RH"]),
        ("It's not the fronts that are sprung, it's the hinds.", "shoe_sprung", ["LH", "RH"]),
        ("Not the off fore that's hot, it's the near fore.", "heat", ["LF"]),
    ],
)
def test_other_feet_take_the_place_of_the_first(
    facts: Facts, text: str, code: str, feet: list[str], as_heard: bool
) -> None:
    found = facts(heard(text) if as_heard else text)
    assert feet_of(found, code) == feet
    assert not feet_of(found, code, negated=True)


@pytest.mark.parametrize("as_heard", [False, True])
def test_a_no_that_denies_takes_nothing_back(facts: Facts, as_heard: bool) -> None:
    text = "Bruise on the left hind, no bruise on the right hind."
    found = facts(heard(text) if as_heard else text)
    assert feet_of(found, "bruise") == ["LH"]
    assert feet_of(found, "bruise", negated=True) == ["RH"]


@pytest.mark.parametrize(
    ("text", "code", "foot"),
    [
        ("I had down seedy toe on the right front. It isn't, it's just old putty.",
         "seedy_toe", "RF"),
        ("Looks like a crack, near hind. It isn't. Only a scratch.", "crack", "LH"),
        ("I thought abscess, right front. It wasn't.", "abscess", "RF"),
    ],
)  # fmt: skip
def test_what_was_taken_for_something_is_denied(
    facts: Facts, text: str, code: str, foot: str
) -> None:
    found = facts(text)
    assert feet_of(found, code, negated=True) == [foot]
    assert not feet_of(found, code)


def test_hoping_denies_nothing(facts: Facts) -> None:
    found = facts("Crack in the left hind. I hope it isn't deep, but it may be.")
    assert not feet_of(found, "crack", negated=True)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("Left front toe's three point four, not three point six.", ("LF", "toe_length", 3.4)),
        ("Right front heel is forty one, not forty three like I said.", ("RF", "heel_angle", 41)),
        ("The toe isn't ninety two, it's eighty eight, near fore.", ("LF", "toe_length", 88)),
        ("Off fore toe's eighty two rather than eighty five.", ("RF", "toe_length", 82)),
    ],
)
def test_the_number_that_is_denied_is_no_measure(
    facts: Facts, text: str, value: tuple[str, str, float]
) -> None:
    assert values(facts(text)) == {value}


@pytest.mark.parametrize(
    "text",
    [
        "Seedy toe right front, about eleven o'clock, goes in a quarter inch.",
        "Hollow in the white line of the right front at eleven o'clock, a quarter inch deep.",
    ],
)
def test_an_hour_of_the_clock_is_no_depth(facts: Facts, text: str) -> None:
    depths = [f.quantity.value for f in facts(text) if f.code == "depth" and f.quantity]
    assert depths == [0.25]


# -- steps ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    ("text", "code", "foot", "now", "later", "when"),
    [
        ("Lowered the heel on the left hind an eighth today, another eighth next time.",
         "lower_heel", "LH", 0.125, 0.125, "next_visit"),
        ("Brought the left front toe back a quarter today and an eighth in five weeks.",
         "set_back_toe", "LF", 0.25, 0.125, "P5W"),
        ("Dropped the heels four millimetres on the right hind today and I'll do two more in "
         "six weeks.", "lower_heel", "RH", 4, 2, "P6W"),
    ],
)  # fmt: skip
def test_a_job_in_steps_is_told_of_today_and_of_later(
    facts: Facts, text: str, code: str, foot: str, now: float, later: float, when: str,
    as_heard: bool,
) -> None:  # fmt: skip
    found = [f for f in facts(heard(text) if as_heard else text) if f.code == code]
    told = {
        f.planned: ([x.value for x in f.feet], f.quantity.value if f.quantity else None)
        for f in found
    }
    assert len(found) == 2
    assert told == {False: ([foot], now), True: ([foot], later)}
    due = next(f.due for f in found if f.planned)
    assert due is not None
    assert when in (due.period, due.anchor)


def test_a_job_and_the_next_visit_are_no_steps(facts: Facts) -> None:
    found = facts("Took an eighth off the left front heel today. Six weeks next time.")
    jobs = [f for f in found if f.code == "lower_heel"]
    assert [f.planned for f in jobs] == [False]


# -- a herd ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("Five weeks for the hunter and the donkey can have nine.", ["P5W", "P9W"]),
        ("Six weeks for Bosun, Pippin at eight.", ["P6W", "P8W"]),
        ("Back in four weeks for the colt and seven for the mare.", ["P4W", "P7W"]),
        ("Eight weeks for the mares. The old cob, say five, no, say six.", ["P6W", "P8W"]),
        ("six weeks for the hunters and the pony in nine", ["P6W", "P9W"]),
    ],
)
def test_each_horse_of_a_herd_has_its_weeks(facts: Facts, text: str, said: list[str]) -> None:
    assert weeks(facts(text)) == said


@pytest.mark.parametrize(
    "text",
    [
        "Six weeks. Left front toe at eight.",
        "Five weeks, same as the other two.",
        "Four weeks. Stage three, film her.",
    ],
)
def test_other_counts_are_no_weeks(facts: Facts, text: str) -> None:
    assert len(weeks(facts(text))) == 1


@pytest.mark.parametrize("text", ["Her foal, trimmed.", "Then the pony, just trimmed.",
                                  "Hinds reset on the cob. The foal Widget trimmed."])  # fmt: skip
def test_a_trimmed_animal_is_trimmed_all_round(facts: Facts, text: str) -> None:
    assert feet_of(facts(text), "trim") == ["LF", "RF", "LH", "RH"]


# -- feet that differ -----------------------------------------------------------------------------


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    ("text", "feet", "size", "places"),
    [
        ("Right hind heel is an eighth longer than the left hind.", ["LH", "RH"], 0.125,
         ("heel",)),
        ("Near fore heel's four mil higher than the off fore.", ["LF", "RF"], 4, ("heel",)),
        ("Left front's six mil narrower than the right front.", ["LF", "RF"], 6, ()),
    ],
)  # fmt: skip
def test_a_foot_that_is_longer_by_so_much_mismatches_the_pair(
    facts: Facts, text: str, feet: list[str], size: float, places: tuple[str, ...], as_heard: bool
) -> None:
    found = [f for f in facts(heard(text) if as_heard else text) if f.code == "mismatched"]
    assert [[x.value for x in f.feet] for f in found] == [feet]
    assert [(f.quantity.value if f.quantity else None, f.places) for f in found] == [(size, places)]


def test_two_toes_that_are_told_need_no_mismatch(facts: Facts) -> None:
    text = "Toe on the right hind is four mil longer than the left hind. Eighty one left, "
    found = facts(text + "eighty five right.")
    assert {("LH", "toe_length", 81), ("RH", "toe_length", 85)} <= values(found)
    assert not feet_of(found, "mismatched")


@pytest.mark.parametrize("as_heard", [False, True])
def test_an_amount_without_inches_goes_on_for_the_other_pair(facts: Facts, as_heard: bool) -> None:
    text = "Took off a half inch of toe on the hinds, and a quarter on the fronts."
    found = [f for f in facts(heard(text) if as_heard else text) if f.code == "shorten_toe"]
    told = {f.feet[0].value: f.quantity.value for f in found if f.quantity}
    assert told == {"LH": 0.5, "LF": 0.25}


# -- told once ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    [
        "Crack in the left hind toe, no change.",
        "Crack on the left hind heel, inside, a half inch, dry.",
        "Near hind's cracked at the toe, an inch.",
    ],
)
def test_a_crack_has_one_name(facts: Facts, text: str) -> None:
    cracks = [f for f in facts(text) if f.code.endswith("crack")]
    assert len(cracks) == 1
    assert cracks[0].code != "crack"


@pytest.mark.parametrize(
    "text",
    [
        "The grey is off on the left hind, two out of five.",
        "Three out of ten on the right front, he's lame on it on the hard.",
    ],
)
def test_the_grade_is_the_lameness(facts: Facts, text: str) -> None:
    told = [f.kind for f in facts(text) if f.code == "lameness"]
    assert told == [FactKind.SCORE]


def test_two_feet_have_two_grades(facts: Facts) -> None:
    found = facts("Lame two out of five left hind, three out of five right front.")
    grades = {f.feet[0].value: f.quantity for f in found if f.kind is FactKind.SCORE and f.feet}
    assert {foot: (q.value, q.high) for foot, q in grades.items() if q} == {
        "LH": (2, None),
        "RF": (3, None),
    }


# -- whose word, and when -------------------------------------------------------------------------


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("Dr Marlowe had her in Thursday and he says the right front has rotated.", "rotation"),
        ("Dr Penn was out Monday and she thinks it's ringbone, left hind.", "ringbone"),
    ],
)
def test_he_or_she_is_the_doctor_just_named(
    facts: Facts, text: str, code: str, as_heard: bool
) -> None:
    found = facts(heard(text) if as_heard else text)
    assert [f.reporter.value for f in found if f.code == code] == ["vet"]


@pytest.mark.parametrize(
    ("text", "code", "when"),
    [
        ("He needs something from the vet before I do the fronts again.",
         "sedation_by_vet", "before_next_visit"),
        ("Five weeks, films before that.", "radiographs", "before_next_visit"),
        ("Vet to look at the left hind before the next set.", "vet_visit", "before_next_visit"),
        ("Have the vet sedate her for the next one.", "sedation_by_vet", "next_visit"),
        ("I'll look at the left hind again next week.", "recheck", "P1W"),
    ],
)  # fmt: skip
def test_times_that_hang_on_the_next_visit(facts: Facts, text: str, code: str, when: str) -> None:
    due = next(f.due for f in facts(text) if f.code == code)
    assert due is not None
    assert when in (due.anchor, due.period)


def test_a_size_of_today_is_no_history_for_the_one_behind_it(facts: Facts) -> None:
    text = "Flare on the right hind, outside, a quarter inch, was three eighths last time."
    sizes = {
        f.historical: f.quantity.value for f in facts(text) if f.code == "flare" and f.quantity
    }
    assert sizes == {False: 0.25, True: 0.375}


def test_no_one_foot_where_no_side_is_named(facts: Facts) -> None:
    found = facts("Vet says laminitis, I see no heat and no pulse.")
    assert all(len(f.feet) != 1 for f in found)
