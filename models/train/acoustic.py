"""Features and network in torch: Kaldi's MFCC in batches, and a residual TDNN for CTC.

The network is what nnet3 can run with affine, ReLU and sum: every convolution is a spliced affine
layer, batch norms fold into them (see network.py).
"""

from __future__ import annotations

import math
import sys
from pathlib import Path
from typing import Any

import torch
import torch.nn.functional as F
from torch import Tensor, nn

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "graph"))

from phones import PHONES

CONFIG: dict[str, Any] = {
    "hidden": 640,
    "narrow": 160,
    "dilations": [1, 1, 1, 2, 2, 3, 3, 4, 4, 5, 6],
    "phones": ["<blank>", *PHONES],
    "cepstra": 40,
}


def _mel(hertz: float) -> float:
    return 1127.0 * math.log(1 + hertz / 700.0)


class Cepstra(nn.Module):
    """Kaldi's MFCC (40 bins, 40 cepstra, 20 to 7600 Hz, Povey window) of int16-scaled sound.

    In training the mel filters may be warped (other vocal tracts) and bands and stretches of time
    masked before the cosine transform, where a mask stays local.
    """

    def __init__(self, bins: int = 40, low: float = 20.0, high: float = 7600.0) -> None:
        super().__init__()
        n = torch.arange(400, dtype=torch.float64)
        self.register_buffer(
            "window", ((0.5 - 0.5 * torch.cos(2 * math.pi * n / 399)) ** 0.85).float()
        )
        self.warps = [1.0, *(0.86 + 0.035 * i for i in range(9))]
        self.register_buffer(
            "filters", torch.stack([self._bank(bins, low, high, w) for w in self.warps]).float()
        )
        k = torch.arange(bins, dtype=torch.float64)
        cosine = torch.cos(math.pi / bins * (k[None] + 0.5) * k[:, None]) * math.sqrt(2 / bins)
        cosine[0] = math.sqrt(1 / bins)
        lifter = 1 + 0.5 * 22 * torch.sin(math.pi * k / 22)
        self.register_buffer("cosine", (cosine * lifter[:, None]).float())

    @staticmethod
    def _bank(bins: int, low: float, high: float, warp: float) -> Tensor:
        bottom, top = _mel(low), _mel(high)
        step = (top - bottom) / (bins + 1)
        bank = torch.zeros(bins, 256, dtype=torch.float64)
        mels = torch.tensor([_mel(16000 / 512 * k * warp) for k in range(256)])
        for b in range(bins):
            left, centre, right = (bottom + (b + i) * step for i in range(3))
            rising = (mels - left) / (centre - left)
            falling = (right - mels) / (right - centre)
            inside = (mels > left) & (mels < right)
            bank[b] = torch.where(inside, torch.where(mels <= centre, rising, falling), 0.0)
        return bank

    def forward(self, sound: Tensor, augment: bool = False) -> Tensor:
        """(batch, samples) to (batch, frames, 40)."""
        frames = sound.unfold(1, 400, 160)
        frames = frames - frames.mean(-1, keepdim=True)
        before = torch.cat([frames[..., :1], frames[..., :-1]], -1)
        frames = (frames - 0.97 * before) * self.window
        power = torch.fft.rfft(frames, 512).abs().square()[..., :256]
        which = torch.zeros(len(sound), dtype=torch.long, device=sound.device)
        if augment:
            which = torch.randint(len(self.warps), which.shape, device=sound.device)
        filters = self.filters[which].transpose(1, 2)
        mel = torch.log(torch.bmm(power, filters).clamp_min(1.1921e-7))
        if augment:
            mel = self._masked(mel)
        return mel @ self.cosine.T

    @staticmethod
    def _masked(mel: Tensor) -> Tensor:
        batch, frames, bins = mel.shape
        dev = mel.device
        fill = mel.mean((1, 2), keepdim=True)
        at = torch.arange(bins, device=dev)[None]
        for _ in range(2):
            start = (torch.rand(batch, 1, device=dev) * bins).long()
            wide = (torch.rand(batch, 1, device=dev) * 7).long()
            hit = (at >= start) & (at < start + wide)
            mel = torch.where(hit[:, None], fill, mel)
        at = torch.arange(frames, device=dev)[None]
        for _ in range(max(2, frames // 250)):
            start = (torch.rand(batch, 1, device=dev) * frames).long()
            wide = (torch.rand(batch, 1, device=dev) * 18).long()
            hit = (at >= start) & (at < start + wide)
            mel = torch.where(hit[..., None], fill, mel)
        return mel


def spliced(x: Tensor, conv: nn.Conv1d) -> Tensor:
    """A convolution over (batch, time, channels) as one matrix product of neighbouring frames.

    Much faster here than the library's: the channels lie together and the kernels are short.
    """
    out, _, k = conv.weight.shape
    d, stride = conv.dilation[0], conv.stride[0]
    if k > 1:
        end = x.shape[1] - (k - 1) * d
        x = torch.cat([x[:, i * d : i * d + end : stride] for i in range(k)], -1)
    return F.linear(x, conv.weight.transpose(1, 2).reshape(out, -1), conv.bias)


def normed(x: Tensor, norm: nn.BatchNorm1d) -> Tensor:
    return norm(x.flatten(0, 1)).view_as(x)


class Block(nn.Module):
    def __init__(self, hidden: int, narrow: int, dilation: int, drop: float) -> None:
        super().__init__()
        self.dilation = dilation
        self.lin = nn.Conv1d(hidden, narrow, 3, dilation=dilation, bias=False)
        self.aff = nn.Conv1d(narrow, hidden, 1)
        self.bn = nn.BatchNorm1d(hidden)
        self.drop = nn.Dropout(drop)

    def forward(self, x: Tensor) -> Tensor:
        y = self.drop(normed(spliced(spliced(x, self.lin), self.aff), self.bn))
        return F.relu(y + x[:, self.dilation : -self.dilation])


class Acoustic(nn.Module):
    """(batch, frames, 40) to log-probabilities (batch, ceil(frames / 3), phones + blank)."""

    def __init__(self, config: dict[str, Any] | None = None) -> None:
        super().__init__()
        c = config or CONFIG
        h, b = c["hidden"], c["narrow"]
        self.norm = nn.BatchNorm1d(c["cepstra"], affine=False)
        self.c1 = nn.Conv1d(c["cepstra"], h, 5)
        self.b1 = nn.BatchNorm1d(h)
        self.c2 = nn.Conv1d(h, b, 3, bias=False)
        self.c2b = nn.Conv1d(b, h, 1)
        self.b2 = nn.BatchNorm1d(h)
        self.c3 = nn.Conv1d(h, b * 2, 3, stride=3, bias=False)
        self.c3b = nn.Conv1d(b * 2, h, 1)
        self.b3 = nn.BatchNorm1d(h)
        drop = c.get("drop", 0.12)
        self.blocks = nn.ModuleList([Block(h, b, d, drop) for d in c["dilations"]])
        self.out = nn.Conv1d(h, len(c["phones"]), 1)
        self.context = 4 + 3 * sum(c["dilations"])

    def forward(self, cepstra: Tensor) -> Tensor:
        frames = cepstra.shape[1]
        x = F.pad(
            cepstra.transpose(1, 2), (self.context, self.context + 2), mode="replicate"
        ).transpose(1, 2)
        x = normed(x.contiguous(), self.norm)
        x = F.relu(normed(spliced(x, self.c1), self.b1))
        x = F.relu(normed(spliced(spliced(x, self.c2), self.c2b), self.b2) + x[:, 1:-1])
        x = F.relu(normed(spliced(spliced(x, self.c3), self.c3b), self.b3))
        for block in self.blocks:
            x = block(x)
        scores = spliced(x, self.out)[:, : (frames + 2) // 3]
        return F.log_softmax(scores.float(), -1)


def frames_of(samples: Tensor | int) -> Any:
    """MFCC frames of a sound, edges not snipped into."""
    return (samples - 400) // 160 + 1
