"""From typed or spoken words to facts, on the language thread; spaCy is loaded only here."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from functools import cache
from typing import TYPE_CHECKING

from fieldlog.config import Settings
from fieldlog.core.facts import Fact
from fieldlog.core.words import Transcript

if TYPE_CHECKING:
    from fieldlog.language.pipeline import Understander

BY_HAND = "by_hand"


@cache
def pipeline() -> Understander:
    """The language pipeline, loaded once (about a second)."""
    from fieldlog.language.pipeline import load

    return load()


def typed(text: str, recorded: datetime, settings: Settings) -> list[Fact]:
    """The facts of a typed sentence: no sound, no place in the note, nothing left to doubt."""
    understood = pipeline().understand(Transcript.typed(text), recorded=recorded, settings=settings)
    return [
        replace(fact, span=(0, 0), sound=None, rule=BY_HAND, confidence=1.0, doubts=())
        for entry in understood
        for fact in entry.facts
    ]
