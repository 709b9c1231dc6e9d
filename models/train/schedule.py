"""When what is done in a training: rate of learning, MMI, the tail; what is done now and then."""

from __future__ import annotations

import argparse
import math
import time
from collections.abc import Callable

WARM_UP = 300
"""Steps in which the rate of learning rises."""
COMES_IN = 0.05
"""Share of the schedule in which MMI takes the place of CTC."""


class Schedule:
    """What holds at a time of the training, all in seconds of training.

    Args:
        args: of the command line.
    """

    def __init__(self, args: argparse.Namespace) -> None:
        self.args = args
        self.until = min(args.until, args.total)
        self.in_tail = False

    def share(self, gone: float) -> float:
        """How much of the schedule is over."""
        return min(1.0, gone / self.args.total)

    def rate(self, gone: float, step: int) -> float:
        """The rate of learning: half a cosine; in the tail a line down to nothing."""
        if self.in_tail:
            return self.args.tail_lr * max(0.0, (self.until - gone) / self.args.tail)
        fall = 0.5 * (1 + math.cos(math.pi * self.share(gone))) + 0.004
        return self.args.lr * min(1, step / WARM_UP) * fall

    def mmi(self, gone: float) -> float:
        """How much of the loss is MMI."""
        if self.in_tail:
            return 1.0
        return min(1.0, max(0.0, (self.share(gone) - self.args.mmi) / COMES_IN))

    def kept(self, step: int) -> float:
        """How much of the averaged weights one more step leaves."""
        return min(0.998 if self.in_tail else 0.9995, (1 + step) / (20 + step))

    def has_tail(self) -> bool:
        """Whether a tail follows where the schedule has ended."""
        return bool(self.args.tail) and not self.in_tail and self.until == self.args.total

    def begin_tail(self) -> None:
        """From now on it is the tail."""
        self.in_tail, self.until = True, self.until + self.args.tail


class Every:
    """Does something whenever so many seconds have gone by since it was done."""

    def __init__(self, seconds: float) -> None:
        self.seconds, self.last = seconds, time.time()

    def __call__(self, work: Callable[[], None]) -> None:
        if time.time() - self.last > self.seconds:
            work()
            self.last = time.time()
