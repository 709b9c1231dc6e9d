"""What several tests of understanding ask of what was found."""

from __future__ import annotations

from fieldlog.core.facts import Fact, FactKind


def heard(text: str) -> str:
    """As a recogniser writes it."""
    return text.lower().replace(",", "").replace(".", "")


def values(found: list[Fact]) -> set[tuple[str, str, float]]:
    """Foot, measure and value of every measurement."""
    return {
        (foot, f.code, f.quantity.value)
        for f in found
        if f.kind is FactKind.MEASUREMENT and f.quantity is not None
        for foot in ([x.value for x in f.feet] or ["-"])
    }
