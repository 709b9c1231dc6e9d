"""``data``: export, import, back up, restore and verify everything."""

from __future__ import annotations

import json
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from fieldlog.cli.keeping import KEEPING
from fieldlog.cli.main import CarefulGroup
from fieldlog.cli.notes_commands import SHORT
from fieldlog.cli.session import (
    Session,
    json_option,
    moment,
    pass_session,
    plain,
    print_json,
    read_edge,
    say,
    write_file,
)
from fieldlog.core.counting import counted
from fieldlog.errors import InputError

if TYPE_CHECKING:
    from fieldlog.papers.backup import Contents


@click.group("data", cls=CarefulGroup)
def data_command() -> None:
    """Export, import, back up, restore and verify everything.

    Two kinds of backup, each an exact copy to restore from: “roll” adds one to a folder on a
    stick, quickly, every evening, encrypted if you like (“unroll” puts it back); “backup” writes
    one zip file with everything, to carry to another computer (“restore” puts it back). An export
    is open text (JSON or CSV) for other programs, and for moving house.
    """


@data_command.command("export")
@click.argument("target", type=click.Path(path_type=Path))
@click.option("--force", is_flag=True, help="Replace files that are there.")
@pass_session
def export(session: Session, target: Path, force: bool) -> None:
    """Write everything as open text.

    TARGET ending in .json is one JSON file; any other TARGET is a folder with one CSV file for
    each table. The export holds all clients' data: keep it safe.
    """
    from fieldlog.papers.exchange import to_csv, to_json

    store = session.store
    if target.suffix.lower() == ".json":
        write_file(target, to_json(store), force)
        say(f"Wrote {target}.")
        return
    if target.exists() and not target.is_dir():
        raise InputError(f"{target} is a file.", "Give a folder, or a name that ends in .json.")
    target.mkdir(parents=True, exist_ok=True, mode=0o700)
    texts = to_csv(store)
    for table, text in texts.items():
        write_file(target / f"{table}.csv", text, force)
    say(f"Wrote {len(texts)} tables to {target}.")


@data_command.command("import")
@click.argument("source", type=click.Path(path_type=Path))
@json_option
@pass_session
def import_data(session: Session, source: Path, as_json: bool) -> None:
    """Read an export into an empty database, all or nothing.

    SOURCE is a .json file or a folder of CSV files that “data export” wrote. Sound is imported by
    “fieldlog import”.
    """
    from fieldlog.papers.exchange import bring_in, read_export

    store = session.store
    counts = bring_in(store, read_export(source, store))
    if as_json:
        print_json(counts)
    else:
        say(
            f"Read {counted(counts['horses'], 'horse')}, {counted(counts['visits'], 'visit')}, "
            f"{counted(counts['entries'], 'entry', 'entries')}, "
            f"{counted(counts['follow_ups'], 'follow-up')}."
        )


@data_command.command("schema")
@pass_session
def schema(session: Session) -> None:
    """Print the JSON Schema (2020-12) of the JSON export."""
    from fieldlog.papers.exchange import json_schema

    click.echo(json.dumps(json_schema(session.store), indent=2))


@data_command.command("verify")
@click.option("--put-back", is_flag=True, help="Show changed notes as they were saved again.")
@json_option
@pass_session
def verify(session: Session, put_back: bool, as_json: bool) -> None:
    """Check the database, and that no saved entry was changed since it was saved.

    Also that screens and papers show each saved note as it was sealed: whoever changes what is
    shown outside fieldlog leaves the seal as it is. --put-back then shows it as it was saved.
    """
    session.settings_or_defaults("The check")
    store = session.store
    damage = store.integrity()
    chain = store.verify_chain()
    other = store.shown_otherwise() if chain.ok and not damage else []
    if put_back and other:
        mended = store.put_back()
        say(f"Shown as saved again: {counted(mended, 'note')}.", err=as_json)
        other = store.shown_otherwise()
    sounds = store.changed_sounds()
    ok = chain.ok and not (damage or other or sounds)
    if as_json:
        print_json({"ok": ok, "database": damage, "chain": plain(chain), "shown_otherwise": other,
                    "changed_sounds": sounds})  # fmt: skip
    else:
        say("Database: " + ("; ".join(damage) if damage else "whole"))
        say(
            f"Saved entries: {counted(chain.links, 'link')}, "
            + ("none was changed" if chain.ok else f"BROKEN at {chain.first_broken}")
        )
        if other:
            notes = ", ".join(entry_id[:SHORT] for entry_id in other)
            say(
                f"SHOWN OTHERWISE than saved: {notes}. What is sealed is whole. Keep a copy "
                "of the folder, then: fieldlog data verify --put-back"
            )
        for name in chain.missing_sounds:
            say(f"Sound missing: {name} (what was heard in it is kept)")
        for name in sounds:
            say(f"SOUND CHANGED: {name} is not what was recorded; a backup has the one that was")
    if not ok:
        click.get_current_context().exit(1)


@data_command.command("fhir")
@click.argument("horse")
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--since", "since_text", help="Leave out visits before this day.")
@click.option("--force", is_flag=True, help="Replace the file that is there.")
@pass_session
def fhir(session: Session, horse: str, file: Path, since_text: str | None, force: bool) -> None:
    """Write one HORSE as an HL7 FHIR R4 bundle (JSON FILE) for a veterinarian's software.

    It holds the horse, what was seen and measured, and what a veterinarian was asked for, in plain
    words without licensed codes. What it cannot carry is listed.
    """
    from fieldlog.papers.fhir import bundle, left_out
    from fieldlog.papers.gather import horse_file, writer_from

    known = session.store.horse_named(horse)
    about = horse_file(session.store, known, session.settings, session.today)
    since = read_edge(since_text, session.today) if since_text else None
    farrier = writer_from(session.settings).name
    data = bundle(about, farrier, known.sex, since)
    write_file(file, json.dumps(data, ensure_ascii=False, indent=1) + "\n", force)
    say(f"Wrote {file}: {len(data['entry'])} resources.")
    for sentence in left_out(about):
        say(sentence)


@data_command.command("backup")
@click.argument("file", required=False, type=click.Path(dir_okay=False, path_type=Path))
@pass_session
def backup(session: Session, file: Path | None) -> None:
    """Write records, sounds and settings into one zip FILE, and read it back to be sure.

    For carrying everything to another computer. For every evening use “data roll”: it keeps several
    days and stores each sound once.

    Without FILE it goes into the backups folder under today's date. Keep one on another disk: a
    backup beside the original does not outlive it. It holds clients' data: keep it safe.
    """
    from fieldlog.papers.backup import back_up

    session.settings_or_defaults("The backup")
    now = datetime.now().astimezone()
    places = session.places.make()
    if file is None:
        places.backups.mkdir(mode=0o700, exist_ok=True)
        file = places.backups / f"fieldlog-{now:%Y%m%d-%H%M%S}.zip"
    store = session.store
    with click.progressbar(length=1, label="Writing", width=30) as bar:

        def progress(done: int, whole: int) -> None:
            bar.length = whole
            bar.update(done - bar.pos)

        contents = back_up(store, places, file, now, progress)
    say(f"Wrote {file} ({file.stat().st_size / 1e6:.1f} MB) and read it back: {_what(contents)}.")
    chain = store.verify_chain()
    if not chain.ok:
        say(
            f"The saved entries in it are BROKEN at {chain.first_broken}. Keep an older backup too."
        )


@data_command.command("restore")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--replace", is_flag=True, help="Move the records that are here aside first.")
@click.option("--check", is_flag=True, help="Only read the backup through; change nothing.")
@pass_session
def restore(session: Session, file: Path, replace: bool, check: bool) -> None:
    """Put the backup FILE in place, after reading it through.

    Records that are here already are moved aside with --replace, never thrown away. Close the app
    before that.
    """
    from fieldlog.papers.backup import examine
    from fieldlog.papers.backup import restore as put_back

    if file.is_dir():
        raise InputError(
            f"{file} is a folder, not a file of “data backup”.",
            f'If “data roll” wrote it: fieldlog data unroll "{file}"',
        )
    if check:
        contents = examine(file)
        say(f"{file.name} is whole. Made {moment(contents.made_at)}.")
    else:
        session.close()
        contents = put_back(file, session.places, datetime.now().astimezone(), replace)
        chain = session.store.verify_chain()
        state = "none was changed" if chain.ok else f"BROKEN at {chain.first_broken}"
        say(f"Restored what was backed up {moment(contents.made_at)}. Saved entries: {state}.")
    say(f"{_what(contents)}.")


def _what(contents: Contents) -> str:
    """``8 horses, 65 entries, 16 sounds``: what a backup holds."""
    rows = contents.counts
    return (
        f"{counted(rows['horses'], 'horse')}, {counted(rows['entries'], 'entry', 'entries')}, "
        f"{counted(contents.sounds, 'sound')}"
    )


for _command in KEEPING:
    data_command.add_command(_command)
