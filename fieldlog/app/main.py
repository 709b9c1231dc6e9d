"""The app: five screens over one desk."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual.app import App
from textual.binding import BindingType
from textual.reactive import var
from textual.screen import Screen

from fieldlog.app.desk import Desk
from fieldlog.app.keys import SCREEN_KEYS, Key, bindings
from fieldlog.app.look import THEMES
from fieldlog.app.widgets.chrome import NAMES
from fieldlog.errors import FieldlogError

WIDE_COLUMNS, HIGH_ROWS = 110, 34
"""From these sizes on, lists are wider and more of the note is shown."""
STILL_RECORDING = (
    "A recording is running. q again stops it, keeps what was said and leaves; 2 goes back to it."
)


class FieldlogApp(App[None]):
    """Reviewing, recording, following up, searching, and one horse's story."""

    TITLE = "fieldlog"
    CSS_PATH = "app.tcss"
    ENABLE_COMMAND_PALETTE = False
    recording: var[bool] = var(False)
    """Whether a recording is running; each screen's top bar shows it."""
    BINDINGS: ClassVar[list[BindingType]] = bindings(
        (*SCREEN_KEYS, Key("q,ctrl+q", "leave", "q", "quit; every draft is kept"))
    )
    HORIZONTAL_BREAKPOINTS = [  # noqa: RUF012 - as the base class has it
        (0, "-narrow"),
        (WIDE_COLUMNS, "-wide"),
    ]
    VERTICAL_BREAKPOINTS = [  # noqa: RUF012
        (0, "-low"),
        (HIGH_ROWS, "-high"),
    ]

    def __init__(self, desk: Desk, start: str = "day") -> None:
        """Set up.

        Args:
            desk: records, reader, player and settings.
            start: the screen that comes first: ``day``, ``record``, ``due``, ``search``, ``horse``.
        """
        if start not in NAMES:
            raise ValueError(f"no screen is called {start!r}")
        super().__init__()
        self.desk = desk
        self._start = start
        self._wanted_horse: tuple[str, str] | None = None
        for theme in THEMES.values():
            self.register_theme(theme)
        self.theme = THEMES.get(desk.settings.theme, THEMES["dark"]).name
        for name in NAMES:
            self.add_mode(name, _maker(name))

    def on_mount(self) -> None:
        self.switch_mode(self._start)

    async def on_unmount(self) -> None:
        """However the app ends, its threads end with it."""
        await self.desk.close()

    async def action_go(self, name: str) -> None:
        """Open one of the five screens, or read the present one anew.

        The horse screen opens at the horse that is in hand.
        """
        from fieldlog.app.screens.base import ToolScreen

        here = self.screen if isinstance(self.screen, ToolScreen) else None
        if here is not None and name == here.NAME:
            await here.again()
        elif name == "horse" and here is not None and here.horse_in_hand:
            self.open_horse(here.horse_in_hand)
        else:
            self.switch_mode(name)

    def read_again(self) -> None:
        """Let the second reader read in the background what it has not read, if there is one."""
        self.run_worker(self._read_again(), group="second reader", exit_on_error=False)

    async def _read_again(self) -> None:
        from fieldlog.app.screens.day import DayScreen

        try:
            async for done in self.desk.read_again():
                screen = self.screen
                if isinstance(screen, DayScreen):
                    await screen.was_read_again(done)
        except FieldlogError as problem:
            if isinstance(self.screen, DayScreen):
                self.screen.answer.tell(str(problem))

    def open_horse(self, horse_id: str, entry_id: str = "") -> None:
        """Open a horse's page, by its id or by one of its entries."""
        self._wanted_horse = (horse_id, entry_id)
        self.switch_mode("horse")

    def take_wanted_horse(self) -> tuple[str, str] | None:
        """The horse that another screen asked for, once."""
        wanted, self._wanted_horse = self._wanted_horse, None
        return wanted

    def open_note(self, entry_id: str, fact_id: str = "") -> None:
        """Open a note of any day on the day screen, where it can be corrected."""
        self.desk.asked_for.append(entry_id)
        self.desk.wanted_entry, self.desk.wanted_fact = entry_id, fact_id
        self.switch_mode("day")

    async def action_leave(self) -> None:
        """Quit. A running recording is asked about, then stopped and kept; drafts are kept already.

        The question counts as asked as long as it stands there.
        """
        from fieldlog.app.screens.base import ToolScreen

        here = self.screen_stack[0]
        if self.recording and isinstance(here, ToolScreen) and here.answer.text != STILL_RECORDING:
            here.answer.refuse(STILL_RECORDING)
            return
        await self.desk.close()
        self.exit()


def _maker(name: str) -> Callable[[], Screen[None]]:
    """A screen is imported when it is first opened, so that the first one paints at once."""

    def make() -> Screen[None]:
        if name == "day":
            from fieldlog.app.screens.day import DayScreen

            return DayScreen()
        if name == "record":
            from fieldlog.app.screens.record import RecordScreen

            return RecordScreen()
        if name == "due":
            from fieldlog.app.screens.due import DueScreen

            return DueScreen()
        if name == "search":
            from fieldlog.app.screens.search import SearchScreen

            return SearchScreen()
        from fieldlog.app.screens.horse import HorseScreen

        return HorseScreen()

    return make
