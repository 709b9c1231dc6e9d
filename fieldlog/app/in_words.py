"""A fact in one line, as all screens say it."""

from __future__ import annotations

from fieldlog.core.facts import Fact
from fieldlog.language.wording import DOT, describe


def in_words(fact: Fact, british: bool = False) -> str:
    """``left front · toe length · 3 1/4 in · before the work``."""
    text = describe(fact, british)
    moment = fact.details.get("moment", "")
    if moment in ("before", "after") and f"{moment} the work" not in text:
        text += f"{DOT}{moment} the work"
    return text
