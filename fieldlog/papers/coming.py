"""What is coming, of all horses: the stops of a day, errands, and items for a calendar."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, date, datetime, time
from typing import TYPE_CHECKING

from fieldlog.config import Settings
from fieldlog.core.feet import describe_feet
from fieldlog.language.wording import label
from fieldlog.papers.calendar import CalendarItem
from fieldlog.papers.content import HorseFile, Promise, VisitNotes
from fieldlog.papers.day import BarnStop
from fieldlog.papers.gather import cautions_of, promise_of, subject_of
from fieldlog.records.said_again import said_once
from fieldlog.records.types import FollowUp, FollowUpState, Horse, VisitDue

if TYPE_CHECKING:
    from fieldlog.records.store import Store


def stops_for(
    store: Store, day: date, settings: Settings, until: date | None = None
) -> list[BarnStop]:
    """The barns with horses that are due, or have an open follow-up, by ``until``.

    What is urgent is due on every day.
    """
    last = until or day
    every = store.visits_due(usual_weeks=settings.cycle_weeks)
    days = {v.horse.id: v.due for v in every}
    horses = {v.horse.id: v.horse for v in every if v.due is not None and v.due <= last}
    for follow_up in store.lines():
        # What is urgent has no day: it is of every day until somebody has seen to it.
        now = follow_up.urgent or (follow_up.due is not None and follow_up.due <= last)
        if follow_up.horse_id and now:
            horses.setdefault(follow_up.horse_id, store.horse(follow_up.horse_id))
    by_barn: dict[str, list[Horse]] = {}
    # A barn typed once with a capital and once without is one stop of the trip.
    for horse in sorted(horses.values(), key=lambda h: (not h.barn, h.barn.casefold(), h.name)):
        by_barn.setdefault(horse.barn.casefold(), []).append(horse)
    stops = []
    for here in by_barn.values():
        barn = here[0].barn
        owners = {h.client_id for h in here if h.client_id}
        phones = [store.client(i) for i in sorted(owners)]
        stops.append(
            BarnStop(
                barn,
                tuple(_outline(store, h, day, days.get(h.id)) for h in here),
                tuple(f"{c.name}, {c.phone}" if c.phone else c.name for c in phones),
            )
        )
    return stops


def errands_for(store: Store, day: date, until: date | None = None) -> list[Promise]:
    """What is open by ``until`` and about no horse: pads to order, a bill to write."""
    last = until or day
    return [
        promise_of(item)
        for item in store.lines()
        if not item.horse_id and (item.urgent or (item.due is not None and item.due <= last))
    ]


def _outline(store: Store, horse: Horse, today: date, due: date | None) -> HorseFile:
    """What a day sheet needs of a horse, without reading all its visits."""
    last = store.last_day(horse.id)
    return HorseFile(
        subject=subject_of(horse, today),
        visits=(VisitNotes(last, ()),) if last else (),
        promises=tuple(promise_of(f) for f in store.lines(horse_id=horse.id)),
        cautions=cautions_of(store, horse),
        next_visit=due,
    )


def calendar_items(follow_ups: Iterable[FollowUp]) -> list[CalendarItem]:
    """Follow-ups with a date as calendar items; closed ones cancel the event of an earlier file.

    So do those that say the same as another: the first of them is the event.
    """
    found = list(follow_ups)
    again = {other for line in said_once(found, {}) for other in line.also}
    items = []
    for f in found:
        if f.due is None:
            continue
        where = f", {describe_feet(f.feet)}" if f.feet else ""
        whose = f"{f.horse}: " if f.horse else ""
        by = "" if f.who in ("", "farrier") else f" ({f.who})"
        changed = f.closed_at or f.created_at or datetime.combine(f.due, time(), UTC)
        items.append(
            CalendarItem(
                uid=f"{f.id}@fieldlog",
                day=f.due,
                summary=f"{whose}{f.text or label(f.code, 'followup')}{where}{by}",
                description="\n".join(
                    part
                    for part in (f.condition, f"as said: {f.due_spoken}" if f.due_spoken else "")
                    if part
                ),
                location=f.barn,
                categories=("hoof care",),
                sequence=f.sequence,
                cancelled=f.state is not FollowUpState.OPEN or f.id in again,
                changed=changed if changed.tzinfo else changed.astimezone(),
            )
        )
    return items


def left_items(store: Store) -> list[CalendarItem]:
    """Next visits that an earlier file may hold of horses that left: cancelled."""
    left = [h for h in store.horses() if h.gone(store.last_day(h.id)) and not h.forgotten]
    return [
        CalendarItem(
            uid=f"visit-{horse.id}@fieldlog",
            day=date.fromisoformat(horse.left_on),
            summary=f"{horse.name}: next visit",
            # One more than that of the last visit can be, which is of this day at the latest.
            sequence=date.fromisoformat(horse.left_on).toordinal() + 1,
            cancelled=True,
            changed=None,
        )
        for horse in left
    ]


def visit_items(visits: Iterable[VisitDue]) -> list[CalendarItem]:
    """Next visits by cycle as calendar items; a spoken promise is an item of its own already.

    The id is the horse's, so that the next file moves the event to the newly due day.
    """
    return [
        CalendarItem(
            uid=f"visit-{v.horse.id}@fieldlog",
            day=v.due,
            summary=f"{v.horse.name}: next visit ({v.weeks} weeks)",
            location=v.horse.barn,
            categories=("hoof care",),
            # Days since the year 1 rise with every later last visit, as a sequence must.
            sequence=v.last.toordinal() if v.last else 0,
            changed=None,
        )
        for v in visits
        if v.due is not None and not v.promised
    ]
