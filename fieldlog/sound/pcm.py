"""The one shape of sound inside fieldlog, and the sums done on it.

16 kHz, mono, signed 16-bit little-endian samples, as ``bytes``: what the recogniser was trained
on and what the recordings hold. Numpy is imported where it is used, so that importing this
module costs nothing.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

SAMPLE_RATE = 16_000
"""Hertz."""

SAMPLE_BYTES = 2
"""Bytes of one sample."""

BYTES_PER_SECOND = SAMPLE_RATE * SAMPLE_BYTES

SILENT_DBFS = -96.0
"""Level reported for digital silence: the floor of 16-bit sound, in dB below full scale."""


@dataclass(frozen=True, slots=True)
class Level:
    """How loud a piece of sound is, in dB relative to full scale (0 is the loudest possible).

    A full-scale sine has a peak of 0 dBFS and an RMS of -3.01 dBFS (the plain RMS convention, not
    AES17, which calls that sine 0 dBFS).
    """

    peak: float
    rms: float

    @property
    def clipped(self) -> bool:
        """True if the loudest sample sits at the rail."""
        return self.peak >= -0.001


def seconds_of(pcm: bytes) -> float:
    """Length in seconds."""
    return len(pcm) / BYTES_PER_SECOND


def level_of(pcm: bytes) -> Level:
    """Peak and RMS level of a piece of sound; an odd last byte is ignored."""
    import numpy as np

    samples = np.frombuffer(pcm, dtype="<i2", count=len(pcm) // SAMPLE_BYTES).astype(np.float64)
    if not samples.size:
        return Level(SILENT_DBFS, SILENT_DBFS)
    peak = float(np.abs(samples).max()) / 32768.0
    rms = math.sqrt(float(np.mean(samples * samples))) / 32768.0
    return Level(to_dbfs(peak), to_dbfs(rms))


def to_dbfs(amplitude: float) -> float:
    """Decibels of an amplitude between 0 and 1, never below ``SILENT_DBFS``."""
    return SILENT_DBFS if amplitude <= 0 else max(SILENT_DBFS, 20.0 * math.log10(amplitude))


def in_pieces(pcm: bytes, seconds: float = 0.1) -> Iterator[bytes]:
    """Cut sound into pieces of equal length; the last may be shorter."""
    step = max(1, round(seconds * SAMPLE_RATE)) * SAMPLE_BYTES
    for at in range(0, len(pcm), step):
        yield pcm[at : at + step]


def silence(seconds: float) -> bytes:
    """Digital silence of that length."""
    return bytes(round(seconds * SAMPLE_RATE) * SAMPLE_BYTES)


def wav_bytes(pcm: bytes) -> bytes:
    """A WAV file of PCM; for short sounds only."""
    import io
    import wave

    file = io.BytesIO()
    with wave.open(file, "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(SAMPLE_BYTES)
        out.setframerate(SAMPLE_RATE)
        out.writeframes(pcm)
    return file.getvalue()


def write_wav(path: Path, pcm: bytes) -> None:
    """Write a WAV file of PCM, over what was there; for short sounds only."""
    path.write_bytes(wav_bytes(pcm))


def joined(chunks: Iterable[bytes]) -> bytes:
    """All chunks as one piece; for short sounds only."""
    return b"".join(chunks)


def rate_changer(rate: int, channels: int) -> Callable[[bytes], bytes]:
    """A function that turns consecutive 16-bit pieces at ``rate`` into 16 kHz mono."""
    import numpy as np
    import soxr

    stream = soxr.ResampleStream(rate, SAMPLE_RATE, 1, dtype="float32")

    def change(raw: bytes) -> bytes:
        samples = np.frombuffer(raw, dtype="<i2").reshape(-1, channels)
        mono = samples.mean(axis=1, dtype=np.float32)
        out = stream.resample_chunk(np.ascontiguousarray(mono)) if rate != SAMPLE_RATE else mono
        return bytes(np.clip(np.rint(out), -32768, 32767).astype("<i2").data)

    return change


def change_rate(pcm: bytes, source: int, target: int) -> bytes:
    """A short piece of mono 16-bit sound at another sample rate (hertz)."""
    import numpy as np
    import soxr

    samples = np.frombuffer(pcm, dtype="<i2").astype(np.float32)
    out = soxr.resample(samples, source, target)
    return bytes(np.clip(np.rint(out), -32768, 32767).astype("<i2").data)
