"""How well one farrier is understood: what became of looked-at facts moves the next ones' chance.

The chance of a fact (``confidence``) is fitted on strangers. One who speaks plainly is understood
better than that and would be asked too often; one whose ways of talking are unknown, worse. So the
facts that were looked at, and whether they stood or were corrected, give a shift in log odds for
all facts and a smaller one for each kind: logistic regression with the fitted chance as its offset,
and normal priors about no shift, so that few looks move little (McCullagh and Nelder, Generalized
Linear Models, 1989, on offsets; the widths of the priors were chosen on the writers of
``models/confidence/unseen.jsonl``).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache

from fieldlog.core.facts import Fact, FactKind
from fieldlog.language.confidence import with_low_confidence
from fieldlog.language.opinion.logit import log_odds, logistic

WIDTH, WIDTH_OF_KIND = 0.5, 0.2
"""How far one farrier is expected to lie from strangers, in log odds (standard deviations)."""
NEWEST = 500
"""So many looked-at facts count, the newest; how one is understood changes with the program."""
_EDGE = 0.002
"""Chances are kept this far from 0 and 1: one wonder must not outweigh all else."""


@dataclass(frozen=True, slots=True)
class Looked:
    """A fact that was looked at: as it was understood, and whether it stood."""

    kind: FactKind
    chance: float
    stood: bool


@dataclass(frozen=True, slots=True)
class Experience:
    """What one farrier's looks say of the chances; empty: nothing yet."""

    looked: int = 0
    stood: int = 0
    expected: float = 0.0
    """How many would have stood for a stranger."""
    shift: float = 0.0
    """Added to the log odds of every fact."""
    by_kind: Mapping[FactKind, float] = field(default_factory=dict)
    """Added to those of a kind besides."""

    def chance(self, fact: Fact) -> float:
        """The chance, 0 to 1, that every field of the fact is right, for this farrier."""
        if not self.looked:
            return fact.confidence
        moved = self.shift + self.by_kind.get(fact.kind, 0.0)
        return round(logistic(log_odds(fact.confidence, _EDGE) + moved), 4)


@lru_cache(maxsize=8)
def learnt(looks: tuple[Looked, ...]) -> Experience:
    """What the looks say; the newest first, ``NEWEST`` of them count."""
    rows = looks[:NEWEST]
    if not rows:
        return Experience()
    kinds = sorted({row.kind for row in rows})
    shift, by_kind = 0.0, dict.fromkeys(kinds, 0.0)
    odds = [log_odds(row.chance, _EDGE) for row in rows]
    groups = {k: [at for at, row in enumerate(rows) if row.kind is k] for k in kinds}
    everything = list(range(len(rows)))

    def step(at: Sequence[int], now: float, width: float) -> float:
        """One Newton step of one number."""
        slope, curve = -now / width**2, 1 / width**2
        for i in at:
            chance = logistic(odds[i] + shift + by_kind[rows[i].kind])
            slope += rows[i].stood - chance
            curve += chance * (1 - chance)
        return slope / curve

    # One number at a time: concave, so it ends at the one best place; no matrix is needed.
    for _ in range(25):
        moved = step(everything, shift, WIDTH)
        shift += moved
        for kind in kinds:
            one = step(groups[kind], by_kind[kind], WIDTH_OF_KIND)
            by_kind[kind] += one
            moved = max(abs(moved), abs(one))
        if abs(moved) < 1e-4:
            break
    return Experience(
        looked=len(rows),
        stood=sum(row.stood for row in rows),
        expected=sum(row.chance for row in rows),
        shift=shift,
        by_kind=by_kind,
    )


def asked_of(fact: Fact, sure_from: float, experience: Experience) -> Fact:
    """The fact with its chance for this farrier, and a doubt where that is under ``sure_from``.

    Doubts that have reasons of their own stay: an unclear word is unclear for everybody.
    """
    return with_low_confidence(replace(fact, confidence=experience.chance(fact)), sure_from)
