"""What the words around one head do to it."""

from __future__ import annotations

from dataclasses import dataclass

from fieldlog.core.facts import Reporter, Severity


@dataclass(slots=True)
class Context:
    """What the surroundings say of one head."""

    negated: bool = False
    list_unsure: bool = False
    """The negation reached this head only by running along a list without "or"."""
    uncertain: bool = False
    historical: bool = False
    reporter: Reporter = Reporter.FARRIER
    severity: Severity | None = None
    planned: bool = False
