"""Which known horse a spoken or typed name may mean: pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from rapidfuzz import fuzz, utils

LIKELY = 60.0
"""Similarity (0 to 100) from which a known name is offered for what was typed."""


@dataclass(frozen=True, slots=True)
class KnownHorse:
    """A horse as the picker shows it."""

    id: str
    name: str
    owner: str = ""
    barn: str = ""
    left: str = ""
    """Why it is visited no more, or empty."""
    also: tuple[str, ...] = field(default=(), compare=False)
    """How else it was spelt."""
    full: str = field(default="", compare=False)
    """What tells it from another horse of its name; empty: no other has it."""

    def line(self) -> str:
        """``Juniper · Marta Ellery · Alder Creek``, and ``left: sold`` of one that was."""
        left = f"left: {self.left}" if self.left else ""
        also = f"also {', '.join(self.also)}" if self.also else ""
        return " · ".join(part for part in (self.name, also, self.owner, self.barn, left) if part)


def likeness(wanted: str, horse: KnownHorse) -> float:
    """How near a name is, 0 to 100; a beginning or a word of it counts as near."""
    return max(_alike(wanted, name) for name in (horse.name, *horse.also))


def _alike(wanted: str, name: str) -> float:
    return max(
        float(fuzz.WRatio(wanted, name, processor=utils.default_process)),
        90.0 if name.lower().startswith(wanted.lower().strip()) else 0.0,
    )


def ranked(wanted: str, horses: Sequence[KnownHorse], most: int = 8) -> list[KnownHorse]:
    """Known horses, the likeliest first; without a name, by name."""
    if not wanted.strip():
        return sorted(horses, key=lambda h: h.name.lower())[:most]
    scored = sorted(
        ((-likeness(wanted, h), h.name.lower(), h) for h in horses), key=lambda s: s[:2]
    )
    return [h for score, _, h in scored if -score >= LIKELY][:most]
