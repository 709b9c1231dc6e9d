"""Taking a client's personal data out on request, with the chain still whole.

Saved revisions are hashed over the hash of their words, not the words themselves; so the words can
go while every link still verifies. Each removal is noted with its day and reason, and a link whose
words are gone without such a note counts as broken. What stays: hashes, days, and that a horse was
seen. Copies made earlier (backups, exports, papers) are not reached.
"""

from __future__ import annotations

import json
from pathlib import Path

from fieldlog.core.facts import Entry
from fieldlog.errors import InputError, NotAllowed, RecordsError
from fieldlog.records.base import utc_now
from fieldlog.records.drafts import Drafts
from fieldlog.records.types import Recording, Removed, name_of_forgotten
from fieldlog.sound.whence import forget


class Removal(Drafts):
    """Forgetting on request."""

    def forget_client(self, client_id: str, reason: str) -> Removed:
        """Take out a client, their horses' names and all that was said about those horses.

        A client of no horse goes whole. Sound files that hold nobody else's notes are deleted. A
        recording that other clients' entries came from stays with its words, and is named in the
        answer.

        Args:
            client_id: whose data.
            reason: kept with each removal, e.g. ``asked for by letter``; without names.

        Raises:
            NotFound: no such client.
            InputError: no reason is given.
            NotAllowed: all is taken out but sounds that are open elsewhere (Windows); it names
                them.
        """
        if not reason.strip():
            raise InputError("Taking data out needs a reason.", "Say in a few words why.")
        client = self.client(client_id)
        horses = self.horses(client_id)
        doomed: list[Path] = []
        with self.write():
            ids = [
                r["id"]
                for h in horses
                for r in self.query("SELECT id FROM entries WHERE horse_id = ?", [h.id])
            ]
            own, shared = self._recordings_of(ids)
            for entry_id in ids:
                self._forget_entry(entry_id, reason.strip())
            for recording in own:
                if recording.path is not None:
                    doomed.append(recording.path)
                self._forget_recording(recording.id, reason.strip())
            others = [s for s in self.spelt_otherwise() if self.standing(s.id) in horses]
            for horse in (*horses, *others):
                self._forget_horse(horse.id)
            self._forget_spellings({client.id, *(h.id for h in (*horses, *others))})
            self._forget_person(client.id, whole=not horses)
            for name in (client.name, *(h.name for h in (*horses, *others))):
                self._forget_searches(name)
            self.run("INSERT INTO said_fts(said_fts) VALUES ('rebuild')")
        held = [path for path in doomed if not _deleted(path)]
        # Deleted words linger in free pages and the log until both are written anew.
        self._written_anew()
        if held:
            raise NotAllowed(
                "The words and data are taken out, but the system holds sounds of them: "
                f"{', '.join(map(str, held))}.",
                "Close what plays them, then delete these files by hand.",
            )
        return Removed(len(horses), len(ids), tuple(doomed), tuple(shared))

    def _written_anew(self) -> None:
        """Write the file anew without what was deleted.

        Raises:
            NotAllowed: it cannot be now; the words are taken out, only their traces are left.
        """
        try:
            with self.copying() as database:
                database.execute("VACUUM")
                log = database.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
        except RecordsError as problem:
            raise _traces() from problem
        if log[0]:  # somebody reads the old pages still
            raise _traces()

    def _recordings_of(self, entry_ids: list[str]) -> tuple[list[Recording], list[Recording]]:
        """Recordings that only these entries came from, and those that others came from too."""
        wanted = set(entry_ids)
        own: list[Recording] = []
        shared: list[Recording] = []
        for recording in self.recordings():
            rows = self.query("SELECT id FROM entries WHERE recording_id = ?", [recording.id])
            found = {r["id"] for r in rows}
            if found & wanted:
                (own if found <= wanted else shared).append(recording)
        return own, shared

    def _forget_horse(self, horse_id: str) -> None:
        self.run("DELETE FROM follow_ups WHERE horse_id = ?", [horse_id])
        self.run("UPDATE visits SET barn = '' WHERE horse_id = ?", [horse_id])
        self.run(
            """UPDATE horses SET name = ?, barn = '', colour = '', sex = '', born = '',
               microchip = '', ueln = '', caution = '', notes = '', left_why = '' WHERE id = ?""",
            [name_of_forgotten(horse_id), horse_id],
        )

    def _forget_person(self, client_id: str, whole: bool) -> None:
        self.run(
            "UPDATE horses SET client_id = NULL WHERE client_id = ? AND same_as IS NOT NULL",
            [client_id],
        )
        if whole:
            self.run("UPDATE visits SET client_id = NULL WHERE client_id = ?", [client_id])
            self.run("DELETE FROM clients WHERE id = ?", [client_id])
        self.run(
            """UPDATE clients SET name = ?, phone = '', email = '', address = '', notes = ''
               WHERE id = ?""",
            [name_of_forgotten(client_id), client_id],
        )

    def _forget_spellings(self, ids: set[str]) -> None:
        """What two spellings were before they were one is kept with names and contact data."""
        for row in self.query("SELECT id, what, went, stays FROM spellings"):
            gone = ids & {row["went"], row["stays"]}
            stands = self.one("SELECT 1 FROM horses WHERE barn = ? LIMIT 1", [row["stays"]])
            if gone or (row["what"] == "barn" and stands is None):
                self.run("DELETE FROM spellings WHERE id = ?", [row["id"]])

    def _forget_searches(self, name: str) -> None:
        self.run(
            "DELETE FROM saved_searches WHERE instr(lower(name || ' ' || line), lower(?))", [name]
        )

    def _forget_entry(self, entry_id: str, reason: str) -> None:
        links = self.query(
            "SELECT link FROM revisions WHERE entry_id = ? AND body <> ''", [entry_id]
        )
        for row in links:
            self._note_removal("revision", str(row["link"]), reason)
            self.run("UPDATE revisions SET body = '' WHERE link = ?", [row["link"]])
        nothing = Entry((), "", id=entry_id)
        self.run("DELETE FROM follow_ups WHERE entry_id = ?", [entry_id])
        self.run("DELETE FROM saved_facts WHERE entry_id = ?", [entry_id])
        self.run("DELETE FROM said WHERE entry_id = ?", [entry_id])
        self.run("DELETE FROM corrections WHERE entry_id = ?", [entry_id])
        self.run(
            """UPDATE entries SET body = ?, looked_at = '[]',
               state = CASE state WHEN 'draft' THEN 'discarded' ELSE state END WHERE id = ?""",
            [json.dumps(nothing.to_dict()), entry_id],
        )

    def _forget_recording(self, recording_id: str, reason: str) -> None:
        rows = self.query("SELECT id FROM transcripts WHERE recording_id = ?", [recording_id])
        for row in rows:
            self._note_removal("transcript", str(row["id"]), reason)
            self.run("UPDATE transcripts SET body = '{}' WHERE id = ?", [row["id"]])
        self._note_removal("sound", recording_id, reason)
        self.run("UPDATE recordings SET path = '', original_name = '' WHERE id = ?", [recording_id])

    def _note_removal(self, what: str, which: str, reason: str) -> None:
        self.run(
            "INSERT OR IGNORE INTO removals (at, what, which, reason) VALUES (?, ?, ?, ?)",
            [utc_now(), what, which, reason],
        )


def _deleted(path: Path) -> bool:
    try:
        path.unlink(missing_ok=True)
        forget(path)
    except OSError:
        return False
    return True


def _traces() -> NotAllowed:
    return NotAllowed(
        "The words and data are taken out. The database file could not be written anew, so traces "
        "of them are in it until later notes take their place.",
        "Close other windows of fieldlog, and make room on the disk.",
    )
