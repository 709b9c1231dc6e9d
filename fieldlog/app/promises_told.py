"""What a correction of a saved note did to its promises, in sentences."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fieldlog.records.store import Store
    from fieldlog.records.types import FollowUp

Promises = dict[str, "FollowUp"]


def promises_now(store: Store, entry_id: str) -> Promises:
    """The promises of a note by their ids, to be compared with what they become."""
    return {promise.id: promise for promise in store.promises_of(entry_id)}


def promises_told(before: Promises, after: Promises, gone: frozenset[str]) -> list[str]:
    """A sentence for each promise that a correction changed, made, dropped or left open.

    Args:
        before: the promises of the note before the correction.
        after: the same behind it.
        gone: ids of the facts that the note has no more.
    """
    from fieldlog.records.promises_corrected import CORRECTED  # not before the first screen stands
    from fieldlog.records.types import FollowUpState

    out = []
    for key, promise in after.items():
        was = before.get(key)
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
