"""The denominator of lattice-free MMI for a CTC network: every phone sequence, weighted.

CTC asks for the right phones only; maximum mutual information also asks that they beat all other
sequences, as a phone trigram weighs them (Povey et al., Interspeech 2016; with CTC's blank: Xiang
and Ou, ICASSP 2019). Sum over all sequences by the forward-backward algorithm in probabilities,
scaled per frame. ``python denominator.py`` compares sum and gradient with every path spelled out.
"""

from __future__ import annotations

import itertools
import math
import sys
import time
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from models.inputs import asking, packages

if __name__ == "__main__":
    packages(__doc__, "models/train/README.md", "torch")

import numpy as np
import torch
from numpy.typing import NDArray
from torch import Tensor


def phone_trigram(
    sequences: Iterable[Sequence[int]], phones: int, discount: float = 0.5
) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Absolute discounting over phone ids 1..phones.

    Returns:
        (phones, phones, phones) P(third | first, second) and (phones, phones) P(pair).
    """
    three = np.zeros((phones,) * 3)
    for ids in sequences:
        a = np.asarray(ids) - 1
        np.add.at(three, (a[:-2], a[1:-1], a[2:]), 1)
    two = three.sum(0)
    one = two.sum(0) + 1
    uni = one / one.sum()

    def smoothed(counts: NDArray[Any], lower: NDArray[Any]) -> NDArray[Any]:
        total = counts.sum(-1, keepdims=True)
        kept = np.maximum(counts - discount, 0)
        left = discount * (counts > 0).sum(-1, keepdims=True)
        return np.where(total > 0, (kept + left * lower) / np.maximum(total, 1), lower)

    pair = smoothed(two, uni[None])
    return (
        smoothed(three, pair[None]).astype(np.float32),
        (uni[:, None] * pair).astype(np.float32),
    )


def sweep(scores: Tensor, frames: Tensor, trigram: Tensor, pairs: Tensor) -> tuple[Tensor, Tensor]:
    """Forward and backward over every phone sequence at once.

    Args:
        scores: (batch, time, 1 + phones) log-probabilities, blank first.
        frames: (batch,) how many of them count.
        trigram: (second, first, third) probabilities.
        pairs: (second, first) probabilities, the history at the start.

    Returns:
        (batch,) logs of the weighted sums, and their gradients (batch, time, 1 + phones).

    State arrays are (second, batch, 2 x first): histories that end in a sound, then those that
    end in a blank. The same sound twice needs a blank between.
    """
    n = trigram.shape[0]
    batch, time, _ = scores.shape
    shown = torch.arange(time, device=scores.device)[None] < frames[:, None]
    chance = scores.float().clamp_min(-30).exp()
    sound = (chance[..., 1:] * shown[..., None]).permute(1, 2, 0).contiguous()[..., None]
    blank = torch.where(shown, chance[..., 0], torch.ones_like(chance[..., 0])).t()
    blank = blank.contiguous()[:, None, :, None]
    apart = trigram * (1 - torch.eye(n, device=trigram.device))[:, None]
    step = torch.cat([apart, trigram], 1)
    alpha = scores.new_empty(time + 1, n, batch, 2 * n, dtype=torch.float32)
    alpha[0, :, :, :n] = 0
    alpha[0, :, :, n:] = pairs[:, None]
    scales = scores.new_empty(time, batch, dtype=torch.float32)
    for t in range(time):
        before, now = alpha[t], alpha[t + 1]
        come = torch.bmm(before, step).transpose(0, 2)
        torch.add(before[..., :n], come, out=now[..., :n])
        now[..., :n].mul_(sound[t])
        torch.add(before[..., :n], before[..., n:], out=now[..., n:])
        now[..., n:].mul_(blank[t])
        torch.sum(now, (0, 2), out=scales[t])
        now.div_(scales[t][:, None])
    back = step.transpose(1, 2).contiguous()
    beta = alpha.new_full((n, batch, 2 * n), 1.0)
    posterior = alpha.new_zeros(time, batch, 1 + n)
    for t in range(time - 1, -1, -1):
        both = alpha[t + 1] * beta
        posterior[t, :, 0] = both[..., n:].sum((0, 2))
        posterior[t, :, 1:] = both[..., :n].sum(2).t()
        said = beta[..., :n] * sound[t]
        silent = beta[..., n:] * blank[t]
        beta = torch.bmm(said.transpose(0, 2).contiguous(), back)
        beta[..., :n].add_(said).add_(silent)
        beta[..., n:].add_(silent)
        beta.div_(beta.amax((0, 2))[:, None])
    posterior = posterior / posterior.sum(-1, keepdim=True)
    return scales.log().sum(0), posterior.transpose(0, 1) * shown[..., None]


class Recorded:
    """``sweep`` recorded once per size as a CUDA graph: thousands of small kernels, one launch.

    Sizes are rounded up, so that a few dozen recordings serve; what is too much counts no frames.
    """

    def __init__(self) -> None:
        self.made: dict[tuple[int, int], tuple[Any, tuple[Tensor, ...], tuple[Tensor, ...]]] = {}
        self.pool: Any = None

    def __call__(
        self, scores: Tensor, frames: Tensor, trigram: Tensor, pairs: Tensor
    ) -> tuple[Tensor, Tensor]:
        batch, time, width = scores.shape
        size = (-(-batch // max(4, batch // 8)) * max(4, batch // 8), -(-time // 20) * 20)
        if size not in self.made:
            self.made[size] = self._record((*size, width), trigram, pairs)
        graph, (scores_in, frames_in), (total, slope) = self.made[size]
        scores_in.fill_(-3.0)
        scores_in[:batch, :time] = scores
        frames_in.zero_()
        frames_in[:batch] = frames
        graph.replay()
        return total[:batch].clone(), slope[:batch, :time].clone()

    def _record(self, shape: tuple[int, int, int], trigram: Tensor, pairs: Tensor) -> Any:
        dev = trigram.device
        inputs = torch.full(shape, -3.0, device=dev), torch.zeros(shape[0], device=dev)
        aside = torch.cuda.Stream(dev)
        aside.wait_stream(torch.cuda.current_stream(dev))
        with torch.cuda.stream(aside):
            sweep(inputs[0][:, :3].contiguous(), inputs[1], trigram, pairs)
        torch.cuda.current_stream(dev).wait_stream(aside)
        graph = torch.cuda.CUDAGraph()
        if self.pool is None:
            self.pool = torch.cuda.graph_pool_handle()
        # The data-parallel watchdog asks after its events meanwhile; that must not end this.
        with torch.cuda.graph(graph, pool=self.pool, capture_error_mode="thread_local"):
            outputs = sweep(*inputs, trigram, pairs)
        return graph, inputs, outputs


_RECORDED = Recorded()


class Denominator(torch.autograd.Function):
    """log of the weighted sum over all phone sequences, per utterance; see ``sweep``."""

    @staticmethod
    def forward(ctx: Any, scores: Tensor, frames: Tensor, trigram: Tensor, pairs: Tensor) -> Tensor:
        run = _RECORDED if scores.is_cuda else sweep
        total, slope = run(scores.detach().float(), frames, trigram, pairs)
        ctx.save_for_backward(slope)
        return total

    @staticmethod
    def backward(ctx: Any, *grads: Tensor) -> Any:
        (slope,) = ctx.saved_tensors
        return slope * grads[0][:, None, None], None, None, None


def spelled_out(scores: Tensor, three: NDArray[Any], two: NDArray[Any]) -> Tensor:
    """The same sum for one short utterance (time, 1 + phones), path by path."""
    time, width = scores.shape
    parts = []
    for path in itertools.product(range(width), repeat=time):
        said = [s - 1 for s, before in zip(path, (0, *path), strict=False) if s and s != before]
        heard = scores[torch.arange(time), torch.tensor(path)].sum()
        for history in itertools.product(range(width - 1), repeat=2):
            weight, (a, b) = float(two[history]), history
            for s in said:
                weight, a, b = weight * float(three[a, b, s]), b, s
            parts.append(heard + math.log(weight))
    return torch.logsumexp(torch.stack(parts), 0)


def main() -> None:
    asking(__doc__).parse_args()
    draw = np.random.default_rng(0)
    three, two = phone_trigram((draw.integers(1, 4, 50) for _ in range(5)), 3)
    torch.manual_seed(0)
    scores = torch.randn(2, 5, 4).log_softmax(-1).requires_grad_()
    tables = torch.tensor(three).permute(1, 0, 2).contiguous(), torch.tensor(two).t().contiguous()
    quick = Denominator.apply(scores, torch.tensor([5, 4]), *tables)
    same = scores.detach().double().requires_grad_()
    slow = torch.stack([spelled_out(same[0], three, two), spelled_out(same[1, :4], three, two)])
    (one,) = torch.autograd.grad(quick.sum(), scores)
    (other,) = torch.autograd.grad(slow.sum(), same)
    print("sums differ by at most", (quick - slow).abs().max().item())
    print("gradients differ by at most", (one - other).abs().max().item())
    if torch.cuda.is_available():
        phones, batch, length = 39, 100, 230
        three, two = phone_trigram((draw.integers(1, phones + 1, 5000) for _ in range(9)), phones)
        tables = tuple(
            t.to("cuda")
            for t in (torch.tensor(three).permute(1, 0, 2).contiguous(), torch.tensor(two).t())
        )
        big = torch.randn(batch, length, phones + 1, device="cuda").log_softmax(-1)
        frames = torch.randint(50, length, (batch,), device="cuda")
        for name, run in (("step by step", sweep), ("recorded", Recorded())):
            results = run(big, frames, *tables)
            torch.cuda.synchronize()
            began = time.time()
            for _ in range(5):
                results = run(big, frames, *tables)
            torch.cuda.synchronize()
            print(name, f"{(time.time() - began) / 5:.4f} s", [float(r.sum()) for r in results])


if __name__ == "__main__":
    main()
