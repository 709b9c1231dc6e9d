"""Noises of a barn, made by script for training; the tests use other kinds and seeds.

Rasp strokes, hammer on nail and anvil, wind, rain on a tin roof, an engine, a clothes rub at the
microphone, hooves on concrete. Each is about 20 seconds at 16 kHz, unit power.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

RATE = 16_000
Wave = NDArray[np.float32]


def _coloured(rng: np.random.Generator, n: int, slope: float) -> NDArray[np.float64]:
    spectrum = np.fft.rfft(rng.normal(size=n))
    spectrum *= (np.arange(len(spectrum)) + 20.0) ** -slope
    return np.fft.irfft(spectrum, n)


def _band(x: NDArray[np.float64], low: float, high: float) -> NDArray[np.float64]:
    spectrum = np.fft.rfft(x)
    hertz = np.fft.rfftfreq(len(x), 1 / RATE)
    spectrum *= np.exp(-((np.maximum(low - hertz, 0) / 150) ** 2))
    spectrum *= np.exp(-((np.maximum(hertz - high, 0) / 400) ** 2))
    return np.fft.irfft(spectrum, len(x))


def rasp(rng: np.random.Generator, n: int) -> NDArray[np.float64]:
    t = np.arange(n) / RATE
    rate = rng.uniform(1.2, 2.6)
    stroke = np.clip(np.sin(2 * np.pi * rate * t + rng.uniform(0, 6)), 0, None) ** 0.7
    teeth = 1 + 0.6 * np.sin(2 * np.pi * rng.uniform(60, 220) * t)
    return (
        _band(rng.normal(size=n), rng.uniform(800, 1800), rng.uniform(4000, 7500)) * stroke * teeth
    )


def hammer(rng: np.random.Generator, n: int) -> NDArray[np.float64]:
    out = np.zeros(n)
    at = 0.0
    tones = rng.uniform(900, 5200, size=5)
    while at < n / RATE:
        start = int(at * RATE)
        t = np.arange(min(n - start, RATE)) / RATE
        ring = sum(
            rng.uniform(0.2, 1) * np.sin(2 * np.pi * f * t) * np.exp(-t * rng.uniform(8, 50))
            for f in tones
        )
        out[start : start + len(t)] += ring * rng.uniform(0.4, 1)
        at += rng.choice([0.35, 0.4, 0.5, 1.5]) * rng.uniform(0.9, 1.1)
    return out


def wind(rng: np.random.Generator, n: int) -> NDArray[np.float64]:
    gusts = np.interp(np.arange(n), np.linspace(0, n, 25), rng.uniform(0.1, 1, 25))
    return _coloured(rng, n, rng.uniform(0.9, 1.3)) * gusts**2


def rain(rng: np.random.Generator, n: int) -> NDArray[np.float64]:
    drops = (rng.random(n) < rng.uniform(0.002, 0.02)) * rng.normal(size=n)
    body = np.convolve(drops, np.exp(-np.arange(200) / rng.uniform(8, 40)), "same")
    return _band(body, 300, 7000) + 0.02 * _coloured(rng, n, 0.3)


def engine(rng: np.random.Generator, n: int) -> NDArray[np.float64]:
    t = np.arange(n) / RATE
    base = rng.uniform(24, 60) * (1 + 0.01 * np.sin(2 * np.pi * 0.3 * t))
    phase = 2 * np.pi * np.cumsum(base) / RATE
    hum = sum(rng.uniform(0.1, 1) / k * np.sin(k * phase + rng.uniform(0, 6)) for k in range(1, 30))
    return hum + 0.3 * _coloured(rng, n, 0.7) * 20


def rub(rng: np.random.Generator, n: int) -> NDArray[np.float64]:
    gate = np.interp(np.arange(n), np.linspace(0, n, 80), (rng.random(80) < 0.25) * rng.random(80))
    return _band(_coloured(rng, n, 0.5), 40, 2500) * gate


def hooves(rng: np.random.Generator, n: int) -> NDArray[np.float64]:
    out = np.zeros(n)
    for beat in np.cumsum(rng.uniform(0.2, 0.6, size=200)):
        start = int(beat * RATE)
        if start >= n:
            break
        length = min(n - start, 2400)
        thud = _band(rng.normal(size=2400), 80, rng.uniform(600, 2500))[:length]
        out[start : start + length] += thud * np.exp(-np.arange(length) / 300) * rng.uniform(0.3, 1)
    return out


KINDS = (rasp, hammer, wind, rain, engine, rub, hooves)


def bank(seed: int, each: int, seconds: float = 20.0) -> Wave:
    """(kinds * each, samples) noises of unit power."""
    n = int(seconds * RATE)
    made = []
    for k, kind in enumerate(KINDS):
        for i in range(each):
            x = kind(np.random.default_rng([seed, k, i]), n)
            made.append((x / (np.sqrt(np.mean(x**2)) + 1e-9)).astype(np.float32))
    return np.stack(made)
