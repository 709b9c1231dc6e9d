"""A horse's part closed by words: "end of horse. Order more shoes"."""

from __future__ import annotations

from collections.abc import Sequence

from fieldlog.language.horses.naming import Opening, bare_name, titled
from fieldlog.language.words.known_words import vocabulary
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.tokens import Token

_WHICH_END = frozenset({"wrong", "other", "back", "front", "far", "this", "that", "the", "which",
                        "right", "hind", "same"})  # fmt: skip
""" "Sorry, wrong end of the horse": an end of him."""
_TELLS_ALONE = frozenset({"work", "finding", "followup", "value", "handling"})
_HIM = frozenset({"him", "her", "he", "she", "his"})
_TO_GET = frozenset({"order", "buy", "get", "bring", "remember", "remind", "pick"})
"""What a farrier tells himself between two horses."""


def behind_the_end(
    words: Sequence[Token], marks: Sequence[Mark], text: str, begun: Sequence[int]
) -> list[Opening]:
    """ "Trimmed all four. End of horse. Order more shoes.": what is said behind the words that
    close a horse, before another one is named, is of that horse no more, unless he is spoken of
    ("Six weeks for him").

    Args:
        words: those of the note.
        marks: what patterns found in them.
        text: the note.
        begun: words at which other horses begin.
    """
    out: list[Opening] = []
    for mark in marks:
        closes = mark.code == "end_horse" and {words[at].norm for at in mark.covers()} & {"horse"}
        if not closes or (mark.start and words[mark.start - 1].norm in _WHICH_END):
            continue
        stop = min((at for at in begun if at >= mark.end), default=len(words))
        said = {words[at].norm for at in range(mark.end, stop)}
        told = any(mark.end <= m.start < stop and m.kind in _TELLS_ALONE for m in marks)
        if (told or said & _TO_GET) and not said & _HIM:
            out.append(_named_behind(words, mark, text))
    return out


def _named_behind(words: Sequence[Token], mark: Mark, text: str) -> Opening:
    """ "End of horse. Marlow, trimmed all four.": with the name, where one opens the sentence."""
    at = mark.end
    while at < len(words) and words[at].sort != "word":
        at += 1
    end = bare_name(words, at, text) if titled(text, words, at) else 0
    strange = not any(w.norm in vocabulary() for w in words[at:end])
    if end and strange and [w.sort for w in words[end : end + 1]] == ["comma"]:
        return Opening(mark.start, end, text[words[at].start : words[end - 1].end], {}, False)
    return Opening(mark.start, mark.end, "", {}, False)
