"""``search``, ``horse`` and ``day``: what was saved, found again."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from fieldlog.cli.main import CarefulCommand
from fieldlog.cli.notes_commands import SHORT
from fieldlog.cli.session import (
    Session,
    json_option,
    pass_session,
    plain,
    print_json,
    read_edge,
    say,
    table,
    tell_waiting,
)
from fieldlog.cli.trends_shown import asked_for, print_trends, write_chart
from fieldlog.errors import InputError, NotFound

if TYPE_CHECKING:
    from fieldlog.core.feet import Foot
    from fieldlog.records.search_line import Wanted
    from fieldlog.records.store import Store
    from fieldlog.records.types import Horse, SearchHit


@click.command("search", cls=CarefulCommand)
@click.argument("line", nargs=-1)
@click.option(
    "--limit", type=click.IntRange(1, 10_000), default=50, show_default=True, help="Most hits."
)
@click.option("--keep", metavar="NAME", help="Keep this search under a name.")
@click.option("--kept", metavar="NAME", help="Run a kept search; with LINE both must fit.")
@click.option("--list", "list_them", is_flag=True, help="List the kept searches.")
@click.option("--forget", metavar="NAME", help="Forget a kept search.")
@click.option("--play", type=click.IntRange(1), metavar="N", help="Play the sound of the Nth hit.")
@json_option
@pass_session
def search_command(
    session: Session,
    line: tuple[str, ...],
    limit: int,
    keep: str | None,
    kept: str | None,
    list_them: bool,
    forget: str | None,
    play: int | None,
    as_json: bool,
) -> None:
    """Search saved notes by words and filters.

    Under each day stands its note: “fieldlog notes show NOTE” shows it whole, to read or correct.
    Words are found in all their forms and with trade synonyms (near fore finds left front, x rays
    finds radiographs). Filters may stand anywhere in LINE:

    \b
      horse:Bramble  owner:Tanner  'barn:"Stony Ridge"'
      foot:LF  foot:front  foot:hind  foot:left
      finding:thrush  not:thrush       seen; looked for and not seen
      place:quarter  severity:moderate
      since:2026-03  until:2026-06-30  since:90d  since:yesterday
      "toe_length>95mm"  "toe_angle<48"
      open:yes                         only horses with an open follow-up

    \b
    Examples:
      fieldlog search thrush foot:hind since:2026-06
      fieldlog search white line separation foot:front since:2026-03
      fieldlog search horse:Bramble "toe_length>100mm"
    """
    store = session.store
    if list_them:
        _list_kept(store, as_json)
        return
    if forget:
        store.forget_search(forget)
        say(f"Forgot “{forget}”.")
        return
    text = " ".join(line)
    if kept:
        text = f"{store.saved_search(kept)} {text}".strip()
    wanted = _understood(session, text)
    if keep:
        store.save_search(keep, text)
    hits = store.search(wanted, session.today, limit)
    if play is not None:
        _play(store, hits, play)
    elif as_json:
        print_json([plain(h) for h in hits])
    else:
        for sentence in filter(None, (*wanted.taken, store.named_in(wanted))):
            say(sentence)
        if not hits:
            say(store.nobody_meant(wanted) or "Nothing saved fits.")
            say("Drafts are not searched: “fieldlog drafts” lists them.")
        _print_hits(store, hits, limit)


def _list_kept(store: Store, as_json: bool) -> None:
    searches = store.saved_searches()
    if as_json:
        print_json(searches)
    elif searches:
        click.echo(table(("name", "search"), list(searches.items())))
    else:
        say("No kept searches. Add --keep NAME to a search.")


def _understood(session: Session, text: str) -> Wanted:
    from fieldlog.records.search_line import read_line

    if not text:
        raise InputError("Say what to look for,", "e.g. fieldlog search thrush foot:hind")
    wanted = read_line(text, session.today, session.settings.length_unit)
    if wanted.unclear:
        raise InputError(wanted.unclear[0], " ".join(wanted.unclear[1:]))
    return wanted


def _print_hits(store: Store, hits: Sequence[SearchHit], limit: int) -> None:
    apart = store.told_apart()
    width = len(str(len(hits)))
    for number, hit in enumerate(hits, 1):
        what = f"{apart.get(hit.horse_id, hit.horse)}: {hit.label or 'as spoken'}"
        say(f"{number:>{width}}  {hit.day}  {what}")
        say(f"{'':{width}}  {hit.entry_id[:SHORT]}    {_quoted(hit.sentence)}".rstrip())
    if len(hits) == limit:
        say(f"… the first {limit}; --limit shows more.")


def _play(store: Store, hits: Sequence[SearchHit], number: int) -> None:
    """Play the piece of sound that a hit came from, or the whole note."""
    from fieldlog.sound.player import SystemPlayer

    if number > len(hits):
        raise NotFound(f"There is no hit {number}; {len(hits)} were found.", "Choose another.")
    hit = hits[number - 1]
    path = store.recording(hit.recording_id).path if hit.recording_id else None
    if path is None or not path.exists():
        raise NotFound("There is no sound for that hit.", "It was typed, or its sound is gone.")
    start, end = hit.sound or (0.0, None)
    say(f"Playing {hit.horse}, {hit.day}: {_quoted(hit.sentence)}")
    player = SystemPlayer()
    player.play(path, start, end)
    while player.playing:
        player.wait(0.2)


def _quoted(sentence: str) -> str:
    return f"“{sentence}”" if sentence else ""


@click.command("horse", cls=CarefulCommand)
@click.argument("name")
@click.option("--history", is_flag=True, help="Everything saved, newest visit first.")
@click.option("--foot", "foot_text", help='Only this foot: LF, RF, LH, RH, or "near fore".')
@click.option("--since", "since_text", help="Only from this day on.")
@click.option("--trends", is_flag=True, help="Measurements over time, as lines of values.")
@click.option(
    "--chart",
    type=click.Path(dir_okay=False, path_type=Path),
    help="Write the trends as a picture: .png or .svg.",
)
@click.option("--force", is_flag=True, help="Replace the picture that is there.")
@json_option
@pass_session
def horse_command(
    session: Session,
    name: str,
    history: bool,
    foot_text: str | None,
    since_text: str | None,
    trends: bool,
    chart: Path | None,
    force: bool,
    as_json: bool,
) -> None:
    """One horse: before the visit, history, trends.

    Without options this is the page to read before a visit to the horse called NAME: safety first,
    open follow-ups, the last visit, the last measurements.
    """
    store = session.store
    horse = store.horse_named(name)
    foot = read_foot(foot_text) if foot_text else None
    since = read_edge(since_text, session.today) if since_text else None
    if chart:
        write_chart(session, horse, chart, force)
    elif trends:
        print_trends(session, horse, foot, since, as_json)
    elif history or foot or since:
        _print_history(session, horse, foot, since, as_json)
    else:
        _print_page(session, horse, as_json)


def _print_page(session: Session, horse: Horse, as_json: bool) -> None:
    if as_json:
        print_json(plain(session.store.page(horse.id, session.settings.cycle_weeks)))
        return
    from fieldlog.papers.gather import horse_file, writer_from
    from fieldlog.papers.horse import before_visit
    from fieldlog.papers.plain import to_text

    file = horse_file(session.store, horse, session.settings, session.today)
    click.echo(to_text(before_visit(file, writer_from(session.settings), session.today)), nl=False)


def read_foot(text: str) -> Foot:
    """A foot as typed: short, American or British.

    Raises:
        InputError: none of these.
    """
    from fieldlog.core.feet import feet_named

    feet = feet_named(text)
    if len(feet) != 1:
        raise InputError(f"“{text}” is no foot.", 'Give LF, RF, LH, RH, or e.g. "near fore".')
    return feet[0]


def _print_history(
    session: Session, horse: Horse, foot: Foot | None, since: date | None, as_json: bool
) -> None:
    from fieldlog.language.in_words import in_words

    british = session.settings.british_names
    facts = session.store.saved_facts(horse.id, foot=foot, since=since)
    if as_json:
        print_json(
            [{"day": f.day.isoformat(), "entry": f.entry_id, **f.fact.to_dict()} for f in facts]
        )
        return
    if not facts:
        say(f"Nothing is saved about {horse.name}{asked_for(foot, since, british)}.")
        last = session.store.last_day(horse.id)
        if last is not None:
            say(f"The last visit was on {last}; “fieldlog horse {horse.name} --history” shows all.")
    else:
        say(" · ".join(filter(None, (horse.name, horse.client, horse.barn))))
    note = ""
    for saved in facts:
        if saved.entry_id != note:
            note = saved.entry_id
            say(f"\n{saved.day:%A} {saved.day}, note {note[:SHORT]}")
        say(f"  {in_words(saved.fact, british)}")


@click.command("day", cls=CarefulCommand)
@click.argument("day_words", metavar="[DAY]", nargs=-1)
@click.option("--until", "until_text", help="Everything due up to this day as well.")
@json_option
@pass_session
def day_command(
    session: Session, day_words: tuple[str, ...], until_text: str | None, as_json: bool
) -> None:
    """The day sheet: who is due on DAY (today if left out) or before, barn by barn.

    DAY is a date, or tomorrow, friday, in two weeks. Cautions come first, then what is open.
    “fieldlog paper day” prints it.
    """
    from fieldlog.papers.coming import errands_for, stops_for
    from fieldlog.papers.day import day_sheet
    from fieldlog.papers.gather import writer_from
    from fieldlog.papers.plain import to_text
    from fieldlog.typed_days import spoken_day

    day, _ = spoken_day(" ".join(day_words) or "today", session.today)
    until = spoken_day(until_text, session.today)[0] if until_text else None
    stops = stops_for(session.store, day, session.settings, until)
    if as_json:
        print_json(
            [
                {
                    "barn": s.barn,
                    "clients": list(s.phones),
                    "horses": [
                        {
                            "horse": f.subject.horse,
                            "owner": f.subject.owner,
                            "due": f.next_visit.isoformat() if f.next_visit else None,
                            "cautions": list(f.cautions),
                            "open": [p.line() for p in f.promises if p.state == "open"],
                        }
                        for f in s.horses
                    ],
                }
                for s in stops
            ]
        )
        return
    errands = errands_for(session.store, day, until)
    sheet = day_sheet(stops, writer_from(session.settings), day, errands)
    click.echo(to_text(sheet), nl=False)
    tell_waiting(session.store)
