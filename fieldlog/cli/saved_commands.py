"""``notes``: saved notes listed and shown; corrected they are by ``note_corrections``."""

from __future__ import annotations

import re

import click

from fieldlog.cli.correcting import data_of, revision_lines, said_fact, words_of
from fieldlog.cli.main import CarefulGroup, sentence_for
from fieldlog.cli.note_corrections import CORRECTIONS, note_argument
from fieldlog.cli.notes_commands import SHORT, horse_of
from fieldlog.cli.session import (
    Session,
    json_option,
    pass_session,
    print_json,
    read_day,
    say,
    table,
)

LISTED = 20
"""Notes that a list shows unless told otherwise."""


class _NotesGroup(CarefulGroup):
    """Takes a note's short name alone for “show NOTE”, as “fieldlog drafts WHICH” does."""

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        known = bool(args) and args[0] in self.commands
        if args and not known and re.fullmatch(r"[0-9a-f]{2,32}", args[0]):
            args = ["show", *args]
        return super().resolve_command(ctx, args)


@click.group("notes", cls=_NotesGroup, invoke_without_command=True)
@click.pass_context
def notes_command(ctx: click.Context) -> None:
    """Saved notes: list, show, correct. Without a subcommand this is “notes list”.

    A saved note is never changed in place: a correction makes a new revision with your reason,
    and every revision before it stays, with the words as they were spoken.

    \b
    Examples:
      fieldlog notes list --horse Bramble
      fieldlog notes show 3fa29c01
      fieldlog notes change 3fa29c01 2 3 1/4 in --reason "measured again"
      fieldlog notes foot 3fa29c01 2 right front --reason "wrong foot"
      fieldlog notes undo 3fa29c01

    The first word behind each command is the note's short name, from “notes list” or a search; the
    number is the fact's, from “notes show”.
    """
    if ctx.invoked_subcommand is None:
        sentence_for(lambda: _list(ctx.obj, None, None, LISTED, as_json=False))


notes_command.instead = "A horse's notes are “fieldlog notes list --horse NAME”."


@notes_command.command("list")
@click.option("--horse", help="Only this horse's.")
@click.option("--day", "day_text", help="Only this day's: 2026-11-25, today, yesterday.")
@click.option(
    "--limit", type=click.IntRange(1, 10_000), default=LISTED, show_default=True, help="Most notes."
)
@json_option
@pass_session
def list_notes(
    session: Session, horse: str | None, day_text: str | None, limit: int, as_json: bool
) -> None:
    """List saved notes, the newest first."""
    _list(session, horse, day_text, limit, as_json)


def _list(
    session: Session, horse: str | None, day_text: str | None, limit: int, as_json: bool
) -> None:
    store = session.store
    day = read_day(day_text, session.today) if day_text else None
    found = store.saved_entries(store.horse_named(horse).id if horse else None, day, limit + 1)
    shown = found[:limit]
    if as_json:
        print_json([data_of(session, stored) for stored in shown])
        return
    if not shown:
        which = f"{' of that day' if day else ''}{' of that horse' if horse else ''}"
        say(f"No note{which} is saved. Drafts are not listed here: fieldlog drafts")
        return
    apart = store.told_apart()
    rows = [
        (
            stored.id[:SHORT],
            f"{stored.at:%Y-%m-%d %H:%M}",
            horse_of(stored, apart),
            str(stored.revision),
            words_of(stored),
        )
        for stored in shown
    ]
    # Whole notes are long: “fieldlog notes show” has them in full.
    click.echo(table(("note", "when", "horse", "rev", "words"), rows, cut=True))
    if len(found) > len(shown):
        say(f"… the newest {limit}; --limit shows more.")


@notes_command.command("show")
@note_argument
@click.option("--all", "every", is_flag=True, help="Every revision: what was changed, when, why.")
@json_option
@pass_session
def show(session: Session, note: str, every: bool, as_json: bool) -> None:
    """Show one NOTE whole: its words, and its facts with the numbers to correct them by.

    NOTE is its short name from “fieldlog notes”.
    """
    stored = session.store.saved_note(note)
    revisions = session.store.revisions(stored.id)
    if as_json:
        earlier = [data_of(session, r) for r in revisions] if every else None
        print_json({**data_of(session, stored), **({"revisions": earlier} if earlier else {})})
        return
    whose = horse_of(stored, session.store.told_apart())
    say(f"{stored.id[:SHORT]}  {stored.at:%Y-%m-%d %H:%M}  {whose}")
    say(f"  “{words_of(stored)}”")
    for number, fact in enumerate(stored.entry.facts, 1):
        say(f"  {number:2}  {said_fact(session, fact)}")
    if not stored.entry.facts and stored.entry.text:
        say("  No facts: fieldlog notes add " + stored.id[:SHORT])
    for passage in stored.entry.passages:
        say(f"      as spoken: {passage.text}")
    if every:
        for before, after in reversed(list(zip([None, *revisions], revisions, strict=False))):
            say("\n".join(revision_lines(session, before, after)))
    elif stored.revision > 1:
        say(f"Revision {stored.revision}; --all shows what was changed, when and why.")


for _command in CORRECTIONS:
    notes_command.add_command(_command)
