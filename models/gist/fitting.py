"""Teaching a network round after round: by labels alone, or by what larger networks think too."""

from __future__ import annotations

import random
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import torch
from batches import Batch
from device import DEVICE
from losses import loss_of
from opinions import likely, told_by
from rounds import Rounds
from torch import nn

HEADS_RATE = 2e-3
"""The least peak rate of learning of a network's last layer."""
WARM_UP = 300
"""Steps in which the rate rises to its peak."""
LOWEST = 0.02
"""Share of the peak under which the rate does not fall."""
STEEPEST = 1.0
"""The greatest length of a gradient that is followed whole."""

Taught = tuple[Batch, Any]
"""A batch, and what the large networks think of it, if they teach."""


def untaught(source: Rounds, epochs: int, begin: int) -> Iterator[list[Taught]]:
    """Ever new rounds, of what is labelled."""
    for batches in source(epochs, False, begin):
        yield [(batch, None) for batch in batches]


def taught(
    source: Rounds, teachers: Sequence[nn.Module], kept: int, epochs: int, begin: int
) -> Iterator[list[Taught]]:
    """Rounds of all texts with what the large networks think; ``kept`` rounds, again and again.

    Asking a language model takes longer than the small network's step, so each text is asked about
    once for each of these rounds.
    """
    dice, rounds_kept = random.Random(begin), list[list[Taught]]()
    for batches in source(kept, True, begin):
        rounds_kept.append([_asked(teachers, batch) for batch in batches])
        yield rounds_kept[-1]
    for _ in range(kept, epochs):
        again = dice.choice(rounds_kept)
        dice.shuffle(again)
        yield again


def _asked(teachers: Sequence[nn.Module], batch: Batch) -> Taught:
    """A batch on the device, only as the small network reads it, and what its teachers think."""
    there = batch.on_device()
    return replace(there, views=there.views[:1]), told_by(teachers, there).half()


@dataclass(frozen=True)
class Schedule:
    """How long a network learns, and how fast."""

    epochs: int
    """Rounds."""
    rate: float
    """Peak rate of learning."""
    limit: float = 1e9
    """Seconds."""


def fit(
    net: nn.Module, rounds: Iterator[list[Taught]], schedule: Schedule, valued: Any, name: str
) -> None:
    """Train a network on labels, and on what its teachers think where it has any.

    The rate of learning falls to nothing by the last step or by the schedule's limit.

    Args:
        net: the network.
        rounds: at most as many as the schedule has.
        schedule: how long, how fast.
        valued: (sorts, codes): 1 for codes that have numbers or times.
        name: of the network, as it is printed.
    """
    optimiser = _optimiser(net, schedule.rate)
    done, steps, began = 0, 1, time.time()
    for epoch, batches in enumerate(rounds):
        net.train()
        steps = schedule.epochs * len(batches)
        total = torch.zeros((), device=DEVICE)
        for batch, told in batches:
            gone = max(done / steps, (time.time() - began) / schedule.limit)
            if gone >= 1:
                return
            _set_rates(optimiser, done, gone)
            total += _step(net, optimiser, batch, told, valued)
            done += 1
        print(f"{name} {epoch + 1}: {float(total) / len(batches):.3f} "
              f"{time.time() - began:.0f} s", flush=True)  # fmt: skip


def _optimiser(net: nn.Module, rate: float) -> torch.optim.Optimizer:
    """AdamW; the last layer, which begins with nothing, learns at a rate of its own."""
    heads = [p for n, p in net.named_parameters() if n.startswith("last")]
    others = [p for n, p in net.named_parameters() if not n.startswith("last")]
    groups = [{"params": others, "peak": rate}, {"params": heads, "peak": max(rate, HEADS_RATE)}]
    return torch.optim.AdamW(groups, lr=rate, weight_decay=0.01, fused=DEVICE == "cuda")


def _set_rates(optimiser: torch.optim.Optimizer, done: int, gone: float) -> None:
    """The rates for the step behind ``done`` others, when a share of the time has ``gone``."""
    share = min((done + 1) / WARM_UP, 1.0) * max(LOWEST, 1 - gone)
    for group in optimiser.param_groups:
        group["lr"] = group["peak"] * share


def _step(
    net: nn.Module, optimiser: torch.optim.Optimizer, batch: Batch, told: Any, valued: Any
) -> Any:
    """Learn from one batch; returns its loss, which nobody waits for."""
    if told is None:
        batch = batch.on_device()
    loss = loss_of(likely(net, batch), batch, told, valued)
    optimiser.zero_grad(set_to_none=True)
    loss.backward()
    nn.utils.clip_grad_norm_(net.parameters(), STEEPEST)
    optimiser.step()
    return loss.detach()
