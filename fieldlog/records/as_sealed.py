"""Whether what is shown of a saved note is what its newest revision sealed, and putting that back.

Screens, papers and searches read rows beside the chain (``entries``, ``saved_facts``), which are
quick to read and can be made again. Somebody who changes those in the file leaves every hash as it
was; so the sealed revision, which no hash lets be changed, is what they are held against.
"""

from __future__ import annotations

import json
from datetime import datetime
from typing import Any

from fieldlog.core.facts import Entry
from fieldlog.records.base import Row
from fieldlog.records.files import digest
from fieldlog.records.saving import Saving

_NEWEST = """SELECT e.id, e.body, e.at, e.day, e.horse_id, r.body AS sealed,
                    r.horse_id AS sealed_horse
             FROM entries e JOIN revisions r ON r.entry_id = e.id AND r.number = e.revision
             WHERE e.state = 'saved' AND r.body <> ''"""


class AsSealed(Saving):
    """What is shown, held against what was sealed."""

    def shown_otherwise(self, horse_id: str | None = None) -> list[str]:
        """Ids of saved entries that are shown otherwise than their newest revision sealed them.

        Args:
            horse_id: only what is shown of this horse, or was sealed of it; None: all.
        """
        one = "" if horse_id is None else " AND ? IN (e.horse_id, r.horse_id)"
        rows = self._sql.execute(_NEWEST + one, [] if horse_id is None else [horse_id])
        return [row["id"] for row in map(dict, rows) if self._differs(row)]

    def changed_sounds(self) -> list[str]:
        """Names of the recordings whose file is there, but is not what was recorded."""
        return [
            recording.original_name or recording.sha256[:12]
            for recording in self.recordings()
            if recording.path is not None
            and recording.path.exists()
            and digest(recording.path) != recording.sha256
        ]

    def put_back(self) -> int:
        """Show those entries as they were sealed; returns how many there were.

        The chain itself is not touched. Visits and promises stay as they are.
        """
        with self.write():
            ids = self.shown_otherwise()
            for entry_id in ids:
                row = self.query(f"{_NEWEST} AND e.id = ?", [entry_id])[0]
                sealed = json.loads(row["sealed"])
                self.run(
                    "UPDATE entries SET body = ?, at = ?, day = ?, horse_id = ? WHERE id = ?",
                    [
                        json.dumps(sealed["entry"]),
                        sealed["at"],
                        _day(sealed),
                        row["sealed_horse"],
                        entry_id,
                    ],
                )
                stored = self.entry(entry_id)
                self._index(stored, stored.entry, row["sealed_horse"])
        return len(ids)

    def _differs(self, row: Row) -> bool:
        sealed = json.loads(row["sealed"])
        if not _same_entry(json.loads(row["body"]), sealed["entry"]):
            return True
        shown = (datetime.fromisoformat(row["at"]), row["day"], row["horse_id"])
        if shown != (datetime.fromisoformat(sealed["at"]), _day(sealed), row["sealed_horse"]):
            return True
        wanted = {f["id"]: f for f in sealed["entry"].get("facts", ())}
        indexed = self.query(
            "SELECT id, body, day, horse_id FROM saved_facts WHERE entry_id = ?", [row["id"]]
        )
        return len(indexed) != len(wanted) or any(
            json.loads(fact["body"]) != wanted.get(fact["id"])
            or (fact["day"], fact["horse_id"]) != (_day(sealed), row["sealed_horse"])
            for fact in indexed
        )


def _day(sealed: dict[str, Any]) -> str:
    """The local day of a sealed note, as ISO."""
    return datetime.fromisoformat(sealed["at"]).date().isoformat()


def _same_entry(shown: dict[str, Any], sealed: dict[str, Any]) -> bool:
    """The same note; what an older fieldlog wrote may leave out what is empty."""
    return shown == sealed or Entry.from_dict(shown) == Entry.from_dict(sealed)
