"""Whose turn it is: the words of a note parted among its horses.

A part is of one horse, or of several that are told of at once. It begins where a horse is named or
described, or at a group's sentence ("both of them six weeks"); behind such a sentence the horse
before it goes on. "No, that's Bella I'm on" gives the part so far to Bella.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial

from fieldlog.language.horses.described import closing_descriptions, descriptions
from fieldlog.language.horses.groups import groups
from fieldlog.language.horses.listed import TELLS_OF_ONE
from fieldlog.language.horses.naming import Opening
from fieldlog.language.horses.parting import Parting, Turn
from fieldlog.language.horses.turns_grouped import grouped
from fieldlog.language.horses.turns_named import closed, described, named
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.tokens import Token

_Event = tuple[int, int, Callable[[], None]]
"""A word, what comes first of several that begin there, and what is noted of it."""


def turns_of(
    words: Sequence[Token], marks: Sequence[Mark], opened: Sequence[Opening]
) -> list[Turn]:
    """The parts of a note, in order; none if no horse is named or described in it.

    Args:
        words: those of the note.
        marks: what patterns found in them.
        opened: where a horse is named.
    """
    found = Parting(words, marks)
    for _, _, told in sorted(_events(found, opened), key=lambda e: e[:2]):
        told()
    if not opened and len(found.herd.beasts) < 2:
        return []
    return _in_order(found.out)


def _events(found: Parting, opened: Sequence[Opening]) -> list[_Event]:
    """Where horses are named, described or spoken of together; none where nobody is named and one
    horse is described at most."""
    words, marks = found.words, found.marks
    taken = {at for o in opened for at in range(o.start, o.end)}
    starts = {m.start for m in marks if m.kind in TELLS_OF_ONE}
    looks = [(o, s) for o, s in descriptions(words, starts) if not taken & {*range(o.start, o.end)}]
    out: list[_Event] = [(o.start, 0, partial(named, found, o)) for o in opened]
    out += [(o.start, 1, partial(described, found, o, strong)) for o, strong in looks]
    if len(out) < 2:
        return out if opened else []
    telling = {at for m in marks if m.kind in TELLS_OF_ONE for at in m.covers()}
    out += [
        (o.start, 2, partial(closed, found, o, telling))
        for o in closing_descriptions(words)
        if not taken & {*range(o.start, o.end)}
    ]
    out += [
        (g.start, 3, partial(grouped, found, g))
        for g in groups(words)
        if not taken & {*range(g.start, g.end)}
    ]
    return out


def _in_order(turns: Sequence[Turn]) -> list[Turn]:
    """The turns by where they begin: a later one that begins there or before takes the words."""
    out: list[Turn] = []
    for turn in turns:
        while out and out[-1].begin >= turn.begin and out[-1].said is None:
            out.pop()
        if out and out[-1].begin >= turn.begin:
            turn = replace(turn, begin=out[-1].begin + 1)
        out.append(turn)
    return out
