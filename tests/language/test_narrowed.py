"""A pair that is narrowed at once to one of its feet."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Entry, Fact


@pytest.mark.parametrize(
    ("text", "code", "foot"),
    [
        ("Thrush in both hinds. Well, the left.", "thrush", "LH"),
        ("Reset both hinds. Well, just the off one.", "reset", "RH"),
        ("Both fronts are cracked. Only the left really.", "crack", "LF"),
        ("Flare on both fronts. Actually, the right.", "flare", "RF"),
        ("Pads in front. I mean just the left front.", "pad", "LF"),
    ],
)
def test_the_one_that_was_meant(
    entries: Callable[..., tuple[Entry, ...]], text: str, code: str, foot: str
) -> None:
    (entry,) = entries(text)
    assert [(f.code, [x.value for x in f.feet]) for f in entry.facts] == [(code, [foot])]
    (told,) = entry.corrections
    assert [len(f.feet) for f in (*told.before, *told.after)] == [2, 1]


@pytest.mark.parametrize(
    ("text", "many"),
    [
        ("Thrush in both hinds. The left too.", 2),
        ("Thrush in both hinds. Mainly the left.", 2),
        ("Thrush in both hinds. Well, the left front.", 2),
        ("Thrush in all four. Well, the left hind.", 4),
    ],
)
def test_what_narrows_nothing(facts: Callable[[str], list[Fact]], text: str, many: int) -> None:
    assert [len(f.feet) for f in facts(text) if f.code == "thrush"][:1] == [many]
