"""``paper``: summaries, letters and records as PDF, HTML or text."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from fieldlog.cli.main import CarefulGroup
from fieldlog.cli.session import (
    Session,
    pass_session,
    read_day,
    read_edge,
    say,
    with_options,
    write_file,
)
from fieldlog.errors import InputError

if TYPE_CHECKING:
    from fieldlog.papers.content import HorseFile
    from fieldlog.papers.document import Document

F = TypeVar("F", bound=Callable[..., Any])

OUTPUT: Sequence[Callable[[F], F]] = (
    click.option(
        "--out",
        type=click.Path(dir_okay=False, path_type=Path),
        help="Write to this file: .pdf, .html or .txt. Without it the words are printed.",
    ),
    click.option("--force", is_flag=True, help="Replace the file that is there."),
    click.option(
        "--paper",
        type=click.Choice(["a4", "letter"]),
        default="a4",
        show_default=True,
        help="Size of a PDF's pages.",
    ),
)


@click.group("paper", cls=CarefulGroup)
def paper_command() -> None:
    """Summaries, letters and records as PDF, HTML or text.

    Papers hold only what is saved about the horse they are for. They say what a farrier saw; they
    never diagnose.
    """


def give(document: Document, out: Path | None, force: bool, paper: str) -> None:
    """Print a paper, or write it in the form that the file's ending says.

    Raises:
        InputError: an unknown ending, or the file is there already.
    """
    from fieldlog.papers.plain import to_text

    if out is None:
        click.echo(to_text(document), nl=False)
        return
    form = out.suffix.lower()
    if form == ".pdf":
        from fieldlog.papers.pdf import to_pdf

        write_file(out, to_pdf(document, paper), force)
    elif form in (".html", ".htm"):
        from fieldlog.papers.html import to_html

        write_file(out, to_html(document), force)
    elif form == ".txt":
        write_file(out, to_text(document), force)
    else:
        raise InputError(f"“{out.suffix}” is no form of paper.", "Use .pdf, .html or .txt.")
    say(f"Wrote {out}.")


def _file(session: Session, name: str, with_seal: bool = False) -> HorseFile:
    from fieldlog.papers.gather import horse_file

    horse = session.store.horse_named(name)
    return horse_file(session.store, horse, session.settings, session.today, with_seal=with_seal)


def _tell_what_it_lacks(session: Session, name: str, day: date | None = None) -> None:
    """Drafts are on no paper; said beside it, so that the paper itself stays clean."""
    from fieldlog.papers.gather import nameless, not_in_it

    lacks = not_in_it(session.store, session.store.horse_named(name).id, day)
    if lacks:
        say(f"{lacks}: fieldlog review", err=True)
    if unsigned := nameless(session.settings):
        say(f"{unsigned}: fieldlog settings", err=True)


def _tell_whom_it_names(session: Session, name: str, file: HorseFile) -> None:
    """The words of a dated record stand whole: who else is named in them is said beside it."""
    from fieldlog.papers.discretion import named_in, names_of_others

    strangers = names_of_others(session.store, session.store.horse_named(name))
    found = named_in((e.text for e in file.sealed), strangers)
    if found:
        say(
            f"Its “words as kept” may name others ({', '.join(found)}): read it through before "
            "you hand it out.",
            err=True,
        )


@paper_command.command("owner")
@click.argument("horse")
@click.option("--day", "day_text", help="The visit; the last one if left out.")
@with_options(OUTPUT)
@pass_session
def owner(
    session: Session, horse: str, day_text: str | None, out: Path | None, force: bool, paper: str
) -> None:
    """The owner's summary of a visit to HORSE, in plain words."""
    from fieldlog.papers.gather import visit_on, writer_from
    from fieldlog.papers.visit import owner_summary

    file = _file(session, horse)
    visit = visit_on(file, read_day(day_text, session.today) if day_text else None)
    give(owner_summary(file, visit, writer_from(session.settings)), out, force, paper)
    _tell_what_it_lacks(session, horse, visit.day if day_text else None)


@paper_command.command("vet")
@click.argument("horse")
@click.option("--day", "day_text", help="The visit; the last one if left out.")
@click.option("--to", "vet", default="", help="Name of the veterinarian or practice.")
@click.option(
    "--earlier",
    type=click.IntRange(0),
    default=3,
    show_default=True,
    help="How many visits before to sum up.",
)
@with_options(OUTPUT)
@pass_session
def vet(
    session: Session,
    horse: str,
    day_text: str | None,
    vet: str,
    earlier: int,
    out: Path | None,
    force: bool,
    paper: str,
) -> None:
    """A letter to the veterinarian about HORSE: observations, measures, what is asked for.

    Suspicions are worded as suspicions. Nothing in it is a diagnosis.
    """
    from fieldlog.papers.gather import visit_on, writer_from
    from fieldlog.papers.vet import vet_letter

    file = _file(session, horse)
    visit = visit_on(file, read_day(day_text, session.today) if day_text else None)
    give(vet_letter(file, visit, writer_from(session.settings), vet, earlier), out, force, paper)
    _tell_what_it_lacks(session, horse, visit.day if day_text else None)


@paper_command.command("before")
@click.argument("horse")
@with_options(OUTPUT)
@pass_session
def before(session: Session, horse: str, out: Path | None, force: bool, paper: str) -> None:
    """The page to read before a visit to HORSE: safety first."""
    from fieldlog.papers.gather import writer_from
    from fieldlog.papers.horse import before_visit

    file = _file(session, horse)
    give(before_visit(file, writer_from(session.settings), session.today), out, force, paper)


@paper_command.command("record")
@click.argument("horse")
@click.option("--since", "since_text", help="First day.")
@click.option("--until", "until_text", help="Last day.")
@click.option("--charts/--no-charts", default=True, help="Trends as pictures at the end.")
@with_options(OUTPUT)
@pass_session
def record(
    session: Session,
    horse: str,
    since_text: str | None,
    until_text: str | None,
    charts: bool,
    out: Path | None,
    force: bool,
    paper: str,
) -> None:
    """Everything saved about HORSE in a period."""
    from fieldlog.papers.gather import writer_from
    from fieldlog.papers.horse import horse_record

    file = _file(session, horse)
    since = read_edge(since_text, session.today) if since_text else None
    until = read_edge(until_text, session.today, last=True) if until_text else None
    if since and until and since > until:
        raise InputError("The period ends before it begins.", "Swap --since and --until.")
    pictures = _pictures(session, file) if charts and out is not None else ()
    writer = writer_from(session.settings)
    give(horse_record(file, writer, since, until, pictures), out, force, paper)
    _tell_what_it_lacks(session, horse)


@paper_command.command("neglect")
@click.argument("horse")
@click.option("--charts/--no-charts", default=True, help="Trends as pictures at the end.")
@with_options(OUTPUT)
@pass_session
def neglect(
    session: Session, horse: str, charts: bool, out: Path | None, force: bool, paper: str
) -> None:
    """A dated, numbered, sealed record of a neglected HORSE: first hand only, hearsay apart.

    The hash chain is verified while printing. The paper points to local law and authorities; it
    does not say what the law is.
    """
    from fieldlog.papers.gather import writer_from
    from fieldlog.papers.neglect import neglect_record

    file = _file(session, horse, with_seal=True)
    store = session.store
    whole = store.verify_chain().ok
    intact = whole and not store.shown_otherwise(store.horse_named(horse).id)
    pictures = _pictures(session, file) if charts and out is not None else ()
    writer = writer_from(session.settings)
    give(neglect_record(file, writer, session.today, intact, pictures), out, force, paper)
    _tell_what_it_lacks(session, horse)
    _tell_whom_it_names(session, horse, file)


@paper_command.command("day")
@click.argument("day_words", metavar="[DAY]", nargs=-1)
@click.option("--until", "until_text", help="Everything due up to this day as well.")
@with_options(OUTPUT)
@pass_session
def day(
    session: Session,
    day_words: tuple[str, ...],
    until_text: str | None,
    out: Path | None,
    force: bool,
    paper: str,
) -> None:
    """The day sheet for DAY (today if left out). For your own eyes: it names several clients."""
    from fieldlog.papers.coming import errands_for, stops_for
    from fieldlog.papers.day import day_sheet
    from fieldlog.papers.gather import writer_from
    from fieldlog.typed_days import spoken_day

    when, _ = spoken_day(" ".join(day_words) or "today", session.today)
    until = spoken_day(until_text, session.today)[0] if until_text else None
    stops = stops_for(session.store, when, session.settings, until)
    errands = errands_for(session.store, when, until)
    give(day_sheet(stops, writer_from(session.settings), when, errands), out, force, paper)


def _pictures(session: Session, file: HorseFile) -> tuple[tuple[bytes, str], ...]:
    from fieldlog.papers.gather import chart_of

    return chart_of(file, session.settings.british_names)
