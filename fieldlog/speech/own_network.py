"""Our own acoustic network in numpy: how it hears a sound, and what would make it hear better.

libvosk runs the network when notes are read. Here it runs as well, layer by layer, to learn a
voice: each unit of each layer gets a gain and an offset (Swietojanski and Renals, SLT 2014, learn
such gains; the offsets are ours), and ``slopes`` says which way to move them. The weights stay.
Only networks of the shape that ``models/train`` makes are known: time delays, every layer one
affine step, or a narrow and a wide one, most with what came in added to what goes on.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fieldlog.errors import SpeechError
from fieldlog.speech.kaldi import Component, Network

Array = NDArray[np.float32]
Change = tuple[Array, Array]
"""Gains and offsets of a layer's units; of the output the gains are not used."""
OUT = "out"
"""The last layer."""
EVERY = 3
"""Frames for one step of the output."""
_REACH = re.compile(r"component=(\w+) input=Append\(Offset\(\w+,-(\d+)\)")


@dataclass(frozen=True)
class Layer:
    """Frames around one are put together, made narrow (if ``narrow``) and wide."""

    name: str
    wide: Array
    """Units by inputs."""
    bias: Array
    narrow: tuple[Array, Array] | None
    """Weights and bias of the narrow step."""
    apart: int
    """Frames between two that are put together."""
    taps: int
    """How many are put together."""
    thins: bool
    """Whether only every third frame goes on."""
    adds: bool
    """Whether what came in is added to what goes on."""

    def put_together(self, x: Array) -> Array:
        """Frames by taps times units; the frames at either end have no neighbours and go."""
        reach = self.apart * (self.taps - 1)
        end = len(x) - reach
        step = EVERY if self.thins else 1
        return np.concatenate([x[i : i + end : step] for i in range(0, reach + 1, self.apart)], 1)

    def taken_apart(self, slope: Array, came: int) -> Array:
        """The slope at the ``came`` frames that came in, of one at the frames put together."""
        wide = slope.shape[1] // self.taps
        out = np.zeros((came, wide), np.float32)
        step = EVERY if self.thins else 1
        for tap in range(self.taps):
            at = tap * self.apart
            out[at : at + step * len(slope) : step] += slope[:, tap * wide : (tap + 1) * wide]
        return out


@dataclass(frozen=True)
class _Passed:
    """What a layer saw on the way forward."""

    before: Array
    """Its units before gain and offset, frames by units."""
    kept: Array | None
    """Nought where a unit was dropped, else one over the share that is kept."""
    on: NDArray[np.bool_]
    """Which units let something through."""
    came: int
    """How many frames came in."""


class OwnNetwork:
    """A network of ours, ready to listen and to be taught."""

    def __init__(self, network: Network) -> None:
        """
        Args:
            network: as ``shipped.read_network`` gives it.

        Raises:
            SpeechError: a network of another shape.
        """
        parts = {c.name: c for c in network.components}
        reaches = {m[1]: int(m[2]) for m in map(_REACH.search, network.lines) if m}
        try:
            self._norm, self._out = _affine(parts["norm"]), _affine(parts[OUT])
            first = Layer("a1", *_affine(parts["a1"]), None, 1, 2 * reaches["a1"] + 1, False, False)
            self.layers = [first, *_residual(parts, reaches)]
        except (KeyError, TypeError) as problem:
            raise SpeechError(
                "This speech model cannot learn a voice.", "Use the one that comes along."
            ) from problem
        lost = [x.apart * (x.taps - 1) // 2 for x in self.layers]
        thin = next(i for i, x in enumerate(self.layers) if x.thins) + 1
        self._context = sum(lost[:thin]) + EVERY * sum(lost[thin:])

    def sizes(self) -> dict[str, int]:
        """Units of each layer and of the output."""
        return {x.name: len(x.bias) for x in self.layers} | {OUT: len(self._out[1])}

    def listen(
        self,
        cepstra: Array,
        changes: Mapping[str, Change],
        drop: float = 0.0,
        draw: np.random.Generator | None = None,
    ) -> tuple[Array, list[_Passed]]:
        """Log chances, a step for every third frame by outputs, and what ``slopes`` needs.

        Args:
            cepstra: frames by coefficients.
            changes: gains and offsets of every layer.
            drop: the share of units that are left out at random, for learning.
            draw: where that chance comes from.
        """
        around = ((self._context, self._context + 2), (0, 0))
        x = np.pad(cepstra, around, mode="edge") @ self._norm[0].T + self._norm[1]
        passed = []
        for layer in self.layers:
            inner = layer.put_together(x)
            if layer.narrow:
                inner = inner @ layer.narrow[0].T + layer.narrow[1]
            before = inner @ layer.wide.T + layer.bias
            gain, offset = changes[layer.name]
            y = before * gain + offset
            kept = None
            if drop and draw is not None:
                kept = (draw.random(y.shape, np.float32) >= drop).astype(np.float32)
                kept /= 1 - drop
                y *= kept
            if layer.adds:
                y += x[layer.apart : -layer.apart]
            on = y > 0
            passed.append(_Passed(before, kept, on, len(x)))
            x = y * on
        steps = (len(cepstra) + 2) // EVERY
        logits = (x @ self._out[0].T + self._out[1] + changes[OUT][1])[:steps]
        top = logits - logits.max(1, keepdims=True)
        return top - np.log(np.exp(top).sum(1, keepdims=True)), passed

    def slopes(
        self, slope: NDArray[np.floating], passed: Sequence[_Passed], changes: Mapping[str, Change]
    ) -> dict[str, Change]:
        """How the loss changes with every gain and offset.

        Args:
            slope: of the loss at the outputs before the softmax, steps by outputs.
            passed: as ``listen`` gave it.
            changes: the same as there.
        """
        total = slope.sum(0, dtype=np.float32)
        found = {OUT: (np.zeros_like(total), total)}
        x: Array = slope.astype(np.float32) @ self._out[0]
        for layer, seen in zip(reversed(self.layers), reversed(passed), strict=True):
            short = len(seen.on) - len(x)  # steps behind the last one that is asked for
            through = np.pad(x, ((0, short), (0, 0))) * seen.on
            own = through if seen.kept is None else through * seen.kept
            found[layer.name] = ((own * seen.before).sum(0), own.sum(0))
            inner: NDArray[Any] = (own * changes[layer.name][0]) @ layer.wide
            if layer.narrow:
                inner = inner @ layer.narrow[0]
            x = layer.taken_apart(inner, seen.came)
            if layer.adds:
                x[layer.apart : -layer.apart] += through
        return found


def _affine(part: Component) -> tuple[Array, Array]:
    if part.weight is None or part.bias is None:
        raise KeyError(part.name)
    return part.weight, part.bias


def _residual(parts: Mapping[str, Component], reaches: Mapping[str, int]) -> list[Layer]:
    """The layers behind the first: each a narrow step (``l2``, ``bl0``) and a wide one."""
    blocks = sum(name.startswith("bl") for name in parts)
    names = [("l2", "a2"), ("l3", "a3"), *((f"bl{i}", f"ba{i}") for i in range(blocks))]
    return [
        Layer(
            wide,
            *_affine(parts[wide]),
            _affine(parts[narrow]),
            apart=reaches[narrow] // (EVERY if narrow.startswith("bl") else 1),
            taps=3,
            thins=narrow == "l3",
            adds=narrow != "l3",
        )
        for narrow, wide in names
    ]
