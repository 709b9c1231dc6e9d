"""Small files on the disk: whole or not at all, private, and told in sentences."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from fieldlog.errors import DiskFull, FieldlogError, NotAllowed, SoundError
from fieldlog.sound import keep
from fieldlog.sound.keep import disk_errors, opened, sync_folder, write_whole


def test_a_small_file_is_private_and_replaces_the_old_one(tmp_path: Path) -> None:
    path = tmp_path / "voice.npz"
    path.write_bytes(b"the old one, which is longer")
    write_whole(path, b"new")
    assert path.read_bytes() == b"new"
    assert path.stat().st_mode & 0o777 == 0o600
    assert [p.name for p in tmp_path.iterdir()] == ["voice.npz"]


@pytest.mark.parametrize("step", ["write_all", "sync_descriptor", "move"])
def test_the_old_one_stays_whichever_step_fails(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    path = tmp_path / "voice.npz"
    path.write_bytes(b"old")

    def fails(*_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(keep, step, fails)
    with pytest.raises(OSError, match="No space"):
        write_whole(path, b"new")
    assert path.read_bytes() == b"old"
    assert [p.name for p in tmp_path.iterdir()] == ["voice.npz"]


def test_it_is_on_the_disk_before_it_has_its_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    done: list[str] = []
    real = {name: getattr(keep, name) for name in ("write_all", "sync_descriptor", "move")}
    for name in real:

        def noted(*given: object, name: str = name) -> None:
            done.append(name)
            real[name](*given)

        monkeypatch.setattr(keep, name, noted)
    write_whole(tmp_path / "a", b"x")
    assert done[:3] == ["write_all", "sync_descriptor", "move"]


def test_a_file_is_closed_whatever_happens_to_it(tmp_path: Path) -> None:
    path = tmp_path / "a"
    path.write_bytes(b"abc")
    with pytest.raises(RuntimeError, match="broken"), opened(path) as fd:
        raise RuntimeError("broken")
    with pytest.raises(OSError, match="file descriptor"):
        os.read(fd, 1)


@pytest.mark.parametrize(
    ("number", "kind", "told"),
    [
        (errno.ENOSPC, DiskFull, "The disk is full: the note could not be written to the end."),
        (errno.EDQUOT, DiskFull, "The disk is full"),
        (errno.EACCES, NotAllowed, "Writing the note is not allowed here"),
        (errno.EROFS, NotAllowed, "Writing the note is not allowed here"),
        (errno.EIO, SoundError, "Writing the note failed"),
    ],
)
def test_what_the_disk_says_is_a_sentence_with_a_remedy(
    number: int, kind: type[FieldlogError], told: str
) -> None:
    with pytest.raises(FieldlogError) as caught, disk_errors("the note"):
        raise OSError(number, "as the system says")
    assert type(caught.value) is kind
    assert told in caught.value.message
    assert caught.value.remedy


def test_a_folder_that_is_gone_is_no_error_to_sync(tmp_path: Path) -> None:
    sync_folder(tmp_path / "gone")
