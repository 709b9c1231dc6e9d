"""The small network as it is stored: an ONNX graph that multiplies bytes.

``write`` stores the arrays that ``network.packed`` gives, ``arrays_of`` gives them back.
``fieldlog/language/opinion/gist.py`` runs it with ONNX Runtime.

Weights are one byte each with a scale per output. What is multiplied with them is made bytes too,
each word piece divided by its own largest number: whole numbers are multiplied several times as
fast as floats. There are 63 steps on either side of zero, not 127: processors without instructions
made for this add two products of bytes in 16 bits, and 2 * 127 * 127 fits while 2 * 255 * 127 does
not, so every processor gets the same sums. Only operators of the ONNX standard (opset 20) are used.

Needs the package onnx.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

import numpy as np
import onnx
from onnx import TensorProto, helper, numpy_helper

HEADS = 12
STEPS = 63
"""Whole numbers on either side of zero that a word piece's numbers become."""
LINEAR = ("ask", "mix", "inner", "outer")
NORMS = ("norm", "end")
OPSET, IR = 20, 9
Arrays = Mapping[str, Any]


class _Graph:
    """Nodes and constants, as they are added."""

    def __init__(self, arrays: Arrays) -> None:
        self.arrays = arrays
        self.nodes: list[Any] = []
        self.kept: dict[str, Any] = {}

    def const(self, name: str, value: Any) -> str:
        """A constant, under its name; the same name gives the same constant."""
        if name not in self.kept:
            self.kept[name] = numpy_helper.from_array(np.array(value, order="C"), name)
        return name

    def add(self, kind: str, *given: str, **settings: Any) -> str:
        """A node with one result; returns the result's name."""
        out = f"{kind}.{len(self.nodes)}"
        self.nodes.append(helper.make_node(kind, list(given), [out], **settings))
        return out

    def linear(self, x: str, name: str) -> str:
        """``x`` times a matrix of bytes, each row of ``x`` as bytes of its own largest number."""
        arrays = self.arrays
        zero = self.const("zero", np.array(STEPS + 1, np.uint8))
        largest = self.add("ReduceMax", self.add("Abs", x), self.const("across", [1]), keepdims=1)
        largest = self.add("Max", largest, self.const("least", np.array(1e-9, np.float32)))
        share = self.add("Mul", x, self.add("Reciprocal", largest))
        step = self.const("step", np.array(1 / STEPS, np.float32))
        small = self.add("QuantizeLinear", share, step, zero)
        out = self.add("MatMulInteger", small, self.const(name, arrays[name]), zero)
        scale = self.const(f"{name}.scale", arrays[f"{name}.scale"].astype(np.float32))
        out = self.add("Mul", self.add("Cast", out, to=TensorProto.FLOAT), scale)
        out = self.add("Mul", out, self.add("Mul", largest, step))
        bias = self.const(f"{name}.bias", arrays[f"{name}.bias"].astype(np.float32))
        return self.add("Add", out, bias)

    def normed(self, x: str, name: str) -> str:
        """Each row with mean 0 and variance 1, then stretched and moved."""
        gain, shift = (row.astype(np.float32) for row in self.arrays[name])
        ends = self.const(f"{name}.gain", gain), self.const(f"{name}.shift", shift)
        return self.add("LayerNormalization", x, *ends, axis=-1, epsilon=0.0)

    def pieces(self) -> str:
        """What stands for each piece at its place."""
        arrays = self.arrays
        rows = self.add("Gather", self.const("table", arrays["table"]), "pieces")
        scales = arrays["table.scale"].astype(np.float32)[:, None]
        sizes = self.add("Gather", self.const("table.scale", scales), "pieces")
        rows = self.add("Mul", self.add("Cast", rows, to=TensorProto.FLOAT), sizes)
        first, axis = self.const("first", [0]), self.const("along", [0])
        places = self.const("place", arrays["place"].astype(np.float16))
        places = self.add("Slice", places, first, self.add("Shape", "pieces"), axis)
        places = self.add("Cast", places, to=TensorProto.FLOAT)
        return self.normed(self.add("Add", self.linear(rows, "widen"), places), "norm")

    def attended(self, x: str, n: int) -> str:
        """What each piece takes from the others in layer ``n``."""
        asked = self.linear(x, f"{n}.ask")
        wide = self.arrays[f"{n}.ask"].shape[1] // 3
        parts = self.const("heads", [0, 3, HEADS, wide // HEADS])
        asked = self.add("Transpose", self.add("Reshape", asked, parts), perm=[1, 2, 0, 3])
        three = [f"{n}.query", f"{n}.key", f"{n}.value"]
        self.nodes.append(helper.make_node("Split", [asked], three, axis=0, num_outputs=3))
        query, key, value = three
        size = self.const("size", np.array((wide // HEADS) ** -0.5, np.float32))
        query, key = self.add("Mul", query, size), self.add("Transpose", key, perm=[0, 1, 3, 2])
        weights = self.add("Softmax", self.add("MatMul", query, key), axis=-1)
        taken = self.add("Transpose", self.add("MatMul", weights, value), perm=[2, 0, 1, 3])
        return self.add("Reshape", taken, self.const("flat", [-1, wide]))

    def layer(self, x: str, n: int, last: bool) -> str:
        """Layer ``n``; behind the last one's attention only what is asked for goes on."""
        taken = self.attended(x, n)
        if last:
            x, taken = (self.add("Gather", of, "wanted") for of in (x, taken))
        x = self.normed(self.add("Add", x, self.linear(taken, f"{n}.mix")), f"{n}.norm")
        inner = self.add("Gelu", self.linear(x, f"{n}.inner"), approximate="tanh")
        return self.normed(self.add("Add", x, self.linear(inner, f"{n}.outer")), f"{n}.end")


def layers_in(names: Iterable[str]) -> int:
    """How many layers a network of such arrays has."""
    return sum(name.endswith(".ask") for name in names)


def written(arrays: Arrays) -> onnx.ModelProto:
    """The graph that computes with arrays.

    It is given ``pieces``, the numbers of a text's word pieces, and ``wanted``, which of them are
    asked for (both of 64 bits); ``says`` has a row for each that is asked for and a column per code
    and manner: log odds.

    Args:
        arrays: as ``network.packed`` gives them.
    """
    graph, many = _Graph(arrays), layers_in(arrays)
    x = graph.pieces()
    for n in range(many):
        x = graph.layer(x, n, last=n == many - 1)
    graph.nodes.append(helper.make_node("Identity", [graph.linear(x, "last")], ["says"]))
    given = [helper.make_tensor_value_info(name, TensorProto.INT64, [size])
             for name, size in (("pieces", "P"), ("wanted", "W"))]  # fmt: skip
    says = helper.make_tensor_value_info("says", TensorProto.FLOAT, ["W", len(arrays["last.bias"])])
    made = helper.make_graph(graph.nodes, "gist", given, [says], list(graph.kept.values()))
    return helper.make_model(
        made, producer_name="fieldlog", ir_version=IR,
        opset_imports=[helper.make_opsetid("", OPSET)],
    )  # fmt: skip


def write(arrays: Arrays, path: Path) -> None:
    """Store a network; ``arrays`` as ``network.packed`` gives them."""
    onnx.save(written(arrays), str(path))


def arrays_of(path: Path) -> dict[str, Any]:
    """The arrays that a stored network was written of, as ``network.packed`` gives them.

    Raises:
        FileNotFoundError: there is no such file.
    """
    model = onnx.load(str(path))
    kept = {one.name: numpy_helper.to_array(one) for one in model.graph.initializer}
    out = {name: kept[name] for name in ("table", "place")}
    out["table.scale"] = kept["table.scale"][:, 0]
    many = layers_in(kept)
    for name in ("widen", "last", *(f"{n}.{part}" for n in range(many) for part in LINEAR)):
        out |= {key: kept[key] for key in (name, f"{name}.scale", f"{name}.bias")}
    for name in ("norm", *(f"{n}.{part}" for n in range(many) for part in NORMS)):
        out[name] = np.stack([kept[f"{name}.gain"], kept[f"{name}.shift"]])
    return out
