"""A graph of phones, and what it becomes for the decoder: the states that each phone has."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fieldlog.speech.fst import ARC
from fieldlog.speech.kaldi import Array, Topology


@dataclass(frozen=True)
class PhoneGraph:
    """A determinised lexicon-and-grammar graph whose input labels are phones."""

    source: NDArray[np.int64]
    phone: NDArray[np.int64]
    """0 where the arc reads nothing."""
    word: NDArray[np.int64]
    cost: NDArray[np.float64]
    target: NDArray[np.int64]
    finals: NDArray[np.float64]
    start: int = 0


Block = tuple[NDArray[np.int64], NDArray[np.void]]
"""Arcs of one kind: the states that they leave, and the arcs themselves (dtype ``ARC``)."""


@dataclass(frozen=True)
class _Chains:
    """The HMM states that phone arcs are led through, one chain for each phone and target."""

    phone: NDArray[np.int64]
    target: NDArray[np.int64]
    """State of the phone graph where the chain ends."""
    first: NDArray[np.int64]
    """First of its new states: one for silence, three for another phone."""
    states: int
    """The old states and the new ones."""

    @property
    def silent(self) -> NDArray[np.bool_]:
        return np.equal(self.phone, 1)

    @property
    def base(self) -> NDArray[np.int64]:
        """Transition-id of a phone's sound that stays; of no use where the chain is silent."""
        return 3 + 5 * (self.phone - 2)


def expand_phones(
    graph: PhoneGraph, topology: Topology
) -> tuple[NDArray[np.int64], NDArray[np.void], Array]:
    """Replace phone arcs by HMM states: (source states, arcs, final costs) of the decoding graph.

    All arcs with the same phone into the same state share their HMM states. Silence takes one
    new state, another phone three: its sound with the blank after it, and its sound without.
    """
    costs = -topology.log_probs()
    free = graph.phone == 0
    chains, entry = _chains(graph)
    # The order of the blocks is that of the arcs of one state: the model's bytes hang on it.
    blocks = [
        _block(graph.source[free], 0, graph.word[free], graph.cost[free], graph.target[free]),
        *_into_chains(graph, chains, entry, topology, costs),
        *_along_silence(chains, topology, costs),
        *_along_sounds(chains, costs),
    ]
    finals = np.full(chains.states, math.inf, np.float32)
    finals[: len(graph.finals)] = graph.finals
    sources, arcs = zip(*blocks, strict=True)
    return np.concatenate(sources), np.concatenate(arcs), finals


def _block(
    source: NDArray[np.int64],
    transition: NDArray[np.int64] | int,
    word: NDArray[np.int64] | int,
    cost: NDArray[np.float64] | float,
    to: NDArray[np.int64],
) -> Block:
    arcs = np.zeros(len(source), ARC)
    arcs["in"], arcs["out"], arcs["cost"], arcs["to"] = transition, word, cost, to
    return source, arcs


def _chains(graph: PhoneGraph) -> tuple[_Chains, NDArray[np.int64]]:
    """The chains, numbered behind the old states; and of every arc that reads a phone its chain."""
    states = len(graph.finals)
    reads = graph.phone > 0
    # Phone and target as one number: the same pair, the same chain.
    pairs, entry = np.unique(
        graph.phone[reads] * (states + 1) + graph.target[reads], return_inverse=True
    )
    phone, target = pairs // (states + 1), pairs % (states + 1)
    width = np.where(phone == 1, 1, 3)
    first = states + np.concatenate([[0], np.cumsum(width)[:-1]])
    return _Chains(phone, target, first, states + int(width.sum())), entry


def _into_chains(
    graph: PhoneGraph,
    chains: _Chains,
    entry: NDArray[np.int64],
    topology: Topology,
    costs: NDArray[np.float64],
) -> Iterator[Block]:
    """The arcs that read a phone now enter its chain; they keep their word and their cost.

    An entry reads one frame already, by the transition that leaves what it reads: of a phone
    either towards its blank or past it.
    """
    reads = graph.phone > 0
    source, word, cost = graph.source[reads], graph.word[reads], graph.cost[reads]
    first, quiet = chains.first[entry], chains.silent[entry]
    leave = topology.transition(1, 0, 1)
    yield _block(source[quiet], leave, word[quiet], cost[quiet] + costs[leave], first[quiet])
    loud = ~quiet
    base = chains.base[entry[loud]]
    for index, state in ((1, 0), (2, 2)):
        ids = base + index
        yield _block(source[loud], ids, word[loud], cost[loud] + costs[ids], first[loud] + state)


def _along_silence(
    chains: _Chains, topology: Topology, costs: NDArray[np.float64]
) -> Iterator[Block]:
    """Silence stays as long as it likes, then goes on to where its arc went."""
    stay = topology.transition(1, 0, 0)
    mute = chains.first[chains.silent]
    yield _block(mute, stay, 0, costs[stay], mute)
    yield _block(mute, 0, 0, 0.0, chains.target[chains.silent])


def _along_sounds(chains: _Chains, costs: NDArray[np.float64]) -> Iterator[Block]:
    """A phone's three states: its sound before a blank, the blank, its sound without one."""
    loud = ~chains.silent
    sound, ids, after = chains.first[loud], chains.base[loud], chains.target[loud]
    blank, alone = sound + 1, sound + 2
    yield _block(sound, ids, 0, costs[ids], sound)
    yield _block(sound, ids + 4, 0, costs[ids + 4], blank)
    yield _block(blank, ids + 3, 0, costs[ids + 3], blank)
    yield _block(blank, 0, 0, 0.0, after)
    yield _block(alone, ids, 0, costs[ids], alone)
    yield _block(alone, 0, 0, 0.0, after)
