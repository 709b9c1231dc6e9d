"""``record``, ``import`` and ``read``: sound in, drafts out."""

from __future__ import annotations

import time
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from fieldlog.cli.main import CarefulCommand
from fieldlog.cli.notes_commands import SHORT
from fieldlog.cli.session import Session, json_option, pass_session, plain, print_json, say
from fieldlog.core.counting import counted
from fieldlog.errors import FieldlogError, InputError, RecordsError

if TYPE_CHECKING:
    from fieldlog.core.words import Transcript
    from fieldlog.intake import Progress, Taken
    from fieldlog.records.types import StoredEntry
    from fieldlog.sound.importing import ImportedSound
    from fieldlog.speech.recogniser import Recogniser

model_option = click.option(
    "--model", type=click.Path(path_type=Path), help="A Vosk model folder to use just now."
)


@click.command("import", cls=CarefulCommand)
@click.argument("paths", nargs=-1, type=click.Path(path_type=Path))
@click.option("--unfinished", is_flag=True, help="Rescue recordings that a crash cut off.")
@click.option("--no-reading", is_flag=True, help="Only keep the sound; “fieldlog read” later.")
@model_option
@json_option
@pass_session
def import_command(
    session: Session,
    paths: tuple[Path, ...],
    unfinished: bool,
    no_reading: bool,
    model: Path | None,
    as_json: bool,
) -> None:
    """Take in sound files that were recorded elsewhere, and make drafts of them.

    PATHS are files or folders (searched with the folders below): WAV, FLAC, OGG, Opus, MP3, M4A,
    any rate, mono or stereo. The recording time is taken from the file where it has one. The same
    sound a second time is recognised and left alone. A file that cannot be read is named; the
    others go on, and the exit code is 1.
    """
    from fieldlog.intake import take_in

    session.places.make()
    _records_there(session)
    _doubt_the_clock(session.store.newest_write())
    found = list(paths)
    if unfinished:
        found += [path for path, _ in _rescued(session)]
        if not found:
            click.echo("There is no cut-off recording to rescue.")
            return
    if not found:
        raise InputError("Say what to import,", "e.g. fieldlog import ~/recordings")
    with progress_bar(quiet=as_json) as progress:
        taken = list(
            take_in(
                found,
                session.store,
                session.places,
                session.settings,
                progress,
                read=not no_reading,
                model=model,
            )
        )
    report(taken, as_json)
    _tell_of_second(session, as_json)
    if any(t.error for t in taken):
        click.get_current_context().exit(1)
    if not taken:
        raise InputError("There is no sound file there.", "Give a folder that has some.")


def _records_there(session: Session) -> None:
    """Refuse before anything is copied where the records cannot take it.

    In the sounds folder a file's own name and date, which may be all that tells its day, would be
    gone; where it lies, nothing is lost.

    Raises:
        RecordsError: the database cannot be used.
    """
    try:
        _ = session.store
    except RecordsError as problem:
        problem.remedy += (
            " Nothing was taken in: leave the sound files where they are, and import them once the "
            "database is right."
        )
        raise


def _doubt_the_clock(newest: datetime | None) -> None:
    """Say it if the computer's date must be wrong; notes would get that date. Nothing stops.

    Args:
        newest: when the records were last written, if they can be read.
    """
    from fieldlog.sound.clocks import clock_doubt

    doubt = clock_doubt(datetime.now().astimezone(), newest)
    if doubt:
        say(doubt, err=True)


def _rescued(session: Session) -> Iterator[tuple[Path, float]]:
    from fieldlog.sound.recovery import rescue_all

    for one in rescue_all(session.places):
        if one.sound is None:
            say(one.told, err=True)
            continue
        begun = one.unfinished.started_at
        click.echo(f"Rescued {one.unfinished.seconds:.0f} s recorded at {begun:%Y-%m-%d %H:%M}.")
        yield one.sound.path, one.unfinished.seconds


@click.command("read", cls=CarefulCommand)
@click.option("--second", is_flag=True, help="Let the second reader read notes again.")
@click.option("--day", "day_text", help="With --second: this day's notes, saved ones too.")
@model_option
@json_option
@pass_session
def read_command(
    session: Session, second: bool, day_text: str | None, model: Path | None, as_json: bool
) -> None:
    """Read recordings that were kept without being read, and make drafts of them.

    With --second every note that waits as a draft, or that was made on one --day, is read again by
    the second reader. The words and the drafts stay; where the readers differ and a fact hangs on
    it, the draft asks for a look. A saved note is not changed: what differs in it is listed. The
    second reader has to be installed: “fieldlog models second”. With it, --model is a folder of
    its weights.
    """
    from fieldlog.intake import read_kept

    if second:
        from fieldlog.cli.second import read_again

        read_again(session, day_text, model, as_json)
        return
    if day_text:
        raise InputError("--day goes with --second.", "Without it, all that waits is read.")
    store = session.store
    unknown = _tell_of_unknown(session)
    if not store.unread_recordings():
        if as_json or not unknown:
            click.echo("[]" if as_json else "Every recording has been read.")
        return
    with progress_bar(quiet=as_json) as progress:
        taken = list(read_kept(store, session.places, session.settings, progress, model))
    report(taken, as_json)
    _tell_of_second(session, as_json)
    if any(t.error for t in taken):
        click.get_current_context().exit(1)


@click.command("record", cls=CarefulCommand)
@click.option("--microphone", default="", help="Name or number; see --list.")
@click.option("--list", "list_them", is_flag=True, help="List the microphones and stop.")
@click.option("--no-reading", is_flag=True, help="Only record; “fieldlog read” later.")
@click.option("--no-tones", is_flag=True, help="No confirming tones.")
@model_option
@pass_session
def record_command(
    session: Session,
    microphone: str,
    list_them: bool,
    no_reading: bool,
    no_tones: bool,
    model: Path | None,
) -> None:
    """Record a note with the microphone, hands free.

    \b
    While it runs you may say:
      new horse NAME       what follows is about that horse
      left front, ...      name a foot; a tone says it was understood
      scratch that         take the last thing back
      end of horse         this horse is finished
      stop recording       end the note (Ctrl-C does the same)

    The sound is on disk as you speak: a crash costs at most the last second. Where the database
    or the model cannot be used, the sound is kept all the same, and you are told what makes a draft
    of it later. Never handle a screen under a horse.
    """
    if list_them:
        _list_microphones()
        return
    from fieldlog.cli.recording import Reporter
    from fieldlog.sound.capture import SystemMicrophone
    from fieldlog.sound.portaudio import choose
    from fieldlog.sound.quiet import native_noise_to
    from fieldlog.sound.recovery import find_unfinished
    from fieldlog.speech.handsfree import HandsFree

    session.settings_or_defaults("Recording")
    wanted = microphone or session.settings.microphone
    session.places.make()
    # Asked first: a missing microphone is said at once, before the model takes its time to load.
    log = session.places.cache / "native.log"
    with native_noise_to(log):
        choose(wanted)
    if find_unfinished(session.places):
        say("A recording was cut off earlier: “fieldlog import --unfinished” rescues it.",
                   err=True)  # fmt: skip
    names = _names_if_there(session)
    recogniser = None if no_reading else _reader(session, model, names)
    chosen = SystemMicrophone(wanted)
    tones = None if no_tones else _tones(session)
    with native_noise_to(log):
        outcome = HandsFree(chosen, recogniser, session.places, Reporter(), tones).run()
    if outcome.sound is not None:
        _keep(session, outcome.sound, outcome.transcript, no_reading)
    if outcome.problem is not None:
        raise outcome.problem
    if outcome.sound is None:
        click.echo("Nothing was recorded.")
        click.get_current_context().exit(1)


def _names_if_there(session: Session) -> Sequence[str]:
    """The names of the day; without records none, which is told."""
    from fieldlog.app.taking_in import names_if_there

    newest: datetime | None = None

    def names() -> Sequence[str]:
        nonlocal newest
        newest = session.store.newest_write()
        _tell_of_unknown(session)
        return session.store.names_of_the_day()

    def tell(problem: RecordsError) -> None:
        say(
            f"{problem.message} Recording goes on without it: the sound is kept on the disk, and "
            "becomes a draft later.",
            err=True,
        )

    known = names_if_there(names, tell)
    _doubt_the_clock(newest)
    return known


def _reader(session: Session, model: Path | None, names: Sequence[str]) -> Recogniser | None:
    """Who reads along; nobody where the model cannot be used, which is told.

    Raises:
        SpeechError: the model that was asked for just now cannot be used.
    """
    from fieldlog.app.taking_in import reader_if_there
    from fieldlog.speech.opening import open_recogniser

    def opened(known: Sequence[str]) -> Recogniser:
        return open_recogniser(session.settings, session.places, model, known)

    def tell(problem: FieldlogError) -> None:
        say(f"{problem} Recording goes on: Ctrl-C ends it, nothing else is understood.", err=True)

    return reader_if_there(opened, names, tell) if model is None else opened(names)


def _list_microphones() -> None:
    from fieldlog.sound.capture import microphones

    found = microphones()
    if not found:
        click.echo("No microphone was found. Plug one in and ask again.")
        click.echo("“fieldlog import” takes in what a phone or a recorder holds.")
    for device in found:
        mark = " (the system's choice)" if device.is_default else ""
        click.echo(f"{device.number:3}  {device.name}{mark}")


def _keep(
    session: Session, sound: ImportedSound, transcript: Transcript | None, no_reading: bool
) -> None:
    """Keep what was recorded, the sound before its words, and say what came of it."""
    from fieldlog.intake import keep_sound, keep_words, only_on_the_disk
    from fieldlog.sound.capture import only_silence

    if sound.silent:
        say(only_silence(), err=True)
    try:
        recording = keep_sound(session.store, sound)
    except RecordsError as problem:
        say(only_on_the_disk(sound, problem), err=True)
        click.get_current_context().exit(1)
    click.echo(f"Kept {recording.duration:.0f} s.")
    if transcript is not None:
        drafts = keep_words(session.store, recording, transcript, session.places, session.settings)
        click.echo(f"{counted(len(drafts), 'draft')} to look at: fieldlog review")
        _tell_of_second(session, as_json=False)
    elif not no_reading:
        click.echo("It was not read: “fieldlog read” does that.")


def _tell_of_unknown(session: Session) -> int:
    """Say that sounds wait which the records do not know, and what takes them in; how many."""
    from fieldlog.intake import unknown_sounds

    if unknown := len(unknown_sounds(session.store, session.places)):
        say(f"In the sounds folder {'lies' if unknown == 1 else 'lie'} "
            f"{counted(unknown, 'recording')} that the records do not know: "
            f'fieldlog import "{session.places.sounds}"', err=True)  # fmt: skip
    return unknown


def _tell_of_second(session: Session, as_json: bool) -> None:
    """Say how notes come to be read again; nothing waits for it."""
    from fieldlog.speech.second_apart import wanted

    if not as_json and session.store.drafts() and wanted(session.settings, session.places):
        say("The second reader reads them while “fieldlog review” is open, or now: "
                   "fieldlog read --second")  # fmt: skip


def _tones(session: Session) -> Any:
    if not session.settings.tones:
        return None
    from fieldlog.errors import NoLoudspeaker
    from fieldlog.sound.player import SystemPlayer
    from fieldlog.sound.tones import Tones

    try:
        return Tones(SystemPlayer())
    except NoLoudspeaker:
        return None


@contextmanager
def progress_bar(quiet: bool = False) -> Iterator[Progress | None]:
    """A bar on the terminal while sound is read; nothing when output goes to a script."""
    if quiet:
        yield None
        return
    with click.progressbar(
        length=1000, label="Reading", width=30, show_eta=True, item_show_func=lambda x: x or ""
    ) as bar:
        begun = False

        def progress(done: float, whole: float, name: str) -> None:
            nonlocal begun
            if not begun:
                begun = True
                start_clock(bar)
            at = int(1000 * done / whole) if whole else 1000
            bar.update(max(0, min(1000, at) - bar.pos), name)

        yield progress


def start_clock(bar: Any) -> None:
    """Let the time that is left be judged from now on.

    Loading the model takes seconds in which nothing is read: reckoned in, they made a demo of half
    a minute look like an hour.
    """
    bar.start = bar.last_eta = time.time()
    bar.avg = []


def report(taken: Sequence[Taken], as_json: bool) -> None:
    """What became of each file."""
    if as_json:
        print_json(
            [
                {
                    "name": t.name,
                    "recording": plain(t.recording),
                    "heard": t.transcript.text if t.transcript else None,
                    "drafts": [d.id for d in t.drafts],
                    "known_before": t.known_before,
                    "damage": t.damage,
                    "error": str(t.error) if t.error else None,
                }
                for t in taken
            ]
        )
        return
    drafts = 0
    known = [t for t in taken if _known(t)]
    many = len(known) > KNOWN_NAMED
    if many:
        click.echo(f"{len(known)} sounds are known already, left as they are.")
    for t in taken:
        if many and _known(t):
            continue
        drafts += len(t.drafts)
        say(f"{t.name}: {_became(t)}")
        if t.damage:
            say(f"  Not whole: {t.damage}. If the original is, import that as well.")
    if drafts:
        click.echo(f"\n{counted(drafts, 'draft')} to look at: fieldlog review")
    _tell_of_dates(taken)


def _tell_of_dates(taken: Iterable[Taken]) -> None:
    """Say of files that are dated by their copying only, as it seems: the visit gets that day."""
    from fieldlog.copied import dated_by_copying

    for t in taken:
        if t.recording is not None and t.drafts and dated_by_copying(t.recording):
            ids = " ".join(d.id[:SHORT] for d in t.drafts)
            say(
                f"{t.name} has no date in it or in its name; the file itself says "
                f"{t.recording.started_at.date()}, perhaps because it was copied then. "
                f"If it is older: fieldlog drafts {ids} --of-day DAY"
            )


KNOWN_NAMED = 5
"""More sounds than this that were known before are counted, not named: a phone keeps all it had."""


def _known(taken: Taken) -> bool:
    return taken.known_before and taken.transcript is None and taken.error is None


def _whose(draft: StoredEntry) -> str:
    heard = draft.entry.horse
    if draft.horse is not None:
        return draft.horse.name
    return f"{heard.called}?" if heard is not None and heard.called else "whose?"


def _became(taken: Taken) -> str:
    if taken.error is not None:
        return str(taken.error)
    if _known(taken):
        return "known already, left as it is"
    if taken.transcript is None:
        return "kept, not read yet"
    if not taken.drafts:
        return "kept; no words were heard in it"
    facts = sum(len(d.entry.facts) for d in taken.drafts)
    return f"{', '.join(map(_whose, taken.drafts))}: {counted(facts, 'fact')}"
