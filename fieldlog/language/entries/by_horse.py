"""One entry a horse: a note parted where a horse is named, entries of one horse put together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

from fieldlog.core.facts import Entry, Passage
from fieldlog.language.horses import Opening


class HorsePart(NamedTuple):
    """The words that are about one horse."""

    opening: Opening | None
    """The words that name it; None before the first one that is named."""
    begin: int
    """The first word."""
    end: int
    """The word behind the last."""


def parts_by_horse(opened: Sequence[Opening], count: int) -> list[HorsePart]:
    """The parts of a note: what stands before the first opening, then one per opening.

    Args:
        opened: where a horse is named.
        count: how many words the note has.
    """
    starts = [o.start for o in opened]
    parts: list[HorsePart] = []
    if not opened or starts[0] > 0:
        parts.append(HorsePart(None, 0, starts[0] if opened else count))
    for at, opening in enumerate(opened):
        end = starts[at + 1] if at + 1 < len(opened) else count
        parts.append(HorsePart(opening, opening.start, end))
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


def same_horse_joined(entries: list[Entry]) -> list[Entry]:
    """The entries, those of one horse put together."""
    out: list[Entry] = []
    for entry in entries:
        name = entry.horse.name.lower() if entry.horse else ""
        twin = next(
            (i for i, e in enumerate(out) if name and e.horse and e.horse.name.lower() == name),
            None,
        )
        if twin is None:
            out.append(entry)
            continue
        out[twin] = _one_entry(out[twin], entry)
    return out


def _one_entry(old: Entry, entry: Entry) -> Entry:
    """Two entries of one horse as one; the words that name it again are kept as a passage."""
    again: tuple[Passage, ...] = ()
    if entry.horse is not None:
        start, end = entry.horse.span
        again = (Passage((start, end), entry.text[start:end]),)
    return replace(
        old,
        facts=(*old.facts, *entry.facts),
        passages=(*old.passages, *again, *entry.passages),
        corrections=(*old.corrections, *entry.corrections),
        span=(min(old.span[0], entry.span[0]), max(old.span[1], entry.span[1])),
    )
