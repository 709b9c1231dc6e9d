"""Levels and pieces of PCM."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
import soundfile
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.sound.pcm import (
    SILENT_DBFS,
    change_rate,
    in_pieces,
    joined,
    level_of,
    rate_changer,
    seconds_of,
    silence,
    write_wav,
)
from tests.sound.sounds import pcm, tone


def test_full_scale_sine_is_minus_three_db_rms() -> None:
    # A sine's RMS is its peak divided by the square root of two: 20*log10(1/sqrt 2) = -3.01 dB.
    level = level_of(pcm(tone(1.0, loud=32767 / 32768)))
    assert level.peak == pytest.approx(0.0, abs=0.01)
    assert level.rms == pytest.approx(20 * math.log10(math.sqrt(0.5)), abs=0.01)
    assert level.clipped


def test_silence_and_nothing_are_at_the_floor() -> None:
    assert level_of(silence(1)).peak == SILENT_DBFS
    assert level_of(b"").rms == SILENT_DBFS
    assert level_of(b"\x01").rms == SILENT_DBFS


def test_most_negative_sample_is_full_scale() -> None:
    assert level_of(b"\x00\x80").peak == 0.0


@given(st.binary(max_size=500), st.floats(0.0001, 0.01))
def test_pieces_join_to_the_whole(sound: bytes, seconds: float) -> None:
    pieces = list(in_pieces(sound, seconds))
    assert b"".join(pieces) == sound
    assert len({len(piece) for piece in pieces[:-1]}) <= 1, "all but the last are as long"
    assert all(len(piece) % 2 == 0 for piece in pieces[:-1]), "no sample is cut in two"


def test_a_wav_file_is_read_by_another_library(tmp_path: Path) -> None:
    """libsndfile, through soundfile."""
    path, sound = tmp_path / "a.wav", pcm(tone(0.5))
    write_wav(path, sound)
    samples, rate = soundfile.read(path, dtype="int16")
    assert (rate, samples.tobytes()) == (16_000, sound)
    assert joined(in_pieces(sound)) == sound


def test_stereo_at_48_khz_becomes_mono_at_16() -> None:
    change = rate_changer(48_000, 2)
    left = tone(1.0, 48_000)
    interleaved = pcm(left.repeat(2))
    out = b"".join(change(piece) for piece in in_pieces(interleaved, 0.3))
    assert seconds_of(out) == pytest.approx(1.0, abs=0.05)
    assert level_of(out).rms == pytest.approx(level_of(pcm(left)).rms, abs=0.2)


def test_a_short_piece_at_another_rate() -> None:
    assert len(change_rate(silence(0.5), 16_000, 48_000)) == 48_000
