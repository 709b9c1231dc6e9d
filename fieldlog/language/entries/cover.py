"""No word vanishes: what no fact, correction or horse mention covers is kept as a passage."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from fieldlog.core.facts import Fact, Passage, SpokenCorrection
from fieldlog.language.lexicon import word_set

_GLUE = word_set("glue")
_WORD = re.compile(r"[^\W_]+(?:['’][^\W_]+)?|['’][a-z]+")


def cover(
    text: str,
    part: tuple[int, int],
    facts: Sequence[Fact],
    corrections: Sequence[SpokenCorrection],
    mentions: Sequence[tuple[int, int]],
) -> tuple[tuple[Fact, ...], tuple[Passage, ...]]:
    """Facts with glue words drawn in, and passages for everything else with a word in it.

    Args:
        text: the whole note.
        part: characters that this horse's part takes.
        facts: its facts.
        corrections: its spoken corrections.
        mentions: spans of horse mentions.
    """
    begin, end = part
    taken = [False] * (end - begin)
    spans = [f.span for f in facts] + [c.span for c in corrections] + list(mentions)
    for start, stop in spans:
        for at in range(max(start, begin), min(stop, end)):
            taken[at - begin] = True
    gaps: list[tuple[int, int]] = []
    at = begin
    while at < end:
        if taken[at - begin]:
            at += 1
            continue
        stop = at
        while stop < end and not taken[stop - begin]:
            stop += 1
        gaps.append((at, stop))
        at = stop
    grown = list(facts)
    passages: list[Passage] = []
    for start, stop in gaps:
        piece = text[start:stop]
        found = _WORD.findall(piece)
        if not found:
            continue
        if all(w.lower() in _GLUE for w in found) and _absorb(grown, start, stop, text):
            continue
        left = start + len(piece) - len(piece.lstrip(" \t\n,;.-"))
        right = stop - (len(piece) - len(piece.rstrip(" \t\n,;-")))
        passages.append(Passage((left, right), text[left:right]))
    return tuple(grown), tuple(passages)


def _absorb(facts: list[Fact], start: int, stop: int, text: str) -> bool:
    """Let a fact beside a gap of glue words take them in; the following fact first."""
    piece = text[start:stop]
    first = start + len(piece) - len(piece.lstrip(" \t\n,.;:-"))
    last = stop - (len(piece) - len(piece.rstrip()))
    for at, fact in enumerate(facts):
        if fact.span[0] == stop:
            facts[at] = replace(fact, span=(first, fact.span[1]))
            return True
    for at, fact in enumerate(facts):
        if fact.span[1] == start:
            facts[at] = replace(fact, span=(fact.span[0], last))
            return True
    return False
