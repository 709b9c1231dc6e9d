"""A fact in one line, as all screens and lists say it."""

from __future__ import annotations

from fieldlog.core.facts import Fact
from fieldlog.language.wording import DOT, describe


def in_words(fact: Fact, british: bool = False) -> str:
    """``left front · toe length · 3 1/4 in · before the work``."""
    return with_moment(describe(fact, british), fact.details.get("moment", ""))


def with_moment(text: str, moment: str) -> str:
    """The line of a fact with the ``before`` or ``after`` of its details."""
    if moment in ("before", "after") and f"{moment} the work" not in text:
        return f"{text}{DOT}{moment} the work"
    return text
