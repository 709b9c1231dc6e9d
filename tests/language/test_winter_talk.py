"""Times gone by and times to come, amounts off a side of the wall, grades, and what is told."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Fact
from tests.language.said import values

Facts = Callable[[str], list[Fact]]


@pytest.mark.parametrize(
    ("said", "amount"),
    [
        ("Right front lands outside first. Brought the outside down an eighth.", 0.125),
        ("Took a sixteenth off the outside of the right front.", 0.0625),
        ("Right front, took the outside wall down, two mil.", 2.0),
    ],
)
def test_so_much_comes_off_a_side(facts: Facts, said: str, amount: float) -> None:
    found = facts(said)
    assert ("RF", "taken_off", amount) in values(found), said
    assert not {"lower_heel", "shorten_toe"} & {f.code for f in found}


def test_a_heel_is_still_lowered(facts: Facts) -> None:
    assert [f.code for f in facts("Lowered the inside heel an eighth, left hind.")] == [
        "lower_heel"
    ]


@pytest.mark.parametrize(
    "said",
    [
        "Twelve days on with Bracken. Trimmed both fronts.",
        "Reset both hinds, it's ten weeks, what do they expect.",
        "Both fronts are in wedges, five weeks now.",
        "Off fore lost its shoe, within the month.",
        "Clover, the dun cob, seven weeks. Trimmed all four.",
        "A week into the bar shoes and he walks well.",
        "And if she's no better by Friday, what then?",
    ],
)
def test_time_gone_by_is_no_visit(facts: Facts, said: str) -> None:
    assert "next_trim" not in {f.code for f in facts(said)}, said


@pytest.mark.parametrize(
    ("said", "due"),
    [
        ("Trimmed all four. Six weeks.", "P6W"),
        ("Trimmed all four. Five weeks from now on.", "P5W"),
        ("Near fore and off hind trimmed, the other two on Friday.", "2026-11-27"),
        ("The rest tomorrow, with Wade holding him.", "2026-11-26"),
    ],
)
def test_time_to_come_is_one(facts: Facts, said: str, due: str) -> None:
    told = [f.due for f in facts(said) if f.code == "next_trim" and f.due]
    assert [d.period or str(d.on) for d in told] == [due], said


@pytest.mark.parametrize(
    ("said", "code", "due"),
    [
        ("Near fore's hot. The vet's on his way.", "vet_visit", "2026-11-25"),
        ("Near fore's hot. I rang the vet myself.", "vet_visit", "2026-11-25"),
        ("I want films before I go any further.", "radiographs", "before_next_visit"),
        ("Films of both fronts before she's done again.", "radiographs", "before_next_visit"),
        ("She wants new films before the next one.", "radiographs", "before_next_visit"),
    ],
)
def test_when_the_vet_comes(facts: Facts, said: str, code: str, due: str) -> None:
    told = next(f.due for f in facts(said) if f.code == code)
    assert told is not None
    assert due in (told.anchor, str(told.on)), said


@pytest.mark.parametrize(
    ("said", "code", "low", "high"),
    [
        ("Body condition six, six and a half.", "condition", 6.0, 6.5),
        ("Obel three a week ago and grade two now.", "obel", 2.0, None),
        ("Testers get him at the toe, near fore, three out of four.", "hoof_tester_grade", 3, None),
        ("Pulse is up in both hinds today, I'd give it a two out of four.", "pulse_grade", 2, None),
    ],
)
def test_what_a_grade_is_of(
    facts: Facts, said: str, code: str, low: float, high: float | None
) -> None:
    graded = {
        (f.code, f.quantity.value, f.quantity.high): f.uncertain
        for f in facts(said)
        if f.quantity is not None
    }
    assert graded.get((code, low, high)) is False, said


def test_where_the_probe_is(facts: Facts) -> None:
    said = "Near hind's white line is stretched. Scraped it, probe's in half an inch."
    assert ("LH", "depth", 0.5) in values(facts(said))


def test_four_inches_wide_is_the_foot(facts: Facts) -> None:
    said = "Fronts are different sizes, left's five and a quarter across and the right's five."
    assert ("LF", "hoof_width", 5.25) in values(facts(said))


@pytest.mark.parametrize(
    ("said", "code"),
    [
        ("Both fronts, brought the breakover back.", "set_back_toe"),
        ("I advised Morag to get him out.", "advised_vet"),
        ("He wants to see the mare again in three weeks, the vet does.", "vet_visit"),
        ("Off hind, worn clean down to the white line.", "worn_hoof"),
        ("Both fronts are wearing on the inside.", "worn_hoof"),
        ("He snorted at the apron.", "nervous"),
        ("Leaned on me at first but he's sure come around.", "improving_manners"),
        ("Best I've ever known her.", "stood_well"),
        ("Two of us to hold him and still he went up.", "needs_two_people"),
        ("She leaned the whole time and I'm tired of her.", "lost_patience"),
        ("Both fronts lost half their heel nails.", "nail_missing"),
        ("Ask the vet for a sedative.", "sedation_by_vet"),
        ("Near hind's puffy. She's hosing it.", "owner_care"),
        ("I'll message the photos to the vet.", "call"),
        ("Dirt at the toe, off hind. Scraped it.", "clean_out"),
    ],
)
def test_it_is_told(facts: Facts, said: str, code: str) -> None:
    assert code in {f.code for f in facts(said)}, said


@pytest.mark.parametrize(
    ("said", "code"),
    [
        ("Near fore's hot. I haven't touched the shoe.", "not_examined"),
        ("Near fore, he's pointing it.", "shifting_weight"),
        ("Near fore. You have to warm the foot up with a lamp.", "heat"),
        ("She's off to the races on Sunday.", "lameness"),
        ("I'll bring it round bit by bit, near fore.", "bring"),
        (
            "A flint in the groove of the near hind, that's all that ailed her. Popped it out.",
            "open_track",
        ),
        ("Shod last month by some other fellow.", "shoe"),
        ("Cleaned out the near hind and left it at that.", "leave_alone"),
    ],
)
def test_it_is_not_told(facts: Facts, said: str, code: str) -> None:
    assert code not in {f.code for f in facts(said)}, said
