"""The recurrent language model: what it expects, how well, and its weights in files."""

from __future__ import annotations

import json
import math
import random
from pathlib import Path
from typing import Any

import numpy as np
import torch
from torch import nn
from utterances import as_tensor, batches

DEVICE = "cuda" if torch.cuda.is_available() else "cpu"


class Recurrent(nn.Module):
    """Words in, what is expected next out."""

    def __init__(self, words: int, size: int, cells: int, layers: int, drop: float) -> None:
        super().__init__()
        self.table = nn.Embedding(words, size)
        self.often = nn.Parameter(torch.zeros(words))
        nn.init.normal_(self.table.weight, std=0.05)
        self.cells = nn.ModuleList(
            nn.LSTM(size if n == 0 else cells, cells, batch_first=True) for n in range(layers)
        )
        self.predict = nn.Linear(cells, size)
        self.drop = nn.Dropout(drop)

    def forward(self, ids: torch.Tensor) -> torch.Tensor:
        x = self.drop(self.table(ids))
        for layer in self.cells:
            x = self.drop(layer(x)[0])
        return self.predict(x)


def scores(net: Recurrent, rows: torch.Tensor) -> tuple[torch.Tensor, torch.Tensor]:
    """(log of the sum over all words, the unnormalised log chance of the word that came)."""
    rows = rows.to(DEVICE, non_blocking=True)
    with torch.autocast("cuda", dtype=torch.bfloat16, enabled=DEVICE == "cuda"):
        hidden = net(rows[:, :-1].clamp(min=0))
        there = rows[:, 1:] >= 0
        logits = hidden[there] @ net.table.weight.T
    logits = logits.float() + net.often
    came = logits.gather(1, rows[:, 1:][there][:, None])[:, 0]
    return torch.logsumexp(logits, 1), came


@torch.no_grad()
def perplexity(net: Recurrent, notes: list[list[np.ndarray]]) -> tuple[float, float, float]:
    """Per word, ends counted: normalised, as it is used, and how far the log sum strays."""
    net.eval()
    dice, sums, came = random.Random(1), [], []
    for batch in batches([[np.concatenate(n)] for n in notes], dice):
        a, b = scores(net, as_tensor(batch))
        sums.append(a)
        came.append(b)
    net.train()
    z, c = torch.cat(sums), torch.cat(came)
    return math.exp(float((z - c).mean())), math.exp(float(-c.mean())), float(z.std())


@torch.no_grad()
def usual(net: Recurrent, notes: list[list[np.ndarray]]) -> np.ndarray:
    """The log chance of each word where it is said, on average; a rare word's by how rare it is."""
    net.eval()
    many, total = (np.zeros(len(net.often)) for _ in range(2))
    for batch in batches(notes, random.Random(3)):
        rows = as_tensor(batch)
        _, came = scores(net, rows)
        words = rows[:, 1:][rows[:, 1:] >= 0].numpy()
        np.add.at(total, words, came.cpu().numpy())
        np.add.at(many, words, 1)
    often, known = net.often.cpu().numpy(), many >= 3
    line = np.polyfit(often[known], total[known] / many[known], 1, w=np.sqrt(many[known]))
    return (total + 3 * np.polyval(line, often)) / (many + 3)


def save(
    net: Recurrent, path: Path, words: list[str], expected: np.ndarray, facts: dict[str, Any]
) -> None:
    """The weights under the names that ``fieldlog/speech/rescoring.py`` uses, with the words.

    What is told of the training goes beside it as ``.json``.
    """
    state = {k: v.detach().float().cpu().numpy() for k, v in net.state_dict().items()}
    out = {
        "table": state["table.weight"],
        "often": state["often"],
        "usual": expected.astype(np.float32),
        "predict": state["predict.weight"],
        "predict_bias": state["predict.bias"],
    }
    for n in range(len(net.cells)):
        out[f"in.{n}"] = state[f"cells.{n}.weight_ih_l0"]
        out[f"again.{n}"] = state[f"cells.{n}.weight_hh_l0"]
        out[f"bias.{n}"] = state[f"cells.{n}.bias_ih_l0"] + state[f"cells.{n}.bias_hh_l0"]
    np.savez(path, words=np.array(words), **out)
    path.with_suffix(".json").write_text(json.dumps(facts, indent=1), encoding="utf-8")


@torch.no_grad()
def go_on(net: Recurrent, path: Path, words: list[str]) -> None:
    """Put the weights of an earlier network in, its table in the order of ``words``."""
    with np.load(path) as data:
        old = {k: data[k] for k in data.files}
    listed = old.pop("words")
    known = listed.tobytes().decode().split(" ") if listed.dtype == np.uint8 else listed.tolist()
    for name in [k for k in old if f"{k}.scale" in old]:
        old[name] = old[name].astype(np.float32) * old[f"{name}.scale"].astype(np.float32)[:, None]
    place = {w: i for i, w in enumerate(known)}
    rows = [place.get(w, place["<name>"]) for w in words]
    fresh = np.array([w not in place for w in words])
    often = np.where(fresh, net.often.cpu().numpy(), old["often"][rows].astype(np.float32))
    new = {"table.weight": old["table"][rows], "often": often}
    new |= {"predict.weight": old["predict"], "predict.bias": old["predict_bias"]}
    for n in range(len(net.cells)):
        new[f"cells.{n}.weight_ih_l0"] = old[f"in.{n}"]
        new[f"cells.{n}.weight_hh_l0"] = old[f"again.{n}"]
        new[f"cells.{n}.bias_ih_l0"] = old[f"bias.{n}"]
        new[f"cells.{n}.bias_hh_l0"] = np.zeros_like(old[f"bias.{n}"])
    net.load_state_dict({k: torch.from_numpy(v.astype(np.float32)) for k, v in new.items()})
    print(f"from {path.name}; {fresh.sum()} words are new", flush=True)
