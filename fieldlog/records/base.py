"""The connection: one thread, one file, and no write outside a transaction."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sqlite_utils import Database

from fieldlog.errors import (
    DatabaseBusy,
    DatabaseDamaged,
    DatabaseTooNew,
    InputError,
    NotAllowed,
    NotFound,
    SavedIsFixed,
)
from fieldlog.records.emptied import begun_anew
from fieldlog.records.in_use import InUse
from fieldlog.records.schema import KEPT, NEWEST, migrate

BUSY_SECONDS = 10.0
"""How long a writer waits for another window before giving up."""

Row = dict[str, Any]
Values = Sequence[Any] | Mapping[str, Any]


def now() -> datetime:
    """The present moment with its local zone."""
    return datetime.now().astimezone()


def stamp(moment: datetime) -> str:
    """RFC 3339 text of a moment; naive moments are taken as local."""
    return (moment if moment.tzinfo else moment.astimezone()).isoformat(timespec="seconds")


class Connection:
    """Opens, migrates and guards one database file.

    A store belongs to the thread that opened it; open another one per thread.
    """

    path: Path
    begun_anew: str
    """A sentence if the file was there and empty, else empty."""

    def __init__(
        self, path: Path, connection: sqlite3.Connection, in_use: InUse, begun_anew: str = ""
    ) -> None:
        self.path = path
        self.begun_anew = begun_anew
        self._sql = connection
        self._in_use = in_use
        self.db = Database(connection)

    @classmethod
    def _connect(cls, path: Path, create: bool) -> tuple[sqlite3.Connection, InUse, str]:
        if not create and not path.exists():
            raise NotFound(f"There is no database at {path}.", "Record or import a note first.")
        in_use: InUse | None = None
        connection: sqlite3.Connection | None = None
        try:
            path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
            # Held first: a file that another window is just making is not empty for long.
            in_use = InUse(path)
            anew = begun_anew(path)
            path.touch(mode=0o600)
            connection = _opened(path)
            version = connection.execute("PRAGMA user_version").fetchone()[0]
            if version > NEWEST:
                raise DatabaseTooNew(
                    f"The database {path} was written by a newer fieldlog (schema {version}, "
                    f"this one knows {NEWEST}).",
                    "Update fieldlog; nothing in the database was changed.",
                )
            connection.execute("PRAGMA journal_mode = WAL")
            connection.execute("PRAGMA synchronous = FULL")
            # Only a Mac knows it; see sound.keep.sync_descriptor.
            connection.execute("PRAGMA fullfsync = ON")
        except BaseException as problem:
            if connection is not None:
                connection.close()
            if in_use is not None:
                in_use.release()
            if isinstance(problem, OSError):
                raise NotAllowed(
                    f"Cannot open the database {path}: {problem.strerror}.",
                    "Check the folder's permissions and the free space.",
                ) from problem
            if isinstance(problem, sqlite3.Error):
                raise _told(problem, path) from problem
            raise
        return connection, in_use, anew

    def _prepare(self) -> None:
        """Check the file if the last one to use it was cut off, then migrate it."""
        try:
            if self._in_use.cut_off:
                wrong = self.integrity()
                if wrong:
                    raise _damaged(self.path, wrong[0])
            migrate(self)
        except sqlite3.Error as problem:
            raise _told(problem, self.path) from problem
        self._in_use.share()

    def close(self) -> None:
        """Close the file; unfinished work was never started."""
        self._sql.close()
        self._in_use.release()

    def query(self, sql: str, values: Values = ()) -> list[Row]:
        """Rows of a read."""
        try:
            return [dict(row) for row in self._sql.execute(sql, values)]
        except sqlite3.Error as problem:
            raise _told(problem, self.path) from problem
        except UnicodeEncodeError as problem:
            raise _broken_text() from problem

    def one(self, sql: str, values: Values = ()) -> Row | None:
        """The first row of a read, or None."""
        rows = self.query(sql, values)
        return rows[0] if rows else None

    def run(self, sql: str, values: Values = ()) -> sqlite3.Cursor:
        """One statement inside ``write``.

        Raises:
            RuntimeError: called outside a transaction; a programming mistake.
            SavedIsFixed: it would change what is kept for ever.
            InputError: a text holds bytes that are no characters.
        """
        if not self._sql.in_transaction:
            raise RuntimeError("writes belong inside `with store.write():`")
        try:
            return self._sql.execute(sql, values)
        except sqlite3.Error as problem:
            raise _told(problem, self.path) from problem
        except UnicodeEncodeError as problem:
            raise _broken_text() from problem

    def _put(self, table: str, row: Row) -> None:
        """Insert a row, or change the one of its id."""
        columns = ", ".join(row)
        marks = ", ".join("?" for _ in row)
        changes = ", ".join(f"{c} = excluded.{c}" for c in row if c != "id")
        with self.write():
            self.run(
                f"INSERT INTO {table} ({columns}) VALUES ({marks}) "
                f"ON CONFLICT (id) DO UPDATE SET {changes}",
                list(row.values()),
            )

    @contextmanager
    def write(self) -> Iterator[None]:
        """One transaction; joins the one in progress if there is one.

        ``BEGIN IMMEDIATE``: a deferred read that turns into a write fails at once under WAL,
        whatever the busy timeout (SQLite documentation, "Isolation").

        Raises:
            DatabaseBusy: another window held the lock too long; nothing was changed.
        """
        if self._sql.in_transaction:
            yield
            return
        try:
            self._sql.execute("BEGIN IMMEDIATE")
        except sqlite3.OperationalError as problem:
            raise _told(problem, self.path) from problem
        try:
            yield
        except BaseException:
            # A full disk makes SQLite roll back by itself (SQLite documentation, "ROLLBACK").
            if self._sql.in_transaction:
                self._sql.execute("ROLLBACK")
            raise
        try:
            self._sql.execute("COMMIT")
        except sqlite3.Error as problem:
            if self._sql.in_transaction:
                self._sql.execute("ROLLBACK")
            raise _told(problem, self.path) from problem

    def integrity(self) -> list[str]:
        """What SQLite's own check finds wrong; empty if nothing."""
        found = [str(r[0]) for r in self._sql.execute("PRAGMA integrity_check")]
        orphans = [dict(r) for r in self._sql.execute("PRAGMA foreign_key_check")]
        return [f for f in found if f != "ok"] + [f"orphan row: {o}" for o in orphans]

    @contextmanager
    def copying(self) -> Iterator[sqlite3.Connection]:
        """The connection itself, for a copy of everything; what SQLite says becomes a sentence.

        Raises:
            NotAllowed: the disk is full or refuses.
            DatabaseBusy: another window holds the lock.
            DatabaseDamaged: the file is no database any more.
        """
        try:
            yield self._sql
        except sqlite3.Error as problem:
            raise _told(problem, self.path) from problem

    @property
    def raw(self) -> sqlite3.Connection:
        """The connection itself, for backup."""
        return self._sql


def _opened(path: Path) -> sqlite3.Connection:
    """The file, ready to be read.

    On a full disk the small file through which windows share it cannot be made; then it is opened
    for this window alone, which needs none (SQLite documentation, "Use of WAL Without
    Shared-Memory"): cautions must be there to read when nothing can be written any more.
    """
    for alone in (False, True):
        connection = sqlite3.connect(path, timeout=BUSY_SECONDS, isolation_level=None)
        connection.row_factory = sqlite3.Row
        try:
            if alone:
                connection.execute("PRAGMA locking_mode = EXCLUSIVE")
            connection.execute("PRAGMA foreign_keys = ON")
            connection.execute("PRAGMA user_version").fetchone()
            return connection
        except sqlite3.OperationalError as problem:
            connection.close()
            if alone or not _is_full(problem):
                raise
    raise AssertionError("one of the two ways ends it")


def _is_full(problem: sqlite3.Error) -> bool:
    return "full" in str(problem) or "disk I/O" in str(problem)


def utc_now() -> str:
    """The present moment in UTC, RFC 3339."""
    return stamp(datetime.now(UTC))


def _damaged(path: Path, problem: str) -> DatabaseDamaged:
    return DatabaseDamaged(
        f"The database {path} is damaged or not a database ({problem}).",
        "Restore the latest backup: “fieldlog data restore --replace” or “fieldlog data unroll "
        "--replace”, which keep the file. Without one, move the file away and keep it; then "
        f"“fieldlog import {path.with_name('sounds')}” makes drafts of the sounds again.",
    )


def _broken_text() -> InputError:
    return InputError(
        "That text holds bytes that are no characters (not UTF-8).", "Type it again by hand."
    )


def _told(problem: sqlite3.Error, path: Path) -> Exception:
    """The sentence for what SQLite says; a programming mistake comes back as it is."""
    text = str(problem)
    if isinstance(problem, sqlite3.IntegrityError):
        for why in KEPT.values():
            if why in text:
                return SavedIsFixed(f"That cannot be changed: {why}.", "Nothing was changed.")
        return problem
    if isinstance(problem, sqlite3.ProgrammingError | sqlite3.InterfaceError):
        return problem
    if "locked" in text or "busy" in text:
        return DatabaseBusy(
            "Another fieldlog window is writing and did not finish in time.",
            "Nothing was changed; try again in a moment.",
        )
    if "readonly" in text or "unable to open" in text or "permission" in text.lower():
        return NotAllowed(
            f"The database {path} cannot be written ({text}).", "Check its permissions."
        )
    if _is_full(problem):
        return NotAllowed(
            f"The disk cannot take more, so nothing was changed ({text}).",
            "Free some space and try again; what was saved before is safe.",
        )
    if "malformed" in text or not isinstance(problem, sqlite3.OperationalError):
        return _damaged(path, text)
    return problem
