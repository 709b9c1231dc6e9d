"""The shipped form of a phone graph: columns of small numbers, compressed; of a matrix: bytes.

States keep their order; costs are in hundredths of a nat; targets are distances from the source
state. A 30 MB decoding graph comes down to a few megabytes this way.
"""

from __future__ import annotations

import json
import lzma
import struct
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from fieldlog.speech.phone_graph import PhoneGraph

MAGIC = b"fieldlog graph 1\n"
STEP = 0.01
"""Nats in one unit of cost."""


def in_bytes(values: NDArray[np.floating]) -> tuple[NDArray[np.int8], NDArray[np.float32]]:
    """(a matrix as bytes, the scale of each of its rows)."""
    scale = np.maximum(np.abs(values).max(1), 1e-8) / 127
    return np.rint(values / scale[:, None]).astype(np.int8), scale.astype(np.float32)


def _planes(values: NDArray[np.int64], width: int) -> bytes:
    """Non-negative numbers as byte planes, lowest byte first; they compress better apart."""
    if values.size and (values.min() < 0 or values.max() >= 1 << (8 * width)):
        raise ValueError(f"numbers do not fit {width} bytes")
    return b"".join(((values >> (8 * i)) & 255).astype(np.uint8).tobytes() for i in range(width))


def _numbers(data: bytes, at: int, count: int, width: int) -> NDArray[np.int64]:
    out = np.zeros(count, np.int64)
    for i in range(width):
        out |= np.frombuffer(data, np.uint8, count, at + i * count).astype(np.int64) << (8 * i)
    return out


def write_graph(path: Path, graph: PhoneGraph) -> None:
    """Pack a graph whose arcs are in the order of their source states."""
    if np.any(np.diff(graph.source) < 0):
        raise ValueError("arcs must be sorted by source state")
    states = len(graph.finals)
    low = float(min(graph.cost.min(), graph.finals[np.isfinite(graph.finals)].min()))
    ends = np.flatnonzero(np.isfinite(graph.finals))
    jump = graph.target - graph.source
    zigzag = np.where(jump >= 0, 2 * jump, -2 * jump - 1)
    columns = [
        (np.bincount(graph.source, minlength=states), 3),
        (graph.phone, 1),
        (graph.word, 3),
        (np.rint((graph.cost - low) / STEP).astype(np.int64), 2),
        (zigzag, 4),
        (ends, 4),
        (np.rint((graph.finals[ends] - low) / STEP).astype(np.int64), 2),
    ]
    head = {"states": states, "arcs": len(graph.source), "finals": len(ends)}
    text = json.dumps(head | {"low": low, "start": graph.start}).encode()
    body = b"".join(_planes(values.astype(np.int64), width) for values, width in columns)
    filters = [{"id": lzma.FILTER_LZMA2, "preset": 9 | lzma.PRESET_EXTREME, "dict_size": 1 << 26}]
    packed = lzma.compress(body, format=lzma.FORMAT_XZ, filters=filters)
    path.write_bytes(MAGIC + struct.pack("<I", len(text)) + text + packed)


def read_graph(path: Path) -> PhoneGraph:
    """Unpack; raises ``ValueError`` for anything that is not a whole graph file."""
    data = path.read_bytes()
    if not data.startswith(MAGIC):
        raise ValueError(f"{path.name} is not a fieldlog graph")
    at = len(MAGIC)
    try:
        (length,) = struct.unpack_from("<I", data, at)
        head = json.loads(data[at + 4 : at + 4 + length])
        body = lzma.decompress(data[at + 4 + length :])
        states, arcs, finals = head["states"], head["arcs"], head["finals"]
        at = 0
        columns = []
        for count, width in (
            (states, 3), (arcs, 1), (arcs, 3), (arcs, 2), (arcs, 4), (finals, 4), (finals, 2),
        ):  # fmt: skip
            columns.append(_numbers(body, at, count, width))
            at += count * width
    except (lzma.LZMAError, struct.error, KeyError, ValueError) as error:
        raise ValueError(f"{path.name} is damaged: {error}") from error
    fan, phone, word, cost, zigzag, ends, end_cost = columns
    source = np.repeat(np.arange(states), fan)
    jump = np.where(zigzag % 2 == 0, zigzag // 2, -(zigzag + 1) // 2)
    costs = np.full(states, np.inf)
    costs[ends] = end_cost * STEP + head["low"]
    return PhoneGraph(
        source, phone, word, cost * STEP + head["low"], source + jump, costs, head["start"]
    )
