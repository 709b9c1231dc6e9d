"""Noise of a yard, invented: what a voice is learnt under, so that it is also known in a barn.

A voice that was learnt from quiet readings alone is heard worse with noise around it than before
(``models/evaluation/own_voice.py``). The noise is drawn, not recorded: a colour between a hiss and
a rumble, a band that stands out, swells, and strokes that ring like metal.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from fieldlog.speech.cepstra import RATE

Floats = NDArray[np.float64]

LOUDNESS = (3.0, 25.0)
"""Decibels by which the voice is louder than the noise, least and most."""


def noisy(sound: NDArray[np.int16], draw: np.random.Generator) -> NDArray[np.int16]:
    """The sound with noise behind it that nobody has heard before; 16 kHz, the same length."""
    voice = sound.astype(np.float64)
    noise = _swelling(_coloured(len(voice), draw), draw)
    noise += _strokes(len(voice), draw) * noise.std()
    louder = 10 ** (-draw.uniform(*LOUDNESS) / 20)
    loud = np.sqrt(np.mean(voice**2) + 1) * louder / noise.std()
    mixed = voice + noise * loud
    mixed *= min(1.0, 32_000 / np.abs(mixed).max())
    return np.asarray(mixed, np.int16)


def _coloured(samples: int, draw: np.random.Generator) -> Floats:
    """Hiss to rumble, with one band louder than the rest."""
    hertz = np.fft.rfftfreq(samples, 1 / RATE)
    hertz[0] = hertz[1]
    spectrum = draw.normal(size=len(hertz)) + 1j * draw.normal(size=len(hertz))
    spectrum *= hertz ** (-draw.uniform(0, 2.2) / 2)
    middle, width = draw.uniform(200, 5000), draw.uniform(0.3, 1.5)
    spectrum *= 1 + draw.uniform(0, 6) * np.exp(-((np.log(hertz / middle) / width) ** 2))
    noise: Floats = np.fft.irfft(spectrum, samples)
    return noise


def _swelling(noise: Floats, draw: np.random.Generator) -> Floats:
    """Louder and softer, up to six times a second."""
    points = max(2, int(len(noise) / RATE * draw.uniform(0.5, 6)))
    loudness = np.exp(draw.normal(0, draw.uniform(0, 0.8), points))
    swell: Floats = np.interp(np.arange(len(noise)), np.linspace(0, len(noise), points), loudness)
    return noise * swell


def _strokes(samples: int, draw: np.random.Generator) -> Floats:
    """Up to two strokes a second that ring for a moment, as of a hammer on steel."""
    out = np.zeros(samples)
    for _ in range(draw.poisson(samples / RATE * draw.uniform(0, 2))):
        begin = int(draw.integers(0, samples))
        time = np.arange(min(samples - begin, int(RATE * draw.uniform(0.02, 0.2)))) / RATE
        tones = sum(
            np.sin(2 * np.pi * draw.uniform(300, 6000) * time + draw.uniform(0, 6))
            for _ in range(3)
        )
        out[begin : begin + len(time)] += (
            np.exp(-time * draw.uniform(20, 120)) * tones * draw.uniform(2, 8)
        )
    return out
