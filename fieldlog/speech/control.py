"""Spoken words that steer the recorder, found in what was heard. Pure: words in, controls out.

The phrases are data (``data/control_words.toml``).
"""

from __future__ import annotations

import functools
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from importlib import resources

from fieldlog.core.feet import Foot
from fieldlog.core.words import Word

NAME_PAUSE = 0.6
"""Seconds of silence that end a spoken name."""


class ControlKind(StrEnum):
    """What a spoken control does."""

    FOOT = "foot"
    NEW_HORSE = "new horse"
    END_OF_HORSE = "end of horse"
    SCRATCH = "scratch that"
    STOP = "stop recording"


@dataclass(frozen=True, slots=True)
class Control:
    """One spoken control."""

    kind: ControlKind
    first: int
    """Index of its first word."""
    end: int
    """Index after its last word, the name of a new horse included."""
    feet: tuple[Foot, ...] = ()
    name: str = ""
    """Spoken name of a new horse; empty if none was said."""

    @property
    def sense(self) -> tuple[ControlKind, tuple[Foot, ...]]:
        """What it does, wherever it stands."""
        return self.kind, self.feet


@dataclass(frozen=True, slots=True)
class _Phrases:
    by_words: dict[tuple[str, ...], tuple[ControlKind, tuple[Foot, ...]]]
    longest: int
    name_words: int
    name_ends_at: frozenset[str]


@functools.cache
def _phrases() -> _Phrases:
    text = resources.files("fieldlog.speech").joinpath("data/control_words.toml").read_text("utf-8")
    data = tomllib.loads(text)
    table: dict[tuple[str, ...], tuple[ControlKind, tuple[Foot, ...]]] = {}
    for key, kind in (
        ("new_horse", ControlKind.NEW_HORSE),
        ("end_of_horse", ControlKind.END_OF_HORSE),
        ("scratch", ControlKind.SCRATCH),
        ("stop", ControlKind.STOP),
    ):
        for phrase in data[key]:
            table[tuple(phrase.split())] = (kind, ())
    for group in data["foot"]:
        feet = tuple(Foot(f) for f in group["feet"])
        for phrase in group["say"]:
            table[tuple(phrase.split())] = (ControlKind.FOOT, feet)
    return _Phrases(
        table, max(map(len, table)), int(data["name_words"]), frozenset(data["name_ends_at"])
    )


def find_controls(words: Sequence[Word]) -> list[Control]:
    """Spoken controls in order; where two overlap the earlier, then the longer one counts."""
    phrases = _phrases()
    tokens = [w.text.lower() for w in words]
    found: list[Control] = []
    at = 0
    while at < len(tokens):
        hit = _phrase_at(tokens, at, phrases)
        if hit is None:
            at += 1
            continue
        length, kind, feet = hit
        end = at + length
        name = ""
        if kind is ControlKind.NEW_HORSE:
            end = _name_end(words, tokens, end, phrases)
            name = " ".join(tokens[at + length : end])
        found.append(Control(kind, at, end, feet, name))
        at = end
    return found


def find_controls_in_text(text: str) -> list[Control]:
    """The same for words without times, such as a partial result."""
    return find_controls([Word(token, 0.0, 0.0) for token in text.split()])


def _phrase_at(
    tokens: Sequence[str], at: int, phrases: _Phrases
) -> tuple[int, ControlKind, tuple[Foot, ...]] | None:
    for length in range(min(phrases.longest, len(tokens) - at), 0, -1):
        hit = phrases.by_words.get(tuple(tokens[at : at + length]))
        if hit is not None:
            return length, *hit
    return None


def _name_end(words: Sequence[Word], tokens: Sequence[str], at: int, phrases: _Phrases) -> int:
    end = at
    while end < len(tokens) and end - at < phrases.name_words:
        paused = end > at and words[end].start - words[end - 1].end >= NAME_PAUSE
        if paused or tokens[end] in phrases.name_ends_at:
            break
        if _phrase_at(tokens, end, phrases) is not None:
            break
        end += 1
    return end
