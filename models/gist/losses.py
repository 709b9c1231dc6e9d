"""What the networks of ``train.py`` learn by: labels without places, annotated manners, teachers.

Logits are (texts, words, codes and manners); ``word`` is 1 for words and 0 for stops and filling.
"""

from __future__ import annotations

from typing import Any

import torch
from batches import Batch
from torch.nn import functional as F

LEAST = 1e-6
"""The least chance of which a logarithm is taken."""


def none_said(logits: Any, word: Any) -> Any:
    """The log of the chance that no word of a text says each code."""
    return -(F.softplus(logits) * word.unsqueeze(-1)).sum(1)


def label_loss(logits: Any, word: Any, said: Any, labelled: Any) -> Any:
    """The loss of a noisy or, for the texts that are labelled."""
    none = none_said(logits, word)
    some = -torch.expm1(none)
    each = -(said * torch.log(some.clamp_min(LEAST)) + (1 - said) * none).sum(1)
    return (each * labelled).sum() / labelled.sum().clamp_min(1)


def how_told(chance: Any, word: Any, pair: Any, codes: int) -> tuple[Any, Any]:
    """For each annotated code its chance at every word, and the chance of every manner there."""
    at = chance[pair[:, 0]] * word[pair[:, 0]].unsqueeze(-1)
    column = pair[:, 1].view(-1, 1, 1).expand(-1, at.shape[1], 1)
    return at[..., :codes].gather(2, column), at[..., codes:]


def how_loss(logits: Any, word: Any, pair: Any, how: Any, codes: int) -> Any:
    """The loss of how the annotated codes are told: where a code is said, its manner is too.

    That a manner is not told teaches nothing about where the code is said.
    """
    code, manner = how_told(torch.sigmoid(logits), word, pair, codes)

    def none(code: Any) -> Any:
        return torch.log1p(-(code * manner).clamp(max=1 - LEAST)).sum(1)

    some = -torch.expm1(none(code))
    each = how * torch.log(some.clamp_min(LEAST)) + (1 - how) * none(code.detach())
    return -each.sum() / len(word)


def number_loss(logits: Any, said: Any, spelt: Any, numbers: Any, how: Any, valued: Any) -> Any:
    """The loss of what the numbers and times tell: at their words their own code is said, and none
    of the note's other codes that have values or times; and it is told there as it was annotated.
    """
    codes = said.shape[1]
    at = logits[spelt[:, 0], spelt[:, 1]]
    none = torch.zeros((len(numbers), codes), device=logits.device)
    none = none.index_add(0, spelt[:, 2], -F.softplus(at[:, :codes]))
    own = F.one_hot(numbers[:, 1], codes).float()
    among = torch.maximum(said[numbers[:, 0]] * valued[numbers[:, 3]], own)
    some = -torch.expm1(none)
    each = -(own * torch.log(some.clamp_min(LEAST)) + (among - own) * none).sum()
    told = numbers[spelt[:, 2], 2].float()
    manner = F.binary_cross_entropy_with_logits(at[:, codes:], how[spelt[:, 2]], reduction="none")
    return (each + (manner.sum(1) * told).sum() * 0.5) / len(said)


def loss_of(logits: Any, batch: Batch, told: Any, valued: Any) -> Any:
    """The whole loss of a batch.

    Args:
        logits: what the network thinks.
        batch: the texts, as tensors.
        told: the chances that the large networks give, or None where none teaches.
        valued: (sorts, codes): 1 for codes that have numbers or times.
    """
    codes = batch.said.shape[1]
    loss = label_loss(logits[..., :codes], batch.word, batch.said, batch.labelled)
    if len(batch.pair):
        loss = loss + how_loss(logits, batch.word, batch.pair, batch.how, codes)
    if len(batch.numbers):
        loss = loss + number_loss(
            logits, batch.said, batch.spelt, batch.numbers, batch.number_how, valued
        )
    return loss if told is None else 0.5 * loss + teachers_loss(logits, batch.word, told, codes)


def teachers_loss(logits: Any, word: Any, told: Any, codes: int) -> Any:
    """How far the network is from its teachers, word by word.

    How something is told matters only where something is.
    """
    told = told.float()
    apart = F.binary_cross_entropy_with_logits(logits, told, reduction="none")
    matters = told[..., :codes].sum(-1, keepdim=True).clamp(max=1)
    apart = apart[..., :codes].sum(-1) + (apart[..., codes:] * matters).sum(-1)
    return (apart * word).sum() / len(word)
