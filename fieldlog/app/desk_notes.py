"""What the day screen asks the records."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from typing import TYPE_CHECKING

from fieldlog.app import filing
from fieldlog.app.naming import KnownHorse
from fieldlog.app.screens.horse_pick import NewHorse
from fieldlog.app.threads import Threads
from fieldlog.app.views import EntryView
from fieldlog.typed_days import gone_day
from fieldlog.voice_hint import voice_hint

if TYPE_CHECKING:
    from fieldlog.records.store import Store


class NotesDesk(Threads):
    """Drafts and saved notes."""

    asked_for: list[str]
    """Entries of older days that the day screen lists too, to be corrected."""

    async def entries(self) -> list[EntryView]:
        """Every draft, what was saved on the newest day, and older notes that were asked for."""
        also = tuple(self.asked_for)
        return await self.records(lambda store: filing.entries(store, self.settings, also))

    async def entry(self, entry_id: str) -> EntryView:
        """One entry, draft or saved.

        Raises:
            NotFound: no such entry.
        """
        return await self.records(
            lambda store: filing.view(store, store.entry(entry_id), self.settings)
        )

    async def write(self, job: Callable[[Store], object], entry_id: str) -> EntryView:
        """Run ``job`` as one write and give back the entry as it is afterwards."""

        def run(store: Store) -> EntryView:
            job(store)
            return filing.view(store, store.entry(entry_id), self.settings)

        return await self._writing(run)

    def day_of_note(self, typed: str) -> date:
        """The typed day of a note.

        Raises:
            InputError: no day, one that may be two, or one that is to come.
        """
        return gone_day(typed, self.today())

    def keep_listed(self, entry_id: str) -> None:
        """Keep a note on the day screen, whatever day it is of."""
        if entry_id not in self.asked_for:
            self.asked_for.append(entry_id)

    async def save(self, ids: Sequence[str]) -> None:
        """Save entries for good, all or none."""
        await self._writing(lambda store: store.save_all(list(ids)))

    async def voice_hint(self, ids: Sequence[str]) -> str:
        """After the first saved note that was heard: that a voice can be learnt. Once only."""
        return await self.records(lambda store: voice_hint(store, self.places, ids))

    async def still_open(self, ids: Sequence[str]) -> str:
        """What was put off to the visits that were just saved, as a sentence; or empty."""

        def job(store: Store) -> str:
            from fieldlog.for_this_visit import still_open

            found = "; ".join(line.text for line in still_open(store, ids))
            return f"Put off to this visit, still open (3, d): {found}." if found else ""

        return await self.records(job)

    async def horses(self) -> list[KnownHorse]:
        """All known horses."""
        return await self.records(filing.horses)

    async def known(self, horse: KnownHorse | NewHorse) -> KnownHorse:
        """A horse that is in the records; a new one is entered first."""
        if isinstance(horse, KnownHorse):
            return horse
        return await self._writing(lambda store: filing.new_horse(store, horse))

    async def give_drafts_that_name(self, horse: KnownHorse) -> int:
        """Give a new horse the drafts that name it; returns how many."""
        return await self._writing(
            lambda store: len(store.give_drafts_that_name(store.horse(horse.id)))
        )
