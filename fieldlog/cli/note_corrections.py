"""Corrections of saved notes as commands: each makes a new revision with its reason.

They are the app's own (``app/editing``, ``app/retyping``, ``app/choices``). What the records do
with them stands in ``records/saving`` and ``records/taking_back``, what commands share in
``correcting``.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import click

from fieldlog.cli.correcting import (
    check_reason,
    correct,
    lesson_of,
    numbered,
    replace_fact,
    revise,
    said_fact,
    understood,
    words_of,
)
from fieldlog.cli.main import CarefulCommand
from fieldlog.cli.notes_commands import SHORT
from fieldlog.cli.session import Session, pass_session, say
from fieldlog.errors import InputError

if TYPE_CHECKING:
    from fieldlog.app.choices import Choice
    from fieldlog.core.facts import Fact
    from fieldlog.records.types import StoredEntry

note_argument = click.argument("note")
number_argument = click.argument("number", type=int)
reason_option = click.option("--reason", required=True, help="Why it is changed; kept with it.")


@click.command("change", cls=CarefulCommand)
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
    from fieldlog.app import choices, editing

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
    left = ""
    try:
        if pick is not None:
            new: tuple[Fact, ...] = (editing.change(fact, offered[pick - 1].changes),)
        elif negate:
            new = (editing.toggle_negated(fact),)
        elif maybe:
            new = (editing.toggle_uncertain(fact),)
        else:
            new, left = _retyped(session, stored, fact, text)
    except editing.CannotEdit as problem:
        raise InputError(str(problem), "Nothing was changed.") from problem
    replace_fact(session, stored, fact, new, reason)
    _tell_typed(new if text else (), left)
    lesson = lesson_of(session, session.store.saved_note(stored.id))
    if lesson is not None:
        say(f"To always take it so ({lesson[1]}): fieldlog notes learn {stored.id[:SHORT]}")


def _retyped(
    session: Session, stored: StoredEntry, fact: Fact, text: str
) -> tuple[tuple[Fact, ...], str]:
    """What stands in the place of a fact once words were typed for it, and what made no fact."""
    from fieldlog.app import retyping

    if (valued := retyping.with_value(fact, text)) is not None:
        return (valued,), ""
    meant, left = understood(session, stored, retyping.sentence_for(fact, text), text)
    return retyping.in_its_place(fact, meant), left


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


@click.command("foot", cls=CarefulCommand)
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


@click.command("add", cls=CarefulCommand)
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


@click.command("delete", cls=CarefulCommand)
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


@click.command("break", cls=CarefulCommand)
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


@click.command("join", cls=CarefulCommand)
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


@click.command("learn", cls=CarefulCommand)
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


@click.command("horse", cls=CarefulCommand)
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


@click.command("part", cls=CarefulCommand)
@note_argument
@number_argument
@click.argument("name")
@reason_option
@pass_session
def part(session: Session, note: str, number: int, name: str, reason: str) -> None:
    """Part a saved note that held two horses: from a fact on it is about another one.

    NOTE is its short name, NUMBER the first fact of the other horse from “notes show”, NAME that
    horse. What begins there becomes a saved note of its own: words, sound, day and promises go
    along. “notes undo NOTE” makes one of the two again.
    """
    store = session.store
    stored = store.saved_note(note)
    fact = numbered(stored, number)
    check_reason(reason)
    other = store.horse_named(name)
    if not fact.span[1]:
        raise InputError(
            "That fact was typed: it has no place in the words.",
            "Give the number of the first one that was said of the other horse.",
        )
    made: list[StoredEntry] = []

    def parted() -> StoredEntry:
        first, second = store.part_saved(stored.id, fact.span[0], other.id, reason)
        made.append(second)
        return first

    correct(session, stored, parted)
    say(f"{store.full_name(other)}'s part is note {made[0].id[:SHORT]}: “{words_of(made[0])}”")


@click.command("day", cls=CarefulCommand)
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


@click.command("undo", cls=CarefulCommand)
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


CORRECTIONS: tuple[click.Command, ...] = (
    change_fact,
    foot,
    add,
    delete,
    break_fact,
    join_facts,
    learn,
    horse,
    part,
    day_of_note,
    undo,
)
"""In the order in which the help lists them."""
