"""One entry that is about two horses becomes two, and two that are about one become one."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from fieldlog.app.naming import KnownHorse
from fieldlog.app.promises_told import corrected
from fieldlog.app.screens.day_saving import DaySaving
from fieldlog.app.screens.day_state import Step
from fieldlog.core.facts import Fact
from fieldlog.language.wording import label

if TYPE_CHECKING:
    from fieldlog.records.store import Store
    from fieldlog.records.types import StoredEntry

TWO_HORSES = ("two horses in one note", "the name was misheard", "a slip in review")
BEGINS = "The note begins here: h gives all of it to another horse."
NOWHERE = (
    "This was typed and has no place in the words. Select the first that was said of the other "
    "horse; what was typed stays here, d takes it out."
)


class DayParting(DaySaving):
    """Drafts at once, a saved note by a new revision, with a reason."""

    async def action_split_entry(self) -> None:
        """What begins at the selected fact is about another horse."""
        fact = self.fact
        if fact is None:
            self.answer.tell("Select the first fact of the other horse.")
        elif fact.span[0] <= self.view.entry.span[0]:
            self.answer.tell(BEGINS if fact.span[1] else NOWHERE)
        elif self.view.saved:
            await self.choose_horse(
                partial(self._ask_why_two, fact),
                but=self.view.horse.id if self.view.horse else "",
                lead=f"From “{label(fact.code)}” on: whose is it?",
                allow_new=True,
            )
        else:
            await self._split_draft(fact)

    async def _split_draft(self, fact: Fact) -> None:
        entry_id, at, selected = self.view.entry.id, fact.span[0], self.selected
        second: list[str] = []
        if await self._write(
            lambda store: second.append(store.split_entry(entry_id, at)[1].id), entry_id
        ):
            self._trail.append(Step(entry_id, selected))
            await self._go_to_part(second[0])  # h is the next key, and it is for this one
            self.answer.done(
                "Two entries now. This is the second one: h gives it its horse; u joins them again."
            )

    async def _go_to_part(self, entry_id: str) -> None:
        await self.reload()
        index = self._index_of(entry_id)
        if index is not None:
            self._go_to(index)

    async def _ask_why_two(self, fact: Fact, horse: KnownHorse) -> None:
        """A saved note is parted by a new revision, with a reason."""
        entry_id, selected = self.view.entry.id, self.selected

        async def part(reason: str) -> None:
            second: list[str] = []
            told: list[str] = []

            def job(store: Store) -> StoredEntry:
                def parted() -> StoredEntry:
                    first, other = store.part_saved(entry_id, fact.span[0], horse.id, reason)
                    second.append(other.id)
                    return first

                after, sentences = corrected(store, store.entry(entry_id), parted)
                told.extend(sentences)
                return after

            made = await self._new_revision(job, entry_id)
            if made:
                self._trail.append(Step(entry_id, selected, made))
                self.tool.desk.keep_listed(entry_id)
                self.tool.desk.keep_listed(second[0])
                await self._go_to_part(second[0])
                first = f"Two notes now. This is {horse.full or horse.name}'s."
                self.answer.done(" ".join((first, *told, "u makes one of them again.")))

        self._ask_why(
            f"This entry is saved: why is the rest {horse.name}'s?",
            "From the selected fact on. Words, sound, day and promises go along; the old revision "
            "is kept beside the new one.",
            TWO_HORSES,
            part,
        )

    async def action_join_entry(self) -> None:
        """This entry and the next one of the same recording are about one horse."""
        later = self.views[self.current + 1 : self.current + 2]
        if not later or self.view.saved or later[0].saved:
            self.answer.tell("There is no draft after this one to join with.")
            return
        first, second, selected = self.view.entry.id, later[0].entry.id, self.selected
        if await self._write(lambda store: store.join_entries(first, second), first):
            self._trail.append(Step(first, selected))
            await self.reload()
            self.answer.done("Joined with the entry after it. u parts them again.")
