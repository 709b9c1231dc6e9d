"""Numbers and times that sound like a measure or an appointment and are none; feet said behind.

Ways of talking: common practice, no source. Every saying is read as typed and as heard.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Fact, FactKind
from tests.language.said import heard, values

Facts = Callable[[str], list[Fact]]

NO_MEASURE = [
    "Happy with her, sixty for both.",
    "Sixty five for fronts with the clips.",
    "In February we go from eighteen mil wide stock to twenty two on the fronts.",
    "Soft spot in the right hind sole at six thirty.",
    "He's at the gate, and off fore's gone home at eleven sharp.",
    "Weight over size comes to about seventy five pounds the square inch.",
    "I hold up a leg that weighs a hundred pounds.",
    "Same shoes again and a shorter toe by two mil.",
    "He'd one foot forward by six inches.",
    "I've got eight mil more length on him now.",
    "Left front, she's fifty now.",
    "We did thirty two horses and forty six feet this week.",
    "Two feet only got seven.",
    "Quarter crack opens when she stands on it, maybe half a millimeter.",
    "He stays in on six inches of shavings on all four.",
    "Left front's lost a chunk two inches long.",
    "Wall's eight mil at the toe, seven at the quarters and six at the heels on the right.",
    "Set the near fore with half an inch of length behind the heel.",
    "Girl in the next stall wants a quarter inch more off the toe.",
    "A hundred and thirty two mil shoe on the near fore and a hundred and thirty on the off.",
    "The clip made a mark in the sole about half an inch long.",
    "Sole's buried under an inch of dead stuff.",
    "A goat with feet three inches too long.",
    "Contracted, I'd say width's sixty percent of the length.",
]
NO_APPOINTMENT = [
    "Good lad though, fourteen years and I've never seen him look like that.",
    "Ten weeks and it shows, he's got twenty mil of growth.",
    "Five weeks and six days since we were here.",
    "And here's the foal again, seven weeks and three days old.",
    "Nine cobs over two days, five today and four tomorrow's off.",
    "Eight weeks for her is too long.",
    "He's only five weeks shod.",
    "That one's not trimmed and I've called it a day.",
    "Fifty five, yes I did check that twice.",
    "It bleeds if you so much as look at it.",
    "Never met him, they call him Captain.",
    "No charge for today, just the sixty for the call on Thursday night.",
    "Quicked him on the right hind and he let me know it.",
    "Next time don't wait ten weeks.",
    "She's ridden forty miles a week over the tops.",
    "Shod all four a week before the ride.",
    "A third of the way down now, so another six months.",
    "The feed man's coming Friday.",
    "Foal's due around the fifteenth of March.",
    "So today is the follow up on that hot footed mare.",
    "I can get two nails in on that side.",
    "You've to talk to her the whole time.",
]
SAID = [
    (
        "Sole depth left twelve, right fourteen.",
        {("LF", "sole_depth", 12), ("RF", "sole_depth", 14)},
    ),
    (
        "Palmar angle left eleven, right eight.",
        {("LF", "palmar_angle", 11), ("RF", "palmar_angle", 8)},
    ),
    (
        "Near fore one forty six wide, one forty four long.",
        {("LF", "hoof_width", 146), ("LF", "hoof_length", 144)},
    ),
    (
        "Heels forty four, forty four, forty, forty one.",
        {
            ("LF", "heel_angle", 44),
            ("RF", "heel_angle", 44),
            ("LH", "heel_angle", 40),
            ("RH", "heel_angle", 41),
        },
    ),
    (
        "Front feet just plain ninety and ninety, fifty two and fifty two and a quarter.",
        {
            ("LF", "toe_length", 90),
            ("RF", "toe_length", 90),
            ("LF", "toe_angle", 52),
            ("RF", "toe_angle", 52.25),
        },
    ),
    ("Five fifty on the weigh tape.", {("-", "weight", 550)}),
    ("Fifty two degrees, that's the right front.", {("RF", "toe_angle", 52)}),
    (
        "Three and a quarter and fifty one, that's the near fore. Three and an eighth and "
        "fifty two, that's the off fore.",
        {
            ("LF", "toe_length", 3.25),
            ("LF", "toe_angle", 51),
            ("RF", "toe_length", 3.125),
            ("RF", "toe_angle", 52),
        },
    ),
    (
        "Near fore eighty two, off eighty four.",
        {("LF", "toe_length", 82), ("RF", "toe_length", 84)},
    ),
    (
        "Took a quarter off the left front and five sixteenths off the right.",
        {("LF", "taken_off", 0.25), ("RF", "taken_off", 0.3125)},
    ),
    (
        "Medial heel off fore thirty nine, lateral thirty four, that's five.",
        {("RF", "heel_length", 39), ("RF", "heel_length", 34)},
    ),
    (
        "Both hinds seventy eight mil, fifty three.",
        {
            ("LH", "toe_length", 78),
            ("RH", "toe_length", 78),
            ("LH", "toe_angle", 53),
            ("RH", "toe_angle", 53),
        },
    ),
    ("White line on the near fore was eight mil deep before.", {("LF", "depth", 8)}),
    (
        "Near fore and off fore, they measured five and an eighth by five and a quarter.",
        {
            ("LF", "hoof_width", 5.125),
            ("RF", "hoof_width", 5.125),
            ("LF", "hoof_length", 5.25),
            ("RF", "hoof_length", 5.25),
        },
    ),
]
FOLLOWS = [
    ("I'm coming Friday week.", {("next_trim", "")}),
    ("Call him if it gets worse.", {("call", "")}),
    ("Any doubt, get the vet to her.", {("vet_visit", "")}),
    ("She wants films again in five weeks.", {("radiographs", "P5W")}),
    ("Keep it dry. I'll look at that foot again in a week.", {("recheck", "P1W")}),
    ("Five weeks, and call me if it comes loose.", {("next_trim", "P5W"), ("call", "")}),
    ("Films before I touch the toes.", {("radiographs", "before_next_visit")}),
    ("Have the vet sedate him before I come out.", {("sedation_by_vet", "before_next_visit")}),
    ("Bring side clips next trip.", {("bring", "next_visit")}),
]
PAUSED = [
    ("Six weeks, ring if a pad slips.", {("next_trim", "P6W"), ("call", "")}),
    (
        "Six weeks, with films before it.",
        {("next_trim", "P6W"), ("radiographs", "before_next_visit")},
    ),
    ("In six weeks, call me.", {("call", "P6W")}),
    ("Two weeks, recheck that heel.", {("recheck", "P2W")}),
]
"""Where the comma tells: said in one breath, the time is of what follows it."""


@pytest.mark.parametrize("text", NO_MEASURE)
def test_what_measures_nothing(facts: Facts, text: str) -> None:
    assert values(facts(text)) == set()
    assert values(facts(heard(text))) == set()


@pytest.mark.parametrize("text", NO_APPOINTMENT)
def test_what_is_no_appointment(facts: Facts, text: str) -> None:
    for said in (text, heard(text)):
        assert [f.code for f in facts(said) if f.kind is FactKind.FOLLOW_UP] == []


@pytest.mark.parametrize(("text", "meant"), SAID, ids=[text[:40] for text, _ in SAID])
def test_what_is_measured(facts: Facts, text: str, meant: set[tuple[str, str, float]]) -> None:
    assert values(facts(text)) == meant
    assert values(facts(heard(text))) == meant


@pytest.mark.parametrize(("text", "meant"), FOLLOWS, ids=[text[:40] for text, _ in FOLLOWS])
def test_whose_time_it_is(facts: Facts, text: str, meant: set[tuple[str, str]]) -> None:
    for said in (text, heard(text)):
        assert promises(facts(said)) == meant


@pytest.mark.parametrize(("text", "meant"), PAUSED)
def test_whose_time_a_pause_tells(facts: Facts, text: str, meant: set[tuple[str, str]]) -> None:
    assert promises(facts(text)) == meant


def promises(found: list[Fact]) -> set[tuple[str, str]]:
    asked = [f for f in found if f.kind is FactKind.FOLLOW_UP and f.code != "owner_care"]
    return {(f.code, (f.due.period or f.due.anchor) if f.due else "") for f in asked}


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("Left front, a cut across the heel bulb, maybe two centimeters.", "wound"),
        ("Left hind, a crack along the toe, an inch.", "crack"),
    ],
)
def test_a_number_behind_where_a_finding_lies_is_its_size(
    facts: Facts, text: str, code: str
) -> None:
    (found,) = facts(text)
    assert found.quantity is not None
    assert code in found.code


def test_depth_of_before_is_history_and_now_is_not(facts: Facts) -> None:
    found = facts("white line was eight mil deep before and it's three now right hind")
    depths = {(f.quantity.value, f.historical) for f in found if f.quantity is not None}
    assert depths == {(8, True), (3, False)}


def test_so_much_off_each_is_the_job(facts: Facts) -> None:
    job = facts("toes eighty nine near fore and ninety two off fore three mil off each")[-1]
    assert (job.code, {f.value for f in job.feet}) == ("shorten_toe", {"LF", "RF"})
    assert job.quantity is not None
    assert job.quantity.value == 3


NO_WORK = [
    "He put his heel down while he was standing in it.",
    "Cowboy boots on the lad who holds.",
    "Makes two hundred and she rounded it to two twenty.",
    "Heels like that don't come right in one shoeing.",
    "Nine trims, four sets, one look.",
    "Poultice stays off till she's had her look.",
    "They're holding two boxes of fives for me.",
]


@pytest.mark.parametrize("text", NO_WORK)
def test_what_is_no_job(facts: Facts, text: str) -> None:
    for said in (text, heard(text)):
        assert [f.code for f in facts(said) if f.kind is FactKind.WORK] == []


@pytest.mark.parametrize(
    "text",
    [
        "Left hind, took off half an inch of toe and a quarter at the heel.",
        "Left hind, took half an inch off the toe and a quarter off the heel.",
        "Left hind, took half an inch off toe, quarter off heel.",
    ],
)
def test_so_much_off_the_toe_and_so_much_off_the_heel(facts: Facts, text: str) -> None:
    for said in (text, heard(text)):
        jobs = {(f.code, f.quantity.value) for f in facts(said) if f.quantity is not None}
        assert jobs == {("shorten_toe", 0.5), ("lower_heel", 0.25)}


def test_what_was_taken_off_is_the_shoe_or_the_flare(facts: Facts) -> None:
    assert facts("off fore bit of a flare and i took it off")[-1].code == "dress_flare"
    found = facts("Twisted the near hind shoe. Took it off, put a new one on.")
    assert [f.code for f in found if f.kind is FactKind.WORK] == ["pull", "shoe"]


def test_the_whole_horse_was_trimmed(facts: Facts) -> None:
    found = facts("Growth rings on both fores still. No heat today, no pulses. Trimmed him.")
    assert {f.value for f in found[-1].feet} == {"LF", "RF", "LH", "RH"}


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    "text",
    [
        "Trimmed Bess, thrush in both hinds.",
        "Trimmed Zoë today. Thrush in both hinds.",
        "Reset Duke. Thrush in both hinds.",
        "Trimmed Bess and there's thrush in both hinds.",
    ],
)
def test_a_named_horse_was_trimmed(facts: Facts, text: str, as_heard: bool) -> None:
    """A name is no foot: the pair of what follows is not the job's."""
    job, found = facts(heard(text) if as_heard else text)
    assert (job.kind, len(job.feet)) == (FactKind.WORK, 4)
    assert [f.value for f in found.feet] == ["LH", "RH"]


@pytest.mark.parametrize("text", ["Trimmed Bess's hinds.", "Trimmed neatly, both hinds."])
def test_feet_named_behind_a_name(facts: Facts, text: str) -> None:
    (job,) = facts(text)
    assert [f.value for f in job.feet] == ["LH", "RH"]


def test_told_her_and_too_is_read_without_a_fall(facts: Facts) -> None:
    said = "told her to ring the vet this morning not tomorrow and ask about his tetanus too"
    assert "vet_visit" in {f.code for f in facts(said)}
