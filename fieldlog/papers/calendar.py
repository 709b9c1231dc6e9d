"""Follow-up dates as an iCalendar file that any calendar can read (RFC 5545).

Each date is an all-day event with an id that never changes. A later file with a higher sequence
number replaces the event; one with status CANCELLED removes it (RFC 5545 sections 3.8.7.4 and
3.8.1.11). Only whole days are written, so no time zone can shift them.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

from fieldlog import __version__

_FOLD = 75
"""Octets in a line, line break excluded (RFC 5545 section 3.1)."""


@dataclass(frozen=True, slots=True)
class CalendarItem:
    """One dated promise."""

    uid: str
    """The same for ever, e.g. ``<follow-up id>@fieldlog``."""
    day: date
    summary: str
    until: date | None = None
    """Last day, if it may be done over several."""
    description: str = ""
    location: str = ""
    categories: tuple[str, ...] = ()
    sequence: int = 0
    """Goes up by one with every change that a calendar must notice."""
    cancelled: bool = False
    changed: datetime | None = None
    """When it was last changed; with time zone."""


def write_calendar(items: Iterable[CalendarItem], made_at: datetime, name: str = "") -> str:
    """The file's text, with CRLF line ends.

    Args:
        items: in any order; they are written by day.
        made_at: now, with time zone.
        name: shown by calendars that honour it.

    Raises:
        ValueError: two items share an id, a span ends before it starts, or a time has no zone.
    """
    ordered = sorted(items, key=lambda item: (item.day, item.uid))
    uids = [item.uid for item in ordered]
    if len(set(uids)) != len(uids):
        raise ValueError("two calendar items share an id")
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", f"PRODID:-//fieldlog//fieldlog {__version__}//EN"]
    lines += ["CALSCALE:GREGORIAN", "METHOD:PUBLISH"]
    if name:
        lines.append(f"NAME:{escape(name)}")
    for item in ordered:
        lines += _event(item, made_at)
    lines.append("END:VCALENDAR")
    return "".join(f"{fold(line)}\r\n" for line in lines)


def _event(item: CalendarItem, made_at: datetime) -> list[str]:
    last = item.until or item.day
    if last < item.day:
        raise ValueError("a calendar item ends before it starts")
    if not item.uid or any(ord(c) < 32 for c in item.uid):
        raise ValueError("a calendar item needs an id without line breaks")
    lines = [
        "BEGIN:VEVENT",
        f"UID:{escape(item.uid)}",
        f"DTSTAMP:{_utc(made_at)}",
        f"DTSTART;VALUE=DATE:{item.day:%Y%m%d}",
        f"DTEND;VALUE=DATE:{last + timedelta(days=1):%Y%m%d}",
        f"SEQUENCE:{item.sequence}",
        f"STATUS:{'CANCELLED' if item.cancelled else 'CONFIRMED'}",
        "TRANSP:TRANSPARENT",
        f"SUMMARY:{escape(item.summary)}",
    ]
    if item.changed is not None:
        lines.append(f"LAST-MODIFIED:{_utc(item.changed)}")
    if item.description:
        lines.append(f"DESCRIPTION:{escape(item.description)}")
    if item.location:
        lines.append(f"LOCATION:{escape(item.location)}")
    if item.categories:
        lines.append(f"CATEGORIES:{','.join(escape(c) for c in item.categories)}")
    lines.append("END:VEVENT")
    return lines


def _utc(when: datetime) -> str:
    if when.tzinfo is None:
        raise ValueError("calendar times need a time zone")
    return f"{when.astimezone(UTC):%Y%m%dT%H%M%SZ}"


def escape(text: str) -> str:
    """Text as RFC 5545 section 3.3.11 wants it: ``\\\\``, ``\\;``, ``\\,`` and ``\\n``."""
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    text = text.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,")
    text = text.replace("\n", "\\n")
    return "".join(c for c in text if c == "\t" or (ord(c) >= 32 and ord(c) != 127))


def fold(line: str) -> str:
    """A content line broken so that no piece is over 75 octets, never inside a character."""
    pieces: list[str] = []
    piece, size = "", 0
    for char in line:
        octets = len(char.encode("utf-8", "replace"))
        if size + octets > _FOLD:
            pieces.append(piece)
            piece, size = "", 1
        piece += char
        size += octets
    pieces.append(piece)
    return "\r\n ".join(pieces)
