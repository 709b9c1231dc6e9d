"""A second opinion on what was said: a small trained network reads the words without any rule.

For every word of a note it gives the chance that each code (a finding, a job, a measure...) is said
there, or said to be absent. It was trained on labelled phrases of several writers and on talk that
the rules had read (``models/gist/train.py``), so it errs elsewhere than the rules do: a fact that
both agree on is far likelier right than one that only a pattern saw. It changes no fact; the chance
of a fact (``confidence``) is made of it, and ``gist_marks`` proposes what no rule understood.

The network: word vectors, two convolutions over five words, one output per code and word. A stretch
holds a code if any of its words says so (noisy or). Numpy only; no file, no opinion.
"""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, cached_property, lru_cache
from math import expm1
from pathlib import Path
from typing import Any

from fieldlog.paths import project_folder

MODEL = "gist-net"
"""Folder below ``models`` that holds the shipped network."""
BESIDE = 3
"""Words on either side of a fact that may say it too."""
ONE_THREAD = 4 * 65536
"""Products of a matrix multiplication up to which OpenBLAS stays on one thread (its default)."""
SAME = {
    "sound": "lameness", "tester_negative": "tester_positive", "pulse_normal": "digital_pulse",
    "axis_straight": "axis_broken", "next_trim_weak": "next_trim", "cycle": "next_trim",
    "call_weak": "call", "owner_care_weak": "owner_care",
}  # fmt: skip
"""Codes that the network knows under another name."""
TURNED = frozenset({"sound", "tester_negative", "pulse_normal", "axis_straight"})
"""Codes whose other name is denied by them."""
_WORD = re.compile(r"[a-z]+(?:'[a-z]+)?")


def label(code: str, negated: bool) -> str:
    """The network's name for a code, ``not:`` before it where it is said to be absent."""
    denied = negated != (code in TURNED)
    return ("not:" if denied else "") + SAME.get(code, code)


def words_of(text: str) -> list[tuple[str, int, int]]:
    """The words that the network reads, lower case, with their first and last character."""
    plain = text.lower().replace("’", "'")
    return [(m[0], m.start(), m.end()) for m in _WORD.finditer(plain)]


def row_of(rows: Mapping[str, int], word: str) -> int:
    """The row of a word's vector, or of the word before its apostrophe; 0 if it has none."""
    return rows.get(word, 0) or rows.get(word.partition("'")[0], 0)


def _begin(word: tuple[str, int, int]) -> int:
    return word[1]


def _end(word: tuple[str, int, int]) -> int:
    return word[2]


@dataclass(frozen=True)
class Opinion:
    """What the network says about one note."""

    words: tuple[tuple[str, int, int], ...]
    not_said: Any
    """Natural log of the chance that a code is not said, words by codes."""
    columns: dict[str, int]

    def knows(self, code: str, negated: bool) -> bool:
        """Whether the network was trained on this code."""
        return label(code, negated) in self.columns

    def chance(
        self, code: str, negated: bool, span: tuple[int, int] | None = None, beside: int = BESIDE
    ) -> float:
        """The chance, 0 to 1, that a code is said within a span of the text.

        Args:
            code: an id of the vocabulary.
            negated: whether it is said to be absent.
            span: characters; None for the whole note.
            beside: words before and behind the span that count too.

        Returns:
            0 for a code that the network does not know.
        """
        column = self.columns.get(label(code, negated))
        if column is None or not self.words:
            return 0.0
        if span is None:
            return -expm1(float(self.whole[column]))
        first = bisect_right(self.words, span[0], key=_end)
        last = bisect_left(self.words, span[1], key=_begin)
        if first >= last:
            return 0.0
        first, last = max(0, first - beside), last + beside
        return -expm1(float(self.not_said[first:last, column].sum()))

    @cached_property
    def whole(self) -> Any:
        """The log of the chance that a code is said nowhere in the note."""
        return self.not_said.sum(0)


class Network:
    """The loaded weights."""

    def __init__(self, folder: Path) -> None:
        import numpy as np

        words = (folder / "words.txt").read_text(encoding="utf-8").split("\n")
        self._row = {word: at for at, word in enumerate(words, start=1)}
        codes = (folder / "codes.txt").read_text(encoding="utf-8").split()
        self._columns = {code: at for at, code in enumerate(codes)}
        with np.load(folder / "network.npz") as kept:
            self._vectors, self._scales = kept["vectors"], kept["scales"]
            self._layers = [
                (kept[f"w{n}"].astype(np.float32), kept[f"b{n}"].astype(np.float32))
                for n in range(3)
            ]

    def read(self, text: str) -> Opinion:
        """The opinion on a note."""
        import numpy as np

        words = tuple(words_of(text))
        if not words:
            return Opinion((), np.zeros((0, len(self._columns))), self._columns)
        rows = [row_of(self._row, word) for word, _, _ in words]
        x = self._vectors[rows].astype(np.float32) * self._scales[rows, None]
        first = _gelu(_convolved(x, *self._layers[0]))
        second = first + _gelu(_convolved(first, *self._layers[1]))
        weights, bias = self._layers[2]
        logits = _product(second, weights) + bias
        return Opinion(words, -np.logaddexp(np.float32(0.0), logits), self._columns)


def _convolved(x: Any, weights: Any, bias: Any) -> Any:
    """A convolution over five neighbouring rows; ``weights`` is (5, in, out)."""
    import numpy as np

    width = len(weights)
    padded = np.pad(x, ((width // 2, width // 2), (0, 0)))
    return sum(_product(padded[k : k + len(x)], weights[k]) for k in range(width)) + bias


def _product(a: Any, b: Any) -> Any:
    """``a @ b`` in blocks of rows so small that numpy's library starts no threads for them.

    Its threads wait for each other busily: on a laptop that is recording at the same time a note
    took five times as long with them.
    """
    import numpy as np

    rows = max(1, ONE_THREAD // (b.shape[0] * b.shape[1]))
    return np.concatenate([a[at : at + rows] @ b for at in range(0, len(a), rows)])


def _gelu(x: Any) -> Any:
    import numpy as np

    return 0.5 * x * (1.0 + np.tanh(0.7978845608 * (x + 0.044715 * x * x * x)))


@cache
def network() -> Network | None:
    """The shipped network, loaded once; None if there is none."""
    models = project_folder("models")
    folder = models / MODEL if models is not None else None
    return Network(folder) if folder is not None and (folder / "network.npz").is_file() else None


@lru_cache(maxsize=8)
def opinion(text: str) -> Opinion | None:
    """What the shipped network says about a note; None without a network."""
    ready = network()
    return ready.read(text) if ready is not None else None
