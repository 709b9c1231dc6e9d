"""What the facts of one horse's part of a note are made with."""

from __future__ import annotations

from dataclasses import dataclass

from fieldlog.config import Settings
from fieldlog.language.feet.tracker import FootTracker
from fieldlog.language.words.units_said import Line


@dataclass(slots=True)
class FactMaker:
    """The words, the foot in hand and the farrier's settings: what every rule for facts asks."""

    line: Line
    tracker: FootTracker
    settings: Settings
    last_moment: str = ""
    """When in the work the last measure was taken, ``before`` or ``after``; or empty."""
