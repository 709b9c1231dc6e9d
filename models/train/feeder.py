"""Batches of utterances, mixed anew in every pass."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from speech import RATE, Item

SEED = 7
WEIGHTS = {"l": (3, 5), "s": (1, 1.5), "w": (0.7, 0.7), "a": (2, 1), "f": (0.8, 0.6)}
"""How often a corpus is used per pass, at the beginning and at the end; others once."""


class Feeder:
    """Batches of about equally long utterances, mixed anew in every pass."""

    def __init__(
        self, items: list[Item], seconds: float, rank: int, world: int,
        seed: int = SEED,
    ) -> None:  # fmt: skip
        """Set up.

        Args:
            items: the utterances.
            seconds: of a batch, each utterance filled up to the longest.
            rank: which of the processes this is; each gets other batches of the same passes.
            world: how many processes there are.
            seed: of the passes; the same in every process.
        """
        self.by: dict[str, list[Item]] = {}
        self.add(items)
        self.most = int(seconds * RATE)
        self.rank, self.world = rank, world
        self.rng = np.random.default_rng(seed)

    def add(self, items: list[Item]) -> None:
        """Further utterances, from the next pass on."""
        for item in items:
            self.by.setdefault(item.corpus, []).append(item)

    def passes(self, done: float) -> Iterator[list[Item]]:
        """The batches of one pass, this rank's share; ``done`` is the share of time gone.

        Raises:
            SystemExit: there is not a whole batch for each process.
        """
        batches = self._together(self._chosen(done))
        if len(batches) < self.world:
            raise SystemExit(f"too little speech for one batch of {self.most / RATE:.0f} seconds")
        order = self.rng.permutation(len(batches))
        order = order[: len(order) // self.world * self.world]
        for b in order[self.rank :: self.world]:
            yield batches[b]

    def _chosen(self, done: float) -> list[Item]:
        """The utterances of one pass, each as often as its corpus counts by now, about by length.

        What counts more at the end does so from 0.8 of the time on, and begins to at 0.3.
        """
        bend = min(1.0, max(0.0, (done - 0.3) / 0.5))
        chosen: list[Item] = []
        for corpus, found in sorted(self.by.items()):
            early, late = WEIGHTS.get(corpus, (1, 1))
            times = early + bend * (late - early)
            extra = self.rng.random(len(found)) < times % 1
            chosen += found * int(times) + [i for i, more in zip(found, extra, strict=True) if more]
        keys = [i.samples * self.rng.uniform(0.9, 1.1) for i in chosen]
        return [chosen[k] for k in np.argsort(keys)]

    def _together(self, chosen: list[Item]) -> list[list[Item]]:
        """Neighbours in batches of at most so many seconds; what fills no batch is left out."""
        batches: list[list[Item]] = []
        now: list[Item] = []
        longest = 0
        for item in chosen:
            if now and max(longest, item.samples) * (len(now) + 1) > self.most:
                batches.append(now)
                now, longest = [], 0
            now.append(item)
            longest = max(longest, item.samples)
        return batches
