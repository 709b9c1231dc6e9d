"""``notes``: saved notes listed and shown, and corrected by a new revision with its reason.

The corrections are the app's own (``app/editing``, ``app/retyping``, ``app/choices``); what the
records do with them stands in ``records/saving`` and ``records/taking_back``; what commands share,
in ``correcting``.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

import click

from fieldlog.cli.correcting import (
    check_reason,
    correct,
    data_of,
    lesson_of,
    numbered,
    replace_fact,
    revise,
    revision_lines,
    said_fact,
    understood,
    words_of,
)
from fieldlog.cli.main import CarefulGroup, sentence_for
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
from fieldlog.errors import InputError

if TYPE_CHECKING:
    from fieldlog.app.choices import Choice
    from fieldlog.core.facts import Fact

LISTED = 20
"""Notes that a list shows unless told otherwise."""

note_argument = click.argument("note")
number_argument = click.argument("number", type=int)
reason_option = click.option("--reason", required=True, help="Why it is changed; kept with it.")


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


@notes_command.command("change")
@note_argument
@number_argument
@click.argument("words", nargs=-1)
@click.option("--pick", type=int, metavar="N", help="Take the Nth of the readings offered.")
@click.option("--not", "negate", is_flag=True, help="There becomes not there, done not done; back.")
@click.option("--maybe", is_flag=True, help="Certain becomes suspected; and back.")
@click.option("--reason", default="", help="Why it is changed; kept with it. Always needed.")
@pass_session
def change_fact(
    session: Session,
    note: str,
    number: int,
    words: tuple[str, ...],
    pick: int | None,
    negate: bool,
    maybe: bool,
    reason: str,
) -> None:
    """Change one fact of a saved note: type what it should be.

    NOTE is the note's short name, NUMBER the fact's from “notes show”. WORDS are what it should
    be, as digits (3 1/4 in) or as you would say it (mild flare on the outside quarter); a foot that
    is not named stays. Without WORDS the likely other readings are listed, to --pick from.

    \b
    Examples:
      fieldlog notes change 3fa29c01 2 3 1/4 in --reason "measured again"
      fieldlog notes change 3fa29c01 4 white line separation --reason misheard
      fieldlog notes change 3fa29c01 4 --not --reason "a slip in review"
    """
    from fieldlog.app import choices, editing, retyping

    stored = session.store.saved_note(note)
    fact = numbered(stored, number)
    text = " ".join(words).strip()
    if sum((bool(text), pick is not None, negate, maybe)) > 1:
        raise InputError("Words, --pick, --not and --maybe: one at a time.", "Give one of them.")
    offered = choices.choices(fact)
    if not (text or pick is not None or negate or maybe):
        _offer(session, fact, offered)
        return
    check_reason(reason)
    if pick is not None and not 1 <= pick <= len(offered):
        raise InputError(
            f"There is no reading {pick}.", "The same command without --pick lists them."
        )
    new: tuple[Fact, ...]
    left = ""
    try:
        if pick is not None:
            new = (editing.change(fact, offered[pick - 1].changes),)
        elif negate:
            new = (editing.toggle_negated(fact),)
        elif maybe:
            new = (editing.toggle_uncertain(fact),)
        elif (valued := retyping.with_value(fact, text)) is not None:
            new = (valued,)
        else:
            meant, left = understood(session, stored, retyping.sentence_for(fact, text), text)
            new = retyping.in_its_place(fact, meant)
    except editing.CannotEdit as problem:
        raise InputError(str(problem), "Nothing was changed.") from problem
    replace_fact(session, stored, fact, new, reason)
    _tell_typed(new if text else (), left)
    lesson = lesson_of(session, session.store.saved_note(stored.id))
    if lesson is not None:
        say(f"To always take it so ({lesson[1]}): fieldlog notes learn {stored.id[:SHORT]}")


def _tell_typed(facts: Sequence[Fact], left: str) -> None:
    """Say what is odd in what was typed, and what of it made no fact."""
    from fieldlog.app.choices import unusual

    for sentence in filter(None, (unusual(facts), left)):
        say(sentence)


def _offer(session: Session, fact: Fact, offered: Sequence[Choice]) -> None:
    say(said_fact(session, fact))
    for number, choice in enumerate(offered, 1):
        say(f"  {number}  {choice.label}")
    say(
        f"{'Add --pick N and --reason, or type' if offered else 'Type'} what it should be "
        "behind the number."
    )


@notes_command.command("foot")
@note_argument
@number_argument
@click.argument("feet", nargs=-1, required=True)
@reason_option
@pass_session
def foot(session: Session, note: str, number: int, feet: tuple[str, ...], reason: str) -> None:
    """Put a fact of a saved note on another foot.

    NOTE is the note's short name, NUMBER the fact's from “notes show”. FEET are LF, RF, LH, RH,
    left front, off hind, fronts, hinds, all four, LF and RH; or horse: no foot, the whole horse.
    """
    from fieldlog.app.editing import move
    from fieldlog.core.feet import feet_named

    stored = session.store.saved_note(note)
    fact = numbered(stored, number)
    typed = " ".join(feet)
    meant = feet_named(typed)
    if not meant and typed.casefold() not in ("horse", "whole horse", "none"):
        raise InputError(
            f"“{typed}” is no foot.",
            "Give LF, RF, LH, RH, near fore, fronts, hinds, all four, or horse for no foot.",
        )
    replace_fact(session, stored, fact, (move(fact, meant),), reason)


@notes_command.command("add")
@note_argument
@click.argument("words", nargs=-1, required=True)
@reason_option
@pass_session
def add(session: Session, note: str, words: tuple[str, ...], reason: str) -> None:
    """Add to a saved note what was forgotten.

    NOTE is its short name; WORDS are a sentence as you would say it: left front flare. A promise in
    it goes to the due list.
    """
    stored = session.store.saved_note(note)
    text = " ".join(words)
    check_reason(reason)
    new, left = understood(session, stored, text, text)
    revise(session, stored, (*stored.entry.facts, *new), reason)
    _tell_typed(new, left)


@notes_command.command("delete")
@note_argument
@number_argument
@reason_option
@pass_session
def delete(session: Session, note: str, number: int, reason: str) -> None:
    """Take a fact out of a saved note; its words stay.

    NOTE is the note's short name, NUMBER the fact's from “notes show”.
    """
    stored = session.store.saved_note(note)
    gone = numbered(stored, number)
    revise(session, stored, [f for f in stored.entry.facts if f.id != gone.id], reason)


@notes_command.command("break")
@note_argument
@number_argument
@reason_option
@pass_session
def break_fact(session: Session, note: str, number: int, reason: str) -> None:
    """Break a fact of a saved note in two: by foot, by place, or at “or”.

    NOTE is the note's short name, NUMBER the fact's from “notes show”.
    """
    from fieldlog.app import editing

    stored = session.store.saved_note(note)
    fact = numbered(stored, number)
    check_reason(reason)
    try:
        parts = editing.split(fact)
    except editing.CannotEdit as problem:
        raise InputError(str(problem), "Nothing was changed.") from problem
    replace_fact(session, stored, fact, parts, reason)


@notes_command.command("join")
@note_argument
@number_argument
@click.argument("other", type=int)
@reason_option
@pass_session
def join_facts(session: Session, note: str, number: int, other: int, reason: str) -> None:
    """Join two facts of a saved note that are one: the feet and the places of both.

    NOTE is the note's short name, NUMBER and OTHER are the facts' from “notes show”.
    """
    from fieldlog.app import editing

    stored = session.store.saved_note(note)
    first, second = numbered(stored, number), numbered(stored, other)
    check_reason(reason)
    if first.id == second.id:
        raise InputError("That is one fact already.", "Give the numbers of two.")
    try:
        joined = editing.join(first, second)
    except editing.CannotEdit as problem:
        raise InputError(str(problem), "Nothing was changed.") from problem
    rest = [f for f in stored.entry.facts if f.id != second.id]
    revise(session, stored, [joined if f.id == first.id else f for f in rest], reason)


@notes_command.command("learn")
@note_argument
@pass_session
def learn(session: Session, note: str) -> None:
    """Keep what the last correction of a saved note taught, as a rule of yours.

    NOTE is its short name. From the next note on the same words are taken so. Your rules stand in
    my_words.toml, plain to read and to edit.
    """
    from fieldlog.app import understanding

    stored = session.store.saved_note(note)
    lesson = lesson_of(session, stored)
    if lesson is None:
        raise InputError(
            "There is nothing to learn from the last correction of this note.",
            "A rule comes from one fact whose words were changed by “fieldlog notes change”.",
        )
    rules, said = lesson
    understanding.learn(session.places, rules)
    say(f"Kept as a rule of yours, from the next note on: {said}")
    say(f"To take it back, edit {session.places.personal_rules}")


@notes_command.command("horse")
@note_argument
@click.argument("name")
@reason_option
@pass_session
def horse(session: Session, note: str, name: str, reason: str) -> None:
    """Give a saved note to the horse that it is about.

    NOTE is its short name, NAME the right horse's. Its promises go along; what its visit had closed
    for the other horse opens again.
    """
    store = session.store
    stored = store.saved_note(note)
    check_reason(reason)
    right = store.horse_named(name)
    correct(session, stored, lambda: store.give_to_horse(stored.id, right.id, reason))


@notes_command.command("day")
@note_argument
@click.argument("day", nargs=-1, required=True)
@reason_option
@pass_session
def day_of_note(session: Session, note: str, day: tuple[str, ...], reason: str) -> None:
    """Say of which day a saved note is, where a recorder's clock or a copied file was wrong.

    NOTE is its short name, DAY the right day: 2026-11-25, yesterday. Its visit and its promises go
    along, and what counts from the day (“in six weeks”) is counted anew.
    """
    from fieldlog.other_day import counted_from
    from fieldlog.typed_days import gone_day

    store = session.store
    stored = store.saved_note(note)
    check_reason(reason)
    right = gone_day(" ".join(day), session.today)
    facts = counted_from(stored.entry.facts, stored.day, right)
    correct(session, stored, lambda: store.give_saved_day(stored.id, right, facts, reason))


@notes_command.command("undo")
@note_argument
@pass_session
def undo(session: Session, note: str) -> None:
    """Take the last correction of a saved note back, by one more revision.

    NOTE is its short name. Again takes back the correction before that, and so on to the note as
    it was first saved.
    """
    store = session.store
    stored = store.saved_note(note)
    correct(session, stored, lambda: store.take_back(stored.id))
