"""One entry a horse: a note parted where a horse is named, entries of one horse put together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

from fieldlog.core.facts import Entry, Passage, new_id
from fieldlog.core.spans import joined
from fieldlog.language.horses.naming import Opening, mention
from fieldlog.language.horses.parting import Turn
from fieldlog.language.words.tokens import Token


class HorsePart(NamedTuple):
    """The words that are about one horse, or about several at once."""

    who: tuple[Opening, ...]
    """The words that name them; none before the first one that is named."""
    horses: tuple[int, ...]
    """The same, by their place among the horses of the note; none if nobody was named yet."""
    begin: int
    """The first word."""
    end: int
    """The word behind the last."""
    said: tuple[int, int] | None = None
    """The words that name them, one past the last; None where a horse before goes on."""

    @property
    def reads(self) -> int:
        """The first word that tells something: behind the words that name the horse."""
        return self.said[1] if self.said is not None and self.said[0] == self.begin else self.begin


class PartRead(NamedTuple):
    """One part of a note, and what was made of it."""

    about: HorsePart
    entry: Entry


def parts_by_horse(turns: Sequence[Turn], count: int) -> list[HorsePart]:
    """The parts of a note: what stands before the first turn, then one per turn.

    Args:
        turns: whose turn it is.
        count: how many words the note has.
    """
    starts = [turn.begin for turn in turns]
    parts: list[HorsePart] = []
    if not turns or starts[0] > 0:
        parts.append(HorsePart((), (), 0, starts[0] if turns else count))
    for at, turn in enumerate(turns):
        end = starts[at + 1] if at + 1 < len(turns) else count
        parts.append(HorsePart(turn.who, turn.horses, turn.begin, end, turn.said))
    return parts


def leading_merged(entries: list[Entry]) -> list[Entry]:
    """Words before the first horse that make no fact belong to that horse's entry."""
    if len(entries) < 2 or entries[0].horse is not None or entries[0].facts:
        return entries
    first, second, *rest = entries
    merged = replace(
        second,
        span=(first.span[0], second.span[1]),
        passages=(*first.passages, *second.passages),
        corrections=(*first.corrections, *second.corrections),
    )
    return [merged, *rest]


def of_each(entry: Entry, part: HorsePart, words: Sequence[Token]) -> list[Entry]:
    """The entry of a part, and one like it for each further horse that the part is of.

    Several that nothing is told of stay one entry: they are only announced.
    """
    if not entry.facts:
        return [entry]
    others = [
        replace(
            entry,
            id=new_id(),
            facts=tuple(replace(fact, id=new_id()) for fact in entry.facts),
            horse=mention(opening, words),
            corrections=(),
        )
        for opening in part.who[1:]
    ]
    return [entry, *others]


def same_horse_joined(entries: Sequence[tuple[int | None, Entry]]) -> list[Entry]:
    """The entries, those of one horse put together.

    Args:
        entries: each with its horse's place among the horses of the note, or None.
    """
    out: dict[int | str | None, Entry] = {}
    for horse, entry in entries:
        own = (entry.horse.name.lower() if entry.horse else "") or horse
        out[own] = _one_entry(out[own], entry) if own in out else entry
    return list(out.values())


def _one_entry(old: Entry, entry: Entry) -> Entry:
    """Two entries of one horse as one; the words that name it again are kept as a passage."""
    again: tuple[Passage, ...] = ()
    if entry.horse is not None:
        start, end = entry.horse.span
        again = (Passage((start, end), entry.text[start:end]),)
    parts = joined([*old.stretches, *entry.stretches], entry.text)
    return replace(
        old,
        facts=(*old.facts, *entry.facts),
        passages=(*old.passages, *again, *entry.passages),
        corrections=(*old.corrections, *entry.corrections),
        span=(min(old.span[0], entry.span[0]), max(old.span[1], entry.span[1])),
        parts=parts if len(parts) > 1 else (),
    )
