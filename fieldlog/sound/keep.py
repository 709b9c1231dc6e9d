"""Small file chores that must survive a pulled plug: private files, whole or not at all."""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
import shutil
import time
import uuid
from collections.abc import Iterator
from pathlib import Path

from fieldlog.errors import DiskFull, NotAllowed, SoundError

try:
    import fcntl
except ImportError:  # Windows
    fcntl = None  # type: ignore[assignment]

_FULL = {errno.ENOSPC, errno.EDQUOT, errno.EFBIG}

COPY_BYTES = 1 << 20
"""Bytes read or copied at once."""


@contextlib.contextmanager
def disk_errors(what: str, left: str = "What was written so far is kept.") -> Iterator[None]:
    """Turn an ``OSError`` while writing ``what`` into a sentence.

    Args:
        what: is written.
        left: what is told of what is there, on a full disk.

    Raises:
        DiskFull: no room, over quota, or over the size limit.
        NotAllowed: the file system refuses.
        SoundError: anything else that the disk says.
    """
    try:
        yield
    except OSError as problem:
        if problem.errno in _FULL:
            raise DiskFull(
                f"The disk is full: {what} could not be written to the end.",
                f"{left} Free some space, then go on.",
            ) from problem
        if problem.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
            raise NotAllowed(
                f"Writing {what} is not allowed here: {problem.strerror}.",
                "Check the folder's permissions, or set FIELDLOG_HOME to a folder you may write.",
            ) from problem
        raise SoundError(
            f"Writing {what} failed: {problem.strerror or problem}.",
            "Check that the disk is plugged in and healthy.",
        ) from problem


_RAW = os.O_RDWR | getattr(os, "O_BINARY", 0)
"""To read and write; on Windows without changing the ends of lines."""


def private_file(path: Path) -> int:
    """Create ``path`` (which must not exist) readable by its owner only; a file descriptor."""
    return os.open(path, os.O_CREAT | os.O_EXCL | _RAW, 0o600)


@contextlib.contextmanager
def opened(path: Path) -> Iterator[int]:
    """A file descriptor of a file that is there, to read and write; closed in any case."""
    fd = os.open(path, _RAW)
    try:
        yield fd
    finally:
        os.close(fd)


@contextlib.contextmanager
def created(path: Path) -> Iterator[int]:
    """A file descriptor of ``private_file``; closed in any case."""
    fd = private_file(path)
    try:
        yield fd
    finally:
        os.close(fd)


def write_whole(path: Path, data: bytes) -> None:
    """Write a private file over what was there: all of it is on the disk, or the old one stays.

    Raises:
        OSError: the system refuses; nothing half-written is left.
    """
    temporary = path.with_name(f"{uuid.uuid4().hex}.tmp")
    try:
        with created(temporary) as fd:
            write_all(fd, data)
            sync_descriptor(fd)
        move(temporary, path)
    finally:
        with contextlib.suppress(OSError):
            temporary.unlink(missing_ok=True)
    sync_folder(path.parent)


def write_all(fd: int, data: bytes) -> None:
    """``os.write`` until everything is written."""
    view = memoryview(data)
    while view:
        view = view[os.write(fd, view) :]


def sync_descriptor(fd: int) -> None:
    """Have the system put an open file on the disk now.

    On a Mac ``fsync`` only hands it to the disk, which may keep it in its own memory for long;
    ``F_FULLFSYNC`` has the disk write it (source: Apple, fsync(2)).
    """
    full = getattr(fcntl, "F_FULLFSYNC", None)
    if full is not None:
        try:
            fcntl.fcntl(fd, full)
        except OSError:  # A disk of another kind, or a network's, cannot.
            pass
        else:
            return
    os.fsync(fd)


def sync_file(path: Path) -> None:
    """The same for a file that was closed.

    It is opened to be written: Windows syncs no file that was opened to be read.
    """
    with opened(path) as fd:
        sync_descriptor(fd)


_HELD_BRIEFLY = os.name == "nt"
"""On Windows a virus scanner or an indexer holds a new file for a moment, and no name changes."""
_PAUSES = (0.05, 0.1, 0.2, 0.4, 0.8)
"""Seconds between the tries."""


def move(source: Path, target: Path) -> None:
    """Give ``source`` the name ``target``, replacing what is there.

    Raises:
        OSError: the system refuses, on Windows also after a second and a half.
    """
    for pause in _PAUSES if _HELD_BRIEFLY else ():
        try:
            os.replace(source, target)
        except PermissionError:
            time.sleep(pause)
        else:
            return
    os.replace(source, target)


def make_private(path: Path) -> None:
    """Readable by its owner only, where the file system knows owners (sticks often do not)."""
    with contextlib.suppress(OSError):
        path.chmod(0o600)


def sync_folder(folder: Path) -> None:
    """Make renames in ``folder`` last; does nothing where folders cannot be synced."""
    try:
        fd = os.open(folder, os.O_RDONLY)
    except OSError:
        return
    try:
        with contextlib.suppress(OSError):
            sync_descriptor(fd)
    finally:
        os.close(fd)


def settle(temporary: Path, final: Path) -> None:
    """Give a synced temporary file its final name, and have that last.

    The name is made of the content's hash, so that what it replaces is equal.
    """
    move(temporary, final)
    sync_folder(final.parent)


def sha256_of(path: Path) -> str:
    """Hex SHA-256 of a file's bytes."""
    digest = hashlib.sha256()
    with path.open("rb") as file:
        while block := file.read(COPY_BYTES):
            digest.update(block)
    return digest.hexdigest()


def free_bytes(folder: Path) -> int:
    """Bytes that this user can still write in ``folder``'s file system."""
    return shutil.disk_usage(folder).free
