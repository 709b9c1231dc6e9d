"""The day screen, opened at the entry with three things to look at, for its tests."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from textual.pilot import Pilot

from fieldlog.app.main import FieldlogApp
from fieldlog.app.screens.day import DayScreen
from fieldlog.core.facts import Fact
from fieldlog.paths import Places
from fieldlog.records.store import Store
from tests.app.driving import press, settle


@asynccontextmanager
async def running(
    app: FieldlogApp, size: tuple[int, int] = (80, 24)
) -> AsyncIterator[tuple[Pilot[None], DayScreen]]:
    """The app with its day screen filled; its threads end with the test."""
    async with app.run_test(size=size) as pilot:
        await settle(pilot)
        day = app.screen
        assert isinstance(day, DayScreen)
        yield pilot, day
        await app.desk.close()


def stored(where: Places, entry_id: str) -> dict[str, Fact]:
    """The facts of an entry as another window would read them, by id."""
    with Store.open(where.database) as store:
        return {f.id: f for f in store.entry(entry_id).entry.facts}


async def to_toe(pilot: Pilot[None], day: DayScreen) -> None:
    """Go to the toe length whose unit was not spoken."""
    while day.selected != "c-toe":
        await press(pilot, "n")
