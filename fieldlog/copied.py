"""Recordings whose day is perhaps only that of the file's copying."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from fieldlog.sound.when import FROM_FILE_DATE

if TYPE_CHECKING:
    from fieldlog.records.types import Recording

JUST_BEFORE = timedelta(hours=1)
"""A file with no date but its own, which ended less than this before it was taken in, may have been
copied just then."""


def dated_by_copying(recording: Recording) -> bool:
    """Whether the time of a recording is perhaps only that of its copying.

    It has no date but its file's own, and ended shortly before it was taken in; that time is the
    date of the file that fieldlog keeps, whenever it is read.
    """
    if recording.started_at_from != FROM_FILE_DATE:
        return False
    ended = recording.started_at + timedelta(seconds=recording.duration)
    return _taken_in(recording) - ended < JUST_BEFORE


def _taken_in(recording: Recording) -> datetime:
    """Now, where no file is kept."""
    try:
        kept = recording.path.stat().st_mtime if recording.path is not None else None
    except OSError:
        kept = None
    now = datetime.now().astimezone()
    return now if kept is None else datetime.fromtimestamp(kept, now.tzinfo)
