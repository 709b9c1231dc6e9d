"""The computer's clocks compared with each other: sleep noticed, a wrong clock noticed."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

_TOLERANCE = 2.0
"""Seconds by which clocks may part before it means anything."""

RELEASED = datetime(2026, 11, 1, tzinfo=UTC)
"""No recording can be older than this program."""


@dataclass(frozen=True, slots=True)
class Slept:
    """The computer slept."""

    seconds: float


@dataclass(frozen=True, slots=True)
class ClockChanged:
    """Somebody (or the network) set the clock."""

    seconds: float
    """Positive if it was set forward."""


def _since_boot() -> float:
    """Seconds since the computer started, sleep included where the system can say."""
    clock = getattr(time, "CLOCK_BOOTTIME", None)
    return time.clock_gettime(clock) if clock is not None else time.time()


class ClockWatch:
    """Compares three clocks: wall, monotonic (stands still asleep), and since boot (does not).

    Where the system has no clock that counts sleep, a jump is reported as sleep if forward.
    """

    def __init__(
        self,
        wall: Callable[[], float] = time.time,
        awake: Callable[[], float] = time.monotonic,
        boot: Callable[[], float] = _since_boot,
    ) -> None:
        """Start watching; the clocks can be replaced in tests."""
        self._clocks = (wall, awake, boot)
        self._before = self._now()

    def _now(self) -> tuple[float, float, float]:
        wall, awake, boot = self._clocks
        return wall(), awake(), boot()

    def check(self) -> list[Slept | ClockChanged]:
        """What happened since the last check, most often nothing."""
        now = self._now()
        wall, awake, boot = (b - a for a, b in zip(self._before, now, strict=True))
        self._before = now
        found: list[Slept | ClockChanged] = []
        if boot - awake > _TOLERANCE:
            found.append(Slept(boot - awake))
        elif boot - awake < -_TOLERANCE:
            found.append(ClockChanged(boot - awake))
        if abs(wall - boot) > _TOLERANCE:
            found.append(ClockChanged(wall - boot))
        return found


def clock_doubt(now: datetime, newest_known: datetime | None = None) -> str:
    """A sentence if the computer's date must be wrong, else empty.

    Args:
        now: the aware present according to the computer.
        newest_known: the newest aware time in the records, if there is one.
    """
    if now < RELEASED:
        return f"Set the computer's clock: it says {now:%d %B %Y}, before fieldlog was written."
    if newest_known is not None and now < newest_known - timedelta(hours=1):
        return (
            f"Set the computer's clock: it is behind your newest record (it says "
            f"{now:%d %B %Y, %H:%M}; the record {newest_known:%d %B %Y, %H:%M})."
        )
    return ""
