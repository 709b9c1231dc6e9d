"""Recordings and what was heard in them; both kept for ever."""

from __future__ import annotations

import json
from datetime import date, datetime
from pathlib import Path, PurePath

from fieldlog.core.facts import new_id
from fieldlog.core.words import Transcript
from fieldlog.errors import NotFound
from fieldlog.records.base import Connection, Row, stamp, utc_now
from fieldlog.records.types import Recording


class Sounds(Connection):
    """Sound files by content, and their transcripts."""

    def add_recording(
        self,
        sha256: str,
        path: Path | None,
        duration: float,
        started_at: datetime,
        started_at_from: str = "",
        original_name: str = "",
    ) -> Recording:
        """Note a sound file; the same sound again gives the recording already there.

        Args:
            sha256: hex digest of the sound's content.
            path: where the file lies; kept relative to the database when it lies below it.
            duration: seconds.
            started_at: when the recording began, with its zone.
            started_at_from: where that time came from.
            original_name: what the file was called before the import.
        """
        with self.write():
            known = self.recording_of(sha256)
            if known is not None:
                return known
            recording_id = new_id()
            self.run(
                "INSERT INTO recordings VALUES (?, ?, ?, ?, ?, ?, ?)",
                [
                    recording_id,
                    sha256,
                    self._kept_path(path),
                    duration,
                    stamp(started_at),
                    started_at_from,
                    original_name,
                ],
            )
        return self.recording(recording_id)

    def move_sound(self, recording_id: str, path: str) -> None:
        """Say where a sound file lies now, relative to the database's folder."""
        with self.write():
            self.run("UPDATE recordings SET path = ? WHERE id = ?", [path, recording_id])

    def recording_of(self, sha256: str) -> Recording | None:
        """The recording with this content, or None."""
        row = self.one("SELECT * FROM recordings WHERE sha256 = ?", [sha256])
        return self._recording(row) if row else None

    def recording(self, recording_id: str) -> Recording:
        """One recording.

        Raises:
            NotFound: no such recording.
        """
        row = self.one("SELECT * FROM recordings WHERE id = ?", [recording_id])
        if row is None:
            raise NotFound("There is no such recording.", "See “fieldlog drafts”.")
        return self._recording(row)

    def recordings(self) -> list[Recording]:
        """All recordings, the oldest first."""
        rows = self.query("SELECT * FROM recordings ORDER BY started_at")
        return [self._recording(r) for r in rows]

    def unread_recordings(self) -> list[Recording]:
        """Recordings that no reader has read yet, the oldest first."""
        rows = self.query(
            """SELECT * FROM recordings r WHERE NOT EXISTS
               (SELECT 1 FROM transcripts t WHERE t.recording_id = r.id) ORDER BY started_at"""
        )
        return [self._recording(r) for r in rows]

    def recordings_to_read_again(self, reader: str, day: date | None = None) -> list[Recording]:
        """Recordings in which words were heard, but not by ``reader``, the oldest first.

        Args:
            reader: name of a reader and its model.
            day: those with an entry of that day, saved or not; None: those with a draft.
        """
        which, values = ("e.day = ? AND e.state <> 'discarded'", [day.isoformat()]) if day else (
            "e.state = 'draft'", [])  # fmt: skip
        rows = self.query(
            f"""SELECT * FROM recordings r WHERE r.path <> ''
                AND EXISTS (SELECT 1 FROM entries e WHERE e.recording_id = r.id AND {which})
                AND EXISTS (SELECT 1 FROM transcripts t WHERE t.recording_id = r.id)
                AND NOT EXISTS (SELECT 1 FROM transcripts t
                                WHERE t.recording_id = r.id AND t.reader = ?)
                ORDER BY started_at""",
            [*values, reader],
        )
        return [self._recording(r) for r in rows]

    def store_transcript(self, recording_id: str, transcript: Transcript) -> int:
        """Keep what a reader heard; several readings of one recording are all kept."""
        with self.write():
            cursor = self.run(
                "INSERT INTO transcripts (recording_id, reader, made_at, body) VALUES (?, ?, ?, ?)",
                [recording_id, transcript.reader, utc_now(), json.dumps(transcript.to_dict())],
            )
        return int(cursor.lastrowid or 0)

    def transcripts(self, recording_id: str) -> list[Transcript]:
        """All readings of a recording, the newest first."""
        rows = self.query(
            "SELECT body FROM transcripts WHERE recording_id = ? ORDER BY id DESC", [recording_id]
        )
        return [Transcript.from_dict(json.loads(r["body"])) for r in rows]

    def transcript(self, recording_id: str) -> Transcript | None:
        """The newest reading, or None."""
        found = self.transcripts(recording_id)
        return found[0] if found else None

    def _kept_path(self, path: Path | None) -> str:
        if path is None:
            return ""
        try:
            return below(path.resolve(), self.path.resolve().parent)
        except ValueError:
            return str(path.resolve())

    def _recording(self, row: Row) -> Recording:
        path = Path(with_slashes(row["path"])) if row["path"] else None
        if path is not None and not path.is_absolute():
            path = self.path.parent / path
        return Recording(
            id=row["id"],
            sha256=row["sha256"],
            path=path,
            duration=row["duration"],
            started_at=datetime.fromisoformat(row["started_at"]),
            started_at_from=row["started_at_from"],
            original_name=row["original_name"],
        )


def below(path: PurePath, folder: PurePath) -> str:
    """Where ``path`` lies below ``folder``, as every system reads it.

    It survives a move of the whole folder to a new computer, also to one of another system.

    Raises:
        ValueError: it lies elsewhere.
    """
    return path.relative_to(folder).as_posix()


def with_slashes(kept: str) -> str:
    """A kept path as every system reads it: records of Windows have ``sounds\\...``."""
    return kept.replace("\\", "/") if kept.startswith("sounds\\") else kept
