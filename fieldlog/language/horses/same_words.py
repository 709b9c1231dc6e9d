"""The words of "the very same thing again", and those beside them (data/herds.toml)."""

from __future__ import annotations

from collections.abc import Sequence

from fieldlog.language.horses.naming import BREAKS, herd_words
from fieldlog.language.words.tokens import Token

SAME_WORDS = herd_words("alike")


def same_said(words: Sequence[Token], at: int) -> int:
    """One past the last of "the very same thing again" from a word on; 0 if it is not said."""
    begin = at
    while at < len(words) and words[at].norm in SAME_WORDS["leads"]:
        at += 1
    if at >= len(words) or words[at].norm not in SAME_WORDS["heads"]:
        return 0
    at += 1
    while at < len(words) and words[at].norm in SAME_WORDS["things"]:
        at += 1
    return at if at > begin else 0


def same_before(words: Sequence[Token], begin: int) -> int | None:
    """The first word of "same again for", "the same on" right before a name; None if none is."""
    for at in range(max(0, begin - 6), begin - 1):
        opens = at == 0 or words[at - 1].sort in BREAKS or words[at].norm in SAME_WORDS["heads"]
        end = same_said(words, at) if opens else 0
        if end and end < begin and all(w.norm in SAME_WORDS["onto"] for w in words[end:begin]):
            return at
    return None
