"""``data`` commands for the long run: rolling and sealed backups, a teaching copy."""

from __future__ import annotations

import json
import os
import sys
from datetime import datetime
from pathlib import Path

import click

from fieldlog.cli.main import CarefulCommand
from fieldlog.cli.session import Session, moment, pass_session, say
from fieldlog.core.counting import counted
from fieldlog.errors import InputError

_FILE = click.Path(dir_okay=False, path_type=Path)
_FOLDER = click.Path(file_okay=False, path_type=Path)


@click.command("roll", cls=CarefulCommand)
@click.argument("folder", type=_FOLDER)
@click.option(
    "--keep", default=10, show_default=True, type=click.IntRange(1), help="How many stay."
)
@click.option("--sealed", is_flag=True, help="Encrypt; asks for a passphrase the first time.")
@click.option("--make-folder", is_flag=True, help="Make FOLDER if it is not there.")
@pass_session
def roll(session: Session, folder: Path, keep: int, sealed: bool, make_folder: bool) -> None:
    """Add a backup to FOLDER, e.g. on a stick; the oldest beyond --keep go.

    FOLDER must be there, or be made with --make-folder: without the stick its name would be a place
    on this computer.

    For every evening: each sound is stored once however many backups there are, so it is quick.
    For one file to carry to another computer use “data backup”. It works while another window is
    open, and a backup that was cut off is finished by the next one. A sealed folder stays sealed;
    only reading it needs the passphrase.
    """
    from fieldlog.records.backup import back_up, contents_of
    from fieldlog.records.sealing import is_sealed

    if not folder.is_dir() and not make_folder:
        raise InputError(
            f"There is no folder {folder}, so no backup was made.",
            "Is the stick plugged in? If it is, make the folder first, or add --make-folder.",
        )
    session.settings_or_defaults("The backup")
    passphrase = ""
    if sealed and not is_sealed(folder):
        passphrase = _passphrase(twice=True)
    places = session.places
    settings = (places.settings, places.personal_rules, places.own_voice)
    now = datetime.now().astimezone()
    made = back_up(session.store, folder, now, keep=keep, settings=settings, passphrase=passphrase)
    contents = contents_of(made)
    say(
        f"Wrote {made} and read it back: "
        f"{counted(contents.links, 'saved entry', 'saved entries')}, "
        f"{counted(len(contents.sounds), 'sound')}."
    )
    if contents.missing:
        were = "was" if len(contents.missing) == 1 else "were"
        lost = counted(len(contents.missing), "sound")
        say(f"Not in it: {lost} that {were} gone or changed.")


@click.command("unroll", cls=CarefulCommand)
@click.argument("backup", type=click.Path(path_type=Path))
@click.option("--replace", is_flag=True, help="Move the records that are here aside first.")
@click.option("--check", is_flag=True, help="Only read it through; needs no passphrase.")
@pass_session
def unroll(session: Session, backup: Path, replace: bool, check: bool) -> None:
    """Put a BACKUP folder of “data roll” in place, after reading it through.

    Records that are here already are moved aside with --replace, never thrown away. Close the app
    before that. To look at it without touching your records, give another place: fieldlog --home
    FOLDER data unroll BACKUP.
    """
    from fieldlog.records.backup import examine, restore
    from fieldlog.records.sealing import is_sealed

    _check_backup(backup, check)
    if check:
        contents = examine(backup)
        say(f"{backup.name} is whole. Made {moment(contents.made_at)}.")
        return
    places = session.places
    passphrase = ""
    if is_sealed(backup.parent):
        passphrase = _passphrase()
    contents = restore(
        backup,
        places.database,
        passphrase=passphrase,
        settings=places.config,
        replace_at=datetime.now().astimezone() if replace else None,
    )
    say(
        f"Restored what was backed up {moment(contents.made_at)}: "
        f"{counted(contents.links, 'saved entry', 'saved entries')}, none was changed, "
        f"{counted(len(contents.sounds), 'sound')}."
    )


def _check_backup(backup: Path, check: bool) -> None:
    """Say which backups there are if their folder was given instead of one of them."""
    from fieldlog.records.backup import MANIFEST, backups

    if backup.is_file():
        raise InputError(
            f"{backup.name} is a file, not a folder of “data roll”.",
            f'If “data backup” wrote it: fieldlog data restore "{backup}"',
        )
    if not backup.is_dir():
        raise InputError(f"There is no folder {backup}.", "Is the stick plugged in?")
    found = [] if (backup / MANIFEST).exists() else backups(backup)
    if found:
        names = ", ".join(b.name for b in reversed(found))
        option = "--check " if check else ""
        raise InputError(
            f"{backup} holds {counted(len(found), 'backup')}, the newest first: {names}.",
            f'Say which, e.g. fieldlog data unroll {option}"{found[-1]}"',
        )


@click.command("teaching", cls=CarefulCommand)
@click.argument("file", type=_FILE)
@pass_session
def teaching(session: Session, file: Path) -> None:
    """Write the saved notes into a JSON FILE for teaching: names, places and days replaced.

    A name that was only spoken, never entered, may be left: read it through before you give it
    away.
    """
    from fieldlog.records.files import write_whole
    from fieldlog.records.redact import redacted, spoken_names

    _free(file)
    copy = redacted(session.store, spoken_names())
    write_whole(file, (json.dumps(copy, ensure_ascii=False, indent=1) + "\n").encode())
    say(f"Wrote {file}: {counted(len(copy['horses']), 'horse')}. {copy['read_first']}")


@click.command("seal", cls=CarefulCommand)
@click.argument("file", type=_FILE)
def seal(file: Path) -> None:
    """Encrypt a copy of FILE with a passphrase, beside it, as FILE.age.

    Any program for the age format opens it. Without the passphrase nobody can.
    """
    from fieldlog.records.files import write_whole
    from fieldlog.records.sealing import seal as sealed_with

    target = file.with_name(f"{file.name}.age")
    content = _content(file)
    _free(target)
    passphrase = _passphrase(twice=True)
    write_whole(target, sealed_with(content, passphrase))
    say(f"Wrote {target}. The open {file.name} is still there.")


@click.command("unseal", cls=CarefulCommand)
@click.argument("file", type=_FILE)
def unseal(file: Path) -> None:
    """Open a sealed FILE (.age) with its passphrase, beside it, without the .age."""
    from fieldlog.records.files import write_whole
    from fieldlog.records.sealing import unseal as opened_with

    if file.suffix != ".age":
        raise InputError(f"{file.name} does not end in .age.", "Give a sealed file.")
    content = _content(file)
    target = file.with_suffix("")
    _free(target)
    write_whole(target, opened_with(content, _passphrase()))
    say(f"Wrote {target}.")


def _passphrase(twice: bool = False) -> str:
    """Ask for it on the terminal, unseen; without one a line of standard input is taken.

    There nobody types, so that it cannot be hidden (a warning of getpass) says nothing, nor does
    asking twice.
    """
    if _can_ask():
        return str(click.prompt("Passphrase", hide_input=True, confirmation_prompt=twice))
    return sys.stdin.readline().rstrip("\r\n")


def _can_ask() -> bool:
    """Whether somebody can be asked: getpass asks the terminal, wherever input comes from."""
    if sys.stdin.isatty() or os.name == "nt":
        return True
    try:
        os.close(os.open("/dev/tty", os.O_RDWR | os.O_NOCTTY))
    except OSError:
        return False
    return True


def _content(file: Path) -> bytes:
    if not file.is_file():
        raise InputError(f"There is no file {file}.", "Check its name.")
    return file.read_bytes()


def _free(target: Path) -> None:
    if target.exists():
        raise InputError(f"{target} is there already.", "Move it away first.")
    if not target.parent.is_dir():
        raise InputError(f"There is no folder {target.parent}.", "Make it first.")


KEEPING = (roll, unroll, teaching, seal, unseal)
"""Added to the ``data`` group."""
