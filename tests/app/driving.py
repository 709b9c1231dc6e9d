"""Driving the app: press keys and wait until everything that they started has ended."""

from __future__ import annotations

import html
import re
import time

from textual.pilot import Pilot
from textual.widgets import Input

from fieldlog.app.main import FieldlogApp
from fieldlog.app.screens.base import ToolScreen


async def settle(pilot: Pilot[None], seconds: float = 40.0) -> None:
    """Wait until the screen is filled, no job is under way and nothing is left to draw."""
    app = pilot.app
    assert isinstance(app, FieldlogApp)
    end = time.monotonic() + seconds
    quiet = 0
    while quiet < 2:
        await pilot.pause()
        base = app.screen_stack[0] if app.screen_stack else None
        ready = isinstance(base, ToolScreen) and base.ready
        quiet = quiet + 1 if ready and app.desk.busy == 0 else 0
        assert time.monotonic() < end, "the app did not come to rest"


async def opened(app: FieldlogApp, pilot: Pilot[None], key: str) -> ToolScreen:
    """The screen that a key opens, at rest."""
    await settle(pilot)
    await press(pilot, key)
    screen = app.screen
    assert isinstance(screen, ToolScreen)
    return screen


async def press(pilot: Pilot[None], *keys: str) -> None:
    """Press keys, letting each take effect."""
    for at, key in enumerate(keys, start=1):
        await pilot.press(key)
        letters = isinstance(pilot.app.focused, Input) and key not in ("enter", "escape", "down")
        if not letters or at == len(keys):
            await settle(pilot)


def text_of(app: FieldlogApp) -> str:
    """What is on the screen, as text."""
    picture = app.export_screenshot()
    return html.unescape(re.sub(r"<[^>]+>", "", picture)).replace("\u00a0", " ")
