"""Changing what is known of the horse in hand; two spellings, of it or of its owner, made one."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from dataclasses import astuple, replace

from fieldlog.app.afterwards import HorseStory
from fieldlog.app.horse_facts import BarnChange, HorseFacts, Meant, owner_changes
from fieldlog.app.naming import KnownHorse
from fieldlog.app.screens.base import ToolScreen
from fieldlog.app.screens.horse_facts import HorseFactsScreen
from fieldlog.app.screens.pick import Answer, Picked, PickScreen
from fieldlog.app.shown import plain
from fieldlog.errors import FieldlogError

TakeBack = Callable[[], Awaitable[str]]
"""Takes the last change back and says so."""
CHOOSE_FIRST = "Choose a horse first: h."


class HorseChanges(ToolScreen):
    """The keys that change a horse, for the screen that shows one."""

    story: HorseStory | None = None
    _last: TakeBack | None = None

    async def open(self, horse_id: str, entry_id: str = "") -> None:
        """Show a horse."""
        raise NotImplementedError

    async def action_edit(self) -> None:
        """What is known of it, its caution first."""
        if self.story is None:
            self.answer.tell(CHOOSE_FIRST)
            return
        horse_id = self.story.page.horse.id
        try:
            before = await self.tool.desk.horse_facts(horse_id)
        except FieldlogError as problem:
            self.trouble(problem)
            return

        async def answered(wanted: HorseFacts | None) -> None:
            if wanted is None:
                self.answer.tell("Nothing was changed.")
            elif owner_changes(before, wanted):
                await self._ask_owner(horse_id, before, wanted)
            else:
                await self._ask_barn(horse_id, before, wanted, Meant())

        self.app.push_screen(HorseFactsScreen(before), answered)

    async def _ask_owner(self, horse_id: str, before: HorseFacts, wanted: HorseFacts) -> None:
        ways = await self.tool.desk.owner_ways(wanted.owner)

        async def answered(answer: Answer | None) -> None:
            if isinstance(answer, Picked):
                await self._ask_barn(horse_id, before, wanted, Meant(ways[answer.index]))
            else:
                self.answer.tell("Nothing was changed.")

        lead = f"{plain(before.owner)} was its owner, {plain(wanted.owner)} is now. Why?"
        self.app.push_screen(PickScreen("Another owner", lead, [w.value for w in ways]), answered)

    async def _ask_barn(
        self, horse_id: str, before: HorseFacts, wanted: HorseFacts, meant: Meant
    ) -> None:
        """What another barn means, where it is not plain; then the change."""
        if not await self.tool.desk.barn_moved_or_spelt(before, wanted):
            await self._change(horse_id, before, wanted, meant)
            return
        ways = tuple(BarnChange)

        async def answered(answer: Answer | None) -> None:
            if isinstance(answer, Picked):
                how = replace(meant, barn=ways[answer.index])
                await self._change(horse_id, before, wanted, how)
            else:
                self.answer.tell("Nothing was changed.")

        lead = f"{plain(before.barn)} was its barn, {plain(wanted.barn)} is now. Why?"
        self.app.push_screen(PickScreen("Another barn", lead, [w.value for w in ways]), answered)

    async def _change(
        self, horse_id: str, before: HorseFacts, wanted: HorseFacts, meant: Meant
    ) -> None:
        try:
            done = await self.tool.desk.change_horse(horse_id, before, wanted, meant)
        except FieldlogError as problem:
            self.trouble(problem)
            return

        async def back() -> str:
            await self.tool.desk.take_back_change(done)
            return f"{before.name} is noted as before."

        self._last = back
        await self.open(horse_id)
        changed = sum(a != b for a, b in zip(astuple(before), astuple(wanted), strict=True))
        said = "Kept; u takes it back." if changed else "Nothing differs."
        self.answer.done(f"{said} {done.hint}".rstrip())

    async def action_same(self) -> None:
        """Another horse of the list is this one, spelt otherwise; or is not after all."""
        if self.story is None:
            self.answer.tell(CHOOSE_FIRST)
            return
        here, names = self.story.page.horse.id, self.story.page.other_names
        lead = (
            f"Which one is {plain(self.story.page.horse.name)}, spelt otherwise? "
            "(An owner or a barn that stands there twice: Esc, then e.)"
        )
        if not names:
            await self.choose_horse(self._which_name, here, lead)
            return
        lines = [
            *(f"{n} is a horse of its own after all" for n in names),
            "choose another spelling",
        ]

        async def answered(answer: Answer | None) -> None:
            if isinstance(answer, Picked) and answer.index < len(names):
                await self._apart(names[answer.index])
            elif isinstance(answer, Picked):
                await self.choose_horse(self._which_name, here, lead)

        also = f"{plain(self.story.page.horse.name)}, also {', '.join(map(plain, names))}"
        self.app.push_screen(PickScreen("The same horse?", also, lines), answered)

    async def _which_name(self, other: KnownHorse) -> None:
        if self.story is None:
            return
        here = self.story.page.horse

        async def answered(answer: Answer | None) -> None:
            if isinstance(answer, Picked):
                ids = (other.id, here.id) if answer.index == 0 else (here.id, other.id)
                await self._same(*ids)

        try:
            differs = await self.tool.desk.horse_differences(other.id, here.id)
        except FieldlogError as problem:
            self.trouble(problem)
            return
        lead = "Notes, visits and promises of both become one record."
        if differs:
            lead += f" {plain(other.name)} is noted otherwise: {plain(', '.join(differs))}."
        self.app.push_screen(
            PickScreen("One horse: which name stays?", lead, [here.name, other.name]), answered
        )

    async def _same(self, went_id: str, stays_id: str) -> None:
        try:
            done = await self.tool.desk.horse_same(went_id, stays_id)
        except FieldlogError as problem:
            self.trouble(problem)
            return

        async def back() -> str:
            one, other = await self.tool.desk.horse_apart(done.name)
            return f"{one} and {other} are two horses again."

        self._last = back
        await self.open(stays_id)
        first, *more = done.told()
        self.answer.done(" ".join((first, "u takes it back.", *more)))

    async def _apart(self, name: str) -> None:
        try:
            one, other = await self.tool.desk.horse_apart(name)
        except FieldlogError as problem:
            self.trouble(problem)
            return
        if self.story is not None:
            await self.open(self.story.page.horse.id)
        self._last = None
        self.answer.done(f"{one} and {other} are two horses again.")

    async def action_undo(self) -> None:
        """Take the last change of this screen back."""
        if self._last is None or self.story is None:
            self.answer.tell("There is nothing to take back.")
            return
        try:
            said = await self._last()
        except FieldlogError as problem:
            self.trouble(problem)
            return
        self._last = None
        await self.open(self.story.page.horse.id)
        self.answer.done(said)
