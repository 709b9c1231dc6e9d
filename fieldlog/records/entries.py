"""Entries as they are kept: drafts and saved ones, by day, by horse, by recording."""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import date, datetime

from fieldlog.core.facts import Entry
from fieldlog.errors import NotFound
from fieldlog.records.base import Row
from fieldlog.records.people import People
from fieldlog.records.sounds import Sounds
from fieldlog.records.types import EntryState, StoredEntry


def as_spoken(entries: Sequence[StoredEntry]) -> list[StoredEntry]:
    """The entries of one recording one behind the other, as they were spoken.

    What was broken off later was stored last, behind what was spoken after it.
    """
    begun: dict[str, int] = {}
    for place, stored in enumerate(entries):
        begun.setdefault(stored.recording_id or stored.id, place)
    return sorted(entries, key=lambda e: (e.at, begun[e.recording_id or e.id], e.entry.span[0]))


class Entries(People, Sounds):
    """What one note says about one horse, each with its state."""

    def drafts(self, day: date | None = None) -> list[StoredEntry]:
        """All drafts, or one day's, in the order they were spoken."""
        where, values = ("AND e.day = ?", [day.isoformat()]) if day else ("", [])
        return self._entries(f"e.state = 'draft' {where}", values)

    def set_aside(self) -> list[StoredEntry]:
        """The drafts that were set aside, in the order they were spoken; ``undo`` brings one back.

        Not those that are part of another one now, nor those of a forgotten client.
        """
        return self._entries(
            """e.state = 'discarded' AND
               (SELECT c.action FROM corrections c WHERE c.entry_id = e.id AND NOT c.undone
                ORDER BY c.id DESC LIMIT 1) LIKE 'discard%'""",
            [],
        )

    def entries_on(self, day: date) -> list[StoredEntry]:
        """A day's drafts and saved entries, in the order they were spoken."""
        return self._entries("e.state <> 'discarded' AND e.day = ?", [day.isoformat()])

    def entries_of(self, horse_id: str, after: date = date.min) -> list[StoredEntry]:
        """A horse's saved entries of the days after one, the oldest first."""
        where = "e.state = 'saved' AND e.horse_id = ? AND e.day > ?"
        return self._entries(where, [horse_id, after.isoformat()])

    def entries_from(self, recording_id: str) -> list[StoredEntry]:
        """The entries of one recording."""
        return self._entries("e.state <> 'discarded' AND e.recording_id = ?", [recording_id])

    def days(self) -> list[date]:
        """Days that have entries, the newest first."""
        rows = self.query(
            "SELECT DISTINCT day FROM entries WHERE state <> 'discarded' ORDER BY 1 DESC"
        )
        return [date.fromisoformat(r["day"]) for r in rows]

    def entry(self, entry_id: str) -> StoredEntry:
        """One entry, draft or saved.

        Raises:
            NotFound: no such entry.
        """
        found = self._entries("e.id = ?", [entry_id])
        if not found:
            raise NotFound("There is no such entry.", "See “fieldlog drafts”.")
        return found[0]

    def _entries(self, where: str, values: Sequence[object]) -> list[StoredEntry]:
        """The entries for which a condition in SQL holds, as they were spoken."""
        rows = self.query(
            f"""SELECT e.*, r.saved_at, r.reason FROM entries e
                LEFT JOIN revisions r ON r.entry_id = e.id AND r.number = e.revision
                WHERE {where} ORDER BY e.at, e.rowid""",
            values,
        )
        return as_spoken([self._stored(r) for r in rows])

    def _stored(self, row: Row) -> StoredEntry:
        return StoredEntry(
            id=row["id"],
            entry=Entry.from_dict(json.loads(row["body"])),
            state=EntryState(row["state"]) if row["state"] != "discarded" else EntryState.DRAFT,
            recording_id=row["recording_id"],
            horse=self.standing(row["horse_id"]) if row["horse_id"] else None,
            day=date.fromisoformat(row["day"]),
            at=datetime.fromisoformat(row["at"]),
            looked_at=frozenset(json.loads(row["looked_at"])),
            revision=row["revision"],
            saved_at=datetime.fromisoformat(row["saved_at"]) if row["saved_at"] else None,
            reason=row["reason"] or "",
        )
