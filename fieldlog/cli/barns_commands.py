"""``barns``: where horses stand, and one spelling for each place."""

from __future__ import annotations

import click

from fieldlog.cli.main import CarefulGroup, sentence_for
from fieldlog.cli.session import Session, json_option, pass_session, print_json, say, table


@click.group("barns", cls=CarefulGroup, invoke_without_command=True)
@click.pass_context
def barns_command(ctx: click.Context) -> None:
    """Where horses stand; a barn's name. Without a subcommand this is “barns list”.

    A barn is known by the horses that stand there: fieldlog horses change NAME --barn BARN.
    """
    if ctx.invoked_subcommand is None:
        sentence_for(lambda: _list_barns(ctx.obj, as_json=False))


@barns_command.command("list")
@json_option
@pass_session
def list_barns(session: Session, as_json: bool) -> None:
    """List every barn with how many horses stand there."""
    _list_barns(session, as_json)


def _list_barns(session: Session, as_json: bool) -> None:
    barns = session.store.barns()
    if as_json:
        print_json([{"barn": name, "horses": count} for name, count in barns.items()])
    elif not barns:
        say("No horse has a barn yet: fieldlog horses change NAME --barn BARN")
    else:
        click.echo(table(("barn", "horses"), [(name, str(n)) for name, n in barns.items()]))


@barns_command.command("same")
@click.argument("wrong")
@click.argument("right")
@pass_session
def barns_same(session: Session, wrong: str, right: str) -> None:
    """WRONG is only another spelling of the barn called RIGHT, or its name of before.

    Its horses and their visits are at RIGHT, and WRONG leads there from now on. RIGHT may be new:
    the barn is called so then. “fieldlog barns apart WRONG” takes it back. Where horses moved,
    “fieldlog horses change NAME --barn BARN” is meant: their visits so far stay where they were.
    """
    from fieldlog.core.counting import counted

    moved = session.store.barn_same(wrong, right)
    known = next((b for b in session.store.barns() if b.casefold() == right.casefold()), right)
    say(f"{wrong} is {known} now, with {counted(moved, 'horse')} from there.")
    say(f'To take this back: fieldlog barns apart "{wrong}"')


@barns_command.command("apart")
@click.argument("name")
@pass_session
def barns_apart(session: Session, name: str) -> None:
    """NAME is a barn of its own after all: takes “barns same” back."""
    one, other = session.store.barn_apart(name)
    say(f"{one} and {other} are two barns again.")
