"""New sound into the records: a finished recording, one that was cut off, one not read yet."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from fieldlog import intake
from fieldlog.app.shown import count
from fieldlog.config import Settings
from fieldlog.copied import dated_by_copying
from fieldlog.core.words import Transcript
from fieldlog.errors import FieldlogError, RecordsError, SoundError
from fieldlog.paths import Places

if TYPE_CHECKING:
    from fieldlog.records.store import Store
    from fieldlog.sound.capture import Microphone
    from fieldlog.sound.importing import ImportedSound
    from fieldlog.sound.player import Player
    from fieldlog.speech.events import Event
    from fieldlog.speech.handsfree import HandsFree
    from fieldlog.speech.recogniser import Recogniser


ON_THE_DISK = (
    "The sound is on the disk, but no draft yet. Once the database is right: R on the Day screen."
)
"""Told where the records refuse a recording."""


def new_recording(
    places: Places,
    settings: Settings,
    reader: Recogniser | None,
    microphone: Microphone | None,
    player: Player | None,
    on_event: Callable[[Event], object],
    wanted: str = "",
) -> HandsFree:
    """A recording that is ready to start; without a microphone, with the system's called so."""
    from fieldlog.sound.capture import SystemMicrophone
    from fieldlog.sound.tones import Tones
    from fieldlog.speech.handsfree import HandsFree

    def tell(event: Event) -> None:
        on_event(event)

    tones = Tones(player) if settings.tones and player is not None else None
    heard = microphone or SystemMicrophone(wanted)
    return HandsFree(heard, reader, places, tell, tones)


def names_if_there(
    names: Callable[[], Sequence[str]], tell: Callable[[RecordsError], object]
) -> Sequence[str]:
    """The names of the day. Records that cannot be used keep nobody from recording.

    Args:
        names: gives them; may raise what the records raise.
        tell: called with what the records refuse; then there are no names.
    """
    try:
        return names()
    except RecordsError as problem:
        tell(problem)
        return ()


def reader_if_there(
    make: Callable[[Sequence[str]], Recogniser] | None,
    names: Sequence[str],
    tell: Callable[[FieldlogError], object],
) -> Recogniser | None:
    """Who reads along. A model that cannot be used keeps nobody from recording.

    Args:
        make: makes a reader, given the names of the day; None: nobody reads along.
        names: of the day.
        tell: called with why there is none.
    """
    try:
        return make(names) if make is not None else None
    except FieldlogError as problem:
        tell(problem)
        return None


def microphone_names() -> list[str]:
    """What may be recorded with; the system's own choice comes first.

    Raises:
        NoMicrophone: the sound library is missing or fails.
    """
    from fieldlog.sound.capture import microphones

    return [d.name for d in sorted(microphones(), key=lambda d: not d.is_default)]


@dataclass(frozen=True, slots=True)
class Kept:
    """What came of a finished recording."""

    said: str
    """As a sentence."""
    entry_id: str = ""
    """Its first draft, or empty."""


def keep_recording(
    store: Store,
    sound: ImportedSound,
    transcript: Transcript | None,
    places: Places,
    settings: Settings,
) -> Kept:
    """Keep a finished recording, and what is understood of it as drafts; says what came of it.

    The sound is noted in a transaction of its own, first: whatever fails later, it can be read
    again. A recording that already has drafts is left as it is.
    """
    recording = intake.keep_sound(store, sound)
    if sound.silent and not (transcript and transcript.text.strip()):
        from fieldlog.sound.capture import only_silence

        if transcript is not None:
            intake.keep_words(store, recording, transcript, places, settings)
        return Kept(f"The sound is kept. {only_silence()}")
    if transcript is None:
        return Kept("The sound is kept, not read yet: R on the Day screen reads it.")
    kept = store.entries_from(recording.id)
    if not kept:
        kept = list(intake.keep_words(store, recording, transcript, places, settings))
    names = sorted({e.horse.name for e in kept if e.horse is not None})
    whose = f" for {', '.join(names)}" if names else ""
    goes = " 1 goes to it." if len(kept) == 1 else " 1 goes to the first." if kept else ""
    first = kept[0].id if kept else ""
    return Kept(f"Kept: {count(len(kept), 'draft')}{whose}.{goes}", first)


@dataclass(frozen=True, slots=True)
class LeftOver:
    """Sound that still waits to be taken in."""

    cut_off: int
    """Recordings that a crash or a flat battery cut off."""
    unread: int
    """Recordings that were kept without being read."""
    unknown: int = 0
    """Recordings that the records do not know: made while the database could not be used."""

    def sentence(self) -> str:
        """What to do about it; empty if there is nothing."""
        parts = []
        if self.cut_off:
            parts.append(f"{count(self.cut_off, 'recording')} cut off")
        if self.unread:
            parts.append(f"{count(self.unread, 'recording')} not read yet")
        if self.unknown:
            parts.append(f"{count(self.unknown, 'recording')} not in the records yet")
        it = "it" if self.cut_off + self.unread + self.unknown == 1 else "them"
        return f"{', '.join(parts)}: R takes {it} in." if parts else ""


def left_over(store: Store, places: Places) -> LeftOver:
    """Count it."""
    from fieldlog.sound.recovery import find_unfinished

    return LeftOver(
        len(find_unfinished(places)),
        len(store.unread_recordings()),
        len(intake.unknown_sounds(store, places)),
    )


def take_in_left_over(
    store: Store,
    places: Places,
    settings: Settings,
    make_recogniser: Callable[[Sequence[str]], Recogniser] | None,
    progress: Callable[[str], object],
    check: Callable[[], object],
) -> str:
    """Rescue cut-off recordings, take in what the records do not know, then read all unread.

    A bad one does not stop the rest.

    Args:
        store: a connection of the calling thread.
        places: whose sounds.
        settings: the farrier's.
        make_recogniser: makes a reader, given the names of the day; None: nothing is read.
        progress: called with a short sentence for each recording.
        check: called for each piece of sound; what it raises ends the reading.
    """
    from fieldlog.sound.decode import sound_chunks
    from fieldlog.sound.recovery import rescue_all
    from fieldlog.speech.recogniser import transcribe

    told = []
    for one in rescue_all(places):
        if one.sound is None:
            told.append(one.told)
        else:
            intake.keep_sound(store, one.sound)
    unknown = intake.unknown_sounds(store, places)
    kept_now = intake.take_in(unknown, store, places, settings, read=False)
    told += [str(one.error) for one in kept_now if one.error is not None]
    waiting = store.unread_recordings()
    if not waiting:
        return " ".join(told) or "No recording was cut off, and every one has been read."
    if make_recogniser is None:
        kept = f"Kept: {count(len(waiting), 'recording')}; there is no reader here to read them."
        return " ".join([*told, kept])
    drafts, unreadable, copied = 0, 0, 0
    for number, recording in enumerate(waiting, start=1):
        progress(f"Reading {number} of {len(waiting)}…")
        if recording.path is None or not recording.path.exists():
            unreadable += 1
            continue
        try:
            recogniser = make_recogniser(store.names_of_the_day())
            transcript = transcribe(recogniser, _checked(sound_chunks(recording.path), check))
        except SoundError:
            unreadable += 1
            continue
        made = intake.keep_words(store, recording, transcript, places, settings)
        drafts += len(made)
        copied += bool(made) and dated_by_copying(recording)
    bad = f"; {count(unreadable, 'file')} cannot be read" if unreadable else ""
    taken = f"Taken in: {count(len(waiting), 'recording')}, {count(drafts, 'draft')} made{bad}."
    return " ".join([*told, taken, *_doubtful_days(copied)])


def _doubtful_days(copied: int) -> list[str]:
    if not copied:
        return []
    files = "its file was" if copied == 1 else "their files were"
    return [f"{count(copied, 'note')} may be of the day {files} copied: T gives another."]


def _checked(chunks: Iterable[bytes], check: Callable[[], object]) -> Iterator[bytes]:
    for chunk in chunks:
        check()
        yield chunk
