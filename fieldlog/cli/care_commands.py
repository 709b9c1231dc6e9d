"""``settings`` and ``doctor``: the settings file, and what works on this machine."""

from __future__ import annotations

import os
import platform
import shutil
from collections.abc import Callable
from contextlib import suppress
from dataclasses import fields

import click

from fieldlog.cli.main import CarefulCommand, CarefulGroup, sentence_for
from fieldlog.cli.session import (
    Session,
    json_option,
    pass_session,
    print_json,
    say,
    table,
    write_file,
)
from fieldlog.core.counting import counted
from fieldlog.errors import ConfigError, FieldlogError, InputError, RecordsError

EXPLAINED = {
    "model": "Folder of a speech model; empty: your models, then the one that came along.",
    "second_reader": "Let a second reader check notes afterwards, where it is installed.",
    "second_model": "Folder of its weights; empty: those installed by pip (see models second).",
    "microphone": "Name or number of the microphone; empty: the system's own choice.",
    "tones": "Short tones while recording that say what was understood.",
    "british_names": "Near fore, off hind instead of left front, right hind.",
    "cycle_weeks": "Weeks between visits for a horse that has no cycle of its own.",
    "lameness_scale": "Scale taken for a bare lameness grade: aaep_0_5 or uk_0_10.",
    "condition_scale": "Scale taken for a bare condition score: henneke_1_9 or bcs_0_5.",
    "length_unit": "Unit of a length said without one: in or mm; empty: judged by its size.",
    "farrier_name": "Your name, printed on papers.",
    "farrier_contact": "Your phone or address, printed on papers.",
    "accept_above": "Confidence from which a fact counts as sure; 0: the measured default.",
    "learn_from_looks": "Ask more or less often by how often you correct what you look at.",
    "theme": "dark or light.",
}


@click.group("settings", cls=CarefulGroup, invoke_without_command=True)
@click.pass_context
def settings_command(ctx: click.Context) -> None:
    """Where the settings file is and what is set.

    Without a subcommand this is “settings show”. Every setting is optional.
    """
    if ctx.invoked_subcommand is None:
        sentence_for(lambda: _show(ctx.obj, as_json=False))


@settings_command.command("path")
@pass_session
def path(session: Session) -> None:
    """Print the path of the settings file (it may not exist yet)."""
    click.echo(session.places.settings)


@settings_command.command("show")
@json_option
@pass_session
def show(session: Session, as_json: bool) -> None:
    """Print every setting, its value, and what it does."""
    _show(session, as_json)


def _show(session: Session, as_json: bool) -> None:
    settings = session.settings
    values = {f.name: getattr(settings, f.name) for f in fields(settings)}
    if as_json:
        print_json(values)
        return
    there = session.places.settings.exists()
    say(f"Settings file: {session.places.settings}{'' if there else ' (not there yet)'}")
    if not there:
        say("All defaults. To set something: “fieldlog settings create”, then edit that file.")
    say("")
    rows = [(key, _toml(value), EXPLAINED.get(key, "")) for key, value in values.items()]
    click.echo(table(("setting", "value", "what it does"), rows))
    if settings.learn_from_looks and session.places.database.exists():
        from fieldlog.looks import experience, in_words

        # Settings are what one reads when something is wrong; doctor says what the records have.
        with suppress(RecordsError):
            say(f"\n{in_words(experience(session.store, settings))}")


@settings_command.command("create")
@click.option("--force", is_flag=True, help="Replace the file that is there.")
@pass_session
def create(session: Session, force: bool) -> None:
    """Write a settings file with every key explained, to be edited by hand."""
    from fieldlog.config import Settings

    lines = ["# Settings of fieldlog. Take the # off a line to change that setting.", ""]
    for f in fields(Settings):
        lines += [f"# {EXPLAINED.get(f.name, '')}", f"# {f.name} = {_toml(f.default)}", ""]
    session.places.make()
    if session.places.settings.exists() and not force:
        raise InputError(
            f"{session.places.settings} is there already.",
            "Edit it, or add --force: that replaces it, and what you set in it is lost.",
        )
    write_file(session.places.settings, "\n".join(lines), force)
    say(f"Wrote {session.places.settings}.")


def _toml(value: object) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    return f'"{value}"' if isinstance(value, str) else str(value)


@click.command("doctor", cls=CarefulCommand)
@json_option
@click.pass_context
def doctor_command(ctx: click.Context, as_json: bool) -> None:
    """Check what works on this machine: folders, database, speech model, microphone.

    Each line says ok, missing or wrong, and what to do. The exit code is 1 if something that
    the demo or a day's work needs is wrong; a missing microphone alone is not (sound files can
    be imported without one).
    """
    session: Session = ctx.obj
    checks: list[tuple[str, bool, Callable[[], str]]] = [
        ("Python", True, _python),
        ("packages", True, _packages),
        ("folders", True, lambda: _folders(session)),
        ("settings", True, lambda: _settings(session)),
        ("own words", True, lambda: _own_words(session)),
        ("database", True, lambda: _database(session)),
        ("speech model", True, lambda: _model(session)),
        ("understanding", True, _understanding),
        ("your voice", False, lambda: _voice(session)),
        ("second reader", False, lambda: _second(session)),
        ("sound files", True, _decoders),
        ("microphone", False, lambda: _microphone(session)),
        ("papers", False, _papers),
    ]
    results = []
    for name, needed, check in checks:
        try:
            state, words = "ok", check()
        except (FieldlogError, OSError, ImportError, RuntimeError) as problem:
            state, words = ("wrong" if needed else "missing"), str(problem)
        results.append({"check": name, "state": state, "words": words})
    if as_json:
        print_json(results)
    else:
        rows = [(r["check"], r["state"], r["words"]) for r in results]
        click.echo(table(("check", "state", "what was found"), rows))
    if any(r["state"] == "wrong" for r in results):
        ctx.exit(1)


def _python() -> str:
    return f"{platform.python_version()} on {platform.system()} {platform.machine()}"


def _packages() -> str:
    from fieldlog.cli.installed import PACKAGES, REMEDY, missing

    if gone := missing():
        raise FieldlogError(f"Not installed: {', '.join(gone)}.", REMEDY)
    return f"all {len(PACKAGES)} are installed"


def _folders(session: Session) -> str:
    places = session.places.make()
    free = shutil.disk_usage(places.data).free
    if not os.access(places.data, os.W_OK):
        raise FieldlogError(f"{places.data} cannot be written.", "Check its permissions.")
    if free < 200_000_000:
        raise FieldlogError(
            f"Only {free // 1_000_000} MB are free at {places.data}.",
            "Make room: an hour of recording takes 115 MB.",
        )
    return f"{places.data}, {free / 1e9:.1f} GB free"


def _settings(session: Session) -> str:
    path = session.places.settings
    try:
        _ = session.settings
    except ConfigError:
        # Said once; the lines that follow speak of what they are about.
        session.go_on_with_defaults()
        raise
    return str(path) if path.exists() else f"{path}, not there yet: all defaults"


def _own_words(session: Session) -> str:
    from fieldlog.language.personal import load_personal

    path = session.places.personal_rules
    rules = load_personal(path)
    taught = len(rules.words) + len(rules.phrases) + len(rules.names)
    return f"{path}, {taught} taught" if path.exists() else "none taught yet"


def _database(session: Session) -> str:
    if not session.places.database.exists():
        return "none yet; the first record or import makes it"
    from fieldlog.intake import unknown_sounds

    store = session.store
    here = f"{session.places.database}, {counted(len(store.horses()), 'horse')}"
    unknown = len(unknown_sounds(store, session.places))
    return here if not unknown else (
        f"{here}; not in it {'is' if unknown == 1 else 'are'} {counted(unknown, 'recording')} of "
        f'the sounds folder: fieldlog import "{session.places.sounds}"'
    )  # fmt: skip


def _model(session: Session) -> str:
    from fieldlog.speech.models import find_model, prove

    session.places.make()
    model = find_model(session.settings, session.places)
    prove(model, session.places)
    return model.describe()


def _understanding() -> str:
    from fieldlog.language.opinion.gist import network

    if (ready := network()) is None:
        raise FieldlogError(
            "The network of the second opinion did not come along: rules alone understand notes.",
            "Install fieldlog again; your records are not touched.",
        )
    return f"rules, and a second opinion on {ready.known} things that can be said"


def _voice(session: Session) -> str:
    from fieldlog.cli.voice_commands import told

    return told(session)


def _second(session: Session) -> str:
    from fieldlog.cli.second import doctor_line

    return doctor_line(session)


def _decoders() -> str:
    import av
    import soundfile

    return f"soundfile {soundfile.__version__}, av {av.__version__}"


def _microphone(session: Session) -> str:
    from fieldlog.sound.capture import microphones
    from fieldlog.sound.portaudio import choose

    chosen = choose(session.settings.microphone)
    return f"{chosen.name} ({len(microphones())} to choose from)"


def _papers() -> str:
    missing = []
    for name in ("jinja2", "fpdf", "matplotlib"):
        try:
            __import__(name)
        except ImportError:
            missing.append(name)
    if missing:
        raise FieldlogError(
            f"Not installed: {', '.join(missing)}.",
            "They come with fieldlog: install fieldlog again into this environment.",
        )
    return "HTML, PDF and charts can be made"
