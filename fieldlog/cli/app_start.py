"""Starting the app from the command line."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from datetime import date
from typing import TYPE_CHECKING

from fieldlog.errors import InputError, RecordsError

if TYPE_CHECKING:
    from fieldlog.config import Settings
    from fieldlog.paths import Places


def open_app(
    places: Places, settings: Settings, today: Callable[[], date], screen: str = "day"
) -> None:
    """Run the app until it is left, which may be on a later day.

    Without records that can be used it opens on the record screen only, where that is asked for.

    Args:
        places: whose records.
        settings: the farrier's.
        today: asked whenever the day is needed.
        screen: the one that comes first.

    Raises:
        InputError: this is no terminal.
        RecordsError: the database cannot be used.
    """
    if not terminal_there():
        raise InputError(
            "The app needs a terminal that can draw a screen.",
            "In scripts use “fieldlog drafts” and “fieldlog save”.",
        )
    from fieldlog.app.run import run_app

    try:
        notice = _check_records(places)
    except RecordsError as problem:
        if screen != "record":
            problem.remedy += (
                " To record meanwhile: fieldlog record, or fieldlog review --screen record"
            )
            raise
        notice = ""  # Every screen says it, and the record screen when it records.
    run_app(places, settings, start=screen, today=today, notice=notice)


def terminal_there() -> bool:
    """True if keys can be read and a screen drawn; TERM=dumb says that it cannot."""
    there = sys.stdin.isatty() and sys.stdout.isatty()
    return there and os.environ.get("TERM") != "dumb"


def _check_records(places: Places) -> str:
    """A database that cannot be opened is said as a sentence, before the screen is taken over.

    Returns what is to be told of one that can.

    Raises:
        RecordsError: it cannot.
    """
    from fieldlog.records.store import Store

    with Store.open(places.make().database) as store:
        return store.begun_anew
