"""What the acoustic network learns by: CTC, and lattice-free MMI beside it."""

from __future__ import annotations

import torch
import torch.nn.functional as F
from denominator import Denominator, phone_trigram
from speech import Item
from torch import Tensor

CTC_BESIDE_MMI = 0.15
"""Weight that CTC keeps where the loss is MMI."""


class Losses:
    """CTC and lattice-free MMI, per phone said."""

    def __init__(self, items: list[Item], phones: int, dev: torch.device) -> None:
        three, two = phone_trigram((i.phones for i in items), phones)
        self.trigram = torch.from_numpy(three).permute(1, 0, 2).contiguous().to(dev)
        self.pairs = torch.from_numpy(two).t().contiguous().to(dev)

    def __call__(self, scores: Tensor, frames: Tensor, said: list[list[int]], mmi: float) -> Tensor:
        targets = torch.tensor([p for phones in said for p in phones], device=scores.device)
        sizes = torch.tensor([len(phones) for phones in said])
        right = F.ctc_loss(
            scores.transpose(0, 1), targets, frames, sizes, reduction="none", zero_infinity=True
        )
        loss = right.sum() * (1 - mmi + CTC_BESIDE_MMI * mmi)
        if mmi:
            # The numerator is the CTC sum; what the trigram gives the right phones is constant.
            shown = frames.to(scores.device)
            every = Denominator.apply(scores, shown, self.trigram, self.pairs)
            loss = loss + mmi * ((right + every) * (right > 0)).sum()
        return loss / sizes.sum()
