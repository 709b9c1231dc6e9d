"""What a correction of a saved note did to its promises, in sentences."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fieldlog.records.store import Store
    from fieldlog.records.types import FollowUp, StoredEntry


def corrected(
    store: Store, before: StoredEntry, job: Callable[[], StoredEntry]
) -> tuple[StoredEntry, list[str]]:
    """Correct a saved note, and tell of each promise that was changed, made, dropped or left open.

    Told too is what the horses' other notes promise, where the visit keeps it now, or no more.

    Args:
        store: where the note is.
        before: the note as it stands.
        job: makes the correction and returns the note behind it.
    """
    promises = {promise.id: promise for promise in store.promises_of(before.id)}
    kept, begun = _kept_by_visits(store, before), datetime.now(UTC).replace(microsecond=0)
    after = job()
    now = {fact.id for fact in after.entry.facts}
    gone = {fact.id for fact in before.entry.facts if fact.id not in now}
    told = _told(promises, store.promises_of(after.id), gone)
    along = _gone_along(store, promises, after)
    return after, [
        *told,
        *along,
        *_opened(store, kept, after),
        *_kept_now(store, kept, after, begun),
    ]


def _kept_by_visits(store: Store, note: StoredEntry) -> frozenset[str]:
    """Ids of what was promised to the note's horse, and is closed as a visit kept it."""
    return frozenset(promise.id for promise in _done_by_visits(store, note))


def _done_by_visits(store: Store, note: StoredEntry) -> list[FollowUp]:
    from fieldlog.records.types import FollowUpState

    if note.horse is None:
        return []
    done = store.follow_ups(FollowUpState.DONE, horse_id=note.horse.id)
    return [promise for promise in done if promise.reason.startswith(store.VISITED)]


def _opened(store: Store, kept: frozenset[str], after: StoredEntry) -> list[str]:
    """What other notes promise and a visit had kept, if no visit keeps it any more."""
    were = sorted((store.follow_up(one) for one in kept), key=lambda p: p.due or date.max)
    again = [_shown(p) for p in were if p.state == "open" and p.entry_id != after.id]
    return [f"Open again, as no visit kept it: {'; '.join(again)}."] if again else []


def _kept_now(store: Store, kept: frozenset[str], after: StoredEntry, begun: datetime) -> list[str]:
    """What a visit keeps since ``begun``, of the horse that the note is under now."""
    done = [p for p in _done_by_visits(store, after) if p.id not in kept]
    new = [f"{p.text} ({p.reason})" for p in done if p.closed_at and p.closed_at >= begun]
    return [f"Off the due list, as a visit kept it: {'; '.join(new)}."] if new else []


def _gone_along(store: Store, before: dict[str, FollowUp], after: StoredEntry) -> list[str]:
    """What another note promises now, as it has that part of the words."""
    now = [store.follow_up(one) for one in before]
    return [
        f"Goes along to {promise.horse}: {_shown(promise)}."
        for promise in now
        if promise.entry_id != after.id and promise.state == "open"
    ]


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
