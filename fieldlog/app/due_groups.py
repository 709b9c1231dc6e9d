"""How the due list is ordered: by when, by barn, or what waits for somebody else: pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from fieldlog.core.feet import Foot


class DueBy(StrEnum):
    """The three ways to look at it."""

    WHEN = "by when"
    BARN = "by barn"
    OTHERS = "waiting for someone else"


@dataclass(frozen=True, slots=True)
class DueView:
    """One promise, ready to show."""

    id: str
    what: str
    horse: str
    horse_id: str = ""
    barn: str = ""
    feet: tuple[Foot, ...] = ()
    on: date | None = None
    until: date | None = None
    condition: str = ""
    """E.g. ``if he is no sounder``."""
    who: str = "farrier"
    entry_id: str = ""
    """The note that caused it, or empty."""
    fact_id: str = ""
    """The fact in it that caused it, or empty."""
    by_cycle: bool = False
    """It follows from the horse's cycle, not from a promise."""
    also: tuple[str, ...] = ()
    """The other promises that say the same: what is done to this is done to them."""
    where_said: str = ""
    """``said twice: 2026-11-11, 2026-11-25``, or empty."""
    urgent: bool = False
    """It was said to be urgent: first of all, or of its barn, and marked in words."""

    @property
    def ids(self) -> tuple[str, ...]:
        """Every promise of the line."""
        return (self.id, *self.also)

    @property
    def named(self) -> str:
        """What is to be done and for which horse, if it is about one."""
        return ", ".join(filter(None, (self.what, self.horse)))


@dataclass(frozen=True, slots=True)
class Group:
    """A heading and what stands under it."""

    title: str
    items: tuple[DueView, ...]


def _soonest(item: DueView) -> tuple[bool, date, str]:
    """Within a group what is urgent comes first, whatever its day and its horse."""
    return (not item.urgent, item.on or date.max, item.horse.lower())


def last_day(item: DueView) -> date | None:
    """The day after which it is overdue."""
    return item.until or item.on


def overdue(item: DueView, today: date) -> bool:
    """Whether its last day is past."""
    end = last_day(item)
    return end is not None and end < today


def grouped(items: Iterable[DueView], today: date, by: DueBy) -> list[Group]:
    """Groups in reading order; empty groups are left out."""
    listed = sorted(items, key=_soonest)
    if by is DueBy.OTHERS:
        others = [i for i in listed if i.who not in ("farrier", "")]
        names = sorted({i.who for i in others})
        return [Group(f"{n} is to act", tuple(i for i in others if i.who == n)) for n in names]
    if by is DueBy.BARN:
        stops: dict[str, list[DueView]] = {}
        for item in sorted(listed, key=lambda i: (not i.barn, i.barn.casefold())):
            stops.setdefault(item.barn.casefold(), []).append(item)
        return [Group(own[0].barn or "no barn is known", tuple(own)) for own in stops.values()]
    week_end = today + timedelta(days=6)
    parts: dict[str, list[DueView]] = {
        "urgent": [], "overdue": [], "today": [], "in the next seven days": [],
        "later": [], "no date": [],
    }  # fmt: skip
    for item in listed:
        end = last_day(item)
        if item.urgent:
            parts["urgent"].append(item)
        elif item.on is None or end is None:
            parts["no date"].append(item)
        elif overdue(item, today):
            parts["overdue"].append(item)
        elif item.on <= today:
            parts["today"].append(item)
        elif item.on <= week_end:
            parts["in the next seven days"].append(item)
        else:
            parts["later"].append(item)
    return [Group(title, tuple(found)) for title, found in parts.items() if found]


def when_words(item: DueView, today: date) -> str:
    """``6 days late``, ``today``, ``Fri 27 Nov``, ``27 Nov to 3 Dec``, or the condition alone."""
    end = last_day(item)
    if item.on is None or end is None:
        return "no date"
    if end < today:
        late = (today - end).days
        return f"{late} {'day' if late == 1 else 'days'} late"
    if item.on <= today <= end:
        return "today"
    year = f" {item.on.year}" if item.on.year != today.year else ""
    return f"{item.on:%a} {item.on.day} {item.on:%b}{year}"
