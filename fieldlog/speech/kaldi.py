"""Kaldi's file formats, as far as our own model needs them: networks and their phones.

Written from the formats' public definitions; no Kaldi code runs here. Integers are
little-endian, matrices are float32, one row an output.
"""

from __future__ import annotations

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
