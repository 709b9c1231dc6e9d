"""How the language model goes on from openings: many texts side by side, a piece at a time."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import torch
from device import DEVICE, half
from language_model import LanguageModel, turned
from torch.nn import functional as F

LONGEST = 240
"""Pieces of a text; one that has no end by then has none."""
EVERY = 10
"""Steps after which the texts that ended are put aside."""
Row = list[int]


@torch.no_grad()
def gone_on(
    net: LanguageModel,
    openings: Sequence[Row],
    ends: Sequence[int],
    seed: int,
    choose: Callable[[Any], Any],
    longest: int = LONGEST,
) -> list[tuple[int, Row]]:
    """Texts drawn side by side, each behind its opening: (pieces of the opening, all pieces).

    What stands behind an end is no part of the text.

    Args:
        net: the language model.
        openings: pieces that each text begins with, fewer than ``longest``.
        ends: pieces of which one ends a text.
        seed: of the draws.
        choose: from logits (texts, pieces) the next piece of each text.
        longest: pieces after which a text has no end.
    """
    torch.manual_seed(seed)
    texts = _Texts(net.eval(), openings, ends, longest)
    out: list[tuple[int, Row]] = []
    with half():
        for at in range(longest):
            logits = texts.read(at)
            if logits is None:
                continue
            texts.write(at + 1, choose(logits))
            last = at == longest - 1
            if at % EVERY == EVERY - 1 or last:
                out += texts.ended(at + 1, last)
                if not len(texts.ids):
                    break
    return out


class _Texts:
    """Texts that are still going on.

    Most texts are much shorter than the longest: those that ended are put aside every few steps, so
    that nobody reads on behind them.
    """

    def __init__(
        self, net: LanguageModel, openings: Sequence[Row], ends: Sequence[int], longest: int
    ) -> None:
        self.net = net
        kind, many = torch.bfloat16 if DEVICE == "cuda" else torch.float32, len(openings)
        self.turns, size = net.turns(torch.arange(longest, device=DEVICE)), net.shape
        self.kept = [torch.zeros(2, many, size.keys, longest, size.one, dtype=kind, device=DEVICE)
                     for _ in net.layers]  # fmt: skip
        self.given = torch.full((many, longest + 1), -1, device=DEVICE)
        for n, row in enumerate(openings):
            self.given[n, : len(row)] = torch.tensor(row, device=DEVICE)
        self.shortest, self.ids = min(map(len, openings)), self.given.clamp(min=0)
        self.ends = torch.tensor(ends, device=DEVICE)
        self.over = torch.zeros(many, dtype=torch.bool, device=DEVICE)

    def read(self, at: int) -> Any:
        """Read the piece at a place of every text: the logits of the next one, (texts, pieces).

        None while every opening goes on there.
        """
        turn = self.turns[at : at + 1]
        x = self.net.table(self.ids[:, at : at + 1])
        for layer, cache in zip(self.net.layers, self.kept, strict=True):
            x = _one_more(layer, x, turn, cache, at)
        if at + 1 < self.shortest:
            return None
        return (self.net.norm(x)[:, 0] @ self.net.table.weight.T).float()

    def write(self, at: int, come: Any) -> None:
        """Put the pieces that come in at a place, where no opening has one."""
        told = self.given[:, at]
        self.ids[:, at] = torch.where(told >= 0, told, come)
        self.over |= (told < 0) & torch.isin(come, self.ends)

    def ended(self, at: int, every: bool) -> list[tuple[int, Row]]:
        """Put the texts that ended, or all, aside with their pieces up to a place."""
        done = torch.ones_like(self.over) if every else self.over
        opened = (self.given[done] >= 0).sum(1).tolist()
        out = list(zip(opened, self.ids[done, : at + 1].tolist(), strict=True))
        left = ~done
        self.ids, self.given, self.over = self.ids[left], self.given[left], self.over[left]
        self.kept = [cache[:, left] for cache in self.kept]
        return out


def _one_more(layer: Any, x: Any, turn: Any, cache: Any, at: int) -> Any:
    """A layer at one more piece of each text; what the others said there is kept in ``cache``."""
    size, y = layer.shape, layer.attn_norm(x)
    ask = turned(layer.heads(layer.attn_q, y, size.heads), turn, size.halves).to(cache.dtype)
    key = turned(layer.heads(layer.attn_k, y, size.keys), turn, size.halves)
    cache[0, :, :, at] = key[:, :, 0].to(cache.dtype)
    cache[1, :, :, at] = layer.heads(layer.attn_v, y, size.keys)[:, :, 0].to(cache.dtype)
    # The heads that ask the same one stand as so many rows of it.
    ask = ask.view(len(y), size.keys, size.heads // size.keys, size.one)
    mixed = F.scaled_dot_product_attention(ask, cache[0, :, :, : at + 1], cache[1, :, :, : at + 1])
    x = x + layer.attn_output(mixed.reshape(len(y), 1, size.heads * size.one).to(y.dtype))
    y = layer.ffn_norm(x)
    return x + layer.ffn_down(F.silu(layer.ffn_gate(y)) * layer.ffn_up(y))
