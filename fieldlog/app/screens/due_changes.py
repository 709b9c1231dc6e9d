"""What is done to lines of the due list; each step of a sitting can be taken back."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from dataclasses import dataclass

from fieldlog.app.afterwards import VISIT
from fieldlog.app.due_groups import DueView
from fieldlog.app.screens.due_list import DueList
from fieldlog.app.screens.pick import Answer, PickScreen, Typed, words_of
from fieldlog.app.shown import count, plain
from fieldlog.errors import FieldlogError

GONE, MISTAKE = "the horse is gone or sold", "entered by mistake"
REASONS = (
    "no longer needed",
    "done by somebody else",
    "the owner does not want it",
    GONE,
    MISTAKE,
)
LEFT = ("sold", "died", "another farrier", "it is another horse of mine, entered twice")


@dataclass(frozen=True, slots=True)
class Undoing:
    """How one change of this sitting is taken back."""

    item: str
    """Key of the line that it was of."""
    job: Callable[[], Awaitable[None]]
    said: str = "Open again"


class DueChanges(DueList):
    """Done, dropped, another day."""

    def __init__(self) -> None:
        super().__init__()
        self._trail: list[Undoing] = []
        """What was done, dropped, moved or added in this sitting, newest last; ``u`` goes back
        through it."""

    def _promise(self) -> DueView | None:
        """The promise under the cursor; a visit by cycle is not one, and the answer says so."""
        item = self.item
        if item is None:
            self.answer.tell("Nothing stands here.")
        elif item.by_cycle:
            self.answer.tell("From the cycle: it moves when a visit is saved; r: visited no more.")
            return None
        return item

    async def action_done(self) -> None:
        """Mark it done."""
        item = self._promise()
        if item is None:
            return
        said = f"Done: {item.named}."
        await self._write(self.tool.desk.finish(item.ids), self._reopening(item), said)

    def _reopening(self, item: DueView) -> Undoing:
        return Undoing(item.id, lambda: self.tool.desk.reopen(item.ids))

    def action_drop(self) -> None:
        """Drop it, with a reason; a horse that is visited no more is due no more."""
        item = self.item
        if item is not None and item.by_cycle:
            self._ask_why_left(item)
            return
        item = self._promise()
        if item is None:
            return

        async def answered(answer: Answer | None) -> None:
            reason = words_of(answer, REASONS)
            if reason == GONE and item.horse_id:
                self._ask_why_left(item)
            elif reason:
                said = f"Dropped: {item.named} ({reason})."
                await self._write(
                    self.tool.desk.drop(item.ids, reason), self._reopening(item), said
                )

        self.app.push_screen(
            PickScreen("Why drop it?", item.named, REASONS, typing="or type the reason"),
            answered,
        )

    def _ask_why_left(self, item: DueView) -> None:
        """Why the horse is visited no more: all of its lines go."""
        open_ones = [i for i in self.items.values() if i.horse_id == item.horse_id]
        promises = count(sum(not i.by_cycle for i in open_ones), "promise")

        async def answered(answer: Answer | None) -> None:
            why = words_of(answer, LEFT)
            if why:
                said = f"{item.horse} is due no more ({why}); dropped: {promises}."
                back = Undoing(
                    f"{VISIT}{item.horse_id}", lambda: self.tool.desk.horse_back(item.horse_id)
                )
                await self._write(self.tool.desk.horse_left(item.horse_id, why), back, said)

        self.app.push_screen(
            PickScreen(
                "Why is it visited no more?",
                f"{item.horse}: no visit is due, {promises} dropped. What was noted stays.",
                LEFT,
                typing="or type the reason",
            ),
            answered,
        )

    def action_day(self) -> None:
        """Give it another day."""
        item = self._promise()
        if item is None:
            return

        async def answered(answer: Answer | None) -> None:
            if isinstance(answer, Typed):
                await self._move(item, answer.text)

        self.app.push_screen(
            PickScreen("Another day, or none", item.named, (), "day", "in two weeks"),
            answered,
        )

    async def _move(self, item: DueView, typed: str) -> None:
        try:
            day, doubt = await self.tool.desk.move_due(item.ids, typed)
        except FieldlogError as problem:
            self.trouble(problem)
            return
        back = Undoing(item.id, lambda: self.tool.desk.put_due(item.ids, item.on), "Due as before")
        self._trail.append(back)
        await self.reload(item.id)
        due = f"Due {day:%A} {day.isoformat()}" if day else "Due on no day"
        doubted = f" Check the day: {doubt}." if doubt else ""
        self.answer.done(f"{due}: {item.named}.{doubted} u takes it back.")

    async def _write(self, job: Awaitable[None], back: Undoing, said: str) -> None:
        try:
            await job
        except FieldlogError as problem:
            self.trouble(problem)
            return
        self._trail.append(back)
        await self.reload()
        self.answer.done(f"{said} u takes it back.")

    async def action_undo(self) -> None:
        """Take the last one back."""
        if not self._trail:
            self.answer.tell("There is nothing to take back.")
            return
        last = self._trail[-1]
        gone = self.items.get(last.item)
        try:
            await last.job()
        except FieldlogError as problem:
            self.trouble(problem)
            return
        self._trail.pop()
        await self.reload(last.item)
        item = self.items.get(last.item) or gone
        what = f": {plain(item.named)}" if item is not None else ""
        self.answer.done(f"{last.said}{what}. {count(len(self.items), 'line')} open.")
