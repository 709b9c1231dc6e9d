"""Who has the database open, and whether the last one was cut off.

SQLite removes its write-ahead log when the last window closes. A log that is still there while
nobody else has the database open therefore means a crash, a kill or an empty battery. "Nobody else"
is known by a lock on a file beside the database, which the system lets go of however a process
ends. It is never the database file itself: closing that would drop SQLite's own locks (SQLite
documentation, "How To Corrupt An SQLite Database File", 2.2).
"""

from __future__ import annotations

import os
from pathlib import Path

try:
    import fcntl
except ImportError:  # Windows: every leftover log counts as a cut-off.
    fcntl = None  # type: ignore[assignment]


class InUse:
    """A hold on one database by one open store."""

    cut_off: bool
    """True if nobody else has it open and the last user did not close it."""

    def __init__(self, database: Path) -> None:
        log = database.with_name(f"{database.name}-wal")
        left = log.exists() and log.stat().st_size > 0
        self._file: int | None = None
        alone = fcntl is None
        if fcntl is not None:
            try:
                self._file = os.open(
                    database.with_name(f".{database.name}.in-use"),
                    os.O_CREAT | os.O_RDWR | os.O_CLOEXEC,
                    0o600,
                )
            except OSError:
                # A folder that cannot be written: SQLite itself will say so better.
                pass
            else:
                alone = self._hold(fcntl.LOCK_EX | fcntl.LOCK_NB)
                if not alone:
                    # Waits only while another window checks or migrates.
                    self._hold(fcntl.LOCK_SH)
        self.cut_off = alone and left

    def share(self) -> None:
        """Let other windows in; called when the database is checked and migrated."""
        if fcntl is not None and self._file is not None:
            self._hold(fcntl.LOCK_SH)

    def release(self) -> None:
        """Let go."""
        if self._file is not None:
            os.close(self._file)
            self._file = None

    def _hold(self, how: int) -> bool:
        if fcntl is None or self._file is None:
            return False
        try:
            fcntl.flock(self._file, how)
        except OSError:
            return False
        return True


def open_elsewhere(database: Path) -> bool:
    """Whether any store has the database open; close your own first.

    Without file locks (Windows) nobody can tell, and the answer is no; moving an open file fails
    there by itself.
    """
    if fcntl is None or not database.exists():
        return False
    hold = InUse(database)
    try:
        # Alone, it could take the lock for itself.
        return hold._file is not None and not hold._hold(fcntl.LOCK_EX | fcntl.LOCK_NB)
    finally:
        hold.release()
