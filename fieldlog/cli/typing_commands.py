"""``type``: a note that is typed instead of spoken."""

from __future__ import annotations

import codecs
import os
import signal
import sys
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime
from typing import TYPE_CHECKING

import click

from fieldlog.cli.main import CarefulCommand
from fieldlog.cli.notes_commands import SHORT, asked, whole
from fieldlog.cli.session import Session, json_option, pass_session, plain, print_json, say
from fieldlog.errors import FieldlogError, InputError, NotFound

if TYPE_CHECKING:
    from fieldlog.paths import Places
    from fieldlog.records.types import Horse


@click.command("type", cls=CarefulCommand)
@click.argument("words", nargs=-1)
@click.option("--horse", help="The horse it is about, if the words do not name it.")
@click.option("--day", "day_text", help="The day it is of: 2026-11-25, yesterday.")
@json_option
@pass_session
def type_command(
    session: Session,
    words: tuple[str, ...],
    horse: str | None,
    day_text: str | None,
    as_json: bool,
) -> None:
    """Type a note, where you cannot speak.

    WORDS are the note as you would say it; without them lines are read until an empty one, Ctrl-C,
    or the end of a file. It is understood as a spoken note is, keeps your words as you typed them,
    and waits as a draft; each horse that is named gets its own.

    \b
    Examples:
      fieldlog type This is Juniper. Left front toe 3 1/4 in, no thrush. Recheck in six weeks.
      fieldlog type --horse Rosie --day yesterday trimmed all four
      fieldlog type < note.txt
    """
    from fieldlog.intake import keep_typed
    from fieldlog.language.personal import load_personal
    from fieldlog.typed_days import gone_day

    day = gone_day(day_text, session.today) if day_text else session.today
    given = _letters(os.fsencode(" ".join(words))).strip()
    # What would keep the note from being kept is told before it is typed.
    with _words_kept(session.places, given):
        _ = session.store, session.settings, load_personal(session.places.personal_rules)
    known, problem = _whose(session, horse, bool(words)) if horse else (None, None)
    text = given or _lines()
    if not text:
        raise InputError(
            "Nothing was typed.", "For example: fieldlog type --horse Rosie trimmed all four"
        )
    now = datetime.now().astimezone()
    at = now if day == now.date() else datetime.combine(day, now.time()).astimezone()
    with _words_kept(session.places, text):
        kept = keep_typed(
            session.store,
            text,
            at,
            session.places,
            session.settings,
            known,
            unknown="" if known else horse or "",
        )
    drafts = asked(session, kept)
    if problem is not None:
        say(f"{problem} The words are kept as a draft without a horse.", err=True)
    if as_json:
        print_json(
            [{"id": d.id, "horse": plain(d.horse), "entry": d.entry.to_dict()} for d in drafts]
        )
        return
    for draft in drafts:
        say(whole(draft, session.settings.british_names, session.store.told_apart()))
    ready = " ".join(d.id[:SHORT] for d in drafts if d.horse and d.entry.facts)
    for draft in drafts:
        if not draft.entry.facts:
            say(f"Nothing was understood of {draft.id[:SHORT]}; its words are kept. Say it "
                "otherwise, or i in the app adds what it means.")  # fmt: skip
    say("Kept as a draft. To correct it: fieldlog review" if len(drafts) == 1
        else f"Kept as {len(drafts)} drafts. To correct them: fieldlog review")  # fmt: skip
    if ready:
        say(f"If all is right: fieldlog save {ready}")


@contextmanager
def _words_kept(places: Places, text: str) -> Iterator[None]:
    """Words that the records refuse after they were typed are kept in a file, or else shown."""
    from fieldlog.records.files import write_whole

    try:
        yield
    except Exception:
        if not text:
            raise
        file = places.data / f"typed-{datetime.now():%Y%m%d-%H%M%S}.txt"
        try:
            write_whole(file, f"{text}\n".encode())
            say(
                "No draft yet, but your words are kept. Later, with --horse and --day as now: "
                f'fieldlog type < "{file}" (delete the file then)',
                err=True,
            )
        except (OSError, FieldlogError):
            say(f"No draft, and the disk takes no file. Your words were:\n{text}", err=True)
        raise


def _whose(session: Session, name: str, words: bool) -> tuple[Horse | None, FieldlogError | None]:
    """The horse of that name, or why it is none: words that are there already must not be lost.

    Raises:
        NotFound, InputError: none of that name, or several, and nothing is typed yet.
    """
    try:
        return session.store.horse_named(name), None
    except (NotFound, InputError) as problem:
        if not words and _by_hand():
            raise
        return None, problem


def _lines() -> str:
    """What is typed or piped in, up to an empty line; each line ends a sentence."""
    keys = _by_hand()
    if keys:
        click.echo("Type the note; an empty line ends it.", err=True)
    found: list[str] = []
    with _cut_off_ends_it(found):
        for line in sys.stdin if keys else _piped():
            typed = " ".join(line.split())
            if typed:
                found.append(typed if typed[-1] in ".,;:!?" else f"{typed}.")
            elif keys:
                break
    return " ".join(found)


def _by_hand() -> bool:
    """Whether somebody sits there and types."""
    return sys.stdin.isatty()


@contextmanager
def _cut_off_ends_it(found: Sequence[str]) -> Iterator[None]:
    """Ctrl-C, or a window that is closed, ends a note as it ends a recording: what is there stays.

    With nothing typed yet it ends the command.
    """

    def closed(*_: object) -> None:
        raise KeyboardInterrupt

    hang_up = getattr(signal, "SIGHUP", None)  # Windows has none
    before = signal.signal(hang_up, closed) if hang_up else None
    try:
        yield
    except (KeyboardInterrupt, OSError):
        if not found:
            raise
    finally:
        if hang_up:
            signal.signal(hang_up, before)


def _piped() -> Iterable[str]:
    return _letters(sys.stdin.buffer.read()).splitlines()


def _letters(raw: bytes) -> str:
    """Characters with each accent on its letter, as names are kept."""
    from fieldlog.records.names import composed

    return composed(characters(raw))


_MARKS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
"""The marks that a text file may begin with (source: The Unicode Standard, 23.8)."""


def characters(raw: bytes) -> str:
    """The characters of a text of any writing program; no byte of it is an error.

    UTF-8 or, by its mark, UTF-16, as Windows' own editor and shell write; what is neither is read
    as Windows-1252, in which one letter is one byte.
    """
    for mark, encoding in _MARKS:
        if raw.startswith(mark):
            return raw[len(mark) :].decode(encoding, "replace")
    try:
        return raw.decode("utf-8")
    except UnicodeDecodeError:
        return raw.decode("cp1252", "replace")
