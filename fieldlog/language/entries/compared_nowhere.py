"""A comparison that nothing tells: what was found before it is asked about.

"Underrun on both fronts. Brought the toes back. Better than last time": of the findings of open
notes that were to be taken without a look before such words eight of 41 missed the comparison, of
all that is taken three in a hundred are wrong.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from fieldlog.core.facts import Fact, FactKind

_TIMES = (
    r"last|before|ever|always|it was|they were|he was|she was|january|february|march|april|may|"
    r"june|july|august|september|october|november|december|spring|summer|autumn|winter"
)
_COMPARES = re.compile(
    r"\b(?:better|worse|improved|change|different|same|less|more|up|down|wider|smaller|bigger|"
    rf"longer)\b[^.;]{{0,20}}\b(?:than|as|from|since)(?: in| the| at| my)? (?:{_TIMES})\b"
    r"|\bworse of|\b(?:left|right|near|off)(?: one)?(?: the)? worse|\bworse on the",
    re.IGNORECASE,
)
_NEAR = 250
"""Characters before the comparison within which the finding it may be of stands."""
_WHY = "Words behind it compare something, and nothing that is told does."


def asked_what_compares(facts: Sequence[Fact], text: str, part: tuple[int, int]) -> list[Fact]:
    """The facts; before a comparison that none of them tells each finding has a doubt.

    Args:
        facts: what is told.
        text: the note.
        part: the entry's characters.
    """
    if any(f.comparison is not None for f in facts):
        return list(facts)
    said = _COMPARES.search(text, *part)
    if said is None:
        return list(facts)
    return [
        fact.with_doubt("competing_readings", _WHY)
        if fact.kind is FactKind.FINDING and 0 <= said.end() - fact.span[0] <= _NEAR
        else fact
        for fact in facts
    ]
