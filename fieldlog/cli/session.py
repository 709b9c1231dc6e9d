"""What every command needs: folders, settings, today; and how lists and JSON are printed."""

from __future__ import annotations

import json
import os
import re
import shutil
import textwrap
from collections.abc import Callable, Iterable, Sequence
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from itertools import zip_longest
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar, cast

import click

from fieldlog.errors import ConfigError, InputError

if TYPE_CHECKING:
    from fieldlog.config import Settings
    from fieldlog.paths import Places
    from fieldlog.records.store import Store


class Session:
    """One call of the command line; opens things when they are first asked for."""

    def __init__(self, home: Path | None = None) -> None:
        self.home = home
        self._places: Places | None = None
        self._settings: Settings | None = None
        self._today: date | None = None
        self._store: Store | None = None

    @property
    def places(self) -> Places:
        if self._places is None:
            from fieldlog.paths import places

            self._places = places(self.home)
        return self._places

    @property
    def settings(self) -> Settings:
        if self._settings is None:
            from fieldlog.config import load_settings

            self._settings = load_settings(self.places.settings)
        return self._settings

    def go_on_with_defaults(self) -> None:
        """Do without the settings file, which cannot be read."""
        from fieldlog.config import Settings

        self._settings = Settings()

    def settings_or_defaults(self, what: str) -> None:
        """A mistake in the settings file must not keep anybody from recording or backing up.

        Args:
            what: what goes on without it, for the sentence that is said.
        """
        try:
            _ = self.settings
        except ConfigError as problem:
            say(f"{problem} {what} goes on with the defaults.", err=True)
            self.go_on_with_defaults()

    @property
    def today(self) -> date:
        """Today, or the day in FIELDLOG_TODAY (the demo and the tests set it)."""
        if self._today is None:
            self._today = self.day_now()
        return self._today

    @staticmethod
    def day_now() -> date:
        """``today`` as it is at this moment: an app that is left open sees another one."""
        set_day = os.environ.get("FIELDLOG_TODAY", "")
        return read_day(set_day, date.today()) if set_day else date.today()

    @property
    def store(self) -> Store:
        """The records; made on first use."""
        if self._store is None:
            from fieldlog.records.store import Store

            self._store = Store.open(self.places.make().database, author=self.settings.farrier_name)
            if self._store.begun_anew:
                say(self._store.begun_anew, err=True)
        return self._store

    def close(self) -> None:
        """Let go of the database, if it was opened."""
        if self._store is not None:
            self._store.close()
            self._store = None


F = TypeVar("F", bound=Callable[..., Any])


def pass_session(function: F) -> F:
    """Give a command the session as its first argument."""
    return cast(F, click.make_pass_decorator(Session)(function))


def with_options(options: Sequence[Callable[[F], F]]) -> Callable[[F], F]:
    """Several options at once, listed in this order in the help."""

    def add(function: F) -> F:
        for option in reversed(options):
            function = option(function)
        return function

    return add


json_option = click.option("--json", "as_json", is_flag=True, help="Print JSON, for scripts.")


def plain(record: Any) -> Any:
    """A record of the store as plain data for JSON."""
    if is_dataclass(record) and not isinstance(record, type):
        return {f.name: plain(getattr(record, f.name)) for f in fields(record)}
    if isinstance(record, (list, tuple, set, frozenset)):
        return [plain(item) for item in record]
    if isinstance(record, dict):
        return {str(key): plain(value) for key, value in record.items()}
    if isinstance(record, (date, datetime)):
        return record.isoformat()
    return str(record) if isinstance(record, Path) else record


def print_json(data: Any) -> None:
    """Indented JSON with letters as they are, or as ``\\uXXXX`` where they cannot be printed."""
    from fieldlog.cli.printable import every_sign_printable

    plainly = not every_sign_printable()
    click.echo(json.dumps(data, ensure_ascii=plainly, indent=2, default=str))


def read_day(text: str, today: date) -> date:
    """A day that was: ``2026-11-25``, ``20 dec``, ``yesterday``, ``friday``, ``two days ago``.

    Without a year it is the last one: notes are of days gone by.

    Raises:
        InputError: no day, or one that may be two.
    """
    from fieldlog.typed_days import day_back

    return day_back(text, today)


def read_edge(text: str, today: date, *, last: bool = False) -> date:
    """The first or the last day of a time: as in a search (``spring``, ``2026-03``, ``90d``), or a
    day.

    Raises:
        InputError: neither, or a day that may be two.
    """
    from fieldlog.records.search_line import day_of

    return day_of(text, today, last=last) or read_day(text, today)


def moment(stored: str) -> str:
    """A stored time as the clock on the wall had it: ``2026-11-30 08:14``."""
    try:
        return f"{datetime.fromisoformat(stored).astimezone():%Y-%m-%d %H:%M}"
    except ValueError:
        return stored


def say(text: str, err: bool = False) -> None:
    """Print sentences; on a terminal a line that is too long goes on at a word, under its start.

    Args:
        text: one line or several.
        err: print where errors go.
    """
    if _is_terminal(err):
        width = _columns()
        text = "\n".join(folded(line, width) for line in text.split("\n"))
    click.echo(text, err=err)


_START = re.compile(r" *(?:\S+ {2,}|[?-] )?")
"""What a line that goes on is set in by: its margin, and a first word that stands apart."""


def folded(line: str, width: int) -> str:
    """A line in lines of at most ``width``; a word that is longer stays whole."""
    if len(line) <= width:
        return line
    start = _START.match(line)
    margin = min(start.end() if start else 0, width // 2)
    return textwrap.fill(
        line,
        width,
        subsequent_indent=" " * margin,
        break_long_words=False,
        break_on_hyphens=False,
    )


def line_width(most: int) -> int:
    """How wide a line may be: the terminal's width, at most ``most``; in a file or a pipe that."""
    return min(most, _columns()) if _is_terminal() else most


def _columns() -> int:
    return max(20, shutil.get_terminal_size((80, 24)).columns)


NARROW = 10
"""A column is not made narrower than this to fit a terminal."""


def table(header: Sequence[str], rows: Iterable[Sequence[str]], *, cut: bool = False) -> str:
    """Columns as wide as their longest cell.

    On a terminal that is too narrow the widest columns give way and their cells go on in the next
    line: what a table says is never lost. In a file or a pipe every row stays one line.

    Args:
        header: names of the columns.
        rows: the cells.
        cut: cut lines that are too long instead; only where the whole stands elsewhere.
    """
    body = [[str(cell) for cell in row] for row in rows]
    widths = [max(len(r[i]) for r in (header, *body)) for i in range(len(header))]
    room = _columns()
    narrow = _is_terminal()
    if narrow and not cut:
        widths = _fitted(widths, room)
    elif narrow:
        # Its rule ends with the line; its cells say by “…” that they go on.
        left = room - sum(widths[:-1]) - 2 * (len(widths) - 1)
        widths[-1] = max(len(header[-1]), min(widths[-1], left))
    lines = []
    for row in (list(header), ["-" * w for w in widths], *body):
        cells = [_wrapped(cell, w) if narrow and not cut else [cell]
                 for cell, w in zip(row, widths, strict=True)]  # fmt: skip
        for part in zip_longest(*cells, fillvalue=""):
            line = "  ".join(c.ljust(w) for c, w in zip(part, widths, strict=True)).rstrip()
            lines.append(
                line if len(line) <= room or not (narrow and cut) else line[: room - 1] + "…"
            )
    return "\n".join(lines)


def fits(header: Sequence[str], rows: Iterable[Sequence[str]]) -> bool:
    """Whether a table has each row in one line here; in a file or a pipe it always has."""
    if not _is_terminal():
        return True
    widths = [max(map(len, column)) for column in zip(header, *rows, strict=True)]
    return sum(widths) + 2 * (len(widths) - 1) <= _columns()


def _fitted(widths: Sequence[int], room: int) -> list[int]:
    """Widths that fit ``room``, taken from the widest column each time."""
    found = list(widths)
    while sum(found) + 2 * (len(found) - 1) > room and max(found) > NARROW:
        found[found.index(max(found))] -= 1
    return found


def _wrapped(cell: str, width: int) -> list[str]:
    return textwrap.wrap(cell, max(1, width)) or [""]


def tell_waiting(store: Store) -> None:
    """Say behind a list of saved things that drafts wait, which it knows nothing of."""
    from fieldlog.waiting import waiting

    if said := waiting(store):
        they = "it says" if said.startswith("1 ") else "they say"
        say(f"\n{said}; what {they} is not in this list yet: fieldlog review")


def _is_terminal(err: bool = False) -> bool:
    import sys

    return (sys.stderr if err else sys.stdout).isatty()


def write_file(path: Path, data: bytes | str, force: bool) -> None:
    """Write a paper or an export; an existing file is only replaced when told so.

    The file is whole or not there, and readable by its owner only: it holds clients' data.

    Raises:
        InputError: the file is there already, or its folder is not.
    """
    if path.exists() and not force:
        raise InputError(f"{path} is there already.", "Choose another name, or add --force.")
    if not path.parent.is_dir():
        raise InputError(f"There is no folder {path.parent}.", "Make it first.")
    from fieldlog.records.files import write_whole

    write_whole(path, data.encode() if isinstance(data, str) else data)
