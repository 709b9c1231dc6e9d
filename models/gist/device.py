"""Where the networks learn and draw: on a GPU if there is one, there in half precision."""

from __future__ import annotations

import torch

DEVICE = "cuda" if torch.cuda.is_available() else "cpu"


def half() -> torch.autocast:
    """Within it products are of sixteen bits on a GPU; on other machines nothing changes."""
    return torch.autocast("cuda", dtype=torch.bfloat16, enabled=DEVICE == "cuda")
