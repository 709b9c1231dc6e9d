"""Follow-ups that are typed, on the command line and in the app: kind, day and words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from fieldlog.core.facts import Due, Fact, FactKind

TASK = "task"
"""The kind of what is typed and promises nothing that is known. No visit keeps it: a note that was
saved closed “ring the owner” as though it were a recheck."""


@dataclass(frozen=True, slots=True)
class ByHand:
    """What a typed follow-up is, as far as its words say."""

    code: str = TASK
    who: str = "farrier"
    due: date | None = None
    due_spoken: str = ""
    doubt: str = ""
    """Which other day the words may mean, or empty."""
    urgent: bool = False


def promises_in(facts: Sequence[Fact]) -> list[Fact]:
    """The promises among the facts of typed words."""
    return [f for f in facts if f.kind is FactKind.FOLLOW_UP and not f.negated]


def one_follow_up(facts: Sequence[Fact], text: str, today: date) -> ByHand:
    """Typed words as one follow-up: the promise in them; where there is none, their day alone."""
    wanted = promises_in(facts)
    if len(wanted) != 1:
        return _task(text, today)
    (fact,) = wanted
    made = ByHand(fact.code, fact.details.get("who") or "farrier", urgent=fact.urgent)
    return _on_day(made, fact.due) if fact.due else made


def _task(text: str, today: date) -> ByHand:
    from fieldlog.language.times.dates import find_times

    days = [time.due for time in find_times(text, today) if time.due.on is not None]
    return _on_day(ByHand(), days[0]) if len(days) == 1 else ByHand()


def _on_day(made: ByHand, due: Due) -> ByHand:
    return replace(made, due=due.on, due_spoken=due.spoken, doubt=due.ambiguous)
