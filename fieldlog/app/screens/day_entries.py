"""What the day screen holds: the entries, the one in hand, the fact under the cursor."""

from __future__ import annotations

from textual.containers import Horizontal
from textual.widget import Widget
from textual.widgets import Static

from fieldlog.app.grouping import next_to_look_at, walk
from fieldlog.app.screens.base import ToolScreen
from fieldlog.app.views import EntryView, summary
from fieldlog.app.widgets.entry_list import EntryList
from fieldlog.app.widgets.entry_pane import EntryPane
from fieldlog.core.facts import Fact
from fieldlog.errors import FieldlogError

EMPTY = (
    "No note is waiting.\n\n"
    "Press 2 to record one now, hands free. Sound from a phone or a recorder comes in with the "
    "first of these commands, a note that you type with the second,\n\n"
    "    fieldlog import FOLDER\n"
    "    fieldlog type\n\n"
    "and every note then waits here as a draft, beside its words and its sound, until you have "
    "looked it over and saved it. 3 shows what is due, 4 searches, 5 shows a horse, ? every key."
)


class DayEntries(ToolScreen):
    """Reading and showing; nothing here writes."""

    def __init__(self) -> None:
        super().__init__()
        self.views: list[EntryView] = []
        self.current = 0
        self.selected = ""
        self._save_anyway = ""
        self._shown = 0
        self.ready = False

    def body(self) -> list[Widget]:
        teach = Static("Opening the records…", id="teach", markup=False)
        pane = EntryPane(self.tool.desk.settings.british_names)
        return [Horizontal(EntryList(), pane, teach, id="day-body")]

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
