"""How likely a network finds a row of phones, wherever they stand, and which way is likelier.

Connectionist temporal classification: Graves et al., ICML 2006, whose forward and backward sums
these are (equations 5 to 16), in logarithms. Output 0 is the blank.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def loss_and_slope(log_probs: NDArray[np.floating], said: Sequence[int]) -> tuple[float, Floats]:
    """The negative log chance that ``said`` was said, and its slope before the softmax.

    Args:
        log_probs: log chances, steps by outputs, each row summing to one.
        said: outputs in order, without blanks; not empty.

    Returns:
        (nats, steps by outputs). Infinity and zeros where there are too few steps to say it.
    """
    marks = np.zeros(2 * len(said) + 1, np.int64)
    marks[1::2] = said
    chances = np.asarray(log_probs, np.float64)
    here = chances[:, marks]
    skips = np.zeros(len(marks), bool)
    skips[3::2] = marks[3::2] != marks[1:-2:2]
    forward = _sums(here, skips)
    backward = _sums(here[::-1, ::-1], _turned(skips))[::-1, ::-1]
    total = float(np.logaddexp(forward[-1, -1], forward[-1, -2]))
    if not np.isfinite(total):
        return np.inf, np.zeros_like(chances)
    share = np.exp(forward + backward - here - total)
    occupied = np.zeros_like(chances)
    for mark in np.unique(marks):
        occupied[:, mark] = share[:, marks == mark].sum(1)
    return -total, np.exp(chances) - occupied


def _sums(here: Floats, skips: NDArray[np.bool_]) -> Floats:
    """The log of the sum over all ways that end at each mark at each step."""
    out = np.full(here.shape, -np.inf)
    out[0, :2] = here[0, :2]
    for step in range(1, len(here)):
        last = out[step - 1]
        ways = np.logaddexp(last, np.concatenate([[-np.inf], last[:-1]]))
        over = np.concatenate([[-np.inf, -np.inf], last[:-2]])
        out[step] = np.where(skips, np.logaddexp(ways, over), ways) + here[step]
    return out


def _turned(skips: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Who may be reached over a blank when the marks are gone through from the end."""
    out = np.zeros_like(skips)
    out[2:] = skips[::-1][:-2]
    return out
