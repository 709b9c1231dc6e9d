"""Mel-frequency cepstra as our own models hear them, for learning a voice without libvosk.

The same numbers as Kaldi's MFCC with ``models/farrier-en/conf/mfcc.conf``: windows of 25 ms every
10 ms, a Povey window, 40 mel filters, all 40 cepstra, no energy, no dither. Mel scale and lifter
as in Young et al., The HTK Book (2006), 5.4 and 5.6; the Povey window is Kaldi's own (a Hann
window to the power of 0.85). ``tests/speech/test_own_voice.py`` holds it against another program.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float32]

RATE = 16_000
FRAMES_PER_SECOND = 100
WINDOW, HOP, FFT = 400, 160, 512
"""Samples of a window, between two windows, and of the transform."""
BINS = 40
LOWEST, HIGHEST = 20.0, 7600.0
"""Hertz where the first mel filter begins and the last one ends."""
EMPHASIS = 0.97
LIFTER = 22
FLOOR = float(np.finfo(np.float32).eps)


def cepstra(sound: NDArray[np.int16]) -> Array:
    """Cepstra of a sound.

    Args:
        sound: samples, mono, 16 kHz.

    Returns:
        Frames by 40; none for a sound shorter than a window.
    """
    if len(sound) < WINDOW:
        return np.zeros((0, BINS), np.float32)
    frames = np.lib.stride_tricks.sliding_window_view(sound.astype(np.float32), WINDOW)[::HOP]
    frames = frames - frames.mean(1, keepdims=True)
    before = np.concatenate([frames[:, :1], frames[:, :-1]], 1)
    spectrum = np.fft.rfft((frames - EMPHASIS * before) * _window(), FFT)[:, : FFT // 2]
    power = spectrum.real**2 + spectrum.imag**2
    mel = np.log(np.maximum(power @ _filters().T, FLOOR))
    return (mel @ _cosine().T).astype(np.float32)


@cache
def _window() -> NDArray[np.float64]:
    turn = 2 * np.pi * np.arange(WINDOW) / (WINDOW - 1)
    window: NDArray[np.float64] = (0.5 - 0.5 * np.cos(turn)) ** 0.85
    return window


@cache
def _filters() -> NDArray[np.float64]:
    """Triangles in mel, one a row, over the bins of the transform."""
    bottom, top = _mel(np.array([LOWEST, HIGHEST]))
    step = (top - bottom) / (BINS + 1)
    at = _mel(np.arange(FFT // 2) * RATE / FFT)
    left = bottom + step * np.arange(BINS)[:, None]
    rising, falling = (at - left) / step, (left + 2 * step - at) / step
    filters: NDArray[np.float64] = np.maximum(np.minimum(rising, falling), 0.0)
    return filters


def _mel(hertz: NDArray[np.float64]) -> NDArray[np.float64]:
    mel: NDArray[np.float64] = 1127.0 * np.log(1 + hertz / 700.0)
    return mel


@cache
def _cosine() -> NDArray[np.float64]:
    """The cosine transform with the lifter in it, cepstra by filters."""
    order = np.arange(BINS)[:, None]
    cosine = np.cos(np.pi / BINS * (np.arange(BINS) + 0.5) * order) * np.sqrt(2 / BINS)
    cosine[0] = np.sqrt(1 / BINS)
    lifted: NDArray[np.float64] = cosine * (1 + 0.5 * LIFTER * np.sin(np.pi * order / LIFTER))
    return lifted
