"""Two spellings of one horse or owner: ``horses same``, ``horses apart``, and for clients."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from fieldlog.cli.main import CarefulCommand
from fieldlog.cli.session import Session, pass_session, say
from fieldlog.errors import NotFound

if TYPE_CHECKING:
    from fieldlog.records.types import Client

SAME_OWNER = "With two owners noted: it was the second one's all along."


def client_named(session: Session, name: str) -> Client:
    """The client of this name.

    Raises:
        NotFound: none; the likely ones are named.
    """
    client = session.store.find_client(name)
    if client is None:
        close = " or ".join(c.name for c in session.store.close_clients(name)[:3])
        raise NotFound(
            f"There is no client called “{name}”.",
            f"Did you mean {close}? " * bool(close) + "“fieldlog clients” lists them; a new one: "
            f'fieldlog clients add "{name}"',
        )
    return client


@click.command("same", cls=CarefulCommand)
@click.argument("wrong")
@click.argument("right")
@click.option("--all-along", is_flag=True, help=SAME_OWNER)
@pass_session
def horses_same(session: Session, wrong: str, right: str, all_along: bool) -> None:
    """WRONG is only another spelling of the horse called RIGHT: one record instead of two.

    Notes, drafts, visits and promises of WRONG go to RIGHT; each saved note by one more revision,
    so what stood before is kept. The name WRONG leads to RIGHT from now on. Also for a nickname,
    or a horse that was entered again by its new owner: visits under WRONG stay in the time of its
    owner. “fieldlog horses apart WRONG” takes it back.
    """
    store = session.store
    done = store.horse_same(store.horse_named(wrong).id, store.horse_named(right).id, all_along)
    for line in done.told():
        say(line)
    before = len(store.days_of_another_owner(done.horse))
    if before and not all_along:
        say(
            f"Visits in the time of another owner: {before}. If it was {done.horse.client}'s all "
            f'along: fieldlog horses change "{store.full_name(done.horse)}" --owner '
            f'"{done.horse.client}" --all-along'
        )
    say(f'To take this back: fieldlog horses apart "{done.name}"')


@click.command("apart", cls=CarefulCommand)
@click.argument("name")
@pass_session
def horses_apart(session: Session, name: str) -> None:
    """NAME is a horse of its own after all: takes “horses same” back.

    Notes made under either name before go back to it, the saved ones by one more revision; what
    was noted since stays where it is.
    """
    one, other = session.store.horse_apart(name)
    say(f"{one.name} and {other.name} are two horses again. What was noted meanwhile stays with")
    say(f"{other.name}; a note goes to {one.name} with: fieldlog notes horse NOTE")


@click.command("same", cls=CarefulCommand)
@click.argument("wrong")
@click.argument("right")
@pass_session
def clients_same(session: Session, wrong: str, right: str) -> None:
    """WRONG is only another spelling of the owner called RIGHT: one client instead of two.

    The horses of WRONG are RIGHT's, and what is known of WRONG alone (phone, address) too. The
    name WRONG leads to RIGHT from now on. “fieldlog clients apart WRONG” takes it back.
    """
    store = session.store
    went, stays = client_named(session, wrong), client_named(session, right)
    client = store.client_same(went.id, stays.id)
    horses = store.horses(client.id)
    say(f"{went.name} and {client.name} are one client now: {client.name}.")
    say(f"Horses: {', '.join(h.name for h in horses) or 'none'}.")
    for horse in horses:
        twin = next((t for t in store.twins(horse) if t.client_id == client.id), None)
        if twin is not None and horse.id < twin.id:
            say(
                f"{horse.name} is there twice. If that is one horse: fieldlog horses same "
                f'"{store.full_name(horse)}" "{store.full_name(twin)}"'
            )
    say(f'To take this back: fieldlog clients apart "{went.name}"')


@click.command("apart", cls=CarefulCommand)
@click.argument("name")
@pass_session
def clients_apart(session: Session, name: str) -> None:
    """NAME is an owner of their own after all: takes “clients same” back."""
    one, other = session.store.client_apart(name)
    say(f"{one.name} and {other.name} are two clients again.")
