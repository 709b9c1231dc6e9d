"""What a barn does to speech, for whole batches on the GPU."""

from __future__ import annotations

import torch
import torch.nn.functional as F
from torch import Tensor


def augment(x: Tensor, lens: Tensor, noises: Tensor) -> Tensor:
    """Room, equaliser, band limit, codec-like edge, barn noise, other talkers, loudness.

    Half of the utterances are nearly clean, whatever there is lies 20 decibels or more under the
    voice, so that quiet is not unlearned; most of the others have a barn between 2 and 14 decibels
    under it, where a farrier beside a horse talks.
    """
    batch, n = x.shape
    dev = x.device
    lens = lens.to(dev)

    def u(low: float, high: float, *size: int) -> Tensor:
        return torch.rand(*size, device=dev) * (high - low) + low

    def some(share: float) -> Tensor:
        return torch.rand(batch, 1, device=dev) < share

    spectrum = torch.fft.rfft(x, n=2 * n)
    bins = spectrum.shape[1]
    hertz = torch.linspace(0, 8000, bins, device=dev)
    gain = F.interpolate((u(-7, 7, batch, 12) * some(0.75))[:, None], size=bins, mode="linear",
                         align_corners=True)[:, 0]  # fmt: skip
    edge = torch.where(some(0.5), u(3300, 7200, batch, 1), torch.full((batch, 1), 9e3, device=dev))
    gain = gain - torch.relu((hertz - edge) / u(8, 60, batch, 1)).clamp(max=70)
    gain = gain - torch.relu((u(0, 220, batch, 1) - hertz) / 20).clamp(max=40)
    tail = 9600
    t = torch.arange(tail, device=dev) / 16000
    room = torch.randn(batch, tail, device=dev) * torch.exp(-6.9 * t / u(0.08, 0.6, batch, 1))
    room = room / room.norm(dim=1, keepdim=True)
    room = room * torch.pow(10, u(-25, -2, batch, 1) / 20) * some(0.6)
    room[:, 0] = 1
    y = torch.fft.irfft(
        spectrum * torch.pow(10, gain / 20) * torch.fft.rfft(room, n=2 * n), n=2 * n
    )[:, :n]
    power = (y.square().sum(1, keepdim=True) / lens[:, None]).clamp_min(1).sqrt()
    slope = u(0, 1.1, batch, 1)
    shape = (torch.linspace(0, 8000, n // 2 + 1, device=dev) + 40) / 1000
    hiss = torch.fft.irfft(
        torch.fft.rfft(torch.randn(batch, n, device=dev)) * torch.pow(shape, -slope), n=n
    )
    hiss = hiss / hiss.square().mean(1, keepdim=True).sqrt()
    calm = some(0.5)
    under = torch.where(calm, u(22, 45, batch, 1), u(8, 40, batch, 1))
    y = y + power * hiss * torch.pow(10, -under / 20) * some(0.7)
    barn = _barn(noises, batch, n) + _barn(noises, batch, n) * some(0.4)
    under = torch.where(some(0.6), u(2, 14, batch, 1), u(0, 25, batch, 1))
    under = torch.where(calm, u(20, 35, batch, 1), under)
    y = y + power * barn * torch.pow(10, -under / 20) * (some(0.5) | ~calm)
    others = y.roll(1, 0).roll(4000, 1) + y.roll(2, 0)
    others = others / others.square().mean(1, keepdim=True).clamp_min(1).sqrt()
    y = y + power * others * torch.pow(10, -u(7, 28, batch, 1) / 20) * (some(0.3) & ~calm)
    hot = power * torch.pow(10, u(5, 20, batch, 1) / 20)
    y = torch.where(some(0.08), hot * torch.tanh(y / hot), y)
    return (y / power * torch.pow(10, u(1.9, 3.8, batch, 1))).clamp(-32768, 32767)


def _barn(noises: Tensor, batch: int, n: int) -> Tensor:
    """A noise for each, from another place, at another speed, running on around its end."""
    dev, long = noises.device, noises.shape[1]
    which = torch.randint(noises.shape[0], (batch, 1), device=dev)
    start = torch.randint(long, (batch, 1), device=dev)
    speed = torch.rand(batch, 1, device=dev) * 0.7 + 0.7
    at = (torch.arange(n, device=dev)[None] * speed).long() + start
    return noises[which, at % long]


def cut(sound: Tensor, starts: Tensor, sizes: Tensor, speeds: Tensor) -> tuple[Tensor, Tensor]:
    """Utterances out of one long sound, each at its own speed (pitch moves with it).

    Starts, sizes and speeds lie in the main memory: asking the GPU for a length would make it wait.

    Returns:
        (batch, samples) with samples a multiple of 8000, for which FFTs are quick, and (batch,)
        lengths, these in the main memory as well.
    """
    lens = (sizes / speeds).long() - 1
    n = -(-int(lens.max()) // 8000) * 8000
    at = torch.arange(n, device=sound.device)
    starts, speeds, ends = (t.to(sound.device)[:, None] for t in (starts, speeds, lens))
    inside = at < ends
    at = at * speeds
    whole = at.long()
    part = at - whole
    where = (starts + whole).clamp(max=len(sound) - 2)
    x = sound[where].float() * (1 - part) + sound[where + 1].float() * part
    return x * inside, lens
