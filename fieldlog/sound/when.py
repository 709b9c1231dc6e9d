"""When a sound file was recorded: from its metadata, else its name, else the file's own date.

The answer always says where it came from, and a clock that was plainly wrong is not believed.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from pathlib import Path

from fieldlog.sound.riff import chunks

FROM_METADATA = "metadata"
FROM_METADATA_DAY = "metadata, day only"
FROM_NAME = "file name"
FROM_FILE_DATE = "file date"
FROM_COPYING = "file date, perhaps of copying"
"""A file date from just before the file was taken in, when it may have been copied only."""
FROM_CLOCK = "clock"
"""Recorded by fieldlog itself."""

JUST_BEFORE = timedelta(hours=1)
"""A file with no date but its own, which ended less than this before it was taken in, may have been
copied just then."""

EARLIEST = datetime(2000, 1, 1, tzinfo=UTC)
"""Dates before this come from recorders whose clock was never set (1904, 1970, 1980...)."""

_TAG_KEYS = ("creation_time", "com.apple.quicktime.creationdate", "date", "tdrc", "icrd")

_NAME_TIME = re.compile(
    r"(?<!\d)(20\d\d)[-_. ]?(\d\d)[-_. ]?(\d\d)[-_. T]{0,3}"
    r"(\d\d)[-_.:h ]?(\d\d)(?:[-_.:m ]?(\d\d))?(?!\d)"
)


def recording_time(
    path: Path, tags: Mapping[str, str], duration: float, now: datetime | None = None
) -> tuple[datetime, str]:
    """Start of the recording as an aware time, and where it was found.

    Args:
        path: the file; its name and date are the second and third choice.
        tags: its metadata, keys in lower case.
        duration: seconds of sound; a file's own date is its end, so the length is taken off.
        now: the present, for tests; times more than a day ahead of it are not believed.
    """
    limit = (now or datetime.now(UTC)) + timedelta(days=1)

    def believable(when: datetime | None) -> bool:
        return when is not None and EARLIEST <= when <= limit

    file_date = _file_date(path, duration)
    broadcast = broadcast_time(path)
    if broadcast is not None and believable(broadcast):
        return broadcast, FROM_METADATA
    for key in _TAG_KEYS:
        when, has_time = parse_tag_time(tags.get(key, ""))
        if when is None or not believable(when):
            continue
        if has_time:
            return on_the_wall(when), FROM_METADATA
        named = name_time(path.name)
        for closer, source in ((named, FROM_NAME), (file_date, FROM_FILE_DATE)):
            if closer is not None and closer.date() == when.date():
                return closer, source
        return when.replace(hour=12), FROM_METADATA_DAY
    named = name_time(path.name)
    if named is not None and believable(named):
        return named, FROM_NAME
    return file_date, FROM_FILE_DATE


def of_copying(origin: str, ended: datetime, taken_in: datetime) -> str:
    """``origin``, or ``FROM_COPYING`` if a file's own date may only be that of its copying."""
    copied = origin == FROM_FILE_DATE and taken_in - ended < JUST_BEFORE
    return FROM_COPYING if copied else origin


def on_the_wall(when: datetime) -> datetime:
    """A time in UTC as the clock on the wall had it; one with another offset has it already.

    Phones write UTC (ISO/IEC 14496-12, 8.2.2: creation_time is "in UTC time"): a note of a
    quarter past seven on a New York evening was filed under the next day.
    """
    return when if when.utcoffset() else when.astimezone()


def parse_tag_time(text: str) -> tuple[datetime | None, bool]:
    """An ISO 8601 date or date-time from metadata; naive times are local.

    Returns:
        The aware time (midnight for a bare day) and whether a time of day was given.
    """
    text = text.strip().strip("\x00")
    match = re.match(r"(\d{4})-(\d\d)-(\d\d)", text)
    if not match:
        return None, False
    try:
        when = datetime.fromisoformat(text)
    except ValueError:
        try:
            when = datetime.fromisoformat(match.group(0))
        except ValueError:
            return None, False
        text = match.group(0)
    try:
        return (when if when.tzinfo else when.astimezone()), len(text) > 10
    except (OverflowError, OSError, ValueError):
        return None, False


def name_time(name: str) -> datetime | None:
    """A local date and time in a file name, e.g. ``20261124_093012.m4a``."""
    match = _NAME_TIME.search(name)
    if not match:
        return None
    year, month, day, hour, minute, second = (int(g or 0) for g in match.groups())
    try:
        return datetime(year, month, day, hour, minute, second).astimezone()
    except (ValueError, OverflowError, OSError):
        return None


def broadcast_time(path: Path) -> datetime | None:
    """Origination date and time of a Broadcast Wave ``bext`` chunk (EBU Tech 3285), local time."""
    try:
        with path.open("rb") as file:
            found = any(name == b"bext" for name, _ in chunks(file))
            return _parse_bext(file.read(338)) if found else None
    except (OSError, ValueError):
        return None


def _parse_bext(body: bytes) -> datetime | None:
    """Description 256, Originator 32, OriginatorReference 32, then date 10 and time 8 bytes."""
    day = re.fullmatch(rb"(\d{4})[-_:/. ](\d\d)[-_:/. ](\d\d)", body[320:330])
    time = re.fullmatch(rb"(\d\d)[-_:/. ](\d\d)[-_:/. ](\d\d)", body[330:338])
    if not day or not time:
        return None
    try:
        return datetime(*(int(g) for g in (*day.groups(), *time.groups()))).astimezone()  # type: ignore[arg-type]
    except (ValueError, OverflowError, OSError):
        return None


def _file_date(path: Path, duration: float) -> datetime:
    try:
        end = datetime.fromtimestamp(path.stat().st_mtime, UTC)
        return (end - timedelta(seconds=duration)).astimezone()
    except (OSError, OverflowError, ValueError):
        return datetime.now(UTC).astimezone()
