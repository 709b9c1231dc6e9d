"""What the screens of one horse ask the records."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fieldlog.app import afterwards, horse_facts
from fieldlog.app.afterwards import HorseStory
from fieldlog.app.horse_facts import Changed, HorseFacts, Meant, OwnerChange
from fieldlog.app.threads import Threads

if TYPE_CHECKING:
    from fieldlog.records.spellings import BecameOne
    from fieldlog.records.store import Store


class HorsesDesk(Threads):
    """Horses: what is known of them, what was told of them."""

    async def horse_left(self, horse_id: str, why: str) -> None:
        """The horse is visited no more; its promises are dropped."""
        today = self.today()
        await self._writing(lambda store: store.horse_left(horse_id, why, today))

    async def horse_back(self, horse_id: str) -> None:
        """The horse is visited again; its promises are open again."""
        await self._writing(lambda store: store.horse_back(horse_id))

    async def horse_facts(self, horse_id: str) -> HorseFacts:
        """What is known of a horse, to be changed."""
        return await self.records(lambda store: horse_facts.known(store, horse_id))

    async def owner_ways(self, owner: str) -> tuple[OwnerChange, ...]:
        """What another name of a horse's owner may mean."""
        return await self.records(lambda store: horse_facts.ways(store, owner))

    async def barn_moved_or_spelt(self, before: HorseFacts, wanted: HorseFacts) -> bool:
        """Whether it must be asked what another barn means."""
        return await self.records(lambda store: horse_facts.barn_changes(store, before, wanted))

    async def change_horse(
        self, horse_id: str, seen: HorseFacts, typed: HorseFacts, meant: Meant
    ) -> Changed:
        """Change what is known of a horse; ``take_back_change`` undoes it.

        Raises:
            InputError: a name or a number that cannot be.
        """
        return await self._writing(
            lambda store: horse_facts.change(store, horse_id, seen, typed, meant)
        )

    async def take_back_change(self, done: Changed) -> None:
        """Undo a change of what is known of a horse."""
        await self._writing(lambda store: horse_facts.take_back(store, done))

    async def horse_same(self, went_id: str, stays_id: str) -> BecameOne:
        """Two spellings of one horse become one record.

        Raises:
            InputError: they are two horses by their microchip or UELN.
        """
        return await self._writing(lambda store: store.horse_same(went_id, stays_id))

    async def horse_differences(self, one_id: str, other_id: str) -> tuple[str, ...]:
        """What is known otherwise of two horses, as the first has it."""

        def job(store: Store) -> tuple[str, ...]:
            from fieldlog.records.spellings import differences

            return differences(store.horse(one_id), store.horse(other_id))

        return await self.records(job)

    async def horse_apart(self, name: str) -> tuple[str, str]:
        """Two horses again; returns the names of the one that is back, and of the other."""
        one, other = await self._writing(lambda store: store.horse_apart(name))
        return one.name, other.name

    async def story(self, horse_id: str, entry_id: str = "") -> HorseStory:
        """Everything about one horse, known by its id or one of its entries."""
        return await self.records(
            lambda store: afterwards.story(store, horse_id, entry_id, self.settings)
        )

    async def paper(self, kind: str, horse_id: str) -> afterwards.WrittenPaper:
        """Write a paper about a horse's last visit; ``kind`` is ``owner`` or ``vet``.

        Raises:
            FieldlogError: nothing is saved about it, or the file cannot be written.
        """
        today = self.today()
        return await self.records(
            lambda store: afterwards.paper(store, self.places, self.settings, kind, horse_id, today)
        )
