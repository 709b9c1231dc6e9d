"""What the due screen shows: the open lines in their order, the one under the cursor."""

from __future__ import annotations

from textual import on
from textual.widget import Widget
from textual.widgets import OptionList, Static

from fieldlog.app.due_groups import DueBy, DueView, grouped, overdue
from fieldlog.app.due_rows import EMPTY, DueRows
from fieldlog.app.screens.base import ToolScreen
from fieldlog.app.widgets.grouped_list import MARGINS, NARROWEST, GroupedList
from fieldlog.errors import FieldlogError


class DueList(ToolScreen):
    """Reading and showing; nothing here writes."""

    def __init__(self) -> None:
        super().__init__()
        self.by = DueBy.WHEN
        self.items: dict[str, DueView] = {}
        self.waiting = ""
        self.ready = False

    def body(self) -> list[Widget]:
        return [
            Static(id="due-head", classes="head", markup=False),
            GroupedList("due-list"),
            Static(id="due-said", classes="head", markup=False),
            Static(id="teach", markup=False),
        ]

    async def on_screen_resume(self) -> None:
        await self.reload()

    async def reload(self, select: str = "") -> None:
        """Read the open follow-ups again; the cursor goes to ``select`` if it is there."""
        try:
            items = await self.tool.desk.due()
            self.waiting = await self.tool.desk.waiting()
        except FieldlogError as problem:
            self.trouble(problem)
            return
        finally:
            self.ready = True
        self.items = {item.id: item for item in items}
        self.draw(select)

    async def again(self) -> None:
        await self.reload()

    def on_resize(self) -> None:
        if self.items:
            self.draw()

    def draw(self, select: str = "") -> None:
        """Show the list in the chosen order."""
        today = self.tool.desk.today()
        groups = grouped(self.items.values(), today, self.by)
        late = sum(overdue(item, today) for item in self.items.values())
        self.top.say(f"{len(self.items)} open · {late} overdue")
        self.query_one("#due-head", Static).update(
            f"What is open, {self.by.value}, on {today:%A} {today.day} {today:%B %Y}"
            + f"\n{self.waiting} (key 1)" * bool(self.waiting)
        )
        listed = self.query_one("#due-list", GroupedList)
        teach = self.query_one("#teach", Static)
        listed.display, teach.display = bool(groups), not groups
        if not groups:
            teach.update(EMPTY[self.by])
            self._say()
            return
        shown = self._rows
        rows = [(shown.title(g), [(i.id, shown.row(i)) for i in g.items]) for g in groups]
        listed.fill(rows, select)
        listed.focus()
        self._say()

    @property
    def _rows(self) -> DueRows:
        width = max(NARROWEST, self.size.width - MARGINS)
        desk = self.tool.desk
        return DueRows(self.by, desk.today(), width, desk.settings.british_names)

    @on(OptionList.OptionHighlighted, "#due-list")
    def _moved(self) -> None:
        self._say()

    def _say(self) -> None:
        """The whole of the line under the cursor, which the list may have to cut."""
        item = self.item
        said = self.query_one("#due-said", Static)
        said.display = item is not None
        if item is not None:
            said.update(self._rows.whole(item))

    @property
    def item(self) -> DueView | None:
        """The one under the cursor, if a list is shown."""
        listed = self.query_one("#due-list", GroupedList)
        return self.items.get(listed.key) if listed.display else None

    @property
    def horse_in_hand(self) -> str:
        item = self.item
        return item.horse_id if item is not None else ""

    def action_view(self, name: str) -> None:
        """Another order."""
        self.by = DueBy[name]
        self.answer.clear()
        self.draw()
