"""A horse's name that is taken back: "no, that's Bella I'm on"."""

from __future__ import annotations

from collections.abc import Sequence

from fieldlog.language.horses.naming import herd_words
from fieldlog.language.words.tokens import Token

_WORDS = herd_words("turns")
_BACK = 9
"""Words before a name in which another one is taken back."""


def cue_before(words: Sequence[Token], start: int) -> int | None:
    """Where "no, that's" begins before a name; None if nothing takes a name back.

    Args:
        words: those of the note.
        start: the first word of the name.
    """
    at, which = start - 1, False
    while at >= 0 and start - at < _BACK and words[at].sort != "stop":
        norm = words[at].norm
        if norm in _WORDS["cues"] and (which or norm == "wrong"):
            return _first_cue(words, at)
        if norm not in _WORDS["links"] and words[at].sort not in ("comma", "pause", "filler"):
            return None
        which = which or norm in _WORDS["says_which"]
        at -= 1
    return None


def _first_cue(words: Sequence[Token], at: int) -> int:
    """The first of "no wait", from the last."""
    while at and words[at - 1].norm in _WORDS["cues"]:
        at -= 1
    return at


def is_on(words: Sequence[Token], at: int) -> bool:
    """Whether "I'm on" stands at a word: the horse in hand, and no single thing of it."""
    return [w.norm for w in words[at : at + 3]] in (["i", "'m", "on"], ["i", "'m", "at"])


def word_before(words: Sequence[Token], at: int) -> int:
    """The last word before some words and the comma before them."""
    at -= 1
    while at > 0 and words[at].sort in ("comma", "pause"):
        at -= 1
    return max(at, 0)
