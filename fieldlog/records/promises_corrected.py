"""What a correction of a saved note does to the promises that the note made."""

from __future__ import annotations

from collections.abc import Sequence

from fieldlog.core.facts import Fact
from fieldlog.records.followups import FollowUps, is_promise, what_is_promised
from fieldlog.records.types import FollowUp, FollowUpState, StoredEntry

CORRECTED = "the note was corrected:"
"""Begins the reason of a promise that was dropped with its fact."""


class PromisesCorrected(FollowUps):
    """Promises that follow their facts."""

    def promises_of(self, entry_id: str) -> list[FollowUp]:
        """The promises that an entry made, whatever became of them."""
        return [p for p in self.follow_ups(None, entry_id=entry_id) if p.fact_id is not None]

    def correct_promises(self, stored: StoredEntry, facts: Sequence[Fact], reason: str) -> None:
        """Let the promises of an entry follow its facts as they are corrected.

        An open promise takes the words, the feet, the day and the one who does it from its fact;
        a day that it was moved to stays. Where the fact is gone it is dropped, and opened again if
        the fact comes back. An urgent one stays open: only who looked drops a call for a
        veterinarian.

        Args:
            stored: the entry before the correction.
            facts: its facts from now on.
            reason: why it is corrected.
        """
        old = {f.id: f for f in stored.entry.facts if is_promise(f)}
        now = {f.id: f for f in facts if is_promise(f)}
        known = set()
        for promise in self.promises_of(stored.id):
            known.add(promise.fact_id)
            fact, before = now.get(promise.fact_id or ""), old.get(promise.fact_id or "")
            dropped = promise.state is FollowUpState.DROPPED
            if fact is None:
                if promise.state is FollowUpState.OPEN and before and not promise.urgent:
                    self.drop_follow_up(promise.id, f"{CORRECTED} {reason}")
            elif dropped and promise.reason.startswith(CORRECTED):
                self.reopen_follow_up(promise.id)
                self._follow(promise, before, fact, stored)
            elif promise.state is FollowUpState.OPEN and before and _differ(before, fact):
                self._follow(promise, before, fact, stored)
        for fact in now.values():
            if fact.id not in known and fact.id not in old:
                self.follow_up_from(fact, stored)

    def _follow(
        self, promise: FollowUp, before: Fact | None, fact: Fact, stored: StoredEntry
    ) -> None:
        was = before.due.on if before and before.due else None
        told = what_is_promised(fact, stored.entry.text)
        due = promise.due if before and promise.due != was else told["due"]
        self.run(
            """UPDATE follow_ups SET code = ?, text = ?, who = ?, feet = ?, due = ?,
               due_spoken = ?, condition = ?, urgent = ?, sequence = sequence + 1 WHERE id = ?""",
            [
                told["code"],
                told["text"],
                told["who"],
                " ".join(told["feet"]),
                due.isoformat() if due else None,
                told["due_spoken"],
                told["condition"],
                told["urgent"] or promise.urgent,
                promise.id,
            ],
        )


def _differ(one: Fact, other: Fact) -> bool:
    """Whether they promise something else; a doubt that ended is no difference."""
    return _what(one) != _what(other)


def _what(fact: Fact) -> tuple[object, ...]:
    who, condition = fact.details.get("who"), fact.details.get("condition")
    return fact.code, fact.feet, fact.due, who, condition, fact.span
