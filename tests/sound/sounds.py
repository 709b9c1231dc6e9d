"""Small sound files of every kind, made when a test needs them."""

from __future__ import annotations

import struct
from pathlib import Path
from typing import Any

import numpy as np
import soundfile
from numpy.typing import NDArray

Samples = NDArray[Any]


def tone(
    seconds: float = 1.0, rate: int = 16_000, hertz: float = 440.0, loud: float = 0.5
) -> Samples:
    """A sine, shape (frames,)."""
    t = np.arange(round(seconds * rate)) / rate
    return (loud * np.sin(2 * np.pi * hertz * t)).astype(np.float32)


def sweep(seconds: float = 2.0, rate: int = 16_000) -> Samples:
    """A rising tone, so that every moment can be told from every other."""
    t = np.arange(round(seconds * rate)) / rate
    return (0.5 * np.sin(2 * np.pi * (200 * t + 400 * t * t / seconds))).astype(np.float32)


def pcm(samples: Samples) -> bytes:
    """As 16-bit little-endian bytes."""
    return bytes(np.clip(np.rint(samples * 32768), -32768, 32767).astype("<i2").data)


def write(path: Path, samples: Samples, rate: int = 16_000, **how: Any) -> Path:
    """Write with libsndfile; the name's ending chooses the kind."""
    if path.suffix in (".opus", ".ogg"):
        how.setdefault("format", "OGG")
        how.setdefault("subtype", "OPUS" if path.suffix == ".opus" else "VORBIS")
    soundfile.write(path, samples, rate, **how)
    return path


def write_m4a(path: Path, samples: Samples, rate: int = 44_100, created: str = "") -> Path:
    """AAC in an MPEG-4 container, as phones write it, with FFmpeg."""
    import av

    with av.open(str(path), "w", format="mp4") as container:
        if created:
            container.metadata["creation_time"] = created
        stream: Any = container.add_stream("aac", rate=rate, layout="mono")
        frame = av.AudioFrame.from_ndarray(samples.reshape(1, -1), format="fltp", layout="mono")
        frame.sample_rate = rate
        for packet in (*stream.encode(frame), *stream.encode(None)):
            container.mux(packet)
    return path


def riff(*chunks: tuple[bytes, bytes], size: int | None = None) -> bytes:
    """A RIFF WAVE from its chunks; ``size`` overrides the true size in the header."""
    body = b"WAVE" + b"".join(
        name + struct.pack("<I", len(data)) + data + b"\0" * (len(data) % 2)
        for name, data in chunks
    )
    return b"RIFF" + struct.pack("<I", len(body) if size is None else size) + body


FMT = struct.pack("<HHIIHH", 1, 1, 16_000, 32_000, 2, 16)
"""``fmt `` chunk of 16 kHz mono 16-bit PCM."""
