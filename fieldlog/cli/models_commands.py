"""``models``: which speech models there are, whether they work, where to get another."""

from __future__ import annotations

from pathlib import Path
from textwrap import shorten

import click

from fieldlog.cli.main import CarefulGroup, sentence_for
from fieldlog.cli.session import Session, json_option, pass_session, print_json, say, table
from fieldlog.errors import ModelDamaged


@click.group("models", cls=CarefulGroup, invoke_without_command=True)
@click.pass_context
def models_command(ctx: click.Context) -> None:
    """Speech models: list, check, fetch.

    A model is a folder. fieldlog uses the one named in the settings, else the newest in your own
    models folder, else the small one that came along. Without a subcommand this is “models list”.
    """
    if ctx.invoked_subcommand is None:
        sentence_for(lambda: _list(ctx.obj, as_json=False))


@models_command.command("list")
@json_option
@pass_session
def list_models(session: Session, as_json: bool) -> None:
    """List the models that fieldlog sees; the first sound one is used."""
    _list(session, as_json)


def _list(session: Session, as_json: bool) -> None:
    from fieldlog.speech.models import find_model, known_models

    found = known_models(session.places)
    if session.settings.model:
        found.insert(0, find_model(session.settings, session.places))
    rows = []
    for model in found:
        if isinstance(model, ModelDamaged):
            rows.append({"name": "", "state": "damaged", "about": str(model), "path": ""})
        else:
            rows.append(
                {
                    "name": model.name,
                    "state": "in use" if not any(r["state"] == "in use" for r in rows) else "",
                    "about": model.describe(),
                    "path": str(model.path),
                }
            )
    if as_json:
        print_json(rows)
    elif not rows:
        click.echo(
            "There is no speech model. Fetch one while online (fieldlog models fetch), or put a\n"
            f"Vosk model folder into {session.places.models}."
        )
    else:
        click.echo(table(("state", "model"), [(r["state"], r["about"]) for r in rows]))
        say(f"\nYour own models go into {session.places.models}")


@models_command.command("check")
@click.argument("folder", required=False, type=click.Path(path_type=Path))
@pass_session
def check(session: Session, folder: Path | None) -> None:
    """Load a model and let it read a second of sound, in a process of its own.

    FOLDER is a Vosk model folder; without it the model in use is checked.
    """
    from fieldlog.speech.models import find_model, prove

    model = find_model(session.settings, session.places, folder)
    prove(model, session.places)
    say(f"Works: {model.describe()}")
    say(f"Folder: {model.path}")


@models_command.command("fetch")
@click.argument("name", required=False)
@click.option("--sha256", default="", help="Expected checksum of the archive.")
@pass_session
def fetch(session: Session, name: str | None, sha256: str) -> None:
    """Fetch an official Vosk English model while you are online.

    NAME is one of the names that are listed when it is left out, or a full address of a .zip
    archive. A broken download goes on where it stopped. This is the only command that uses the
    network.
    """
    from fieldlog.speech.fetch import OFFERS, fetch_model

    if not name:
        rows = [(o.name, f"{o.megabytes} MB", o.about) for o in OFFERS]
        click.echo(table(("name", "download", "about"), rows))
        click.echo("\nFetch one with: fieldlog models fetch NAME")
        return
    session.places.make()
    with click.progressbar(length=100, label="Fetching", width=40) as bar:

        def progress(done: int, whole: int) -> None:
            bar.length = whole or max(done, 1)
            bar.update(done - bar.pos)

        fetched = fetch_model(name, session.places, sha256, progress)
    checked = "as expected" if fetched.checked else "not compared: no checksum was given"
    say(f"Ready: {fetched.model.describe()}")
    say(f"SHA-256 of the archive: {fetched.sha256} ({checked})")


@models_command.command("second")
@click.argument("folder", required=False, type=click.Path(path_type=Path))
@pass_session
def second(session: Session, folder: Path | None) -> None:
    """The optional second reader: whether it works here, or how to get it.

    It reads finished notes again; “fieldlog read --help” says more. FOLDER is a folder with a
    CTranslate2 Whisper model to check; without it the one in use is checked.
    """
    from fieldlog.cli.second import weights_told

    say("\n".join(weights_told(session, folder)))


@models_command.command("vocabulary")
@click.argument("words", nargs=-1)
@click.option(
    "--model", "folder", type=click.Path(path_type=Path), help="Another model folder to look into."
)
@json_option
@pass_session
def vocabulary(
    session: Session, words: tuple[str, ...], folder: Path | None, as_json: bool
) -> None:
    """Which trade terms the speech model can never hear, because it lacks a word of them.

    With WORDS only those are looked up. Names of horses and people need not be in the vocabulary:
    they are found by sound among the names in your records.
    """
    import fieldlog.language
    from fieldlog.speech.models import find_model, prove
    from fieldlog.speech.vocabulary import audit, hears, terms_in

    model = find_model(session.settings, session.places, folder)
    prove(model, session.places)
    data = Path(fieldlog.language.__file__).parent / "data"
    terms = [word.lower() for word in words] if words else terms_in(data)
    unheard = audit(terms, hears(model.path))
    if as_json:
        print_json(
            {
                "model": model.name,
                "looked_up": len(terms),
                "unheard": [{"term": u.term, "missing": list(u.missing)} for u in unheard],
            }
        )
        return
    say(f"{model.describe()}\n{len(terms)} terms looked up, {len(unheard)} not hearable.")
    if unheard:
        rows = [(", ".join(u.missing), shorten(u.term, 60, placeholder="…")) for u in unheard]
        click.echo(table(("missing", "term"), rows))
