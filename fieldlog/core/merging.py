"""A draft after its note was understood again from corrected words: pure, three ways.

What a reading of the note changed (the machine's facts before against after) is done to the draft
as it stands, so that everything corrected by hand elsewhere in it stays.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Collection, Hashable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from fieldlog.core.disputes import Moved
from fieldlog.core.facts import (
    Entry,
    Fact,
    FactKind,
    FootBasis,
    HorseMention,
    Passage,
    SpokenCorrection,
)

_UNHEARD = ("id", "span", "sound", "confidence", "doubts", "readings", "why_foot", "rule")

Span = tuple[int, int]
Place = tuple[FactKind, Span]
"""A sort of fact and where it stands in the new text."""
Spoken = TypeVar("Spoken", Passage, SpokenCorrection)


def content(fact: Fact) -> str:
    """What a fact says, without where and how surely it was heard."""
    data = {k: v for k, v in fact.to_dict().items() if k not in _UNHEARD}
    for name in ("quantity", "due"):
        if isinstance(data.get(name), dict):
            data[name] = {k: v for k, v in data[name].items() if k != "spoken"}
    return json.dumps(data, sort_keys=True)


def says(entries: Iterable[Entry]) -> Counter[Hashable]:
    """Everything that the entries say, to compare two understandings of one note."""
    out: Counter[Hashable] = Counter()
    for entry in entries:
        out.update(content(f) for f in entry.facts)
        if entry.horse is not None:
            out[("horse", entry.horse.name.lower())] += 1
    return out


@dataclass(frozen=True, slots=True)
class Merged:
    """The draft afterwards."""

    entry: Entry
    fresh: tuple[Fact, ...]
    """Facts that the other words made."""
    gone: int
    """How many facts of the draft they ended."""


def facts_within(entries: Iterable[Entry], span: Span) -> list[Fact]:
    """Facts that begin in a part of the text."""
    return [f for e in entries for f in e.facts if span[0] <= f.span[0] < max(span[1], 1)]


def merged(
    draft: Entry,
    before: Sequence[Entry],
    after: Sequence[Entry],
    moved: Moved,
    text: str,
    fixed: Collection[str] = (),
) -> Merged:
    """The draft with what the new words change.

    Args:
        draft: as it stands; its spans point into the old text.
        before: the note as the machine understands the old text.
        after: the same for the new text.
        moved: from places in the old text to the new.
        text: the new text.
        fixed: ids of facts that were settled by hand and stay whatever was heard.
    """
    span = moved.part(draft.span)
    same, gone, fresh = _compared(
        facts_within(before, draft.span), facts_within(after, span), moved
    )
    kept: list[Fact] = []
    ended = 0
    for fact in draft.facts:
        place = moved.span(fact.span)
        by_hand = fact.id in fixed or fact.foot_basis is FootBasis.CHOSEN
        if fact.span == (0, 0):
            kept.append(fact)
        elif (fact.kind, place) in same:
            was, now = same[fact.kind, place]
            as_read = content(fact) == content(was) and not by_hand
            kept.append(
                replace(now, id=fact.id)
                if as_read
                else replace(fact, span=now.span, sound=now.sound)
            )
        elif (fact.kind, place) in gone and not by_hand:
            ended += 1
        else:
            kept.append(replace(fact, span=place))
    settled = [f for f in kept if f.id in fixed or f.foot_basis is FootBasis.CHOSEN]
    fresh = [f for f in fresh if not any(_same_place(f, s) for s in settled)]
    facts = sorted([*kept, *fresh], key=lambda f: (f.span == (0, 0), f.span[0]))
    here_before = [e for e in before if _touch(e.span, draft.span)]
    here_after = [e for e in after if _touch(e.span, span)]
    entry = replace(
        draft,
        text=text,
        span=span,
        facts=tuple(facts),
        horse=_horse(draft, here_before, here_after, moved),
        passages=_passages(
            [_passage_at(p, moved) for p in draft.passages],
            [_passage_at(p, moved) for e in here_before for p in e.passages],
            [p for e in here_after for p in e.passages],
            text,
        ),
        corrections=_corrections(
            [_at(c, moved) for c in draft.corrections],
            [_at(c, moved) for e in here_before for c in e.corrections],
            [c for e in here_after for c in e.corrections],
        ),
        red_flags=_flags(draft, here_before, here_after),
    )
    return Merged(entry, tuple(fresh), ended)


def _compared(
    before: Sequence[Fact], after: Sequence[Fact], moved: Moved
) -> tuple[dict[Place, tuple[Fact, Fact]], set[Place], list[Fact]]:
    """Two understandings: what says the same in both, by its old place; what ended; what came."""
    left = list(after)
    same: dict[Place, tuple[Fact, Fact]] = {}
    gone: set[Place] = set()
    for fact in before:
        place = (fact.kind, moved.span(fact.span))
        alike = [f for f in left if content(f) == content(fact)]
        if alike:
            twin = min(alike, key=lambda f: abs(f.span[1] - place[1][1]))
            left.remove(twin)
            same[place] = (fact, twin)
        else:
            gone.add(place)
    return same, gone - set(same), left


def _at(spoken: Spoken, moved: Moved) -> Spoken:
    return replace(spoken, span=moved.span(spoken.span))


def _passage_at(passage: Passage, moved: Moved) -> Passage:
    perhaps = tuple(replace(f, span=moved.span(f.span)) for f in passage.perhaps)
    return replace(_at(passage, moved), perhaps=perhaps)


def _horse(
    draft: Entry, before: Sequence[Entry], after: Sequence[Entry], moved: Moved
) -> HorseMention | None:
    """Another name only if the other words name another horse."""
    was = next((e.horse for e in before if e.horse is not None), None)
    now = next((e.horse for e in after if e.horse is not None), None)
    if now is not None and (was is None or was.name.lower() != now.name.lower()):
        return now
    return replace(draft.horse, span=moved.span(draft.horse.span)) if draft.horse else None


def _passages(
    draft: Sequence[Passage], before: Sequence[Passage], after: Sequence[Passage], text: str
) -> tuple[Passage, ...]:
    """What made no fact: as in the draft, less what ended, with what came."""
    had, has = {p.span for p in before}, {p.span for p in after}
    kept = [replace(p, text=text[slice(*p.span)]) for p in draft if p.span not in had - has]
    there = had | {p.span for p in kept}
    came = [p for p in after if p.span not in there]
    return tuple(sorted((p for p in [*kept, *came] if p.text), key=lambda p: p.span))


def _corrections(
    draft: Sequence[SpokenCorrection],
    before: Sequence[SpokenCorrection],
    after: Sequence[SpokenCorrection],
) -> tuple[SpokenCorrection, ...]:
    """What was taken back while speaking, in the same way."""
    had, has = {(c.kind, c.span) for c in before}, {(c.kind, c.span) for c in after}
    kept = [c for c in draft if (c.kind, c.span) not in had - has]
    there = had | {(c.kind, c.span) for c in kept}
    came = [c for c in after if (c.kind, c.span) not in there]
    return tuple(sorted([*kept, *came], key=lambda c: c.span))


def _flags(draft: Entry, before: Sequence[Entry], after: Sequence[Entry]) -> tuple[str, ...]:
    ended = {c for e in before for c in e.red_flags} - {c for e in after for c in e.red_flags}
    came = [c for e in after for c in e.red_flags]
    return tuple(dict.fromkeys((*(c for c in draft.red_flags if c not in ended), *came)))


def _touch(one: Span, other: Span) -> bool:
    return one[0] < other[1] and other[0] < one[1]


def _same_place(one: Fact, other: Fact) -> bool:
    return one.kind is other.kind and _touch(one.span, other.span)
