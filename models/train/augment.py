"""What a barn does to speech, for whole batches on the GPU."""

from __future__ import annotations

import torch
import torch.nn.functional as F
from torch import Tensor


class _Dice:
    """Random numbers for a batch, a row each."""

    def __init__(self, batch: int, dev: torch.device) -> None:
        self.batch, self.dev = batch, dev

    def between(self, low: float, high: float, wide: int = 1) -> Tensor:
        """(batch, ``wide``) numbers."""
        return torch.rand(self.batch, wide, device=self.dev) * (high - low) + low

    def some(self, share: float) -> Tensor:
        """(batch, 1): true for about a share of the rows."""
        return torch.rand(self.batch, 1, device=self.dev) < share

    def level(self, low: float, high: float) -> Tensor:
        """(batch, 1) factors, in decibels even."""
        return torch.pow(10, self.between(low, high) / 20)


def augment(x: Tensor, lens: Tensor, noises: Tensor) -> Tensor:
    """Room, equaliser, band limit, codec-like edge, barn noise, other talkers, loudness.

    Half of the utterances are nearly clean, whatever there is lies 20 decibels or more under the
    voice, so that quiet is not unlearned; most of the others have a barn between 2 and 14 decibels
    under it, where a farrier beside a horse talks.

    Args:
        x: (batch, samples) sounds.
        lens: (batch,) how many samples of each count, in the main memory.
        noises: (kinds, samples) of ``noise.bank``.
    """
    batch, n = x.shape
    dice = _Dice(batch, x.device)
    lens = lens.to(x.device)
    y = _through_a_room(x, dice)
    power = (y.square().sum(1, keepdim=True) / lens[:, None]).clamp_min(1).sqrt()
    hiss = _hiss(n, dice)
    calm = dice.some(0.5)
    under = torch.where(calm, dice.between(22, 45), dice.between(8, 40))
    y = y + power * hiss * torch.pow(10, -under / 20) * dice.some(0.7)
    y = y + _barn_under(power, noises, n, calm, dice)
    y = y + _other_talkers(power, y, calm, dice)
    hot = power * dice.level(5, 20)
    y = torch.where(dice.some(0.08), hot * torch.tanh(y / hot), y)
    return (y / power * torch.pow(10, dice.between(1.9, 3.8))).clamp(-32768, 32767)


def _through_a_room(x: Tensor, dice: _Dice) -> Tensor:
    """The sounds as a microphone gets them: equaliser, edges of its band, echo."""
    n = x.shape[1]
    spectrum = torch.fft.rfft(x, n=2 * n)
    gain, room = _equaliser(spectrum.shape[1], dice), _echo(dice)
    return torch.fft.irfft(
        spectrum * torch.pow(10, gain / 20) * torch.fft.rfft(room, n=2 * n), n=2 * n
    )[:, :n]


def _equaliser(bins: int, dice: _Dice) -> Tensor:
    """(batch, bins) decibels, up to 8 kHz: waves, an upper edge, a lower edge."""
    hertz = torch.linspace(0, 8000, bins, device=dice.dev)
    waves = dice.between(-7, 7, 12) * dice.some(0.75)
    gain = F.interpolate(waves[:, None], size=bins, mode="linear", align_corners=True)[:, 0]
    none = torch.full((dice.batch, 1), 9e3, device=dice.dev)
    edge = torch.where(dice.some(0.5), dice.between(3300, 7200), none)
    gain = gain - torch.relu((hertz - edge) / dice.between(8, 60)).clamp(max=70)
    return gain - torch.relu((dice.between(0, 220) - hertz) / 20).clamp(max=40)


def _echo(dice: _Dice) -> Tensor:
    """(batch, samples): what a room makes of a click, 0.6 s; four in ten are in none."""
    tail = 9600
    t = torch.arange(tail, device=dice.dev) / 16000
    room = torch.randn(dice.batch, tail, device=dice.dev)
    room = room * torch.exp(-6.9 * t / dice.between(0.08, 0.6))
    room = room / room.norm(dim=1, keepdim=True)
    room = room * dice.level(-25, -2) * dice.some(0.6)
    room[:, 0] = 1
    return room


def _hiss(n: int, dice: _Dice) -> Tensor:
    """(batch, ``n``) noise of unit power between white and red."""
    slope = dice.between(0, 1.1)
    shape = (torch.linspace(0, 8000, n // 2 + 1, device=dice.dev) + 40) / 1000
    white = torch.randn(dice.batch, n, device=dice.dev)
    hiss = torch.fft.irfft(torch.fft.rfft(white) * torch.pow(shape, -slope), n=n)
    return hiss / hiss.square().mean(1, keepdim=True).sqrt()


def _barn_under(power: Tensor, noises: Tensor, n: int, calm: Tensor, dice: _Dice) -> Tensor:
    """One or two barn noises beside a voice of such power; half of the calm ones have none."""
    barn = _barn(noises, dice.batch, n) + _barn(noises, dice.batch, n) * dice.some(0.4)
    under = torch.where(dice.some(0.6), dice.between(2, 14), dice.between(0, 25))
    under = torch.where(calm, dice.between(20, 35), under)
    return power * barn * torch.pow(10, -under / 20) * (dice.some(0.5) | ~calm)


def _other_talkers(power: Tensor, y: Tensor, calm: Tensor, dice: _Dice) -> Tensor:
    """Two others of the batch talking, under some of the voices that are not calm."""
    others = y.roll(1, 0).roll(4000, 1) + y.roll(2, 0)
    others = others / others.square().mean(1, keepdim=True).clamp_min(1).sqrt()
    return power * others * torch.pow(10, -dice.between(7, 28) / 20) * (dice.some(0.3) & ~calm)


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
