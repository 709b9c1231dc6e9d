"""What the day screen holds: the entries, the one in hand, the fact under the cursor."""

from __future__ import annotations

from dataclasses import dataclass

from textual.containers import Horizontal
from textual.widget import Widget
from textual.widgets import OptionList, Static

from fieldlog.app.grouping import next_to_look_at, walk
from fieldlog.app.screens.base import ToolScreen
from fieldlog.app.shown import count
from fieldlog.app.views import EntryView, next_spot, summary
from fieldlog.app.widgets.entry_list import EntryList
from fieldlog.app.widgets.entry_pane import EntryPane
from fieldlog.core.facts import Fact
from fieldlog.errors import FieldlogError
from fieldlog.rereading import ReadAgain

EMPTY = (
    "No note is waiting.\n\n"
    "Press 2 to record one now, hands free. Sound from a phone or a recorder comes in with the "
    "first of these commands, a note that you type with the second,\n\n"
    "    fieldlog import FOLDER\n"
    "    fieldlog type\n\n"
    "and every note then waits here as a draft, beside its words and its sound, until you have "
    "looked it over and saved it. 3 shows what is due, 4 searches, 5 shows a horse, ? every key."
)


@dataclass(frozen=True, slots=True)
class Step:
    """Where one correction was made, and what taking it back needs."""

    entry_id: str
    selected: str
    """The fact that was selected before."""
    revision: int = 0
    """Of a saved entry: the number of the revision that the correction made; 0 for a draft."""


class DayState(ToolScreen):
    """Reading, showing and moving about; nothing here writes."""

    def __init__(self) -> None:
        super().__init__()
        self.views: list[EntryView] = []
        self.current = 0
        self.selected = ""
        self._trail: list[Step] = []
        """Where each correction of this sitting was made, newest last."""
        self._save_anyway = ""
        self._shown = 0
        self.ready = False

    def body(self) -> list[Widget]:
        teach = Static("Opening the records…", id="teach", markup=False)
        pane = EntryPane(self.tool.desk.settings.british_names)
        return [Horizontal(EntryList(), pane, teach, id="day-body")]

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

    async def reload(self) -> None:
        """Read drafts and the day's saved entries again."""
        try:
            self._shown = self.tool.desk.written
            views = await self.tool.desk.entries()
        except FieldlogError as problem:
            self.query_one("#teach", Static).update(str(problem))
            self.trouble(problem)
            return
        before = self.view.entry.id if self.views else ""
        self.views = list(views)
        ids = [v.entry.id for v in self.views]
        self.current = ids.index(before) if before in ids else self._first_waiting()
        if not self._has(self.selected):
            self._select_first()
        self.draw()

    def _first_waiting(self) -> int:
        return next((i for i, v in enumerate(self.views) if v.waiting), 0)

    # what is in hand

    @property
    def view(self) -> EntryView:
        """The entry in hand; only if there is one."""
        return self.views[self.current]

    @property
    def fact(self) -> Fact | None:
        """The selected fact."""
        if not self.views:
            return None
        return next((f for f in self.view.entry.facts if f.id == self.selected), None)

    async def again(self) -> None:
        await self.reload()
        self._go_to_wanted()

    @property
    def horse_in_hand(self) -> str:
        return self.view.horse.id if self.views and self.view.horse else ""

    def _has(self, fact_id: str) -> bool:
        return bool(self.views) and any(f.id == fact_id for f in self.view.entry.facts)

    def _select_first(self) -> None:
        if not self.views:
            self.selected = ""
            return
        facts = self.view.entry.facts
        first = next_to_look_at(facts) or next(iter(walk(facts)), None)
        self.selected = first.id if first else ""

    def draw(self) -> None:
        """Show the present state."""
        teach, pane, listed = (
            self.query_one("#teach", Static),
            self.query_one(EntryPane),
            self.query_one(EntryList),
        )
        there = bool(self.views)
        teach.display, pane.display, listed.display = not there, there, there
        left = self.tool.desk.second.left
        again = f" · {left} being read again" if left else ""
        self.top.say(f"{summary(self.views)}{again}")
        if not there:
            teach.update(EMPTY)
            return
        listed.show(self.views, self.current)
        pane.show(self.view, self.selected)

    # moving about

    def on_entry_list_chosen(self, message: EntryList.Chosen) -> None:
        """The cursor in the list moved."""
        self._go_to(message.index)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Enter in the list goes to the facts of that entry."""
        event.stop()
        self.set_focus(None)

    def _go_to(self, index: int) -> None:
        self.current = index
        self._save_anyway = ""
        self._select_first()
        self.answer.clear()
        self.draw()

    def action_entry(self, by: int) -> None:
        """Another entry."""
        if self.views:
            self._go_to((self.current + by) % len(self.views))

    def action_move(self, by: int) -> None:
        """Another fact of this entry."""
        if not self.views:
            return
        order = [f.id for f in walk(self.view.entry.facts)]
        if not order:
            return
        at = order.index(self.selected) if self.selected in order else 0
        self.selected = order[max(0, min(len(order) - 1, at + by))]
        self.draw()

    def action_to_list(self) -> None:
        """Between list and facts."""
        listed = self.query_one(EntryList)
        if self.focused is listed:
            self.set_focus(None)
        else:
            listed.focus()

    def action_next_look(self) -> None:
        """The next thing that needs a look, wherever it is."""
        spot = next_spot(self.views, self.current, self.selected)
        if spot is None:
            self.answer.done(self._all_looked_at())
            return
        self.current, self.selected = spot
        self._save_anyway = ""
        self.answer.clear()
        self.draw()

    def _all_looked_at(self) -> str:
        drafts = sum(not view.saved for view in self.views)
        if not drafts:
            return "No draft waits: there is nothing to look at."
        return "Nothing else to look at. S saves all that is sure."
