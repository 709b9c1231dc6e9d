"""What the due list and the search ask the records."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime

from fieldlog.app import afterwards, understanding
from fieldlog.app.due_groups import DueView
from fieldlog.app.naming import KnownHorse
from fieldlog.app.threads import Threads
from fieldlog.typed_days import coming_day
from fieldlog.waiting import waiting


class ListsDesk(Threads):
    """What is due, and what a search finds."""

    async def due(self) -> list[DueView]:
        """What is open."""
        return await self.records(lambda store: afterwards.due(store, self.settings))

    async def waiting(self) -> str:
        """How many drafts wait, of which the due list knows nothing; empty if none does."""
        return await self.records(waiting)

    async def finish(self, ids: Sequence[str]) -> None:
        """Mark the promises of a line as done."""
        await self._writing(lambda store: store.close_line(ids))

    async def drop(self, ids: Sequence[str], reason: str) -> None:
        """Drop the promises of a line for a reason."""
        await self._writing(lambda store: store.drop_line(ids, reason))

    async def reopen(self, ids: Sequence[str]) -> None:
        """Open the promises of a line again."""
        await self._writing(lambda store: store.reopen_line(ids))

    async def search(self, line: str) -> afterwards.Found:
        """What one line finds in saved notes."""
        today = self.today()
        return await self.records(
            lambda store: afterwards.search(store, line, self.settings, today)
        )

    async def move_due(self, ids: Sequence[str], typed: str) -> tuple[date | None, str]:
        """Give the promises of a line the typed day, or none; returns it, and which other day
        the words may mean.

        Raises:
            InputError: no day, one that may be two in figures, or one that is past.
        """
        today = self.today()

        def read() -> tuple[date | None, str]:
            return (None, "") if typed.strip().casefold() == "none" else coming_day(typed, today)

        day, doubt = await self._on(self._language, read)
        await self._writing(lambda store: store.move_line(ids, day))
        return day, doubt

    async def put_due(self, ids: Sequence[str], day: date | None) -> None:
        """Give the promises of a line back the day that they had, or none."""
        await self._writing(lambda store: store.move_line(ids, day))

    async def promise(self, horse: KnownHorse | None, text: str) -> list[str]:
        """Add what a typed sentence promises, for a horse or about none; the ids of what it is."""
        today = self.today()
        at = datetime.combine(today, datetime.min.time())
        facts = await self._on(
            self._language, lambda: understanding.typed(text, at, self.settings, self.places)
        )
        return await self._writing(
            lambda store: afterwards.promise(store, horse, facts, text, today)
        )

    async def kept_searches(self) -> dict[str, str]:
        """Search lines by their names."""
        return await self.records(lambda store: store.saved_searches())

    async def keep_search(self, name: str, line: str) -> None:
        """Keep a search line under a name."""
        await self._writing(lambda store: store.save_search(name, line))

    async def forget_search(self, name: str) -> None:
        """Drop a kept search."""
        await self._writing(lambda store: store.forget_search(name))
