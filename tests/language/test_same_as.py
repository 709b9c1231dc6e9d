"""A horse told to be like another one: what is copied, what is left out, and that it is asked.

The notes are our own; that farriers talk so is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Entry, Fact
from tests.language.said import heard

Read = Callable[..., tuple[Entry, ...]]
NAMES = ("Copper", "Dolly", "Juno")
COPPER = "Copper, new shoes in front, trimmed behind, bit of thrush in the left hind. "


def of(entries: tuple[Entry, ...], name: str) -> tuple[Fact, ...]:
    """The facts of a horse."""
    return next(e.facts for e in entries if e.horse and e.horse.name == name)


def codes(facts: tuple[Fact, ...]) -> set[str]:
    """Codes with their feet; what was not done with a "no"."""
    return {
        " ".join([*(["no"] if f.negated else []), f.code, *(foot.value for foot in f.feet)])
        for f in facts
    }


@pytest.mark.parametrize("as_heard", [False, True], ids=["typed", "heard"])
@pytest.mark.parametrize(
    "text",
    [
        "Dolly, same again.",
        "Dolly, ditto.",
        "Dolly the same as Copper.",
        "Juno, reset the hinds. Dolly, exactly the same as Copper.",
        "Same for Dolly.",
        "Dolly, same job.",
    ],
)
def test_what_was_told_of_the_other_is_copied(entries: Read, text: str, as_heard: bool) -> None:
    said = heard(COPPER + text) if as_heard else COPPER + text
    found = entries(said, *NAMES)
    copies = of(found, "Dolly")
    assert codes(copies) == codes(of(found, "Copper"))
    assert not {f.id for f in copies} & {f.id for f in of(found, "Copper")}
    for fact in copies:
        assert fact.needs_look
        assert "same_as" in {d.code for d in fact.doubts}
        assert any("Copper" in d.reason for d in fact.doubts)
        assert all(
            fact.confidence < f.confidence for f in of(found, "Copper") if f.code == fact.code
        )


def test_the_words_that_say_so_are_the_copys_own(entries: Read) -> None:
    text = COPPER + "Dolly, same as Copper. Lovely day."
    found = entries(text, *NAMES)
    (dolly,) = [e for e in found if e.horse and e.horse.name == "Dolly"]
    assert {text[slice(*f.span)] for f in dolly.facts} == {"same as Copper"}
    assert [p.text for p in dolly.passages] == ["Lovely day"]


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("Dolly, same as Copper, only no thrush.",
         {"shoe LF RF", "trim LH RH", "no thrush"}),
        ("Dolly, same as Copper but trimmed in front.",
         {"shoe LF RF", "trim LF RF", "trim LH RH", "thrush LH"}),
        ("Dolly, same as Copper, new shoes in front and trimmed behind.",
         {"shoe LF RF", "trim LH RH", "thrush LH"}),
        ("Dolly, same again, but only behind.", {"trim LH RH", "thrush LH RH"}),
    ],
)  # fmt: skip
def test_what_is_told_beside_it_counts(entries: Read, text: str, wanted: set[str]) -> None:
    assert codes(of(entries(COPPER + text, *NAMES), "Dolly")) == wanted


def test_only_the_foot_that_is_the_same(entries: Read) -> None:
    text = (
        "Copper and Dolly, trimmed. Copper's bars were folded over in both fronts, I took those "
        "down. Same on Dolly, but just the right front."
    )
    found = entries(text, *NAMES)
    assert codes(of(found, "Dolly")) >= {"folded_bar RF", "pare_bar RF"}
    assert not any("LF" in told for told in codes(of(found, "Dolly")) if "bar" in told)
    assert "folded_bar LF RF" in codes(of(found, "Copper"))


def test_how_bad_it_is_is_not_the_same(entries: Read) -> None:
    found = entries(
        "Copper, mild thrush in the left hind. Dolly, same as Copper only worse.", *NAMES
    )
    (fact,) = of(found, "Dolly")
    assert fact.code == "thrush"
    assert fact.severity is None
    assert of(found, "Copper")[0].severity is not None


def test_values_and_manners_are_each_horses_own(entries: Read) -> None:
    text = "Copper, trimmed all four, left front toe three and a half, he leaned. Dolly, the same."
    assert codes(of(entries(text, *NAMES), "Dolly")) == {"trim LF RF LH RH"}


@pytest.mark.parametrize("as_heard", [False, True], ids=["typed", "heard"])
def test_horses_that_are_counted(entries: Read, as_heard: bool) -> None:
    text = "Number one, shod in front. Number two, same. Number three, trimmed all four."
    found = entries(heard(text) if as_heard else text)
    assert [codes(e.facts) for e in found] == [
        {"shoe LF RF"}, {"shoe LF RF"}, {"trim LF RF LH RH"}
    ]  # fmt: skip


@pytest.mark.parametrize(
    "text",
    [
        "Dolly, trimmed, same size as Copper.",
        "Dolly, trimmed, same as last time.",
        "Dolly, trimmed, lives in the same field as Copper.",
        "Dolly, trimmed. Same owner.",
        "Dolly, trimmed, right front the same as Copper's left.",
    ],
)
def test_another_sameness_copies_nothing(entries: Read, text: str) -> None:
    facts = of(entries(COPPER + text, *NAMES), "Dolly")
    assert "trim" in {f.code for f in facts}
    assert not any(d.code == "same_as" for f in facts for d in f.doubts)
