"""Recordings whose day is perhaps only that of a file's copying."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from fieldlog.sound.when import FROM_COPYING, of_copying

if TYPE_CHECKING:
    from fieldlog.records.types import Recording


def dated_by_copying(recording: Recording) -> bool:
    """Whether the time of a recording is perhaps only that of its copying.

    It had no date but its file's own, and ended shortly before it was taken in. That is noted when
    it is taken in, so that it is known after a restore too. Earlier versions did not note it: of
    what they took in, the date of the file that fieldlog keeps tells when that was, as long as no
    backup was put back.
    """
    ended = recording.started_at + timedelta(seconds=recording.duration)
    origin = of_copying(recording.started_at_from, ended, _taken_in(recording))
    return origin == FROM_COPYING


def _taken_in(recording: Recording) -> datetime:
    """Now, where no file is kept."""
    try:
        kept = recording.path.stat().st_mtime if recording.path is not None else None
    except OSError:
        kept = None
    now = datetime.now().astimezone()
    return now if kept is None else datetime.fromtimestamp(kept, now.tzinfo)
