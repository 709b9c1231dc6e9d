"""``clients`` and ``horses``: the lists that notes are matched to."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, Any

import click

from fieldlog.cli.main import CarefulGroup, sentence_for
from fieldlog.cli.notes_commands import SHORT
from fieldlog.cli.session import (
    Session,
    json_option,
    pass_session,
    plain,
    print_json,
    say,
    table,
    with_options,
)
from fieldlog.cli.spellings import (
    client_named,
    clients_apart,
    clients_same,
    horses_apart,
    horses_same,
)
from fieldlog.errors import InputError
from fieldlog.records.types import Horse

if TYPE_CHECKING:
    from fieldlog.records.store import Store

client_fields = (
    click.option("--phone", help="Phone number, printed on the day sheet."),
    click.option("--email", help="Mail address."),
    click.option("--address", help="Postal address."),
    click.option("--notes", help="Anything worth knowing."),
)
horse_fields = (
    click.option("--owner", help='Name of the owner (see “fieldlog clients”); "" for none.'),
    click.option("--barn", help="Where the horse stands."),
    click.option("--colour", "--color", "colour", help="Its colour."),
    click.option("--sex", help="Mare, gelding, stallion, colt, filly."),
    click.option("--born", help="Year or date of birth."),
    click.option("--microchip", help="15 digits (ISO 11784)."),
    click.option("--ueln", help="15 characters (Universal Equine Life Number)."),
    click.option("--cycle-weeks", type=click.IntRange(1, 52), help="Weeks between visits."),
    click.option("--caution", help="Safety first: kicks, needs two people..."),
    click.option("--notes", help="Anything worth knowing."),
)


@click.group("clients", cls=CarefulGroup, invoke_without_command=True)
@click.pass_context
def clients_command(ctx: click.Context) -> None:
    """List, add or change owners. Without a subcommand this is “clients list”."""
    if ctx.invoked_subcommand is None:
        sentence_for(lambda: _list_clients(ctx.obj, as_json=False))


clients_command.add_command(clients_same)
clients_command.add_command(clients_apart)


@clients_command.command("list")
@json_option
@pass_session
def list_clients(session: Session, as_json: bool) -> None:
    """List every client with their horses."""
    _list_clients(session, as_json)


def _list_clients(session: Session, as_json: bool) -> None:
    store = session.store
    horses = store.horses()
    every = [(c, [h for h in horses if h.client_id == c.id]) for c in store.clients()]
    rows = [(c, hs) for c, hs in every if not c.forgotten]
    if as_json:
        print_json([{**plain(c), "horses": [h.name for h in hs]} for c, hs in every])
    elif not rows:
        say('No clients yet. Add one: fieldlog clients add "Marta Ellery" --phone ...')
    else:
        click.echo(
            table(
                ("client", "phone", "horses"),
                [(c.name, c.phone, ", ".join(h.name for h in hs)) for c, hs in rows],
            )
        )


@clients_command.command("add")
@click.argument("name")
@with_options(client_fields)
@pass_session
def add_client(session: Session, name: str, **more: str | None) -> None:
    """Add an owner called NAME (in quotes if it has spaces)."""
    client = session.store.add_client(name, **_given(more))
    say(f"Added {client.name}.")
    for close in session.store.close_clients(client.name)[:1]:
        say(
            f"There is a {close.name} too. If that is who you mean: "
            f'fieldlog clients same "{client.name}" "{close.name}"'
        )


@clients_command.command("change")
@click.argument("name")
@click.option("--new-name", help="Rename.")
@with_options(client_fields)
@pass_session
def change_client(session: Session, name: str, new_name: str | None, **more: str | None) -> None:
    """Change what is known of the owner called NAME."""
    client = client_named(session, name)
    changes = _given({**more, "name": new_name})
    _check_given(changes, "clients")
    session.store.update_client(replace(client, **changes))
    say(f"Changed {changes.get('name', client.name)}.")


@clients_command.command("forget")
@click.argument("name")
@click.option("--reason", required=True, help="Why; kept with the removal. Without names.")
@click.option("--yes", is_flag=True, help="Do not ask.")
@pass_session
def forget_client(session: Session, name: str, reason: str, yes: bool) -> None:
    """Take the words, sounds and personal data of the owner called NAME out for good.

    For when a client asks for it. The chain of saved entries still verifies: that something was
    saved on a day stays, what it said goes. Backups, exports and papers made before are not
    reached.
    """
    from fieldlog.core.counting import counted

    client = client_named(session, name)
    if not reason.strip():
        raise InputError("Taking data out needs a reason.", "Say in a few words why.")
    horses = session.store.horses(client.id)
    if not yes:
        click.confirm(
            f"Take out {client.name}, {counted(len(horses), 'horse')} and everything said about "
            "them? This cannot be undone.",
            abort=True,
        )
    sold = session.store.horses_once_of(client.id)
    removed = session.store.forget_client(client.id, reason)
    say(
        f"Taken out: {counted(removed.horses, 'horse')}, the words of "
        f"{counted(removed.entries, 'note')}, {counted(len(removed.sounds), 'sound')}."
    )
    for recording in removed.shared:
        say(
            f"Left: the recording of {recording.started_at:%Y-%m-%d %H:%M}, which holds notes of "
            "other clients too."
        )
    for horse in sold:
        say(
            f"Left: what was noted of {horse.name} before it was sold; it is the horse's. Who is "
            f'named in it: fieldlog paper neglect "{session.store.full_name(horse)}"'
        )


@click.group("horses", cls=CarefulGroup, invoke_without_command=True)
@click.pass_context
def horses_command(ctx: click.Context) -> None:
    """List, add or change horses. Without a subcommand this is “horses list”.

    One horse's page is “fieldlog horse NAME”.
    """
    if ctx.invoked_subcommand is None:
        sentence_for(lambda: _list_horses(ctx.obj, "", as_json=False))


horses_command.add_command(horses_same)
horses_command.add_command(horses_apart)
horses_command.instead = "One horse's page is “fieldlog horse NAME”."


@horses_command.command("list")
@click.option("--owner", default="", help="Only this owner's.")
@json_option
@pass_session
def list_horses(session: Session, owner: str, as_json: bool) -> None:
    """List every horse with owner, barn and cycle."""
    _list_horses(session, owner, as_json)


def _list_horses(session: Session, owner: str, as_json: bool) -> None:
    store = session.store
    every = store.horses(client_named(session, owner).id if owner else None)
    horses = [h for h in every if not h.forgotten]
    if as_json:
        print_json([plain(h) for h in every])
    elif not horses:
        say('No horses yet. Add one: fieldlog horses add Juniper --owner "Marta Ellery"')
    else:
        usual = session.settings.cycle_weeks
        apart = store.told_apart()
        click.echo(
            table(
                ("horse", "owner", "barn", "weeks", "looks"),
                [
                    (
                        apart.get(h.id, h.name),
                        h.client,
                        h.barn,
                        str(h.cycle_weeks or f"({usual})"),
                        about(h, store),
                    )
                    for h in sorted(horses, key=lambda h: bool(h.left_on))
                ],
            )
        )


def looks(horse: Horse) -> str:
    """``bay mare, born 2017``."""
    first = " ".join(part for part in (horse.colour, horse.sex) if part)
    return ", ".join(part for part in (first, f"born {horse.born}" if horse.born else "") if part)


def about(horse: Horse, store: Store) -> str:
    """``bay mare, born 2017; also Rosy; left 2026-11-25: sold``."""
    gone = horse.gone(store.last_day(horse.id)) if horse.left_on else False
    left = f"left {horse.left_on}: {horse.left_why}" if gone else ""
    names = store.other_names(horse.id)
    also = f"also {', '.join(names)}" if names else ""
    return "; ".join(filter(None, (looks(horse), also, left)))


@horses_command.command("add")
@click.argument("name")
@with_options(horse_fields)
@pass_session
def add_horse(session: Session, name: str, owner: str | None, **more: Any) -> None:
    """Add a horse called NAME.

    An owner that is not known yet is added as well; if a known one is spelt nearly so, that is
    said. Horses of one name are told apart as "NAME of OWNER" wherever a horse is asked for.
    """
    store = session.store
    _check_born(more.get("born"), session.today)
    with store.write():
        known = store.find_client(owner) if owner else None
        client = known or (store.add_client(owner) if owner else None)
        horse = store.add_horse(name, client_id=client.id if client else None, **_given(more))
    say(f"Added {horse.name}{f' of {horse.client}' if horse.client else ''}.")
    if client is not None and known is None:
        say(f"{client.name} is a new client.")
        for close in store.close_clients(client.name)[:1]:
            say(
                f"Did you mean {close.name}? Then:\n"
                f'  fieldlog clients same "{client.name}" "{close.name}"'
            )
    _tell_twins(session, horse)
    _tell_close(session, horse)
    _give_drafts(session, horse)


def _tell_close(session: Session, horse: Horse) -> None:
    """Say that a known horse is spelt nearly so: two spellings part one horse's history."""
    store = session.store
    others = [h for h in store.find_horses(horse.name) if h.id != horse.id and not h.forgotten]
    if others and others[0].name.casefold() != horse.name.casefold():
        close = others[0]
        say(
            f"There is a {close.name}{f' of {close.client}' if close.client else ''} too. If that "
            f'is the one you mean: fieldlog horses same "{store.full_name(horse)}" '
            f'"{store.full_name(close)}"'
        )


def _give_drafts(session: Session, horse: Horse) -> None:
    """Say which drafts are the new horse's now."""
    given = session.store.give_drafts_that_name(horse)
    if given:
        ids = " ".join(d.id[:SHORT] for d in given)
        what = "The draft that names it is" if len(given) == 1 else "The drafts that name it are"
        say(f"{what} {horse.name}'s now: {ids}")


@horses_command.command("change")
@click.argument("name")
@click.option("--new-name", help="Rename.")
@click.option("--all-along", is_flag=True, help="With --owner: it was this owner's before too.")
@with_options(horse_fields)
@pass_session
def change_horse(
    session: Session,
    name: str,
    new_name: str | None,
    all_along: bool,
    owner: str | None,
    **more: Any,
) -> None:
    """Change what is known of the horse called NAME ("NAME of OWNER" if several are).

    Another owner is one from now on: papers say of earlier visits that they were another's.
    """
    store = session.store
    horse = store.horse_named(name)
    changes = _given({**more, "name": new_name})
    _check_born(more.get("born"), session.today)
    if owner is not None:
        changes["client_id"] = client_named(session, owner).id if owner.strip() else None
    _check_given(changes, "horses")
    horse = store.update_horse(replace(horse, **changes), all_along)
    say(f"Changed {horse.name}.")
    before = len(store.days_of_another_owner(horse))
    if owner and before:
        say(
            f"Its visits so far ({before}) stay in the time of the owner before. If it was "
            f"{horse.client}'s all along:\n"
            f'  fieldlog horses change "{store.full_name(horse)}" --owner "{horse.client}" '
            "--all-along"
        )
    if new_name:
        _tell_twins(session, horse)
        _tell_close(session, horse)


@horses_command.command("remove")
@click.argument("name")
@pass_session
def remove_horse(session: Session, name: str) -> None:
    """Take out the horse called NAME that was entered by mistake ("NAME of OWNER" if several are).

    Only a horse of which nothing was ever noted goes; what was noted is never lost.
    """
    gone = session.store.remove_horse(session.store.horse_named(name).id)
    whose = f" of {gone.client}" if gone.client else ""
    say(f"Removed {gone.name}{whose}. Nothing had been noted of it.")


@horses_command.command("left")
@click.argument("name")
@click.option("--reason", required=True, help="Why: sold, died, another farrier...")
@pass_session
def horse_left(session: Session, name: str, reason: str) -> None:
    """The horse called NAME is visited no more: sold, dead, with another farrier.

    Its notes, history and papers stay. It is due no more, and what was promised for it is dropped.
    It is back when a later visit of it is saved, or with “fieldlog horses back NAME”.
    """
    from fieldlog.core.counting import counted

    store = session.store
    horse = store.horse_named(name)
    dropped = store.horse_left(horse.id, reason, session.today)
    say(f"{horse.name} is due no more: {reason.strip()}.")
    if dropped:
        say(f"Dropped with it: {counted(len(dropped), 'follow-up')}.")
        for item in dropped:
            say(f"  {item.text}")
    say(f'To take this back: fieldlog horses back "{store.full_name(horse)}"')


@horses_command.command("back")
@click.argument("name")
@pass_session
def horse_back(session: Session, name: str) -> None:
    """The horse called NAME, which had left, is visited again; its promises are open again."""
    from fieldlog.core.counting import counted

    store = session.store
    horse = store.horse_named(name)
    opened = store.horse_back(horse.id)
    promises = f" {counted(len(opened), 'follow-up')} open again." if opened else ""
    say(f"{horse.name} is visited again.{promises}")


OLDEST = 60
"""Years: no horse is known to have been much older (common practice, no source)."""


def _check_born(born: str | None, today: date) -> None:
    """A year must be in it, and one in which a living horse can have been born.

    Raises:
        InputError: there is none.
    """
    years = [int(y) for y in re.findall(r"(?<!\d)\d{4}(?!\d)", born or "")]
    if born and not (len(years) == 1 and today.year - OLDEST <= years[0] <= today.year):
        raise InputError(
            f"“{born}” is no year or date of birth.", "Write it as 2017 or 2017-04-02."
        )


def _tell_twins(session: Session, horse: Horse) -> None:
    """Say how a horse is named from now on if others have its name."""
    store = session.store
    twins = store.twins(horse)
    if not twins:
        return
    names = " or ".join(f'"{store.full_name(h)}"' for h in (horse, *twins))
    say(
        f"There is another {horse.name}. From now on say which: {names}; or give this one "
        f'another name: fieldlog horses change "{store.full_name(horse)}" --new-name NAME'
    )
    if horse.client_id and any(t.client_id == horse.client_id for t in twins):
        say(
            f"Both are {horse.client}'s. If it is one horse, take the new one out: "
            f'fieldlog horses remove "{store.full_name(horse)}"'
        )


def _check_given(changes: dict[str, Any], group: str) -> None:
    if not changes:
        raise InputError(
            "Nothing to change was given.", f"“fieldlog {group} change --help” lists what can be."
        )


def _given(values: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in values.items() if value is not None}
