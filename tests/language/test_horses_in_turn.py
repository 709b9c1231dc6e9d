"""Horses of one note that come one after the other, first, then, last."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Entry
from tests.language.said import heard

Told = list[tuple[str, set[str]]]


def told(entries: tuple[Entry, ...]) -> Told:
    """Each horse with its jobs and findings."""
    return [
        (e.horse.name if e.horse else "", {f"{f.code} {len(f.feet)}" for f in e.facts})
        for e in entries
    ]


@pytest.mark.parametrize(
    "text",
    [
        "Biscuit first, trimmed all four. Then Marlow, shod in front. Last was Pip, hinds trimmed.",
        "Three today. Biscuit first, trimmed all four. Marlow next, shod in front. Pip last, "
        "hinds trimmed.",
        "First was Biscuit, trimmed all four. Second was Marlow, shod in front. Last of all was "
        "Pip, hinds trimmed.",
    ],
)
def test_each_has_its_own(entries: Callable[..., tuple[Entry, ...]], text: str) -> None:
    wanted = [("Biscuit", {"trim 4"}), ("Marlow", {"shoe 2"}), ("Pip", {"trim 2"})]
    assert told(entries(text)) == wanted
    assert told(entries(text, "Biscuit", "Marlow", "Pip")) == wanted


def test_names_of_the_day_without_stops(entries: Callable[..., tuple[Entry, ...]]) -> None:
    text = heard("Three today. Biscuit first, trimmed all four. Then Marlow, shod in front. "
                 "Last was Pip, hinds trimmed.")  # fmt: skip
    found = told(entries(text, "Biscuit", "Marlow", "Pip"))
    assert found == [("Biscuit", {"trim 4"}), ("Marlow", {"shoe 2"}), ("Pip", {"trim 2"})]


@pytest.mark.parametrize(
    "text",
    [
        "Coffee first, then the mare. Trimmed all four.",
        "Fronts first, trimmed. Then Tuesday, the hinds.",
        "Last was bad, thrush in the left hind.",
        "Trimmed the fronts. Then Gary, the owner, came out and held him. Hinds trimmed.",
        "Coon-footed behind, trimmed.",
        "Half moon of blood in the left front sole.",
    ],
)
def test_what_is_no_horse(entries: Callable[..., tuple[Entry, ...]], text: str) -> None:
    assert [e.horse for e in entries(text)] == [None]


@pytest.mark.parametrize(
    ("text", "horses"),
    [
        ("Smudge, trim. Dot, trim.", {"Smudge": {"trim"}, "Dot": {"trim"}}),
        ("Tansy, trim. Clover, trim. Skye, fronts shod, and she stood like a lamb.",
         {"Tansy": {"trim"}, "Clover": {"trim"}, "Skye": {"shoe", "stood_well"}}),
        ("Merlin, trimmed, thrush off hind. Polly, fronts reset.",
         {"Merlin": {"trim", "thrush"}, "Polly": {"reset"}}),
        ("Smokey, left front thrush. Nettle, new fronts.",
         {"Smokey": {"thrush"}, "Nettle": {"shoe"}}),
    ],
)  # fmt: skip
def test_unlisted_names_in_a_row_are_a_horse_each(
    entries: Callable[..., tuple[Entry, ...]], text: str, horses: dict[str, set[str]]
) -> None:
    found = entries(text)
    assert {e.horse.name: {f.code for f in e.facts} for e in found if e.horse} == horses


@pytest.mark.parametrize(
    "text",
    [
        "Dave, hold him. Left front, thrush. Mary, put that down.",
        "Near fore, thrush. Off fore, bruise. Near hind, good.",
        "Longest, off hind, thirty mil. Shortest, near fore, five.",
        "Kestrel, trim. Then a cup of tea.",
        "Anyway, left front thrush. Okay, right front bruise.",
    ],
)
def test_other_words_before_a_comma_are_no_horses(
    entries: Callable[..., tuple[Entry, ...]], text: str
) -> None:
    assert len(entries(text)) == 1


@pytest.mark.parametrize(
    "text",
    [
        "smudge trim dot trim",
        "smudge trim dot trimmed six weeks",
        "smudge all four trimmed dot hinds trimmed fronts shod",
    ],
)
def test_known_names_between_jobs_need_no_stop(
    entries: Callable[..., tuple[Entry, ...]], text: str
) -> None:
    found = entries(text, "Smudge", "Dot")
    assert [e.horse.name if e.horse else "" for e in found] == ["Smudge", "Dot"]
    assert all("trim" in {f.code for f in e.facts} for e in found)


def test_a_known_name_within_a_sentence_opens_nothing(
    entries: Callable[..., tuple[Entry, ...]],
) -> None:
    found = entries("smudge left front is bigger than dot left front", "Smudge", "Dot")
    assert [e.horse.name if e.horse else "" for e in found] == ["Smudge"]


def test_a_trim_before_a_finding_is_not_of_its_foot_alone(
    entries: Callable[..., tuple[Entry, ...]],
) -> None:
    (entry,) = entries("Trimmed, bit of thrush in the off hind.")
    (job,) = [f for f in entry.facts if f.code == "trim"]
    assert not job.feet


@pytest.mark.parametrize(
    ("text", "name", "code"),
    [
        (
            "new horse lady jane white line stretched left front",
            "Lady Jane",
            "white_line_stretched",
        ),
        ("new horse mister wiggles trimmed all round", "Mister Wiggles", "trim"),
        ("next horse is miss daisy a bay mare left front thrush", "Miss Daisy", "thrush"),
        ("new horse lady stood well left hind thrush", "Lady", "thrush"),
        ("new horse prince was good trimmed all four", "Prince", "trim"),
        ("new horse lady belongs to roy tanner trimmed fronts", "Lady", "trim"),
        ("new horse cinnamon left front flare", "Cinnamon", "flare"),
    ],
)
def test_a_title_takes_its_name_along_without_capitals(
    entries: Callable[..., tuple[Entry, ...]], text: str, name: str, code: str
) -> None:
    (entry,) = entries(text)
    assert entry.horse is not None
    assert entry.horse.name == name
    assert code in {f.code for f in entry.facts}


@pytest.mark.parametrize(
    "text",
    [
        "new horse ranger white line stretched left front",
        "new horse ranger grey mare white line stretched left front",
        "next horse ranger brown gunk in the left hind frog",
    ],
)
def test_the_colour_of_a_finding_is_not_the_horses(
    entries: Callable[..., tuple[Entry, ...]], text: str
) -> None:
    """The white line was taken for a white horse, and the finding was lost without a word."""
    (entry,) = entries(text)
    assert entry.horse is not None
    assert entry.horse.name == "Ranger"
    assert entry.horse.details.get("colour") in (None, "grey")
    assert {"white_line_stretched", "discharge"} & {f.code for f in entry.facts}
