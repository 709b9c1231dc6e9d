"""Chances and the natural log of their odds."""

from __future__ import annotations

import math


def log_odds(chance: float, edge: float = 1e-9) -> float:
    """The natural log of the odds, the chance kept ``edge`` away from 0 and 1."""
    kept = min(max(chance, edge), 1 - edge)
    return math.log(kept / (1 - kept))


def logistic(odds: float) -> float:
    """The chance, 0 to 1, of log odds."""
    return 1.0 / (1.0 + math.exp(-max(-30.0, min(30.0, odds))))
