"""Sound files of every kind, and files that are not what they claim."""

from __future__ import annotations

import os
import struct
import tracemalloc
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from fieldlog.errors import UnreadableSound
from fieldlog.sound.decode import Limits, SoundFile, sound_chunks, sound_span
from fieldlog.sound.formats import sniff
from fieldlog.sound.ogg_end import lacks_end
from fieldlog.sound.pcm import level_of, seconds_of
from fieldlog.sound.riff import MOST_CHUNKS, chunks
from fieldlog.sound.wav_length import said_seconds
from tests.sound.sounds import FMT, Samples, pcm, riff, sweep, tone, write, write_m4a


def read(path: Path) -> bytes:
    return b"".join(sound_chunks(path))


@pytest.mark.parametrize("rate", [8_000, 16_000, 22_050, 44_100, 48_000])
@pytest.mark.parametrize("suffix", [".wav", ".flac", ".ogg", ".opus", ".mp3", ".m4a"])
def test_every_kind_at_every_rate(tmp_path: Path, suffix: str, rate: int) -> None:
    if suffix == ".opus" and rate in (22_050, 44_100):
        pytest.skip("Opus has no such rate (RFC 6716, 2)")
    path = tmp_path / f"note{suffix}"
    if suffix == ".m4a":
        write_m4a(path, tone(1.5, rate), rate)
    else:
        write(path, np.stack([tone(1.5, rate)] * 2, axis=1), rate)
    sound = read(path)
    padding = 2_048 / rate if suffix == ".m4a" else 0.02  # AAC comes in frames of 1,024 samples
    assert seconds_of(sound) == pytest.approx(1.5, abs=padding)
    assert level_of(sound[6_400:-6_400]).rms == pytest.approx(-9.03, abs=0.5)
    spectrum = np.abs(np.fft.rfft(np.frombuffer(sound, "<i2")[4_000:20_000]))
    assert np.argmax(spectrum) == pytest.approx(440, abs=2)


def test_16_khz_mono_comes_through_bit_for_bit(tmp_path: Path) -> None:
    samples = np.frombuffer(pcm(sweep()), "<i2")
    assert read(write(tmp_path / "a.wav", samples)) == samples.tobytes()
    assert read(write(tmp_path / "a.flac", samples)) == samples.tobytes()


def test_block_reads_lose_nothing_of_an_mp3(tmp_path: Path) -> None:
    """Once lost: libsndfile dropped frames at the seams of blocks. FFmpeg's own resampling path
    and libsndfile reading all at once are the outside references here."""
    import soundfile
    import soxr

    path = write(tmp_path / "a.mp3", sweep(4.0, 44_100), 44_100)
    whole, rate = soundfile.read(path, dtype="float32")
    reference = soxr.resample(whole, rate, 16_000)
    ours = np.frombuffer(read(path), "<i2") / 32768
    shared = min(len(reference), len(ours))
    assert abs(len(reference) - len(ours)) < 16
    assert np.abs(reference[:shared] - ours[:shared]).max() < 0.001


@pytest.mark.parametrize("suffix", [".wav", ".flac", ".ogg", ".opus", ".mp3", ".m4a"])
def test_a_span_is_the_same_sound_as_in_the_whole(tmp_path: Path, suffix: str) -> None:
    path = tmp_path / f"a{suffix}"
    rate = 48_000
    if suffix == ".m4a":
        write_m4a(path, sweep(6.0, rate), rate)
    else:
        write(path, sweep(6.0, rate), rate)
    whole = np.frombuffer(read(path), "<i2").astype(np.float64)
    span = np.frombuffer(sound_span(path, 2.0, 3.0), "<i2").astype(np.float64)
    assert len(span) == 16_000
    late = 960 if suffix == ".mp3" else 16  # samples: 60 ms, 1 ms
    best = max(
        range(-1_600, 1_601, 1),
        key=lambda o: float(np.dot(span[4_000:12_000], whole[36_000 + o : 44_000 + o])),
    )
    assert abs(best) <= late


def test_a_span_past_the_end_says_so(tmp_path: Path) -> None:
    path = write(tmp_path / "a.wav", tone(1.0))
    with pytest.raises(UnreadableSound, match="holds no sound"):
        sound_span(path, 5.0, 6.0)
    with pytest.raises(ValueError, match="before start"):
        sound_span(path, 1.0, 0.5)


def test_zero_bytes(tmp_path: Path) -> None:
    path = tmp_path / "a.wav"
    path.touch()
    with pytest.raises(UnreadableSound, match=r"empty \(0 bytes\)"):
        SoundFile(path)


def test_text_named_wav(tmp_path: Path) -> None:
    path = tmp_path / "a.wav"
    path.write_text("Left front, toe three and a quarter.\n" * 50)
    with pytest.raises(UnreadableSound, match="not a sound file") as caught:
        SoundFile(path)
    assert caught.value.remedy


def test_missing_folder_and_pipe(tmp_path: Path) -> None:
    with pytest.raises(UnreadableSound, match="There is no file"):
        SoundFile(tmp_path / "gone.wav")
    with pytest.raises(UnreadableSound, match="is not a file"):
        SoundFile(tmp_path)
    os.mkfifo(tmp_path / "pipe.wav")
    with pytest.raises(UnreadableSound, match="is not a file"):
        SoundFile(tmp_path / "pipe.wav")


def test_a_playlist_is_never_followed(tmp_path: Path) -> None:
    write(tmp_path / "secret.wav", tone(1.0))
    for text in ("#EXTM3U\n#EXTINF:1,\nsecret.wav\n", "ffconcat version 1.0\nfile secret.wav\n"):
        path = tmp_path / "list.m4a"
        path.write_text(text)
        with pytest.raises(UnreadableSound, match="not a sound file"):
            SoundFile(path)


def test_header_without_samples(tmp_path: Path) -> None:
    path = tmp_path / "a.wav"
    path.write_bytes(riff((b"fmt ", FMT), (b"data", b"")))
    with pytest.raises(UnreadableSound, match="holds no sound"):
        read(path)


@pytest.mark.parametrize("claimed", [0, 0xFFFFFFFF, 0x7FFFFFFF])
def test_a_recorder_that_never_wrote_its_sizes(tmp_path: Path, claimed: int) -> None:
    whole = riff((b"fmt ", FMT), (b"data", pcm(tone(1.0))), size=claimed)
    at = whole.index(b"data") + 4
    path = tmp_path / "a.wav"
    path.write_bytes(whole[:at] + struct.pack("<I", claimed) + whole[at + 4 :])
    assert seconds_of(read(path)) == pytest.approx(1.0, abs=0.01)


@pytest.mark.parametrize(
    ("channels", "rate"), [(0, 16_000), (64, 16_000), (1, 0), (1, 1), (1, 0xFFFFFFFF)]
)
def test_absurd_headers(tmp_path: Path, channels: int, rate: int) -> None:
    fmt = struct.pack("<HHIIHH", 1, channels, rate, rate & 0x7FFFFFFF, 2 * channels, 16)
    path = tmp_path / "a.wav"
    path.write_bytes(riff((b"fmt ", fmt), (b"data", pcm(tone(0.1)))))
    with pytest.raises(UnreadableSound):
        read(path)


def test_a_bomb_stops_at_the_limit(tmp_path: Path) -> None:
    """Silence packs to almost nothing in FLAC: an hour here is a few tens of kilobytes."""
    path = write(tmp_path / "bomb.flac", np.zeros(16_000 * 600, np.float32))
    assert path.stat().st_size < 40_000
    with pytest.raises(UnreadableSound, match="longer than"):
        for _ in sound_chunks(path, Limits(seconds=60)):
            pass
    with pytest.raises(UnreadableSound, match="far more sound"):
        for _ in sound_chunks(path, Limits(samples=16_000 * 60)):
            pass


def test_memory_stays_flat(tmp_path: Path) -> None:
    path = write(tmp_path / "long.flac", np.zeros(16_000 * 900, np.float32))
    next(sound_chunks(path))
    tracemalloc.start()
    length = sum(len(chunk) for chunk in sound_chunks(path))
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert length == 2 * 16_000 * 900
    assert peak < 4_000_000


def hiss(seconds: float, rate: int) -> Samples:
    """What no decoder packs well, so that half of the file is about half of the sound."""
    noise = np.random.default_rng(0).normal(0, 0.1, round(seconds * rate))
    return noise.astype(np.float32)


@pytest.mark.parametrize("suffix", [".wav", ".flac", ".ogg", ".opus", ".mp3"])
def test_a_file_cut_off_in_the_middle_is_read_up_to_there(tmp_path: Path, suffix: str) -> None:
    path = write(tmp_path / f"a{suffix}", hiss(4.0, 48_000), 48_000)
    whole = path.read_bytes()
    with SoundFile(path) as sound:
        assert seconds_of(b"".join(sound)) == pytest.approx(4.0, abs=0.05)
        assert sound.damage == "", "all of it is there"
    path.write_bytes(whole[: len(whole) // 2])
    with SoundFile(path) as sound:
        length = seconds_of(b"".join(sound))
        damage = sound.damage
    assert 0.9 < length < 3.0
    if suffix != ".mp3":  # its frames follow one another to the end of the file, whichever that is
        assert damage.startswith("it breaks off after ")
        assert f"{length:.1f}" in damage or suffix == ".flac"  # its last block is lost


@pytest.mark.parametrize("suffix", [".ogg", ".opus"])
def test_ogg_that_ends_between_two_pages_breaks_off_too(tmp_path: Path, suffix: str) -> None:
    """RFC 3533, 6: only the flag of the last page tells, for every page there is whole."""
    path = write(tmp_path / f"a{suffix}", hiss(4.0, 48_000), 48_000)
    assert not lacks_end(path)
    whole = path.read_bytes()
    path.write_bytes(whole[: whole.rindex(b"OggS\0")])
    assert lacks_end(path)
    path.write_bytes(whole[: whole.rindex(b"OggS\0") + 10])
    assert lacks_end(path), "a head cut in two"
    path.write_bytes(b"OggS")
    assert lacks_end(path)
    assert not lacks_end(tmp_path / "gone.ogg")


@pytest.mark.parametrize("suffix", [".mp3", ".m4a"])
def test_a_damaged_stretch_is_left_out_and_told(tmp_path: Path, suffix: str) -> None:
    path, noise = tmp_path / f"a{suffix}", hiss(4.0, 44_100)
    if suffix == ".m4a":
        write_m4a(path, noise)
    else:
        write(path, noise, 44_100)
    spoilt = bytearray(path.read_bytes())
    middle = len(spoilt) // 2
    spoilt[middle : middle + 2_000] = b"\xff" * 2_000
    path.write_bytes(bytes(spoilt))
    with SoundFile(path) as sound:
        length = seconds_of(b"".join(sound))
        assert "damaged stretches were left out" in sound.damage
    assert 3.0 < length < 4.0


def test_a_film_without_sound_is_a_clear_error(tmp_path: Path) -> None:
    import av

    path = tmp_path / "film.mp4"
    with av.open(str(path), "w") as film:
        stream: Any = film.add_stream("mpeg4", rate=10)
        stream.width = stream.height = 32
        stream.pix_fmt = "yuv420p"
        frame = av.VideoFrame.from_ndarray(np.zeros((32, 32, 3), np.uint8), format="rgb24")
        for packet in (*stream.encode(frame), *stream.encode(None)):
            film.mux(packet)
    with pytest.raises(UnreadableSound, match=r"There is no sound in film\.mp4"):
        SoundFile(path)


def test_an_mp4_without_its_end_is_a_clear_error(tmp_path: Path) -> None:
    path = write_m4a(tmp_path / "a.m4a", tone(2.0, 44_100))
    whole = path.read_bytes()
    path.write_bytes(whole[: len(whole) // 2])
    with pytest.raises(UnreadableSound, match="damaged or not really sound"):
        read(path)


def test_not_a_number_becomes_silence(tmp_path: Path) -> None:
    samples = np.array([np.nan, np.inf, -np.inf, 0.5] * 1_000, np.float32)
    path = write(tmp_path / "a.wav", samples, subtype="FLOAT")
    assert seconds_of(read(path)) == 0.25


@pytest.mark.parametrize(
    ("head", "suffix"),
    [
        (b"RIFF\0\0\0\0WAVEfmt ", ".wav"),
        (b"fLaC\0\0\0\x22", ".flac"),
        (b"OggS\0\x02" + bytes(22) + b"OpusHead", ".opus"),
        (b"OggS\0\x02" + bytes(22) + b"\x01vorbis", ".ogg"),
        (b"\0\0\0\x20ftypM4A ", ".m4a"),
        (b"ID3\x04", ".mp3"),
        (b"\xff\xfb\x90\x64", ".mp3"),
        (b"\xff\xf1\x50\x80", ".aac"),
        (b"#!AMR\n", ".amr"),
        (b"\x1a\x45\xdf\xa3", ".webm"),
        (b"riff\x2e\x91\xcf\x11", ".w64"),
        (b"caff\0\x01\0\0", ".caf"),
        (b"FORM\0\0\0\0AIFFCOMM", ".aiff"),
        (b".snd\0\0\0\x18", ".au"),
    ],
)
def test_kinds_by_their_first_bytes(head: bytes, suffix: str) -> None:
    found = sniff(head)
    assert found is not None
    assert found.suffix == suffix


@pytest.mark.parametrize("head", [b"", b"\xff", b"RIFF\0\0\0\0AVI ", b"PK\x03\x04", b"hello"])
def test_other_files_are_not_sound(head: bytes) -> None:
    assert sniff(head) is None


@pytest.mark.parametrize("size", [0, 0xFFFFFFFF])
def test_a_head_that_does_not_know_the_length_promises_nothing(tmp_path: Path, size: int) -> None:
    path = tmp_path / "live.wav"
    fmt = struct.pack("<HHIIHH", 1, 1, 16_000, 32_000, 2, 16)
    head = b"WAVEfmt " + struct.pack("<I", 16) + fmt + b"data" + struct.pack("<I", size)
    path.write_bytes(b"RIFF" + struct.pack("<I", 36) + head + bytes(32_000))
    assert said_seconds(path) is None
    path.write_bytes(b"RIFF")
    assert said_seconds(path) is None


def test_a_head_without_its_rate_promises_nothing(tmp_path: Path) -> None:
    path = tmp_path / "odd.wav"
    for fmt in (b"", b"fmt " + struct.pack("<I", 4) + b"abcd"):
        data = b"data" + struct.pack("<I", 96_000)
        path.write_bytes(b"RIFF" + bytes(4) + b"WAVE" + fmt + data)
        assert said_seconds(path) is None
    assert said_seconds(tmp_path / "gone.wav") is None


def test_heads_of_chunks_without_end_are_given_up(tmp_path: Path) -> None:
    """A crafted file may hold millions of empty chunks."""
    path = tmp_path / "many.wav"
    many = (b"note" + bytes(4)) * 100_000
    path.write_bytes(riff((b"fmt ", FMT))[:36] + many + b"data" + struct.pack("<I", 96_000))
    with path.open("rb") as file:
        assert len(list(chunks(file))) == MOST_CHUNKS
    assert said_seconds(path) is None


def test_chunks_before_the_sound_are_passed_over(tmp_path: Path) -> None:
    path = tmp_path / "noted.wav"
    fmt = b"fmt " + struct.pack("<IHHIIHH", 16, 1, 1, 16_000, 32_000, 2, 16)
    odd = b"note" + struct.pack("<I", 3) + b"abc" + bytes(1)
    data = b"data" + struct.pack("<I", 96_000)
    for there, said in ((96_000, None), (64_000, 3.0)):
        path.write_bytes(b"RIFF" + bytes(4) + b"WAVE" + fmt + odd + data + bytes(there))
        assert said_seconds(path) == said
