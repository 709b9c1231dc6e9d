"""The second reader at work while the screens are used: one thread, one note after the other."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable
from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING

from fieldlog.app import filing
from fieldlog.config import Settings
from fieldlog.errors import FieldlogError, SpeechError
from fieldlog.paths import Places
from fieldlog.rereading import ReadAgain, read_again, waiting

if TYPE_CHECKING:
    from fieldlog.speech.second_apart import SecondReader

MakeSecond = Callable[[], "SecondReader"]
"""Opens the second reader; may raise ``SpeechError``."""


class SecondPass:
    """Reads every note that waits as a draft and that the second reader has not read."""

    def __init__(self, places: Places, settings: Settings, make: MakeSecond | None) -> None:
        """Set up; nothing is opened yet.

        Args:
            places: whose records and sounds.
            settings: the farrier's.
            make: opens the reader; None: there is none, and nothing is ever done.
        """
        self._places = places
        self._settings = settings
        self._make = make
        self._reader: SecondReader | None = None
        self._pool: ThreadPoolExecutor | None = None
        self._failed: set[str] = set()
        """Recordings that it could not read; not tried again before the next start."""
        self._closed = False
        self.running = False
        self.left = 0
        """Notes that still wait for it."""

    async def run(self) -> AsyncIterator[ReadAgain]:
        """Read what waits; also what comes in meanwhile.

        Raises:
            FieldlogError: the reader cannot be had; it is not asked again.
        """
        if self._make is None or self.running or self._closed:
            return
        self.running = True
        self._pool = self._pool or ThreadPoolExecutor(1, "second reader")
        loop = asyncio.get_running_loop()
        try:
            while not self._closed:
                done = await loop.run_in_executor(self._pool, self._one)
                if done is None or self._closed:
                    break
                yield done
        except SpeechError:
            self._make = None
            if not self._closed:
                raise
        finally:
            self.running = False
            self.left = 0

    def _one(self) -> ReadAgain | None:
        """Read the next note; None if none waits."""
        if self._closed or self._make is None:
            return None
        if self._reader is None:
            self._reader = self._make()
        # A connection of its own: reading takes long, and the screens go on meanwhile.
        with filing.open_store(self._places, self._settings.farrier_name) as store:
            due = [r for r in waiting(store, self._reader.reader) if r.id not in self._failed]
            self.left = len(due)
            if not due:
                return None
            try:
                done = read_again(store, due[0], self._reader, self._places, self._settings)
            except FieldlogError as problem:
                self._failed.add(due[0].id)
                told = SpeechError(problem.message, problem.remedy)
                done = ReadAgain(due[0], self._reader.reader, error=told)
            if done.error is not None:
                self._failed.add(due[0].id)
            self.left = len(due) - 1
            return done

    def close(self) -> None:
        """End it, in the middle of a note if need be; that note is read the next time."""
        self._closed = True
        if self._reader is not None:
            self._reader.close()
        if self._pool is not None:
            self._pool.shutdown(wait=True, cancel_futures=True)
