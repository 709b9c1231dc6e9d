"""Noises of a barn, made by script for training; the tests use other kinds and seeds.

Rasp strokes, hammer on nail and anvil, wind, rain on a tin roof, an engine, a clothes rub at the
microphone, hooves on concrete; an angle grinder, a gas forge, water into a bucket, kicks against a
wall, snorts, a whinny, a dog, a broom, and unnamed murmur of any colour. Each is about 20 seconds
at 16 kHz, unit power.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

RATE = 16_000
Wave = NDArray[np.float32]
Samples = NDArray[np.float64]


def _coloured(rng: np.random.Generator, n: int, slope: float) -> Samples:
    spectrum = np.fft.rfft(rng.normal(size=n))
    spectrum *= (np.arange(len(spectrum)) + 20.0) ** -slope
    return np.fft.irfft(spectrum, n)


def _band(x: Samples, low: float, high: float) -> Samples:
    spectrum = np.fft.rfft(x)
    hertz = np.fft.rfftfreq(len(x), 1 / RATE)
    spectrum *= np.exp(-((np.maximum(low - hertz, 0) / 150) ** 2))
    spectrum *= np.exp(-((np.maximum(hertz - high, 0) / 400) ** 2))
    return np.fft.irfft(spectrum, len(x))


def rasp(rng: np.random.Generator, n: int) -> Samples:
    t = np.arange(n) / RATE
    rate = rng.uniform(1.2, 2.6)
    stroke = np.clip(np.sin(2 * np.pi * rate * t + rng.uniform(0, 6)), 0, None) ** 0.7
    teeth = 1 + 0.6 * np.sin(2 * np.pi * rng.uniform(60, 220) * t)
    return (
        _band(rng.normal(size=n), rng.uniform(800, 1800), rng.uniform(4000, 7500)) * stroke * teeth
    )


def hammer(rng: np.random.Generator, n: int) -> Samples:
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


def wind(rng: np.random.Generator, n: int) -> Samples:
    gusts = np.interp(np.arange(n), np.linspace(0, n, 25), rng.uniform(0.1, 1, 25))
    return _coloured(rng, n, rng.uniform(0.9, 1.3)) * gusts**2


def rain(rng: np.random.Generator, n: int) -> Samples:
    drops = (rng.random(n) < rng.uniform(0.002, 0.02)) * rng.normal(size=n)
    body = np.convolve(drops, np.exp(-np.arange(200) / rng.uniform(8, 40)), "same")
    return _band(body, 300, 7000) + 0.02 * _coloured(rng, n, 0.3)


def engine(rng: np.random.Generator, n: int) -> Samples:
    t = np.arange(n) / RATE
    base = rng.uniform(24, 60) * (1 + 0.01 * np.sin(2 * np.pi * 0.3 * t))
    phase = 2 * np.pi * np.cumsum(base) / RATE
    hum = sum(rng.uniform(0.1, 1) / k * np.sin(k * phase + rng.uniform(0, 6)) for k in range(1, 30))
    return hum + 0.3 * _coloured(rng, n, 0.7) * 20


def rub(rng: np.random.Generator, n: int) -> Samples:
    gate = np.interp(np.arange(n), np.linspace(0, n, 80), (rng.random(80) < 0.25) * rng.random(80))
    return _band(_coloured(rng, n, 0.5), 40, 2500) * gate


def hooves(rng: np.random.Generator, n: int) -> Samples:
    out = np.zeros(n)
    for beat in np.cumsum(rng.uniform(0.2, 0.6, size=200)):
        start = int(beat * RATE)
        if start >= n:
            break
        length = min(n - start, 2400)
        thud = _band(rng.normal(size=2400), 80, rng.uniform(600, 2500))[:length]
        out[start : start + length] += thud * np.exp(-np.arange(length) / 300) * rng.uniform(0.3, 1)
    return out


def _at_times(
    rng: np.random.Generator, n: int, apart: tuple[float, float], sound: Callable[[], Samples]
) -> Samples:
    """One sound after another, each drawn anew, with so many seconds between their beginnings."""
    out = np.zeros(n)
    at = rng.uniform(0, apart[0])
    while at < n / RATE:
        start = int(at * RATE)
        one = sound()[: n - start]
        out[start : start + len(one)] += one * rng.uniform(0.3, 1)
        at += rng.uniform(*apart)
    return out


def _bends(rng: np.random.Generator, n: int, points: int, low: float, high: float) -> Samples:
    """A line that wanders between two values."""
    return np.interp(np.arange(n), np.linspace(0, n, points), rng.uniform(low, high, points))


def grinder(rng: np.random.Generator, n: int) -> Samples:
    """A motor that sinks in pitch under load, and the sparks of the wheel."""
    load = np.clip(_bends(rng, n, 30, -1, 1), 0, 1)
    phase = np.cumsum(rng.uniform(180, 420) * (1 - 0.15 * load)) / RATE * 2 * np.pi
    whine = sum(
        rng.uniform(0.2, 1) / k**0.5 * np.sin(k * phase + rng.uniform(0, 6)) for k in range(1, 12)
    )
    return whine * rng.uniform(0.2, 0.7) + _band(rng.normal(size=n), 1500, 7500) * (0.3 + 2 * load)


def forge(rng: np.random.Generator, n: int) -> Samples:
    """The roar of burning gas: low, unsteady, no tone."""
    roar = _band(rng.normal(size=n), rng.uniform(40, 150), rng.uniform(500, 2500))
    return roar * _bends(rng, n, int(rng.uniform(60, 200)), 0.6, 1.4)


def water(rng: np.random.Generator, n: int) -> Samples:
    """Bubbles, each a short rising tone, over a stream."""
    t = np.arange(640) / RATE

    def bubble() -> Samples:
        hertz = rng.uniform(400, 2800)
        return np.sin(2 * np.pi * (hertz * t + hertz * 4 * t**2)) * np.exp(
            -t * rng.uniform(80, 250)
        )

    stream = _band(rng.normal(size=n), 600, rng.uniform(3000, 7500))
    return _at_times(rng, n, (0.005, 0.06), bubble) + rng.uniform(0.05, 0.4) * stream


def kicks(rng: np.random.Generator, n: int) -> Samples:
    """A hoof against boards: a dull blow, the wall booming after it."""
    t = np.arange(6400) / RATE

    def blow() -> Samples:
        boom = sum(
            rng.uniform(0.2, 1) * np.sin(2 * np.pi * rng.uniform(50, 420) * t + rng.uniform(0, 6))
            for _ in range(5)
        )
        knock = _band(rng.normal(size=len(t)), 100, 4000) * np.exp(-t * 120)
        return boom * np.exp(-t * rng.uniform(12, 40)) + 2 * knock

    return _at_times(rng, n, (0.3, 1.6), blow) + 0.01 * rng.normal(size=n)


def snorts(rng: np.random.Generator, n: int) -> Samples:
    """Breath blown through fluttering nostrils."""

    def snort() -> Samples:
        m = int(rng.uniform(0.3, 1.2) * RATE)
        t = np.arange(m) / RATE
        flutter = 1 + np.sin(2 * np.pi * np.cumsum(_bends(rng, m, 6, 14, 34)) / RATE)
        breath = _band(rng.normal(size=m), rng.uniform(100, 500), rng.uniform(1500, 6000))
        return breath * flutter * np.exp(-3 * t / t[-1]) * np.minimum(1, t / 0.03)

    return _at_times(rng, n, (0.8, 2.5), snort) + 0.01 * _band(rng.normal(size=n), 50, 1000)


def whinny(rng: np.random.Generator, n: int) -> Samples:
    """A shaking, falling voice."""

    def call() -> Samples:
        m = int(rng.uniform(0.7, 1.8) * RATE)
        t = np.arange(m) / RATE
        glide = np.interp(t / t[-1], (0, 0.2, 1), rng.uniform((500, 900, 300), (900, 1600, 600)))
        shake = np.sin(2 * np.pi * rng.uniform(8, 16) * t)
        phase = 2 * np.pi * np.cumsum(glide * (1 + 0.06 * shake)) / RATE
        voice = sum(np.sin(k * phase) / k for k in range(1, 9))
        return (voice + 0.3 * rng.normal(size=m)) * (1 + 0.5 * shake) * np.hanning(m) ** 0.5

    return _at_times(rng, n, (1.5, 4), call) + 0.01 * _band(rng.normal(size=n), 50, 3000)


def dog(rng: np.random.Generator, n: int) -> Samples:
    """Barks, far or near."""
    base, low = rng.uniform(220, 650), rng.uniform(300, 600)

    def bark() -> Samples:
        m = int(rng.uniform(0.1, 0.25) * RATE)
        rise = np.interp(np.arange(m), (0, m / 3, m), (0.7, 1.1, 0.6)) * base
        phase = 2 * np.pi * np.cumsum(rise) / RATE
        rough = sum(np.sin(k * phase + rng.uniform(0, 6)) for k in range(1, 14))
        return _band(rough + rng.normal(size=m), low, 3500) * np.hanning(m) ** 0.5

    return _at_times(rng, n, (0.25, 1.5), bark) + 0.01 * _band(rng.normal(size=n), 50, 3000)


def broom(rng: np.random.Generator, n: int) -> Samples:
    """Strokes over concrete, each swelling and breaking off."""
    t = np.arange(n) / RATE
    turn = (t * rng.uniform(0.7, 1.6) + rng.uniform()) % 1
    return _band(rng.normal(size=n), rng.uniform(500, 1500), 7800) * turn ** rng.uniform(0.5, 3)


def murmur(rng: np.random.Generator, n: int) -> Samples:
    """Noise of any colour that swells at any pace: whatever else hums along in a barn aisle."""
    spectrum = np.fft.rfft(rng.normal(size=n))
    bands = 10 ** (rng.uniform(-30, 0, 14) / 20)
    spectrum *= np.interp(np.linspace(0, 1, len(spectrum)) ** 0.5, np.linspace(0, 1, 14), bands)
    return np.fft.irfft(spectrum, n) * _bends(rng, n, int(rng.uniform(3, 250)), 0.1, 1)


KINDS = (rasp, hammer, wind, rain, engine, rub, hooves, grinder, forge, water, kicks, snorts,
         whinny, dog, broom, murmur, murmur)  # fmt: skip


def bank(seed: int, each: int, seconds: float = 20.0) -> Wave:
    """(kinds * each, samples) noises of unit power."""
    n = int(seconds * RATE)
    made = []
    for k, kind in enumerate(KINDS):
        for i in range(each):
            x = kind(np.random.default_rng([seed, k, i]), n)
            made.append((x / (np.sqrt(np.mean(x**2)) + 1e-9)).astype(np.float32))
    return np.stack(made)
