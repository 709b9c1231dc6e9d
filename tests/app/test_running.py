"""The app as it is started: on a real terminal, with a clock that may be wrong."""

from __future__ import annotations

import os
import pty
import select
import subprocess
import sys
import time
from datetime import UTC, datetime
from pathlib import Path

from fieldlog.app.desk import Desk
from fieldlog.app.main import FieldlogApp
from fieldlog.app.screens.base import ToolScreen
from fieldlog.config import Settings
from fieldlog.paths import Places
from fieldlog.sound.player import FakePlayer
from tests.app import barn
from tests.app.driving import text_of

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
    self.set_timer(1.0, self.exit)

usual, main.FieldlogApp.on_mount = main.FieldlogApp.on_mount, noisy
run_app(places(Path(sys.argv[1])), Settings(), player=FakePlayer())
"""


def test_what_libraries_write_does_not_reach_the_screen(tmp_path: Path) -> None:
    ours, theirs = pty.openpty()
    app = subprocess.Popen(
        [sys.executable, "-c", APP, str(tmp_path)], stdin=theirs, stdout=theirs, stderr=theirs
    )
    os.close(theirs)
    screen = b""
    deadline = time.monotonic() + 60
    while app.poll() is None and time.monotonic() < deadline:
        if select.select([ours], [], [], 0.1)[0]:
            try:
                screen += os.read(ours, 65_536)
            except OSError:
                break
    assert app.wait(10) == 0
    os.close(ours)
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
