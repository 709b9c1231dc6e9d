"""Words as a recogniser heard them, and the text they make.

A ``Transcript`` owns the mapping between character positions in its text and seconds in its
sound: a fact knows its characters, the player needs its seconds.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from fieldlog.core.spans import Span


@dataclass(frozen=True, slots=True)
class Word:
    """One word with its place in the sound."""

    text: str
    """What is shown and understood, lower case as the recogniser wrote it."""
    start: float
    """Seconds from the start of the recording."""
    end: float
    """Seconds from the start of the recording; never before ``start``."""
    confidence: float = 1.0
    """0 to 1; how sure the reader was."""
    heard: str = ""
    """The raw word if ``text`` was changed afterwards (a name, a homophone); else empty."""
    changed_by: str = ""
    """Which rule changed it, e.g. ``names`` or ``homophones:heel``; empty if untouched."""
    reader: str = ""
    """Which reader and model made the word, e.g. ``vosk/farrier-en-1``."""
    rival: str = ""
    """What a second reader heard here, if it differs."""
    rival_reader: str = ""
    """Which reader and model heard ``rival``."""
    at_stake: tuple[Span, ...] = ()
    """Characters of the text whose facts ``rival`` would change (its own, if it would add one);
    empty: both readings say the same."""

    def shown_as(self, text: str, changed_by: str) -> Word:
        """Return a copy that shows ``text`` and keeps what was first heard."""
        return replace(self, text=text, heard=self.heard or self.text, changed_by=changed_by)

    def undisputed(self) -> Word:
        """The word without what a second reader heard."""
        return replace(self, rival="", rival_reader="", at_stake=())

    def to_dict(self) -> dict[str, Any]:
        """Plain data for JSON; empty fields are left out, times in milliseconds' precision."""
        fields = {
            "text": self.text,
            "start": round(self.start, 3),
            "end": round(self.end, 3),
            "confidence": round(self.confidence, 4),
            "heard": self.heard,
            "changed_by": self.changed_by,
            "reader": self.reader,
            "rival": self.rival,
            "rival_reader": self.rival_reader,
            "at_stake": [list(span) for span in self.at_stake],
        }
        return {name: value for name, value in fields.items() if value not in ("", [])}

    @classmethod
    def from_dict(cls, data: dict[str, Any]) -> Word:
        """The inverse of ``to_dict``.

        Raises:
            TypeError: a field is missing or not known.
        """
        spans = tuple((start, end) for start, end in data.get("at_stake", ()))
        return cls(**{**data, "at_stake": spans})


@dataclass(frozen=True, slots=True)
class Transcript:
    """The words of one recording, joined by single spaces (or given text as typed)."""

    words: tuple[Word, ...]
    reader: str = ""
    duration: float = 0.0
    """Seconds of sound that were read."""
    text: str = field(default="")
    _begins: tuple[int, ...] = field(init=False, repr=False, compare=False)
    """First character of each word."""
    _ends: tuple[int, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        spans = self.word_spans()
        object.__setattr__(self, "_begins", tuple(begin for begin, _ in spans))
        object.__setattr__(self, "_ends", tuple(end for _, end in spans))
        if not self.text:
            object.__setattr__(self, "text", " ".join(w.text for w in self.words))

    @classmethod
    def typed(cls, text: str) -> Transcript:
        """A transcript without sound, for text that was typed or imported."""
        return cls(words=(), reader="typed", text=text)

    @property
    def raw_text(self) -> str:
        """The words exactly as first heard."""
        return " ".join(w.heard or w.text for w in self.words) if self.words else self.text

    def word_spans(self) -> list[Span]:
        """Character span of each word in ``text``, in order."""
        spans: list[Span] = []
        at = 0
        for word in self.words:
            spans.append((at, at + len(word.text)))
            at += len(word.text) + 1
        return spans

    def words_in(self, start: int, end: int) -> Sequence[Word]:
        """Words that touch the character span ``start`` to ``end`` (end excluded)."""
        return self.words[bisect_right(self._ends, start) : bisect_left(self._begins, end)]

    def sound_span(self, start: int, end: int) -> tuple[float, float] | None:
        """Seconds that the characters ``start`` to ``end`` took, or None without sound."""
        hit = self.words_in(start, end)
        return (hit[0].start, hit[-1].end) if hit else None

    def to_dict(self) -> dict[str, Any]:
        """Plain data for JSON."""
        return {
            "text": self.text,
            "reader": self.reader,
            "duration": self.duration,
            "words": [w.to_dict() for w in self.words],
        }

    @classmethod
    def from_dict(cls, data: dict[str, Any]) -> Transcript:
        """The inverse of ``to_dict``."""
        return cls(
            words=tuple(Word.from_dict(w) for w in data.get("words", [])),
            reader=data.get("reader", ""),
            duration=data.get("duration", 0.0),
            text=data.get("text", ""),
        )
