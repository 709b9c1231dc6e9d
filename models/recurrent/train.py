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
import math
import random
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE), str(HERE.parents[1])]

from models.inputs import asking, existing, packages  # noqa: E402

if __name__ == "__main__":
    packages(__doc__, "models/recurrent/README.md", "torch")

import torch  # noqa: E402
from recurrent import DEVICE, Recurrent, go_on, perplexity, save, scores, usual  # noqa: E402
from torch import nn  # noqa: E402
from utterances import END, Note, Part, feed, notes_of  # noqa: E402

EVEN = 0.1
"""Weight of the squared logarithm of the sum over all words."""


def asked() -> argparse.Namespace:
    """What the command line asks for."""
    ask = asking(__doc__)
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
