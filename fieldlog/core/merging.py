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
from fieldlog.core.spans import Span, touch

_UNHEARD = ("id", "span", "sound", "confidence", "doubts", "readings", "why_foot", "rule")
"""Fields of a fact that tell where and how surely it was heard."""

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


def facts_within(entries: Iterable[Entry], parts: Sequence[Span]) -> list[Fact]:
    """Facts that begin in some parts of the text; what is said of several horses at once, once."""
    out: list[Fact] = []
    for fact in (f for e in entries for f in e.facts):
        inside = any(begin <= fact.span[0] < max(end, 1) for begin, end in parts)
        if inside and not any(replace(fact, id=f.id) == f for f in out):
            out.append(fact)
    return out


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
    parts = tuple(moved.part(part) for part in draft.parts)
    changes = _compared(
        facts_within(before, draft.stretches), facts_within(after, parts or (span,)), moved
    )
    standing = [_standing(fact, changes, moved, fixed) for fact in draft.facts]
    kept = [fact for fact in standing if fact is not None]
    settled = [fact for fact in kept if _by_hand(fact, fixed)]
    fresh = [f for f in changes.fresh if not any(_same_place(f, s) for s in settled)]
    here_before = [e for e in before if any(e.says(part) for part in draft.stretches)]
    here_after = [e for e in after if any(e.says(part) for part in parts or (span,))]
    entry = replace(
        draft,
        text=text,
        span=span,
        parts=parts,
        facts=tuple(sorted([*kept, *fresh], key=lambda f: (f.span == (0, 0), f.span[0]))),
        horse=_horse(draft, here_before, here_after, moved),
        passages=_passages(draft, here_before, here_after, moved, text),
        corrections=_corrections(draft, here_before, here_after, moved),
        red_flags=_flags(draft, here_before, here_after),
    )
    return Merged(entry, tuple(fresh), len(standing) - len(kept))


@dataclass(frozen=True, slots=True)
class _Changes:
    """Two understandings beside each other."""

    same: dict[Place, tuple[Fact, Fact]]
    """What says the same in both, before and after, by its old place."""
    gone: set[Place]
    """Old places of what ended."""
    fresh: list[Fact]
    """What came."""


def _standing(fact: Fact, changes: _Changes, moved: Moved, fixed: Collection[str]) -> Fact | None:
    """A fact of the draft as it stands in the new text; none if the new words ended it."""
    if fact.span == (0, 0):  # added by hand: it stands nowhere in the text
        return fact
    place = (fact.kind, moved.span(fact.span))
    by_hand = _by_hand(fact, fixed)
    if place in changes.same:
        was, now = changes.same[place]
        if content(fact) == content(was) and not by_hand:
            return replace(now, id=fact.id)
        return replace(fact, span=now.span, sound=now.sound)
    if place in changes.gone and not by_hand:
        return None
    return replace(fact, span=place[1])


def _by_hand(fact: Fact, fixed: Collection[str]) -> bool:
    """Whether somebody settled the fact, so that it stays whatever was heard."""
    return fact.id in fixed or fact.foot_basis is FootBasis.CHOSEN


def _compared(before: Sequence[Fact], after: Sequence[Fact], moved: Moved) -> _Changes:
    """What the other words changed between two understandings of one stretch of the note."""
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
    return _Changes(same, gone - set(same), left)


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
    draft: Entry, before: Sequence[Entry], after: Sequence[Entry], moved: Moved, text: str
) -> tuple[Passage, ...]:
    """What made no fact: as in the draft, less what ended, with what came."""
    had = {moved.span(p.span) for e in before for p in e.passages}
    has = {p.span for e in after for p in e.passages}
    mine = [_passage_at(p, moved) for p in draft.passages]
    kept = [replace(p, text=text[slice(*p.span)]) for p in mine if p.span not in had - has]
    there = had | {p.span for p in kept}
    came = [p for e in after for p in e.passages if p.span not in there]
    return tuple(sorted((p for p in [*kept, *came] if p.text), key=lambda p: p.span))


def _corrections(
    draft: Entry, before: Sequence[Entry], after: Sequence[Entry], moved: Moved
) -> tuple[SpokenCorrection, ...]:
    """What was taken back while speaking, in the same way."""
    had = {(c.kind, moved.span(c.span)) for e in before for c in e.corrections}
    has = {(c.kind, c.span) for e in after for c in e.corrections}
    mine = [_at(c, moved) for c in draft.corrections]
    kept = [c for c in mine if (c.kind, c.span) not in had - has]
    there = had | {(c.kind, c.span) for c in kept}
    came = [c for e in after for c in e.corrections if (c.kind, c.span) not in there]
    return tuple(sorted([*kept, *came], key=lambda c: c.span))


def _flags(draft: Entry, before: Sequence[Entry], after: Sequence[Entry]) -> tuple[str, ...]:
    ended = {c for e in before for c in e.red_flags} - {c for e in after for c in e.red_flags}
    came = [c for e in after for c in e.red_flags]
    return tuple(dict.fromkeys((*(c for c in draft.red_flags if c not in ended), *came)))


def _same_place(one: Fact, other: Fact) -> bool:
    return one.kind is other.kind and touch(one.span, other.span)
