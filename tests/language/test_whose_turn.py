"""Whose turn it is where several horses are told of in one note: names, looks, groups, repairs.

The notes are our own; that farriers talk so is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Entry
from tests.language.said import heard

Read = Callable[..., tuple[Entry, ...]]
THREE = ("Pippin", "Juno", "Max")


def told(entries: tuple[Entry, ...]) -> dict[str, set[str]]:
    """Each horse, by name or looks, with the codes of its facts and the feet of findings."""
    return {
        e.horse.called if e.horse else "": {
            f.code + ("" if len(f.feet) != 1 else " " + f.feet[0].value) for f in e.facts
        }
        for e in entries
    }


@pytest.mark.parametrize("as_heard", [False, True], ids=["typed", "heard"])
@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        (
            "Pippin, trimmed. Juno, trimmed, left front has a bit of thrush. Oh, and on Pippin the "
            "right hind has seedy toe, forgot to say.",
            {"Pippin": {"trim", "seedy_toe RH"}, "Juno": {"trim", "thrush LF"}},
        ),
        (
            "Juno trimmed and her off hind has thrush. And Max, just a trim.",
            {"Juno": {"trim", "thrush RH"}, "Max": {"trim"}},
        ),
        (
            "Trimmed Pippin. Juno I only reset in front. Six weeks for Max.",
            {"Pippin": {"trim"}, "Juno": {"reset"}, "Max": {"next_trim"}},
        ),
    ],
)
def test_each_name_begins_its_own_part(
    entries: Read, text: str, wanted: dict[str, set[str]], as_heard: bool
) -> None:
    if as_heard and text.startswith("Trimmed"):
        pytest.skip("without stops nobody can tell whose the first word is")
    assert told(entries(heard(text) if as_heard else text, *THREE)) == wanted


@pytest.mark.parametrize(
    "text",
    [
        "Pippin, trimmed, his feet are better than Juno's.",
        "Pippin, trimmed all four. Juno's owner held him.",
        "Pippin, trimmed all four. He lives beside Juno.",
        "Pippin trimmed all four, same size as Juno.",
    ],
)
def test_a_horse_only_spoken_of_gets_nothing(entries: Read, text: str) -> None:
    found = told(entries(text, *THREE))
    assert set(found) == {"Pippin"}
    assert "trim" in found["Pippin"]


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("Pippin, trimmed. Juno, reset all round. Both of them six weeks.", {"Pippin", "Juno"}),
        ("Pippin, trimmed. Juno, reset all round. Six weeks for the pair.", {"Pippin", "Juno"}),
        ("Pippin and Juno, both trimmed, six weeks.", {"Pippin", "Juno"}),
        ("Pippin, trimmed. Juno, trimmed. Max, trimmed. All three six weeks.", set(THREE)),
        ("Pippin, trimmed. Juno, trimmed. Max, trimmed. Six weeks for everybody.", set(THREE)),
        ("Pippin, trimmed. Juno, trimmed. Max was out, not trimmed. The two I did, six weeks.",
         {"Pippin", "Juno"}),
        ("Pippin, trimmed. Juno, trimmed. Max trimmed, five weeks. The rest six weeks.",
         {"Pippin", "Juno"}),
    ],
)  # fmt: skip
def test_what_is_said_of_several_is_of_each(entries: Read, text: str, wanted: set[str]) -> None:
    found = entries(text, *THREE)
    weeks = {
        e.horse.name
        for e in found
        for f in e.facts
        if e.horse and f.due is not None and f.due.period == "P6W"
    }
    assert weeks == wanted
    ids = [f.id for e in found for f in e.facts]
    assert len(ids) == len(set(ids)), "each horse has a fact of its own"


@pytest.mark.parametrize(
    "text",
    [
        "Pippin, trimmed. Juno, thrush in the fronts, cleaned both of them out.",
        "Pippin, trimmed. Juno, toes too long in front, took half an inch off each of them.",
        "Pippin, trimmed. Juno, all four hot.",
    ],
)
def test_feet_are_no_horses(entries: Read, text: str) -> None:
    assert told(entries(text, *THREE))["Pippin"] == {"trim"}


@pytest.mark.parametrize(
    "text",
    [
        "This is Juno. Left front toe three and a half. No, that's Pippin I'm on, not Juno. "
        "Right front thrush.",
        "Juno, left front toe three and a half. Wrong horse, this is Pippin. Right front thrush.",
    ],
)
def test_a_name_that_is_put_right_takes_what_was_told(entries: Read, text: str) -> None:
    (entry,) = [e for e in entries(text, *THREE) if e.facts]
    assert entry.horse is not None
    assert entry.horse.name == "Pippin"
    assert {f.code for f in entry.facts} == {"toe_length", "thrush"}


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        (
            "The grey mare, trimmed, white line stretched in both fronts. Then the bay gelding, "
            "reset all round. Her foal, trimmed, right hind thrush.",
            {"grey mare": {"trim", "white_line_stretched"}, "bay gelding": {"reset"},
             "foal": {"trim", "thrush RH"}},
        ),
        (
            "Box one, Pippin, trimmed. Box two, Juno, reset in front. Box one again, thrush in the "
            "left hind.",
            {"Pippin": {"trim", "thrush LH"}, "Juno": {"reset"}},
        ),
    ],
)  # fmt: skip
def test_horses_known_by_looks_or_box(
    entries: Read, text: str, wanted: dict[str, set[str]]
) -> None:
    assert told(entries(text, *THREE)) == wanted


@pytest.mark.parametrize(
    "text",
    [
        "Grey mare, trimmed all four. The mare stood well.",
        "Left front thrush. The other one's clear. Trimmed all four.",
        "Number two shoes up front, number one behind, new all round.",
        "Bay gelding, stall four, trimmed all round. Number three nail bound, left front.",
    ],
)
def test_one_horse_stays_one(entries: Read, text: str) -> None:
    assert len(entries(text)) == 1


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        (
            "Sorrel, trimmed. Then Tansyworth, thrush in the left hind, cleaned it out. Gary held "
            "him. On Brackenby, reset in front.",
            {"Tansyworth", "Brackenby"},
        ),
        ("Wenlock's near fore has thrush. Osric's off hind has seedy toe.", {"Wenlock", "Osric"}),
        ("Told Marjorie to keep him in. Wenlock, trimmed. Osric, trimmed.", {"Wenlock", "Osric"}),
    ],
)
def test_names_that_no_list_knows(entries: Read, text: str, wanted: set[str]) -> None:
    found = {e.horse.name for e in entries(text) if e.horse and e.horse.name}
    assert wanted <= found
    assert not {"Gary", "Marjorie"} & found


def test_an_entry_knows_its_stretches(entries: Read) -> None:
    text = "Pippin, trimmed. Juno, left front thrush. On Pippin, six weeks."
    first, second = entries(text, *THREE)
    assert [text[a:b].strip() for a, b in first.stretches] == [
        "Pippin, trimmed.", "On Pippin, six weeks."
    ]  # fmt: skip
    assert first.words == "Pippin, trimmed. … On Pippin, six weeks."
    assert second.words.startswith("Juno")
    assert "Pippin" not in second.words
    assert Entry.from_dict(first.to_dict()) == first
    assert first.says(first.facts[0].span)
    assert not first.says(second.facts[0].span)


def weeks(entries: tuple[Entry, ...]) -> dict[str, set[str]]:
    """Each horse with the periods of its visits."""
    return {
        e.horse.name: {f.due.period for f in e.facts if f.due is not None}
        for e in entries
        if e.horse
    }


@pytest.mark.parametrize(
    "last",
    ["Everybody six weeks except Juno, she's four.", "All of them six weeks bar Juno, she's four."],
)
def test_one_may_be_excepted(entries: Read, last: str) -> None:
    found = weeks(entries(f"Pippin, trimmed. Juno, trimmed. Max, trimmed. {last}", *THREE))
    assert found == {"Pippin": {"P6W"}, "Juno": {"P4W"}, "Max": {"P6W"}}


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        (
            "Box five, trimmed. Box fourteen, reset in front. The lad in five says he's stumbling.",
            [{"trim", "stumbling"}, {"reset"}],
        ),
        (
            "The mare, the mare's daughter and the pony. The mare, thrush in the left hind. "
            "The daughter, seedy toe in the left hind. The pony, trimmed.",
            [{"thrush LH"}, {"seedy_toe LH"}, {"trim"}],
        ),
    ],
)
def test_described_horses_are_known_again(entries: Read, text: str, wanted: list[set[str]]) -> None:
    found = [
        {f.code + (f" {f.feet[0].value}" if len(f.feet) == 1 else "") for f in e.facts}
        for e in entries(text)
    ]
    assert found == wanted


def test_without_stops_looks_begin_a_part(entries: Read) -> None:
    text = heard("Bay colt, trimmed. Grey filly, thrush in the left hind. Chestnut filly, trimmed.")
    assert [{f.code for f in e.facts} for e in entries(text)] == [{"trim"}, {"thrush"}, {"trim"}]


@pytest.mark.parametrize(
    "text",
    [
        "Pippin, trimmed. Max is the barn cat. Juno, trimmed.",
        "Pippin, trimmed. Max is not a horse. Juno, trimmed.",
    ],
)
def test_what_is_no_horse_has_no_entry(entries: Read, text: str) -> None:
    assert set(told(entries(text, *THREE))) == {"Pippin", "Juno"}


@pytest.mark.parametrize(
    "last",
    [
        "The vet says Pippin has thrush in the left hind.",
        "Going back, um, to Pippin, thrush in the left hind.",
    ],
)
def test_a_name_in_its_sentence_takes_the_horse_up_again(entries: Read, last: str) -> None:
    found = told(entries(f"Pippin, trimmed. Juno, trimmed. {last}", *THREE))
    assert found == {"Pippin": {"trim", "thrush LH"}, "Juno": {"trim"}}


def test_both_feet_of_one_are_no_two_horses(entries: Read) -> None:
    text = "Pippin, trimmed. Juno, trimmed, he snatched both his fronts. New shoes, four new ones."
    assert told(entries(text, *THREE))["Pippin"] == {"trim"}
