"""A time that takes the place of one said before, and a visit with two times."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from fieldlog.core.facts import Due, Fact, FactKind, FootBasis, SpokenCorrection
from fieldlog.language.entries.times_asked import asked_of_other_times
from tests.gold.annotation import when_meant
from tests.language.said import heard, values


def visits(found: list[Fact]) -> list[str | None]:
    return [
        when_meant(f.to_dict().get("due"))
        for f in found
        if f.code in ("next_trim", "recheck") and f.due is not None
    ]


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    ("text", "when"),
    [
        ("See him in a week, well, more like ten days.", "P10D"),
        ("Back in a week but more like ten days.", "P10D"),
        ("Back in six weeks, or more like seven.", "P7W"),
        ("I'd put him down for six weeks but she's away so the ninth of January instead.",
         "2027-01-09"),
        ("Six weeks I told her, then she changed her mind, so I'm coming on the seventh of January "
         "instead.", "2027-01-07"),
        ("Okay five weeks. No wait, she's got the big one at the coast, so let's go four.", "P4W"),
        ("I had him at five weeks but with the cold let's go six.", "P6W"),
        ("I told Ann seven weeks. Make it eight, she's away.", "P8W"),
        ("I said five weeks for Bramble. Make that six, he's grown nothing.", "P6W"),
    ],
)  # fmt: skip
def test_the_time_said_last_holds(
    facts: Callable[[str], list[Fact]], text: str, when: str, as_heard: bool
) -> None:
    assert visits(facts(heard(text) if as_heard else text)) == [when]


@pytest.mark.parametrize(
    ("text", "when"),
    [
        ("Six weeks, and we'll go four on the pads next time.", ["P6W"]),
        ("Six weeks. Used a pad instead.", ["P6W"]),
        ("Six weeks. We'll go to a bar shoe on the left front.", ["P6W"]),
    ],
)
def test_words_of_something_else_change_no_time(
    facts: Callable[[str], list[Fact]], text: str, when: list[str]
) -> None:
    assert visits(facts(text)) == when


def test_a_number_of_another_foot_is_no_better_reading(
    facts: Callable[[str], list[Fact]],
) -> None:
    found = values(facts("Left front toe angle fifty, right front more like fifty two."))
    assert found == {("LF", "toe_angle", 50), ("RF", "toe_angle", 52)}
    found = values(facts("Toe's three inches, well, more like three and a quarter, left front."))
    assert found == {("LF", "toe_length", 3.25)}


SIX_WEEKS = Due(spoken="six weeks", period="P6W", on=date(2027, 1, 6))
THE_TWELFTH = Due(spoken="December twelfth", on=date(2026, 12, 12))
TEXT = "Six weeks. She leaves on the fifteenth, so say December twelfth."
VISIT = Fact(
    FactKind.FOLLOW_UP, "next_trim", (), FootBasis.WHOLE_HORSE, due=SIX_WEEKS, span=(0, 9)
)  # fmt: skip
AT = ((len(TEXT) - 17, len(TEXT) - 1), THE_TWELFTH)


def test_a_visit_beside_another_time_is_asked_about() -> None:
    (asked,) = asked_of_other_times([VISIT], [AT], (), TEXT)
    assert [d.code for d in asked.doubts] == ["competing_readings"]


def test_a_time_that_something_has_or_that_was_denied_is_no_other() -> None:
    vet = replace(VISIT, code="vet_visit", due=THE_TWELFTH, id="vet")
    assert asked_of_other_times([VISIT, vet], [AT], (), TEXT) == [VISIT, vet]
    far = [(((200, 216)), THE_TWELFTH)]
    assert asked_of_other_times([VISIT], far, (), TEXT + " " * 200) == [VISIT]
    taken_back = SpokenCorrection((11, 64), "replace_value", (replace(VISIT, due=THE_TWELFTH),), ())
    assert asked_of_other_times([VISIT], [AT], (taken_back,), TEXT) == [VISIT]
    denied = "Six weeks, not December twelfth."
    assert asked_of_other_times([VISIT], [((15, 31), THE_TWELFTH)], (), denied) == [VISIT]


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    ("text", "when"),
    [
        ("Eight weeks for the mares. The hunter can come at five.", ["P8W", "P5W"]),
        ("Eight weeks for the ponies, seven for the cobs.", ["P8W", "P7W"]),
        ("Hinds are due in four weeks but fronts want doing at three.", ["P4W", "P3W"]),
        ("Eight weeks is too long on him, I want him at six.", ["P6W"]),
        ("Six weeks. Vet's here at three.", ["P6W"]),
        ("Six weeks and ring me at five.", ["P6W"]),
    ],
)
def test_weeks_of_others_go_unsaid_but_an_hour_is_no_week(
    facts: Callable[[str], list[Fact]], text: str, when: list[str], as_heard: bool
) -> None:
    assert visits(facts(heard(text) if as_heard else text)) == when


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    ("text", "when"),
    [
        ("The off hind needs another week.", ["P1W"]),
        ("Near fore wants two more weeks.", ["P2W"]),
        ("Give it another fortnight.", ["P2W"]),
        ("These shoes will go another month.", ["P1M"]),
        ("He needs another two weeks off work.", []),
        ("Two more nails and another pad.", []),
    ],
)
def test_another_week_and_more_weeks_are_times(
    facts: Callable[[str], list[Fact]], text: str, when: list[str], as_heard: bool
) -> None:
    assert visits(facts(heard(text) if as_heard else text)) == when
