"""Every screen as a picture, pinned at 80 by 24 and 120 by 40.

No clock, no blinking cursor and no name of this machine is in them, so they are equal everywhere.
After looking at the new ones: ``python -m pytest tests/app/test_pictures.py --snapshot-update``.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot

from fieldlog.app.main import FieldlogApp
from fieldlog.app.recording_state import RecordingState
from fieldlog.app.screens.record import RecordScreen
from fieldlog.core.feet import FRONTS
from fieldlog.paths import Places
from tests.app import barn
from tests.app.driving import press, settle

SIZES = [pytest.param((80, 24), id="80x24"), pytest.param((120, 40), id="120x40")]
Before = Callable[[Pilot[None]], Awaitable[None]]


def pressing(*keys: str) -> Before:
    """Wait for the first look, then press keys one by one."""

    async def run(pilot: Pilot[None]) -> None:
        await settle(pilot)
        await press(pilot, *keys)

    return run


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize(
    ("start", "keys"),
    [
        pytest.param("day", (), id="day"),
        pytest.param("day", ("pagedown",), id="day-call-a-vet"),
        pytest.param("day", ("c",), id="change"),
        pytest.param("record", (), id="record"),
        pytest.param("due", (), id="due"),
        pytest.param("search", (*"toe", "enter"), id="search"),
        pytest.param("horse", ("h", "j", "u", "enter"), id="horse"),
        pytest.param("horse", ("h", "j", "u", "enter", "c"), id="horse-charts"),
    ],
)
def test_screen(
    snap_compare: Any, saved: Places, start: str, keys: tuple[str, ...], size: tuple[int, int]
) -> None:
    app = FieldlogApp(barn.desk_at(saved), start)
    assert snap_compare(app, terminal_size=size, run_before=pressing(*keys))


@pytest.mark.parametrize(
    ("start", "keys"),
    [
        pytest.param("day", ("f",), id="foot"),
        pytest.param("day", ("pagedown", "h"), id="which-horse"),
        pytest.param("day", ("w",), id="whole-note"),
        pytest.param("day", ("question_mark",), id="help"),
        pytest.param("due", ("r",), id="drop"),
        pytest.param("horse", ("h", "j", "u", "enter", "y"), id="horse-history"),
    ],
)
def test_sheet(snap_compare: Any, saved: Places, start: str, keys: tuple[str, ...]) -> None:
    app = FieldlogApp(barn.desk_at(saved), start)
    assert snap_compare(app, terminal_size=(80, 24), run_before=pressing(*keys))


@pytest.mark.parametrize("start", ["day", "due", "horse"])
def test_light(snap_compare: Any, saved: Places, start: str) -> None:
    app = FieldlogApp(barn.desk_at(saved, theme="light"), start)
    assert snap_compare(app, terminal_size=(80, 24), run_before=pressing())


def test_empty_day(snap_compare: Any, tmp_path: Path) -> None:
    app = FieldlogApp(barn.desk_at(barn.home(tmp_path)))
    assert snap_compare(app, terminal_size=(80, 24), run_before=pressing())


@pytest.mark.parametrize("asked", [False, True], ids=["running", "asked"])
@pytest.mark.parametrize("size", SIZES)
def test_while_recording(
    snap_compare: Any, saved: Places, size: tuple[int, int], asked: bool
) -> None:
    state = RecordingState(
        phase="recording",
        device="clip-on microphone",
        reader="vosk/farrier",
        seconds=83.4,
        loudness=0.62,
        feet=FRONTS,
        horse="Juniper",
        words=("left", "front", "toe", "three", "and", "a", "quarter", "both", "fronts"),
        hearing="bit of flare on the outside",
        last="",
        warnings=("Sound was lost 2 times: the computer is too slow. Close other programs.",),
    )

    async def run(pilot: Pilot[None]) -> None:
        await settle(pilot)
        screen = pilot.app.screen
        assert isinstance(screen, RecordScreen)
        screen.show(state)
        await settle(pilot)
        if asked:
            await press(pilot, "q")

    app = FieldlogApp(barn.desk_at(saved), "record")
    assert snap_compare(app, terminal_size=size, run_before=run)
