"""What one horse's part of a note tells, as far as it was read."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from fieldlog.core.facts import Fact, SpokenCorrection
from fieldlog.language.facts.maker import FactMaker
from fieldlog.language.feet.tracker import FootTracker


@dataclass(slots=True)
class Told:
    """The facts and corrections so far, and what the next words are read with."""

    maker: FactMaker
    recorded: date
    """The day of the recording."""
    corrections: list[SpokenCorrection]
    facts: list[Fact] = field(default_factory=list)
    loose_foot: bool = False
    """A foot stood by itself since the last unit."""
    closed: int = 0
    """Facts before this one have the foot that was named behind them."""

    @property
    def tracker(self) -> FootTracker:
        """The foot in hand."""
        return self.maker.tracker
