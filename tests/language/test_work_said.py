"""Work done, planned and left undone, in everyday verbs of both sides of the Atlantic.

Ways of talking: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Fact, FactKind

Facts = Callable[[str], list[Fact]]


def jobs(found: list[Fact]) -> list[tuple[str, str, bool]]:
    """Foot, job, and whether it was left undone."""
    return [
        (foot, f.code, f.negated)
        for f in found
        if f.kind is FactKind.WORK
        for foot in ([x.value for x in f.feet] or ["-"])
    ]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Took a bit off the toe of the left hind.", [("LH", "shorten_toe", False)]),
        ("Replaced the shoe on the left front.", [("LF", "shoe", False)]),
        ("Took the wedges off.", [("-", "take_off", False)]),
        ("Dressed the wall behind.", [("LH", "dress_flare", False), ("RH", "dress_flare", False)]),
        ("Plated him up.", [("-", "shoe", False)]),
        ("Would have pulled the left front but he wouldn't stand.", [("LF", "pull", True)]),
        ("I never trimmed the left hind.", [("LH", "trim", True)]),
        ("Couldn't get the left hind done.", [("LH", "trim", True)]),
        ("Didn't do the right hind.", [("RH", "trim", True)]),
        ("Another two trims and it's out.", []),
        ("Was going to reset the left front.", [("LF", "reset", True)]),
        (
            "Took the heels down on the left front and left the right alone.",
            [("LF", "lower_heel", False), ("RF", "leave_alone", False)],
        ),
    ],
)  # fmt: skip
def test_jobs(facts: Facts, text: str, expected: list[tuple[str, str, bool]]) -> None:
    assert jobs(facts(text)) == expected
    assert jobs(facts(text.lower().replace(".", ""))) == expected


def test_an_amount_without_a_unit_is_never_inches_of_horn(facts: Facts) -> None:
    (job,) = facts("Took another five off the heels on both fronts.")
    assert job.quantity is not None
    assert job.quantity.unit.value == "mm"


@pytest.mark.parametrize(
    ("text", "code", "amount"),
    [
        ("Toes four inches on the left front, took five eighths off.", "shorten_toe", 0.625),
        ("Heels were high on both hinds so I took a quarter inch off.", "lower_heel", 0.25),
        ("Flare on the left front, took about three eighths off.", "dress_flare", 0.375),
        ("Dropped the heels about a quarter and rolled the toes.", "lower_heel", 0.25),
        ("Trimmed all four, fifteen mil came off the front toes.", "shorten_toe", 15),
    ],
)
def test_an_amount_came_off_what_was_just_named(
    facts: Facts, text: str, code: str, amount: float
) -> None:
    for said in (text, text.lower().replace(".", "").replace(",", "")):
        sizes = [(f.code, f.quantity.value) for f in facts(said) if f.quantity and f.code == code]
        assert sizes == [(code, amount)]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (
            "New set all round, threes in front, twos behind.",
            [(foot, "shoe", False) for foot in ("LF", "RF", "LH", "RH")],
        ),
        ("Reset the same keg shoes on the left front.", [("LF", "reset", False)]),
        ("Left front, egg bar pulled off.", [("LF", "pull", False)]),
        ("Pulled the old shoe on the left front.", [("LF", "pull", False)]),
    ],
)
def test_iron_counts_once(facts: Facts, text: str, expected: list[tuple[str, str, bool]]) -> None:
    assert jobs(facts(text)) == expected


def test_muck_packed_in_is_nobodys_packing(facts: Facts) -> None:
    assert not jobs(facts("There's a hollow at the toe of the left front packed with grit."))


@pytest.mark.parametrize(
    "text",
    [
        "I quoted her one eighty for heart bars.",
        "Phone's nearly flat so I'll be quick.",
        "I used the three quarter inch nippers on him.",
    ],
)
def test_talk_of_work_is_no_work(facts: Facts, text: str) -> None:
    assert not facts(text)
