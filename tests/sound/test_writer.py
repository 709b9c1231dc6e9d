"""Recordings on their way to the disk: crashes, full disks, other windows."""

from __future__ import annotations

import errno
import os
import resource
import shutil
import signal
import subprocess
import sys
import time
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest
import soundfile

from fieldlog.errors import DiskFull, UnreadableSound
from fieldlog.paths import Places
from fieldlog.sound import importing
from fieldlog.sound.decode import SoundFile, sound_chunks
from fieldlog.sound.pcm import BYTES_PER_SECOND, in_pieces
from fieldlog.sound.recovery import discard, find_unfinished, recover, tidy
from fieldlog.sound.when import recording_time
from fieldlog.sound.writer import RecordingWriter, patched_head, wav_head
from tests.sound.sounds import pcm, sweep

START = datetime(2026, 11, 20, 9, 30, 5, tzinfo=timezone(timedelta(hours=-5)))


def parts(home: Places) -> list[Path]:
    return sorted(home.sounds.glob("*.part.wav"))


def test_what_goes_in_comes_out(home: Places) -> None:
    writer = RecordingWriter(home, START)
    sound = pcm(sweep(3.0))
    for piece in in_pieces(sound):
        writer.write(piece)
    assert writer.seconds == 3.0
    kept = writer.finish()
    assert kept is not None
    assert b"".join(sound_chunks(kept.path)) == sound
    assert (kept.started_at, kept.started_at_from, kept.duration) == (START, "clock", 3.0)
    assert kept.path.name == f"{kept.sha256}.wav"
    assert kept.path.stat().st_mode & 0o077 == 0
    assert parts(home) == []


def test_the_file_is_a_valid_wav_at_every_moment(home: Places) -> None:
    """libsndfile and FFmpeg, strangers to our writer, read it while it grows."""
    now = [0.0]
    writer = RecordingWriter(home, START, monotonic=lambda: now[0])
    for second in range(1, 4):
        now[0] += 1.01
        writer.write(pcm(sweep(1.0)))
        assert soundfile.info(writer.path).frames == second * 16_000
    with SoundFile(writer.path) as sound:
        assert recording_time(writer.path, sound.tags, 3.0)[0] == START
    writer.close()


def test_header_layout() -> None:
    """RIFF WAVE: Multimedia Programming Interface and Data Specifications 1.0 (1991), chapter 3."""
    head = patched_head(wav_head(START), 10)
    assert head[:4] == b"RIFF"
    assert int.from_bytes(head[4:8], "little") == len(head) - 8 + 10
    assert head[8:16] == b"WAVEfmt "
    assert head[-8:] == b"data" + (10).to_bytes(4, "little")
    assert b"ICRD" in head
    assert len(head) % 2 == 0


def test_nothing_recorded_leaves_nothing(home: Places) -> None:
    assert RecordingWriter(home).finish() is None
    assert list(home.sounds.iterdir()) == []


def test_wrong_use(home: Places) -> None:
    with pytest.raises(ValueError, match="time zone"):
        RecordingWriter(home, datetime(2026, 1, 1))
    writer = RecordingWriter(home)
    with pytest.raises(ValueError, match="even number"):
        writer.write(b"\0")
    writer.write(b"\0\0")
    writer.finish()
    with pytest.raises(ValueError, match="finished"):
        writer.write(b"\0\0")
    with pytest.raises(ValueError, match="finished"):
        writer.finish()


def test_a_stale_header_is_repaired(home: Places) -> None:
    writer = RecordingWriter(home, START, monotonic=lambda: 0.0)  # never syncs again
    writer.write(pcm(sweep(2.0)) + b"\x01\x02")
    whole = writer.path.read_bytes()
    writer.close()
    writer.path.write_bytes(whole + b"\x07")  # and half a sample
    (found,) = find_unfinished(home)
    assert (found.started_at, found.started_at_from) == (START, "clock")
    kept = recover(found, home)
    assert kept.duration == pytest.approx(2.0, abs=0.001)
    assert b"".join(sound_chunks(kept.path)) == pcm(sweep(2.0)) + b"\x01\x02"
    assert find_unfinished(home) == []


def test_a_wiped_header_is_rebuilt(home: Places) -> None:
    writer = RecordingWriter(home, START)
    writer.write(pcm(sweep(1.0)))
    writer.close()
    whole = writer.path.read_bytes()
    writer.path.write_bytes(bytes(64) + whole[64:])
    (found,) = find_unfinished(home)
    assert found.started_at_from == "file date"
    assert b"".join(sound_chunks(recover(found, home).path)) == pcm(sweep(1.0))


def test_an_unfinished_one_without_sound(home: Places) -> None:
    RecordingWriter(home, START).close()
    (found,) = find_unfinished(home)
    with pytest.raises(UnreadableSound, match="before any sound"):
        recover(found, home)
    discard(found)
    assert find_unfinished(home) == []


def test_a_recording_in_progress_is_not_offered(home: Places) -> None:
    writer = RecordingWriter(home)
    writer.write(pcm(sweep(0.5)))
    assert find_unfinished(home) == []
    writer.close()
    assert len(find_unfinished(home)) == 1


def test_old_half_copies_are_tidied_and_fresh_ones_left(home: Places) -> None:
    old, fresh = home.sounds / "import-1.tmp", home.sounds / "import-2.tmp"
    for path in (old, fresh):
        path.touch()
    os.utime(old, (time.time() - 7200,) * 2)
    assert tidy(home) == 1
    assert fresh.exists()


RECORD = """
import sys
from pathlib import Path
from fieldlog.paths import places
from fieldlog.sound.capture import FakeMicrophone
from fieldlog.sound.writer import RecordingWriter
home = places(Path(sys.argv[1]))
microphone = FakeMicrophone(Path(sys.argv[2]), fast=False)
writer = RecordingWriter(home)
microphone.start()
while (piece := microphone.read()) is not None:
    writer.write(piece.pcm)
    print(writer.seconds, flush=True)
"""


@pytest.mark.parametrize("after", [0.7, 1.6, 2.45])
def test_kill_nine_in_the_middle_of_recording(home: Places, tmp_path: Path, after: float) -> None:
    """A real process, a real SIGKILL: all that was acknowledged is there."""
    source = tmp_path / "speech.wav"
    soundfile.write(source, sweep(20.0), 16_000)
    recording = subprocess.Popen(
        [sys.executable, "-c", RECORD, str(home.data), str(source)],
        stdout=subprocess.PIPE,
        text=True,
    )
    assert recording.stdout is not None
    acknowledged = 0.0
    for line in recording.stdout:
        acknowledged = float(line)
        if acknowledged >= after:
            recording.send_signal(signal.SIGKILL)
            break
    acknowledged = max([acknowledged, *map(float, recording.stdout.read().split())])
    assert recording.wait() == -signal.SIGKILL
    (found,) = find_unfinished(home)
    assert found.seconds >= acknowledged
    kept = recover(found, home)
    expected = b"".join(sound_chunks(source))
    assert b"".join(sound_chunks(kept.path)) == expected[: round(kept.duration * BYTES_PER_SECOND)]
    assert datetime.now(UTC) - kept.started_at < timedelta(minutes=2)


FILL = """
import sys
from pathlib import Path
from fieldlog.errors import DiskFull
from fieldlog.paths import places
from fieldlog.sound.writer import RecordingWriter
writer = RecordingWriter(places(Path(sys.argv[1])), reserve=int(sys.argv[2]))
try:
    while True:
        writer.write(b"ab" * 1600)
except DiskFull as full:
    kept = writer.finish()
    print(kept.path, kept.duration)
    print(full, file=sys.stderr)
    sys.exit(full.exit_code)
"""


def test_a_size_limit_in_the_middle_of_recording(home: Places) -> None:
    run = subprocess.run(
        [sys.executable, "-c", FILL, str(home.data), "0"],
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (70_001, 70_001)),
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode == 1, run.stderr
    assert "The disk is full" in run.stderr
    path, duration = run.stdout.rsplit(maxsplit=1)
    sound = b"".join(sound_chunks(Path(path)))
    assert 69_000 < len(sound) <= 70_000
    assert float(duration) == pytest.approx(len(sound) / BYTES_PER_SECOND)


@pytest.fixture
def small_disk(tmp_path: Path) -> Path:
    """A file system of one megabyte, where we may mount one."""
    folder = tmp_path / "small"
    folder.mkdir()
    mount = shutil.which("mount")
    if mount is None or os.geteuid() != 0:
        pytest.skip("only root can mount a small file system")
    command = [mount, "-t", "tmpfs", "-o", "size=1m", "tmpfs", str(folder)]
    if subprocess.run(command, capture_output=True, check=False).returncode:
        pytest.skip("this system does not let us mount a small file system")
    return folder


def test_a_really_full_disk(small_disk: Path) -> None:
    try:
        run = subprocess.run(
            [sys.executable, "-c", FILL, str(small_disk / "home"), "0"],
            capture_output=True,
            text=True,
            check=False,
        )
        assert run.returncode == 1, run.stderr
        path = Path(run.stdout.rsplit(maxsplit=1)[0])
        assert len(b"".join(sound_chunks(path))) > 900_000
    finally:
        subprocess.run(["umount", str(small_disk)], check=False)


def test_a_disk_nearly_full_is_refused_before_recording(
    home: Places, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("fieldlog.sound.writer.free_bytes", lambda folder: 1_000_000)
    with pytest.raises(DiskFull):
        RecordingWriter(home)
    assert list(home.sounds.iterdir()) == []


@pytest.mark.parametrize("number", [errno.EACCES, errno.ENOSPC, errno.EIO])
def test_a_list_of_known_sounds_that_cannot_be_written_costs_no_recording(
    home: Places, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    def fails(path: Path, data: bytes) -> None:
        raise OSError(number, "no")

    monkeypatch.setattr(importing, "write_whole", fails)
    writer = RecordingWriter(home, START)
    writer.write(pcm(sweep(1.0)))
    kept = writer.finish()
    assert kept is not None
    assert b"".join(sound_chunks(kept.path)) == pcm(sweep(1.0))


def test_the_disk_filling_up_is_noticed_early(
    home: Places, monkeypatch: pytest.MonkeyPatch
) -> None:
    free = [16 << 20 | 5 << 20]
    monkeypatch.setattr("fieldlog.sound.writer.free_bytes", lambda folder: free[0])
    now = [0.0]
    writer = RecordingWriter(home, monotonic=lambda: now[0])
    assert writer.nearly_full
    assert writer.seconds_left == pytest.approx((5 << 20) / BYTES_PER_SECOND)
    free[0] = 15 << 20
    now[0] = 2.0
    with pytest.raises(DiskFull, match="nearly full"):
        writer.write(b"\0\0")
    with pytest.raises(DiskFull):
        writer.write(b"\0\0")
    kept = writer.finish()
    assert kept is not None
