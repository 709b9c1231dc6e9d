"""Words that may be of another horse than the one whose turn it is, though they begin no turn."""

from __future__ import annotations

from collections.abc import Sequence

from fieldlog.language.horses.listed import TELLS_OF_ONE
from fieldlog.language.horses.naming import BEASTS, COLOURS, SEXES, NameAt
from fieldlog.language.horses.parting import Turn
from fieldlog.language.horses.unlisted import perhaps_names
from fieldlog.language.lexicon import word_set
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.tokens import Token

_KIN = word_set("kin_of_a_horse")
_ARTICLES = frozenset({"the", "her", "his", "that", "this", "another", "other", "a", "my", "their",
                       "old", "little", "big", "young", "wee", "'s"})  # fmt: skip
_ONE = frozenset({"one", "horse", "fella", "feller", "lad", "girl"})
_WHICH = frozenset({"next", "other", "third", "second", "last", "first"})
_PLACES = frozenset({"stall", "box"})


def hints(
    words: Sequence[Token],
    marks: Sequence[Mark],
    names: Sequence[NameAt],
    turns: Sequence[Turn],
    text: str,
) -> list[int]:
    """The words that may be of another horse, in order; none where one horse is spoken of.

    Args:
        words: those of the note.
        marks: what patterns found in them.
        names: where known names stand.
        turns: whose turn it is.
        text: the note.
    """
    if len({horse for turn in turns for horse in turn.horses}) < 2:
        return []
    said = {at for t in turns if t.said for at in range(*t.said)}
    said |= {at for t in turns for o in t.who for at in range(o.start, o.end)}
    told = {m.start for m in marks if m.kind in TELLS_OF_ONE}
    listed = {at for begin, end, _ in names for at in range(begin, end)}
    spoken_of = {at for at, _, _ in names} | {*perhaps_names(words, told, text, listed)}
    return [
        at for at in range(len(words)) if at not in said and (at in spoken_of or _hints(words, at))
    ]


def _hints(words: Sequence[Token], at: int) -> bool:
    norm = words[at].norm
    before = words[at - 1].norm if at else ""
    if norm in BEASTS | SEXES or (norm in COLOURS and _ends(words, at)) or norm in _KIN - _THINGS:
        return before in _ARTICLES | COLOURS
    return (norm in _ONE and before in _WHICH) or (
        norm in _PLACES and before not in ("in", "his", "her", "the")
    )


_THINGS = frozenset({"box", "door", "field", "owner", "paddock", "rider", "rug", "saddle", "stable",
                     "stall", "half"})  # fmt: skip


def _ends(words: Sequence[Token], at: int) -> bool:
    """Whether a colour is all that is told: no "white line"."""
    return (
        at + 1 >= len(words)
        or words[at + 1].sort in ("comma", "stop")
        or words[at + 1].norm in ("'s", "is", "was", "has", "had")
    )
