"""Unfinished recordings, all of them: each is rescued, or stays and is told, or held nothing."""

from __future__ import annotations

import os
import time
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest

from fieldlog.errors import DiskFull, UnreadableSound
from fieldlog.paths import Places, places
from fieldlog.sound import recovery
from fieldlog.sound.decode import sound_chunks
from fieldlog.sound.importing import ImportedSound
from fieldlog.sound.recovery import Unfinished, find_unfinished, recover, rescue_all
from fieldlog.sound.writer import PART_SUFFIX, RecordingWriter, wav_head
from tests.sound.sounds import pcm, sweep

START = datetime(2026, 11, 20, 9, 30, 5, tzinfo=timezone(timedelta(hours=-5)))


def cut_off(home: Places, minutes: int = 0, seconds: float = 0.0) -> Path:
    """A recording that began so many minutes after nine thirty and was never finished."""
    writer = RecordingWriter(home, START + timedelta(minutes=minutes))
    writer.write(pcm(sweep(seconds)) if seconds else b"")
    writer.close()
    return writer.path


def aged(path: Path, seconds: float) -> Path:
    os.utime(path, (time.time() - seconds,) * 2)
    return path


def test_where_nothing_was_ever_recorded_there_is_nothing(tmp_path: Path) -> None:
    assert find_unfinished(places(tmp_path / "new")) == []


def test_all_are_rescued_in_the_order_in_which_they_began(home: Places) -> None:
    late, early = cut_off(home, 20, 1.0), cut_off(home, 0, 2.0)
    done = list(rescue_all(home))
    assert [one.unfinished.path for one in done] == [early, late]
    assert [one.told for one in done] == ["", ""]
    assert [one.sound.duration for one in done if one.sound] == [2.0, 1.0]
    assert list(rescue_all(home)) == []


def test_one_that_held_nothing_is_cleared_away_and_told(home: Places) -> None:
    empty = aged(cut_off(home), 61)
    full = cut_off(home, 5, 1.0)
    first, second = rescue_all(home)
    assert (first.sound, empty.exists()) == (None, False)
    assert first.told == "The recording of 2026-11-20 09:30 was cut off before any sound came."
    assert second.unfinished.path == full
    assert second.sound is not None


def test_one_that_may_just_be_beginning_is_left(home: Places) -> None:
    young = cut_off(home)
    (told,) = rescue_all(home)
    assert told.sound is None
    assert "before any sound came" in told.told
    assert young.exists()


def test_one_that_cannot_be_repaired_stays_and_keeps_no_other_back(home: Places) -> None:
    """Its head is damaged, and of another length than ours: no sample may be written over."""
    strange = cut_off(home, 0, 1.0)
    body = strange.read_bytes()
    strange.write_bytes(body[:12] + bytes(100) + b"data" + body[16:])
    before = strange.read_bytes()
    other = cut_off(home, 30, 1.0)
    done = {one.unfinished.path: one for one in rescue_all(home)}
    assert done[strange].sound is None
    assert "Keep the file" in done[strange].told
    assert strange.read_bytes() == before
    assert done[other].sound is not None


def test_a_full_disk_ends_it_with_everything_in_place(
    home: Places, monkeypatch: pytest.MonkeyPatch
) -> None:
    one, other = cut_off(home, 0, 1.0), cut_off(home, 5, 1.0)

    def full(fd: int, data: bytes) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(recovery, "write_all", full)
    with pytest.raises(DiskFull):
        list(rescue_all(home))
    monkeypatch.undo()
    assert one.exists()
    assert other.exists()
    done = [one.sound for one in rescue_all(home)]
    assert all(isinstance(sound, ImportedSound) for sound in done)
    for sound in done:
        assert sound is not None
        assert b"".join(sound_chunks(sound.path)) == pcm(sweep(1.0))


def test_one_that_is_being_recorded_is_not_rescued(home: Places) -> None:
    writer = RecordingWriter(home, START)
    writer.write(pcm(sweep(0.5)))
    told = Unfinished(writer.path, START, "clock", 0.5)
    with pytest.raises(UnreadableSound, match="still being recorded"):
        recover(told, home)
    writer.write(pcm(sweep(0.5)))
    kept = writer.finish()
    assert kept is not None
    assert kept.duration == 1.0


def test_one_without_a_time_in_its_head_ended_when_its_file_was_written(home: Places) -> None:
    head = wav_head(START)
    wiped = head.replace(b"ICRD", b"IXXX")
    path = home.sounds / f"recording-x{PART_SUFFIX}"
    path.write_bytes(wiped + pcm(sweep(2.0)))
    ended = datetime(2026, 11, 20, 12, 0, 0).astimezone()
    os.utime(path, (ended.timestamp(),) * 2)
    (found,) = find_unfinished(home)
    assert found.started_at_from == "file date"
    assert found.started_at == ended - timedelta(seconds=2)
