"""Whether a note tells of a visit: somebody who rang, or a visit called off, is none.

What is no visit must not begin the next cycle: the horse would be left out. Common practice, no
source.
"""

from __future__ import annotations

import re

from fieldlog.core.facts import Entry, Fact, FactKind, Reporter

NEXT_VISIT = frozenset({"next_trim", "cycle", "recheck"})
"""Promises that are made at a visit, unless it was called off."""
_SEEN = frozenset({FactKind.FINDING, FactKind.MEASUREMENT, FactKind.SCORE, FactKind.HANDLING,
                   FactKind.NOTE})  # fmt: skip
_CALLED_OFF = re.compile(
    r"\b(?:cancel(?:s|led|ed)?|call(?:s|ed)?(?: it| her| him)? off"
    r"|put(?:s|ting)? (?:it |her |him )?off|postponed?|resched\w+|no show|didn't show|did not show"
    r"|(?:nobody|no ?one) (?:was )?(?:there|home|about)"
    r"|(?:not|wasn't|weren't|isn't) (?:there|home|in)"
    r"|could ?n[o']t (?:come|make it)|can't (?:come|make it))\b",
    re.IGNORECASE,
)


_BY_TELEPHONE = re.compile(
    r"\b(?:rang|rung|phoned|telephoned|texted|messaged|e-?mailed|called me|on the phone|by phone"
    r"|by text)\b",
    re.IGNORECASE,
)


def tells_of_a_visit(entry: Entry) -> bool:
    """True unless nothing was seen or done and the note is only talk, or calls a visit off.

    A note that made no fact counts as a visit unless it says that there was none.
    """
    facts = [f for f in entry.facts if not f.historical and not f.planned]
    if any(_at_the_horse(f) for f in facts):
        return True
    if called_off(entry):
        return False
    promised = {f.code for f in facts if f.kind is FactKind.FOLLOW_UP}
    if not entry.facts or promised & NEXT_VISIT:
        return True
    advised = any(f.kind is FactKind.ADVICE for f in facts)
    return advised and _BY_TELEPHONE.search(_words(entry)) is None


def called_off(entry: Entry) -> bool:
    """Whether its words say that a visit did not take place."""
    return _CALLED_OFF.search(_words(entry)) is not None


def _words(entry: Entry) -> str:
    return entry.words.replace("\u2019", "'")


def _at_the_horse(fact: Fact) -> bool:
    if fact.reporter is not Reporter.FARRIER:
        return False
    return fact.kind in _SEEN or (fact.kind is FactKind.WORK and not fact.negated)
