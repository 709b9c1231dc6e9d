"""What a kept sound was called and when it was recorded, noted beside it.

A sound is kept under its hash. Its own name, which for many a phone is all that says the day, stood
in the database alone: where that was lost, so was the day.
"""

from __future__ import annotations

import contextlib
import json
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from fieldlog.errors import SoundError
from fieldlog.sound.keep import disk_errors, write_whole

WHENCE = ".whence"
"""Folder beside the sounds."""


@dataclass(frozen=True, slots=True)
class Whence:
    """Where a sound came from."""

    name: str
    """Of the file, as it was brought."""
    started_at: datetime
    """With its time zone."""
    origin: str
    """Where that was found (``sound.when``)."""


def note(sound: Path, came: Whence) -> None:
    """Note it beside a sound, unless it is noted already; a disk that refuses costs no sound."""
    target = _beside(sound)
    if target.exists():
        return
    body = {"name": came.name, "started_at": came.started_at.isoformat(), "from": came.origin}
    with contextlib.suppress(SoundError), disk_errors("the note beside the sound"):
        target.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        write_whole(target, json.dumps(body, ensure_ascii=False).encode())


def noted(sound: Path) -> Whence | None:
    """What is noted beside a sound; None if nothing that can be read is."""
    try:
        body = json.loads(_beside(sound).read_text(encoding="utf-8"))
        started_at = datetime.fromisoformat(body["started_at"])
        known = Whence(str(body["name"]), started_at, str(body["from"]))
    except (OSError, ValueError, KeyError, TypeError):
        return None
    return known if started_at.tzinfo is not None else None


def forget(sound: Path) -> None:
    """Delete what is noted beside a sound.

    Raises:
        OSError: the system refuses.
    """
    _beside(sound).unlink(missing_ok=True)


def _beside(sound: Path) -> Path:
    return sound.parent / WHENCE / f"{sound.name}.json"
