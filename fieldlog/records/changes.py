"""Changes of drafts: each keeps the entry before and after, so that it can be undone and told."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable
from datetime import datetime

from fieldlog.core.facts import Entry
from fieldlog.errors import InputError, SavedIsFixed
from fieldlog.records.base import Row, stamp, utc_now
from fieldlog.records.entries import Entries
from fieldlog.records.types import CorrectionRecord, EntryState, StoredEntry


def _fixed() -> SavedIsFixed:
    return SavedIsFixed(
        "This entry is saved and stays as it is.",
        "Change it by a new revision with its reason; the old one is kept beside it.",
    )


class Changes(Entries):
    """What was changed by hand."""

    def corrections(self, entry_id: str) -> list[CorrectionRecord]:
        """Everything that was changed by hand, the oldest first."""
        rows = self.query("SELECT * FROM corrections WHERE entry_id = ? ORDER BY id", [entry_id])
        return [
            CorrectionRecord(
                id=r["id"],
                entry_id=entry_id,
                at=datetime.fromisoformat(r["at"]),
                action=r["action"],
                before=Entry.from_dict(json.loads(r["before"])["entry"]),
                after=Entry.from_dict(json.loads(r["after"])) if r["after"] else None,
                undone=bool(r["undone"]),
            )
            for r in rows
        ]

    def undo(self, entry_id: str) -> StoredEntry | None:
        """Take back the last change of a draft; None if there is nothing to take back.

        Taking back a split puts both parts together again; taking back a join parts them.

        Raises:
            SavedIsFixed: the entry is saved.
            InputError: the part that was split off has been changed or saved since.
        """
        with self.write():
            row = self.one(
                """SELECT * FROM corrections WHERE entry_id = ? AND NOT undone
                   ORDER BY id DESC LIMIT 1""",
                [entry_id],
            )
            if row is None:
                return None
            state = self.one("SELECT state FROM entries WHERE id = ?", [entry_id])
            if state and state["state"] == "saved":
                raise _fixed()
            if row["action"] == "joined into another":
                return None  # It is parted again by undoing the other one.
            if row["action"] in ("split entry", "join entries"):
                if not row["other_id"]:
                    return None  # Made before the other part was noted (schema 1).
                self._undo_other(row["action"], row["other_id"])
            self._put_back(row)
        return self.entry(entry_id)

    def _put_back(self, change: Row) -> None:
        """Make an entry what it was before a change, and note that the change is undone."""
        before = json.loads(change["before"])
        self.run("UPDATE corrections SET undone = 1 WHERE id = ?", [change["id"]])
        self.run(
            """UPDATE entries SET body = ?, looked_at = ?, horse_id = ?, state = 'draft'
               WHERE id = ?""",
            [
                json.dumps(before["entry"]),
                json.dumps(before["looked_at"]),
                self.standing(before["horse_id"]).id if before["horse_id"] else None,
                change["entry_id"],
            ],
        )
        if change["action"] == "day":
            self._put_time(change["entry_id"], datetime.fromisoformat(before["at"]))

    def _undo_other(self, action: str, other_id: str) -> None:
        """Bring the second entry back after a join, or set the second part aside after a split."""
        if action == "join entries":
            self.run(
                """UPDATE corrections SET undone = 1
                   WHERE entry_id = ? AND action = 'joined into another'""",
                [other_id],
            )
            self.run("UPDATE entries SET state = 'draft' WHERE id = ?", [other_id])
            return
        changed = self.one(
            """SELECT 1 AS x FROM entries e WHERE e.id = ? AND (e.state = 'saved' OR EXISTS
               (SELECT 1 FROM corrections c WHERE c.entry_id = e.id AND NOT c.undone))""",
            [other_id],
        )
        if changed:
            raise InputError(
                "The part that was split off has been changed since.",
                "Undo its changes first, or join the two.",
            )
        self.run("UPDATE entries SET state = 'discarded' WHERE id = ?", [other_id])

    def _change(
        self,
        entry_id: str,
        action: str,
        change: Callable[[Entry], Entry],
        look_at: Iterable[str] = (),
    ) -> StoredEntry:
        """Change a draft and keep how it was.

        Args:
            entry_id: the draft.
            action: what is done, as it is told later.
            change: makes the new entry of the old one.
            look_at: ids of facts that count as looked at from now on.
        """
        with self.write():
            stored = self._draft(entry_id)
            after = change(stored.entry)
            self._record(stored, action, after, stored.looked_at | set(look_at))
        return self.entry(entry_id)

    def _record(
        self,
        stored: StoredEntry,
        action: str,
        after: Entry | None,
        looked_at: frozenset[str],
        other_id: str = "",
    ) -> None:
        """Keep a change, and make the entry what it is afterwards.

        Args:
            stored: the entry as it is.
            action: what is done.
            after: what the entry becomes; None leaves it as it is.
            looked_at: ids of the facts that count as looked at then.
            other_id: the entry that was parted from it, or joined with it.
        """
        before = {
            "entry": stored.entry.to_dict(),
            "looked_at": sorted(stored.looked_at),
            "horse_id": stored.horse.id if stored.horse else None,
            "at": stamp(stored.at),
        }
        self.run(
            """INSERT INTO corrections (entry_id, at, action, before, after, other_id)
               VALUES (?, ?, ?, ?, ?, ?)""",
            [
                stored.id,
                utc_now(),
                action,
                json.dumps(before),
                json.dumps(after.to_dict()) if after else None,
                other_id,
            ],
        )
        if after is not None:
            self.run(
                "UPDATE entries SET body = ?, looked_at = ? WHERE id = ?",
                [json.dumps(after.to_dict()), json.dumps(sorted(looked_at)), stored.id],
            )

    def _draft(self, entry_id: str) -> StoredEntry:
        """An entry that may still be changed.

        Raises:
            NotFound: no such entry.
            SavedIsFixed: it is saved.
        """
        stored = self.entry(entry_id)
        if stored.state is EntryState.SAVED:
            raise _fixed()
        return stored

    def _put_time(self, entry_id: str, at: datetime) -> None:
        """Say when an entry was spoken."""
        self.run(
            "UPDATE entries SET at = ?, day = ? WHERE id = ?",
            [stamp(at), at.date().isoformat(), entry_id],
        )
