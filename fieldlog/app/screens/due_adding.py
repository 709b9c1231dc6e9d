"""A promise by hand: whose it is, or nobody's, then its words."""

from __future__ import annotations

from fieldlog.app.naming import KnownHorse
from fieldlog.app.screens.due_changes import MISTAKE, DueChanges, Undoing
from fieldlog.app.screens.horse_pick import HorseChoice, HorsePickScreen, NoHorse
from fieldlog.app.screens.pick import Answer, PickScreen, Typed
from fieldlog.app.shown import plain
from fieldlog.errors import FieldlogError

NO_HORSE = "no horse: an errand, an order"


class DueAdding(DueChanges):
    """What nobody dictated."""

    async def action_add(self) -> None:
        """Add one by hand: the horse under the cursor is offered first, none last."""
        try:
            horses = await self.tool.desk.horses()
        except FieldlogError as problem:
            self.trouble(problem)
            return
        in_hand = next((h for h in horses if h.id == self.horse_in_hand), None)

        def answered(chosen: HorseChoice | None) -> None:
            if isinstance(chosen, KnownHorse | NoHorse):
                self._ask_promise(chosen if isinstance(chosen, KnownHorse) else None)

        self.app.push_screen(
            HorsePickScreen(
                horses, lead="Of which horse is the promise?", allow_new=False,
                before=in_hand, before_is="under the cursor", none=NO_HORSE,
            ),
            answered,
        )  # fmt: skip

    def _ask_promise(self, horse: KnownHorse | None) -> None:
        lead = f"For {horse.full or horse.name}." if horse else "About no horse."
        example = "recheck in two weeks" if horse else "order rasps, friday"

        async def answered(answer: Answer | None) -> None:
            if isinstance(answer, Typed):
                await self._add(horse, answer.text)

        self.app.push_screen(
            PickScreen("A promise", f"{lead} Type it as you would say it.", (), "promise", example),
            answered,
        )

    async def _add(self, horse: KnownHorse | None, text: str) -> None:
        try:
            made = await self.tool.desk.promise(horse, text)
        except FieldlogError as problem:
            self.trouble(problem)
            return
        self._trail.append(
            Undoing(made[0], lambda: self.tool.desk.drop(made, MISTAKE), "Not added after all")
        )
        await self.reload(made[0])
        whose = f" for {plain(horse.full or horse.name)}" if horse else ", about no horse"
        self.answer.done(f"Added{whose}. u takes it back.")
