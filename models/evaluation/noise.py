"""Barn-like noise for testing only: kinds and seeds that no training used, made from nothing.

A ventilation fan with a beating hum, a gate chain, electric clippers, hay being pulled and chewed,
a far radio playing chords, swallows.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

RATE = 16_000
Samples = NDArray[np.float64]
SEED = 770_077
"""Far from any seed of the training scripts."""


def _band(noise: Samples, low: float, high: float) -> Samples:
    spectrum = np.fft.rfft(noise)
    hertz = np.fft.rfftfreq(len(noise), 1 / RATE)
    edge = 1 / (1 + (low / np.maximum(hertz, 1)) ** 6) / (1 + (hertz / high) ** 6)
    out: Samples = np.fft.irfft(spectrum * edge, len(noise))
    return out


def fan(n: int, rng: np.random.Generator) -> Samples:
    t = np.arange(n) / RATE
    base = rng.uniform(85, 130)
    hum = sum(np.sin(2 * np.pi * base * k * t + rng.uniform(0, 6)) / k**1.3 for k in range(1, 9))
    beat = 1 + 0.3 * np.sin(2 * np.pi * rng.uniform(0.7, 2.2) * t)
    out: Samples = hum * beat + 1.2 * _band(rng.standard_normal(n), 60, 1800)
    return out


def _struck(n: int, rng: np.random.Generator, at: int, length: float, tones: int) -> Samples:
    out = np.zeros(n)
    m = min(int(length * RATE), n - at)
    if m > 10:
        t = np.arange(m) / RATE
        for hertz in rng.uniform(1200, 6500, tones):
            out[at : at + m] += np.sin(2 * np.pi * hertz * t) * np.exp(-t * rng.uniform(20, 60))
    return out


def chain(n: int, rng: np.random.Generator) -> Samples:
    out = 0.02 * rng.standard_normal(n)
    for start in rng.integers(0, n, max(1, n // (3 * RATE))):
        for at in start + np.cumsum(rng.integers(300, 1600, 14)):
            if at < n:
                out += rng.uniform(0.3, 1) * _struck(n, rng, int(at), 0.12, 5)
    return out


def clippers(n: int, rng: np.random.Generator) -> Samples:
    t = np.arange(n) / RATE
    base = rng.uniform(95, 125) * (1 + 0.03 * np.sin(2 * np.pi * 0.4 * t))
    phase = np.cumsum(base) / RATE
    buzz = 2 * (phase % 1) - 1
    load = 1 + 0.5 * np.clip(np.sin(2 * np.pi * rng.uniform(0.2, 0.5) * t), 0, 1)
    return _band(buzz * load + 0.3 * rng.standard_normal(n), 150, 6000)


def hay(n: int, rng: np.random.Generator) -> Samples:
    envelope = np.clip(np.sin(2 * np.pi * 1.3 * np.arange(n) / RATE + rng.uniform(0, 6)), 0, 1)
    rustle = _band(rng.standard_normal(n) * (rng.random(n) < 0.02) * 6, 1500, 7000)
    out: Samples = rustle * (0.2 + envelope**2) + 0.05 * rng.standard_normal(n)
    return out


def radio(n: int, rng: np.random.Generator) -> Samples:
    t = np.arange(n) / RATE
    out = np.zeros(n)
    for start in np.arange(0, n / RATE, 1.6):
        root = 110 * 2 ** (rng.integers(0, 12) / 12)
        on = np.clip(1 - np.abs(t - start - 0.8) / 0.8, 0, 1) ** 0.5
        for step in (0, 4, 7, 12):
            hertz = root * 2 ** (step / 12)
            out += on * sum(np.sin(2 * np.pi * hertz * k * t) / k for k in range(1, 6))
    return _band(out, 300, 3500)


def swallows(n: int, rng: np.random.Generator) -> Samples:
    out = 0.03 * rng.standard_normal(n)
    at = 0.0
    while at < n / RATE:
        start = int(at * RATE)
        m = min(int(rng.uniform(0.04, 0.15) * RATE), n - start)
        t = np.arange(m) / RATE
        sweep = rng.uniform(2500, 5000) + rng.uniform(-9000, 9000) * t
        out[start : start + m] += (
            rng.uniform(0.3, 1) * np.sin(2 * np.pi * sweep * t) * np.hanning(m)
        )
        at += rng.uniform(0.06, 0.4)
    return out


KINDS = (fan, chain, clippers, hay, radio, swallows)


def add(sound: NDArray[np.int16], snr: float, number: int) -> NDArray[np.int16]:
    """The sound with one or two kinds of noise at ``snr`` decibels over the whole of it.

    ``number`` (of the utterance) chooses kinds and seed.
    """
    rng = np.random.default_rng([SEED, number])
    x = sound.astype(np.float64)
    noise = np.zeros(len(x))
    for i in rng.choice(len(KINDS), rng.integers(1, 3), replace=False):
        one = KINDS[i](len(x), rng)
        noise += one / max(float(np.sqrt(np.mean(one**2))), 1e-9)
    loud = np.abs(x) > 0.02 * np.abs(x).max()
    power = float(np.sqrt(np.mean(x[loud] ** 2)))
    noise *= power * 10 ** (-snr / 20) / float(np.sqrt(np.mean(noise**2)))
    mixed = x + noise
    peak = np.abs(mixed).max()
    if peak > 32000:
        mixed *= 32000 / peak
    return mixed.astype(np.int16)
