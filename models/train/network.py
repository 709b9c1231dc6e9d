"""Trained weights as an nnet3 network: batch norms folded, every layer affine. numpy only."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "graph"))

from nnet3 import Builder

from fieldlog.speech.kaldi import Network

Arrays = dict[str, NDArray[np.float64]]


def network(state: Arrays, config: dict[str, Any]) -> Network:
    """The network of acoustic.py.

    Args:
        state: arrays by the names of the torch state.
        config: ``hidden``, ``dilations``, ``cepstra`` and, if wanted, ``log_priors``.
    """
    hidden = config["hidden"]
    b = Builder(config["cepstra"])
    x = b.normalise("norm", state, "input")
    x = b.relu("r1", b.affine("a1", state, "c1", b.spliced(x, (-2, -1, 0, 1, 2)), norm="b1"))
    y = b.affine("l2", state, "c2", b.spliced(x, (-1, 0, 1)))
    y = b.affine("a2", state, "c2b", y, norm="b2")
    x = b.relu("r2", f"Sum({y},{x})", hidden)
    y = b.affine("l3", state, "c3", b.spliced(x, (-1, 0, 1)))
    x = b.relu("r3", b.affine("a3", state, "c3b", y, norm="b3"))
    for i, d in enumerate(config["dilations"]):
        y = b.affine(f"bl{i}", state, f"blocks.{i}.lin", b.spliced(x, (-3 * d, 0, 3 * d)))
        y = b.affine(f"ba{i}", state, f"blocks.{i}.aff", y, norm=f"blocks.{i}.bn")
        x = b.relu(f"br{i}", f"Sum({y},{x})", hidden)
    context = 4 + 3 * sum(config["dilations"])
    return b.finish(b.affine("out", state, "out", x), context, context)
