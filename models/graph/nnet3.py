"""From convolution weights to nnet3 config lines and components; batch norms are folded in."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from fieldlog.speech.kaldi import Component, Network

Arrays = dict[str, NDArray[np.float64]]
EPS = 1e-5


class Builder:
    """Adds layers one by one; every method returns the descriptor that names its output."""

    def __init__(self, dim: int) -> None:
        self.lines = [f"input-node name=input dim={dim}"]
        self.components: list[Component] = []
        self.dims = {"input": dim}

    def _node(self, name: str, inputs: str) -> str:
        self.lines.append(f"component-node name={name} component={name} input={inputs}")
        self.dims[name] = self.components[-1].dim
        return name

    @staticmethod
    def spliced(x: str, offsets: Sequence[int]) -> str:
        """Frames side by side, oldest first."""
        return "Append(" + ",".join(x if o == 0 else f"Offset({x},{o})" for o in offsets) + ")"

    @staticmethod
    def norm(state: Arrays, name: str) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Scale and offset that a batch norm applies once trained."""
        scale = 1.0 / np.sqrt(state[f"{name}.running_var"] + EPS)
        offset = -state[f"{name}.running_mean"] * scale
        if f"{name}.weight" in state:
            gain = state[f"{name}.weight"]
            return scale * gain, offset * gain + state[f"{name}.bias"]
        return scale, offset

    def matrix(
        self, name: str, weight: NDArray[np.floating], bias: NDArray[np.floating], inputs: str
    ) -> str:
        """An affine layer from its matrix (outputs, inputs) and bias."""
        w, b = weight.astype(np.float32), bias.astype(np.float32)
        self.components.append(Component(name, "affine", len(b), w, b))
        return self._node(name, inputs)

    def normalise(self, name: str, state: Arrays, inputs: str) -> str:
        """A batch norm alone, as a diagonal affine layer."""
        scale, offset = self.norm(state, name)
        return self.matrix(name, np.diag(scale), offset, inputs)

    def affine(self, name: str, state: Arrays, layer: str, inputs: str, norm: str = "") -> str:
        """A convolution (outputs, inputs, taps) over already spliced frames."""
        weight = state[f"{layer}.weight"]
        weight = weight.transpose(0, 2, 1).reshape(len(weight), -1)
        bias = state.get(f"{layer}.bias", np.zeros(len(weight)))
        if norm:
            scale, offset = self.norm(state, norm)
            weight, bias = weight * scale[:, None], bias * scale + offset
        return self.matrix(name, weight, bias, inputs)

    def relu(self, name: str, inputs: str, dim: int | None = None) -> str:
        """Rectified linear units over a node or a sum of nodes (then give ``dim``)."""
        self.components.append(Component(name, "relu", dim or self.dims[inputs]))
        return self._node(name, inputs)

    def finish(self, x: str, left: int, right: int) -> Network:
        """Log softmax over node ``x`` and the output; contexts in input frames."""
        self.components.append(Component("logsoftmax", "logsoftmax", self.dims[x]))
        self._node("logsoftmax", x)
        self.lines.append("output-node name=output input=logsoftmax objective=linear")
        return Network(self.lines, self.components, left, right)
