"""The four feet, as the trade names them on both sides of the Atlantic.

Near is the horse's left, off its right (source: equestrianandhorse.com, gaits page).
"""

from __future__ import annotations

import re
from enum import StrEnum


class Foot(StrEnum):
    """One foot; the value is the short form used in records."""

    LF = "LF"
    RF = "RF"
    LH = "LH"
    RH = "RH"

    @property
    def american(self) -> str:
        """Spoken form, e.g. ``left front``."""
        return _AMERICAN[self]

    @property
    def british(self) -> str:
        """Spoken form, e.g. ``near fore``."""
        return _BRITISH[self]

    @property
    def is_left(self) -> bool:
        return self in (Foot.LF, Foot.LH)

    @property
    def is_front(self) -> bool:
        return self in (Foot.LF, Foot.RF)

    @property
    def mate(self) -> Foot:
        """The other foot of the same pair: left front for right front, and so on."""
        return _MATE[self]


_AMERICAN = {
    Foot.LF: "left front",
    Foot.RF: "right front",
    Foot.LH: "left hind",
    Foot.RH: "right hind",
}
_BRITISH = {Foot.LF: "near fore", Foot.RF: "off fore", Foot.LH: "near hind", Foot.RH: "off hind"}
_MATE = {Foot.LF: Foot.RF, Foot.RF: Foot.LF, Foot.LH: Foot.RH, Foot.RH: Foot.LH}

FRONTS = (Foot.LF, Foot.RF)
HINDS = (Foot.LH, Foot.RH)
LEFTS = (Foot.LF, Foot.LH)
RIGHTS = (Foot.RF, Foot.RH)
ALL_FEET = (Foot.LF, Foot.RF, Foot.LH, Foot.RH)


def describe_feet(feet: tuple[Foot, ...]) -> str:
    """Plain words for a set of feet, e.g. ``both fronts`` or ``left hind``."""
    chosen = tuple(f for f in ALL_FEET if f in feet)
    named = {
        (): "whole horse",
        FRONTS: "both fronts",
        HINDS: "both hinds",
        LEFTS: "both left feet",
        RIGHTS: "both right feet",
        ALL_FEET: "all four",
    }
    return named.get(chosen) or " and ".join(f.american for f in chosen)


_TYPED: dict[str, tuple[Foot, ...]] = {
    **{name: (foot,) for foot in ALL_FEET for name in (foot.value.lower(), foot.american,
                                                       foot.british)},
    **{" ".join(reversed(f.american.split())): (f,) for f in ALL_FEET},
    **dict.fromkeys(("front", "fronts", "fores"), FRONTS),
    **dict.fromkeys(("hind", "hinds"), HINDS),
    **dict.fromkeys(("left", "lefts"), LEFTS),
    **dict.fromkeys(("right", "rights"), RIGHTS),
    **dict.fromkeys(("all", "all four", "four"), ALL_FEET),
}  # fmt: skip
_BESIDE = frozenset({"and", "both", "foot", "feet", "the"})


def feet_named(text: str) -> tuple[Foot, ...]:
    """Feet as they are typed: ``LF``, ``near fore``, ``both hinds``, ``all four``, ``LF and RH``.

    Empty if anything in ``text`` is no foot.
    """
    words = [w for w in re.sub(r"[-,&+]", " ", text.casefold()).split() if w not in _BESIDE]
    found: set[Foot] = set()
    while words:
        # "left front" before "left".
        size = next((n for n in (2, 1) if " ".join(words[:n]) in _TYPED), 0)
        if not size:
            return ()
        found.update(_TYPED[" ".join(words[:size])])
        words = words[size:]
    return tuple(foot for foot in ALL_FEET if foot in found)
