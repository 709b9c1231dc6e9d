"""How files hold what the second opinion learns from and is: weights as bytes, lists zipped."""

from __future__ import annotations

import gzip
import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np


def as_bytes(weights: Any, along: int) -> tuple[Any, Any]:
    """Weights as one byte each, and their scales; what lies along an axis shares one.

    Returns:
        Whole numbers from -127 to 127 in the shape of the weights, and scales of 1 along the axis.
    """
    scale = np.abs(weights).max(along, keepdims=True) / 127 + 1e-9
    return np.round(weights / scale).astype(np.int8), scale


def read_list(path: Path) -> list[Any]:
    """A list that ``write_list`` wrote."""
    with gzip.open(path, "rt", encoding="utf-8") as file:
        out: list[Any] = json.load(file)
    return out


def write_list(path: Path, what: Sequence[Any]) -> None:
    """Write a list as compressed JSON."""
    with gzip.open(path, "wt", encoding="utf-8", compresslevel=5) as file:
        json.dump(what, file)
