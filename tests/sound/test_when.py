"""When a sound was recorded."""

from __future__ import annotations

import os
import struct
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from fieldlog.sound.when import (
    FROM_FILE_DATE,
    FROM_METADATA,
    FROM_METADATA_DAY,
    FROM_NAME,
    broadcast_time,
    name_time,
    parse_tag_time,
    recording_time,
)
from tests.sound.sounds import FMT, riff

NOW = datetime(2026, 11, 25, 12, tzinfo=UTC)


def file(folder: Path, name: str = "a.wav", modified: datetime = NOW) -> Path:
    path = folder / name
    path.touch()
    os.utime(path, (modified.timestamp(), modified.timestamp()))
    return path


def test_metadata_comes_first(tmp_path: Path) -> None:
    path = file(tmp_path, "20261120_101500.m4a")
    tags = {"creation_time": "2026-11-20T09:30:00.000000Z"}
    when, source = recording_time(path, tags, 10.0, NOW)
    assert (when, source) == (datetime(2026, 11, 20, 9, 30, tzinfo=UTC), FROM_METADATA)


@pytest.fixture
def new_york(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("TZ", "America/New_York")
    time.tzset()
    yield
    monkeypatch.undo()
    time.tzset()


@pytest.mark.parametrize(
    ("tag", "wall"),
    [
        ("2026-11-20T00:15:00.000000Z", "2026-11-19T19:15:00-05:00"),  # a phone's UTC
        ("2026-07-20T23:15:00Z", "2026-07-20T19:15:00-04:00"),  # in summer time
        ("2026-11-01T05:30:00Z", "2026-11-01T01:30:00-04:00"),  # the hour that comes twice: first
        ("2026-11-01T06:30:00Z", "2026-11-01T01:30:00-05:00"),  # and again
        ("2026-11-19T19:15:00-0700", "2026-11-19T19:15:00-07:00"),  # where it was spoken
        ("2026-11-19 19:15:00", "2026-11-19T19:15:00-05:00"),
    ],
)
def test_the_evening_of_a_phone_is_of_that_day(
    tmp_path: Path, new_york: None, tag: str, wall: str
) -> None:
    """ISO/IEC 14496-12, 8.2.2.3: creation_time is in UTC; zones: IANA tz, America/New_York."""
    when, source = recording_time(file(tmp_path), {"creation_time": tag}, 10.0, NOW)
    assert (when.isoformat(), source) == (wall, FROM_METADATA)


def test_name_comes_second(tmp_path: Path) -> None:
    when, source = recording_time(file(tmp_path, "REC 2026-11-20 10-15-07.mp3"), {}, 10.0, NOW)
    assert when == datetime(2026, 11, 20, 10, 15, 7).astimezone()
    assert source == FROM_NAME


def test_file_date_is_the_end_of_the_recording(tmp_path: Path) -> None:
    when, source = recording_time(file(tmp_path), {}, 90.0, NOW)
    assert (when, source) == (NOW - timedelta(seconds=90), FROM_FILE_DATE)
    assert when.tzinfo is not None


@pytest.mark.parametrize(
    "stamp", ["1904-01-01T00:00:00Z", "1970-01-01T00:00:00Z", "2999-01-01T00:00:00Z", "yesterday"]
)
def test_a_clock_that_was_never_set_is_not_believed(tmp_path: Path, stamp: str) -> None:
    assert recording_time(file(tmp_path), {"creation_time": stamp}, 0, NOW)[1] == FROM_FILE_DATE


def test_a_bare_day_takes_its_hour_from_the_file_of_that_day(tmp_path: Path) -> None:
    day = NOW.astimezone().date().isoformat()
    assert recording_time(file(tmp_path), {"date": day}, 0, NOW)[1] == FROM_FILE_DATE
    when, source = recording_time(file(tmp_path), {"date": "2026-10-01"}, 0, NOW)
    assert (when.date().isoformat(), source) == ("2026-10-01", FROM_METADATA_DAY)


def test_broadcast_wave(tmp_path: Path) -> None:
    """Field offsets of the bext chunk: EBU Tech 3285 version 2 (2011), section 2.3: Description
    256, Originator 32, OriginatorReference 32, OriginationDate 10, OriginationTime 8 bytes."""
    bext = bytes(320) + b"2026-11-20" + b"09:31:07" + bytes(264)
    path = tmp_path / "a.wav"
    path.write_bytes(riff((b"bext", bext), (b"fmt ", FMT), (b"data", b"\0\0")))
    assert broadcast_time(path) == datetime(2026, 11, 20, 9, 31, 7).astimezone()
    assert recording_time(path, {}, 1, NOW)[1] == FROM_METADATA


@pytest.mark.parametrize("date", [b"2026-13-20", b"0000-00-00", bytes(10)])
def test_nonsense_in_broadcast_wave(tmp_path: Path, date: bytes) -> None:
    path = tmp_path / "a.wav"
    path.write_bytes(riff((b"bext", bytes(320) + date + b"09:31:07" + bytes(264))))
    assert broadcast_time(path) is None


def test_a_chunk_that_claims_four_gigabytes(tmp_path: Path) -> None:
    path = tmp_path / "a.wav"
    path.write_bytes(b"RIFF" + bytes(4) + b"WAVE" + b"junk" + struct.pack("<I", 0xFFFFFFFF))
    assert broadcast_time(path) is None


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("20261124_093012.m4a", (2026, 11, 24, 9, 30, 12)),
        ("n01-20261125-075200.opus", (2026, 11, 25, 7, 52, 0)),
        ("2026-11-24 09.30.wav", (2026, 11, 24, 9, 30, 0)),
        ("note 12.wav", None),
        ("20269924_093012.m4a", None),
        ("120261124093012.m4a", None),
    ],
)
def test_times_in_names(name: str, expected: tuple[int, ...] | None) -> None:
    found = name_time(name)
    wanted = datetime(*expected).astimezone() if expected else None  # type: ignore[arg-type]
    assert found == wanted


@pytest.mark.parametrize(
    ("text", "has_time"),
    [
        ("2026-11-20T09:30:00Z", True),
        ("2026-11-20T09:30:00+01:00", True),
        ("2026-11-20 09:30:00", True),
        ("2026-11-20", False),
        ("2026-11-20 soon", False),
    ],
)
def test_tag_times(text: str, has_time: bool) -> None:
    when, timed = parse_tag_time(text)
    assert when is not None
    assert when.tzinfo is not None
    assert timed is has_time


@pytest.mark.parametrize(
    "text", ["", "2026", "2026-99-99", "0000-01-01", "9999-12-31T23:59:59-23:59"]
)
def test_tags_that_are_no_time(text: str) -> None:
    when, _ = parse_tag_time(text)
    assert when is None or when.year == 9999
