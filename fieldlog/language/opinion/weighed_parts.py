"""What the weighing of feet and that of manner have in common."""

from __future__ import annotations

from collections.abc import Mapping

from fieldlog.core.facts import FactKind

AGAINST = 0.55
"""Chance from which the rules' word gives way: in plain talk they are seldom wrong."""
EDGE = 0.01
"""Chances beyond it are all alike."""
ON_A_FOOT = frozenset({FactKind.FINDING, FactKind.MEASUREMENT, FactKind.WORK})
"""Kinds of fact that are not taken off every foot."""
Told = Mapping[str, float]
"""How the network hears a fact told: the chance of each of its names for it."""
