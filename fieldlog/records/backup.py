"""Rolling backups in a folder or on a stick: many days of records, each sound only once.

Layout::

    stick/
      sounds/<sha256>.wav             every sound once, whatever number of backups name it
      fieldlog-20261125-180000/
        fieldlog.db                   copied by SQLite while others use it (its backup API)
        settings/...
        manifest.json                 hashes of all of it
      key.pub, key.age                only if encrypted; then files end in .age

A backup gets its name when it is written, read back and checked. One that is cut off leaves only a
hidden folder, and the sounds it got are taken up by the next. ``papers/backup.py`` makes the other
kind: one file to send or to put away.
"""

from __future__ import annotations

import contextlib
import json
import shutil
import sqlite3
import tempfile
from collections.abc import Callable, Sequence
from contextlib import closing
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from fieldlog.errors import BadImport, DatabaseBusy, DatabaseDamaged, InputError
from fieldlog.records import sealing
from fieldlog.records.emptied import log_left, log_of
from fieldlog.records.files import copy_whole, digest, move_aside, write_whole
from fieldlog.records.in_use import open_elsewhere
from fieldlog.records.store import Store
from fieldlog.records.types import Recording
from fieldlog.sound.keep import make_private, move, sync_file, sync_folder

FORMAT = "fieldlog-rolling-backup"
VERSION = 1
MANIFEST = "manifest.json"
DATABASE = "fieldlog.db"
KEEP = 10
"""Backups that stay when a new one is made."""
_HEX = frozenset("0123456789abcdef")
_OTHER = "Use another backup of this folder."


@dataclass(frozen=True, slots=True)
class Contents:
    """What one backup holds."""

    made_at: str
    """RFC 3339."""
    files: dict[str, str]
    """Name inside the backup, and hex SHA-256 of the file as it lies there."""
    sounds: dict[str, str]
    """Name below ``sounds``, and hex SHA-256 as it lies there."""
    missing: tuple[str, ...]
    """Sounds that were gone already when the backup was made."""
    links: int
    """Saved revisions in the chain."""


def backups(folder: Path) -> list[Path]:
    """The finished backups of a folder, the oldest first."""
    return sorted(p for p in folder.glob("fieldlog-*") if (p / MANIFEST).is_file())


def back_up(
    store: Store,
    folder: Path,
    made_at: datetime,
    *,
    keep: int = KEEP,
    settings: Sequence[Path] = (),
    passphrase: str = "",
    progress: Callable[[int, int], None] | None = None,
) -> Path:
    """Add a backup to ``folder`` while the store is in use; the oldest beyond ``keep`` go.

    Args:
        store: the open store.
        folder: made if it is not there; its parent must be.
        made_at: the time in its name.
        keep: how many backups stay, at least 1.
        settings: further files to take along.
        passphrase: encrypt; needed for the first backup only, later ones use the folder's key.
        progress: called with the sounds done so far and in all.

    Raises:
        InputError: there is no such place, or a backup of that second is there.
        DatabaseDamaged: the records are damaged; older backups stay as they are.
        BadImport: the copy does not read back as it was written (a bad disk or stick).
        OSError, NotAllowed: the disk is full or refuses; older backups stay.
    """
    if keep < 1:
        raise ValueError("at least one backup stays")
    target = folder / f"fieldlog-{made_at:%Y%m%d-%H%M%S}"
    _make_ready(folder, target, passphrase)
    part = Path(tempfile.mkdtemp(prefix=".part-", dir=folder))
    try:
        links, files = _put_files(store, part, folder, settings)
        sounds, missing = _put_sounds(store, folder, progress)
        contents = Contents(made_at.isoformat(timespec="seconds"), files, sounds, missing, links)
        _finish(part, target, contents)
    finally:
        shutil.rmtree(part, ignore_errors=True)
    _rotate(folder, keep)
    return target


def _make_ready(folder: Path, target: Path, passphrase: str) -> None:
    """The folder and, if it is to be encrypted, its key; refuses before anything is written."""
    if not folder.parent.is_dir():
        raise InputError(f"There is no folder {folder.parent}.", "Is the stick plugged in?")
    if target.exists():
        raise InputError(f"{target.name} is there already.", "Wait a second and try again.")
    (folder / "sounds").mkdir(parents=True, exist_ok=True, mode=0o700)
    if passphrase and not sealing.is_sealed(folder) and backups(folder):
        raise InputError(
            f"{folder} holds backups that are not encrypted.", "Choose another folder."
        )
    if passphrase:
        sealing.make_key(folder, passphrase)


def _put_files(
    store: Store, part: Path, folder: Path, settings: Sequence[Path]
) -> tuple[int, dict[str, str]]:
    """Store database and settings: links of the saved chain, and every file's stored hash."""
    files: dict[str, str] = {}
    with tempfile.TemporaryDirectory(dir=store.path.parent, prefix=".backup-") as scratch:
        copy = Path(scratch) / DATABASE
        links = _copy_database(store, copy)
        for source, name in [(copy, DATABASE), *((s, f"settings/{s.name}") for s in settings)]:
            if source.is_file():
                stored = _put(source, part / name, folder)
                files[str(stored.relative_to(part).as_posix())] = digest(stored)
    return links, files


def _finish(part: Path, target: Path, contents: Contents) -> None:
    """List what the backup holds, read it back, and only then give it its name."""
    text = json.dumps({"format": FORMAT, "version": VERSION, **asdict(contents)}, indent=1)
    write_whole(part / MANIFEST, text.encode())
    _check(part, contents, sounds_too=False)
    sync_folder(part)
    move(part, target)
    sync_folder(target.parent)


def examine(backup: Path) -> Contents:
    """Read a backup through and compare every hash; needs no passphrase.

    Raises:
        BadImport: no backup, or damaged; the sentence names the first wrong file.
    """
    contents = contents_of(backup)
    _check(backup, contents, sounds_too=True)
    return contents


def restore(
    backup: Path,
    database: Path,
    *,
    passphrase: str = "",
    settings: Path | None = None,
    replace_at: datetime | None = None,
) -> Contents:
    """Put a backup where no records are; sounds go into ``sounds`` beside the database.

    Everything is read and compared first, and compared again in its new place before the database
    gets its name.

    Args:
        backup: one ``fieldlog-...`` folder.
        database: the file to make.
        passphrase: needed if the backup is encrypted.
        settings: folder for the settings files; those that are there stay.
        replace_at: the present time, to move records that are there aside under a name with it.

    Raises:
        InputError: there are records already, or the passphrase is wrong.
        DatabaseBusy: another window has the records open; nothing was touched.
        BadImport: the backup is damaged; nothing was touched.
    """
    # SQLite would work the log of other records into those that are put here.
    if replace_at is None and (database.exists() or log_left(database)):
        raise _records_there(database)
    if open_elsewhere(database):
        raise DatabaseBusy(
            "Another window has the records open.", "Close the app or the other command first."
        )
    contents = examine(backup)
    sealed = sealing.is_sealed(backup.parent)
    key = sealing.open_key(backup.parent, passphrase) if sealed else None
    home = database.parent
    home.mkdir(parents=True, exist_ok=True, mode=0o700)
    with tempfile.TemporaryDirectory(dir=home, prefix=".restore-") as name:
        scratch = Path(name)
        _take_sounds(backup.parent / "sounds", scratch / "sounds", contents, key)
        copy = _take(backup / _stored_name(DATABASE, contents), scratch, key)
        _prove(copy, scratch / "sounds", contents, backup.name)
        (home / "sounds").mkdir(exist_ok=True, mode=0o700)
        for path in (scratch / "sounds").iterdir():
            path.replace(home / "sounds" / path.name)
        if settings is not None:
            _take_settings(backup, settings, scratch, contents, key)
        if replace_at is not None:
            move_aside(database, replace_at)
        copy.replace(database)
    return contents


def _records_there(database: Path) -> InputError:
    there = database if database.exists() else log_of(database)
    return InputError(
        f"There are records at {there}, so nothing was restored.",
        f"To put the backup in their place, add --replace: {database.name} stays beside it under"
        " another name. To look at the backup only, add --home EMPTY_FOLDER after fieldlog.",
    )


def _take_sounds(source: Path, folder: Path, contents: Contents, key: Any) -> None:
    """Bring all sounds into a new folder; each must still have the hash that is its name."""
    folder.mkdir()
    for stored in contents.sounds:
        clear = _take(source / stored, folder, key)
        if digest(clear) != clear.name.split(".")[0]:
            raise BadImport(f"The sound {stored} is not what it was.", _OTHER)


def _prove(database: Path, sounds: Path, contents: Contents, name: str) -> None:
    """Point the restored records at their sounds, and check that they are whole."""
    with Store.open(database) as restored:
        for recording in restored.recordings():
            # A sound that lay elsewhere now lies with the others.
            found = next(sounds.glob(f"{recording.sha256}*"), None)
            if found is not None:
                restored.move_sound(recording.id, f"sounds/{found.name}")
        chain = restored.verify_chain()
        wrong = restored.integrity()
    if wrong or not chain.ok or chain.links != contents.links:
        what = (*wrong, chain.first_broken, "links are missing")[0]
        raise BadImport(f"The records in {name} are damaged ({what}).", _OTHER)


def _take_settings(
    backup: Path, settings: Path, scratch: Path, contents: Contents, key: Any
) -> None:
    """Bring the settings files back; those that are there already stay."""
    for stored in contents.files:
        if stored.startswith("settings/"):
            clear = _take(backup / stored, scratch, key)
            settings.mkdir(parents=True, exist_ok=True, mode=0o700)
            if not (settings / clear.name).exists():
                copy_whole(clear, settings / clear.name)


def _copy_database(store: Store, copy: Path) -> int:
    """Copy the live database, check the copy, and count its chain."""
    with store.copying() as database, closing(sqlite3.connect(copy)) as target:
        database.backup(target)
    with Store.open(copy) as copied:
        wrong = copied.integrity()
        chain = copied.verify_chain()
    if wrong or not chain.ok:
        raise DatabaseDamaged(
            f"The records are damaged ({(*wrong, chain.first_broken)[0]}), so no backup was made.",
            "Older backups are kept as they are; restore one of them.",
        )
    return chain.links


def _put(source: Path, target: Path, folder: Path) -> Path:
    """Store one file, encrypted if the folder is; returns where."""
    target.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    if not sealing.is_sealed(folder):
        copy_whole(source, target)
        return target
    sealed = target.with_name(f"{target.name}.age")
    part = target.with_name(f".{target.name}.part")
    try:
        sealing.seal_file(source, part, folder)
        make_private(part)
        sync_file(part)
        move(part, sealed)
    finally:
        part.unlink(missing_ok=True)
    return sealed


def _put_sounds(
    store: Store, folder: Path, progress: Callable[[int, int], None] | None
) -> tuple[dict[str, str], tuple[str, ...]]:
    """Store the sounds that are not there yet; every sound's stored hash, and what is missing."""
    known: dict[str, str] = {}
    for old in backups(folder):
        with contextlib.suppress(BadImport):  # A damaged old backup must not stop new ones.
            known |= contents_of(old).sounds
    sounds: dict[str, str] = {}
    missing: list[str] = []
    recordings = [r for r in store.recordings() if r.path is not None]
    for number, recording in enumerate(recordings, 1):
        put = _put_sound(recording, folder, known)
        if put is None:
            missing.append(recording.sha256)
        else:
            sounds[put[0]] = put[1]
        if progress is not None:
            progress(number, len(recordings))
    return sounds, tuple(missing)


def _put_sound(recording: Recording, folder: Path, known: dict[str, str]) -> tuple[str, str] | None:
    """Store one sound if it is not there whole: its stored name and hash, none if it is gone."""
    if recording.path is None or not recording.path.is_file():
        return None
    name = f"{recording.sha256}{recording.path.suffix}"
    is_sealed = sealing.is_sealed(folder)
    there = folder / "sounds" / (f"{name}.age" if is_sealed else name)
    # What lies there already is read again: sticks forget, and this copy may be needed.
    wanted = known.get(there.name, "") if is_sealed else recording.sha256
    stored = digest(there) if there.exists() else ""
    if not stored or (wanted and stored != wanted):
        if digest(recording.path) != recording.sha256:
            return None
        stored = digest(_put(recording.path, folder / "sounds" / name, folder))
    return there.name, stored


def _take(stored: Path, folder: Path, key: Any) -> Path:
    """Bring one file back in the clear; returns where."""
    target = folder / stored.name.removesuffix(".age")
    if key is None:
        copy_whole(stored, target)
    else:
        sealing.unseal_file(stored, target, key)
        make_private(target)
        sync_file(target)
    return target


def _stored_name(name: str, contents: Contents) -> str:
    return name if name in contents.files else f"{name}.age"


def contents_of(backup: Path) -> Contents:
    """What a backup says it holds; ``examine`` compares.

    Raises:
        BadImport: this is no backup, or its list is damaged.
    """
    try:
        data: Any = json.loads((backup / MANIFEST).read_text(encoding="utf-8"))
        if data.pop("format") != FORMAT or data.pop("version") != VERSION:
            raise BadImport(f"{backup} is no backup that this fieldlog reads.", "Update fieldlog.")
        contents = Contents(**{**data, "missing": tuple(data["missing"])})
        names = [*contents.files, *contents.sounds]
    except (OSError, ValueError, KeyError, TypeError, AttributeError) as problem:
        raise BadImport(f"{backup} is no backup of fieldlog.", "Choose another.") from problem
    for name in names:
        if name.startswith(("/", ".")) or ".." in name or "\\" in name or name.count("/") > 1:
            raise BadImport(f"{backup.name} holds a file with a wrong name: {name!r}.", _OTHER)
    if not all(set(n.split(".")[0]) <= _HEX and "/" not in n for n in contents.sounds):
        raise BadImport(f"{backup.name} holds a sound with a wrong name.", _OTHER)
    if _stored_name(DATABASE, contents) not in contents.files:
        raise BadImport(f"{backup.name} holds no records.", _OTHER)
    return contents


def _check(backup: Path, contents: Contents, *, sounds_too: bool) -> None:
    wanted = {backup / name: value for name, value in contents.files.items()}
    if sounds_too:
        sounds = backup.parent / "sounds"
        wanted |= {sounds / name: value for name, value in contents.sounds.items()}
    for path, value in wanted.items():
        if not path.is_file():
            raise BadImport(f"In {backup.name}, {path.name} is missing.", _OTHER)
        if digest(path) != value:
            raise BadImport(f"In {backup.name}, {path.name} is damaged.", _OTHER)


def _rotate(folder: Path, keep: int) -> None:
    """Let the oldest backups go, then the sounds that no backup names any more."""
    old = backups(folder)[:-keep]
    for backup in old:
        # The manifest first: a backup that is half gone no longer counts as one.
        (backup / MANIFEST).unlink()
        shutil.rmtree(backup, ignore_errors=True)
    if not old:
        return
    try:
        named = {name for backup in backups(folder) for name in contents_of(backup).sounds}
    except BadImport:
        return  # One that stays cannot be read: no sound is surely unneeded.
    for path in (folder / "sounds").iterdir():
        if path.name not in named:
            path.unlink()
