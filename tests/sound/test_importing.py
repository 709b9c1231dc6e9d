"""Sound made elsewhere, taken in."""

from __future__ import annotations

import errno
import os
import resource
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest
import soundfile

from fieldlog.config import Settings
from fieldlog.errors import DiskFull, SoundError, UnreadableSound
from fieldlog.intake import take_in
from fieldlog.paths import Places
from fieldlog.records.store import Store
from fieldlog.sound import importing
from fieldlog.sound.importing import import_sound, plain_name, sound_files
from fieldlog.sound.keep import sha256_of
from tests.sound.sounds import sweep, tone, write, write_m4a


def stored(home: Places) -> list[str]:
    return sorted(p.name for p in home.sounds.iterdir() if p.is_file())


def test_a_phone_note(home: Places, tmp_path: Path) -> None:
    source = write_m4a(tmp_path / "Voice 7.m4a", tone(2.0, 44_100), created="2026-11-20T09:30:00Z")
    sound = import_sound(source, home)
    assert sound.started_at == datetime(2026, 11, 20, 9, 30, tzinfo=UTC)
    assert sound.started_at_from == "metadata"
    assert sound.duration == pytest.approx(2.0, abs=0.05)
    assert sound.path == home.sounds / f"{sha256_of(source)}.m4a"
    assert sound.path.read_bytes() == source.read_bytes()
    assert sound.original_name == "Voice 7.m4a"
    assert not sound.already_known
    assert sound.path.stat().st_mode & 0o077 == 0


@pytest.mark.parametrize("note", ["kept", "damaged", "gone"])
def test_the_day_in_a_phones_file_name_outlives_the_database(
    home: Places, tmp_path: Path, note: str
) -> None:
    """Kept under its hash, the file lost the day that its name alone had told."""
    first = import_sound(write(tmp_path / "20261120_093000.wav", tone()), home)
    assert first.started_at_from == "file name"
    (beside,) = (home.sounds / ".whence").iterdir()
    assert beside.stat().st_mode & 0o077 == 0
    if note == "damaged":
        beside.write_text('{"name": 3')
    elif note == "gone":
        beside.unlink()
    again = import_sound(first.path, home)
    assert again.sha256 == first.sha256
    told = (again.original_name, again.started_at, again.started_at_from)
    if note == "kept":
        assert told == ("20261120_093000.wav", first.started_at, "file name")
    else:
        assert told[2] == "file date, perhaps of copying"  # so that it is asked about


def test_the_same_file_twice(home: Places, tmp_path: Path) -> None:
    first = import_sound(write(tmp_path / "a.wav", sweep()), home)
    (tmp_path / "a.wav").rename(tmp_path / "b.wav")
    second = import_sound(tmp_path / "b.wav", home)
    assert second.already_known
    assert (second.path, second.sha256) == (first.path, first.sha256)
    assert stored(home) == [first.path.name]


def test_the_same_sound_with_other_tags_or_packed_otherwise(home: Places, tmp_path: Path) -> None:
    source = write(tmp_path / "a.wav", sweep())
    first = import_sound(source, home)
    samples, rate = soundfile.read(source, dtype="int16")
    flac = import_sound(write(tmp_path / "a.flac", samples, rate), home)
    with soundfile.SoundFile(tmp_path / "t.wav", "w", rate, 1) as tagged:
        tagged.title = "Copper Penny"
        tagged.write(samples)
    retagged = import_sound(tmp_path / "t.wav", home)
    assert flac.already_known
    assert retagged.already_known
    assert flac.sha256 == retagged.sha256 == first.sha256
    assert stored(home) == [first.path.name]


def test_other_sound_is_other(home: Places, tmp_path: Path) -> None:
    import_sound(write(tmp_path / "a.wav", tone()), home)
    assert not import_sound(write(tmp_path / "b.wav", tone(hertz=441)), home).already_known


def test_a_bad_file_leaves_nothing_behind(home: Places, tmp_path: Path) -> None:
    source = tmp_path / "a.flac"
    source.write_bytes(b"fLaC" + bytes(500))
    with pytest.raises(UnreadableSound, match=r"a\.flac"):
        import_sound(source, home)
    assert stored(home) == []


def test_a_recorder_pulled_out_in_the_middle_leaves_nothing_half_copied(
    home: Places, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    source = write(tmp_path / "a.wav", sweep())
    monkeypatch.setattr(importing, "COPY_BYTES", 1_000)
    blocks: list[bytes] = []

    def pulled(fd: int, block: bytes) -> None:
        blocks.append(block)
        if len(blocks) == 3:
            raise OSError(errno.EIO, "Input/output error")

    def read(size: int) -> bytes:
        raise OSError(errno.EIO, "Input/output error")

    with pytest.raises(UnreadableSound, match=r"a\.wav could not be read to its end.*in again"):
        importing._read(read, source)
    monkeypatch.setattr(importing, "write_all", pulled)
    with pytest.raises(SoundError, match="the copy of the sound"):
        import_sound(source, home)
    assert len(blocks) == 3
    assert stored(home) == []
    monkeypatch.undo()
    assert not import_sound(source, home).already_known


@pytest.mark.parametrize("marker", [b"", b"\xff\xfe", b"../../elsewhere.wav", b"gone.wav"])
def test_a_list_of_known_sounds_that_is_wrong_costs_no_sound(
    home: Places, tmp_path: Path, marker: bytes
) -> None:
    write(tmp_path / "elsewhere.wav", sweep())
    source = write(tmp_path / "a.wav", sweep())
    first = import_sound(source, home)
    first.path.unlink()
    (home.sounds / importing.SAME_SOUND / first.pcm_sha256).write_bytes(marker)
    again = import_sound(source, home)
    assert not again.already_known
    assert again.path.read_bytes() == source.read_bytes()
    assert import_sound(source, home).already_known


def test_a_broken_off_copy_is_taken_in_and_told(home: Places, tmp_path: Path) -> None:
    source = write(tmp_path / "a.ogg", sweep(20.0))
    whole = source.read_bytes()
    source.write_bytes(whole[: len(whole) * 2 // 3])
    sound = import_sound(source, home)
    assert 0 < sound.duration < 20
    assert sound.damage == f"it breaks off after {sound.duration:.1f} s"


def test_a_folder_with_good_bad_hidden_linked_and_foreign_files(
    home: Places, tmp_path: Path
) -> None:
    folder = tmp_path / "card"
    (folder / "sub").mkdir(parents=True)
    write(folder / "b.wav", tone(0.5))
    write(folder / "sub/C.FLAC", tone(0.5, hertz=500))
    (folder / "a.wav").write_text("not sound")
    (folder / "empty.mp3").touch()
    (folder / ".hidden.wav").touch()
    (folder / "notes.txt").write_text("hello")
    (folder / "link.wav").symlink_to("/dev/zero")
    os.mkfifo(folder / "pipe.wav")
    assert [p.name for p in sound_files(folder)] == ["a.wav", "b.wav", "empty.mp3", "C.FLAC"]
    with Store.open(home.database) as store:
        results = list(take_in([folder], store, home, Settings(), read=False))
        assert {r.name for r in results if r.error is not None} == {"a.wav", "empty.mp3"}
        assert {r.name for r in results if r.recording is not None} == {"b.wav", "C.FLAC"}
        again = list(take_in([folder], store, home, Settings(), read=False))
    assert all(r.known_before for r in again if r.recording is not None)


def test_a_folder_import_that_was_ended_is_resumed(home: Places, tmp_path: Path) -> None:
    card = tmp_path / "card"
    card.mkdir()
    for n in range(4):
        write(card / f"{n}.wav", tone(0.2, hertz=300 + n * 50))
    for path in sound_files(card)[:2]:
        import_sound(path, home)
    rest = [import_sound(path, home) for path in sound_files(card)]
    assert [r.already_known for r in rest] == [True, True, False, False]


def test_two_windows_importing_the_same_folder(home: Places, tmp_path: Path) -> None:
    card = tmp_path / "card"
    card.mkdir()
    for n in range(12):
        write(card / f"{n}.wav", tone(0.3, hertz=300 + n * 20))
    code = (
        "import sys, pathlib\n"
        "from fieldlog.paths import places\n"
        "from fieldlog.sound.importing import import_sound, sound_files\n"
        "for path in sound_files(pathlib.Path(sys.argv[1])):\n"
        "    print(import_sound(path, places(pathlib.Path(sys.argv[2]))).sha256)\n"
    )
    command = [sys.executable, "-c", code, str(card), str(home.data)]
    both = [subprocess.Popen(command, stdout=subprocess.PIPE, text=True) for _ in range(2)]
    said = [process.communicate()[0].split() for process in both]
    assert [process.returncode for process in both] == [0, 0]
    assert said[0] == said[1]
    assert stored(home) == sorted(f"{digest}.wav" for digest in said[0])


def test_no_such_folder(home: Places, tmp_path: Path) -> None:
    with pytest.raises(UnreadableSound, match="There is no folder"):
        sound_files(tmp_path / "gone")


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("../../etc/passwd.wav", "passwd.wav"),
        ("C:\\temp\\x.wav", "x.wav"),
        ("a\x1b[31mred\x07.wav", "a[31mred.wav"),
        ("right\u202eto\u2066left.wav", "righttoleft.wav"),
        ("line\nbreak.wav", "linebreak.wav"),
        ("\udcff.wav", "?.wav"),
        ("...", "..."),
        ("/", "unnamed"),
        ("x" * 500, "x" * 200),
    ],
)
def test_names_that_play_tricks(name: str, shown: str) -> None:
    assert plain_name(name) == shown


def test_a_full_disk_leaves_no_half_copy(home: Places, tmp_path: Path) -> None:
    """A real limit: RLIMIT_FSIZE in a process of its own."""
    source = write(tmp_path / "a.wav", np.zeros(16_000 * 20, np.float32))

    code = (
        "import sys, pathlib\n"
        "from fieldlog.paths import places\n"
        "from fieldlog.sound.importing import import_sound\n"
        "from fieldlog.errors import DiskFull\n"
        "try: import_sound(pathlib.Path(sys.argv[1]), places(pathlib.Path(sys.argv[2])))\n"
        "except DiskFull as full: print(full); sys.exit(full.exit_code)\n"
    )
    run = subprocess.run(
        [sys.executable, "-c", code, str(source), str(home.data)],
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (100_000, 100_000)),
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode == 1, run.stderr
    assert "The disk is full" in run.stdout
    assert "Your own file is as it was. Free some space" in run.stdout
    assert stored(home) == []
    assert source.exists()


def test_a_full_disk_ends_a_folder_import(
    home: Places, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write(tmp_path / "a.wav", tone(0.2))

    def full(fd: int, data: bytes) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(importing, "write_all", full)
    with Store.open(home.database) as store, pytest.raises(DiskFull):
        list(take_in([tmp_path], store, home, Settings(), read=False))
    assert stored(home) == []
