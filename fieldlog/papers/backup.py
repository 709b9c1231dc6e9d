"""A backup: one zip file with database, sounds, settings, learnt voice, and a hash of each.

The database is copied by SQLite itself while others may use it (``VACUUM INTO``, SQLite
documentation). The file is written beside its place, read back and compared hash by hash, and only
then gets its name; a restore reads everything once before it touches anything.
"""

from __future__ import annotations

import hashlib
import json
import lzma
import shutil
import struct
import tempfile
import zipfile
import zlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path, PurePosixPath
from typing import IO, TYPE_CHECKING, Any

from fieldlog.errors import BadImport, DatabaseBusy, InputError
from fieldlog.records.files import move_aside
from fieldlog.records.in_use import open_elsewhere
from fieldlog.sound.keep import make_private, move, sync_descriptor, sync_file

if TYPE_CHECKING:
    from fieldlog.paths import Places
    from fieldlog.records.store import Store

FORMAT = "fieldlog-backup"
VERSION = 1
MANIFEST = "manifest.json"
_DATABASE = "fieldlog.db"
_BLOCK = 1 << 20
_HINT = "Use another backup; this one is damaged or was cut off."

Progress = Callable[[int, int], None]
"""Called with the files done so far and in all."""


@dataclass(frozen=True, slots=True)
class Contents:
    """What a backup holds."""

    made_at: str
    """RFC 3339."""
    files: dict[str, str]
    """Name and hex SHA-256 of each file."""
    counts: dict[str, int]
    """Horses, visits, entries, recordings."""

    @property
    def sounds(self) -> int:
        return sum(name.startswith("sounds/") for name in self.files)


def back_up(
    store: Store, places: Places, target: Path, made_at: datetime, progress: Progress | None = None
) -> Contents:
    """Write everything into the new file ``target``.

    Raises:
        InputError: ``target`` is there already, or its folder is not.
        BadImport: the file does not read back as it was written (a bad disk or stick).
        OSError, NotAllowed: the disk is full or refuses.
    """
    if target.exists():
        raise InputError(f"{target} is there already.", "Choose another name.")
    if not target.parent.is_dir():
        raise InputError(f"There is no folder {target.parent}.", "Make it first.")
    part = target.with_name(f".{target.name}.part")
    with tempfile.TemporaryDirectory(dir=places.data) as scratch:
        copy = Path(scratch) / _DATABASE
        with store.copying() as database:
            database.execute("VACUUM INTO ?", [str(copy)])
        files = [(_DATABASE, copy), *_other_files(places)]
        hashes: dict[str, str] = {}
        try:
            with zipfile.ZipFile(part, "w", allowZip64=True) as archive:
                for number, (name, path) in enumerate(files):
                    hashes[name] = _add(archive, name, path)
                    if progress is not None:
                        progress(number + 1, len(files))
                counts = {
                    table: int((store.one(f"SELECT count(*) AS n FROM {table}") or {"n": 0})["n"])
                    for table in ("horses", "visits", "entries", "recordings")
                }
                manifest = {
                    "format": FORMAT,
                    "version": VERSION,
                    "made_at": made_at.isoformat(timespec="seconds"),
                    "files": hashes,
                    "counts": counts,
                }
                archive.writestr(MANIFEST, json.dumps(manifest, indent=1))
            sync_file(part)
            contents = examine(part)
            make_private(part)
            move(part, target)
        finally:
            part.unlink(missing_ok=True)
    return contents


def _other_files(places: Places) -> Iterator[tuple[str, Path]]:
    for path in sorted(places.sounds.glob("*")):
        # Recordings in progress and half-imported files are no part of the record yet.
        if path.is_file() and not path.name.startswith(".") and path.suffix != ".tmp":
            yield f"sounds/{path.name}", path
    for path in (places.settings, places.personal_rules, places.own_voice):
        if path.is_file():
            yield f"settings/{path.name}", path


def _add(archive: zipfile.ZipFile, name: str, path: Path) -> str:
    # Sound does not shrink; the database and the settings do.
    packed = zipfile.ZIP_STORED if name.startswith("sounds/") else zipfile.ZIP_DEFLATED
    digest = hashlib.sha256()
    info = zipfile.ZipInfo.from_file(path, name, strict_timestamps=False)
    info.compress_type = packed
    with path.open("rb") as source, archive.open(info, "w", force_zip64=True) as sink:
        while block := source.read(_BLOCK):
            digest.update(block)
            sink.write(block)
    return digest.hexdigest()


_UNREADABLE = (
    zipfile.BadZipFile, zlib.error, lzma.LZMAError, struct.error, EOFError, OSError, RuntimeError,
    ValueError, KeyError, OverflowError,
)  # fmt: skip
"""What zipfile lets through when an archive is damaged (found by tests/papers/fuzz_imports.py)."""


def examine(path: Path) -> Contents:
    """Read a backup through and compare every hash.

    Raises:
        BadImport: no backup, or damaged; the sentence names the first wrong file.
    """
    try:
        with zipfile.ZipFile(path) as archive:
            contents = _manifest(archive, path)
            names = [n for n in archive.namelist() if n != MANIFEST]
            if sorted(names) != sorted(contents.files):
                raise BadImport(f"{path.name} has other files than it says.", _HINT)
            for name, wanted in contents.files.items():
                with archive.open(name) as file:
                    if _digest(file) != wanted:
                        raise BadImport(f"In {path.name}, {name} is damaged.", _HINT)
    except FileNotFoundError as problem:
        raise BadImport(f"There is no file {path}.", "Check its name.") from problem
    except BadImport:
        raise
    except _UNREADABLE as problem:
        raise BadImport(f"{path.name} cannot be read as a backup: {problem}.", _HINT) from problem
    return contents


def _manifest(archive: zipfile.ZipFile, path: Path) -> Contents:
    try:
        data: Any = json.loads(archive.read(MANIFEST))
        good = data["format"] == FORMAT and data["version"] == VERSION
        contents = Contents(str(data["made_at"]), dict(data["files"]), dict(data["counts"]))
    except (KeyError, TypeError, ValueError) as problem:
        raise BadImport(f"{path.name} is no backup of fieldlog.", "Choose another file.") from (
            problem
        )
    if not good or _DATABASE not in contents.files:
        raise BadImport(f"{path.name} is no backup that this fieldlog reads.", "Update fieldlog.")
    for name in contents.files:
        parts = PurePosixPath(name).parts
        if name != _DATABASE and (len(parts) != 2 or parts[0] not in ("sounds", "settings")):
            raise BadImport(f"{path.name} holds a file with a wrong name: {name}.", _HINT)
        if ".." in parts or "\\" in name:
            raise BadImport(f"{path.name} holds a file with a wrong name: {name}.", _HINT)
    return contents


def _digest(file: IO[bytes]) -> str:
    digest = hashlib.sha256()
    while block := file.read(_BLOCK):
        digest.update(block)
    return digest.hexdigest()


def restore(path: Path, places: Places, now: datetime, replace: bool = False) -> Contents:
    """Put a backup in place. Close every store first.

    What is there is moved aside, never thrown away: the database gets a name with the time in it.
    Sounds that are there stay; missing ones are added.

    Raises:
        BadImport: the backup is damaged; nothing was touched.
        InputError: there are records already and ``replace`` is false.
        DatabaseBusy: another window has the records open; nothing was touched.
    """
    contents = examine(path)
    database = places.database
    if database.exists() and not replace:
        raise InputError(
            "There are records here already.",
            "Add --replace to move them aside, or restore into another --home.",
        )
    if open_elsewhere(database):
        # Its window would go on writing into the file that was moved aside.
        raise DatabaseBusy(
            "Another window has the records open.", "Close the app or the other command first."
        )
    places.make()
    with tempfile.TemporaryDirectory(dir=places.data) as scratch, zipfile.ZipFile(path) as archive:
        for name in contents.files:
            out = Path(scratch) / name
            out.parent.mkdir(exist_ok=True, mode=0o700)
            with archive.open(name) as source, out.open("wb") as sink:
                shutil.copyfileobj(source, sink, _BLOCK)
                sink.flush()
                sync_descriptor(sink.fileno())
            make_private(out)
        for name in contents.files:
            source_path = Path(scratch) / name
            if name.startswith("sounds/"):
                target = places.sounds / source_path.name
                if not target.exists():
                    source_path.replace(target)
            elif name.startswith("settings/") and not (places.config / source_path.name).exists():
                shutil.move(source_path, places.config / source_path.name)
        move_aside(database, now)
        (Path(scratch) / _DATABASE).replace(database)
    return contents
