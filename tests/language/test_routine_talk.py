"""Ordinary talk of a day's round that was read wrongly; the words are common practice, no source.

Found by dictating as somebody would who looks for mistakes; here in other words.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest

from fieldlog.core.facts import Due, Entry, Fact, Trend
from fieldlog.language.times.dates import find_times
from tests.language.said import heard, values

Facts = Callable[[str], list[Fact]]
DAY = date(2026, 11, 25)


def feet_of(found: list[Fact], code: str, negated: bool = False) -> list[str]:
    """The feet that a code is told of, or denied."""
    return [x.value for f in found if f.code == code and f.negated is negated for x in f.feet]


# -- whom to ring ---------------------------------------------------------------------------------


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("Ring the vet about the abscess.", "vet_visit"),
        ("Phone the vet about that lump.", "vet_visit"),
        ("She'll phone the vet about films.", "radiographs"),
        ("Owner to ring the vet about sedation next time.", "sedation_by_vet"),
    ],
)
def test_a_call_to_the_vet_is_one_promise(
    facts: Facts, text: str, code: str, as_heard: bool
) -> None:
    found = facts(heard(text) if as_heard else text)
    assert [f.code for f in found if f.kind == "follow_up"] == [code]


# -- behind the end of a horse --------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "last"),
    [
        ("This is Biscuit. Trimmed all four. End of horse. Order some more nails.", ""),
        ("This is Biscuit. Trimmed all four. End of horse. Thrush in the near hind.", ""),
        ("This is Biscuit. Trimmed all four. End of horse. Marlow, shod in front.", "Marlow"),
    ],
)
def test_what_is_said_behind_the_end_is_of_that_horse_no_more(
    entries: Callable[..., tuple[Entry, ...]], text: str, last: str
) -> None:
    first, other = entries(text)
    assert [f.code for f in first.facts] == ["trim"]
    assert first.horse is not None
    assert first.horse.name == "Biscuit"
    assert other.horse is not None
    assert other.horse.name == last


@pytest.mark.parametrize(
    "text",
    [
        "This is Biscuit. Trimmed all four. End of horse. Six weeks for him.",
        "This is Biscuit. Trimmed all four. End of horse. Right, time for tea.",
        "This is Biscuit. Trimmed all four. End of horse.",
    ],
)
def test_he_and_small_talk_stay_with_the_horse(
    entries: Callable[..., tuple[Entry, ...]], text: str
) -> None:
    assert [e.horse.name for e in entries(text) if e.horse] == ["Biscuit"]


# -- days that there are not ----------------------------------------------------------------------


@pytest.mark.parametrize(
    "spoken",
    ["30 February", "the thirtieth of February", "the 31st of November", "29 February",
     "the week of the thirty first of April", "Friday the 31st of June"],
)  # fmt: skip
def test_a_day_that_is_in_no_calendar_is_kept_and_asked(spoken: str) -> None:
    """2027 has no 29 February (Gregorian calendar)."""
    (span,) = find_times(spoken, DAY)
    assert (span.due.on, span.due.spoken) == (None, spoken)
    assert "this year or next" in span.due.ambiguous


def test_so_is_the_visit_on_it(facts: Facts) -> None:
    (visit,) = facts("Next trim on the thirtieth of February.")
    assert visit.due is not None
    assert visit.due.spoken == "on the thirtieth of February"
    assert visit.needs_look


def test_a_day_that_there_is_has_no_doubt() -> None:
    (span,) = find_times("28 February", DAY)
    assert span.due == Due(spoken="28 February", on=date(2027, 2, 28))


# -- worn -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text", ["First time she's ever worn steel. Shod the fronts.", "He's never worn shoes."]
)
def test_shoes_that_a_horse_wears_are_not_worn_out(facts: Facts, text: str) -> None:
    assert "shoe_worn" not in [f.code for f in facts(text)]


def test_worn_shoes_are(facts: Facts) -> None:
    assert feet_of(facts("Worn shoes on both hinds."), "shoe_worn") == ["LH", "RH"]


# -- less of it on the other foot -----------------------------------------------------------------


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("Thrush in the left hind, right hind's less.", "thrush"),
        ("Left hind is hot, the right hind less so.", "heat"),
        ("Contracted heels left hind, the right hind has less of it.", "contracted_heel"),
    ],
)
def test_less_on_the_mate_is_there_too(facts: Facts, text: str, code: str, as_heard: bool) -> None:
    found = facts(heard(text) if as_heard else text)
    assert sorted(feet_of(found, code)) == ["LH", "RH"]


@pytest.mark.parametrize(
    ("text", "trend"),
    [
        ("Crack left front an inch. Right front the same but shorter.", Trend.SMALLER),
        ("Bruise left front. Right front same only bigger.", Trend.LARGER),
        ("Toe crack left front. Right front, same again but a bit longer.", Trend.LARGER),
    ],
)
def test_the_same_but_shorter(facts: Facts, text: str, trend: Trend) -> None:
    one, other = [f for f in facts(text) if f.kind == "finding"]
    assert (one.code, one.comparison) == (other.code, None)
    assert [f.value for f in other.feet] == ["RF"]
    assert other.comparison is not None
    assert (other.comparison.trend, other.comparison.against) == (trend, "LF")


# -- work that nobody wrote a stop before ---------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "job", "count"),
    [
        ("ring me friday trimmed all four", "trim", 4),
        ("get the vet out shod the fronts", "shoe", 2),
        ("bring a pad next time reset both hinds", "reset", 2),
    ],
)
def test_a_job_done_is_not_what_a_promise_is_about(
    facts: Facts, text: str, job: str, count: int
) -> None:
    found = facts(text)
    assert len(feet_of(found, job)) == count
    assert job not in {f.details.get("about") for f in found}


def test_a_thing_with_a_participle_is(facts: Facts) -> None:
    assert [f.code for f in facts("Recheck the trimmed frog in two weeks.")] == ["recheck"]


# -- which feet -----------------------------------------------------------------------------------


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    ("text", "code", "foot"),
    [
        ("Everything's clean bar the off hind, bit of thrush in there.", "thrush", "RH"),
        ("All good except the left front, crack in that.", "crack", "LF"),
        ("All fine bar the near fore, bruise at the toe.", "bruise", "LF"),
    ],
)
def test_the_fault_is_of_the_foot_that_was_left_out(
    facts: Facts, text: str, code: str, foot: str, as_heard: bool
) -> None:
    found = facts(heard(text) if as_heard else text)
    assert feet_of(found, code) == [foot]
    assert len(feet_of(found, "normal")) == 3


def test_all_round_stays_all_four_behind_what_an_end_got(facts: Facts) -> None:
    found = facts("New set all round, eights in front with pads, hinds plain.")
    assert len(feet_of(found, "shoe")) == 4
    assert feet_of(found, "pad") == ["LF", "RF"]


def test_each_end_has_its_own_size(facts: Facts) -> None:
    (shoe,) = facts("New shoes all round, size three in front, two behind.")
    assert len(shoe.feet) == 4
    assert shoe.details["size"] == "3 in front, 2 behind"


@pytest.mark.parametrize(
    ("text", "count"),
    [
        ("trimmed all for reset the fronts", 4),
        ("that's all for today trimmed the hinds", 2),
        ("trimmed all for nothing he's sold", 0),
    ],
)
def test_all_four_heard_as_all_for(facts: Facts, text: str, count: int) -> None:
    assert len(feet_of(facts(text), "trim")) == count


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    ("text", "code", "feet"),
    [
        ("He's sound on all four except a bit short on the right front.", "sound",
         ["LF", "LH", "RH"]),
        ("All four good apart from a crack in the right front.", "normal", ["LF", "LH", "RH"]),
        ("Sound all round bar a slight nod on the near fore.", "sound", ["RF", "LH", "RH"]),
        ("Trimmed three of them. The near hind wouldn't come up.", "trim", ["LF", "RF", "RH"]),
        ("Replaced both hinds, fronts had plenty of wear so reset those.", "reset", ["LF", "RF"]),
        ("Left front, right front have thrush.", "thrush", ["LF", "RF"]),
    ],
)  # fmt: skip
def test_the_foot_with_a_story_of_its_own_is_left_out(
    facts: Facts, text: str, code: str, feet: list[str], as_heard: bool
) -> None:
    assert feet_of(facts(heard(text) if as_heard else text), code) == feet


# -- what comes off, and what waits ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "degrees"),
    [
        ("Took the heel down two degrees, left front.", 2),
        ("Lowered the heels to fifty degrees behind.", None),
    ],
)
def test_degrees_by_which_a_heel_came_down(facts: Facts, text: str, degrees: float | None) -> None:
    job = next(f for f in facts(text) if f.code == "lower_heel")
    assert (job.quantity.value if job.quantity else None) == degrees


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("Left the bars in front, will take them down next time.", "pare_bar"),
        ("Heels are high in front, I'll take them down next time.", "lower_heel"),
    ],
)
def test_what_is_taken_down_next_time(facts: Facts, text: str, code: str) -> None:
    job = next(f for f in facts(text) if f.planned)
    assert (job.code, [x.value for x in job.feet]) == (code, ["LF", "RF"])
    assert job.due is not None
    assert job.due.anchor == "next_visit"


def test_a_horse_tied_to_a_ring_is_not_cross_tied(facts: Facts) -> None:
    assert facts("Tied her to the ring.") == []


# -- the rest of him, and who was told ------------------------------------------------------------


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    ("text", "feet"),
    [
        ("Corn in the near fore, rest of him is fine.", ["RF", "LH", "RH"]),
        ("Hot in the off hind, the rest of her is good.", ["LF", "RF", "LH"]),
        ("Bruise in the left front, rest is good.", ["RF", "LH", "RH"]),
    ],
)
def test_the_rest_of_him_is_his_other_feet(
    facts: Facts, text: str, feet: list[str], as_heard: bool
) -> None:
    assert feet_of(facts(heard(text) if as_heard else text), "normal") == feet


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("Told her eight weeks is too long.", None),
        ("Told her his feet are long.", None),
        ("Told O'Brien six weeks.", None),
        ("Told her groom to pick them out.", "groom"),
        ("Told Jen to soak it.", "Jen"),
        ("Told her vet tonight.", None),
    ],
)
def test_a_number_is_nobody_who_was_told(facts: Facts, text: str, told: str | None) -> None:
    advice = next(f for f in facts(text) if f.code == "spoke_to")
    assert advice.details.get("to") == told


@pytest.mark.parametrize(
    ("text", "details"),
    [
        ("next horse is duke quarter horse gelding trimmed all four", {"sex": "gelding"}),
        ("Next horse is Duke, Quarter Horse gelding. Trimmed all four.", {"sex": "gelding"}),
        ("This is Duke, a bay shire horse. Trimmed all four.", {"colour": "bay"}),
    ],
)
def test_a_breed_is_no_other_horse(
    entries: Callable[..., tuple[Entry, ...]], text: str, details: dict[str, str]
) -> None:
    (entry,) = entries(text)
    assert entry.horse is not None
    assert (entry.horse.name, entry.horse.details) == ("Duke", details)
    assert [f.code for f in entry.facts] == ["trim"]


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    ("text", "places"),
    [
        ("Flare on the right front, the outside not the inside.", ("lateral",)),
        ("Bruise left front at the toe, not at the heel.", ("toe",)),
        ("Flare on the inside of the left front, not on the outside.", ("medial",)),
    ],
)
def test_where_it_is_not_is_no_place(
    facts: Facts, text: str, places: tuple[str, ...], as_heard: bool
) -> None:
    (found,) = facts(heard(text) if as_heard else text)
    assert found.places == places


# -- of an earlier time ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("He had pads in front last time.", "both fronts · pad (earlier)"),
        ("He was in bar shoes in front last winter.", "both fronts · bar shoe (earlier)"),
        ("Had thrush in the left hind last month.", "left hind · thrush (earlier)"),
    ],
)
def test_what_was_on_before_says_so(
    lines: Callable[[str], list[str]], text: str, line: str
) -> None:
    assert lines(text) == [line]


def test_so_does_a_number(lines: Callable[[str], list[str]]) -> None:
    told = lines("Left front toe was three and a half last time, three and three eighths today.")
    assert told[0] == "left front · toe length (earlier) · 3 1/2 in"
    assert told[1].startswith("left front · toe length · 3 3/8 in")


# -- both of a pair in one breath -----------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        (
            "left front toe three and a quarter right front toe three and a half "
            "heels one and a half",
            {("LF", "heel_length", 1.5), ("RF", "heel_length", 1.5)},
        ),
        (
            "left fore toes three and a quarter heels an inch and a half "
            "right fore toes three and an eighth heels an inch and five eighths",
            {("LF", "heel_length", 1.5), ("RF", "heel_length", 1.625)},
        ),
    ],
)
def test_heels_told_behind_a_pair_are_of_both(
    facts: Facts, text: str, wanted: set[tuple[str, str, float]]
) -> None:
    assert {told for told in values(facts(text)) if told[1] == "heel_length"} == wanted


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("hes got thrush left hind", "he's got thrush left hind"),
        ("theres heat in the off fore", "there's heat in the off fore"),
        ("shes sound", "she's sound"),
    ],
)
def test_an_apostrophe_that_went_missing(
    lines: Callable[[str], list[str]], typed: str, said: str
) -> None:
    assert lines(typed) == lines(said) != []


@pytest.mark.parametrize("text", ["He stands fifteen two.", "He's 15.2hh.", "15.2 hands."])
def test_hands_are_told_as_they_are_written(facts: Facts, text: str) -> None:
    """A hand is four inches (UCUM, [hd_i])."""
    (height,) = facts(text)
    assert height.quantity is not None
    assert (height.quantity.value, height.quantity.shown()) == (15.5, "15.2 hh")


def test_round_is_all_round(facts: Facts) -> None:
    found = facts("Crack in the left fore. Trimmed round.")
    assert len(feet_of(found, "trim")) == 4


def test_a_foot_gone_over_with_testers_is_nobody_spoken_to(facts: Facts) -> None:
    assert "spoke_to" not in [f.code for f in facts("I went over it with the testers.")]
    assert [f.code for f in facts("I went over it with the owner.")] == ["spoke_to"]


def test_see_you_in_seven_is_weeks(facts: Facts) -> None:
    (visit,) = facts("See you in seven.")
    assert visit.due is not None
    assert (visit.code, visit.due.period) == ("next_trim", "P7W")
    assert facts("See you in five minutes.") == []


@pytest.mark.parametrize("as_heard", [False, True])
def test_three_resets_are_the_other_three(facts: Facts, as_heard: bool) -> None:
    text = "One new shoe, near fore, three resets."
    found = facts(heard(text) if as_heard else text)
    assert feet_of(found, "shoe") == ["LF"]
    assert feet_of(found, "reset") == ["RF", "LH", "RH"]


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    ("text", "code", "feet"),
    [
        ("Put the heart bar back on, left front.", "heart_bar", ["LF"]),
        ("Put the egg bars back on behind.", "egg_bar", ["LH", "RH"]),
        ("Took the toe clips off the hinds.", "take_off", ["LH", "RH"]),
    ],
)
def test_what_goes_back_on_and_what_comes_off(
    facts: Facts, text: str, code: str, feet: list[str], as_heard: bool
) -> None:
    found = facts(heard(text) if as_heard else text)
    assert feet_of(found, code) == feet
    assert "clips" not in [f.code for f in found]


def test_what_was_taken_back_can_still_be_put_back(facts: Facts) -> None:
    assert [f.code for f in facts("Thrush left hind. Scratch that. No, keep the thrush in.")] == [
        "thrush"
    ]
