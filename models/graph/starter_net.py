"""The first weights (synthetic speech only) as layers: kept for the row in the evaluation table."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
from nnet3 import Builder
from numpy.typing import NDArray

from fieldlog.speech.kaldi import Network

DILATIONS = (1, 1, 1, 2, 2, 3, 3, 4)
Arrays = dict[str, NDArray[np.float64]]


def load(path: Path) -> Arrays:
    """Weights of a torch state file as arrays."""
    import torch

    state: dict[str, Any] = torch.load(path, map_location="cpu", weights_only=True)
    return {k: v.double().numpy() for k, v in state.items()}


def network(state: Arrays) -> Network:
    """The nnet3 network of the starter weights: 3.0 M parameters, 40 cepstra in."""
    b = Builder(40)
    x = b.normalise("norm", state, "input")
    x = b.relu("r1", b.affine("a1", state, "c1", b.spliced(x, (-2, -1, 0, 1, 2)), norm="b1"))
    y = b.affine("l2", state, "c2", b.spliced(x, (-1, 0, 1)))
    y = b.affine("a2", state, "c2b", y, norm="b2")
    x = b.relu("r2", f"Sum({y},{x})", 512)
    y = b.affine("l3", state, "c3", b.spliced(x, (-1, 0, 1)))
    x = b.relu("r3", b.affine("a3", state, "c3b", y, norm="b3"))
    for i, d in enumerate(DILATIONS):
        y = b.affine(f"bl{i}", state, f"blocks.{i}.lin", b.spliced(x, (-3 * d, 0, 3 * d)))
        y = b.affine(f"ba{i}", state, f"blocks.{i}.aff", y, norm=f"blocks.{i}.bn")
        x = b.relu(f"br{i}", f"Sum({y},{x})", 512)
    context = 2 + 1 + 1 + 3 * sum(DILATIONS)
    return b.finish(b.affine("out", state, "out", x), context, context)
