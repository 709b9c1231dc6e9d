"""Robotic voices of our own: a formant synthesiser driven by rule, every voice a new one.

    python formants.py TOKENS.jsonl.gz OUT --count 4000 --jobs 16

Neural synthesis sounds like people who read well; old speech engines and bad telephones do not.
Source and filter as in Klatt, JASA 67 (1980): pulses or noise through a cascade of resonators, his
order of consonant and vowel targets, durations after Klatt, JASA 59 (1976); the figures are from
memory and rounded, and each voice moves them at random. Writes ``af*.npy`` and ``mf*.json`` as
synthesise.py writes ``a*`` and ``m*``.
"""

from __future__ import annotations

import gzip
import json
import sys
from multiprocessing import Pool
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

MODELS = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(MODELS / "graph"), str(MODELS.parent)]

from phones import CONSONANTS, VOWELS  # noqa: E402

from models.inputs import asking, existing  # noqa: E402

RATE, HOP, WINDOW, FFT = 16000, 80, 320, 1024
SEED = 5

SCHWA = "AX"
TARGETS: dict[str, tuple[tuple[float, float, float], ...]] = {
    "IY": ((310, 2020, 2960), (290, 2070, 2960)), "IH": ((400, 1800, 2570), (470, 1650, 2600)),
    "EY": ((480, 1720, 2520), (330, 2020, 2600)), "EH": ((530, 1680, 2500), (600, 1560, 2530)),
    "AE": ((620, 1660, 2430), (650, 1490, 2470)), "AA": ((700, 1220, 2600),),
    "AO": ((600, 990, 2570), (630, 1040, 2600)), "AH": ((620, 1220, 2550),),
    "OW": ((540, 1100, 2300), (450, 900, 2300)), "UH": ((450, 1100, 2350), (500, 1180, 2390)),
    "UW": ((350, 1250, 2200), (320, 900, 2200)), "ER": ((470, 1270, 1540), (420, 1310, 1540)),
    "AY": ((660, 1200, 2550), (400, 1880, 2500)), "AW": ((640, 1230, 2550), (420, 940, 2350)),
    "OY": ((550, 960, 2400), (360, 1820, 2450)), SCHWA: ((500, 1450, 2500),),
    "W": ((290, 610, 2150),), "Y": ((260, 2070, 3020),), "R": ((310, 1060, 1380),),
    "L": ((310, 1050, 2880),), "M": ((400, 1150, 2130),), "N": ((400, 1450, 2470),),
    "NG": ((400, 1990, 2850),), "F": ((340, 1100, 2080),), "V": ((220, 1100, 2080),),
    "TH": ((320, 1290, 2540),), "DH": ((270, 1290, 2540),), "S": ((320, 1390, 2530),),
    "Z": ((240, 1390, 2530),), "SH": ((300, 1840, 2750),), "ZH": ((300, 1840, 2750),),
    "CH": ((350, 1800, 2820),), "JH": ((260, 1800, 2820),), "P": ((400, 1100, 2150),),
    "B": ((200, 1100, 2150),), "T": ((400, 1600, 2600),), "D": ((200, 1600, 2600),),
    "K": ((300, 1990, 2850),), "G": ((200, 1990, 2850),),
}  # fmt: skip
"""First three formants in Hz; diphthongs and drifting vowels have a beginning and an end."""

LASTS: dict[str, float] = {
    "IY": 155, "IH": 120, "EY": 180, "EH": 140, "AE": 190, "AA": 200, "AO": 210, "AH": 130,
    "OW": 190, "UH": 140, "UW": 180, "ER": 170, "AY": 220, "AW": 230, "OY": 250, SCHWA: 65,
    "W": 75, "Y": 70, "R": 75, "L": 75, "HH": 70, "M": 75, "N": 65, "NG": 85, "F": 95, "V": 60,
    "TH": 90, "DH": 50, "S": 105, "Z": 80, "SH": 105, "ZH": 75, "P": 75, "B": 75, "T": 65, "D": 65,
    "K": 75, "G": 75, "CH": 60, "JH": 60,
}  # fmt: skip
"""Milliseconds: stressed vowels, consonants; of stops and affricates the closure."""

HISS: dict[str, tuple[float, float, float]] = {
    "S": (4100, 7900, -11), "Z": (4100, 7900, -18), "SH": (2000, 5200, -8),
    "ZH": (2000, 5200, -14), "F": (1200, 7900, -25), "V": (1200, 7900, -31),
    "TH": (1500, 7900, -26), "DH": (1500, 7900, -33), "CH": (2000, 5200, -8),
    "JH": (2000, 5200, -12), "T": (2800, 6500, -11), "D": (2800, 6500, -16),
    "P": (400, 2500, -20), "B": (400, 2500, -22), "K": (1500, 3000, -13), "G": (1500, 3000, -16),
}  # fmt: skip
"""Band of the noise of frication or burst in Hz, and its level in decibels under a vowel."""

STOPS, VOICELESS = ("P", "B", "T", "D", "K", "G", "CH", "JH"), ("P", "T", "K", "CH")
NASALS, VOICED_HISS = ("M", "N", "NG"), ("V", "Z", "ZH", "DH")
LONG = (*NASALS, "L", "R", "W", "Y")


def phones_of(said: str) -> list[tuple[str, int, bool]]:
    """(phone, stress 0 to 2, last of its word) of one misaki string; ``_`` for a gap of words."""
    found: list[tuple[str, int, bool]] = []
    for word in said.split(" "):
        stress, first = 0, len(found)
        for at, sign in enumerate(word):
            if sign in "ˈˌ":
                stress = 2 if sign == "ˈ" else 1
                continue
            phone = VOWELS.get(sign) or CONSONANTS.get(sign)
            if phone is None:
                continue
            if phone == "R" and len(found) > first and found[-1][0] == "ER":
                continue
            if phone == "R" and len(found) > first and found[-1][0] == SCHWA:
                found[-1] = ("ER", found[-1][1], False)
                continue
            if sign in "əᵊɐᵻ" and word[at - 1 : at] not in ("ˈ", "ˌ"):
                phone = SCHWA if sign != "ᵻ" else "IH"
            vowel = sign in VOWELS
            found.append((phone, stress if vowel else 0, False))
            stress = 0 if vowel else stress
        if len(found) > first:
            found[-1] = (*found[-1][:2], True)
    return found


def _voice(draw: np.random.Generator) -> dict[str, Any]:
    """A speaker: formant scale (a short throat is above 1), pitch, pace, breath, own vowels."""
    scale = draw.uniform(0.88, 1.22)
    f0 = np.exp(draw.uniform(np.log(75), np.log(150))) * (1 + 2.2 * max(0, scale - 1))
    return {
        "scale": scale,
        "f0": f0,
        "lively": draw.uniform(0.0, 0.3),
        "pace": draw.uniform(0.72, 1.25),
        "glide_ms": draw.uniform(25, 85),
        "bandwidth": draw.uniform(0.5, 1.6),
        "tilt": draw.uniform(1200, 7000),
        "top": draw.uniform(3800, 5500) if draw.random() < 0.4 else 9000.0,
        "breath": 10 ** (draw.uniform(-45, -20) / 20),
        "hiss": draw.uniform(-6, 6),
        "jitter": draw.uniform(0, 0.02),
        "gap": draw.uniform(0.0, 0.12),
        "own": {p: np.exp(draw.normal(0, 0.05, (len(t), 3))) for p, t in TARGETS.items()},
        "high": draw.uniform(0.94, 1.06, 5),
    }


OFF = -99.0
"""Decibels of what is not there."""
Segment = tuple[float, NDArray[Any], float, float, float, str]
"""(ms, formants, voicing dB, breath dB, hiss dB, hiss kind)"""


def _target(who: dict[str, Any], phone: str, which: int = 0) -> NDArray[Any]:
    """Formants of a phone in the voice's own throat: its beginning or its end."""
    k = min(which, len(TARGETS[phone]) - 1)
    return np.asarray(TARGETS[phone][k]) * who["own"][phone][k] * who["scale"]


def _segments(
    phones: list[tuple[str, int, bool]], who: dict[str, Any], draw: np.random.Generator
) -> list[Segment]:
    """Silence, the phones one after the other with gaps between some words, silence."""
    rest = _target(who, SCHWA)
    made: list[Segment] = [(draw.uniform(60, 350), rest, OFF, OFF, OFF, "")]
    for i, (phone, stress, last) in enumerate(phones):
        after = next((p for p, _, _ in phones[i + 1 : i + 2]), "")
        ms = LASTS[phone] * who["pace"] * np.exp(draw.normal(0, 0.12))
        final = last and (i + 1 == len(phones) or draw.random() < who["gap"])
        level = draw.normal(0, 1.0)
        if phone in STOPS:
            made += _stop(phone, after, ms, level, who, draw)
        elif phone == "HH" or phone in HISS or phone in LONG:
            made.append(_lasting(phone, after, ms, level, final, who))
        else:
            made += _vowel(phone, stress, ms, level, final, who)
        if final:
            made.append((draw.uniform(80, 500), rest, OFF, OFF, OFF, ""))
    made.append((draw.uniform(100, 350), rest, OFF, OFF, OFF, ""))
    return made


def _near(who: dict[str, Any], phone: str, after: str) -> NDArray[Any]:
    """Where the throat is on its way to while a phone is said."""
    if after in TARGETS:
        return _target(who, after)
    return _target(who, phone if phone in TARGETS else SCHWA)


def _stop(
    phone: str,
    after: str,
    ms: float,
    level: float,
    who: dict[str, Any],
    draw: np.random.Generator,
) -> list[Segment]:
    """A stop or affricate: closure, burst, and breath before what is voiced after P, T and K."""
    where, near = _target(who, phone), _near(who, phone, after)
    bar = OFF if phone in VOICELESS else -18.0
    hiss = HISS[phone][2] + who["hiss"] + level
    burst = 12 if phone not in ("CH", "JH") else 65 * who["pace"]
    voiced = OFF if phone in VOICELESS else -12.0
    made: list[Segment] = [
        (ms, 0.6 * where + 0.4 * near, bar, OFF, OFF, ""),
        (burst, 0.5 * where + 0.5 * near, voiced, OFF, hiss, phone),
    ]
    if phone in ("P", "T", "K") and after in TARGETS and after not in STOPS:
        breath = draw.uniform(20, 55) * who["pace"]
        made.append((breath, 0.25 * where + 0.75 * near, OFF, -16 + level, OFF, ""))
    return made


def _lasting(
    phone: str, after: str, ms: float, level: float, final: bool, who: dict[str, Any]
) -> Segment:
    """A consonant of one piece: breath, hiss, or a voice through nose or narrows."""
    if phone == "HH":
        return (ms, _near(who, phone, after), OFF, -13 + level, OFF, "")
    if phone in HISS:
        voiced = -10.0 if phone in VOICED_HISS else OFF
        hiss = HISS[phone][2] + who["hiss"] + level
        return (ms * (1.2 if final else 1), _target(who, phone), voiced, OFF, hiss, phone)
    voiced = -8.0 if phone in NASALS else -4.0
    return (ms * (1.3 if final else 1), _target(who, phone), voiced + level, OFF, OFF, phone)


def _vowel(
    phone: str, stress: int, ms: float, level: float, final: bool, who: dict[str, Any]
) -> list[Segment]:
    """A vowel, beginning to end: short and soft without stress, longer where a gap follows."""
    ms *= (0.68, 0.85, 1.0)[stress] if phone != SCHWA else 1
    ms *= 1.35 if final else 1
    level += (-3.0, -1.5, 0.0)[stress]
    parts = len(TARGETS[phone])
    return [(ms / parts, _target(who, phone, k), level, OFF, OFF, "") for k in range(parts)]


def _smooth(track: NDArray[Any], ms: float) -> NDArray[Any]:
    """Hann average along time; ``ms`` wide at its foot."""
    n = max(3, round(ms / 1000 * RATE / HOP) | 1)
    weights = np.hanning(n + 2)[1:-1]
    weights /= weights.sum()
    padded = np.pad(track, ((n // 2, n // 2), (0, 0)), mode="edge")
    return np.stack([np.convolve(c, weights, "valid") for c in padded.T], 1)


def _pitch(
    phones: list[tuple[str, int, bool]], frames: int, who: dict[str, Any], draw: np.random.Generator
) -> NDArray[Any]:
    """Hz per frame: a slow fall, a rise at some stresses, the same for machines without melody."""
    points = max(2, sum(stress == 2 for _, stress, _ in phones))
    bends = draw.normal(0, who["lively"], points)
    line = np.interp(np.linspace(0, points - 1, frames), np.arange(points), bends)
    fall = np.linspace(0.6, -0.6, frames) * who["lively"]
    return who["f0"] * np.exp(line + fall)


def _pulses(pitch: NDArray[Any], jitter: float, draw: np.random.Generator) -> NDArray[Any]:
    """One pulse per turn of the voice, placed between samples."""
    hertz = np.repeat(pitch, HOP)
    turns = np.cumsum(hertz / RATE)
    count = int(turns[-1])
    when = np.interp(np.arange(1, count), turns, np.arange(len(turns)))
    when = np.clip(when + draw.normal(0, jitter, len(when)) * RATE / hertz[0], 0, len(hertz) - 2)
    strong = np.exp(draw.normal(0, jitter * 2, len(when))) / np.sqrt(hertz[when.astype(int)])
    out = np.zeros(len(hertz), np.float32)
    whole = when.astype(int)
    np.add.at(out, whole, (1 - when + whole) * strong)
    np.add.at(out, whole + 1, (when - whole) * strong)
    return out * 60


_TURN = np.exp(-2j * np.pi * np.arange(FFT // 2 + 1) / FFT).astype(np.complex64)[None]
"""A delay of one sample, at every frequency."""
_HERTZ = np.arange(FFT // 2 + 1) * RATE / FFT
LOUD = 0.5
"""Level of the voice above which frames are counted for how strong it is."""
FORMANT_WIDTHS = (60, 90, 140)
UPPER = (3500, 4500, 5500, 6500, 7500)
"""Hz of the resonances above the three that tell the vowels."""


def spoken(said: str, seed: int) -> NDArray[np.int16]:
    """The sound of one misaki string by a voice drawn from ``seed``; 16 kHz."""
    draw = np.random.default_rng(seed)
    who = _voice(draw)
    phones = phones_of(said)
    formants, levels, kinds = _tracks(_segments(phones, who, draw), who)
    frames = len(kinds)
    throat = _throat(formants, kinds, who)
    hiss = _hiss_shapes(kinds, who)
    # Noise is drawn before the pulses: the order is part of what a seed stands for.
    noisy = _pieces(draw.normal(0, 1, frames * HOP).astype(np.float32), frames)
    pulses = _pulses(_pitch(phones, frames, who, draw), who["jitter"], draw)
    pulses = np.pad(pulses, (0, max(0, frames * HOP - len(pulses))))[: frames * HOP]

    voice, breath, rough = (levels[:, k : k + 1] for k in range(3))
    strong = voice[:, 0] > LOUD
    spectrum = _even(_pieces(pulses, frames) * _source(who) * throat, strong) * voice
    spectrum /= 1 + (_HERTZ / who["top"]) ** 8
    airy = _even(noisy * throat / (1 + _HERTZ / 2500), strong)
    spectrum += airy * (breath + voice * who["breath"])
    spectrum += _even(noisy * hiss, hiss.any(1)) * rough
    out = _overlapped(spectrum)
    return np.asarray(out / (np.abs(out).max() + 1e-9) * 20000, np.int16)


def _tracks(
    segments: list[Segment], who: dict[str, Any]
) -> tuple[NDArray[Any], NDArray[Any], NDArray[Any]]:
    """Frame by frame, gliding: formants (frames, 3), levels of voice, breath and hiss; its kind."""
    counts = [max(1, round(ms / 1000 * RATE / HOP)) for ms, *_ in segments]
    formants = _smooth(np.repeat([s[1] for s in segments], counts, 0), who["glide_ms"])
    levels = np.repeat([s[2:5] for s in segments], counts, 0).clip(-70)
    levels = 10 ** (_smooth(levels, 18) / 20) * (levels.max(1, keepdims=True) > -69)
    return formants, _smooth(levels, 12), np.repeat([s[5] for s in segments], counts)


def _resonator(f: NDArray[Any], width: NDArray[Any] | float) -> NDArray[Any]:
    """Response at every frequency of a resonance at ``f``, ``width`` wide; both in Hz."""
    radius = np.exp(-np.pi * width / RATE)
    b = 2 * radius * np.cos(2 * np.pi * f / RATE)
    c = -(radius**2)
    shape = 1 / (1 - b * _TURN - c * _TURN * _TURN)
    return np.asarray((1 - b - c) * shape, np.complex64)


def _throat(formants: NDArray[Any], kinds: NDArray[Any], who: dict[str, Any]) -> NDArray[Any]:
    """Response of mouth and nose, frame by frame."""
    throat = np.ones((len(kinds), FFT // 2 + 1), np.complex64)
    for k, width in enumerate(FORMANT_WIDTHS):
        f = formants[:, k : k + 1]
        throat *= _resonator(f, who["bandwidth"] * (width + 0.02 * f))
    for k, upper in enumerate(UPPER):
        hz = np.array([[min(7900.0, upper * who["scale"] * who["high"][k])]])
        throat *= _resonator(hz, who["bandwidth"] * (200 + 100 * k))
    nose = _smooth(np.isin(kinds, NASALS)[:, None].astype(float), 40)
    zero = 1 / _resonator(np.array([[900.0 * who["scale"]]]), 250.0)
    throat *= 1 + nose * (_resonator(np.array([[270.0]]), 100.0) * zero - 1)
    return throat


def _source(who: dict[str, Any]) -> NDArray[Any]:
    """What glottis and lips make of a pulse."""
    lips = 1 - 0.97 * _TURN
    glottis = _resonator(np.array([[0.0]]), 120.0) / (1 + 1j * _HERTZ / who["tilt"])[None]
    return np.asarray(glottis * lips)


def _hiss_shapes(kinds: NDArray[Any], who: dict[str, Any]) -> NDArray[Any]:
    """The band of noise of every frame that hisses, zero for the others."""
    hiss = np.zeros((len(kinds), FFT // 2 + 1), np.float32)
    for kind, (low, high, _) in HISS.items():
        here = kinds == kind
        if here.any():
            low, high = low * who["scale"], high * who["scale"]
            band = 1 / (1 + (low / (_HERTZ + 1)) ** 6) / (1 + (_HERTZ / high) ** 8)
            hiss[here] = np.sqrt(band / band.sum())
    return hiss


def _pieces(sound: NDArray[Any], frames: int) -> NDArray[Any]:
    """Spectra of the windows of a sound, one a frame."""
    padded = np.pad(sound, (WINDOW // 2, WINDOW))
    rows = np.lib.stride_tricks.sliding_window_view(padded, WINDOW)[::HOP][:frames]
    return np.fft.rfft(rows * np.hanning(WINDOW), FFT).astype(np.complex64)


def _even(spectra: NDArray[Any], where: NDArray[Any]) -> NDArray[Any]:
    """Spectra scaled to a power of one over the frames ``where`` they are heard."""
    power = (np.abs(spectra[where]) ** 2).mean() if where.any() else 1.0
    return np.asarray(spectra / np.sqrt(power + 1e-20), np.complex64)


def _overlapped(spectra: NDArray[Any]) -> NDArray[Any]:
    """The sound of spectra, each added in where its frame begins."""
    frames, rows = len(spectra), np.fft.irfft(spectra, FFT)
    out = np.zeros((frames + FFT // HOP + 1) * HOP)
    for at in range(0, FFT, HOP):
        part = rows[:, at : at + HOP]
        grid = out[at : at + frames * HOP].reshape(frames, HOP)
        grid[:, : part.shape[1]] += part
    return out[: frames * HOP]


def _work(task: tuple[int, list[dict[str, Any]], Path]) -> float:
    rank, rows, out = task
    sounds = [spoken(row["p"], SEED * 1_000_003 + row["i"]) for row in rows]
    np.save(out / f"af{rank}.npy", np.concatenate(sounds))
    meta = [[row["i"], len(s)] for row, s in zip(rows, sounds, strict=True)]
    listed = out / f"mf{rank}.json"
    listed.with_suffix(".new").write_text(json.dumps(meta))
    listed.with_suffix(".new").rename(listed)
    return sum(len(s) for s in sounds) / RATE / 3600


def main() -> None:
    ask = asking(__doc__)
    ask.add_argument("tokens", help="TOKENS.jsonl.gz",
                     type=existing("make it: models/train/tokens.py"))  # fmt: skip
    ask.add_argument("out", type=Path, help="folder of the speech")
    ask.add_argument("--count", type=int, default=4000, help="utterances")
    ask.add_argument("--jobs", type=int, default=8, help="processes")
    args = ask.parse_args()
    args.out.mkdir(parents=True, exist_ok=True)
    with gzip.open(args.tokens, "rt", encoding="utf-8") as lines:
        # From the end: the neural voices begin at the other side.
        rows = [json.loads(line) for line in lines][-args.count :]
    tasks = [(k, rows[k :: args.jobs], args.out) for k in range(args.jobs)]
    with Pool(args.jobs) as pool:
        print(round(sum(pool.map(_work, tasks)), 2), "hours")


if __name__ == "__main__":
    main()
