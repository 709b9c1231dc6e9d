"""From sound files to drafts: import, read, understand, keep.

Each note is kept in one transaction: its recording, its words and its drafts, or nothing. Sound is
imported first and read afterwards, so that a recogniser that fails costs no recording.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from fieldlog.core.facts import Entry, HorseMention
from fieldlog.errors import FieldlogError, SoundError, UnreadableSound

if TYPE_CHECKING:
    from fieldlog.config import Settings
    from fieldlog.core.words import Transcript
    from fieldlog.paths import Places
    from fieldlog.records.store import Store
    from fieldlog.records.types import Horse, Recording, StoredEntry
    from fieldlog.sound.importing import ImportedSound

Progress = Callable[[float, float, str], None]
"""Called with the seconds of sound read so far, the seconds in all, and the file's name."""


@dataclass(frozen=True, slots=True)
class Taken:
    """What became of one sound file."""

    name: str
    recording: Recording | None = None
    transcript: Transcript | None = None
    """What was heard; None if it was not read."""
    drafts: tuple[StoredEntry, ...] = ()
    known_before: bool = False
    """The same sound had been taken in earlier; nothing was done again."""
    damage: str = ""
    """A sentence if part of the file could not be read, else empty."""
    error: FieldlogError | None = None


def take_in(
    paths: Iterable[Path],
    store: Store,
    places: Places,
    settings: Settings,
    progress: Progress | None = None,
    *,
    read: bool = True,
    model: Path | None = None,
) -> Iterator[Taken]:
    """Take in sound files and folders; one answer for each file, in the order of recording.

    A file that cannot be read is answered with its error and the rest goes on.

    Args:
        paths: files, or folders that are searched with the folders below.
        store: the records.
        places: whose sounds folder and models.
        settings: the farrier's.
        progress: see ``Progress``.
        read: False only keeps the sound; ``read_kept`` reads it later.
        model: a speech model folder to use instead of the usual one.

    Raises:
        UnreadableSound: a path that is not there.
        ModelMissing, ModelDamaged: nothing to read with; the sound is kept.
        DiskFull, NotAllowed: the folders or the database cannot take it.
    """
    kept: list[tuple[ImportedSound, Recording, bool]] = []
    for path in _files(paths):
        if (read_before := _read_before(path, store, places)) is not None:
            yield Taken(path.name, read_before, known_before=True)
            continue
        try:
            sound = _import(path, places)
        except UnreadableSound as problem:
            yield Taken(path.name, error=problem)
            continue
        before = store.recording_of(sound.sha256)
        kept.append((sound, before or keep_sound(store, sound), before is not None))
    kept.sort(key=lambda item: item[1].started_at)
    whole = sum(recording.duration for _, recording, _ in kept)
    done = 0.0
    for sound, recording, before_known in kept:
        unread = store.transcript(recording.id) is None
        if not read or not unread:
            yield Taken(
                sound.original_name, recording, known_before=before_known, damage=sound.damage
            )
        else:
            start = done

            def report(seconds: float, name: str = sound.original_name, at: float = start) -> None:
                if progress is not None:
                    progress(at + seconds, whole, name)

            transcript, drafts = read_recording(store, recording, places, settings, report, model)
            yield Taken(sound.original_name, recording, transcript, drafts, damage=sound.damage)
        done += recording.duration
        if progress is not None:
            progress(done, whole, sound.original_name)


def _read_before(path: Path, store: Store, places: Places) -> Recording | None:
    """The recording of a kept sound that was read: its name says which, without a second look."""
    if path.parent != places.sounds or not _LASTING.fullmatch(path.name):
        return None
    known = store.recording_of(path.stem)
    return known if known is not None and store.transcript(known.id) is not None else None


def read_kept(
    store: Store,
    places: Places,
    settings: Settings,
    progress: Progress | None = None,
    model: Path | None = None,
) -> Iterator[Taken]:
    """Read the recordings that were kept without being read, oldest first."""
    waiting = store.unread_recordings()
    whole = sum(r.duration for r in waiting)
    done = 0.0
    for recording in waiting:
        start = done

        def report(seconds: float, name: str = recording.original_name, at: float = start) -> None:
            if progress is not None:
                progress(at + seconds, whole, name)

        try:
            transcript, drafts = read_recording(store, recording, places, settings, report, model)
            yield Taken(recording.original_name, recording, transcript, drafts)
        except SoundError as problem:
            yield Taken(recording.original_name, recording, error=problem)
        done += recording.duration


def keep_sound(store: Store, sound: ImportedSound) -> Recording:
    """Note an imported sound in the records; the same sound again gives the one there."""
    return store.add_recording(
        sha256=sound.sha256,
        path=sound.path,
        duration=sound.duration,
        started_at=sound.started_at,
        started_at_from=sound.started_at_from,
        original_name=sound.original_name,
    )


_LASTING = re.compile(r"[0-9a-f]{64}\.\w+")
"""The name of a sound that was taken in: the SHA-256 of its bytes."""


def unknown_sounds(store: Store, places: Places) -> list[Path]:
    """Sounds in the sounds folder that the records do not know, by name.

    They were recorded while the database could not be used, or since the backup that was put back,
    or their import was cut off. ``take_in`` makes drafts of them.
    """
    known = {recording.sha256 for recording in store.recordings()}
    there = (p for p in places.sounds.glob("*") if _LASTING.fullmatch(p.name))
    # One that is not what its name says was perhaps taken in anew, under the right one.
    return sorted(p for p in there if p.stem not in known and _digest(p) not in known)


def _digest(path: Path) -> str:
    """Empty if it cannot be read, which taking it in will say."""
    from fieldlog.sound.keep import sha256_of

    try:
        return sha256_of(path)
    except OSError:
        return ""


def only_on_the_disk(sound: ImportedSound, problem: FieldlogError) -> str:
    """What is told where a recording is whole on the disk, and the records refuse it."""
    return (
        f"Kept {sound.duration:.0f} s as {sound.path}. It is on the disk, but no draft yet. "
        f'Once the database is right: fieldlog import "{sound.path.parent}"\n{problem}'
    )


def read_recording(
    store: Store,
    recording: Recording,
    places: Places,
    settings: Settings,
    progress: Callable[[float], None] | None = None,
    model: Path | None = None,
) -> tuple[Transcript, tuple[StoredEntry, ...]]:
    """Recognise a kept recording and keep what was understood as drafts.

    Raises:
        UnreadableSound: its file is gone or damaged.
        ModelMissing, ModelDamaged: nothing to read with.
    """
    from fieldlog.sound.decode import sound_chunks
    from fieldlog.speech.opening import open_recogniser
    from fieldlog.speech.recogniser import transcribe

    if recording.path is None or not recording.path.exists():
        raise UnreadableSound(
            f"The sound of {recording.original_name or recording.id} is gone.",
            "Import the file again, if you still have it.",
        )
    recogniser = open_recogniser(settings, places, model, store.names_of_the_day())
    transcript = transcribe(recogniser, sound_chunks(recording.path), progress)
    return transcript, keep_words(store, recording, transcript, places, settings)


def keep_words(
    store: Store,
    recording: Recording,
    transcript: Transcript,
    places: Places,
    settings: Settings,
) -> tuple[StoredEntry, ...]:
    """Understand a transcript and keep it with its drafts, in one transaction.

    What the farrier taught is applied. If it changes words, the changed reading is kept beside the
    one that was heard, since what was understood points into its text.

    Raises:
        ConfigError: the file of taught words cannot be read; nothing is kept of this reading.
    """
    from fieldlog.language.personal import load_personal
    from fieldlog.language.pipeline import load

    names = store.horse_names()
    understander = load(load_personal(places.personal_rules))
    prepared = understander.prepare(transcript)
    entries = [
        with_horse(entry, names)
        for entry in understander.understand(
            transcript, recorded=recording.started_at, names=names, settings=settings
        )
    ]
    with store.write():
        store.store_transcript(recording.id, transcript)
        if prepared != transcript:
            store.store_transcript(recording.id, prepared)
        # A silent note makes no draft; its recording and empty transcript stay.
        return tuple(store.add_drafts(recording.id, entries)) if transcript.text.strip() else ()


def keep_typed(
    store: Store,
    text: str,
    at: datetime,
    places: Places,
    settings: Settings,
    horse: Horse | None = None,
    unknown: str = "",
) -> list[StoredEntry]:
    """Understand a typed note and keep its drafts; its words stay as they were typed.

    Words that the farrier taught for what a reader mishears are not applied: nobody misheard.

    Args:
        store: where it is kept.
        text: the note.
        at: the time that it is of.
        places: whose own words are read.
        settings: the farrier's.
        horse: whose note it is, as far as it names no other horse.
        unknown: the name of whose it is, where no horse (or no single one) is known by it: its
            drafts wait under this name, as a spoken one that is not known does.

    Raises:
        ConfigError: the file of taught words cannot be read; nothing is kept.
    """
    from fieldlog.core.words import Transcript
    from fieldlog.language.opinion.typed_values import typed_values_stand
    from fieldlog.language.personal import load_personal
    from fieldlog.language.pipeline import load

    names = store.horse_names()
    rules = replace(load_personal(places.personal_rules), words=(), names=())
    understood = load(rules).understand(
        Transcript.typed(text),
        recorded=at,
        names=names,
        settings=settings,
        horse=horse.name if horse else unknown or None,
    )
    entries = [with_horse(typed_values_stand(entry), names) for entry in understood]
    if unknown:
        entries = [_of_unknown(entry, unknown) for entry in entries]
    with store.write():
        kept = store.add_drafts(None, entries, at=at)
        if horse is None:
            return kept
        return [
            store.assign_horse(draft.id, horse.id)
            if draft.entry.horse is None or draft.entry.horse.name == horse.name
            else draft
            for draft in kept
        ]


def _of_unknown(entry: Entry, name: str) -> Entry:
    if entry.horse is None or entry.horse.name != name:
        return entry
    return replace(entry, horse=replace(entry.horse, known=False))


def with_horse(entry: Entry, names: Iterable[str]) -> Entry:
    """An entry that opened with no horse, given the one known horse that it speaks of.

    “Trimmed all four on Rosie” opens nothing, but can only mean Rosie if no other known horse is
    named in it.
    """
    if entry.horse is not None:
        return entry
    said = entry.text.lower()
    found = {
        name: match.start() + start
        for name in names
        for start, end in entry.stretches
        if (match := re.search(rf"(?<!\w){re.escape(name.lower())}(?!\w)", said[start:end]))
    }
    if len(found) != 1:
        return entry
    ((name, at),) = found.items()
    return replace(entry, horse=HorseMention(name, (at, at + len(name)), known=True))


def _files(paths: Iterable[Path]) -> list[Path]:
    from fieldlog.sound.importing import sound_files

    found: list[Path] = []
    for path in paths:
        if path.is_dir():
            found += sound_files(path)
        else:
            found.append(path)
    return found


def _import(path: Path, places: Places) -> ImportedSound:
    from fieldlog.sound.importing import import_sound

    return import_sound(path, places)
