"""The threads that own what is slow: the records, the reader of notes, the sound."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import date
from typing import TYPE_CHECKING, TypeVar

from fieldlog.app import filing
from fieldlog.config import Settings
from fieldlog.errors import FieldlogError
from fieldlog.paths import Places

if TYPE_CHECKING:
    from fieldlog.records.store import Store


T = TypeVar("T")


class Threads:
    """Runs every job on the thread that owns its thing; screens await the answer.

    Args:
        places: whose records and sounds.
        settings: the farrier's.
        today: the day that "due today" means.
    """

    def __init__(self, places: Places, settings: Settings, today: Callable[[], date]) -> None:
        self.places = places
        self.settings = settings
        self.today = today
        self.written = 0
        """Counts writes, so that a screen knows when what it shows is old."""
        self.busy = 0
        """Jobs under way on the other threads."""
        self._records = ThreadPoolExecutor(1, "records")
        self._language = ThreadPoolExecutor(1, "language")
        self._audio = ThreadPoolExecutor(1, "audio")
        self._store: Store | None = None
        self._closed = False

    async def records(self, job: Callable[[Store], T]) -> T:
        """Run ``job`` with the store on its own thread."""

        return await self._on(self._records, lambda: job(self._own_store()))

    def _own_store(self) -> Store:
        """The store of the records' thread, opened when it is first asked for."""
        if self._store is None:
            self._store = filing.open_store(self.places, self.settings.farrier_name)
        return self._store

    async def _writing(self, job: Callable[[Store], T]) -> T:
        """The same for a job that writes."""
        done = await self.records(job)
        self.written += 1
        return done

    def _check_open(self) -> None:
        """Ends long jobs when the farrier quits.

        Raises:
            FieldlogError: the app is closing.
        """
        if self._closed:
            raise FieldlogError("fieldlog is closing.")

    async def _on(self, pool: ThreadPoolExecutor, job: Callable[[], T]) -> T:
        """Run ``job`` on a thread that owns what it needs."""
        self._check_open()
        self.busy += 1
        try:
            return await asyncio.get_running_loop().run_in_executor(pool, job)
        finally:
            self.busy -= 1

    def _end_threads(self) -> None:
        """Close the records and end every thread; what is being understood is not waited for."""

        def shut() -> None:
            if self._store is not None:
                self._store.close()
                self._store = None

        self._records.submit(shut)
        for pool in (self._audio, self._records):
            pool.shutdown(wait=True)
        self._language.shutdown(wait=False, cancel_futures=True)
