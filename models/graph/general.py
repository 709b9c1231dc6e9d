"""General English: the trigram that comes with the pocketsphinx package, as arrays.

The package data is BSD-licensed (Carnegie Mellon University). Its file is a bit-packed reversed
trie: after the head and the quantisation tables come the unigrams (log probability, back-off,
first child), then the bigrams under their *last* word (17-bit previous word, 16-bit back-off
and probability codes, 21-bit first child), then the trigrams (previous-but-one word, code).
Logarithms are to the base 1.0001.
"""

from __future__ import annotations

import math
import struct
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from ngram import BOS, EOS, IMPOSSIBLE, SPECIAL, Floats, Ints, Ngram
from numpy.typing import NDArray

MAGIC = b"Trie Language Model"


def package_file(name: str) -> Path:
    """A data file of the installed pocketsphinx package."""
    import pocketsphinx

    return Path(pocketsphinx.__file__).parent / "model" / "en-us" / name


def _bits(data: bytes, offset: Ints, width: int) -> Ints:
    raw = np.frombuffer(data, np.uint8)
    at = offset // 8
    value = np.zeros(len(offset), np.uint64)
    for i in range(5):
        value |= raw[at + i].astype(np.uint64) << np.uint64(8 * i)
    value >>= (offset % 8).astype(np.uint64)
    return (value & np.uint64((1 << width) - 1)).astype(np.int64)


@dataclass(frozen=True)
class _Trie:
    """What the file says: words by its own numbers, a row for each n-gram."""

    words: list[str]
    p1: Floats
    b1: Floats
    """Log probability and back-off of every word, to the base of the file, as those below."""
    previous: Ints
    last: Ints
    p2: Floats
    b2: Floats
    """Of every bigram: its two words, log probability and back-off."""
    before: Ints
    owner: Ints
    p3: Floats
    """Of every trigram: its first word, the bigram of the others, log probability."""


def read_trie(path: Path) -> Ngram:
    """The whole model, words in the file's order after our three special ones."""
    trie = _unpacked(path)
    base = math.log(1.0001)
    rest = [i for i, w in enumerate(trie.words) if w not in SPECIAL]
    new = _renumbered(trie.words, rest)
    size = 3 + len(rest)
    p1, b1 = np.full(size, IMPOSSIBLE), np.zeros(size)
    p1[new], b1[new] = trie.p1 * base, trie.b1 * base
    first, last = new[trie.previous], new[trie.last]
    k2 = first * size + last
    k3 = (new[trie.before] * size + first[trie.owner]) * size + last[trie.owner]
    i2, i3 = np.argsort(k2), np.argsort(k3)
    return Ngram(
        [*SPECIAL, *(trie.words[i] for i in rest)],
        p1, b1, k2[i2], (trie.p2 * base)[i2], (trie.b2 * base)[i2], k3[i3], (trie.p3 * base)[i3],
    )  # fmt: skip


def _renumbered(words: list[str], rest: list[int]) -> Ints:
    """Our number of every word of the file; what is neither special nor in ``rest`` is unknown."""
    ids = {w: i for i, w in enumerate(words)}
    new = np.full(len(words), 2, np.int64)
    new[ids[SPECIAL[0]]], new[ids[SPECIAL[1]]] = BOS, EOS
    new[rest] = np.arange(3, 3 + len(rest))
    return new


def _unpacked(path: Path) -> _Trie:
    data = path.read_bytes()
    if not data.startswith(MAGIC) or data[len(MAGIC)] != 3:
        raise ValueError(f"{path}: not a trigram trie")
    at = len(MAGIC) + 1
    n1, n2, n3 = struct.unpack_from("<3I", data, at)
    at += 12 + 4
    tables = np.frombuffer(data, "<f4", 3 * 65536, at).reshape(3, 65536).astype(np.float64)
    at += tables.size * 4
    unigram = np.dtype([("p", "<f4"), ("b", "<f4"), ("next", "<u4")])
    uni = np.frombuffer(data, unigram, n1 + 1, at)
    at += (n1 + 1) * 12
    word_bits, next_bits = n1.bit_length(), n3.bit_length()
    width2, width3 = word_bits + 32 + next_bits, word_bits + 16
    size2, size3 = (((1 + n) * width + 7) // 8 + 8 for n, width in ((n2, width2), (n3, width3)))
    mid = data[at : at + size2] + bytes(8)
    longest = data[at + size2 : at + size2 + size3] + bytes(8)
    words = _names(data, at + size2 + size3, n1)
    n2 = int(uni["next"][-1])  # the head counts a few that were never written
    o2 = np.arange(n2 + 1, dtype=np.int64) * width2
    child = _bits(mid, o2 + word_bits + 32, next_bits)
    o3 = np.arange(int(child[-1]), dtype=np.int64) * width3
    return _Trie(
        words,
        uni["p"][:-1], uni["b"][:-1],
        previous=_bits(mid, o2[:-1], word_bits),
        last=np.repeat(np.arange(n1), np.diff(uni["next"].astype(np.int64))),
        p2=tables[0][_bits(mid, o2[:-1] + word_bits + 16, 16)],
        b2=tables[1][_bits(mid, o2[:-1] + word_bits, 16)],
        before=_bits(longest, o3, word_bits),
        owner=np.repeat(np.arange(n2), np.diff(child)),
        p3=tables[2][_bits(longest, o3 + word_bits, 16)],
    )  # fmt: skip


def _names(data: bytes, at: int, many: int) -> list[str]:
    (length,) = struct.unpack_from("<I", data, at)
    return [n.decode("utf-8") for n in data[at + 4 : at + 4 + length].split(b"\0")[:many]]


def restrict(model: Ngram, words: list[str]) -> Ngram:
    """The model over another word list: n-grams with other words dropped, then renormalised.

    Words of the list that the model lacks share a little of the unigram mass.
    """
    ids = {w: i for i, w in enumerate(words)}
    new: Ints = np.array([ids.get(w, -1) for w in model.words], np.int64)
    new[2] = -1
    size = model.size
    p1 = np.full(len(words), 0.0)
    have = new >= 0
    p1[new[have]] = np.exp(model.p1[have])
    p1[BOS] = 0.0
    missing = p1 == 0.0
    missing[[BOS, 2]] = False
    if missing.any():
        p1[missing] = 0.002 / missing.sum()
    p1 /= p1.sum()
    p1[2] = p1[BOS] = 1e-12

    def kept(keys: Ints, order: int) -> tuple[Ints, NDArray[np.bool_]]:
        parts = [keys // size**i % size for i in reversed(range(order))]
        ok = np.all([new[p] >= 0 for p in parts], axis=0)
        out = np.zeros(int(ok.sum()), np.int64)
        for p in parts:
            out = out * len(words) + new[p[ok]]
        return out, ok

    def order_by(keys: Ints, *columns: Floats) -> tuple[Ints, list[Floats]]:
        i = np.argsort(keys)
        return keys[i], [c[i] for c in columns]

    k2, ok2 = kept(model.k2, 2)
    k2, (p2, b2) = order_by(k2, model.p2[ok2], model.b2[ok2])
    k3, ok3 = kept(model.k3, 3)
    k3, (p3,) = order_by(k3, model.p3[ok3])
    out = Ngram(words, np.log(p1), np.zeros(len(words)), k2, p2, b2, k3, p3)
    out.backoffs()
    return out
