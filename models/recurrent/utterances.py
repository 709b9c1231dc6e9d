"""Notes as the recurrent language model reads them: utterances, in batches of like length."""

from __future__ import annotations

import itertools
import queue
import random
import threading

import numpy as np
import torch

SENTENCE, NOTE = -1, -2
"""Marks of an end in the arrays of ``texts.py``."""
Note = list[np.ndarray]
"""Its sentences, each the numbers of its words."""
Part = tuple[list[Note], float]
"""Notes, and how many times a round they are learnt."""
BEGIN, END = 0, 1
LONGEST = 150
"""Words of one utterance; a longer one is cut at the end of a sentence where it can be."""
ROOM = 12_000
"""Words that are learnt from at once."""
WHOLE = 0.6
"""How often a note is one utterance. Otherwise a pause may follow any sentence."""


def notes_of(flat: np.ndarray) -> list[list[np.ndarray]]:
    """The notes of an array of ``texts.py``, each a list of sentences."""
    out = []
    for note in np.split(flat, np.flatnonzero(flat == NOTE) + 1):
        parts = np.split(note, np.flatnonzero(note == SENTENCE) + 1)
        kept = [p[p >= 0].astype(np.int64) for p in parts if (p >= 0).any()]
        if kept:
            out.append(kept)
    return out


def utterances(note: list[np.ndarray], dice: random.Random) -> list[np.ndarray]:
    """How a note may have been spoken: as one, or with a pause after some of its sentences."""
    pause = 0.0 if dice.random() < WHOLE else dice.choice((0.15, 0.4, 1.0))
    out: list[list[np.ndarray]] = [[]]
    for sentence in note:
        if out[-1] and (dice.random() < pause or sum(map(len, out[-1])) + len(sentence) > LONGEST):
            out.append([])
        out[-1].append(sentence)
    return [np.concatenate(u)[:LONGEST] for u in out]


def batches(notes: list[list[np.ndarray]], dice: random.Random) -> list[list[np.ndarray]]:
    """All notes once, in groups of like length, in random order."""
    rows = [u for n in dice.sample(notes, len(notes)) for u in utterances(n, dice)]
    rows.sort(key=lambda r: len(r) // 4)
    out: list[list[np.ndarray]] = [[]]
    for row in rows:
        if (len(row) + 1) * (len(out[-1]) + 1) > ROOM:
            out.append([])
        out[-1].append(row)
    dice.shuffle(out)
    return out


def as_tensor(rows: list[np.ndarray]) -> torch.Tensor:
    """Rows between begin and end, filled up with -1."""
    wide = max(map(len, rows)) + 2
    out = np.full((len(rows), wide), -1)
    for n, row in enumerate(rows):
        out[n, 0], out[n, 1 : len(row) + 1], out[n, len(row) + 1] = BEGIN, row, END
    return torch.from_numpy(out)


def feed(parts: list[Part], seed: int) -> queue.Queue[tuple[int, torch.Tensor]]:
    """Batches without end, made beside the learning: (round, rows)."""
    out: queue.Queue[tuple[int, torch.Tensor]] = queue.Queue(60)

    def make() -> None:
        dice = random.Random(seed)
        for number in itertools.count():
            some: list[list[np.ndarray]] = []
            for notes, often in parts:
                whole, rest = int(often), often - int(often)
                some += notes * whole + dice.sample(notes, int(rest * len(notes)))
            for batch in batches(some, dice):
                rows = as_tensor(batch)
                out.put((number, rows.pin_memory() if torch.cuda.is_available() else rows))

    threading.Thread(target=make, daemon=True).start()
    return out
