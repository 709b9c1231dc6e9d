"""The app as it is started: on a real terminal, with a clock that may be wrong."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

from fieldlog.app.desk import Desk
from fieldlog.app.main import FieldlogApp
from fieldlog.app.screens.base import ToolScreen
from fieldlog.config import Settings
from fieldlog.paths import Places
from fieldlog.sound.player import FakePlayer
from tests.app import barn
from tests.app.driving import settle, text_of
from tests.terminal import on_a_terminal

APP = """
import os, sys
from pathlib import Path
from fieldlog.app import main
from fieldlog.app.run import run_app
from fieldlog.config import Settings
from fieldlog.paths import places
from fieldlog.sound.player import FakePlayer

def noisy(self):
    usual(self)
    os.write(2, b"NOISE FROM ALSA")
    self.set_interval(0.2, lambda: getattr(self.screen, "ready", False) and self.exit())

usual, main.FieldlogApp.on_mount = main.FieldlogApp.on_mount, noisy
run_app(places(Path(sys.argv[1])), Settings(), player=FakePlayer())
"""


def test_what_libraries_write_does_not_reach_the_screen(tmp_path: Path) -> None:
    screen, code = on_a_terminal(APP, str(tmp_path))
    assert code == 0
    assert b"Day" in screen
    assert b"NOISE" not in screen
    assert b"NOISE FROM ALSA" in (tmp_path / "cache" / "native.log").read_bytes()


async def test_a_wrong_clock_is_said_when_the_app_opens(where: Places) -> None:
    desk = Desk(
        where,
        Settings(),
        player=FakePlayer(),
        today=lambda: barn.TODAY,
        now=lambda: datetime(2026, 1, 1, tzinfo=UTC),
    )
    app = FieldlogApp(desk)
    async with app.run_test(size=(80, 24)) as pilot:
        for _ in range(200):
            await pilot.pause(0.05)
            if isinstance(app.screen, ToolScreen) and app.screen.answer.text:
                break
        assert "Set the computer's clock: it says 01 January 2026" in text_of(app)


async def test_an_emptied_database_is_said_when_the_app_opens(where: Places) -> None:
    desk = barn.desk_at(where)
    desk.notice = "The database was empty (0 bytes)."
    app = FieldlogApp(desk)
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        assert "The database was empty (0 bytes)." in text_of(app)
        await desk.close()
