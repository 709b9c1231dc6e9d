"""What the day screen shows: one draft or saved entry, ready to draw. Made by the desk."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

from fieldlog.app.grouping import Part, is_sure, to_look_at
from fieldlog.app.naming import KnownHorse
from fieldlog.app.shown import count, plain
from fieldlog.core.disputes import Stretch
from fieldlog.core.facts import Doubt, Entry
from fieldlog.core.words import Transcript


@dataclass(frozen=True, slots=True)
class EntryView:
    """One entry with everything around it."""

    entry: Entry
    transcript: Transcript
    when: datetime
    """Local time of the recording."""
    horse: KnownHorse | None = None
    sound: Path | None = None
    looked_at: frozenset[str] = frozenset()
    """Facts that were accepted or changed by hand."""
    saved: bool = False
    unseen: Mapping[str, tuple[Doubt, ...]] = field(default_factory=dict)
    """Facts that asked for a look and were saved without one: why, by the id of the fact."""
    computed: dict[Part, tuple[str, ...]] = field(default_factory=dict)
    flags: tuple[str, ...] = ()
    """Sentences for the very top: when to call a veterinarian."""
    copied: bool = False
    """Its day is perhaps only that on which its file was copied."""
    second: str = ""
    """The second reader that read this note too, or empty."""
    disputes: Mapping[str, tuple[Stretch, ...]] = field(default_factory=dict)
    """Where two readers differ and it matters, by the id of the fact; empty id: the horse."""

    @property
    def name(self) -> str:
        """The horse as it is shown: known, as heard, or asked for."""
        if self.horse is not None:
            return plain(self.horse.full or self.horse.name)
        heard = self.entry.horse
        return f"{plain(heard.called)}?" if heard is not None and heard.called else "whose?"

    @property
    def short(self) -> str:
        """The name for a narrow list: of two Rosies “Rosie Roy Tanner”, cut where it ends."""
        if self.horse is None or not self.horse.full:
            return self.name
        apart = self.horse.full.removeprefix(f"{self.horse.name} of ")
        return plain(f"{self.horse.name} {apart}")

    @property
    def waiting(self) -> int:
        """How many things need a look; a missing horse is one, a note without facts another."""
        if self.saved:
            return 0
        return len(to_look_at(self.entry.facts)) + (self.horse is None) + (not self.entry.facts)

    @property
    def sure(self) -> bool:
        """May be saved with the rest without another look."""
        return not self.saved and is_sure(self.entry.facts, self.horse is not None)

    @property
    def sign(self) -> str:
        """``■`` saved, ``!`` call a veterinarian, ``?`` look, ``✓`` sure."""
        if self.saved:
            return "■"
        return "?" if self.waiting else "✓"


def summary(views: Sequence[EntryView]) -> str:
    """``16 drafts · 3 to look at``, in plain counts."""
    drafts = [v for v in views if not v.saved]
    waiting = sum(v.waiting for v in drafts)
    saved = len(views) - len(drafts)
    parts = [count(len(drafts), "draft")]
    if drafts:
        parts.append(f"{waiting} to look at" if waiting else "nothing to look at")
    if saved:
        parts.append(f"{saved} saved")
    return " · ".join(parts)


Spot = tuple[int, str]
"""An entry's index and the id of a fact in it; an empty id is its missing horse, or facts."""


def spots(views: Sequence[EntryView]) -> list[Spot]:
    """Everything that needs a look, entry by entry, the most pressing first in each."""
    found: list[Spot] = []
    for i, view in enumerate(views):
        if view.saved:
            continue
        found += [(i, fact.id) for fact in to_look_at(view.entry.facts)]
        if view.horse is None or not view.entry.facts:
            found.append((i, ""))
    return found


def next_spot(views: Sequence[EntryView], current: int, selected: str) -> Spot | None:
    """Where to look next, going round; None if nothing needs a look."""
    ring = spots(views)
    if not ring:
        return None
    here = (current, selected)
    if here in ring:
        return ring[(ring.index(here) + 1) % len(ring)]
    return next((spot for spot in ring if spot[0] >= current), ring[0])
