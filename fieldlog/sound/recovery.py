"""Recordings that a crash left unfinished: found at the next start, repaired, offered.

No recording is thrown away here unless ``discard`` is called for it.
"""

from __future__ import annotations

import contextlib
import io
import os
import struct
import time
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from fieldlog.errors import DiskFull, FieldlogError, UnreadableSound
from fieldlog.paths import Places
from fieldlog.sound.importing import SAME_SOUND, ImportedSound, keep_recording
from fieldlog.sound.keep import disk_errors, opened, sync_descriptor, write_all
from fieldlog.sound.pcm import BYTES_PER_SECOND, SAMPLE_BYTES
from fieldlog.sound.riff import chunks
from fieldlog.sound.when import FROM_CLOCK, FROM_FILE_DATE, parse_tag_time
from fieldlog.sound.whence import WHENCE
from fieldlog.sound.writer import lock_recording, patched_head, recording_name, wav_head

_STALE_SECONDS = 3600.0
"""Age of a half-done copy from which no import can still be at it."""
_JUST_BEGUN_SECONDS = 60.0
"""A recording without a sample may just be beginning for so long."""
_HEAD_BYTES = 4096
"""In which the head of a recording of ours ends, whatever it says of the time."""


@dataclass(frozen=True, slots=True)
class Unfinished:
    """A recording that was not closed."""

    path: Path
    started_at: datetime
    """With time zone."""
    started_at_from: str
    """``clock``, or ``file date`` if its beginning is damaged."""
    seconds: float
    """Seconds of sound in it."""


def find_unfinished(places: Places) -> list[Unfinished]:
    """Unfinished recordings, oldest first; those being recorded right now are left out.

    Asked at every start, so half copies of old imports are cleared away here as well.
    """
    if not places.sounds.is_dir():
        return []
    tidy(places)
    found: list[Unfinished] = []
    for path in places.sounds.iterdir():
        if not recording_name(path):
            continue
        with contextlib.suppress(OSError), opened(path) as fd:
            if lock_recording(fd):
                found.append(_examine(fd, path))
    return sorted(found, key=lambda u: u.started_at)


def recover(unfinished: Unfinished, places: Places) -> ImportedSound:
    """Repair a recording and give it its lasting name.

    Raises:
        UnreadableSound: there is not one sample in it.
        DiskFull, NotAllowed, SoundError: the disk refuses; the file stays as it was.
    """
    with disk_errors("the repaired recording"), opened(unfinished.path) as fd:
        if not lock_recording(fd):
            raise UnreadableSound(
                f"{unfinished.path.name} is still being recorded.", "Stop that recording first."
            )
        head_size, data_bytes = _measure(fd)
        if data_bytes < SAMPLE_BYTES:
            raise UnreadableSound(
                f"{unfinished.path.name} was cut off before any sound came.",
                "It can be discarded.",
            )
        _repair(fd, head_size, data_bytes, unfinished.started_at)
        sync_descriptor(fd)
    return keep_recording(
        unfinished.path,
        places,
        unfinished.started_at,
        unfinished.started_at_from,
        data_bytes / BYTES_PER_SECOND,
    )


@dataclass(frozen=True, slots=True)
class Rescued:
    """What became of one unfinished recording."""

    unfinished: Unfinished
    sound: ImportedSound | None = None
    told: str = ""
    """A sentence if there is no sound, else empty."""


def rescue_all(places: Places) -> Iterator[Rescued]:
    """Repair every unfinished recording, oldest first; one that cannot be keeps no other back.

    What was cut off before its first sample holds nothing and is cleared away, once it is a minute
    old: younger it may be one that is just beginning.

    Raises:
        DiskFull: no room to go on.
    """
    for one in find_unfinished(places):
        try:
            yield Rescued(one, recover(one, places))
        except DiskFull:
            raise
        except FieldlogError as problem:
            yield Rescued(one, None, _cleared(one) or str(problem))


def _cleared(one: Unfinished) -> str:
    """A sentence if it held nothing and is gone now, else empty."""
    if one.seconds > 0:
        return ""
    try:
        if time.time() - one.path.stat().st_mtime < _JUST_BEGUN_SECONDS:
            return ""
        discard(one)
    except (OSError, FieldlogError):
        return ""
    return f"The recording of {one.started_at:%Y-%m-%d %H:%M} was cut off before any sound came."


def discard(unfinished: Unfinished) -> None:
    """Delete an unfinished recording for good.

    Raises:
        NotAllowed, SoundError: the disk refuses.
    """
    with disk_errors("the sounds folder"):
        unfinished.path.unlink(missing_ok=True)


def tidy(places: Places) -> int:
    """Remove copies that an import left half done over an hour ago; returns how many.

    The source of an import is never touched, so nothing is lost.
    """
    removed = 0
    for folder in (places.sounds, places.sounds / SAME_SOUND, places.sounds / WHENCE):
        if not folder.is_dir():
            continue
        for path in folder.glob("*.tmp"):
            with contextlib.suppress(OSError):
                if time.time() - path.stat().st_mtime > _STALE_SECONDS:
                    path.unlink()
                    removed += 1
    return removed


def _examine(fd: int, path: Path) -> Unfinished:
    _, data_bytes = _measure(fd)
    os.lseek(fd, 0, os.SEEK_SET)
    head = os.read(fd, _HEAD_BYTES)
    started_at, origin = _start_in(head), FROM_CLOCK
    if started_at is None:
        seconds = data_bytes / BYTES_PER_SECOND
        started_at = datetime.fromtimestamp(os.fstat(fd).st_mtime - seconds).astimezone()
        origin = FROM_FILE_DATE
    return Unfinished(path, started_at, origin, data_bytes / BYTES_PER_SECOND)


def _measure(fd: int) -> tuple[int, int]:
    """Bytes before the samples, and whole samples after them, by the file's real length."""
    size = os.fstat(fd).st_size
    os.lseek(fd, 0, os.SEEK_SET)
    head = os.read(fd, _HEAD_BYTES)
    at = head.find(b"data", 12)
    head_size = at + 8 if head[:4] == b"RIFF" and at > 0 else _own_head_size()
    data = max(0, size - head_size)
    return head_size, data - data % SAMPLE_BYTES


def _own_head_size() -> int:
    """Our own header always has this length for a whole-minute time zone."""
    return len(wav_head(datetime.now().astimezone()))


def _repair(fd: int, head_size: int, data_bytes: int, started_at: datetime) -> None:
    """Give the file a head that is right, over the old one; no sample is moved.

    Raises:
        UnreadableSound: the head is damaged, and is not as long as ours; the file stays as it was.
    """
    os.lseek(fd, 0, os.SEEK_SET)
    head = os.read(fd, head_size)
    if not _intact(head):
        head = wav_head(started_at)
        if len(head) != head_size:
            raise UnreadableSound(
                "The beginning of this recording is damaged.", "Keep the file and ask for help."
            )
    os.ftruncate(fd, head_size + data_bytes)
    os.lseek(fd, 0, os.SEEK_SET)
    write_all(fd, patched_head(head, data_bytes))


def _intact(head: bytes) -> bool:
    """Whether the chunks of a head lead to the samples, so that every program finds them."""
    names = [name for name, _ in chunks(io.BytesIO(head))]
    return names[:1] == [b"fmt "] and names[-1:] == [b"data"] and head[-8:-4] == b"data"


def _start_in(head: bytes) -> datetime | None:
    at = head.find(b"ICRD")
    if at < 0 or len(head) < at + 8:
        return None
    (size,) = struct.unpack_from("<I", head, at + 4)
    text = head[at + 8 : at + 8 + min(size, 64)].decode("ascii", "replace")
    when, has_time = parse_tag_time(text)
    return when if has_time else None
