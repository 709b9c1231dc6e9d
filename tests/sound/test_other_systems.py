"""What Windows and a Mac do otherwise, played on this machine by pieces put in their place."""

from __future__ import annotations

import builtins
import errno
import os
import sys
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from types import SimpleNamespace

import pytest

from fieldlog.paths import Places, places
from fieldlog.sound import keep
from fieldlog.sound.capture import only_silence
from fieldlog.sound.recovery import find_unfinished, rescue_all
from fieldlog.sound.writer import RecordingWriter
from tests.windows import windows_disk

START = datetime(2026, 11, 25, 9, tzinfo=UTC)


@pytest.fixture
def home(tmp_path: Path) -> Places:
    return places(tmp_path).make()


class WindowsLocks:
    """``msvcrt.locking``: one holder for each byte of a file, until its descriptor is closed."""

    LK_NBLCK = 2

    def __init__(self) -> None:
        self.held: dict[tuple[int, int], int] = {}

    def locking(self, fd: int, mode: int, count: int) -> None:
        assert (mode, count) == (self.LK_NBLCK, 1)
        place = os.fstat(fd).st_ino, os.lseek(fd, 0, os.SEEK_CUR)
        holder = self.held.setdefault(place, fd)
        if holder != fd:
            raise PermissionError(errno.EACCES, "Permission denied")

    def let_go(self) -> None:
        """As when the process ends."""
        self.held.clear()


@pytest.fixture
def windows_locks(monkeypatch: pytest.MonkeyPatch) -> WindowsLocks:
    """No ``fcntl``, but ``msvcrt``."""
    locks = WindowsLocks()
    monkeypatch.setitem(sys.modules, "msvcrt", locks)
    plainly: Callable[..., object] = builtins.__import__

    def without_fcntl(name: str, *more: object) -> object:
        if name == "fcntl":
            raise ImportError(name)
        return plainly(name, *more)

    monkeypatch.setattr(builtins, "__import__", without_fcntl)
    return locks


def test_on_windows_a_running_recording_is_not_taken_for_a_cut_off_one(
    home: Places, windows_locks: WindowsLocks
) -> None:
    writer = RecordingWriter(home, START)
    writer.write(bytes(32_000))
    assert find_unfinished(home) == []
    writer.write(bytes(32_000))
    writer.close()
    windows_locks.let_go()
    (one,) = find_unfinished(home)
    assert one.seconds == 2.0
    windows_locks.let_go()
    (rescued,) = rescue_all(home)
    assert rescued.sound is not None
    assert rescued.sound.duration == 2.0
    assert rescued.sound.path.stat().st_size == 64_000 + 108  # header and samples, no hole


def test_on_windows_a_lock_that_cannot_be_had_stops_no_recording(
    home: Places, windows_locks: WindowsLocks, monkeypatch: pytest.MonkeyPatch
) -> None:
    def unknown(*_: object) -> None:
        raise OSError(errno.EINVAL, "not on this disk")

    monkeypatch.setattr(windows_locks, "locking", unknown)
    writer = RecordingWriter(home, START)
    writer.write(bytes(32_000))
    assert writer.finish() is not None


def test_on_windows_a_scanner_that_holds_a_file_is_waited_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Antivirus and indexers open a new file at once; its name cannot change for a moment."""
    tries, really = [0], os.replace

    def held(source: Path, target: Path) -> None:
        tries[0] += 1
        if tries[0] < 4:
            raise PermissionError(errno.EACCES, "The process cannot access the file")
        really(source, target)

    monkeypatch.setattr(os, "replace", held)
    monkeypatch.setattr(keep, "_PAUSES", (0.0,) * 5)
    source = tmp_path / "new"
    source.write_bytes(b"sound")
    with pytest.raises(PermissionError):
        keep.move(source, tmp_path / "kept")  # elsewhere a refusal is one
    monkeypatch.setattr(keep, "_HELD_BRIEFLY", True)
    keep.move(source, tmp_path / "kept")
    assert (tmp_path / "kept").read_bytes() == b"sound"
    assert tries[0] == 4


def test_on_windows_files_are_synced_that_were_opened_to_be_written_and_no_folders(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    windows_disk(monkeypatch)
    file = tmp_path / "kept"
    file.write_bytes(b"sound")
    keep.sync_file(file)
    keep.sync_folder(tmp_path)
    assert file.read_bytes() == b"sound"


def test_a_mac_is_told_to_write_to_the_disk_itself(
    home: Places, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[int] = []
    mac = SimpleNamespace(F_FULLFSYNC=51, fcntl=lambda fd, what: asked.append(what))
    monkeypatch.setattr(keep, "fcntl", mac)
    monkeypatch.setattr(os, "fsync", lambda _: pytest.fail("fsync is not enough"))
    writer = RecordingWriter(home, START)
    writer.write(bytes(32_000))
    writer.close()
    assert set(asked) == {51}
    assert len(asked) >= 3  # at the start, while writing, at the end


def test_a_disk_that_cannot_do_that_is_synced_as_usual(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(*_: object) -> None:
        raise OSError(errno.ENOTSUP, "Operation not supported")

    synced: list[int] = []
    monkeypatch.setattr(keep, "fcntl", SimpleNamespace(F_FULLFSYNC=51, fcntl=refused))
    monkeypatch.setattr(os, "fsync", synced.append)
    (tmp_path / "kept").write_bytes(b"sound")
    keep.sync_file(tmp_path / "kept")
    assert len(synced) == 1


def test_a_stick_that_knows_no_owners_takes_a_private_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(*_: object) -> None:
        raise PermissionError(errno.EPERM, "Operation not permitted")

    monkeypatch.setattr(Path, "chmod", refused)
    from fieldlog.records.files import copy_whole, write_whole

    write_whole(tmp_path / "a", b"words")
    copy_whole(tmp_path / "a", tmp_path / "b")
    assert (tmp_path / "b").read_bytes() == b"words"


@pytest.mark.parametrize(
    ("system", "told"),
    [
        ("darwin", "Privacy & Security, Microphone: allow the terminal"),
        ("win32", "Privacy & security, Microphone: let desktop apps"),
        ("linux", "Only silence came from the microphone: is it switched off?"),
    ],
)
def test_a_microphone_that_may_not_be_heard_is_told_where_to_allow_it(
    home: Places, monkeypatch: pytest.MonkeyPatch, system: str, told: str
) -> None:
    """Both systems hand nothing but noughts to a program that the user has not allowed."""
    with monkeypatch.context() as there:
        there.setattr(sys, "platform", system)
        assert told in only_silence()
    for pcm, silent in ((bytes(64_000), True), (bytes(63_998) + b"\x01\x00", False)):
        writer = RecordingWriter(home, START)
        writer.write(pcm)
        kept = writer.finish()
        assert kept is not None
        assert kept.silent is silent
