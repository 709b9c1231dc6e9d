"""Train the second opinion on what was said (``fieldlog/language/gist.py``).

    python models/gist/train.py BUNDLE OUT [--without SPLIT ...] [--teachers 2] [--epochs 10]

BUNDLE is the folder that ``examples.py`` wrote. Needs numpy and torch; two minutes on a GPU.
First some large networks (the six layers of a sentence model) learn from the labelled texts; their
mean then teaches the small network, word by word, also on talk that nobody labelled. The loss of
the labels is that of a noisy or over the words of a text: some word must say each code, and no
word another. ``--without`` leaves the gold notes of splits out and prints how well their codes are
found. OUT gets ``network.npz``, ``pieces.txt`` and ``codes.txt``.
"""

from __future__ import annotations

import argparse
import gzip
import json
import multiprocessing
import random
import sys
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from pathlib import Path
from typing import Any

import numpy as np
import torch
from torch import nn
from torch.nn import functional as F

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE), str(HERE.parents[1])]

from network import Encoder, Small, packed, ready  # noqa: E402

from fieldlog.core.facts import Reporter, Severity, Trend  # noqa: E402
from fieldlog.language.word_pieces import (  # noqa: E402
    FEET_TOLD,
    HIDDEN,
    PLACES_TOLD,
    STOPS,
    Pieces,
    unstopped,
)

SORTS = ("number", "time")
"""What may be tied to a fact: its value, or when it is to be done."""
LEAST = 4
"""A code in fewer examples than this is not learnt."""
BATCH = 128
RATE = 2.5e-4
"""Peak rate of learning of a large network."""
DEVICE = "cuda" if torch.cuda.is_available() else "cpu"
PAD = "[PAD]"
LONGEST = 250
"""Words of a text that are read."""
AHEAD = 3
"""Rounds that are made ready while one is learnt from."""

Text = tuple[Sequence[str], list[str], dict[str, list[str]], list[dict[str, Any]]]
"""Words, codes, how each code is told where somebody annotated it, and what its numbers tell."""
Arrays = tuple[Any, ...]


class Reader:
    """From words to the network's input."""

    def __init__(self, pieces: Sequence[str], names: Sequence[str], seed: int) -> None:
        self.pieces = Pieces(pieces)
        codes = [name for name in names if not name.startswith("@")]
        self.column = {c: i for i, c in enumerate(codes)}
        self.how = {name: i for i, name in enumerate(names[len(codes) :])}
        self.dice = random.Random(seed)

    def batch(self, texts: Sequence[Text], hide: float = 0.0) -> Arrays:
        """Pieces, which are real, first piece of each word, which are words, codes; then for each
        annotated code its text, its column and how it is told; then for each word of a number or
        time that is annotated its text, its place and its number, and for each such number its
        text, its column, whether it is told how, and its sort (``SORTS``); and how it is told.

        ``hide`` is the share of words replaced by the mask.
        """
        rows = [self._row(words, hide) for words, *_ in texts]
        wide, many = max(len(r[0]) for r in rows), max(1, *(len(r[1]) for r in rows), 1)
        ids = np.full((len(rows), wide), self.pieces.number[PAD], np.int32)
        real, first = np.zeros((len(rows), wide), bool), np.zeros((len(rows), many), np.int32)
        word = np.zeros((len(rows), many), bool)
        said = np.zeros((len(rows), len(self.column)), bool)
        which: list[tuple[int, int]] = []
        hows: list[Sequence[str]] = []
        spelt: list[tuple[int, int, int]] = []
        numbers: list[tuple[int, int, int, int]] = []
        number_hows: list[Sequence[str]] = []
        for n, ((row, starts), (words, names, told, tied)) in enumerate(
            zip(rows, texts, strict=True)
        ):
            ids[n, : len(row)], real[n, : len(row)] = row, True
            first[n, : len(starts)] = starts
            word[n, : len(starts)] = [w not in STOPS for w in words[: len(starts)]]
            said[n, [self.column[c] for c in names if c in self.column]] = True
            for code, how in told.items():
                if code in self.column:
                    which.append((n, self.column[code]))
                    hows.append(how)
            at = [i for i, w in enumerate(words) if w not in STOPS] if tied else []
            for tie in tied:
                places = [at[i] for i in tie["words"]]
                if tie["code"] in self.column and places[-1] < len(starts):
                    spelt += [(n, place, len(numbers)) for place in places]
                    told_so = tie["told"] is not None
                    sort = SORTS.index(tie["sort"])
                    numbers.append((n, self.column[tie["code"]], told_so, sort))
                    number_hows.append(tie["told"] or ())
        return (
            ids, real, first, word, said, _wide(which, 2), self._hows(hows), _wide(spelt, 3),
            _wide(numbers, 4), self._hows(number_hows),
        )  # fmt: skip

    def _hows(self, told: Sequence[Sequence[str]]) -> Any:
        out = np.zeros((len(told), len(self.how)), bool)
        for n, names in enumerate(told):
            out[n, [self.how[name] for name in names if name in self.how]] = True
        return out

    def _row(self, words: Sequence[str], hide: float) -> tuple[list[int], list[int]]:
        return self.pieces.row(
            [HIDDEN if hide and self.dice.random() < hide else word for word in words[:LONGEST]]
        )


def _wide(rows: Sequence[tuple[int, ...]], many: int) -> Any:
    return np.array(rows, np.int32).reshape(-1, many)


def on_device(arrays: Arrays) -> tuple[Any, ...]:
    """As tensors: whole numbers 64 bits wide, marks and targets as numbers; what is real as is."""
    out = []
    for at, array in enumerate(arrays):
        tensor = torch.from_numpy(array).to(DEVICE, non_blocking=True)
        if array.dtype == np.int32:
            tensor = tensor.long()
        out.append(tensor.float() if array.dtype == bool and at != REAL else tensor)
    return tuple(out)


REAL = 1
"""Which of a batch's arrays tells which pieces are real."""


def as_said(words: Sequence[str], dice: random.Random) -> Sequence[str]:
    """The words, half of the time without stops."""
    return words if dice.random() < 0.5 else unstopped(words)


def rounds(by_kind: dict[str, list[Any]], dice: random.Random, all_talk: bool) -> Iterator[Any]:
    """The batches of one round: phrases alone or in a row, talk, notes twice."""
    texts: list[tuple[Text, bool]] = []
    phrases = dice.sample(by_kind["phrase"], len(by_kind["phrase"]))
    while phrases:
        group = [phrases.pop() for _ in range(min(len(phrases), dice.choice((1, 1, 2, 3))))]
        stop = ["."] if dice.random() < 0.5 else []
        texts.append((([w for e in group for w in (*e["words"], *stop)],
                       [c for e in group for c in e["labels"]], {}, []), True))  # fmt: skip
    many = len(by_kind["talk"]) // (1 if all_talk else 4)
    talk = dice.sample(by_kind["talk"], many)
    texts += [((as_said(e["words"], dice), e["labels"], e["told"], []), True) for e in talk]
    if all_talk:
        texts += [((as_said(e["words"], dice), [], {}, []), False) for e in by_kind["unsure"]]
    for note in by_kind["note"]:
        # As typed, without stops, and as a recogniser heard it or may have.
        for _ in range(2):
            heard = dice.random() < 0.4
            words = note["heard"] if heard else as_said(note["words"], dice)
            tied = [] if heard else note["tied"]
            texts.append(((words, note["labels"], note["told"], tied), True))
    texts = [t for t in texts if t[0][0]]
    dice.shuffle(texts)
    texts.sort(key=lambda t: len(t[0][0]) // 6)  # texts of like length share a batch
    batches = [texts[at : at + BATCH] for at in range(0, len(texts), BATCH)]
    dice.shuffle(batches)
    yield from batches


class Rounds:
    """Rounds of batches, made ready by other processes while the last one is learnt from.

    Make it before the first tensor goes to the GPU: the processes are forks.
    """

    def __init__(
        self, pieces: Sequence[str], names: Sequence[str], by_kind: dict[str, list[Any]]
    ) -> None:
        fork = multiprocessing.get_context("fork")
        source = (pieces, names, by_kind)
        self._pool = ProcessPoolExecutor(AHEAD, fork, _SOURCE.append, (source,))
        self._pool.submit(int).result()

    def __call__(self, many: int, all_talk: bool, begin: int) -> Iterator[list[tuple[Arrays, Any]]]:
        """``many`` rounds; ``begin`` makes them other ones."""
        waiting: list[Future[Any]] = []
        for n in range(many + AHEAD):
            if n < many:
                waiting.append(self._pool.submit(_one_round, 1000 * begin + n, all_talk))
            if n >= AHEAD:
                yield waiting.pop(0).result()


_SOURCE: list[Any] = []
"""In a process that makes rounds: what it makes them of."""


def _one_round(seed: int, all_talk: bool) -> list[tuple[Arrays, Any]]:
    pieces, names, by_kind = _SOURCE[-1]
    reader = Reader(pieces, names, seed)
    return [
        (reader.batch([t for t, _ in batch], hide=0.04), np.array([k for _, k in batch], bool))
        for batch in rounds(by_kind, reader.dice, all_talk)
    ]


def none_said(logits: Any, word: Any) -> Any:
    """The log of the chance that no word of a text says each code."""
    return -(F.softplus(logits) * word.unsqueeze(-1)).sum(1)


def label_loss(logits: Any, word: Any, said: Any, labelled: Any) -> Any:
    """The loss of a noisy or, for the texts that are labelled."""
    none = none_said(logits, word)
    some = -torch.expm1(none)
    each = -(said * torch.log(some.clamp_min(1e-6)) + (1 - said) * none).sum(1)
    return (each * labelled).sum() / labelled.sum().clamp_min(1)


def how_told(chance: Any, word: Any, pair: Any, codes: int) -> tuple[Any, Any]:
    """For each annotated code its chance at every word, and the chance of every manner there."""
    at = chance[pair[:, 0]] * word[pair[:, 0]].unsqueeze(-1)
    column = pair[:, 1].view(-1, 1, 1).expand(-1, at.shape[1], 1)
    return at[..., :codes].gather(2, column), at[..., codes:]


def how_loss(logits: Any, word: Any, pair: Any, how: Any, codes: int) -> Any:
    """The loss of how the annotated codes are told: where a code is said, its manner is too.

    That a manner is not told teaches nothing about where the code is said.
    """
    code, manner = how_told(torch.sigmoid(logits), word, pair, codes)

    def none(code: Any) -> Any:
        return torch.log1p(-(code * manner).clamp(max=1 - 1e-6)).sum(1)

    some = -torch.expm1(none(code))
    each = how * torch.log(some.clamp_min(1e-6)) + (1 - how) * none(code.detach())
    return -each.sum() / len(word)


def number_loss(logits: Any, said: Any, spelt: Any, numbers: Any, how: Any, valued: Any) -> Any:
    """The loss of what the numbers and times tell: at their words their own code is said, and none
    of the note's other codes that have values or times; and it is told there as it was annotated.
    """
    codes = said.shape[1]
    at = logits[spelt[:, 0], spelt[:, 1]]
    none = torch.zeros((len(numbers), codes), device=logits.device)
    none = none.index_add(0, spelt[:, 2], -F.softplus(at[:, :codes]))
    own = F.one_hot(numbers[:, 1], codes).float()
    among = torch.maximum(said[numbers[:, 0]] * valued[numbers[:, 3]], own)
    some = -torch.expm1(none)
    each = -(own * torch.log(some.clamp_min(1e-6)) + (among - own) * none).sum()
    told = numbers[spelt[:, 2], 2].float()
    manner = F.binary_cross_entropy_with_logits(at[:, codes:], how[spelt[:, 2]], reduction="none")
    return (each + (manner.sum(1) * told).sum() * 0.5) / len(said)


def fit(
    net: nn.Module, source: Rounds, reader: Reader, valued: Any, epochs: int, rate: float,
    teachers: Sequence[nn.Module] = (), name: str = "", limit: float = 1e9, begin: int = 0,
) -> None:  # fmt: skip
    """Train a network on labels, and on what its teachers think where it has any.

    The rate of learning falls to nothing by the last step or by ``limit`` seconds.
    """
    codes = len(reader.column)
    heads = [p for n, p in net.named_parameters() if n.startswith("last")]
    others = [p for n, p in net.named_parameters() if not n.startswith("last")]
    groups = [{"params": others, "peak": rate}, {"params": heads, "peak": max(rate, 2e-3)}]
    optimiser = torch.optim.AdamW(groups, lr=rate, weight_decay=0.01, fused=DEVICE == "cuda")
    done, steps, began = 0, 1, time.time()
    for epoch, batches in enumerate(source(epochs, bool(teachers), begin)):
        net.train()
        steps = epochs * len(batches)
        total = torch.zeros((), device=DEVICE)
        for arrays, known in batches:
            ids, real, first, word, said, pair, how, spelt, numbers, number_how = on_device(arrays)
            labelled = torch.from_numpy(known).to(DEVICE).float()
            gone = max(done / steps, (time.time() - began) / limit)
            if gone >= 1:
                return
            share = min((done + 1) / 300, 1.0) * max(0.02, 1 - gone)
            for group in optimiser.param_groups:
                group["lr"] = group["peak"] * share
            with torch.autocast("cuda", dtype=torch.bfloat16, enabled=DEVICE == "cuda"):
                logits = net(ids, real, first)
            logits = logits.float()
            loss = label_loss(logits[..., :codes], word, said, labelled)
            if len(pair):
                loss = loss + how_loss(logits, word, pair, how, codes)
            if len(numbers):
                loss = loss + number_loss(logits, said, spelt, numbers, number_how, valued)
            if teachers:
                with (
                    torch.no_grad(),
                    torch.autocast("cuda", dtype=torch.bfloat16, enabled=DEVICE == "cuda"),
                ):
                    told = torch.stack([torch.sigmoid(t(ids, real, first).float())
                                        for t in teachers]).mean(0)  # fmt: skip
                apart = F.binary_cross_entropy_with_logits(logits, told, reduction="none")
                # How something is told matters only where something is.
                matters = told[..., :codes].sum(-1, keepdim=True).clamp(max=1)
                apart = apart[..., :codes].sum(-1) + (apart[..., codes:] * matters).sum(-1)
                loss = 0.5 * loss + (apart * word).sum() / len(known)
            optimiser.zero_grad(set_to_none=True)
            loss.backward()  # type: ignore[no-untyped-call]
            nn.utils.clip_grad_norm_(net.parameters(), 1.0)
            optimiser.step()
            total += loss.detach()
            done += 1
        print(f"{name} {epoch + 1}: {float(total) * epochs / steps:.3f} "
              f"{time.time() - began:.0f} s", flush=True)  # fmt: skip


GROUPS = {
    "feet": FEET_TOLD, "places": PLACES_TOLD,
    "comparison": tuple(f"@{trend.value}" for trend in Trend),
    "severity": tuple(f"@{severity.value}" for severity in Severity),
    "reporter": tuple(f"@{reporter.value}" for reporter in Reporter),
    "doubt": ("@uncertain",), "history": ("@historical",), "plan": ("@planned",),
}  # fmt: skip


@torch.no_grad()
def found(nets: Sequence[nn.Module], reader: Reader, notes: Sequence[Any]) -> str:
    """Precision, recall and F1 of the codes of whole notes at some chances; then the F1 of how
    they are told, beside codes that are found at a chance of 0.6."""
    codes = len(reader.column)
    for net in nets:
        net.eval()
    chances, right, heard, told_so = [], [], [], []
    tied: list[tuple[int, bool, bool]] = []
    for at in range(0, len(notes), 16):
        texts = [(n["words"], n["labels"], n["told"], n["tied"]) for n in notes[at : at + 16]]
        ids, real, first, word, said, _, _, spelt, numbers, number_how = on_device(
            reader.batch(texts)
        )
        told = torch.stack([torch.sigmoid(n(ids, real, first).float()) for n in nets]).mean(0)
        none = torch.log1p(-told[..., :codes].clamp(max=1 - 1e-6)) * word.unsqueeze(-1)
        some = -torch.expm1(none.sum(1))
        chances.append(some.cpu().numpy())
        right.append(said.cpu().numpy())
        pair = (some > 0.6).nonzero()
        code, manner = how_told(told, word, pair, codes)
        both = -torch.expm1(torch.log1p(-(code * manner).clamp(max=1 - 1e-6)).sum(1))
        heard += [(at + int(n), int(c), how) for (n, c), how in
                  zip(pair.cpu(), both.cpu().numpy(), strict=True)]  # fmt: skip
        told_so += [(at + n, reader.column[c], how) for n, (_, _, so, _) in enumerate(texts)
                    for c, hows in so.items() if c in reader.column for how in hows]  # fmt: skip
        tied += _ties_right(told, spelt, numbers, number_how, reader)
    chance, truth = np.concatenate(chances), np.concatenate(right)
    gold = sum(len(n["labels"]) for n in notes)
    out = []
    for level in (0.3, 0.4, 0.5, 0.6, 0.7, 0.8):
        hits, given = int(((chance > level) & (truth > 0)).sum()), int((chance > level).sum())
        out.append(f"{level}: {hits / max(1, given):.3f} {hits / gold:.3f} "
                   f"{2 * hits / (given + gold):.3f}")  # fmt: skip
    for group, begins in GROUPS.items():
        mine = {name: i for name, i in reader.how.items() if name.startswith(begins)}
        want = {(n, c, mine[how]) for n, c, how in told_so if how in mine}
        got = {(n, c, i) for n, c, how in heard for i in mine.values() if how[i] > 0.5}
        out.append(f"{group} {2 * len(got & want) / max(1, len(got) + len(want)):.3f}")
    for sort, name in enumerate(SORTS):
        own = [(code, feet) for at, code, feet in tied if at == sort]
        if own:
            out.append("{}s' codes {:.3f}, feet {:.3f}".format(name, *np.array(own).mean(0)))
    return " | ".join(out)


def _ties_right(
    told: Any, spelt: Any, numbers: Any, how: Any, reader: Reader
) -> list[tuple[int, bool, bool]]:
    """Of each number or time that is told how: its sort, and whether its likeliest code and all
    its feet are right."""
    codes, out = len(reader.column), []
    feet = [reader.how[foot] for foot in FEET_TOLD if foot in reader.how]
    for n, (_, column, told_so, sort) in enumerate(numbers.tolist()):
        at = told[spelt[spelt[:, 2] == n, 0], spelt[spelt[:, 2] == n, 1]]
        if told_so:
            some = 1 - torch.prod(1 - at[:, :codes], 0)
            hears = at[:, codes:].mean(0)[feet] > 0.5
            right = int(some.argmax()) == column
            out.append((sort, right, bool((hears == (how[n][feet] > 0)).all())))
    return out


def main() -> None:
    """Train and write the network."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("bundle", type=Path)
    parser.add_argument("out", type=Path)
    parser.add_argument("--without", nargs="*", default=[], help="splits left out")
    parser.add_argument("--teachers", type=int, default=2)
    parser.add_argument("--epochs", type=int, default=10, help="rounds of each network")
    parser.add_argument("--small-epochs", type=int, help="rounds of the small network")
    parser.add_argument("--limit", type=float, default=1e9, help="seconds for each network")
    parser.add_argument("--small-limit", type=float, help="seconds for the small network")
    parser.add_argument("--few", action="store_true", help="only a few texts: tries the script")
    args = parser.parse_args()
    with gzip.open(args.bundle / "examples.json.gz", "rt", encoding="utf-8") as file:
        examples = json.load(file)
    pieces = (args.bundle / "pieces.txt").read_text(encoding="utf-8").split("\n")
    held = [e for e in examples if e.get("split") in args.without]
    examples = [e for e in examples if e.get("split") not in args.without]
    count = Counter(c for e in examples for c in e["labels"])
    codes = sorted(c for c, n in count.items() if n >= LEAST)
    hows = Counter(h for e in examples for told in e.get("told", {}).values() for h in told)
    codes += sorted(how for how, n in hows.items() if n >= LEAST)
    kinds = ("phrase", "talk", "unsure", "note")
    by_kind = {k: [e for e in examples if e["kind"] == k][: 300 if args.few else None]
               for k in kinds}  # fmt: skip
    print({k: len(v) for k, v in by_kind.items()}, len(held), len(codes), DEVICE, flush=True)
    source = Rounds(pieces, codes, by_kind)
    reader = Reader(pieces, codes, 0)
    valued = torch.zeros(len(SORTS), len(reader.column), device=DEVICE)
    for tie in (tie for e in by_kind["note"] for tie in e["tied"]):
        if tie["code"] in reader.column:
            valued[SORTS.index(tie["sort"]), reader.column[tie["code"]]] = 1
    weights = ready(args.bundle / "encoder.npz")
    teachers: list[nn.Module] = []
    for seed in range(args.teachers):
        torch.manual_seed(seed)
        net = Encoder(weights, len(codes)).to(DEVICE)
        fit(net, source, reader, valued, args.epochs, RATE,
            name=f"teacher {seed}", limit=args.limit, begin=seed)  # fmt: skip
        teachers.append(net.eval())
        if held:
            print(f"teacher {seed}", found([net], reader, held), flush=True)
    if held and len(teachers) > 1:
        print("teachers", found(teachers, reader, held), flush=True)
    torch.manual_seed(99)
    small = Small(teachers[0], len(codes)).to(DEVICE)
    fit(small, source, reader, valued, args.small_epochs or args.epochs, 5e-4, teachers, "small",
        args.small_limit or args.limit, 99)  # fmt: skip
    if held:
        print("small", found([small], reader, held), flush=True)
    args.out.mkdir(parents=True, exist_ok=True)
    np.savez(args.out / "network.npz", **packed(small))
    (args.out / "pieces.txt").write_text("\n".join(pieces), encoding="utf-8")
    (args.out / "codes.txt").write_text("\n".join(codes), encoding="utf-8")


if __name__ == "__main__":
    main()
