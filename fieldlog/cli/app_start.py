"""Starting the app from the command line."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING

from fieldlog.errors import FieldlogError, InputError

if TYPE_CHECKING:
    from fieldlog.config import Settings
    from fieldlog.paths import Places
    from fieldlog.sound.player import Player
    from fieldlog.speech.recogniser import Recogniser


def open_app(places: Places, settings: Settings, today: date, screen: str = "day") -> None:
    """Run the app until it is left.

    Raises:
        InputError: this is no terminal.
        RecordsError: the database cannot be used.
    """
    if not terminal_there():
        raise InputError(
            "The app needs a terminal.", "In scripts use “fieldlog drafts” and “fieldlog save”."
        )
    from fieldlog.app.desk import Desk
    from fieldlog.app.main import FieldlogApp

    def make_recogniser(names: Sequence[str]) -> Recogniser:
        from fieldlog.speech.opening import open_recogniser

        return open_recogniser(settings, places, None, names)

    _check_records(places)
    desk = Desk(places, settings, make_recogniser, _player(), today=lambda: today)
    FieldlogApp(desk, screen).run()


def terminal_there() -> bool:
    """True if keys can be read and a screen drawn."""
    return sys.stdin.isatty() and sys.stdout.isatty()


def _check_records(places: Places) -> None:
    """A database that cannot be opened is said as a sentence, before the screen is taken over."""
    from fieldlog.records.store import Store

    Store.open(places.make().database).close()


def _player() -> Player | None:
    from fieldlog.sound.player import SystemPlayer

    try:
        return SystemPlayer()
    except FieldlogError:
        return None
