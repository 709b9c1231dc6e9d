"""Fill the name class of a phone graph: today's names become words like any other.

The grammar knows where a name may stand but not which names there are. Its name arcs are replaced
by one small word list; all of them share it, so a new list costs a few thousand states.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

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


_Arc = tuple[int, int, int, float, int]
"""State that it leaves, phone, word, cost, state that it reaches."""


def fill(graph: PhoneGraph, slot: int, spellings: Sequence[Spelling]) -> PhoneGraph:
    """The graph with every arc that reads ``slot`` leading through the spellings.

    Without spellings the name arcs are taken out.

    Raises:
        ValueError: a spelling has no words, or a word of it no phones.
    """
    for s in spellings:
        if not s.words or len(s.words) != len(s.phones) or not all(s.phones):
            raise ValueError("a name needs a word and every word needs phones")
    named = graph.phone == slot
    rows: list[_Arc] = []
    states = len(graph.finals)
    source, phone, word = graph.source.copy(), graph.phone.copy(), graph.word.copy()
    target = graph.target.copy()
    if spellings:
        for end in np.unique(graph.target[named]).tolist():
            start, states = states, states + 1
            here = named & (graph.target == end)
            phone[here], word[here], target[here] = 0, 0, start
            for s in spellings:
                path = _path(s, start, end, states)
                states += len(path) - 1
                rows += path
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


def _path(spelling: Spelling, start: int, end: int, free: int) -> list[_Arc]:
    """The arcs of one spelling, one a phone; the states between are numbered from ``free`` on."""
    steps = [
        (phone, word if first == 0 else 0)
        for word, phones in zip(spelling.words, spelling.phones, strict=True)
        for first, phone in enumerate(phones)
    ]
    stops = [start, *range(free, free + len(steps) - 1), end]
    costs = [spelling.cost, *[0.0] * (len(steps) - 1)]
    return [
        (at, phone, word, cost, to)
        for (phone, word), cost, (at, to) in zip(steps, costs, pairwise(stops), strict=True)
    ]
