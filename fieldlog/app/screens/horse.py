"""One horse: what to know before the visit, its history by foot, and how its feet change."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.widget import Widget
from textual.widgets import Static

from fieldlog.app.horse_text import before_visit, heading, history, trends
from fieldlog.app.keys import Key, bindings
from fieldlog.app.naming import KnownHorse
from fieldlog.app.screens.foot import Feet, FootScreen
from fieldlog.app.screens.horse_changes import CHOOSE_FIRST, HorseChanges
from fieldlog.core.units import in_inches
from fieldlog.errors import FieldlogError

if TYPE_CHECKING:
    from fieldlog.app.afterwards import HorseStory

PAGES = {"before": "before the visit", "history": "history", "trends": "change over time"}
EMPTY = (
    "No horse is chosen.\n\n"
    "Press h and type a few letters of its name. Its page begins with what keeps you safe, then "
    "what is open, what was planned, and each foot as it was last seen.\n\n"
    "A horse appears here when a note about it is saved on the Day screen (1)."
)


class HorseScreen(HorseChanges):
    """The page of one horse."""

    NAME = "horse"
    ABOUT = (
        "One horse before the visit: safety first, open follow-ups, what was planned, the last "
        "findings of each foot. Then its history by foot and small charts of toe and angles. "
        "Charts show what was saved; they are no diagnosis."
    )
    KEYS = (
        Key("h", "choose", "h", "choose a horse", "horse"),
        Key("b", "page('before')", "b", "before the visit", "before"),
        Key("y", "page('history')", "y", "history, newest first", "history"),
        Key("f", "foot", "f", "history of one foot or a pair", "one foot"),
        Key("c", "page('trends')", "c", "charts of change over time", "charts"),
        Key(
            "e", "edit", "e", "change its caution, name, owner, barn; two spellings of one", "edit"
        ),
        Key("o", "paper('owner')", "o", "write the owner's summary of the last visit", "owner"),
        Key("v", "paper('vet')", "v", "write a letter to the veterinarian", "vet"),
        Key("s", "same", "s", "the same horse as another: two spellings become one", "same"),
        Key("u", "undo", "u", "take the last change of this page back"),
        Key("down", "scroll(1)", "↓", "down", ""),
        Key("up", "scroll(-1)", "↑", "up", ""),
        Key("pagedown", "scroll(12)", "PgDn", "a page down"),
        Key("pageup", "scroll(-12)", "PgUp", "a page up"),
    )
    BINDINGS: ClassVar[list[BindingType]] = bindings(KEYS)

    def __init__(self) -> None:
        super().__init__()
        self.story: HorseStory | None = None
        self.page = "before"
        self.feet: Feet = ()
        """Whose history is shown; empty: everything."""
        self._shown = 0

    def body(self) -> list[Widget]:
        return [
            Static(id="horse-head", classes="head", markup=False),
            VerticalScroll(Static(id="horse-text", markup=False), classes="pane", can_focus=False),
            Static(EMPTY, id="teach", markup=False),
        ]

    async def on_screen_resume(self) -> None:
        wanted = self.tool.take_wanted_horse()
        if wanted is not None:
            await self.open(*wanted)
        elif self.story is not None and self._shown != self.tool.desk.written:
            await self.open(self.story.page.horse.id)
        else:
            self.draw()

    async def open(self, horse_id: str, entry_id: str = "") -> None:
        """Show a horse, known by its id or by one of its entries."""
        self._shown = self.tool.desk.written
        try:
            story = await self.tool.desk.story(horse_id, entry_id)
        except FieldlogError as problem:
            self.trouble(problem)
            return
        if self.story is None or self.story.page.horse.id != story.page.horse.id:
            self.page, self.feet = "before", ()
        self.story = story
        self.draw()
        self.query_one(VerticalScroll).scroll_home(animate=False)

    def on_resize(self) -> None:
        if self.story is not None:
            self.draw()

    def draw(self) -> None:
        """Show the chosen page."""
        story = self.story
        pane, teach, head = (
            self.query_one(VerticalScroll),
            self.query_one("#teach", Static),
            self.query_one("#horse-head", Static),
        )
        pane.display = head.display = story is not None
        teach.display = story is None
        if story is None:
            self.top.say("no horse chosen")
            return
        self.top.say(PAGES[self.page])
        head.update(heading(story.page))
        width = max(40, self.size.width - 4)
        british = self.tool.desk.settings.british_names
        text = self.query_one("#horse-text", Static)
        if self.page == "before":
            text.update(before_visit(story.page, width, self.tool.desk.today(), british))
        elif self.page == "history":
            text.update(history(story.facts, width, self.feet, british))
        else:
            measured = (saved.fact.quantity for saved in story.facts)
            inches = in_inches(measured, self.tool.desk.settings.length_unit)
            text.update(trends(story.facts, width, inches))

    def action_page(self, name: str) -> None:
        """Another page of this horse."""
        if self.story is None:
            self.answer.tell(CHOOSE_FIRST)
            return
        self.page, self.feet = name, ()
        self.answer.clear()
        self.draw()
        self.query_one(VerticalScroll).scroll_home(animate=False)

    async def action_paper(self, kind: str) -> None:
        """Write a paper about the last visit."""
        if self.story is None:
            self.answer.tell(CHOOSE_FIRST)
            return
        try:
            paper = await self.tool.desk.paper(kind, self.story.page.horse.id)
        except FieldlogError as problem:
            self.trouble(problem)
            return
        lacks = f" ({paper.lacks}.)" if paper.lacks else ""
        self.answer.done(f"Written: {paper.path}{lacks}")

    def action_scroll(self, by: int) -> None:
        """Up or down."""
        self.query_one(VerticalScroll).scroll_relative(y=by, animate=False)

    def action_foot(self) -> None:
        """History of one foot."""
        if self.story is None:
            self.answer.tell(CHOOSE_FIRST)
            return

        def answered(feet: Feet | None) -> None:
            if feet is not None:
                self.page, self.feet = "history", feet
                self.draw()

        british = self.tool.desk.settings.british_names
        self.app.push_screen(FootScreen("History of which foot?", (), british), answered)

    async def action_choose(self) -> None:
        """Choose a horse by name."""
        await self.choose_horse(self._chosen)

    async def _chosen(self, horse: KnownHorse) -> None:
        self.answer.clear()
        await self.open(horse.id)
