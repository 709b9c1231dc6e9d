"""What a network hears in recordings: how well, how often each phone, and which it believes."""

from __future__ import annotations

import torch
import torch.nn.functional as F
from acoustic import Cepstra, frames_of
from augment import cut
from phones import distance
from speech import Item, places
from torch import Tensor

UNCHECKED, BELIEVED = "gqa", 1.5
"""Corpora not checked by anybody, and the loss per phone (nats) up to which they are used."""
TOGETHER = 64
"""Recordings that are listened to at once."""
ASKED = 400
"""Utterances of which the phones are counted."""


def greedy_error(
    net: torch.nn.Module, front: Cepstra, sound: Tensor, items: list[Item]
) -> dict[str, float]:
    """Phone error rate per corpus, best phone per frame, no language model."""
    net.eval()
    wrong: dict[str, int] = {}
    total: dict[str, int] = {}
    with torch.no_grad():
        for at, n, phones, corpus in items:
            out = net(front(sound[at : at + n].float()[None]))[0].argmax(-1).tolist()
            heard = [p for p, q in zip(out, [0, *out], strict=False) if p and p != q]
            wrong[corpus] = wrong.get(corpus, 0) + distance(heard, phones)
            total[corpus] = total.get(corpus, 0) + len(phones)
    net.train()
    return {c: round(wrong[c] / total[c], 4) for c in wrong}


def log_priors(
    net: torch.nn.Module, front: Cepstra, sound: Tensor, items: list[Item], phones: int
) -> list[float]:
    """The log of how often each phone is heard, over about ``ASKED`` of the utterances."""
    total = torch.zeros(phones, device=sound.device)
    with torch.no_grad():
        for at, n, _, _ in items[:: max(1, len(items) // ASKED)]:
            total += net(front(sound[at : at + n].float()[None]))[0].exp().sum(0)
    logs: list[float] = (total / total.sum()).clamp_min(1e-6).log().cpu().tolist()
    return logs


def believed(items: list[Item], net: torch.nn.Module, front: Cepstra, sound: Tensor) -> list[Item]:
    """Without recordings in which a half-trained network does not find the words at all.

    Only for corpora whose transcripts nobody checked against the sound.
    """
    net.eval()
    kept = [i for i in items if i.corpus not in UNCHECKED]
    asked = sorted((i for i in items if i.corpus in UNCHECKED), key=lambda i: i.samples)
    before = len(kept) + len(asked)
    for k in range(0, len(asked), TOGETHER):
        some = asked[k : k + TOGETHER]
        losses = _losses(net, front, sound, some)
        kept += [i for i, x in zip(some, losses, strict=True) if x < BELIEVED * len(i.phones)]
    net.train()
    print("not believed:", before - len(kept), "of", len(asked), flush=True)
    return kept


@torch.no_grad()
def _losses(net: torch.nn.Module, front: Cepstra, sound: Tensor, items: list[Item]) -> list[float]:
    """How far each utterance is from its phones (CTC, nats)."""
    x, lens = cut(sound, *places(items), torch.ones(len(items)))
    scores = net(front(x)).transpose(0, 1)
    losses: list[float] = F.ctc_loss(
        scores,
        torch.tensor([p for i in items for p in i.phones], device=sound.device),
        ((frames_of(lens) + 2) // 3).clamp(max=len(scores)),
        torch.tensor([len(i.phones) for i in items]),
        reduction="none",
    ).tolist()
    return losses
