"""What a correction of a saved note did to its promises, in sentences."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fieldlog.records.store import Store
    from fieldlog.records.types import FollowUp, StoredEntry


def corrected(
    store: Store, before: StoredEntry, job: Callable[[], StoredEntry]
) -> tuple[StoredEntry, list[str]]:
    """Correct a saved note, and tell of each promise that was changed, made, dropped or left open.

    Args:
        store: where the note is.
        before: the note as it stands.
        job: makes the correction and returns the note behind it.
    """
    promises = {promise.id: promise for promise in store.promises_of(before.id)}
    after = job()
    now = {fact.id for fact in after.entry.facts}
    gone = {fact.id for fact in before.entry.facts if fact.id not in now}
    return after, _told(promises, store.promises_of(after.id), gone)


def _told(before: dict[str, FollowUp], after: list[FollowUp], gone: set[str]) -> list[str]:
    from fieldlog.records.promises_corrected import CORRECTED  # not before the first screen stands
    from fieldlog.records.types import FollowUpState

    out = []
    for promise in after:
        was = before.get(promise.id)
        open_now = promise.state is FollowUpState.OPEN
        if promise.state is FollowUpState.DROPPED and promise.reason.startswith(CORRECTED):
            if was and was.state is FollowUpState.OPEN:
                out.append(f"No longer on the due list: {promise.text}.")
        elif open_now and promise.fact_id in gone:
            out.append(f"Urgent, so it stays on the due list until you drop it: {promise.text}.")
        elif open_now and (was is None or _shown(was) != _shown(promise)):
            out.append(f"On the due list now: {_shown(promise)}.")
    return out


def _shown(promise: FollowUp) -> str:
    """What it is and when; as it was said where no day was understood. Closed, it is nothing."""
    if promise.state != "open":
        return ""
    when = promise.due.isoformat() if promise.due else promise.due_spoken
    return f"{promise.text}, {when}" if when else promise.text
