"""What networks think of every word of a batch."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import torch
from batches import Batch
from device import half
from torch import nn


def likely(net: nn.Module, batch: Batch) -> Any:
    """A network's logits (texts, words, codes and manners)."""
    with half():
        logits = net(*batch.views[net.view])  # type: ignore[index]
    return logits.float()


@torch.no_grad()
def told_by(nets: Sequence[nn.Module], batch: Batch) -> Any:
    """The mean of the chances that some networks give."""
    return torch.stack([torch.sigmoid(likely(net, batch)) for net in nets]).mean(0)
