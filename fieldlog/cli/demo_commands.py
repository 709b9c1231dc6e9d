"""``demo``: the invented day from sound to records, in a database of its own."""

from __future__ import annotations

import shutil
import time
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from fieldlog.cli.demo_day import DemoDay, DemoNote, DemoVisit, load_day
from fieldlog.cli.main import CarefulCommand
from fieldlog.cli.session import Session, json_option, line_width, pass_session, print_json, say
from fieldlog.errors import BadImport, InputError

if TYPE_CHECKING:
    from fieldlog.cli.demo_report import NoteResult, Report
    from fieldlog.config import Settings
    from fieldlog.core.facts import Entry
    from fieldlog.intake import Taken
    from fieldlog.paths import Places
    from fieldlog.records.store import Store

WIDE = 96
"""Most characters in a line of what was said and heard."""
MARKER = ".made-by-fieldlog-demo"
"""A file that says a folder is the demo's own and may be emptied for the next run."""

LEFT_OPEN = {("bramble", "radiographs"), ("rosie", "owner_care"), ("storm", "call")}
"""Promises of earlier visits that were not kept by the demo's day."""


@click.command("demo", cls=CarefulCommand)
@click.option("--no-app", is_flag=True, help="Print the report and stop; for scripts.")
@click.option("--brief", is_flag=True, help="Print the figures without every note.")
@click.option(
    "--folder",
    type=click.Path(file_okay=False, path_type=Path),
    help="Keep the demo's records in this folder (empty, or an earlier demo's).",
)
@click.option(
    "--model", type=click.Path(path_type=Path), help="A Vosk model folder to use just now."
)
@click.option("--save", is_flag=True, help="Save every draft that has a horse, without looking.")
@json_option
@pass_session
def demo_command(
    session: Session,
    no_app: bool,
    brief: bool,
    folder: Path | None,
    model: Path | None,
    save: bool,
    as_json: bool,
) -> None:
    """An invented working day, from sixteen spoken notes to records.

    The sounds in demo_audio are read with the real speech recogniser, the words are understood, and
    what came out is printed beside what was meant: the word error rate, and precision and recall of
    each field. The app then opens on the drafts.

    \b
    Lines of the report:
      =  right in every field        ~  found, but a field differs
      -  missed                      +  not in the truth
      !  added by a safety rule, not counted

    Your own records are never touched: the demo has a database of its own.
    """
    day, audio = _day_and_sounds()
    places, settings = _own_place(session, day, folder)
    started = time.perf_counter()
    taken, results, report = _lived_through(
        day, audio, places, settings, model, save=save, quiet=as_json
    )
    took = time.perf_counter() - started
    _print(results, report, taken, took, places, as_json=as_json, brief=brief)
    if any(t.error for t in taken):
        click.get_current_context().exit(1)
    if not no_app and not as_json:
        _open_app(places, settings, day)


def _day_and_sounds() -> tuple[DemoDay, Path]:
    """The invented day, and the folder of its sounds.

    Raises:
        BadImport: this copy of fieldlog has none.
    """
    from fieldlog.paths import project_folder

    data, audio = project_folder("demo_data"), project_folder("demo_audio")
    if data is None or audio is None:
        raise BadImport(
            "The demo's data or sounds did not come along with this copy of fieldlog.",
            "Get the folders demo_data and demo_audio from where you got fieldlog.",
        )
    return load_day(data), audio


def _own_place(session: Session, day: DemoDay, folder: Path | None) -> tuple[Places, Settings]:
    """Places and settings of the demo's own, so that the user's records are never touched."""
    from fieldlog.config import Settings
    from fieldlog.paths import Places
    from fieldlog.voice_hint import told

    home = own_folder(folder or session.places.cache / "demo", session.places)
    places = Places(data=home, config=home, cache=session.places.cache).make()
    settings = Settings(
        farrier_name=day.farrier, farrier_contact=day.contact, model=session.settings.model
    )
    write_settings(places, settings)
    told(places)  # Nobody's own voice is in the demo.
    return places, settings


def _lived_through(
    day: DemoDay,
    audio: Path,
    places: Places,
    settings: Settings,
    model: Path | None,
    *,
    save: bool,
    quiet: bool,
) -> tuple[list[Taken], list[NoteResult], Report]:
    """The sounds of the day read into records, and how what came out compares with the truth."""
    from fieldlog.cli.sound_commands import progress_bar
    from fieldlog.intake import take_in
    from fieldlog.records.store import Store

    with Store.open(places.database, author=day.farrier) as store:
        plant(store, day)
        with progress_bar(quiet=quiet) as progress:
            taken = list(take_in([audio], store, places, settings, progress, model=model))
        results, report = judge(day, taken, settings)
        if save:
            store.save_all([d.id for d in store.drafts() if d.horse is not None])
    return taken, results, report


def _open_app(places: Places, settings: Settings, day: DemoDay) -> None:
    """The app on the demo's drafts, on the demo's day."""
    from fieldlog.cli.app_start import open_app, terminal_there

    if terminal_there():
        open_app(places, settings, lambda: day.on)
    else:
        click.echo("No terminal here, so the app is not opened.")


def own_folder(folder: Path, places: Places) -> Path:
    """The demo's folder, emptied if an earlier demo filled it.

    Raises:
        InputError: the folder holds something else, or the user's own records.
    """
    folder = folder.expanduser().resolve()
    if folder in (places.data.resolve(), places.config.resolve()):
        raise InputError("That folder holds your own records.", "Choose another one.")
    if folder.exists() and any(folder.iterdir()):
        if not (folder / MARKER).is_file():
            raise InputError(
                f"{folder} is not empty and no earlier demo made it.", "Choose another folder."
            )
        shutil.rmtree(folder)
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    (folder / MARKER).touch()
    return folder


def write_settings(places: Places, settings: Settings) -> None:
    """The demo's settings as a file, so that “fieldlog --home FOLDER” goes on where it ended."""
    import json

    # A TOML basic string has the escapes of a JSON string.
    lines = [
        f"{key} = {json.dumps(getattr(settings, key), ensure_ascii=False)}"
        for key in ("farrier_name", "farrier_contact", "model")
    ]
    places.settings.write_text("\n".join(lines) + "\n", encoding="utf-8")


def plant(store: Store, day: DemoDay) -> None:
    """Put the invented clients, horses and earlier visits into an empty store."""
    with store.write():
        clients = {c.key: store.add_client(c.name, phone=c.phone) for c in day.clients}
        barns = {c.key: c.barn for c in day.clients}
        for h in day.horses:
            store.add_horse(
                h.name,
                client_id=clients[h.client].id,
                barn=barns[h.client],
                colour=h.colour,
                sex=h.sex,
                born=str(h.born or ""),
                microchip=h.microchip,
                cycle_weeks=h.cycle_weeks,
                notes=h.story,
            )
        for visit in sorted(day.visits, key=lambda v: v.on):
            _plant_visit(store, day, visit)


def _plant_visit(store: Store, day: DemoDay, visit: DemoVisit) -> None:
    from fieldlog.core.facts import Entry, HorseMention

    name = day.horse(visit.horse).name
    entry = Entry(
        facts=visit.facts,
        text=visit.text,
        span=(0, len(visit.text)),
        horse=HorseMention(name, (0, 0), known=True),
    )
    at = datetime.combine(visit.on, datetime.min.time()).replace(hour=9).astimezone()
    horse = store.horse_named(name)
    again = {f.code for f in visit.facts}
    for old in store.follow_ups(horse_id=horse.id):
        if (visit.horse, old.code) not in LEFT_OPEN or old.code in again:
            store.close_follow_up(old.id, f"seen to on {visit.on}")
    (draft,) = store.add_drafts(None, [entry], at=at)
    store.save_entry(draft.id)
    if not any(v.horse == visit.horse and v.on > visit.on for v in day.visits):
        for old in store.follow_ups(horse_id=horse.id):
            if (visit.horse, old.code) not in LEFT_OPEN and old.code != "next_trim":
                store.close_follow_up(old.id, "seen to")


def judge(
    day: DemoDay, taken: Sequence[Taken], settings: Settings
) -> tuple[list[NoteResult], Report]:
    """Compare what came out with the truth."""
    from fieldlog.cli.demo_report import NoteResult, Report, read_from_words
    from fieldlog.cli.scoring import FactScore

    by_note = {t.name.split("-")[0]: t for t in taken}
    report = Report(from_script=FactScore())
    results = []
    for note in day.notes:
        one = by_note.get(note.id)
        if one is None or one.transcript is None:
            continue
        facts = tuple(f for d in one.drafts for f in d.entry.facts)
        results.append(NoteResult(note, one.transcript, facts))
        meant = [f for _, f in note.facts]
        horses = {f.id: day.horse(key).name for key, f in note.facts}
        heard = {
            f.id: d.horse.name for d in one.drafts if d.horse is not None for f in d.entry.facts
        }
        report.words.add(note.text, one.transcript.text)
        report.facts.add(meant, read_from_words(facts), horses | heard)
        if report.from_script is not None:
            entries = _from_script(day, note, settings)
            read = {f.id: e.horse.name for e in entries if e.horse is not None for f in e.facts}
            said = read_from_words([f for e in entries for f in e.facts])
            report.from_script.add(meant, said, horses | read)
    return results, report


def _from_script(day: DemoDay, note: DemoNote, settings: Settings) -> Sequence[Entry]:
    """What the script itself says, without its punctuation, as a recogniser would write it."""
    from fieldlog.cli.scoring import words_of
    from fieldlog.core.words import Transcript
    from fieldlog.intake import with_horse
    from fieldlog.language.pipeline import load

    names = [h.name for h in day.horses]
    entries = load().understand(
        Transcript.typed(" ".join(words_of(note.text))),
        recorded=note.at.astimezone(),
        names=names,
        settings=settings,
    )
    return [with_horse(entry, names) for entry in entries]


def _print(
    results: Sequence[NoteResult],
    report: Report,
    taken: Sequence[Taken],
    took: float,
    places: Places,
    *,
    as_json: bool,
    brief: bool,
) -> None:
    from fieldlog.cli.demo_report import as_data, note_lines, summary_lines

    seconds = sum(r.heard.duration for r in results)
    if as_json:
        data = as_data(report, results)
        data["seconds_of_sound"] = round(seconds, 1)
        data["seconds_of_work"] = round(took, 1)
        data["records"] = str(places.database)
        print_json(data)
        return
    for t in taken:
        if t.error is not None:
            say(f"{t.name}: {t.error}")
    if not brief:
        for result in results:
            say("\n".join(note_lines(result, line_width(WIDE))) + "\n")
    reader = next((r.heard.reader for r in results if r.heard.reader), "no reader")
    say("\n".join(summary_lines(report)))
    say(
        f"\n{seconds:.0f} s of synthetic speech read by {reader}; everything took {took:.0f} s. "
        "Synthetic voices are not people: see the model card for how people are heard."
    )
    say(f"Go on with the demo's records: fieldlog --home {places.data} follow-ups")
