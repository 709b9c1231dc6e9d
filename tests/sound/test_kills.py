"""A few random kills; the long run: ``python -m tests.sound.kill_campaign --count 150``."""

from __future__ import annotations

from tests.killing import kills
from tests.sound.kill_campaign import ROUNDS


def test_random_kills_lose_nothing_acknowledged() -> None:
    tally, broken = kills(ROUNDS, 6, seed=3)
    assert broken == []
    assert sum(tally.values()) == 6
    assert len(tally) == 2
    print(f"{sum(tally.values())} kills: {dict(tally)}")
