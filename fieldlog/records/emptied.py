"""A database that holds nothing, though it was there before, or though what belongs to it is there.

A copy that was cut off, or a disk that lost content, leaves a file of 0 bytes. SQLite takes it
as a new database and throws away the log beside it, which may hold all that was written last
(measured: 230 kB of log were gone after one read). So it is looked at before SQLite opens it.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from fieldlog.core.counting import counted
from fieldlog.errors import DatabaseDamaged

PUT_BACK = (
    "“fieldlog data restore --replace BACKUP.zip” or “fieldlog data unroll --replace "
    "STICK/fieldlog-DATE”"
)


def begun_anew(database: Path) -> str:
    """A sentence if the file is there and empty, and records are begun in it; else empty.

    Call it before SQLite opens the file.

    Raises:
        DatabaseDamaged: it is empty and records were there: their log, their sounds or their
            backups lie beside it. Or it is gone, and its log is there. Nothing was changed.
    """
    there = database.exists()
    if there and database.stat().st_size:
        return ""
    log = log_of(database)
    if log_left(database):
        raise DatabaseDamaged(
            f"The database {database} is {'empty (0 bytes)' if there else 'gone'}, but its log "
            f"{log.name} holds what was written last. Nothing was changed.",
            "Copy the whole folder first. Then put the latest backup back, which keeps what is "
            f"here under another name: {PUT_BACK}.",
        )
    if not there:
        return ""
    sounds, backups = _files(database.with_name("sounds")), _backups(database)
    if sounds or backups:
        raise DatabaseDamaged(
            f"The database {database} is empty (0 bytes), but beside it lie "
            f"{counted(len(sounds), 'sound')} and {counted(len(backups), 'backup')}. "
            "Nothing was changed.",
            f"{_where(backups)}Put the latest backup back: {PUT_BACK}. Without one, move the empty "
            f"file away: “fieldlog import {database.with_name('sounds')}” then makes drafts of the "
            "sounds again.",
        )
    return (
        f"The database {database} was empty (0 bytes): new records are begun in it. If you had "
        f"records, put the latest backup back: {PUT_BACK}."
    )


def log_of(database: Path) -> Path:
    """What SQLite has written last and not yet put into the file."""
    return database.with_name(f"{database.name}-wal")


def log_left(database: Path) -> bool:
    """Whether there is something in it."""
    log = log_of(database)
    return log.exists() and log.stat().st_size > 0


def _backups(database: Path) -> Sequence[Path]:
    """What was put beside the database to go back to."""
    beside = sorted(database.parent.glob(f"{database.name}.before-*"))
    copies = [p for p in beside if not p.name.endswith(("-wal", "-shm"))]
    return [*copies, *_files(database.with_name("backups"))]


def _files(folder: Path) -> Sequence[Path]:
    return sorted(p for p in folder.glob("*") if not p.name.startswith("."))


def _where(backups: Sequence[Path]) -> str:
    return f"The newest backup here: {max(backups, key=_changed)}. " if backups else ""


def _changed(path: Path) -> float:
    return path.stat().st_mtime
