"""The four feet, as the trade names them on both sides of the Atlantic.

Near is the horse's left, off its right (source: equestrianandhorse.com, gaits page).
"""

from __future__ import annotations

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

    @property
    def diagonal(self) -> Foot:
        """The foot diagonally across."""
        return _DIAGONAL[self]


_AMERICAN = {
    Foot.LF: "left front",
    Foot.RF: "right front",
    Foot.LH: "left hind",
    Foot.RH: "right hind",
}
_BRITISH = {Foot.LF: "near fore", Foot.RF: "off fore", Foot.LH: "near hind", Foot.RH: "off hind"}
_MATE = {Foot.LF: Foot.RF, Foot.RF: Foot.LF, Foot.LH: Foot.RH, Foot.RH: Foot.LH}
_DIAGONAL = {Foot.LF: Foot.RH, Foot.RF: Foot.LH, Foot.LH: Foot.RF, Foot.RH: Foot.LF}

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
