"""A few random kills; the long run: ``python -m tests.records.kill_campaign --count 300``."""

from __future__ import annotations

from tests.killing import kills
from tests.records.kill_campaign import ROUNDS


def test_random_kills_lose_nothing_acknowledged() -> None:
    tally, broken = kills(ROUNDS, 8, seed=3)
    assert broken == []
    assert set(tally) == set(ROUNDS)
    print(f"{sum(tally.values())} kills: {dict(tally)}")
