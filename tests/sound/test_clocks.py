"""Sleep and clock changes."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from fieldlog.sound.clocks import RELEASED, ClockChanged, ClockWatch, Slept, clock_doubt


class Clocks:
    def __init__(self) -> None:
        self.wall = self.awake = self.boot = 1000.0
        self.watch = ClockWatch(lambda: self.wall, lambda: self.awake, lambda: self.boot)

    def move(self, wall: float, awake: float, boot: float) -> list[Slept | ClockChanged]:
        self.wall += wall
        self.awake += awake
        self.boot += boot
        return self.watch.check()


def test_time_that_just_passes() -> None:
    assert Clocks().move(60, 60, 60) == []


def test_sleep() -> None:
    clocks = Clocks()
    assert clocks.move(600, 1, 600) == [Slept(599)]
    assert clocks.move(1, 1, 1) == []


def test_a_clock_set_back_and_forward() -> None:
    clocks = Clocks()
    assert clocks.move(-3600, 1, 1) == [ClockChanged(-3601)]
    assert clocks.move(3600, 1, 1) == [ClockChanged(3599)]


def test_where_no_clock_counts_sleep_a_step_back_is_noticed() -> None:
    clocks = Clocks()
    assert clocks.move(-3600, 1, -3600) == [ClockChanged(-3601)]


def test_the_real_clocks_agree() -> None:
    assert ClockWatch().check() == []


def test_doubt() -> None:
    now = datetime(2026, 11, 25, tzinfo=UTC)
    assert clock_doubt(now) == ""
    assert clock_doubt(now, now - timedelta(days=1)) == ""
    assert "behind your newest record" in clock_doubt(now, now + timedelta(days=2))
    assert clock_doubt(now, now + timedelta(minutes=59)) == "", "clocks are put right by minutes"
    assert clock_doubt(RELEASED) == ""
    assert "before fieldlog was written" in clock_doubt(RELEASED - timedelta(seconds=1))
    assert "Set the computer's clock" in clock_doubt(datetime(1980, 1, 1, tzinfo=UTC))
