"""Chances and the natural log of their odds."""

from __future__ import annotations

import math
from collections.abc import Mapping

Signs = dict[str, float]
"""Numbers that a chance is made of, by name."""


def log_odds(chance: float, edge: float = 1e-9) -> float:
    """The natural log of the odds, the chance kept ``edge`` away from 0 and 1."""
    kept = min(max(chance, edge), 1 - edge)
    return math.log(kept / (1 - kept))


def logistic(odds: float) -> float:
    """The chance, 0 to 1, of log odds."""
    return 1.0 / (1.0 + math.exp(-max(-30.0, min(30.0, odds))))


def weighed_chance(signs: Mapping[str, float], weights: Mapping[str, float]) -> float:
    """The chance that signs make with their weights; a sign without a weight counts for nothing."""
    of = weights.get
    told = [weight * value for name, value in signs.items() if (weight := of(name)) is not None]
    return logistic(sum(told))
