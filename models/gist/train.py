"""Train the second opinion on what was said (``fieldlog/language/gist.py``).

    python models/gist/train.py BUNDLE OUT --teach KIND ... [--without SPLIT ...]
    python models/gist/train.py BUNDLE OUT --taught-by TEACHER.pt ... [--begin NETWORK]

BUNDLE is the folder that ``examples.py`` wrote. Needs numpy, torch and onnx, and a GPU to be quick.
Large networks learn from the labelled texts (``--teach``: ``sentence``, the six layers of a
sentence model; ``twice`` and ``around``, a language model that reads a text twice or looks both
ways); their mean then teaches the small network (``--taught-by``), word by word, also on talk that
nobody labelled. The loss of the labels is that of a noisy or over the words of a text: some word
must say each code, and no word another. ``--without`` leaves the notes of splits out and prints how
well their codes are found. OUT gets ``KIND-SEED.pt`` of each large network; of the small one
``network.onnx``, ``pieces.txt`` and ``codes.txt``. ``--drawn`` names the notes of ``draw.py``, of
which some more are asked about in each round.
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
from dataclasses import dataclass, fields, replace
from pathlib import Path
from typing import Any

import numpy as np
import torch
from torch import nn
from torch.nn import functional as F

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE), str(HERE.parents[1])]

from language_model import LanguageModel, Speller  # noqa: E402
from network import Encoder, Small, packed, ready, unpacked  # noqa: E402
from stored import write  # noqa: E402

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
"""Texts that are learnt from at once."""
ROOM = 14_000
"""Words that those may have, each filled up to the longest."""
SPELT = ("twice", "around")
"""The ways in which a language model reads; the small network and the sentence model read alike."""
RATES = {"sentence": 2.5e-4, "twice": 2e-4, "around": 2e-4, "small": 5e-4}
"""Peak rate of learning of each kind of network."""
HEADS_RATE = 2e-3
"""The least peak rate of its last layer."""
DEVICE = "cuda" if torch.cuda.is_available() else "cpu"
PAD = "[PAD]"
LONGEST = 250
"""Words of a text that are read."""
DRAWN = 40_000
"""Drawn notes in a round that the large networks are asked about."""
AHEAD = 3
"""Rounds that are made ready while one is learnt from."""

Text = tuple[Sequence[str], list[str], dict[str, list[str]], list[dict[str, Any]]]
"""Words, codes, how each code is told where somebody annotated it, and what its numbers tell."""
View = tuple[Any, Any, Any]
"""Pieces, which are real, and the piece of each word that speaks for it."""


@dataclass(frozen=True)
class Batch:
    """Some texts, as arrays here and as tensors where they are learnt from."""

    views: tuple[View, ...]
    """As the small network and the sentence model read them; then as each language model does."""
    word: Any
    """(texts, words): which are words, not stops."""
    said: Any
    """(texts, codes)."""
    pair: Any
    """For each annotated code its text and its column."""
    how: Any
    """For each of these how it is told."""
    spelt: Any
    """For each word of a number or time that is annotated its text, its place and its number."""
    numbers: Any
    """For each such number its text, its column, whether it is told how, and its sort."""
    number_how: Any
    """For each of these how it is told."""
    labelled: Any
    """(texts,): whose codes are known."""

    def __len__(self) -> int:
        return len(self.said)

    def on_device(self) -> Batch:
        """As tensors; marks and targets as numbers, what is real as it is."""

        def one(array: Any, mark: bool = False) -> Any:
            tensor = torch.from_numpy(array).to(DEVICE, non_blocking=True)
            if array.dtype == np.int32:
                return tensor.long()
            return tensor.float() if array.dtype == bool and not mark else tensor

        views = tuple((one(ids), one(real, True), one(at)) for ids, real, at in self.views)
        rest = {f.name: one(getattr(self, f.name)) for f in fields(self) if f.name != "views"}
        return Batch(views=views, **rest)


class Reader:
    """From words to the networks' input."""

    def __init__(
        self, pieces: Sequence[str], names: Sequence[str], seed: int,
        spellers: Sequence[Speller] = (),
    ) -> None:  # fmt: skip
        self.pieces = Pieces(pieces)
        self.spellers = spellers
        codes = [name for name in names if not name.startswith("@")]
        self.column = {c: i for i, c in enumerate(codes)}
        self.how = {name: i for i, name in enumerate(names[len(codes) :])}
        self.dice = random.Random(seed)

    def batch(
        self, texts: Sequence[Text], hide: float = 0.0, known: Sequence[bool] | None = None
    ) -> Batch:
        """The batch of some texts, of which all are labelled where ``known`` does not say.

        ``hide`` is the share of words replaced by the mask.
        """
        read = [self._some_hidden(words, hide) for words, *_ in texts]
        many = max(1, *(len(words) for words in read), 1)
        views = [self._view([self.pieces.row(r) for r in read], many, self.pieces.number[PAD])]
        for speller in self.spellers:
            views.append(self._view([speller.row(r, HIDDEN) for r in read], many, 0))
        word = np.zeros((len(read), many), bool)
        said = np.zeros((len(read), len(self.column)), bool)
        which: list[tuple[int, int]] = []
        hows: list[Sequence[str]] = []
        spelt: list[tuple[int, int, int]] = []
        numbers: list[tuple[int, int, int, int]] = []
        number_hows: list[Sequence[str]] = []
        for n, (mine, (words, names, told, tied)) in enumerate(zip(read, texts, strict=True)):
            word[n, : len(mine)] = [w not in STOPS for w in words[: len(mine)]]
            said[n, [self.column[c] for c in names if c in self.column]] = True
            for code, how in told.items():
                if code in self.column:
                    which.append((n, self.column[code]))
                    hows.append(how)
            at = [i for i, w in enumerate(words) if w not in STOPS] if tied else []
            for tie in tied:
                places = [at[i] for i in tie["words"]]
                if tie["code"] in self.column and places[-1] < len(mine):
                    spelt += [(n, place, len(numbers)) for place in places]
                    told_so = tie["told"] is not None
                    sort = SORTS.index(tie["sort"])
                    numbers.append((n, self.column[tie["code"]], told_so, sort))
                    number_hows.append(tie["told"] or ())
        labelled = np.ones(len(read), bool) if known is None else np.array(known, bool)
        return Batch(
            tuple(views), word, said, _wide(which, 2), self._hows(hows), _wide(spelt, 3),
            _wide(numbers, 4), self._hows(number_hows), labelled,
        )  # fmt: skip

    @staticmethod
    def _view(rows: Sequence[tuple[list[int], list[int]]], many: int, pad: int) -> View:
        wide = max(len(row) for row, _ in rows)
        ids = np.full((len(rows), wide), pad, np.int32)
        real, at = np.zeros((len(rows), wide), bool), np.zeros((len(rows), many), np.int32)
        for n, (row, places) in enumerate(rows):
            ids[n, : len(row)], real[n, : len(row)], at[n, : len(places)] = row, True, places
        return ids, real, at

    def _hows(self, told: Sequence[Sequence[str]]) -> Any:
        out = np.zeros((len(told), len(self.how)), bool)
        for n, names in enumerate(told):
            out[n, [self.how[name] for name in names if name in self.how]] = True
        return out

    def _some_hidden(self, words: Sequence[str], hide: float) -> list[str]:
        return [HIDDEN if hide and self.dice.random() < hide else w for w in words[:LONGEST]]


def _wide(rows: Sequence[tuple[int, ...]], many: int) -> Any:
    return np.array(rows, np.int32).reshape(-1, many)


def as_said(words: Sequence[str], dice: random.Random) -> Sequence[str]:
    """The words, half of the time without stops."""
    return words if dice.random() < 0.5 else unstopped(words)


def rounds(
    by_kind: dict[str, list[Any]], dice: random.Random, all_talk: bool, size: int
) -> Iterator[list[tuple[Text, bool]]]:
    """The batches of one round: phrases alone or in a row, talk, notes twice, drawn notes."""
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
        for note in dice.sample(by_kind["drawn"], min(DRAWN, len(by_kind["drawn"]))):
            words = note["heard"] if dice.random() < 0.4 else as_said(note["words"], dice)
            texts.append(((words, [], {}, []), False))
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
    batches: list[list[tuple[Text, bool]]] = [[]]
    longest = 0
    for text in texts:
        longest = max(longest, len(text[0][0]))
        if len(batches[-1]) == size or longest * (len(batches[-1]) + 1) > ROOM:
            batches.append([])
            longest = len(text[0][0])
        batches[-1].append(text)
    dice.shuffle(batches)
    yield from batches


class Rounds:
    """Rounds of batches, made ready by other processes while the last one is learnt from.

    Make it before the first tensor goes to the GPU: the processes are forks.
    """

    def __init__(
        self, pieces: Sequence[str], names: Sequence[str], by_kind: dict[str, list[Any]],
        spellers: Sequence[Speller] = (), size: int = BATCH,
    ) -> None:  # fmt: skip
        fork = multiprocessing.get_context("fork")
        source = (pieces, names, by_kind, spellers, size)
        self._pool = ProcessPoolExecutor(AHEAD, fork, _SOURCE.append, (source,))
        self._pool.submit(int).result()

    def __call__(self, many: int, all_talk: bool, begin: int) -> Iterator[list[Batch]]:
        """``many`` rounds; ``begin`` makes them other ones."""
        waiting: list[Future[Any]] = []
        for n in range(many + AHEAD):
            if n < many:
                waiting.append(self._pool.submit(_one_round, 1000 * begin + n, all_talk))
            if n >= AHEAD:
                yield waiting.pop(0).result()


_SOURCE: list[Any] = []
"""In a process that makes rounds: what it makes them of."""


def _one_round(seed: int, all_talk: bool) -> list[Batch]:
    pieces, names, by_kind, spellers, size = _SOURCE[-1]
    reader = Reader(pieces, names, seed, spellers)
    return [
        reader.batch([t for t, _ in batch], 0.04, [k for _, k in batch])
        for batch in rounds(by_kind, reader.dice, all_talk, size)
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


def likely(net: nn.Module, batch: Batch) -> Any:
    """The network's logits for every word of a batch."""
    with torch.autocast("cuda", dtype=torch.bfloat16, enabled=DEVICE == "cuda"):
        logits = net(*batch.views[net.view])  # type: ignore[index]
    return logits.float()


@torch.no_grad()
def told_by(teachers: Sequence[nn.Module], batch: Batch) -> Any:
    """The mean of what large networks think of every word."""
    return torch.stack([torch.sigmoid(likely(t, batch)) for t in teachers]).mean(0)


Taught = tuple[Batch, Any]
"""A batch, and what the large networks think of it, if they teach."""


def untaught(source: Rounds, epochs: int, begin: int) -> Iterator[list[Taught]]:
    """Ever new rounds, of what is labelled."""
    for batches in source(epochs, False, begin):
        yield [(batch, None) for batch in batches]


def taught(
    source: Rounds, teachers: Sequence[nn.Module], kept: int, epochs: int, begin: int
) -> Iterator[list[Taught]]:
    """Rounds of all texts with what the large networks think; ``kept`` rounds, again and again.

    Asking a language model takes longer than the small network's step, so each text is asked about
    once for each of these rounds.
    """
    dice, rounds_kept = random.Random(begin), list[list[Taught]]()
    for batches in source(kept, True, begin):
        asked = list[Taught]()
        for batch in batches:
            there = batch.on_device()
            asked.append((replace(there, views=there.views[:1]), told_by(teachers, there).half()))
        rounds_kept.append(asked)
        yield asked
    for _ in range(kept, epochs):
        again = dice.choice(rounds_kept)
        dice.shuffle(again)
        yield again


def fit(
    net: nn.Module, source: Iterator[list[Taught]], valued: Any, codes: int, epochs: int,
    rate: float, name: str = "", limit: float = 1e9,
) -> None:  # fmt: skip
    """Train a network on labels, and on what its teachers think where it has any.

    The rate of learning falls to nothing by the last step or by ``limit`` seconds.
    """
    heads = [p for n, p in net.named_parameters() if n.startswith("last")]
    others = [p for n, p in net.named_parameters() if not n.startswith("last")]
    groups = [{"params": others, "peak": rate}, {"params": heads, "peak": max(rate, HEADS_RATE)}]
    optimiser = torch.optim.AdamW(groups, lr=rate, weight_decay=0.01, fused=DEVICE == "cuda")
    done, steps, began = 0, 1, time.time()
    for epoch, batches in enumerate(source):
        net.train()
        steps = epochs * len(batches)
        total = torch.zeros((), device=DEVICE)
        for batch, told in batches:
            if told is None:
                batch = batch.on_device()
            gone = max(done / steps, (time.time() - began) / limit)
            if gone >= 1:
                return
            share = min((done + 1) / 300, 1.0) * max(0.02, 1 - gone)
            for group in optimiser.param_groups:
                group["lr"] = group["peak"] * share
            logits = likely(net, batch)
            loss = label_loss(logits[..., :codes], batch.word, batch.said, batch.labelled)
            if len(batch.pair):
                loss = loss + how_loss(logits, batch.word, batch.pair, batch.how, codes)
            if len(batch.numbers):
                loss = loss + number_loss(
                    logits, batch.said, batch.spelt, batch.numbers, batch.number_how, valued
                )
            if told is not None:
                told = told.float()
                apart = F.binary_cross_entropy_with_logits(logits, told, reduction="none")
                # How something is told matters only where something is.
                matters = told[..., :codes].sum(-1, keepdim=True).clamp(max=1)
                apart = apart[..., :codes].sum(-1) + (apart[..., codes:] * matters).sum(-1)
                loss = 0.5 * loss + (apart * batch.word).sum() / len(batch)
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
        batch = reader.batch(texts).on_device()
        told = told_by(nets, batch)
        none = torch.log1p(-told[..., :codes].clamp(max=1 - 1e-6)) * batch.word.unsqueeze(-1)
        some = -torch.expm1(none.sum(1))
        chances.append(some.cpu().numpy())
        right.append(batch.said.cpu().numpy())
        pair = (some > 0.6).nonzero()
        code, manner = how_told(told, batch.word, pair, codes)
        both = -torch.expm1(torch.log1p(-(code * manner).clamp(max=1 - 1e-6)).sum(1))
        heard += [(at + int(n), int(c), how) for (n, c), how in
                  zip(pair.cpu(), both.cpu().numpy(), strict=True)]  # fmt: skip
        told_so += [(at + n, reader.column[c], how) for n, (_, _, so, _) in enumerate(texts)
                    for c, hows in so.items() if c in reader.column for how in hows]  # fmt: skip
        tied += _ties_right(told, batch, reader)
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


def _ties_right(told: Any, batch: Batch, reader: Reader) -> list[tuple[int, bool, bool]]:
    """Of each number or time that is told how: its sort, and whether its likeliest code and all
    its feet are right."""
    codes, out = len(reader.column), []
    feet = [reader.how[foot] for foot in FEET_TOLD if foot in reader.how]
    for n, (_, column, told_so, sort) in enumerate(batch.numbers.tolist()):
        mine = batch.spelt[batch.spelt[:, 2] == n]
        at = told[mine[:, 0], mine[:, 1]]
        if told_so:
            some = 1 - torch.prod(1 - at[:, :codes], 0)
            hears = at[:, codes:].mean(0)[feet] > 0.5
            right = int(some.argmax()) == column
            out.append((sort, right, bool((hears == (batch.number_how[n][feet] > 0)).all())))
    return out


def large(kind: str, bundle: Path, codes: int) -> nn.Module:
    """A large network before it has learnt; ``view`` says which of a batch's views it reads."""
    if kind == "sentence":
        return Encoder(ready(bundle / "encoder.npz"), codes).to(DEVICE)
    net = LanguageModel(bundle, codes, twice=kind == "twice")
    net.view = 1 + SPELT.index(kind)
    return net.to(DEVICE)


def wanted() -> argparse.Namespace:
    """What the command line asks for."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("bundle", type=Path)
    parser.add_argument("out", type=Path)
    parser.add_argument("--without", nargs="*", default=[], help="splits left out")
    parser.add_argument("--teach", nargs="*", default=[], choices=list(RATES), help="kinds")
    parser.add_argument("--taught-by", nargs="*", default=[], type=Path, help="large networks")
    parser.add_argument("--drawn", type=Path, help="notes of draw.py")
    parser.add_argument("--begin", type=Path, help="a small network to go on from")
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--rate", type=float, help="peak rate of learning, if another")
    parser.add_argument("--epochs", type=int, default=10, help="rounds")
    parser.add_argument("--kept", type=int, default=4, help="rounds that are asked about")
    parser.add_argument("--limit", type=float, default=1e9, help="seconds for each network")
    parser.add_argument("--batch", type=int, default=BATCH, help="texts learnt from at once")
    parser.add_argument("--few", action="store_true", help="only a few texts: tries the script")
    return parser.parse_args()


def codes_of(examples: Sequence[Any]) -> list[str]:
    """Labels that are said often enough to be learnt, then the ways they are told likewise."""
    count = Counter(c for e in examples for c in e["labels"])
    hows = Counter(h for e in examples for told in e.get("told", {}).values() for h in told)
    often = sorted(c for c, n in count.items() if n >= LEAST)
    return often + sorted(how for how, n in hows.items() if n >= LEAST)


def zipped_list(path: Path) -> list[Any]:
    """A list that another script wrote as compressed JSON."""
    with gzip.open(path, "rt", encoding="utf-8") as file:
        out: list[Any] = json.load(file)
    return out


class Lessons:
    """What every network of one call learns from, and what it is asked afterwards."""

    def __init__(self, args: argparse.Namespace) -> None:
        self.args = args
        examples = zipped_list(args.bundle / "examples.json.gz")
        self.pieces = (args.bundle / "pieces.txt").read_text(encoding="utf-8").split("\n")
        spelling = json.loads((args.bundle / "spelling.json").read_text(encoding="utf-8"))
        self.codes = codes_of(examples)
        self.held = [e for e in examples if e.get("split") in args.without]
        by_kind = self._by_kind([e for e in examples if e.get("split") not in args.without])
        sizes = {k: len(v) for k, v in by_kind.items()}
        print(sizes, len(self.held), len(self.codes), DEVICE, flush=True)
        spellers = [Speller(spelling, twice=kind == "twice") for kind in SPELT]
        self.source = Rounds(self.pieces, self.codes, by_kind, spellers, args.batch)
        self.reader = Reader(self.pieces, self.codes, 0, spellers)
        self.valued = self._valued(by_kind["note"])

    def _by_kind(self, examples: Sequence[Any]) -> dict[str, list[Any]]:
        kinds = ("phrase", "talk", "unsure", "note")
        by_kind = {k: [e for e in examples if e["kind"] == k][: 300 if self.args.few else None]
                   for k in kinds}  # fmt: skip
        by_kind["drawn"] = zipped_list(self.args.drawn) if self.args.drawn else []
        return by_kind

    def _valued(self, notes: Sequence[Any]) -> Any:
        """1 for each sort of number and label that were ever tied (sorts, labels)."""
        column = self.reader.column
        valued = torch.zeros(len(SORTS), len(column), device=DEVICE)
        for tie in (tie for e in notes for tie in e["tied"]):
            if tie["code"] in column:
                valued[SORTS.index(tie["sort"]), column[tie["code"]]] = 1
        return valued

    def fit(self, net: nn.Module, rounds_: Iterator[list[Taught]], kind: str, name: str) -> None:
        """Teach a network of a kind the rounds."""
        args, many = self.args, len(self.reader.column)
        fit(net, rounds_, self.valued, many, args.epochs, args.rate or RATES[kind], name,
            args.limit)  # fmt: skip

    def ask(self, nets: Sequence[nn.Module], name: str) -> None:
        """Print what networks find in the notes that were left out, if any were."""
        if self.held:
            print(name, found(nets, self.reader, self.held), flush=True)

    def large(self, kind: str, weights: Path | None) -> nn.Module:
        """A large network of a kind, with weights of earlier where there are some."""
        net = large(kind, self.args.bundle, len(self.codes))
        if weights is not None:
            net.load_state_dict(torch.load(weights, map_location=DEVICE, weights_only=True))
        return net


def teach_large(lessons: Lessons, kind: str) -> None:
    """Train a large network of a kind and keep it; goes on from the one that is there."""
    args = lessons.args
    kept, name = args.out / f"{kind}-{args.seed}.pt", f"{kind} {args.seed}"
    there = kept.exists()
    net = lessons.large(kind, kept if there else None)
    rounds_new = untaught(lessons.source, args.epochs, args.seed + 100 * there)
    lessons.fit(net, rounds_new, kind, name)
    lessons.ask([net], name)
    torch.save(net.state_dict(), kept)


def teach_small(lessons: Lessons, teachers: Sequence[nn.Module]) -> None:
    """Train the small network on what the large ones say, and write all that reads with it."""
    args, codes = lessons.args, lessons.codes
    small = Small(Encoder(ready(args.bundle / "encoder.npz"), len(codes)), len(codes))
    if args.begin:
        unpacked(small, args.begin, lessons.pieces, codes)
    small = small.to(DEVICE)
    rounds_kept = taught(lessons.source, teachers, args.kept, args.epochs, 99)
    lessons.fit(small, rounds_kept, "small", "small")
    lessons.ask([small], "small")
    write(packed(small), args.out / "network.onnx")
    (args.out / "pieces.txt").write_text("\n".join(lessons.pieces), encoding="utf-8")
    (args.out / "codes.txt").write_text("\n".join(codes), encoding="utf-8")


def main() -> None:
    """Train large networks, or the small one."""
    args = wanted()
    lessons = Lessons(args)
    args.out.mkdir(parents=True, exist_ok=True)
    torch.manual_seed(args.seed)
    for kind in args.teach:
        teach_large(lessons, kind)
    teachers = [lessons.large(p.stem.split("-")[0], p).eval() for p in args.taught_by]
    if teachers:
        lessons.ask(teachers, "teachers")
        teach_small(lessons, teachers)


if __name__ == "__main__":
    main()
