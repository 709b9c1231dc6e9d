"""What all screens share: top bar, answer line, key bar, help, and how errors are told."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.screen import Screen
from textual.widget import Widget

from fieldlog.app.keys import LAST_KEYS, SCREEN_KEYS, Key, bindings
from fieldlog.app.naming import KnownHorse
from fieldlog.app.screens.help import HelpScreen
from fieldlog.app.screens.horse_pick import HorseChoice, HorsePickScreen, NewHorse
from fieldlog.app.screens.note import NoteScreen
from fieldlog.app.widgets.chrome import AnswerLine, KeyBar, TopBar
from fieldlog.errors import FieldlogError

if TYPE_CHECKING:
    from fieldlog.app.main import FieldlogApp


class ToolScreen(Screen[None]):
    """One of the five screens. A subclass gives its name, its keys, its help and its body."""

    NAME: ClassVar[str] = ""
    KEYS: ClassVar[tuple[Key, ...]] = ()
    ABOUT: ClassVar[str] = ""
    """What the screen is for, in the help."""
    AUTO_FOCUS = ""
    BINDINGS: ClassVar[list[BindingType]] = bindings(
        k for k in LAST_KEYS if not k.action.startswith("app.")
    )

    ready: bool = True
    """False until the screen shows what the records hold."""

    @property
    def tool(self) -> FieldlogApp:
        """The app, with its type."""
        from fieldlog.app.main import FieldlogApp

        app = self.app
        if not isinstance(app, FieldlogApp):
            raise TypeError("this screen belongs to FieldlogApp")
        return app

    async def again(self) -> None:
        """Read what is shown anew: another window may have changed it."""

    @property
    def horse_in_hand(self) -> str:
        """The id of the horse that this screen is at, or empty."""
        return ""

    def compose(self) -> ComposeResult:
        yield TopBar(self.NAME)
        yield from self.body()
        bottom = (*self.above_answer(), AnswerLine(), KeyBar((*self.KEYS, *LAST_KEYS)))
        yield Vertical(*bottom, id="foot")

    def body(self) -> list[Widget]:
        """The widgets between the bars."""
        return []

    def above_answer(self) -> list[Widget]:
        """What always stands just above the answer line, however long the answer is."""
        return []

    @property
    def top(self) -> TopBar:
        return self.query_one(TopBar)

    @property
    def answer(self) -> AnswerLine:
        return self.query_one(AnswerLine)

    def trouble(self, problem: FieldlogError) -> None:
        """Tell an error as a sentence."""
        self.answer.refuse(str(problem))

    async def known_horse(self, chosen: HorseChoice | None) -> KnownHorse | None:
        """The horse that was chosen, entered if it is new; None if none was, or it is refused,
        which is told."""
        if not isinstance(chosen, KnownHorse | NewHorse):
            return None
        try:
            return await self.tool.desk.known(chosen)
        except FieldlogError as problem:
            self.trouble(problem)
            return None

    async def choose_horse(
        self,
        then: Callable[[KnownHorse], Awaitable[None]],
        but: str = "",
        lead: str = "",
        allow_new: bool = False,
    ) -> None:
        """Ask for a horse and go on with it; nothing happens if the sheet is left.

        Args:
            then: what is done with it.
            but: the id of one that is not offered.
            lead: what it is asked for, above the list.
            allow_new: one that is not known yet may be made.
        """
        try:
            horses = [h for h in await self.tool.desk.horses() if h.id != but]
        except FieldlogError as problem:
            self.trouble(problem)
            return
        if not horses and not allow_new:
            self.answer.tell("No horse is known yet: save a note on the Day screen first.")
            return

        async def answered(chosen: HorseChoice | None) -> None:
            horse = await self.known_horse(chosen)
            if horse is not None:
                await then(horse)

        self.app.push_screen(HorsePickScreen(horses, lead=lead, allow_new=allow_new), answered)

    async def show_note(self, entry_id: str, fact_id: str) -> None:
        """The whole note on a sheet, the words of one fact lit."""
        if not entry_id:
            self.answer.tell("There is no note behind this line: it was typed.")
            return
        try:
            view = await self.tool.desk.entry(entry_id)
        except FieldlogError as problem:
            self.trouble(problem)
            return
        fact = next((f for f in view.entry.facts if f.id == fact_id), None)
        british = self.tool.desk.settings.british_names
        self.app.push_screen(NoteScreen(self.tool.desk, view, fact, self.tool.open_note, british))

    def action_help(self) -> None:
        """Every key of this screen."""
        self.app.push_screen(
            HelpScreen(self.NAME, self.ABOUT, self.KEYS, (*SCREEN_KEYS, *LAST_KEYS))
        )

    def action_back(self) -> None:
        """Stop the sound; a subclass may go back further."""
        self.tool.desk.stop_sound()
