"""A recording on its way to the disk, written so that a dead battery costs one second at most.

Every piece goes to the operating system at once (a killed process loses nothing that was handed
over); once a second the header is brought up to date and everything is synced to the disk (a
power cut loses that second). The file is a plain WAV all the time: 44-byte RIFF start plus an
``INFO`` list with the time of recording.
"""

from __future__ import annotations

import contextlib
import errno
import importlib
import os
import struct
import time
import uuid
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from fieldlog.errors import DiskFull
from fieldlog.paths import Places
from fieldlog.sound.importing import ImportedSound, keep_recording
from fieldlog.sound.keep import (
    disk_errors,
    free_bytes,
    private_file,
    sync_descriptor,
    sync_folder,
    write_all,
)
from fieldlog.sound.pcm import BYTES_PER_SECOND, SAMPLE_BYTES, SAMPLE_RATE
from fieldlog.sound.when import FROM_CLOCK

PART_SUFFIX = ".part.wav"
"""Ending of a recording that was not finished yet."""

RESERVE_BYTES = 16 << 20
"""Room that a recording leaves free, so that the drafts can still be saved (bytes)."""

WARN_SECONDS = 30 * 60.0
"""A disk with less recording time than this is nearly full."""

MAX_BYTES = 0xFFFF_0000
"""Largest WAV, a little under 4 GiB: 37 hours."""

_SYNC_SECONDS = 1.0
"""Between two times that everything is made to last, in seconds of the clock."""


class RecordingWriter:
    """Writes one recording; 16 kHz mono 16-bit PCM in, an ``ImportedSound`` at the end."""

    def __init__(
        self,
        places: Places,
        started_at: datetime | None = None,
        reserve: int = RESERVE_BYTES,
        monotonic: Callable[[], float] = time.monotonic,
    ) -> None:
        """Create the file.

        Args:
            places: whose sounds folder.
            started_at: aware start time; now if left out.
            reserve: bytes to leave free on the disk.
            monotonic: the clock for syncing, for tests.

        Raises:
            DiskFull: less than ``reserve`` and ten seconds of room.
            NotAllowed: the folder refuses.
        """
        self.started_at = started_at or datetime.now(UTC).astimezone()
        if self.started_at.tzinfo is None:
            raise ValueError("started_at needs a time zone")
        self._places = places
        self._reserve = reserve
        self._monotonic = monotonic
        self._bytes = 0
        self._fd: int | None = None
        self._full = False
        self._synced = float("-inf")
        stamp = self.started_at.strftime("%Y%m%d-%H%M%S")
        self.path = places.sounds / f"recording-{stamp}-{uuid.uuid4().hex[:6]}{PART_SUFFIX}"
        with disk_errors("the recording"):
            places.sounds.mkdir(parents=True, exist_ok=True, mode=0o700)
            if free_bytes(places.sounds) < reserve + 10 * BYTES_PER_SECOND:
                raise _full()
            self._fd = private_file(self.path)
            lock_recording(self._fd)
            self._head = wav_head(self.started_at)
            try:
                write_all(self._fd, patched_head(self._head, 0))
                self._sync()
            except OSError:
                os.close(self._fd)
                self._fd = None
                self.path.unlink(missing_ok=True)
                raise
            sync_folder(places.sounds)

    @property
    def seconds(self) -> float:
        """Seconds of sound handed to the operating system."""
        return self._bytes // SAMPLE_BYTES / SAMPLE_RATE

    @property
    def seconds_left(self) -> float:
        """Seconds that the disk can still take, the reserve left free."""
        room = min(free_bytes(self._places.sounds) - self._reserve, MAX_BYTES - self._bytes)
        return max(0.0, room / BYTES_PER_SECOND)

    @property
    def nearly_full(self) -> bool:
        """True if less than ``WARN_SECONDS`` of recording fit."""
        return self.seconds_left < WARN_SECONDS

    def write(self, pcm: bytes) -> None:
        """Append sound.

        Raises:
            DiskFull: no more room; what was written before stays and ``finish`` still works.
            ValueError: an odd number of bytes, or the recording was finished.
        """
        if self._fd is None:
            raise ValueError("the recording is finished")
        if len(pcm) % SAMPLE_BYTES:
            raise ValueError("16-bit sound has an even number of bytes")
        if self._full or self._bytes + len(pcm) > MAX_BYTES:
            raise _full()
        due = self._monotonic() - self._synced >= _SYNC_SECONDS
        try:
            with disk_errors("the recording"):
                view = memoryview(pcm)
                while view:
                    done = os.write(self._fd, view)
                    self._bytes += done
                    view = view[done:]
                if due:
                    self._sync()
                    if free_bytes(self._places.sounds) < self._reserve:
                        raise _full()
        except DiskFull:
            self._full = True
            with contextlib.suppress(OSError):
                self._sync()
            raise

    def finish(self) -> ImportedSound | None:
        """Close the file and give it its lasting name; None if not one sample was recorded.

        Raises:
            DiskFull, SoundError: it could not be renamed; it stays as an unfinished recording.
        """
        if self._fd is None:
            raise ValueError("the recording is finished already")
        self.close()
        if self._bytes < SAMPLE_BYTES:
            self.path.unlink(missing_ok=True)
            return None
        return keep_recording(self.path, self._places, self.started_at, FROM_CLOCK, self.seconds)

    def close(self) -> None:
        """Stop writing; the file stays as an unfinished recording. May be called twice."""
        if self._fd is not None:
            with contextlib.suppress(OSError):
                self._sync()
            os.close(self._fd)
            self._fd = None

    def _sync(self) -> None:
        """Bring the header up to date and sync; only the two sizes are rewritten, in place."""
        if self._fd is None:
            return
        whole = self._bytes - self._bytes % SAMPLE_BYTES
        end = os.lseek(self._fd, 0, os.SEEK_END)
        os.lseek(self._fd, 0, os.SEEK_SET)
        write_all(self._fd, patched_head(self._head, whole))
        os.lseek(self._fd, end, os.SEEK_SET)
        sync_descriptor(self._fd)
        self._synced = self._monotonic()


def wav_head(started_at: datetime) -> bytes:
    """Everything of a WAV before its samples, with sizes of zero.

    RIFF with a ``fmt `` chunk (PCM), an ``INFO`` list with ``ICRD`` (here a full ISO 8601 time)
    and ``ISFT``, then the start of ``data`` (source: Multimedia Programming Interface and Data
    Specifications 1.0, IBM and Microsoft 1991).
    """
    fmt = struct.pack(
        "<HHIIHH", 1, 1, SAMPLE_RATE, BYTES_PER_SECOND, SAMPLE_BYTES, SAMPLE_BYTES * 8
    )
    info = b"INFO" + _chunk(b"ICRD", started_at.isoformat("T", "seconds").encode() + b"\x00")
    info += _chunk(b"ISFT", b"fieldlog\x00")
    body = b"WAVE" + _chunk(b"fmt ", fmt) + _chunk(b"LIST", info)
    return b"RIFF" + struct.pack("<I", 0) + body + b"data" + struct.pack("<I", 0)


def patched_head(head: bytes, data_bytes: int) -> bytes:
    """``head`` with the sizes for ``data_bytes`` of samples."""
    riff = struct.pack("<I", len(head) - 8 + data_bytes)
    return head[:4] + riff + head[8:-4] + struct.pack("<I", data_bytes)


def lock_recording(fd: int) -> bool:
    """Mark the file as being recorded; False if another process has it.

    The lock vanishes with the process, so a lock means: somebody is recording now.
    """
    try:
        import fcntl
    except ImportError:
        return _lock_on_windows(fd)
    try:
        fcntl.flock(fd, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    except OSError:
        return True
    return True


_LOCK_AT = 0x7FFF_FFFE
"""The byte that is locked on Windows, where a locked byte cannot be read by others: 18 hours in."""


def _lock_on_windows(fd: int) -> bool:
    msvcrt: Any = importlib.import_module("msvcrt")
    here = os.lseek(fd, 0, os.SEEK_CUR)
    os.lseek(fd, _LOCK_AT, os.SEEK_SET)
    try:
        msvcrt.locking(fd, msvcrt.LK_NBLCK, 1)
    except OSError as problem:
        return problem.errno not in (errno.EACCES, errno.EDEADLK)
    finally:
        os.lseek(fd, here, os.SEEK_SET)
    return True


def _chunk(name: bytes, body: bytes) -> bytes:
    return name + struct.pack("<I", len(body)) + body + b"\x00" * (len(body) % 2)


def _full() -> DiskFull:
    return DiskFull(
        "The disk is nearly full, so the recording was stopped.",
        "What was recorded is kept. Free some space, then record on.",
    )


def recording_name(path: Path) -> bool:
    """True if ``path`` is named like an unfinished recording."""
    return path.name.startswith("recording-") and path.name.endswith(PART_SUFFIX)
