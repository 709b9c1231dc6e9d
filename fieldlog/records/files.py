"""Files that are whole or not there, and readable by their owner only."""

from __future__ import annotations

import hashlib
from datetime import datetime
from pathlib import Path

from fieldlog.sound.keep import make_private, move, sync_descriptor

_BLOCK = 1 << 20


def digest(path: Path) -> str:
    """Hex SHA-256 of a file's content."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def write_whole(target: Path, content: bytes) -> None:
    """Write beside the target, then give it its name: never half a file."""
    part = target.with_name(f".{target.name}.part")
    try:
        with part.open("wb") as file:
            make_private(part)
            file.write(content)
            file.flush()
            sync_descriptor(file.fileno())
        move(part, target)
    finally:
        part.unlink(missing_ok=True)


def copy_whole(source: Path, target: Path) -> None:
    """Copy beside the target, then give it its name."""
    part = target.with_name(f".{target.name}.part")
    try:
        with source.open("rb") as clear, part.open("wb") as file:
            make_private(part)
            while block := clear.read(_BLOCK):
                file.write(block)
            file.flush()
            sync_descriptor(file.fileno())
        move(part, target)
    finally:
        part.unlink(missing_ok=True)


def move_aside(database: Path, at: datetime) -> None:
    """Give a database and what SQLite keeps beside it names with a time in them; nothing is lost.

    Args:
        database: which need not be there; it becomes ``fieldlog.db.before-restore-TIME``.
        at: the time of the restore.
    """
    for suffix in ("", "-wal", "-shm"):
        old = database.with_name(database.name + suffix)
        if old.exists():
            aside = f"{database.name}.before-restore-{at:%Y%m%d-%H%M%S}{suffix}"
            old.replace(database.with_name(aside))
