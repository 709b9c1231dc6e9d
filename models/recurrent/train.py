"""Train the recurrent language model that reads the recogniser's candidates once more.

    python models/recurrent/train.py TEXTS.npz OUT.npz [--limit SECONDS] [--size 256] [--cells 512]
    ... [--begin NETWORK.npz]

Needs numpy and torch, and a GPU to be quick. TEXTS.npz is from ``texts.py``. One long short-term
memory layer (or more); a word goes in by the row of a table and comes out by its product with the
same row, as Kaldi's lattice rescoring wants it. Nobody divides by the sum over all words when it
listens, so that sum is kept near one while it learns (``EVEN``). ``--begin`` goes on from a
network of this script or from a packed one; a word that it does not know begins as the names do,
but as rare as it is.
"""

from __future__ import annotations

import argparse
import itertools
import json
import math
import queue
import random
import sys
import threading
import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import torch
from torch import nn

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from models.inputs import existing

DEVICE = "cuda" if torch.cuda.is_available() else "cpu"
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
EVEN = 0.1
"""Weight of the squared logarithm of the sum over all words."""


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


class Recurrent(nn.Module):
    """Words in, what is expected next out."""

    def __init__(self, words: int, size: int, cells: int, layers: int, drop: float) -> None:
        super().__init__()
        self.table = nn.Embedding(words, size)
        self.often = nn.Parameter(torch.zeros(words))
        nn.init.normal_(self.table.weight, std=0.05)
        self.cells = nn.ModuleList(
            nn.LSTM(size if n == 0 else cells, cells, batch_first=True) for n in range(layers)
        )
        self.predict = nn.Linear(cells, size)
        self.drop = nn.Dropout(drop)

    def forward(self, ids: torch.Tensor) -> torch.Tensor:
        x = self.drop(self.table(ids))
        for layer in self.cells:
            x = self.drop(layer(x)[0])
        return self.predict(x)


def scores(net: Recurrent, rows: torch.Tensor) -> tuple[torch.Tensor, torch.Tensor]:
    """(log of the sum over all words, the unnormalised log chance of the word that came)."""
    rows = rows.to(DEVICE, non_blocking=True)
    with torch.autocast("cuda", dtype=torch.bfloat16, enabled=DEVICE == "cuda"):
        hidden = net(rows[:, :-1].clamp(min=0))
        there = rows[:, 1:] >= 0
        logits = hidden[there] @ net.table.weight.T
    logits = logits.float() + net.often
    came = logits.gather(1, rows[:, 1:][there][:, None])[:, 0]
    return torch.logsumexp(logits, 1), came


@torch.no_grad()
def perplexity(net: Recurrent, notes: list[list[np.ndarray]]) -> tuple[float, float, float]:
    """Per word, ends counted: normalised, as it is used, and how far the log sum strays."""
    net.eval()
    dice, sums, came = random.Random(1), [], []
    for batch in batches([[np.concatenate(n)] for n in notes], dice):
        a, b = scores(net, as_tensor(batch))
        sums.append(a)
        came.append(b)
    net.train()
    z, c = torch.cat(sums), torch.cat(came)
    return math.exp(float((z - c).mean())), math.exp(float(-c.mean())), float(z.std())


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
                out.put((number, rows.pin_memory() if DEVICE == "cuda" else rows))

    threading.Thread(target=make, daemon=True).start()
    return out


@torch.no_grad()
def usual(net: Recurrent, notes: list[list[np.ndarray]]) -> np.ndarray:
    """The log chance of each word where it is said, on average; a rare word's by how rare it is."""
    net.eval()
    many, total = (np.zeros(len(net.often)) for _ in range(2))
    for batch in batches(notes, random.Random(3)):
        rows = as_tensor(batch)
        _, came = scores(net, rows)
        words = rows[:, 1:][rows[:, 1:] >= 0].numpy()
        np.add.at(total, words, came.cpu().numpy())
        np.add.at(many, words, 1)
    often, known = net.often.cpu().numpy(), many >= 3
    line = np.polyfit(often[known], total[known] / many[known], 1, w=np.sqrt(many[known]))
    return (total + 3 * np.polyval(line, often)) / (many + 3)


def save(
    net: Recurrent, path: Path, words: list[str], expected: np.ndarray, facts: dict[str, Any]
) -> None:
    """The weights under the names that ``fieldlog/speech/rescoring.py`` uses, with the words.

    What is told of the training goes beside it as ``.json``.
    """
    state = {k: v.detach().float().cpu().numpy() for k, v in net.state_dict().items()}
    out = {
        "table": state["table.weight"],
        "often": state["often"],
        "usual": expected.astype(np.float32),
        "predict": state["predict.weight"],
        "predict_bias": state["predict.bias"],
    }
    for n in range(len(net.cells)):
        out[f"in.{n}"] = state[f"cells.{n}.weight_ih_l0"]
        out[f"again.{n}"] = state[f"cells.{n}.weight_hh_l0"]
        out[f"bias.{n}"] = state[f"cells.{n}.bias_ih_l0"] + state[f"cells.{n}.bias_hh_l0"]
    np.savez(path, words=np.array(words), **out)
    path.with_suffix(".json").write_text(json.dumps(facts, indent=1), encoding="utf-8")


@torch.no_grad()
def go_on(net: Recurrent, path: Path, words: list[str]) -> None:
    """Put the weights of an earlier network in, its table in the order of ``words``."""
    with np.load(path) as data:
        old = {k: data[k] for k in data.files}
    listed = old.pop("words")
    known = listed.tobytes().decode().split(" ") if listed.dtype == np.uint8 else listed.tolist()
    for name in [k for k in old if f"{k}.scale" in old]:
        old[name] = old[name].astype(np.float32) * old[f"{name}.scale"].astype(np.float32)[:, None]
    place = {w: i for i, w in enumerate(known)}
    rows = [place.get(w, place["<name>"]) for w in words]
    fresh = np.array([w not in place for w in words])
    often = np.where(fresh, net.often.cpu().numpy(), old["often"][rows].astype(np.float32))
    new = {"table.weight": old["table"][rows], "often": often}
    new |= {"predict.weight": old["predict"], "predict.bias": old["predict_bias"]}
    for n in range(len(net.cells)):
        new[f"cells.{n}.weight_ih_l0"] = old[f"in.{n}"]
        new[f"cells.{n}.weight_hh_l0"] = old[f"again.{n}"]
        new[f"cells.{n}.bias_ih_l0"] = old[f"bias.{n}"]
        new[f"cells.{n}.bias_hh_l0"] = np.zeros_like(old[f"bias.{n}"])
    net.load_state_dict({k: torch.from_numpy(v.astype(np.float32)) for k, v in new.items()})
    print(f"from {path.name}; {fresh.sum()} words are new", flush=True)


def asked() -> argparse.Namespace:
    """What the command line asks for."""
    ask = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    texts = existing("make it: models/recurrent/texts.py")
    ask.add_argument("texts", type=texts, help="arrays of texts.py")
    ask.add_argument("out", type=Path, help="the network, .npz; what is told of it beside it")
    ask.add_argument("--more", type=texts, nargs="*", default=[], help="other arrays of texts")
    ask.add_argument("--parts", nargs="*", default=["talk=2", "notes=2"], help="part=times a round")
    ask.add_argument("--limit", type=float, default=600, help="seconds")
    ask.add_argument("--begin", type=existing(), help="an earlier network, packed or not")
    ask.add_argument("--size", type=int, default=256, help="numbers a word has in the table")
    ask.add_argument("--cells", type=int, default=512, help="of a layer")
    ask.add_argument("--layers", type=int, default=1, help="of long short-term memory")
    ask.add_argument("--drop", type=float, default=0.2, help="share of numbers left out")
    ask.add_argument("--rate", type=float, default=2e-3, help="peak rate of learning")
    ask.add_argument("--seed", type=int, default=1, help="of weights and batches")
    ask.add_argument("--few", action="store_true", help="only a few notes: tries the script")
    return ask.parse_args()


@dataclass
class Texts:
    """What is learnt from and what is held out."""

    words: list[str] = field(default_factory=list)
    parts: list[Part] = field(default_factory=list)
    held: dict[str, list[Note]] = field(default_factory=dict)

    @classmethod
    def read(cls, paths: Sequence[Path], often: dict[str, float], few: bool) -> Texts:
        """The arrays of ``texts.py``; ``often``: how many times a round a part is learnt."""
        out = cls()
        for path in paths:
            with np.load(path) as data:
                for name in data.files:
                    if name == "words":
                        out.words = data[name].tolist()
                    elif name.startswith("heldout"):
                        out.held[name] = notes_of(data[name])
                    else:
                        notes = notes_of(data[name][: 20_000 if few else None])
                        out.parts.append((notes, often.get(name, 1.0)))
        return out

    def log_often(self) -> np.ndarray:
        """The log of how often each word comes in a round."""
        counts = np.ones(len(self.words))
        for notes, often in self.parts:
            for note in notes:
                np.add.at(counts, np.concatenate([*note, [END]]), often)
        return np.log(counts / counts.sum())

    def perplexities(self, net: Recurrent) -> dict[str, tuple[float, ...]]:
        """``perplexity`` of each part that is held out, rounded."""
        return {k: tuple(round(x, 2) for x in perplexity(net, v)) for k, v in self.held.items()}


def step(net: Recurrent, optimiser: torch.optim.Optimizer, rows: torch.Tensor) -> torch.Tensor:
    """Learn from some rows; the mean log by which their words were not expected."""
    z, came = scores(net, rows)
    loss = (z - came).mean() + EVEN * (z**2).mean()
    optimiser.zero_grad(set_to_none=True)
    loss.backward()
    nn.utils.clip_grad_norm_(net.parameters(), 1.0)
    optimiser.step()
    return (z - came).mean().detach()


def learn(net: Recurrent, texts: Texts, args: argparse.Namespace) -> dict[str, Any]:
    """Teach the network until the time is over; returns the steps and how well it does then."""
    optimiser = torch.optim.AdamW(net.parameters(), lr=args.rate, weight_decay=0.01,
                                  betas=(0.9, 0.98))  # fmt: skip
    source = feed(texts.parts, args.seed)
    began, done, told_at, since = time.time(), 0, 0.0, 0
    total: Any = 0.0
    while True:
        gone = (time.time() - began) / args.limit
        if gone >= 1 or (args.few and done >= 20):
            break
        number, rows = source.get()
        for group in optimiser.param_groups:
            group["lr"] = args.rate * min((done + 1) / 200, 0.5 + 0.5 * math.cos(math.pi * gone))
        total, done = total + step(net, optimiser, rows), done + 1
        if time.time() - told_at > 20:
            each, learnt = texts.perplexities(net), math.exp(float(total) / max(1, done - since))
            print(f"round {number} step {done} {time.time() - began:.0f} s "
                  f"learnt {learnt:.2f} {each}", flush=True)  # fmt: skip
            total, since = 0.0, done
            told_at = time.time()
    each = texts.perplexities(net)
    print(f"end: {done} steps, {time.time() - began:.0f} s {each}", flush=True)
    return {"steps": done, "perplexity": each}


def main() -> None:
    args = asked()
    torch.manual_seed(args.seed)
    often = {k: float(v) for k, v in (p.split("=") for p in args.parts)}
    texts = Texts.read((args.texts, *args.more), often, args.few)
    net = Recurrent(len(texts.words), args.size, args.cells, args.layers, args.drop).to(DEVICE)
    net.often.data = torch.from_numpy(texts.log_often()).float().to(DEVICE)
    if args.begin:
        go_on(net, args.begin, texts.words)
    learnt = learn(net, texts, args)
    facts = {k: v for k, v in vars(args).items() if not isinstance(v, Path | list)}
    dice = random.Random(3)
    some = [n for notes, _ in texts.parts for n in dice.sample(notes, min(4000, len(notes)))]
    save(net, args.out, texts.words, usual(net, some), facts | learnt)


if __name__ == "__main__":
    main()
