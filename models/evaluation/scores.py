"""Error rates, recall of terms, exactness of numbers, with bootstrap intervals."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import jiwer
import numpy as np
from normalise import normalise, numbers

ROUNDS = 1000


@dataclass(frozen=True)
class Score:
    """A share with its 95% bootstrap interval over utterances."""

    value: float
    low: float
    high: float
    count: int
    """What it is a share of: words, terms, numbers."""

    def __str__(self) -> str:
        if not self.count:
            return "–"
        return f"{100 * self.value:.1f} ({100 * self.low:.1f}-{100 * self.high:.1f})"


def share(hits: Sequence[int], totals: Sequence[int], seed: int = 1) -> Score:
    """Sum of hits over sum of totals, resampling utterances."""
    h, t = np.array(hits, float), np.array(totals, float)
    if not t.sum():
        return Score(0, 0, 0, 0)
    rng = np.random.default_rng(seed)
    picks = rng.integers(0, len(h), (ROUNDS, len(h)))
    rates = h[picks].sum(1) / np.maximum(t[picks].sum(1), 1)
    low, high = np.percentile(rates, [2.5, 97.5])
    return Score(float(h.sum() / t.sum()), float(low), float(high), int(t.sum()))


def error_rate(said: Sequence[str], heard: Sequence[str], norm: bool = True) -> Score:
    """Word errors over words said; with ``norm`` False the tokens are taken as they are."""
    change: Callable[[str], str] = normalise if norm else str.strip
    errors, totals = [], []
    for s, h in zip(said, heard, strict=True):
        s, h = change(s), change(h)
        if not s:
            continue
        out = jiwer.process_words(s, h)
        errors.append(out.substitutions + out.deletions + out.insertions)
        totals.append(len(s.split()))
    return share(errors, totals)


def _aligned(said: str, heard: str) -> tuple[list[str], list[bool], list[bool]]:
    """(words said, whether each was heard, whether something was put in right before each)."""
    words = said.split()
    right = [False] * len(words)
    extra = [False] * (len(words) + 1)
    out = jiwer.process_words(said, heard)
    for chunk in out.alignments[0]:
        if chunk.type == "equal":
            right[chunk.ref_start_idx : chunk.ref_end_idx] = [True] * (
                chunk.ref_end_idx - chunk.ref_start_idx
            )
        elif chunk.type == "insert":
            extra[chunk.ref_start_idx] = True
    return words, right, extra


def term_recall(said: Sequence[str], heard: Sequence[str], terms: set[str]) -> Score:
    """Share of the spoken trade words that were written at their place."""
    hits, totals = [], []
    for s, h in zip(said, heard, strict=True):
        words, right, _ = _aligned(normalise(s), normalise(h))
        mine = [i for i, w in enumerate(words) if w in terms]
        hits.append(sum(right[i] for i in mine))
        totals.append(len(mine))
    return share(hits, totals)


def exact_numbers(said: Sequence[str], heard: Sequence[str]) -> Score:
    """Share of the spoken numbers of which every word is right and none was put in."""
    hits, totals = [], []
    for s, h in zip(said, heard, strict=True):
        words, right, extra = _aligned(normalise(s), normalise(h))
        spans = numbers(words)
        hits.append(sum(all(right[a:b]) and not any(extra[a + 1 : b]) for a, b in spans))
        totals.append(len(spans))
    return share(hits, totals)
