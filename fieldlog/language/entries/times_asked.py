"""A visit told with one time where another stands beside it that nothing has: which, is asked.

"Five weeks. She goes to the trainer on the fifteenth, so before that, say December twelfth": of the
open notes' visits that were to be taken without a look and have such a time near them one in three
had the wrong one, of all that is taken three in a hundred.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from fieldlog.core.facts import Due, Fact, FactKind, SpokenCorrection
from fieldlog.language.opinion.heard import Span
from fieldlog.language.opinion.numbers_heard import apart

_NEAR = 80
"""Characters between a visit and a time that may be meant instead."""
_VISITS = frozenset({"next_trim", "recheck"})
_NOT = re.compile(r"\bnot (?:in |on |for |at )?$", re.IGNORECASE)
_WHY = "Another time stands beside this one that nothing else has."
Time = tuple[Span, Due]


def asked_of_other_times(
    facts: Sequence[Fact],
    times: Sequence[Time],
    corrections: Sequence[SpokenCorrection],
    text: str,
) -> list[Fact]:
    """The facts; a visit beside which an unused time stands has a doubt.

    Args:
        facts: what is told.
        times: the entry's times to come, by their characters.
        corrections: what was taken back; a time that was is no other time.
        text: the note.
    """
    told = {_day(f.due) for f in facts if f.due is not None}
    mended = {f.id for c in corrections for f in c.after}
    back = {_day(f.due) for c in corrections for f in c.before if f.due is not None}
    loose = [
        span
        for span, due in times
        if _day(due) not in told | back and _is_day(due) and not _NOT.search(text[: span[0]])
    ]
    return [
        fact.with_doubt("competing_readings", _WHY)
        if fact.kind is FactKind.FOLLOW_UP and fact.code in _VISITS and fact.due is not None
        and fact.id not in mended and any(apart(fact.span, span) <= _NEAR for span in loose)
        else fact
        for fact in facts
    ]  # fmt: skip


def _day(due: Due) -> tuple[str, str, str]:
    return due.period, due.anchor, due.on.isoformat() if due.on and not due.period else ""


def _is_day(due: Due) -> bool:
    """No "week of the sixth", which only says where a period ends."""
    return bool(due.period) or (due.on is not None and due.until is None)
