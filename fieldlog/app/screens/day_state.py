"""Coming to the day screen: what is there at first, what another screen asked for, what is new."""

from __future__ import annotations

from dataclasses import dataclass

from fieldlog.app.screens.day_moving import DayMoving
from fieldlog.app.shown import count
from fieldlog.app.widgets.entry_list import EntryList
from fieldlog.app.widgets.entry_pane import EntryPane
from fieldlog.errors import FieldlogError
from fieldlog.rereading import ReadAgain


@dataclass(frozen=True, slots=True)
class Step:
    """Where one correction was made, and what taking it back needs."""

    entry_id: str
    selected: str
    """The fact that was selected before."""
    revision: int = 0
    """Of a saved entry: the number of the revision that the correction made; 0 for a draft."""


class DayState(DayMoving):
    """The sitting: where its corrections were made, and what it is shown first."""

    def __init__(self) -> None:
        super().__init__()
        self._trail: list[Step] = []
        """Where each correction of this sitting was made, newest last."""

    async def on_mount(self) -> None:
        self.query_one(EntryList).display = False
        self.query_one(EntryPane).display = False
        self.call_after_refresh(self._first_look)

    async def _first_look(self) -> None:
        """Fill the screen after its first paint, then say what sound was left over."""
        await self.reload()
        self.ready = True
        try:
            clock = await self.tool.desk.clock_doubt()
            left_over = await self.tool.desk.left_over()
        except FieldlogError:
            return  # the same trouble was just told
        # A wrong clock first: the notes taken in now would be dated by it.
        said = " ".join(filter(None, (self.tool.desk.notice, clock, left_over.sentence())))
        if said:
            self.answer.tell(said)
        self.tool.read_again()

    async def was_read_again(self, done: ReadAgain) -> None:
        """The second reader has read a note: show what is asked now, where the cursor is."""
        await self.reload()
        if done.error is not None:
            self.answer.tell(str(done.error))
        elif done.at_stake:
            drafts = [stored for stored, _ in done.asked if not stored.revision]
            names = [v.name for v in self.views if v.entry.id in {d.id for d in drafts}]
            where = f" in {', '.join(dict.fromkeys(names))}" if names else ""
            self.answer.tell(
                f"The second reader heard {count(done.at_stake, 'thing')} otherwise{where}: n."
            )

    async def on_screen_resume(self) -> None:
        wanted = self.tool.desk.wanted_entry
        listed = any(v.entry.id == wanted for v in self.views)
        if (wanted and not listed) or self._shown != self.tool.desk.written:
            await self.reload()
        self._go_to_wanted()

    def _go_to_wanted(self) -> None:
        """To the note that another screen asked for, once: just recorded, or to be corrected."""
        desk = self.tool.desk
        index = next((i for i, v in enumerate(self.views) if v.entry.id == desk.wanted_entry), None)
        if index is None:
            if desk.wanted_entry:
                desk.wanted_entry, desk.wanted_fact = "", ""
                self.answer.tell("That note was set aside: fieldlog drafts --aside lists it.")
            return
        fact_id, desk.wanted_entry, desk.wanted_fact = desk.wanted_fact, "", ""
        self._go_to(index)
        if self._has(fact_id):
            self.selected = fact_id
            self.draw()
        if self.view.saved:
            self.answer.tell("A saved note: each correction asks for a reason.")

    async def again(self) -> None:
        await self.reload()
        self._go_to_wanted()
