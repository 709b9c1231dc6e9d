"""Draw more talk: the language model learns our notes and then tells new ones.

    python models/gist/draw.py BUNDLE OUT.json.gz [--many N] [--without SPLIT ...] [--lines FILE ..]

BUNDLE is the folder that ``examples.py`` wrote. Needs numpy and torch, and a GPU to be quick. The
model of ``language_model.py`` goes on learning, word after word, on the annotated notes (their
words alone); from what it then expects, new notes are drawn at random. Nobody labelled them: the
large networks teach the small one on them (``train.py --drawn``), and the language model of speech
may count their words. OUT gets a list of notes: the words as typed, and as a recogniser may hear
them. A drawn note that is one it learnt from, or has a word that none has, is dropped.
``--without`` leaves the notes of splits out and prints how well each of their pieces is expected.
``--lines`` are files of another kind of talk, one utterance a line. They are learnt behind a mark,
so that as many of that kind can be drawn as are wanted (``--many-lines``).
"""

from __future__ import annotations

import argparse
import json
import math
import multiprocessing
import random
import sys
import time
from collections.abc import Sequence, Set
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE), str(HERE.parents[1])]

from models.inputs import asking, existing, left_out, packages  # noqa: E402

if __name__ == "__main__":
    packages(__doc__, "models/gist/README.md", "torch", "gguf")

import torch  # noqa: E402
from device import DEVICE, half  # noqa: E402
from files import read_list, write_list  # noqa: E402
from going_on import LONGEST, Row, gone_on  # noqa: E402
from language_model import BEGIN, GAP, LanguageModel  # noqa: E402
from mishearing import Mishearing  # noqa: E402
from torch import nn  # noqa: E402
from torch.nn import functional as F  # noqa: E402

from fieldlog.language.opinion.word_pieces import unstopped  # noqa: E402

RATE = 3e-4
ROOM = 24_000
"""Pieces that are learnt from at once."""
LEAST = 4
"""Words of a drawn note."""


def batches(rows: Sequence[Row], dice: random.Random) -> list[list[Row]]:
    """The notes in random groups of like length, each filled up to at most ``ROOM`` pieces."""
    ordered = sorted(dice.sample(rows, len(rows)), key=lambda row: len(row) // 6)
    out: list[list[Row]] = [[]]
    for row in ordered:
        if len(row) * (len(out[-1]) + 1) > ROOM:
            out.append([])
        out[-1].append(row)
    dice.shuffle(out)
    return out


def loss_of(net: LanguageModel, rows: Sequence[Row]) -> tuple[Any, int]:
    """The sum over the pieces of minus the log of how far each was expected, and how many."""
    wide = max(map(len, rows))
    ids = torch.zeros((len(rows), wide), dtype=torch.long)
    real = torch.zeros((len(rows), wide), dtype=torch.bool)
    for n, row in enumerate(rows):
        ids[n, : len(row)], real[n, : len(row)] = torch.tensor(row), True
    ids, real = ids.to(DEVICE), real.to(DEVICE)
    with half():
        logits = net.read(ids[:, :-1], real[:, :-1]) @ net.table.weight.T
    there = real[:, 1:]
    each = F.cross_entropy(logits.float()[there], ids[:, 1:][there], reduction="sum")
    return each, int(there.sum())


def learn(
    net: LanguageModel, rows: Sequence[Row], held: Sequence[Row], rounds: int, limit: float
) -> None:
    """Teach the model the notes; the rate of learning falls to nothing by the end."""
    optimiser = torch.optim.AdamW(
        net.parameters(), lr=RATE, weight_decay=0.01, fused=DEVICE == "cuda"
    )
    dice, began, done = random.Random(7), time.time(), 0
    for n in range(rounds):
        some = batches(rows, dice)
        net.train()
        total, count = 0.0, 0
        for batch in some:
            gone = max(done / (rounds * len(some)), (time.time() - began) / limit)
            for group in optimiser.param_groups:
                group["lr"] = RATE * min((done + 1) / 50, 1.0) * max(0.0, 1 - gone)
            each, many = loss_of(net, batch)
            optimiser.zero_grad(set_to_none=True)
            (each / many).backward()
            nn.utils.clip_grad_norm_(net.parameters(), 1.0)
            optimiser.step()
            total, count, done = total + each.detach(), count + many, done + 1
        print(f"draw {n + 1}: a piece {math.exp(float(total) / count):.2f}, of others "
              f"{expected(net, held):.2f} {time.time() - began:.0f} s", flush=True)  # fmt: skip


@torch.no_grad()
def expected(net: LanguageModel, rows: Sequence[Row]) -> float:
    """Perplexity of a piece."""
    net.eval()
    total, count = 0.0, 0
    for batch in batches(rows, random.Random(1)) if rows else ():
        each, many = loss_of(net, batch)
        total, count = total + float(each), count + many
    return math.exp(total / max(1, count))


def drawn(net: LanguageModel, before: Row, many: int, seed: int) -> list[Row]:
    """New notes as pieces, drawn behind ``before``; those that came to an end.

    The first piece of ``before`` ends a note as well.
    """

    def choose(logits: Any) -> Any:
        return torch.multinomial(torch.softmax(logits, -1), 1)[:, 0]

    told = gone_on(net, [before] * many, before[:1], seed, choose)
    notes = [row[begin:] for begin, row in told]
    return [note[: note.index(before[0])] for note in notes if before[0] in note]


_HEARING: list[Mishearing] = []
"""In a process that mishears: how."""


def _misheard(words: Sequence[str]) -> list[str]:
    return _HEARING[-1].again(unstopped(words))


def asked() -> argparse.Namespace:
    """What the command line asks for."""
    parser = asking(__doc__)
    parser.add_argument(
        "bundle", help="folder of examples.py",
        type=existing("make it: models/gist/examples.py BUNDLE ...", "examples.json.gz",
                      "language_model_spelling.json", "letters.json",
                      "language_model_*.npz"),
    )  # fmt: skip
    parser.add_argument("out", type=Path, help="list of notes, .json.gz")
    parser.add_argument("--without", nargs="*", default=[], help="splits left out")
    parser.add_argument("--rounds", type=int, default=4, help="of learning")
    parser.add_argument("--limit", type=float, default=1e9, help="seconds of learning")
    parser.add_argument("--many", type=int, default=120_000, help="notes to draw")
    parser.add_argument(
        "--lines", type=existing(), nargs="*", default=[], help="files of other talk"
    )
    parser.add_argument("--many-lines", type=int, default=60_000, help="to draw of that")
    parser.add_argument("--draw-limit", type=float, default=1e9, help="seconds for each kind")
    parser.add_argument("--beside", type=int, default=4096, help="notes drawn side by side")
    parser.add_argument("--few", action="store_true", help="only a few notes: tries the script")
    return parser.parse_args()


def notes_of(args: argparse.Namespace) -> tuple[list[Any], list[list[str]]]:
    """The annotated notes, and the words of those that are held back."""
    notes = [e for e in read_list(args.bundle / "examples.json.gz") if e["kind"] == "note"]
    left_out(args.without, [n["split"] for n in notes if "split" in n])
    held = [n["words"] for n in notes if n.get("split") in args.without]
    notes = [n for n in notes if n.get("split") not in args.without]
    return (notes[:40], held[:10]) if args.few else (notes, held)


def lines_of(paths: Sequence[Path], spelling: dict[str, Row]) -> list[list[str]]:
    """Other talk, line by line; a line with a word that nobody can spell is left out."""
    said = (line.split() for path in paths for line in path.read_text("utf-8").splitlines())
    return [words for words in said if words and spelling.keys() >= {*words}]


def row_of(words: Sequence[str], spelling: dict[str, Row], *before: int) -> Row:
    """A text as pieces between two begins."""
    begin = spelling[BEGIN][0]
    pieces = (piece for w in words for piece in spelling[w])
    return [begin, *before, *pieces, begin][:LONGEST]


def hearing(notes: Sequence[Any]) -> ProcessPoolExecutor:
    """Processes that mishear as the recogniser did in these notes."""
    _HEARING.append(Mishearing((unstopped(n["words"]), n["heard"]) for n in notes))
    pool = ProcessPoolExecutor(8, multiprocessing.get_context("fork"))
    pool.submit(int).result()  # the processes are forks: before the GPU is used
    return pool


class Drawer:
    """Draws new texts, and keeps those that are new, long enough, and of known words."""

    def __init__(
        self, net: LanguageModel, letters: Sequence[str], words: Set[str], known: set[str]
    ) -> None:
        """``known``: texts that are not new; those that are drawn come to it."""
        self.net, self.letters, self.words, self.known = net, letters, words, known
        self.out: list[list[str]] = []
        self.dropped = self.seed = 0

    def draw(self, before: Row, many: int, limit: float, beside: int) -> None:
        """At least ``many`` more texts behind the pieces ``before``, or what ``limit`` s allow."""
        began, enough = time.time(), len(self.out) + many
        while len(self.out) < enough and time.time() - began < limit:
            for pieces in drawn(self.net, before, beside, self.seed):
                self._take("".join(self.letters[p] for p in pieces).strip())
            self.seed += 1
            print(f"drawn {len(self.out)}, dropped {self.dropped}, {time.time() - began:.0f} s",
                  flush=True)  # fmt: skip

    def _take(self, text: str) -> None:
        words = text.replace(",", " ,").replace(".", " .").split()
        told = " ".join(words)
        if len(words) < LEAST or told in self.known or not self.words >= {*words}:
            self.dropped += 1
            return
        self.known.add(told)
        self.out.append(words)


def main() -> None:
    """Learn the notes, draw new ones, write them."""
    args = asked()
    notes, held = notes_of(args)
    spelling = json.loads(
        (args.bundle / "language_model_spelling.json").read_text(encoding="utf-8")
    )
    letters = json.loads((args.bundle / "letters.json").read_text(encoding="utf-8"))
    pool = hearing(notes)
    begin, mark = spelling[BEGIN][0], spelling[GAP][0]
    lines = lines_of(args.lines, spelling)
    rows = [row_of(n["words"], spelling) for n in notes]
    rows += [row_of(words, spelling, mark) for words in lines]

    net = LanguageModel(args.bundle, 1, twice=True, dry=True).to(DEVICE)
    print(f"{len(notes)} notes, {len(lines)} lines", flush=True)
    learn(net, rows, [row_of(w, spelling) for w in held], args.rounds, args.limit)
    known = {" ".join(n["words"]) for n in notes} | {" ".join(words) for words in lines}
    drawer = Drawer(net, letters, spelling.keys(), known)
    drawer.draw([begin], args.many, args.draw_limit, args.beside)
    if lines:
        drawer.draw([begin, mark], args.many_lines, args.draw_limit, args.beside)
    heard = pool.map(_misheard, drawer.out, chunksize=2000)
    both = [{"words": w, "heard": h} for w, h in zip(drawer.out, heard, strict=True)]
    write_list(args.out, both)


if __name__ == "__main__":
    main()
