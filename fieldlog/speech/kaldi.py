"""Kaldi's file formats, as far as our own model needs them: networks and FSTs.

Written from the formats' public definitions; no Kaldi or OpenFst code runs here. Integers are
little-endian, matrices are float32, one row an output.
"""

from __future__ import annotations

import math
import struct
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import BinaryIO

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float32]


@dataclass(frozen=True)
class Component:
    """One nnet3 component: ``affine`` (weight and bias), ``relu``, ``logsoftmax`` or ``lstm``."""

    name: str
    kind: str
    dim: int
    """Output dimension."""
    weight: Array | None = None
    """Shape (dim, input dim), for ``affine``."""
    bias: Array | None = None


@dataclass(frozen=True)
class Network:
    """An nnet3 network: its config lines, its components, and its context in input frames."""

    lines: Sequence[str]
    components: Sequence[Component]
    left_context: int
    right_context: int
    log_priors: Array = field(default_factory=lambda: np.zeros(0, np.float32))
    """Natural log of the outputs' priors, subtracted by the decoder; empty for none."""


@dataclass(frozen=True)
class Topology:
    """Phones and how they emit network outputs.

    Phone 1 is silence: one state emitting blank. Every other phone has a state for its own sound
    and an optional second one for the blank that follows it.
    """

    outputs: Sequence[int]
    """Network output of phone 2, 3, ...; output 0 is blank."""
    silence: tuple[float, float] = (0.95, 0.05)
    """Silence: probability to stay, to leave."""
    sound: tuple[float, float, float] = (0.4, 0.3, 0.3)
    """A phone's own state: to stay, to the blank, to leave."""
    blank: tuple[float, float] = (0.3, 0.7)
    """The blank after a phone: to stay, to leave."""

    @property
    def phones(self) -> int:
        return 1 + len(self.outputs)

    def transition(self, phone: int, state: int, index: int) -> int:
        """Kaldi transition-id (from 1): two for silence, five for every other phone."""
        if phone == 1:
            return 1 + index
        return 3 + 5 * (phone - 2) + 3 * state + index

    def log_probs(self) -> NDArray[np.float64]:
        """Log probability by transition-id; entry 0 is unused."""
        one = [*self.sound, *self.blank]
        logs: NDArray[np.float64] = np.log(np.array([1.0, *self.silence, *one * len(self.outputs)]))
        return logs


class Writer:
    """Kaldi's binary tokens, numbers and arrays, written one after another."""

    def __init__(self, out: BinaryIO) -> None:
        self.out = out

    def token(self, *names: str) -> None:
        self.out.write("".join(f"{n} " for n in names).encode())

    def integer(self, *values: int) -> None:
        for value in values:
            self.out.write(b"\x04" + struct.pack("<i", value))

    def real(self, *values: float) -> None:
        for value in values:
            self.out.write(b"\x04" + struct.pack("<f", value))

    def long(self, value: int) -> None:
        self.out.write(b"\x08" + struct.pack("<q", value))

    def double(self, value: float) -> None:
        self.out.write(b"\x08" + struct.pack("<d", value))

    def integers(self, values: Sequence[int]) -> None:
        self.out.write(b"\x04" + struct.pack("<i", len(values)))
        self.out.write(np.asarray(values, "<i4").tobytes())

    def vector(self, values: Sequence[float] | NDArray[np.floating]) -> None:
        data = np.asarray(values, "<f4")
        self.out.write(b"FV \x04" + struct.pack("<i", len(data)) + data.tobytes())

    def matrix(self, values: NDArray[np.floating]) -> None:
        data = np.ascontiguousarray(values, "<f4")
        self.out.write(b"FM \x04" + struct.pack("<i", data.shape[0]))
        self.out.write(b"\x04" + struct.pack("<i", data.shape[1]) + data.tobytes())


@contextmanager
def kaldi_file(path: Path) -> Iterator[Writer]:
    """A new file of Kaldi's in its binary form."""
    with path.open("wb") as out:
        out.write(b"\0B")
        yield Writer(out)


def write_acoustic_model(path: Path, topology: Topology, network: Network) -> None:
    """Write ``final.mdl``: transition model, nnet3 network, contexts and priors."""
    with kaldi_file(path) as w:
        _transition_model(w, topology)
        _nnet3(w, network.lines, network.components)
        w.token("<LeftContext>")
        w.integer(network.left_context)
        w.token("<RightContext>")
        w.integer(network.right_context)
        w.token("<Priors>")
        w.vector(np.exp(network.log_priors))


def write_raw_network(path: Path, lines: Sequence[str], components: Sequence[Component]) -> None:
    """Write an nnet3 network by itself, without the transition model of an acoustic one."""
    with kaldi_file(path) as w:
        _nnet3(w, lines, components)


def _nnet3(w: Writer, lines: Sequence[str], components: Sequence[Component]) -> None:
    w.token("<Nnet3>")
    w.out.write(b"\n" + "\n".join(lines).encode() + b"\n\n")
    w.token("<NumComponents>")
    w.integer(len(components))
    for component in components:
        w.token("<ComponentName>", component.name)
        _component(w, component)
    w.token("</Nnet3>")


def _transition_model(w: Writer, topology: Topology) -> None:
    silence = [(0, list(enumerate(topology.silence))), (-1, [])]
    sound = [
        (0, list(enumerate(topology.sound))),
        (1, [(1, topology.blank[0]), (2, topology.blank[1])]),
        (-1, []),
    ]
    phones = range(1, topology.phones + 1)
    w.token("<TransitionModel>", "<Topology>")
    w.integers(list(phones))
    w.integers([-1, 0] + [1] * len(topology.outputs))
    w.integer(2)
    for entry in (silence, sound):
        w.integer(len(entry))
        for pdf_class, arcs in entry:
            w.integer(pdf_class, len(arcs))
            for target, probability in arcs:
                w.integer(target)
                w.real(probability)
    w.token("</Topology>", "<Triples>")
    triples = [(1, 0, 0)]
    for phone, output in enumerate(topology.outputs, 2):
        triples += [(phone, 0, output), (phone, 1, 0)]
    w.integer(len(triples))
    for triple in triples:
        w.integer(*triple)
    w.token("</Triples>", "<LogProbs>")
    w.vector(topology.log_probs())
    w.token("</LogProbs>", "</TransitionModel>")


def _component(w: Writer, component: Component) -> None:
    if component.kind == "affine":
        if component.weight is None or component.bias is None:
            raise ValueError(f"{component.name}: an affine component needs weight and bias")
        w.token("<FixedAffineComponent>", "<LinearParams>")
        w.matrix(component.weight)
        w.token("<BiasParams>")
        w.vector(component.bias)
        w.token("</FixedAffineComponent>")
        return
    if component.kind == "lstm":
        _memory_cells(w, component.dim)
        return
    kinds = {"relu": "RectifiedLinearComponent", "logsoftmax": "LogSoftmaxComponent"}
    if component.kind not in kinds:
        raise ValueError(f"{component.name}: unknown kind {component.kind!r}")
    name = kinds[component.kind]
    w.token(f"<{name}>", "<Dim>")
    w.integer(component.dim)
    w.token("<ValueAvg>")
    w.vector([])
    w.token("<DerivAvg>")
    w.vector([])
    w.token("<Count>")
    w.double(0.0)
    w.token(f"</{name}>")


def _memory_cells(w: Writer, output: int) -> None:
    """Long short-term memory cells, ``output // 2`` of them, whose gates do not see the cells.

    What training keeps beside them (averages, repairs) is zero.
    """
    cells = output // 2
    w.token("<LstmNonlinearityComponent>", "<LearningRate>")
    w.real(0.001)
    w.token("<Params>")
    w.matrix(np.zeros((3, cells)))
    for name in ("<ValueAvg>", "<DerivAvg>"):
        w.token(name)
        w.matrix(np.zeros((5, cells)))
    w.token("<SelfRepairConfig>")
    w.vector(np.zeros(10))
    w.token("<SelfRepairProb>")
    w.vector(np.zeros(5))
    w.token("<Count>")
    w.double(0.0)
    w.token("</LstmNonlinearityComponent>")


ARC = np.dtype([("in", "<i4"), ("out", "<i4"), ("cost", "<f4"), ("to", "<i4")])
STATE = np.dtype(
    [("final", "<f4"), ("first", "<u4"), ("arcs", "<u4"), ("in_eps", "<u4"), ("out_eps", "<u4")]
)
FST_MAGIC = 2125659606
FST_VERSION = 2
EXPANDED, MUTABLE = 1, 2


def write_const_fst(
    path: Path, source: NDArray[np.int64], arcs: NDArray[np.void], finals: Array, start: int
) -> None:
    """Write an OpenFst constant FST over the tropical semiring.

    ``source`` is the state each row of ``arcs`` (dtype ``ARC``) leaves; ``finals`` the final cost
    of every state, infinity where it is none.
    """
    count = len(finals)
    order = np.argsort(source, kind="stable")
    arcs, source = arcs[order], source[order]
    states = np.zeros(count, STATE)
    states["final"] = finals
    states["arcs"] = np.bincount(source, minlength=count)
    states["first"] = np.concatenate([[0], np.cumsum(states["arcs"])[:-1]])
    states["in_eps"] = np.bincount(source[arcs["in"] == 0], minlength=count)
    states["out_eps"] = np.bincount(source[arcs["out"] == 0], minlength=count)
    with path.open("wb") as out:
        out.write(_fst_head(b"const", EXPANDED, start, count, len(arcs)))
        out.write(states.tobytes())
        out.write(arcs.tobytes())


def write_loop_fst(path: Path, arcs: NDArray[np.void]) -> None:
    """Write an OpenFst vector FST of one state, final at no cost, that all arcs come back to."""
    with path.open("wb") as out:
        out.write(_fst_head(b"vector", EXPANDED | MUTABLE, 0, 1, len(arcs)))
        out.write(struct.pack("<fq", 0.0, len(arcs)))
        out.write(arcs.tobytes())


def _fst_head(kind: bytes, properties: int, start: int, states: int, arcs: int) -> bytes:
    names = b"".join(struct.pack("<i", len(name)) + name for name in (kind, b"standard"))
    numbers = struct.pack("<iiQqqq", FST_VERSION, 0, properties, start, states, arcs)
    return struct.pack("<i", FST_MAGIC) + names + numbers


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
