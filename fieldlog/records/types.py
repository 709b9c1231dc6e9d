"""What the store hands out: plain frozen records, no database behind them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from pathlib import Path

from fieldlog.core.facts import Entry, Fact
from fieldlog.core.feet import Foot


@dataclass(frozen=True, slots=True)
class Client:
    """Who owns or answers for horses."""

    id: str
    name: str
    phone: str = ""
    email: str = ""
    address: str = ""
    notes: str = ""

    @property
    def forgotten(self) -> bool:
        """Whether their data were taken out on request."""
        return self.name == name_of_forgotten(self.id)


def name_of_forgotten(record_id: str) -> str:
    """What a client or a horse is called whose data were taken out on request."""
    return f"Removed {record_id[:6]}"


@dataclass(frozen=True, slots=True)
class Horse:
    """One horse."""

    id: str
    name: str
    client_id: str | None = None
    client: str = ""
    """The client's name, for showing."""
    barn: str = ""
    colour: str = ""
    sex: str = ""
    born: str = ""
    """Year or ISO date, as known."""
    microchip: str = ""
    """15 digits (ISO 11784), or empty."""
    ueln: str = ""
    """15 characters, or empty."""
    cycle_weeks: int | None = None
    """Weeks between visits; None means the farrier's usual."""
    caution: str = ""
    """Safety first, e.g. ``kicks behind; two people``."""
    notes: str = ""
    left_on: str = ""
    """ISO day from which it is visited no more: sold, died, another farrier; or empty."""
    left_why: str = ""
    same_as: str | None = None
    """The horse of which this is only another spelling; everything noted of it is there."""

    def gone(self, last: date | None) -> bool:
        """Whether nobody goes there any more: it left, and was not seen after that day.

        Args:
            last: the day of its last visit.
        """
        return bool(self.left_on) and (last is None or last.isoformat() <= self.left_on)

    @property
    def forgotten(self) -> bool:
        """Whether its data were taken out on request: nobody goes there any more."""
        return self.name == name_of_forgotten(self.id)


@dataclass(frozen=True, slots=True)
class Visit:
    """One horse on one day."""

    id: str
    horse_id: str
    day: date
    barn: str = ""


@dataclass(frozen=True, slots=True)
class Recording:
    """One sound file, known by its content."""

    id: str
    sha256: str
    path: Path | None
    duration: float
    """Seconds."""
    started_at: datetime
    """With its time zone."""
    started_at_from: str = ""
    """Where the time came from: ``clock``, ``file``, ``name``, ``modified``..."""
    original_name: str = ""


class EntryState(StrEnum):
    """Where an entry stands."""

    DRAFT = "draft"
    SAVED = "saved"


@dataclass(frozen=True, slots=True)
class StoredEntry:
    """An entry in the store: a draft, or the newest revision of a saved one."""

    id: str
    entry: Entry
    state: EntryState
    recording_id: str | None
    horse: Horse | None
    day: date
    """The local day of the note."""
    at: datetime
    """The time of the note, with its zone."""
    looked_at: frozenset[str] = frozenset()
    """Ids of facts that a human accepted or changed."""
    revision: int = 0
    """0 for a draft; saved entries count from 1."""
    saved_at: datetime | None = None
    reason: str = ""
    """Why this revision was made."""
    parted_to: str = ""
    """Of a revision: the id of the note that was made of a part of this one; or empty."""
    parted_from: str = ""
    """Of a first revision: the id of the note of which this one was a part; or empty."""


@dataclass(frozen=True, slots=True)
class CorrectionRecord:
    """One thing changed in review, kept for ever."""

    id: int
    entry_id: str
    at: datetime
    action: str
    before: Entry
    after: Entry | None
    undone: bool


class FollowUpState(StrEnum):
    """A follow-up is open until it is done or dropped."""

    OPEN = "open"
    DONE = "done"
    DROPPED = "dropped"


@dataclass(frozen=True, slots=True)
class FollowUp:
    """Something promised or wanted."""

    id: str
    code: str
    """Id from ``followups.toml``."""
    text: str
    who: str
    """``farrier``, ``owner``, ``vet`` or ``other``."""
    horse_id: str | None
    horse: str
    barn: str
    feet: tuple[Foot, ...] = ()
    due: date | None = None
    due_spoken: str = ""
    condition: str = ""
    state: FollowUpState = FollowUpState.OPEN
    reason: str = ""
    """Why it was dropped or how it was done."""
    urgent: bool = False
    entry_id: str | None = None
    fact_id: str | None = None
    created_at: datetime | None = None
    closed_at: datetime | None = None
    sequence: int = 0
    """Counts changes, for calendar updates."""
    also: tuple[str, ...] = ()
    """Of a line: the ids of the other promises that say the same."""
    said_on: tuple[str, ...] = ()
    """Of a line that was said again: the day of each note, or that it was entered by hand."""

    @property
    def ids(self) -> tuple[str, ...]:
        """Every promise of the line."""
        return (self.id, *self.also)

    @property
    def where_said(self) -> str:
        """``said twice: 2026-11-11, 2026-11-25``; empty if it was said once."""
        if not self.also:
            return ""
        times = "twice" if len(self.also) == 1 else f"{len(self.also) + 1} times"
        return f"said {times}: {', '.join(dict.fromkeys(self.said_on))}"


@dataclass(frozen=True, slots=True)
class VisitDue:
    """The next visit of a horse by its cycle."""

    horse: Horse
    last: date | None
    due: date | None
    weeks: int
    promised: bool = False
    """True when the day comes from a spoken promise, not the cycle."""


@dataclass(frozen=True, slots=True)
class SavedFact:
    """A fact of a saved entry with when and whose it was."""

    fact: Fact
    entry_id: str
    horse_id: str
    day: date
    recording_id: str | None = None


@dataclass(frozen=True, slots=True)
class SearchHit:
    """One line found."""

    entry_id: str
    fact_id: str
    horse: str
    day: date
    feet: tuple[Foot, ...]
    label: str
    """The fact in one line, or empty for free text."""
    sentence: str
    """The words it was said in."""
    horse_id: str = ""
    recording_id: str | None = None
    sound: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class MeasuredPoint:
    """One value of one kind of measure on one foot (or the whole horse)."""

    day: date
    code: str
    foot: Foot | None
    value: float
    """mm, degrees or kg; grades as spoken."""
    unit: str
    shown: str
    approximate: bool
    entry_id: str
    before: bool = False
    """As it was found, before the work."""


@dataclass(frozen=True, slots=True)
class HorsePage:
    """Everything worth knowing before touching a horse."""

    horse: Horse
    cautions: tuple[str, ...]
    last_day: date | None
    last_facts: tuple[SavedFact, ...]
    follow_ups: tuple[FollowUp, ...]
    planned: tuple[SavedFact, ...]
    measures: tuple[MeasuredPoint, ...]
    """The latest value of each measure per foot."""
    due: VisitDue | None = None
    red_flags: tuple[str, ...] = ()
    """Codes of the last visit's (``core/redflags``)."""
    other_names: tuple[str, ...] = ()
    """How else it was spelt."""
    since: tuple[SavedFact, ...] = ()
    """What was noted after the last visit without one: somebody rang, or it was called off."""


@dataclass(frozen=True, slots=True)
class ChainReport:
    """What the chain check found."""

    links: int
    ok: bool
    first_broken: str = ""
    """Which link fails first and how; empty if none."""
    missing_sounds: tuple[str, ...] = ()
    """Recordings whose sound file is gone (not a broken link)."""
    taken_out: int = 0
    """Links whose words were taken out on request; their hashes still verify."""


@dataclass(frozen=True, slots=True)
class Removed:
    """What was taken out when a client's data was deleted on request."""

    horses: int
    entries: int
    sounds: tuple[Path, ...]
    """Sound files that were deleted."""
    shared: tuple[Recording, ...]
    """Recordings that hold other clients' notes too, so that their sound and words stay."""
