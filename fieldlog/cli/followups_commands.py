"""``follow-ups``: what was promised, when, by whom."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import click

from fieldlog.cli.main import CarefulGroup, sentence_for
from fieldlog.cli.notes_commands import SHORT
from fieldlog.cli.session import (
    Session,
    fits,
    json_option,
    pass_session,
    plain,
    print_json,
    say,
    table,
    tell_waiting,
    write_file,
)
from fieldlog.core.counting import counted
from fieldlog.errors import InputError, NotFound

if TYPE_CHECKING:
    from fieldlog.app.by_hand import ByHand
    from fieldlog.records.types import FollowUp

WHO = click.Choice(["farrier", "owner", "vet", "other"])


@click.group("follow-ups", cls=CarefulGroup, invoke_without_command=True)
@click.pass_context
def follow_ups_command(ctx: click.Context) -> None:
    """What was promised, when, by whom. Without a subcommand this is “follow-ups list”.

    Follow-ups come from saved notes (“recheck in four weeks”) and can be added by hand.
    """
    if ctx.invoked_subcommand is None:
        sentence_for(lambda: _list(ctx.obj, _open(ctx.obj), as_json=False))


def _open(session: Session) -> Sequence[FollowUp]:
    return session.store.lines()


follow_ups_command.instead = "A horse's are “fieldlog follow-ups list --horse NAME”."


@follow_ups_command.command("list")
@click.option("--overdue", is_flag=True, help="Only those whose day has passed.")
@click.option("--today", "today_only", is_flag=True, help="Only those due today.")
@click.option("--week", is_flag=True, help="Only those due in the next seven days.")
@click.option("--waiting", is_flag=True, help="Only those that somebody else has to do.")
@click.option("--horse", help="Only this horse's.")
@click.option("--barn", help="Only at this barn.")
@click.option("--who", type=WHO, help="Only what this party has to do.")
@click.option("--closed", is_flag=True, help="Done and dropped ones as well.")
@click.option("--by-barn", is_flag=True, help="Barn by barn, so that one trip serves many.")
@json_option
@pass_session
def list_follow_ups(
    session: Session,
    overdue: bool,
    today_only: bool,
    week: bool,
    waiting: bool,
    horse: str | None,
    barn: str | None,
    who: str | None,
    closed: bool,
    by_barn: bool,
    as_json: bool,
) -> None:
    """List follow-ups, the urgent and the earliest first."""
    from fieldlog.records.types import FollowUpState

    store = session.store
    horse_id = store.horse_named(horse).id if horse else None
    found = store.lines(
        None if closed else FollowUpState.OPEN,
        horse_id=horse_id,
        barn=_barn(session, barn) if barn else None,
        who=who,
    )
    today = session.today
    if overdue:
        found = [f for f in found if f.due and f.due < today and f.state is FollowUpState.OPEN]
    if today_only:
        found = [f for f in found if f.due == today]
    if week:
        found = [f for f in found if f.due and today <= f.due <= today + timedelta(days=7)]
    if waiting:
        found = [f for f in found if f.who != "farrier"]
    if by_barn:
        found = sorted(found, key=lambda f: (not f.barn, f.barn))
    _list(session, found, as_json)


def _barn(session: Session, typed: str) -> str:
    """A barn as it is written in the records.

    Raises:
        NotFound: no horse stands there.
    """
    barns = sorted({h.barn for h in session.store.horses() if h.barn})
    wanted = typed.strip().casefold()
    meant = [b for b in barns if b.casefold() == wanted]
    meant = meant or [b for b in barns if b.casefold().startswith(wanted)]
    if len(meant) != 1:
        raise NotFound(
            f"{'Several barns begin' if meant else 'No horse stands at a barn that begins'} with "
            f"“{typed}”.",
            f"Known are {', '.join(barns)}." if barns else "No barn is noted yet.",
        )
    return meant[0]


def _list(session: Session, found: Sequence[FollowUp], as_json: bool) -> None:
    if as_json:
        print_json([plain(f) for f in found])
        return
    if not found:
        left = len(_open(session))
        say(
            f"None that fits. Open in all: {left} (fieldlog follow-ups)."
            if left
            else "No follow-ups. Nothing that was promised is open."
        )
    else:
        apart = session.store.told_apart()
        rows = [
            (
                f.id[:SHORT],
                when(f, session.today),
                apart.get(f.horse_id or "", f.horse),
                f.barn,
                what(f),
                f.who,
            )
            for f in found
        ]
        header = ("id", "due", "horse", "barn", "what", "who")
        if fits(header, rows):
            click.echo(table(header, rows))
        else:
            say("\n".join(map(_in_two_lines, rows)))
    tell_waiting(session.store)


def _in_two_lines(row: Sequence[str]) -> str:
    """A line of the list where columns are too narrow to read: what is to be done has its own."""
    short, due, horse, barn, to_do, who = row
    where = ", ".join(filter(None, (horse, barn)))
    by = f" ({who})" if who != "farrier" else ""
    return f"{short}  {'  '.join(filter(None, (due, where)))}\n{' ' * SHORT}  {to_do}{by}"


def when(f: FollowUp, today: date) -> str:
    """``2026-12-23``, ``OVERDUE 2026-11-20``, ``today``, or the words that were spoken."""
    if f.state.value != "open":
        return f.state.value + (f" {f.closed_at:%Y-%m-%d}" if f.closed_at else "")
    urgent = "URGENT " if f.urgent else ""
    if f.due is None:
        return urgent + (f.due_spoken if f.due_spoken and not _is_day(f, today) else "no day")
    if f.due < today:
        return f"{urgent}OVERDUE {f.due}"
    return f"{urgent}today" if f.due == today else f"{urgent}{f.due}"


def _is_day(f: FollowUp, today: date) -> bool:
    """Whether the words named a day: it was taken away since, and counts from the note's day."""
    from fieldlog.typed_days import spoken_day

    try:
        spoken_day(f.due_spoken, today)
    except InputError:
        return False
    return True


def due_words(f: FollowUp, today: date) -> str:
    """For a sentence: ``due 2026-12-23``, ``overdue since 2026-11-20``, ``without a day``."""
    said = when(f, today)
    if f.due is None and said.endswith("no day"):
        return "without a day"
    return said.replace("OVERDUE", "overdue since") if "OVERDUE" in said else f"due {said}"


def whose(f: FollowUp) -> str:
    """The horse's name, or that there is none."""
    return f.horse or "no horse"


def what(f: FollowUp) -> str:
    """What is to be done, on which feet, on what condition, why it was closed, where it was said
    if that was not once."""
    from fieldlog.core.feet import describe_feet

    parts = [f.text]
    if f.feet:
        parts.append(describe_feet(f.feet))
    if f.condition:
        parts.append(f"if: {f.condition}" if not f.condition.startswith("if") else f.condition)
    told = f" ({f.reason})" if f.reason else ""
    return ", ".join(parts) + told + (f" [{f.where_said}]" if f.also else "")


@follow_ups_command.command("show")
@click.argument("follow_up")
@json_option
@pass_session
def show(session: Session, follow_up: str, as_json: bool) -> None:
    """Show one FOLLOW_UP (its id, or the first letters of it) and the note that caused it."""
    store = session.store
    found = store.line(follow_up)
    if as_json:
        print_json(plain(found))
        return
    say(f"{whose(found)}: {what(found)}, {found.who}")
    say(f"due: {when(found, session.today)}")
    for entry_id in dict.fromkeys(store.follow_up(one).entry_id for one in found.ids):
        if entry_id:
            stored = store.entry(entry_id)
            say(f"from the note of {stored.at:%Y-%m-%d %H:%M}: “{stored.entry.words}”")
        else:
            say("added by hand")


@follow_ups_command.command("add")
@click.argument("text", nargs=-1, required=True)
@click.option("--horse", help="The horse it is about.")
@click.option("--due", "due_text", help='The day: 2026-12-23, tomorrow, "next friday".')
@click.option("--in-weeks", type=click.IntRange(1, 104), help="Or so many weeks from today.")
@click.option("--who", type=WHO, help="Who does it; you, unless TEXT says otherwise.")
@click.option("--if", "condition", default="", help="On what condition.")
@click.option(
    "--kind",
    help="recheck, next_trim, radiographs, vet_visit, call, owner_care, bring, second_handler...; "
    "else as TEXT says. A visit keeps a recheck and a next_trim, nothing else.",
)
@click.option("--urgent", is_flag=True, help="Put it first.")
@click.option("--past", is_flag=True, help="A day before today is meant.")
@pass_session
def add(
    session: Session,
    text: tuple[str, ...],
    horse: str | None,
    due_text: str | None,
    in_weeks: int | None,
    who: str | None,
    condition: str,
    kind: str | None,
    urgent: bool,
    past: bool,
) -> None:
    """Add a follow-up by hand; TEXT says what is to be done, and may name the day.

    \b
    Examples:
      fieldlog follow-ups add recheck in two weeks --horse Duke
      fieldlog follow-ups add order rasps friday
    """
    if due_text and in_weeks:
        raise InputError("--due and --in-weeks say the same thing.", "Give one of them.")
    _check_kind(kind)
    store, words = session.store, " ".join(text)
    horse_id = store.horse_named(horse).id if horse else None
    due, doubt = _due_asked(session, due_text, in_weeks)
    _check_past(due, session.today, past)
    said = _said_by(session, words)
    made = store.add_follow_up(
        kind or said.code,
        words,
        who=who or said.who,
        horse_id=horse_id,
        due=due or said.due,
        due_spoken="" if due else said.due_spoken,
        condition=condition,
        urgent=urgent or said.urgent,
    )
    say(f"Added {made.id[:SHORT]}: {what(made)}, {due_words(made, session.today)}.")
    if doubt := doubt if due else said.doubt:
        say(f"Check the day: {doubt}.")


def _check_kind(kind: str | None) -> None:
    from fieldlog.language.lexicon import find_item

    if kind is not None and find_item(kind, "followup") is None:
        raise InputError(
            f"“{kind}” is no kind of follow-up.", "“follow-ups add --help” lists some."
        )


def _due_asked(
    session: Session, due_text: str | None, in_weeks: int | None
) -> tuple[date | None, str]:
    """The day that the options give, and what is in doubt of it."""
    from fieldlog.typed_days import spoken_day

    if due_text:
        return spoken_day(due_text, session.today)
    return (session.today + timedelta(weeks=in_weeks) if in_weeks else None), ""


def _said_by(session: Session, words: str) -> ByHand:
    """What the words themselves say of kind, day and who."""
    from fieldlog.app import understanding
    from fieldlog.app.by_hand import one_follow_up

    at = datetime.combine(session.today, datetime.min.time())
    facts = understanding.typed(words, at, session.settings, session.places)
    return one_follow_up(facts, words, session.today)


def _check_past(due: date | None, today: date, meant: bool) -> None:
    """A day before today is more often a slip of the year than meant."""
    if due is not None and due < today and not meant:
        raise InputError(
            f"{due} is past.",
            "Give a day from today on, mark it done, or add --past if that day is meant.",
        )


@follow_ups_command.command("done")
@click.argument("which", nargs=-1, required=True)
@click.option("--note", default="", help="How it was done.")
@pass_session
def done(session: Session, which: tuple[str, ...], note: str) -> None:
    """Mark follow-ups as done; WHICH are ids from the list (their first letters do)."""
    store = session.store
    with store.write():  # All or none: a wrong id must not leave half of them done.
        lines = {line.id: line for line in map(store.line, which)}
        for line in lines.values():
            store.close_line(line.ids, note)
        closed = [store.line(one) for one in lines]
    for one in closed:
        say(f"Done: {whose(one)}: {what(one)}")


@follow_ups_command.command("drop")
@click.argument("which")
@click.option("--reason", required=True, help="Why it is dropped; kept with it.")
@pass_session
def drop(session: Session, which: str, reason: str) -> None:
    """Drop a follow-up (WHICH is its id), with the reason."""
    store = session.store
    line = store.line(which)
    store.drop_line(line.ids, reason)
    dropped = store.line(line.id)
    say(f"Dropped: {whose(dropped)}: {what(dropped)}")


@follow_ups_command.command("reopen")
@click.argument("which")
@pass_session
def reopen(session: Session, which: str) -> None:
    """Open a done or dropped follow-up again; WHICH is its id."""
    store = session.store
    was = store.line(which)
    if was.state.value == "open":
        say(f"Open already: {whose(was)}: {what(was)}")
        return
    store.reopen_line(was.ids)
    opened = store.line(was.id)
    say(f"Open again: {whose(opened)}: {what(opened)}")


@follow_ups_command.command("move")
@click.argument("which")
@click.argument("day", nargs=-1, required=True)
@click.option("--past", is_flag=True, help="A day before today is meant.")
@pass_session
def move(session: Session, which: str, day: tuple[str, ...], past: bool) -> None:
    """Give a follow-up (WHICH is its id) another DAY.

    DAY is 2026-12-23, 23.12.2026, tomorrow, friday, next tuesday, in two weeks, or none.
    """
    from fieldlog.typed_days import spoken_day

    typed, due, doubt = " ".join(day), None, ""
    if typed != "none":
        due, doubt = spoken_day(typed, session.today)
        _check_past(due, session.today, past)
    store = session.store
    line = store.line(which)
    store.move_line(line.ids, due)
    moved = store.line(line.id)
    say(f"Moved: {whose(moved)}: {what(moved)}, {due_words(moved, session.today)}")
    if doubt:
        say(f"Check the day: {doubt}.")


@follow_ups_command.command("ics")
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--visits/--no-visits", default=True, help="The next visits by cycle as well.")
@click.option("--force", is_flag=True, help="Replace the file that is there.")
@pass_session
def ics(session: Session, file: Path, visits: bool, force: bool) -> None:
    """Write all dated follow-ups as an iCalendar FILE for any calendar.

    Write it again after changes and import it again: a changed date replaces the old event, a done
    or dropped follow-up takes its event away. The file holds names of horses and barns,
    and of owners where two horses share a name.
    """
    from fieldlog.papers.calendar import write_calendar
    from fieldlog.papers.coming import calendar_items, left_items, visit_items

    store = session.store
    apart = store.told_apart()
    promises = [
        replace(f, horse=apart.get(f.horse_id or "", f.horse)) for f in store.follow_ups(None)
    ]
    items = calendar_items(promises)
    if visits:
        due = store.visits_due(usual_weeks=session.settings.cycle_weeks)
        named = (replace(v.horse, name=apart.get(v.horse.id, v.horse.name)) for v in due)
        items += visit_items([replace(v, horse=h) for v, h in zip(due, named, strict=True)])
        items += left_items(store)
    text = write_calendar(items, datetime.now(UTC), name="Hoof care")
    write_file(file, text, force)
    live = sum(not item.cancelled for item in items)
    say(f"Wrote {file}: {counted(live, 'date')}, {len(items) - live} taken away.")
