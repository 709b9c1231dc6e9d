"""How well networks find what notes say that they have not learnt from."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import torch
from batches import SORTS, Batch, Reader, Text
from losses import how_told
from opinions import told_by
from torch import nn

from fieldlog.core.facts import Reporter, Severity, Trend
from fieldlog.language.opinion.word_pieces import FEET_TOLD, PLACES_TOLD

LEVELS = (0.3, 0.4, 0.5, 0.6, 0.7, 0.8)
"""Chances from which a code counts as found."""
FOUND = 0.6
"""The chance of a code beside which its manners are asked for."""
SO = 0.5
"""The chance from which it is told so."""
TOGETHER = 16
"""Notes that are asked about at once."""
GROUPS = {
    "feet": FEET_TOLD, "places": PLACES_TOLD,
    "comparison": tuple(f"@{trend.value}" for trend in Trend),
    "severity": tuple(f"@{severity.value}" for severity in Severity),
    "reporter": tuple(f"@{reporter.value}" for reporter in Reporter),
    "doubt": ("@uncertain",), "history": ("@historical",), "plan": ("@planned",),
}  # fmt: skip
"""The manners, by what they are of."""


@dataclass
class Answers:
    """What networks think of notes, beside what was annotated."""

    chances: list[Any] = field(default_factory=list)
    """(notes, codes) of each batch."""
    truths: list[Any] = field(default_factory=list)
    """The same: whether it is said."""
    heard: list[tuple[int, int, Any]] = field(default_factory=list)
    """Of each code that was found its note, its column, and the chances of its manners."""
    told: list[tuple[int, int, str]] = field(default_factory=list)
    """Of each annotated manner its note, its code's column, and its name."""
    ties: list[tuple[int, bool, bool]] = field(default_factory=list)
    """Of each number or time its sort, whether its code is right, and whether all its feet are."""


def found(nets: Sequence[nn.Module], reader: Reader, notes: Sequence[Any]) -> str:
    """Precision, recall and F1 of the codes of whole notes at some chances; then the F1 of how
    they are told, beside codes that are found at a chance of ``FOUND``; then numbers and times."""
    answers = answers_of(nets, reader, notes)
    gold = sum(len(n["labels"]) for n in notes)
    parts = (_of_codes(answers, gold), _of_manners(answers, reader), _of_ties(answers))
    return " | ".join(words for part in parts for words in part)


@torch.no_grad()
def answers_of(nets: Sequence[nn.Module], reader: Reader, notes: Sequence[Any]) -> Answers:
    """Ask the networks about the notes."""
    for net in nets:
        net.eval()
    answers = Answers()
    for at in range(0, len(notes), TOGETHER):
        texts = [Text(n["words"], n["labels"], n["told"], n["tied"])
                 for n in notes[at : at + TOGETHER]]  # fmt: skip
        batch = reader.batch(texts).on_device()
        chances = told_by(nets, batch)
        _add(answers, at, chances, batch)
        answers.told += [(at + n, reader.column[code], how) for n, text in enumerate(texts)
                         for code, hows in text.told.items() if code in reader.column
                         for how in hows]  # fmt: skip
        answers.ties += _ties_right(chances, batch, reader)
    return answers


def _add(answers: Answers, at: int, chances: Any, batch: Batch) -> None:
    """The codes of a batch of notes, of which the first is note ``at``, and how they are told."""
    codes = batch.said.shape[1]
    none = torch.log1p(-chances[..., :codes].clamp(max=1 - 1e-6)) * batch.word.unsqueeze(-1)
    some = -torch.expm1(none.sum(1))
    answers.chances.append(some.cpu().numpy())
    answers.truths.append(batch.said.cpu().numpy())
    pair = (some > FOUND).nonzero()
    code, manner = how_told(chances, batch.word, pair, codes)
    both = -torch.expm1(torch.log1p(-(code * manner).clamp(max=1 - 1e-6)).sum(1))
    answers.heard += [(at + int(n), int(c), how) for (n, c), how in
                      zip(pair.cpu(), both.cpu().numpy(), strict=True)]  # fmt: skip


def _ties_right(chances: Any, batch: Batch, reader: Reader) -> list[tuple[int, bool, bool]]:
    """Of each number or time that is told how: its sort, and whether its likeliest code and all
    its feet are right."""
    codes, out = len(reader.column), []
    feet = [reader.how[foot] for foot in FEET_TOLD if foot in reader.how]
    for n, (_, column, told_so, sort) in enumerate(batch.numbers.tolist()):
        mine = batch.spelt[batch.spelt[:, 2] == n]
        at = chances[mine[:, 0], mine[:, 1]]
        if told_so:
            some = 1 - torch.prod(1 - at[:, :codes], 0)
            hears = at[:, codes:].mean(0)[feet] > SO
            right = int(some.argmax()) == column
            out.append((sort, right, bool((hears == (batch.number_how[n][feet] > 0)).all())))
    return out


def _of_codes(answers: Answers, gold: int) -> Iterable[str]:
    """``gold``: codes that were annotated, also those that the networks do not know."""
    chance, truth = np.concatenate(answers.chances), np.concatenate(answers.truths)
    for level in LEVELS:
        hits, given = int(((chance > level) & (truth > 0)).sum()), int((chance > level).sum())
        yield (f"{level}: {hits / max(1, given):.3f} {hits / gold:.3f} "
               f"{2 * hits / (given + gold):.3f}")  # fmt: skip


def _of_manners(answers: Answers, reader: Reader) -> Iterable[str]:
    for group, begins in GROUPS.items():
        mine = {name: i for name, i in reader.how.items() if name.startswith(begins)}
        want = {(n, c, mine[how]) for n, c, how in answers.told if how in mine}
        got = {(n, c, i) for n, c, how in answers.heard for i in mine.values() if how[i] > SO}
        yield f"{group} {2 * len(got & want) / max(1, len(got) + len(want)):.3f}"


def _of_ties(answers: Answers) -> Iterable[str]:
    for sort, name in enumerate(SORTS):
        own = [(code, feet) for at, code, feet in answers.ties if at == sort]
        if own:
            yield "{}s' codes {:.3f}, feet {:.3f}".format(name, *np.array(own).mean(0))
