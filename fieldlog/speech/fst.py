"""OpenFst's files, as far as our own model needs them: the constant one and that of one state."""

from __future__ import annotations

import struct
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from fieldlog.speech.kaldi import Array

ARC = np.dtype([("in", "<i4"), ("out", "<i4"), ("cost", "<f4"), ("to", "<i4")])
STATE = np.dtype(
    [("final", "<f4"), ("first", "<u4"), ("arcs", "<u4"), ("in_eps", "<u4"), ("out_eps", "<u4")]
)
FST_MAGIC = 2125659606
FST_VERSION = 2
EXPANDED, MUTABLE = 1, 2
"""Properties of a graph that its header tells, as bits."""


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
