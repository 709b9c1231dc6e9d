"""Fill the name class of a phone graph: today's names become words like any other.

The grammar knows where a name may stand but not which names there are. Its name arcs are replaced
by one small word list; all of them share it, so a new list costs a few thousand states.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fieldlog.speech.phone_graph import PhoneGraph


@dataclass(frozen=True)
class Spelling:
    """One way to say a name of one or more words."""

    words: tuple[int, ...]
    """Word numbers, in order."""
    phones: tuple[tuple[int, ...], ...]
    """Phone numbers of each word, placed (begin, inside, end)."""
    cost: float
    """Negative natural log of its probability within the class."""


def fill(graph: PhoneGraph, slot: int, spellings: Sequence[Spelling]) -> PhoneGraph:
    """The graph with every arc that reads ``slot`` leading through the spellings.

    Without spellings the name arcs are taken out. Raises ``ValueError`` for a spelling without
    words or with a word without phones.
    """
    for s in spellings:
        if not s.words or len(s.words) != len(s.phones) or not all(s.phones):
            raise ValueError("a name needs a word and every word needs phones")
    named = graph.phone == slot
    rows: list[tuple[int, int, int, float, int]] = []
    states = len(graph.finals)
    source, phone, word = graph.source.copy(), graph.phone.copy(), graph.word.copy()
    target = graph.target.copy()
    if spellings:
        for end in np.unique(graph.target[named]).tolist():
            start, states = states, states + 1
            here = named & (graph.target == end)
            phone[here], word[here], target[here] = 0, 0, start
            for s in spellings:
                at, cost = start, s.cost
                steps = [
                    (p, w if i == 0 else 0)
                    for w, ps in zip(s.words, s.phones, strict=True)
                    for i, p in enumerate(ps)
                ]
                for i, (p, w) in enumerate(steps):
                    last = i == len(steps) - 1
                    to = end if last else states
                    states += not last
                    rows.append((at, p, w, cost, to))
                    at, cost = to, 0.0
    keep = np.ones(len(source), bool) if spellings else ~named
    extra: NDArray[np.float64] = np.array(rows, np.float64).reshape(-1, 5)
    return PhoneGraph(
        np.concatenate([source[keep], extra[:, 0].astype(np.int64)]),
        np.concatenate([phone[keep], extra[:, 1].astype(np.int64)]),
        np.concatenate([word[keep], extra[:, 2].astype(np.int64)]),
        np.concatenate([graph.cost[keep], extra[:, 3]]),
        np.concatenate([target[keep], extra[:, 4].astype(np.int64)]),
        np.concatenate([graph.finals, np.full(states - len(graph.finals), math.inf)]),
        graph.start,
    )
