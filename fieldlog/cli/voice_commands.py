"""``voice``: the recogniser learns one voice from sentences that are read aloud."""

from __future__ import annotations

import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from fieldlog.cli.main import CarefulGroup, sentence_for
from fieldlog.cli.session import Session, pass_session, say
from fieldlog.core.counting import counted
from fieldlog.errors import SpeechError

if TYPE_CHECKING:
    from fieldlog.sound.capture import Microphone
    from fieldlog.speech.readings import Teacher


@click.group("voice", cls=CarefulGroup, invoke_without_command=True)
@click.pass_context
def voice_command(ctx: click.Context) -> None:
    """Let the recogniser learn your voice from sentences that you read aloud.

    Some four minutes of reading once, at home, in quiet. Everything stays on this machine. Without
    a subcommand this says what was learnt so far.
    """
    if ctx.invoked_subcommand is None:
        sentence_for(lambda: say(told(ctx.obj)))


def told(session: Session) -> str:
    """What was read and learnt, in a sentence or two; also for ``doctor``."""
    from fieldlog.speech.own_voice import load
    from fieldlog.speech.readings import read_aloud, sentences
    from fieldlog.speech.shipped import network_hash, shipped_folder

    places = session.places
    read = f"{len(read_aloud(places))} of {len(sentences())} sentences are read"
    if not places.own_voice.is_file():
        return f"Not learnt yet; {read}. “fieldlog voice read” begins."
    voice = load(places.own_voice)
    shipped = shipped_folder()
    if shipped is None or voice.network != network_hash(shipped):
        return "Learnt with another speech model. Learn it anew: fieldlog voice learn"
    about = voice.about
    day, minutes = str(about["learnt"])[:10], about["seconds"] / 60
    sure = counted(about["sentences"], "sentence")
    return f"Learnt on {day} from {sure} ({minutes:.1f} minutes); {read}."


@voice_command.command("sentences")
def sentences_command() -> None:
    """Print the sentences with their numbers, to be read into a phone or a recorder."""
    from fieldlog.speech.readings import sentences

    for number, text in enumerate(sentences(), 1):
        click.echo(f"{number:02}  {text}")


@voice_command.command("read")
@click.option("--microphone", default="", help="Name or number; see fieldlog record --list.")
@click.option("--again", is_flag=True, help="From the first sentence, also those that are read.")
@click.option(
    "--from",
    "folder",
    type=click.Path(path_type=Path, file_okay=False, exists=True),
    help="A folder of sound files named 01, 02, ... instead of the microphone.",
)
@pass_session
def read(session: Session, microphone: str, again: bool, folder: Path | None) -> None:
    """Read the sentences aloud, one after the other.

    Enter begins and ends a sentence. Read as you talk at work, not as from a book, with the
    microphone where you wear it. q and Enter stops; what is read is kept, and the next time goes
    on from there.
    """
    session.places.make()
    if folder is not None:
        _read_from(session, folder)
        return
    from fieldlog.sound.capture import SystemMicrophone
    from fieldlog.sound.portaudio import choose
    from fieldlog.sound.quiet import native_noise_to

    session.settings_or_defaults("Reading aloud")
    wanted = microphone or session.settings.microphone
    with native_noise_to(session.places.cache / "native.log"):
        choose(wanted)
        _read_into(session, lambda: SystemMicrophone(wanted), again)


def _read_from(session: Session, folder: Path) -> None:
    from fieldlog.speech.readings import take_in

    kept = 0
    for number, wrong in take_in(session.places, folder):
        kept += not wrong
        if wrong:
            say(f"Sentence {number}: {wrong} Left out.")
    click.echo(f"Kept {counted(kept, 'sentence')}.")
    _what_next(session)


def _read_into(session: Session, microphone: Callable[[], Microphone], again: bool) -> None:
    """Go through the sentences that are not read yet, or through all ``again``."""
    from fieldlog.speech.readings import read_aloud, sentences, teacher

    ear = teacher()
    done = {} if again else read_aloud(session.places)
    for number in range(1, len(sentences()) + 1):
        if number not in done and not _read_one(session, ear, microphone, number):
            break
    _what_next(session)


def _read_one(
    session: Session, ear: Teacher, microphone: Callable[[], Microphone], number: int
) -> bool:
    """Ask for one sentence until it is read well; False if they want to stop."""
    from fieldlog.speech.readings import keep, sentences

    while True:
        click.echo(f"\n{number:02}  {sentences()[number - 1]}")
        if _asked("Enter begins, q stops"):
            return False
        pcm = _heard_until_enter(microphone())
        wrong = ear.wrong_with(number, pcm)
        if not wrong:
            keep(session.places, number, pcm)
            return True
        say(f"{wrong} Once more, please.")


def _asked(what: str) -> bool:
    """Whether they want to stop."""
    answer: str = click.prompt(what, default="", show_default=False, prompt_suffix=" ")
    return answer.strip().lower() == "q"


def _heard_until_enter(microphone: Microphone) -> bytes:
    """What comes from the microphone until Enter is pressed, or until nothing more comes.

    Raises:
        NoMicrophone: it does not begin.
    """
    pieces: list[bytes] = []
    ended = threading.Event()

    def listen() -> None:
        # A microphone is called from one thread only.
        microphone.start()
        try:
            while not ended.is_set() and not microphone.ended:
                captured = microphone.read(0.2)
                if captured is not None:
                    pieces.append(captured.pcm)
        finally:
            microphone.stop()

    with ThreadPoolExecutor(1) as pool:
        listening = pool.submit(listen)
        try:
            if not listening.done():
                _asked("Enter ends it")
        finally:
            ended.set()
        listening.result()
    return b"".join(pieces)


def _what_next(session: Session) -> None:
    from fieldlog.speech.readings import FEWEST, read_aloud, sentences

    read = len(read_aloud(session.places))
    left = len(sentences()) - read
    if read < FEWEST:
        say(f"{read} are read; {FEWEST - read} more at least before anything can be learnt.")
    elif left:
        say(f"{read} are read, {left} are left. Learn from these: fieldlog voice learn")
    else:
        say("All are read. Learn from them: fieldlog voice learn")


@voice_command.command("learn")
@pass_session
def learn(session: Session) -> None:
    """Learn your voice from the sentences that you read; a few minutes of work.

    Every fifth sentence is first kept aside: only if it is heard better is the voice used.
    """
    from fieldlog.speech.readings import learn as learn_from

    session.places.make()
    with click.progressbar(length=1000, label="Learning", width=30, show_eta=True) as bar:

        def progress(done: int, of: int) -> None:
            bar.update(1000 * done // of - bar.pos)

        proof = learn_from(session.places, datetime.now().astimezone(), progress)
    before, after = (100 * wrong / proof.sounds for wrong in proof.wrong)
    aside = (
        f"of the sentences kept aside {before:.0f} sounds in 100 were misheard before, "
        f"{after:.0f} with your voice in mind"
    )
    if not proof.better:
        raise SpeechError(
            f"Your voice is heard as well without it: {aside}. Nothing was changed.",
            "Read the other sentences too, or again with the microphone that you work with.",
        )
    say(f"Learnt: {aside}. Notes are heard with your voice in mind from now on.")
    say("“fieldlog voice forget” takes it back. Notes that were read before stay as they are.")


@voice_command.command("forget")
@click.option("--readings", is_flag=True, help="Remove what you read aloud as well.")
@pass_session
def forget(session: Session, readings: bool) -> None:
    """Hear as before, without your voice in mind."""
    from fieldlog.speech.readings import forget as forget_voice

    if not forget_voice(session.places, readings):
        click.echo("Nothing was learnt of your voice.")
    elif readings:
        click.echo("Forgotten, and what you read aloud is removed.")
    else:
        say("Forgotten; your readings are kept (“fieldlog voice learn” learns from them again).")
