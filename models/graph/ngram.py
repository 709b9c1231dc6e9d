"""N-gram models as sorted arrays: Kneser-Ney training, mixing, entropy pruning, ARPA, perplexity.

Words are numbers in ``range(V)``; a bigram is the key ``h*V + w``, a trigram ``(a*V + b)*V + w``.
All probabilities are natural logarithms. Methods: modified Kneser-Ney (Chen and Goodman 1999),
static linear interpolation of back-off models, relative-entropy pruning (Stolcke 1998).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]
BOS, EOS, UNK = 0, 1, 2
SPECIAL = ("<s>", "</s>", "<unk>")
IMPOSSIBLE = -99.0 * math.log(10)


@dataclass
class Ngram:
    """A back-off trigram model over ``words`` (the first three are ``SPECIAL``)."""

    words: list[str]
    p1: Floats
    b1: Floats
    k2: Ints
    p2: Floats
    b2: Floats
    k3: Ints
    p3: Floats

    @property
    def size(self) -> int:
        return len(self.words)

    def bigram(self, h: Ints, w: Ints) -> Floats:
        """log p(w | h), backed off where the bigram is not stored."""
        at, hit = _find(self.k2, h * self.size + w)
        backed = self.b1[h] + self.p1[w]
        return np.where(hit, self.p2[at], backed) if len(self.k2) else backed

    def trigram(self, a: Ints, b: Ints, w: Ints) -> Floats:
        """log p(w | a b)."""
        size = self.size
        at2, hit2 = _find(self.k2, a * size + b)
        bow = np.where(hit2, self.b2[at2], 0.0) if len(self.k2) else 0.0
        backed = bow + self.bigram(b, w)
        if not len(self.k3):
            return backed
        at3, hit3 = _find(self.k3, (a * size + b) * size + w)
        return np.where(hit3, self.p3[at3], backed)

    def backoffs(self) -> None:
        """Recompute every back-off weight from the stored probabilities."""
        size = self.size
        h, w = self.k2 // size, self.k2 % size
        self.b1 = _bow(h, np.exp(self.p2), np.exp(self.p1[w]), size)
        prefix = self.k3 // size
        where, _ = _find(self.k2, prefix)
        lower = self.bigram(prefix % size, self.k3 % size)
        self.b2 = _bow(where, np.exp(self.p3), np.exp(lower), len(self.k2))

    def log_probs(self, sentence: Sequence[int]) -> Floats:
        """log p of every word of a sentence and of its end."""
        s = np.array([BOS, *sentence, EOS], np.int64)
        first = self.bigram(s[:1], s[1:2])
        return np.concatenate([first, self.trigram(s[:-2], s[1:-1], s[2:])])


def perplexity(model: Ngram, lines: Iterable[str]) -> tuple[float, float]:
    """(perplexity over known words and ends, share of words unknown)."""
    ids = {w: i for i, w in enumerate(model.words)}
    total, count, unknown, words = 0.0, 0, 0, 0
    for line in lines:
        s = [ids.get(w, UNK) for w in line.split()]
        lp = model.log_probs(s)
        known = np.array([x != UNK for x in [*s, EOS]])
        total += float(lp[known].sum())
        count += int(known.sum())
        unknown += int((~known).sum())
        words += len(s)
    return math.exp(-total / max(count, 1)), unknown / max(words, 1)


def _find(keys: Ints, wanted: Ints) -> tuple[Ints, NDArray[np.bool_]]:
    if not len(keys):
        return np.zeros(len(wanted), np.int64), np.zeros(len(wanted), bool)
    at = np.minimum(np.searchsorted(keys, wanted), len(keys) - 1)
    return at, keys[at] == wanted


def _bow(group: Ints, upper: Floats, lower: Floats, count: int) -> Floats:
    num = 1.0 - np.bincount(group, upper, count)
    den = 1.0 - np.bincount(group, lower, count)
    bow: Floats = np.log(np.maximum(num, 1e-9)) - np.log(np.maximum(den, 1e-9))
    bow[np.bincount(group, minlength=count) == 0] = 0.0
    return bow


def _discount(counts: Ints) -> Floats:
    """Modified Kneser-Ney discounts for counts of 1, 2 and more, applied to each count."""
    n = [int((counts == k).sum()) for k in (1, 2, 3, 4)]
    y = n[0] / max(n[0] + 2 * n[1], 1)
    d = [k - (k + 1) * y * n[k] / max(n[k - 1], 1) for k in (1, 2, 3)]
    d = [min(max(x, 0.1), k * 0.95) for k, x in zip((1, 2, 3), d, strict=True)]
    return np.array([0.0, *d])[np.minimum(counts, 3)]


def train(lines: Iterable[Sequence[int]], words: list[str]) -> Ngram:
    """Modified Kneser-Ney trigram from sentences given as word numbers (unknown = ``UNK``)."""
    size = len(words)
    flat: list[int] = []
    for line in lines:
        flat += [BOS, *line, EOS]
    s = np.array(flat, np.int64)
    pair = s[:-1] != EOS
    raw2 = (s[:-1] * size + s[1:])[pair]
    triple = (s[:-2] != EOS) & (s[1:-1] != EOS)
    raw3 = ((s[:-2] * size + s[1:-1]) * size + s[2:])[triple]
    k3, c3 = np.unique(raw3, return_counts=True)
    k2, c2 = np.unique(raw2, return_counts=True)
    # Continuation counts, except after <s>, where nothing can stand before.
    tail, cont = np.unique(k3 % (size * size), return_counts=True)
    n2 = c2.copy()
    at, hit = _find(tail, k2)
    inner = k2 // size != BOS
    n2[inner] = np.where(hit, cont[at], 1)[inner]
    n1 = np.bincount(k2 % size, minlength=size)
    d1 = _discount(n1)
    p1 = (n1 - d1) / n1.sum()
    possible = np.ones(size, bool)
    possible[[BOS, UNK]] = False
    p1 = np.where(possible, p1 + d1.sum() / n1.sum() / possible.sum(), 1e-12)
    p2, gamma1 = _level(k2 // size, n2, p1[k2 % size], size)
    where, _ = _find(k2, k3 // size)
    at, hit = _find(k2, k3 % (size * size))
    p3, gamma2 = _level(where, c3, p2[at], len(k2))
    model = Ngram(words, np.log(p1), np.log(gamma1), k2, np.log(p2), np.log(gamma2), k3, np.log(p3))
    model.p1[BOS] = IMPOSSIBLE
    return model


def _level(group: Ints, counts: Ints, lower: Floats, size: int) -> tuple[Floats, Floats]:
    d = _discount(counts)
    total = np.bincount(group, counts, size)
    gamma = np.where(total > 0, np.bincount(group, d, size) / np.maximum(total, 1), 1.0)
    return (counts - d) / total[group] + gamma[group] * lower, gamma


def mix(models: Sequence[Ngram], shares: Sequence[float]) -> Ngram:
    """Linear interpolation over the union of the n-grams; all share one word list."""
    size = models[0].size

    def join(parts: list[Floats]) -> Floats:
        return np.logaddexp.reduce([p + math.log(s) for p, s in zip(parts, shares, strict=True)])

    k3 = np.unique(np.concatenate([m.k3 for m in models]))
    k2 = np.unique(np.concatenate([*(m.k2 for m in models), k3 // size]))
    h, w = k2 // size, k2 % size
    a, b, c = k3 // size // size, k3 // size % size, k3 % size
    out = Ngram(
        models[0].words,
        join([m.p1 for m in models]),
        np.zeros(size),
        k2,
        join([m.bigram(h, w) for m in models]),
        np.zeros(len(k2)),
        k3,
        join([m.trigram(a, b, c) for m in models]),
    )
    out.p1[BOS] = IMPOSSIBLE
    out.backoffs()
    return out


def prune(model: Ngram, threshold: float) -> Ngram:
    """Drop n-grams whose loss changes the perplexity by less than ``threshold`` (relative)."""
    size = model.size
    h = model.k3 // size
    a, b, c = h // size, h % size, model.k3 % size
    where, _ = _find(model.k2, h)
    lower = model.bigram(b, c)
    log_h = np.where(a == BOS, np.log(0.05), model.p1[a]) + model.p2[where]
    loss = _loss(where, log_h, model.p3, lower, model.b2, len(model.k2))
    stay = loss >= threshold
    k3, p3 = model.k3[stay], model.p3[stay]
    h1, w1 = model.k2 // size, model.k2 % size
    needed = np.isin(model.k2, k3 // size)
    log_h1 = np.where(h1 == BOS, np.log(0.05), model.p1[h1])
    loss2 = _loss(h1, log_h1, model.p2, model.p1[w1], model.b1, size)
    stay2 = (loss2 >= threshold) | needed
    out = Ngram(
        model.words, model.p1, model.b1, model.k2[stay2], model.p2[stay2], model.b2[stay2], k3, p3
    )
    out.backoffs()
    return out


def without_middle(model: Ngram, word: int) -> Ngram:
    """Drop trigrams with ``word`` in the middle, so that every path past it meets in one state."""
    stay = model.k3 // model.size % model.size != word
    out = Ngram(
        model.words,
        model.p1,
        model.b1,
        model.k2,
        model.p2,
        model.b2,
        model.k3[stay],
        model.p3[stay],
    )
    out.backoffs()
    return out


def _loss(
    group: Ints, log_h: Floats, upper: Floats, lower: Floats, bow: Floats, count: int
) -> Floats:
    """Relative perplexity change when each n-gram alone is dropped (Stolcke's equation 5)."""
    up, low = np.exp(upper), np.exp(lower)
    num = np.maximum(1.0 - np.bincount(group, up, count), 1e-9)[group]
    den = np.maximum(1.0 - np.bincount(group, low, count), 1e-9)[group]
    new = np.log(num + up) - np.log(den + low)
    change = up * (lower + new - upper) + num * (new - bow[group])
    return np.expm1(np.clip(-np.exp(log_h) * change, 0, 50))


def write_arpa(model: Ngram, path: Path) -> None:
    """The model in ARPA format (base-10 logarithms); n-grams with ``<unk>`` are left out."""
    size, names = model.size, model.words
    ten = math.log(10)
    ok2 = (model.k2 // size != UNK) & (model.k2 % size != UNK)
    ok3 = (model.k3 // size // size != UNK) & (model.k3 // size % size != UNK)
    ok3 &= model.k3 % size != UNK
    with path.open("w", encoding="utf-8") as out:
        out.write(f"\\data\\\nngram 1={size - 1}\nngram 2={ok2.sum()}\nngram 3={ok3.sum()}\n")
        out.write("\n\\1-grams:\n")
        for i, word in enumerate(names):
            if i != UNK:
                out.write(f"{model.p1[i] / ten:.4f}\t{word}\t{model.b1[i] / ten:.4f}\n")
        out.write("\n\\2-grams:\n")
        keys = model.k2[ok2].tolist()
        for k, p, b in zip(keys, model.p2[ok2] / ten, model.b2[ok2] / ten, strict=True):
            out.write(f"{p:.4f}\t{names[k // size]} {names[k % size]}\t{b:.4f}\n")
        out.write("\n\\3-grams:\n")
        for k, p in zip(model.k3[ok3].tolist(), model.p3[ok3] / ten, strict=True):
            a, b, c = k // size // size, k // size % size, k % size
            out.write(f"{p:.4f}\t{names[a]} {names[b]} {names[c]}\n")
        out.write("\n\\end\\\n")
