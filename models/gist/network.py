"""The networks of ``train.py``: the large ones that teach, the small one that is shipped.

Both are transformers of the shape of all-MiniLM-L6-v2 (384 numbers a word piece, twelve heads) with
one output per code at the first piece of each word. The small one keeps four layers of a teacher,
a third of their inner units and a table of pieces of 160 numbers instead of 384.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import torch
from files import as_bytes
from stored import HEADS, arrays_of, layers_in
from torch import nn
from torch.nn import functional as F

WIDTH, LAYERS = 384, 6
TABLE, INNER, KEPT = 160, 512, (0, 2, 4, 5)
"""Of the small network: numbers per piece, inner units, the layers of a teacher that begin it."""
NEAR = 1e-12
PARTS = {
    "query": "attention.self.query", "key": "attention.self.key", "value": "attention.self.value",
    "mix": "attention.output.dense", "norm": "attention.output.LayerNorm",
    "inner": "intermediate.dense", "outer": "output.dense", "end": "output.LayerNorm",
}  # fmt: skip
"""Our names of a layer's parts and those of the sentence model."""


def ready(path: Path) -> dict[str, Any]:
    """The sentence model's weights as ``examples.py`` wrote them, as tensors."""
    with np.load(path) as kept:
        weights = {k: torch.tensor(kept[k].astype(np.float32)) for k in kept.files}
    weights["pieces"] = weights["pieces"] * weights.pop("pieces_scale")[:, None]
    return weights


class Layer(nn.Module):
    """Attention (twelve heads) and a feed-forward step, each with its norm behind it.

    Args:
        inner: numbers within the feed-forward step.
        wide: numbers of each piece.
        near: what keeps the norms from dividing by nothing.
        bend: how GELU is computed: ``tanh``, or ``none`` for the error function.
    """

    def __init__(
        self, inner: int, wide: int = WIDTH, near: float = NEAR, bend: str = "tanh"
    ) -> None:
        super().__init__()
        self.query, self.key = nn.Linear(wide, wide), nn.Linear(wide, wide)
        self.value, self.mix = nn.Linear(wide, wide), nn.Linear(wide, wide)
        self.norm, self.end = nn.LayerNorm(wide, eps=near), nn.LayerNorm(wide, eps=near)
        self.inner, self.outer = nn.Linear(wide, inner), nn.Linear(inner, wide)
        self.drop, self.bend = nn.Dropout(0.1), bend

    def forward(self, x: Any, mask: Any) -> Any:
        def heads(y: Any) -> Any:
            return y.view(*y.shape[:2], HEADS, -1).transpose(1, 2)

        query, key, value = heads(self.query(x)), heads(self.key(x)), heads(self.value(x))
        mask = mask if mask.dtype == torch.bool else mask.to(query.dtype)
        y = F.scaled_dot_product_attention(query, key, value, attn_mask=mask)
        x = self.norm(x + self.drop(self.mix(y.transpose(1, 2).reshape(x.shape))))
        inner = F.gelu(self.inner(x), approximate=self.bend)
        return self.end(x + self.drop(self.outer(inner)))


class Reading(nn.Module):
    """Layers over embedded pieces, and one output per code at each word's first piece."""

    view = 0
    last_drop = 0.2
    layers: nn.ModuleList
    last: nn.Linear

    def embedded(self, ids: Any) -> Any:
        raise NotImplementedError

    def seen(self, real: Any) -> Any:
        """What each piece sees of the others: those that are real."""
        return real[:, None, None, :]

    def read(self, ids: Any, real: Any) -> Any:
        """What is known at every piece, (batch, pieces, width)."""
        x, mask = self.embedded(ids), self.seen(real)
        for layer in self.layers:
            x = layer(x, mask)
        return x

    def forward(self, ids: Any, real: Any, first: Any) -> Any:
        """Logits (batch, words, codes)."""
        x = self.read(ids, real)
        at = first.unsqueeze(-1).expand(-1, -1, x.shape[-1])
        return self.last(F.dropout(torch.gather(x, 1, at), self.last_drop, self.training))


def _last(codes: int) -> nn.Linear:
    last = nn.Linear(WIDTH, codes)
    nn.init.constant_(last.bias, -6.0)
    return last


class Encoder(Reading):
    """A large network that begins with the sentence model's weights."""

    def __init__(self, weights: dict[str, Any], codes: int) -> None:
        super().__init__()
        self.table = nn.Embedding.from_pretrained(weights["pieces"].clone(), freeze=False)
        place = weights["embeddings.position_embeddings.weight"]
        kind = weights["embeddings.token_type_embeddings.weight"][0]
        self.place = nn.Parameter(place + kind)
        self.norm = nn.LayerNorm(WIDTH, eps=NEAR)
        _take(self.norm, weights, "embeddings.LayerNorm")
        self.layers = nn.ModuleList(Layer(1536) for _ in range(LAYERS))
        for n, layer in enumerate(self.layers):
            for ours, theirs in PARTS.items():
                _take(getattr(layer, ours), weights, f"encoder.layer.{n}.{theirs}")
        self.last, self.drop = _last(codes), nn.Dropout(0.1)

    def embedded(self, ids: Any) -> Any:
        return self.drop(self.norm(self.table(ids) + self.place[: ids.shape[1]]))


def _take(module: Any, weights: dict[str, Any], name: str) -> None:
    module.weight.data = weights[f"{name}.weight"].clone()
    module.bias.data = weights[f"{name}.bias"].clone()


class Small(Reading):
    """The network that is shipped; it begins with parts of a teacher."""

    def __init__(self, teacher: Any, codes: int) -> None:
        super().__init__()
        table = teacher.table.weight.data.float().cpu()
        _, _, axes = torch.linalg.svd(table - table.mean(0), full_matrices=False)
        self.table = nn.Embedding.from_pretrained((table - table.mean(0)) @ axes[:TABLE].T, False)
        self.widen = nn.Linear(TABLE, WIDTH)
        self.widen.weight.data, self.widen.bias.data = axes[:TABLE].T.clone(), table.mean(0)
        self.place = nn.Parameter(teacher.place.data.clone().cpu())
        self.norm, self.drop = nn.LayerNorm(WIDTH, eps=NEAR), nn.Dropout(0.1)
        self.norm.load_state_dict(teacher.norm.state_dict())
        self.layers = nn.ModuleList(Layer(INNER) for _ in KEPT)
        for layer, n in zip(self.layers, KEPT, strict=True):
            old = teacher.layers[n]
            for part in ("query", "key", "value", "mix", "norm", "end"):
                getattr(layer, part).load_state_dict(getattr(old, part).state_dict())
            weight = old.inner.weight.data.norm(dim=1) * old.outer.weight.data.norm(dim=0)
            best = weight.topk(INNER).indices
            layer.inner.weight.data = old.inner.weight.data[best].clone()
            layer.inner.bias.data = old.inner.bias.data[best].clone()
            layer.outer.weight.data = old.outer.weight.data[:, best].clone()
            layer.outer.bias.data = old.outer.bias.data.clone()
        self.last = _last(codes)
        self.last.load_state_dict(teacher.last.state_dict())

    def embedded(self, ids: Any) -> Any:
        return self.drop(self.norm(self.widen(self.table(ids)) + self.place[: ids.shape[1]]))


def _bytes(name: str, weight: Any) -> dict[str, Any]:
    """A matrix, inputs by outputs, as one byte a weight with a scale per output."""
    small, scale = as_bytes(weight, 0)
    return {name: small, f"{name}.scale": scale[0]}


def packed(net: Small, places: int = 300) -> dict[str, Any]:
    """The arrays of the small network, as ``stored.written`` stores them."""
    state = {k: v.detach().float().cpu().numpy() for k, v in net.state_dict().items()}
    table, scale = as_bytes(state["table.weight"], 1)
    kept = {"table": table, "table.scale": scale[:, 0],
            "place": state["place"][:places].astype(np.float16),
            "norm": np.stack([state["norm.weight"], state["norm.bias"]])}  # fmt: skip
    kept |= _bytes("widen", state["widen.weight"].T) | {"widen.bias": state["widen.bias"]}
    kept |= _bytes("last", state["last.weight"].T) | {"last.bias": state["last.bias"]}
    for n in range(len(KEPT)):
        at = f"layers.{n}."
        three = [state[f"{at}{part}.weight"].T for part in ("query", "key", "value")]
        kept |= _bytes(f"{n}.ask", np.concatenate(three, axis=1))
        kept[f"{n}.ask.bias"] = np.concatenate(
            [state[f"{at}{part}.bias"] for part in ("query", "key", "value")]
        )
        for part in ("mix", "inner", "outer"):
            kept |= _bytes(f"{n}.{part}", state[f"{at}{part}.weight"].T)
            kept[f"{n}.{part}.bias"] = state[f"{at}{part}.bias"]
        for part in ("norm", "end"):
            kept[f"{n}.{part}"] = np.stack([state[f"{at}{part}.weight"], state[f"{at}{part}.bias"]])
    return kept


class _Kept:
    """A packed network, its weights as numbers again."""

    def __init__(self, folder: Path) -> None:
        self.arrays = arrays_of(folder / "network.onnx")
        known = (folder / "pieces.txt").read_text(encoding="utf-8").split("\n")
        named = (folder / "codes.txt").read_text(encoding="utf-8").split("\n")
        self.piece = {piece: n for n, piece in enumerate(known)}
        self.code = {code: n for n, code in enumerate(named)}
        self.layers = layers_in(self.arrays)

    def matrix(self, name: str) -> Any:
        """Outputs by inputs, as torch has it."""
        return (self.arrays[name].astype(np.float32) * self.arrays[f"{name}.scale"]).T

    def words_in(self, pieces: Sequence[str]) -> dict[str, Any]:
        """The table of pieces, and what stands between it and the first layer."""
        arrays, at = self.arrays, self.piece
        table = arrays["table"].astype(np.float32) * arrays["table.scale"][:, None]
        # A piece that is new lies where the mean of all lies: unknown, not wrong.
        rows = [table[at[p]] if p in at else table.mean(0) for p in pieces]
        return {
            "table.weight": np.stack(rows),
            "norm.weight": arrays["norm"][0],
            "norm.bias": arrays["norm"][1],
            "widen.weight": self.matrix("widen"),
            "widen.bias": arrays["widen.bias"],
        }

    def codes_out(self, codes: Sequence[str]) -> dict[str, Any]:
        """The last layer; a code that is new is said by nothing, and seldom."""
        last, bias, column = self.matrix("last"), self.arrays["last.bias"], self.code
        nothing = np.zeros(WIDTH, np.float32)
        return {
            "last.weight": np.stack([last[column[c]] if c in column else nothing for c in codes]),
            "last.bias": np.array([bias[column[c]] if c in column else -6.0 for c in codes]),
        }

    def layer(self, n: int) -> dict[str, Any]:
        """The layer ``n`` as it was."""
        out: dict[str, Any] = {}
        three = np.split(self.matrix(f"{n}.ask"), 3)
        biases = np.split(self.arrays[f"{n}.ask.bias"], 3)
        for part, weight, bias in zip(("query", "key", "value"), three, biases, strict=True):
            out[f"{part}.weight"], out[f"{part}.bias"] = weight, bias
        for part in ("mix", "inner", "outer"):
            out[f"{part}.weight"] = self.matrix(f"{n}.{part}")
            out[f"{part}.bias"] = self.arrays[f"{n}.{part}.bias"]
        for part in ("norm", "end"):
            out[f"{part}.weight"], out[f"{part}.bias"] = self.arrays[f"{n}.{part}"]
        return out

    def passing_on(self) -> dict[str, Any]:
        """What makes a further layer pass on what it gets: it adds nothing, its norms keep size."""
        gain, shift = self.arrays[f"{self.layers - 1}.end"]
        spread = float(np.sqrt((gain**2).mean() + shift.var()))
        out: dict[str, Any] = {}
        for part, inputs, norm in (("mix", WIDTH, "norm"), ("outer", INNER, "end")):
            out[f"{part}.weight"], out[f"{part}.bias"] = np.zeros((WIDTH, inputs)), np.zeros(WIDTH)
            out[f"{norm}.weight"] = np.full(WIDTH, spread)
            out[f"{norm}.bias"] = np.full(WIDTH, shift.mean())
        return out


def unpacked(net: Small, folder: Path, pieces: Sequence[str], codes: Sequence[str]) -> None:
    """Begin the small network with one that was packed; pieces and codes it knew by their names.

    Layers that it did not have pass on what they get, until they learn better.
    """
    kept, state = _Kept(folder), net.state_dict()
    new = kept.words_in(pieces) | kept.codes_out(codes)
    new["place"] = state["place"].numpy().copy()
    places = kept.arrays["place"]
    new["place"][: len(places)] = places.astype(np.float32)
    for n in range(max(kept.layers, len(KEPT))):
        layer = kept.layer(n) if n < kept.layers else kept.passing_on()
        new |= {f"layers.{n}.{part}": value for part, value in layer.items()}
    for name, value in new.items():
        state[name] = torch.from_numpy(np.array(value, np.float32, order="C"))
    net.load_state_dict(state)
