"""The network that learns, the average of its weights that is kept, and how far both have come."""

from __future__ import annotations

import argparse
import os
from pathlib import Path
from typing import Any

import numpy as np
import torch
from acoustic import CONFIG, Acoustic, Cepstra
from torch import Tensor


class Learner:
    """The network, the average of its weights, and how far the training has come."""

    def __init__(self, args: argparse.Namespace, dev: torch.device) -> None:
        self.config = CONFIG | {
            "hidden": args.hidden, "narrow": args.narrow, "dilations": args.dilations,
        }  # fmt: skip
        self.front, self.net = Cepstra().to(dev), Acoustic(self.config).to(dev)
        if args.begin:
            with np.load(args.begin) as found:
                kept = {k: torch.from_numpy(found[k]).float() for k in found.files}
            self.net.load_state_dict(kept, strict=False)
        self.average = Acoustic(self.config).to(dev)
        self.average.load_state_dict(self.net.state_dict())
        self.optimiser = torch.optim.AdamW(
            self.net.parameters(), lr=args.lr, weight_decay=1e-2, betas=(0.9, 0.98),
            fused=dev.type == "cuda",
        )  # fmt: skip
        self.spent, self.step = 0.0, 0
        self._state = args.out / "state.pt"
        if self._state.exists():
            self._go_on(torch.load(self._state, map_location=dev, weights_only=False))
        self._slow, self._quick = floats_of(self.average), floats_of(self.net)

    def _go_on(self, kept: dict[str, Any]) -> None:
        self.net.load_state_dict(kept["net"])
        self.average.load_state_dict(kept["average"])
        self.optimiser.load_state_dict(kept["optimiser"])
        self.spent, self.step = kept["spent"], kept["step"]

    def keep(self, spent: float) -> None:
        """Write all that the next call needs to go on, after so many seconds of training."""
        torch.save(
            {"net": self.net.state_dict(), "average": self.average.state_dict(),
             "optimiser": self.optimiser.state_dict(), "spent": spent, "step": self.step},
            self._state,
        )  # fmt: skip

    @torch.no_grad()
    def follow(self, kept: float) -> None:
        """Move the average towards the network; it keeps so much of itself."""
        torch._foreach_lerp_(self._slow, self._quick, 1 - kept)


def floats_of(net: torch.nn.Module) -> list[Tensor]:
    """All weights and running statistics."""
    return [t for t in net.state_dict().values() if t.is_floating_point()]


def results() -> Path:
    """Where weights go: there the lease brings them home from."""
    return Path(os.environ.get("OUT", "."))


def keep_weights(net: Acoustic, name: str) -> None:
    """Write weights as half floats."""
    arrays = {k: v.half().cpu().numpy() for k, v in net.state_dict().items()
              if v.is_floating_point()}  # fmt: skip
    target = results() / f"{name}.npz"
    # Put in place whole: a call may end and bring home what lies there at any time.
    np.savez_compressed(target.with_suffix(".new.npz"), **arrays)
    target.with_suffix(".new.npz").replace(target)
