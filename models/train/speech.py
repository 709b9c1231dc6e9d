"""The speech that is learnt from: recordings of people and synthetic utterances, end to end."""

from __future__ import annotations

import argparse
import gzip
import json
import os
from functools import partial
from multiprocessing.pool import ThreadPool
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import torch
from acoustic import frames_of
from noise import bank
from phones import ID, from_misaki
from torch import Tensor

RATE = 16000
SHORTEST, LONGEST = 5000, 17 * RATE
"""Samples of an utterance that is learnt from."""


class Item(NamedTuple):
    """An utterance within one long sound."""

    at: int
    """Its first sample."""
    samples: int
    phones: list[int]
    corpus: str
    """A letter; README.md has the list."""


def human(folder: Path, part: str) -> tuple[np.ndarray, list[Item]]:
    """All recordings of one part end to end, loudness made even."""
    rows = [
        row
        for index in sorted(folder.glob("index*.json"))
        for row in json.loads(index.read_text())[part]
    ]
    sound = _together(folder, part, rows)
    items, at = [], 0
    for _, n, phones, corpus in rows:
        items.append(Item(at, n, phones, corpus))
        at += n
    return sound, [i for i in items if _fits(i)]


def _together(folder: Path, part: str, rows: list[list[Any]]) -> np.ndarray:
    """The recordings of one part as one sound, kept for the next call as PART.npy."""
    cache = folder / f"{part}.npy"
    if cache.exists():
        return np.load(cache)
    sound = np.concatenate(ThreadPool(16).map(partial(_even, folder), rows, chunksize=20))
    # Put in place whole: the processes of other GPUs do the same at the same time.
    temporary = cache.with_suffix(f".{os.getpid()}.npy")
    np.save(temporary, sound)
    temporary.replace(cache)
    return sound


def _even(folder: Path, row: list[Any]) -> np.ndarray:
    """A recording of the index: one channel, as long as is written there, its peak at 0.6."""
    import soundfile
    import torchaudio.functional as AF

    x, rate = soundfile.read(folder / row[0], dtype="float32", always_2d=True)
    x = x.mean(1)
    if rate != RATE:
        x = AF.resample(torch.from_numpy(x), rate, RATE).numpy()
    x = np.pad(x[: row[1]], (0, max(0, row[1] - len(x))))
    return (x / (np.abs(x).max() + 1e-4) * 0.6 * 32767).astype(np.int16)


def places(items: list[Item]) -> tuple[Tensor, Tensor]:
    """Where utterances begin, and how many samples they have, in the main memory."""
    return torch.tensor([i.at for i in items]), torch.tensor([i.samples for i in items])


def spoken_by(tokens: Path) -> dict[int, list[int]]:
    """The phones of each synthetic utterance."""
    with gzip.open(tokens, "rt", encoding="utf-8") as lines:
        return {d["i"]: [ID[p] for p in from_misaki(d["p"])] for d in map(json.loads, lines)}


def synthetic(
    folder: Path, said: dict[int, list[int]], known: set[str], at: int = 0
) -> tuple[np.ndarray, list[Item]]:
    """Synthetic utterances of files not ``known`` yet, end to end, as from sample ``at`` on."""
    sounds, items = [], list[Item]()
    for meta in sorted(folder.glob("m*.json")):
        if meta.name in known:
            continue
        known.add(meta.name)
        sounds.append(np.load(folder / meta.name.replace("m", "a", 1).replace(".json", ".npy")))
        for i, n in json.loads(meta.read_text()):
            letter = "f" if meta.name.startswith("mf") else "k"
            items.append(Item(at, n, said[i], letter))
            at += n
    if not sounds:
        return np.zeros(0, np.int16), []
    return np.concatenate(sounds), [i for i in items if _fits(i)]


def _fits(item: Item) -> bool:
    """Whether an utterance is of a length to learn from and has time for its phones."""
    frames = (frames_of(item.samples) + 2) // 3
    return SHORTEST < item.samples < LONGEST and 0 < len(item.phones) * 1.12 < frames


def hours_of(items: list[Item]) -> dict[str, float]:
    """How much there is of each corpus, in hours."""
    corpora = sorted({i.corpus for i in items})
    samples = {c: sum(i.samples for i in items if i.corpus == c) for c in corpora}
    return {c: round(n / (3600 * RATE), 2) for c, n in samples.items()}


class Speech:
    """What is learnt from, and what is only listened to, on the device."""

    def __init__(self, args: argparse.Namespace, dev: torch.device) -> None:
        people, self.items = human(args.people, "train")
        self._folder, self._said, self._known = args.synthetic, spoken_by(args.tokens), set[str]()
        made, more = synthetic(self._folder, self._said, self._known, len(people))
        self.items += more
        self.sound = torch.from_numpy(np.concatenate([people, made])).to(dev)
        dev_sound, self.dev_items = human(args.people, "dev")
        self.dev_sound = torch.from_numpy(dev_sound).to(dev)
        self.noises = torch.from_numpy(bank(args.seed, args.noises)).to(dev)

    def newly_made(self) -> list[Item]:
        """Synthetic speech that has come since; it is one of the items from now on."""
        made, more = synthetic(self._folder, self._said, self._known, len(self.sound))
        if more:
            self.sound = torch.cat([self.sound, torch.from_numpy(made).to(self.sound.device)])
            self.items += more
        return more
