"""Sound made elsewhere, taken into the user's own folder, whole or not at all.

A file is copied first and judged on the copy, so that a recorder pulled out half way harms
nothing. It is kept bit for bit under its own SHA-256. The same sound under another name, or with
other tags, is recognised by the hash of what it decodes to.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import unicodedata
import uuid
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from fieldlog.errors import FieldlogError, UnreadableSound
from fieldlog.paths import Places
from fieldlog.sound import whence
from fieldlog.sound.decode import DEFAULT_LIMITS, Limits, SoundFile
from fieldlog.sound.keep import (
    COPY_BYTES,
    created,
    disk_errors,
    settle,
    sha256_of,
    sync_descriptor,
    write_all,
    write_whole,
)
from fieldlog.sound.when import of_copying, recording_time
from fieldlog.sound.whence import Whence

_WAVES = (".wav", ".wave", ".bwf", ".w64", ".aif", ".aiff", ".au")
_PACKED = (".flac", ".ogg", ".oga", ".opus", ".mp3")
_PHONES = (".m4a", ".mp4", ".aac", ".3gp", ".amr", ".webm", ".caf")
SOUND_SUFFIXES = frozenset((*_WAVES, *_PACKED, *_PHONES))
"""Endings that a folder import looks at; what is inside decides."""

_OWN_RECORDING = Limits(seconds=float("inf"), samples=1 << 62)
"""What we recorded ourselves is kept whatever its length."""

SAME_SOUND = ".same-sound"
"""Folder of marker files, named by the hash of the decoded sound, that hold a stored name."""


@dataclass(frozen=True, slots=True)
class ImportedSound:
    """One sound in the user's folder."""

    path: Path
    """Where it is kept: ``<sha256>.<kind>`` in ``Places.sounds``."""
    sha256: str
    """Hex SHA-256 of the file's bytes."""
    duration: float
    """Seconds of sound."""
    started_at: datetime
    """Start of the recording, with time zone."""
    started_at_from: str
    """``metadata``, ``metadata, day only``, ``file name``, ``file date``, ``file date, perhaps of
    copying`` or ``clock``."""
    original_name: str
    """Its name before, without folders or control characters."""
    pcm_sha256: str = ""
    """Hex SHA-256 of the sound decoded to 16 kHz mono 16-bit PCM."""
    already_known: bool = False
    """True if this sound was in the folder before."""
    damage: str = ""
    """A sentence if part of the file could not be read, else empty."""
    silent: bool = False
    """Of a recording of our own: not one sample differs from nought, as no microphone gives it."""


def import_sound(source: Path, places: Places, limits: Limits = DEFAULT_LIMITS) -> ImportedSound:
    """Take one sound file in.

    Raises:
        UnreadableSound: missing, empty, not sound, or beyond the limits.
        DiskFull: no room for the copy; nothing half-copied stays.
        NotAllowed: the sounds folder cannot be written.
    """
    with SoundFile(source, limits) as first_look:
        suffix = first_look.format.suffix
    with disk_errors(f"the sounds folder {places.sounds}"):
        places.sounds.mkdir(parents=True, exist_ok=True, mode=0o700)
    temporary = places.sounds / f"import-{uuid.uuid4().hex}.tmp"
    try:
        digest = _copy(source, temporary)
        final = places.sounds / f"{digest}{suffix}"
        read = _read_through(temporary, limits)
        # A file that lies there already has a name and a date that are of its taking in.
        again = source.resolve().parent == places.sounds.resolve()
        before = whence.noted(final) if again else None
        came = before or _came(source, read, again)
        known = _known(places, read.pcm_sha256, final)
        if known is None:
            whence.note(final, came)
            settle(temporary, final)
        if known is None or known == final:
            _remember(places, read.pcm_sha256, final)
        return ImportedSound(
            path=known or final,
            sha256=known.stem if known else digest,
            duration=read.seconds,
            started_at=came.started_at,
            started_at_from=came.origin,
            original_name=came.name,
            pcm_sha256=read.pcm_sha256,
            already_known=known is not None,
            damage=read.damage,
        )
    except UnreadableSound as problem:
        problem.message = problem.message.replace(temporary.name, source.name)
        raise
    finally:
        with contextlib.suppress(OSError):
            temporary.unlink(missing_ok=True)


def _came(source: Path, read: _ReadThrough, again: bool) -> Whence:
    """Its name, the start of the recording, and where that is known from, perhaps of copying."""
    started_at, origin = recording_time(source, read.tags, read.seconds)
    ended = started_at + timedelta(seconds=read.seconds)
    origin = of_copying(origin, ended, ended if again else datetime.now(UTC))
    return Whence(plain_name(source.name), started_at, origin)


def sound_files(folder: Path) -> list[Path]:
    """Sound files in a folder and the folders below, by name; links and hidden files left out.

    Raises:
        UnreadableSound: not a folder, or it cannot be listed.
    """
    if not folder.is_dir():
        raise UnreadableSound(f"There is no folder {folder}.", "Check its name.")

    def refuse(problem: OSError) -> None:
        raise UnreadableSound(
            f"The folder {problem.filename} cannot be listed: {problem.strerror}.",
            "Check that you may read it and that its disk is plugged in.",
        ) from problem

    found: list[Path] = []
    for here, folders, names in os.walk(folder, onerror=refuse, followlinks=False):
        folders[:] = sorted(f for f in folders if not f.startswith("."))
        for name in names:
            path = Path(here, name)
            if (
                not name.startswith(".")
                and path.suffix.lower() in SOUND_SUFFIXES
                and path.is_file()
                and not path.is_symlink()
            ):
                found.append(path)
    return sorted(found)


def keep_recording(
    finished: Path, places: Places, started_at: datetime, started_at_from: str, duration: float
) -> ImportedSound:
    """Give a finished recording of our own (a WAV in the sounds folder) its lasting name.

    Args:
        finished: the file; nobody writes to it any more.
        places: whose sounds folder.
        started_at: with time zone.
        started_at_from: where that is known from.
        duration: seconds of sound.

    Raises:
        DiskFull, NotAllowed, SoundError: it could not be renamed; it stays as it was.
    """
    with disk_errors("the recording"):
        digest = sha256_of(finished)
        final = places.sounds / f"{digest}.wav"
        settle(finished, final)
    read = _read_through(final, _OWN_RECORDING)
    with contextlib.suppress(FieldlogError):  # it is kept all the same
        _remember(places, read.pcm_sha256, final)
    return ImportedSound(
        path=final,
        sha256=digest,
        duration=duration,
        started_at=started_at,
        started_at_from=started_at_from,
        original_name=plain_name(finished.name),
        pcm_sha256=read.pcm_sha256,
        silent=read.silent,
    )


@dataclass(frozen=True, slots=True)
class _ReadThrough:
    """What is known of a sound once all of it was decoded."""

    seconds: float
    pcm_sha256: str
    silent: bool
    """Not one sample differs from nought."""
    damage: str
    tags: Mapping[str, str]


def _read_through(path: Path, limits: Limits) -> _ReadThrough:
    pcm, silent = hashlib.sha256(), True
    with SoundFile(path, limits) as sound:
        for chunk in sound:
            pcm.update(chunk)
            silent = silent and chunk.count(0) == len(chunk)
        return _ReadThrough(sound.seconds, pcm.hexdigest(), silent, sound.damage, sound.tags)


def plain_name(name: str) -> str:
    """A file name that is safe to show: no folders, no control or direction characters."""
    last = name.replace("\\", "/").rsplit("/", 1)[-1]
    last = last.encode("utf-8", "replace").decode("utf-8")
    shown = "".join(c for c in last if unicodedata.category(c) not in ("Cc", "Cf", "Cs", "Co"))
    return shown.strip()[:200] or "unnamed"


def _copy(source: Path, temporary: Path) -> str:
    """Copy and sync; returns the hex SHA-256 of what was written."""
    digest = hashlib.sha256()
    with (
        disk_errors("the copy of the sound", "Your own file is as it was."),
        created(temporary) as fd,
    ):
        with source.open("rb") as file:
            while block := _read(file.read, source):
                digest.update(block)
                write_all(fd, block)
        sync_descriptor(fd)
    return digest.hexdigest()


def _read(read: Callable[[int], bytes], source: Path) -> bytes:
    """The next bytes of ``source``: a recorder that was pulled out is no full disk."""
    try:
        return read(COPY_BYTES)
    except OSError as problem:
        raise UnreadableSound(
            f"{source.name} could not be read to its end: {problem.strerror}.",
            "Plug the recorder in again, then import it once more.",
        ) from problem


def _known(places: Places, pcm_sha256: str, final: Path) -> Path | None:
    """The stored file with this sound, if there is one."""
    if final.is_file():
        return final
    marker = places.sounds / SAME_SOUND / pcm_sha256
    with contextlib.suppress(OSError, UnicodeDecodeError):
        stored = places.sounds / plain_name(marker.read_text(encoding="utf-8"))
        if stored.is_file():
            return stored
    return None


def _remember(places: Places, pcm_sha256: str, final: Path) -> None:
    """Note under the hash of its sound which file holds it."""
    folder = places.sounds / SAME_SOUND
    with disk_errors("the list of known sounds"):
        folder.mkdir(mode=0o700, exist_ok=True)
        write_whole(folder / pcm_sha256, final.name.encode())
