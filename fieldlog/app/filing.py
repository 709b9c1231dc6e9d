"""Between the records and the screens: store records in, views out, all on the records' thread."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from fieldlog import intake
from fieldlog.app.due_groups import DueView
from fieldlog.app.grouping import with_low_confidence
from fieldlog.app.naming import KnownHorse
from fieldlog.app.shown import count
from fieldlog.app.views import EntryView
from fieldlog.app.worked_out import flag_sentences, worked_out
from fieldlog.config import Settings
from fieldlog.core.facts import Entry, Fact
from fieldlog.core.words import Transcript
from fieldlog.errors import NotFound, SoundError
from fieldlog.language.confidence import accept_threshold
from fieldlog.paths import Places
from fieldlog.records.types import (
    EntryState,
    FollowUp,
    Horse,
    HorsePage,
    SavedFact,
    SearchHit,
    StoredEntry,
    VisitDue,
)

if TYPE_CHECKING:
    from fieldlog.app.screens.horse_pick import NewHorse
    from fieldlog.records.store import Store
    from fieldlog.sound.importing import ImportedSound
    from fieldlog.speech.recogniser import Recogniser


@dataclass(frozen=True, slots=True)
class HorseStory:
    """Everything that the horse screen shows."""

    page: HorsePage
    facts: tuple[SavedFact, ...]


def open_store(places: Places, author: str = "") -> Store:
    """Open (and if needed make or migrate) the database.

    Raises:
        RecordsError: it is too new, damaged, busy, or not allowed.
    """
    from fieldlog.records.store import Store

    return Store.open(places.make().database, author=author)


# entries


def entries(store: Store, settings: Settings) -> list[EntryView]:
    """Every draft, and what is saved of the days that have drafts (else of the newest day)."""
    drafts = store.drafts()
    days = sorted({d.day for d in drafts}) or store.days()[:1]
    listed = {stored.id: stored for day in days for stored in store.entries_on(day)}
    readings: dict[str, Transcript | None] = {}
    return [view(store, stored, settings, readings) for stored in listed.values()]


def view(
    store: Store,
    stored: StoredEntry,
    settings: Settings,
    readings: dict[str, Transcript | None] | None = None,
) -> EntryView:
    """One entry with its words, its sound, and what was worked out from it."""
    known = readings if readings is not None else {}
    recording_id = stored.recording_id
    sound = None
    if recording_id is not None:
        if recording_id not in known:
            known[recording_id] = _reading_of(store, recording_id, stored.entry)
        sound = store.recording(recording_id).path
    transcript = known.get(recording_id or "") or Transcript.typed(stored.entry.text)
    saved = stored.state is EntryState.SAVED
    sure_from = settings.accept_above or accept_threshold()
    facts = tuple(
        replace(fact, doubts=())
        if saved or fact.id in stored.looked_at
        else with_low_confidence(fact, sure_from)
        for fact in stored.entry.facts
    )
    return EntryView(
        entry=replace(stored.entry, facts=facts),
        transcript=transcript,
        when=stored.at,
        horse=known_horse(stored.horse) if stored.horse else None,
        sound=sound if sound is not None and sound.exists() else None,
        looked_at=stored.looked_at,
        saved=saved,
        computed=worked_out(facts, inches=settings.length_unit != "mm"),
        flags=flag_sentences(facts),
    )


def _reading_of(store: Store, recording_id: str, entry: Entry) -> Transcript | None:
    """The reading that the entry's spans point into: the one with its text."""
    readings = store.transcripts(recording_id)
    return next((r for r in readings if r.text == entry.text), None)


# corrections: each is one step in the store, which can be taken back


def change(store: Store, entry_id: str, fact_id: str, new: Sequence[Fact]) -> None:
    """Put corrected facts in the place of one."""
    facts = store.entry(entry_id).entry.facts
    if len(new) == 1 and new[0].id == fact_id:
        store.change_fact(entry_id, new[0])
    elif not new:
        store.delete_fact(entry_id, fact_id)
    else:
        several: list[Fact] = []
        for fact in facts:
            several.extend(new if fact.id == fact_id else (fact,))
        store.set_facts(entry_id, several, "split")


def join(store: Store, entry_id: str, joined: Fact, gone_id: str) -> None:
    """Two facts become ``joined``, which has the id of the first."""
    facts = store.entry(entry_id).entry.facts
    rest = (f for f in facts if f.id != gone_id)
    store.set_facts(entry_id, [joined if f.id == joined.id else f for f in rest], "join")


def add(store: Store, entry_id: str, new: Sequence[Fact]) -> None:
    """Add facts by hand, as one step; one without its foot stays to be looked at."""
    if len(new) == 1 and not new[0].needs_look:
        store.add_fact(entry_id, new[0])
    else:
        store.set_facts(entry_id, [*store.entry(entry_id).entry.facts, *new], "add")


# horses


def known_horse(horse: Horse) -> KnownHorse:
    """A horse as the picker shows it."""
    return KnownHorse(horse.id, horse.name, horse.client, horse.barn)


def horses(store: Store) -> list[KnownHorse]:
    """All horses by name."""
    return [known_horse(h) for h in store.horses()]


def new_horse(store: Store, wanted: NewHorse) -> KnownHorse:
    """Enter a horse, and its owner if that one is new too."""
    with store.write():
        client_id = None
        if wanted.owner:
            client = store.find_client(wanted.owner) or store.add_client(wanted.owner)
            client_id = client.id
        horse = store.add_horse(wanted.name, client_id=client_id, barn=wanted.barn)
    return known_horse(horse)


def keep_recording(
    store: Store, sound: ImportedSound, transcript: Transcript | None, settings: Settings
) -> str:
    """Keep a finished recording, and what is understood of it as drafts; says what came of it.

    The sound is noted in a transaction of its own, first: whatever fails later, it can be read
    again. A recording that already has drafts is left as it is.
    """
    recording = intake.keep_sound(store, sound)
    if transcript is None:
        return "The sound is kept, not read yet: R on the Day screen reads it."
    kept = store.entries_from(recording.id)
    if not kept:
        kept = list(intake.keep_words(store, recording, transcript, settings))
    names = sorted({e.horse.name for e in kept if e.horse is not None})
    whose = f" for {', '.join(names)}" if names else ""
    return f"Kept: {count(len(kept), 'draft')}{whose}. 1 shows what is to be looked at."


@dataclass(frozen=True, slots=True)
class LeftOver:
    """Sound that still waits to be taken in."""

    cut_off: int
    """Recordings that a crash or a flat battery cut off."""
    unread: int
    """Recordings that were kept without being read."""

    def sentence(self) -> str:
        """What to do about it; empty if there is nothing."""
        parts = []
        if self.cut_off:
            parts.append(f"{count(self.cut_off, 'recording')} cut off")
        if self.unread:
            parts.append(f"{count(self.unread, 'recording')} not read yet")
        return f"{' and '.join(parts)}: R takes it in." if parts else ""


def left_over(store: Store, places: Places) -> LeftOver:
    """Count it."""
    from fieldlog.sound.recovery import find_unfinished

    return LeftOver(len(find_unfinished(places)), len(store.unread_recordings()))


def take_in_left_over(
    store: Store,
    places: Places,
    settings: Settings,
    make_recogniser: Callable[[Sequence[str]], Recogniser] | None,
    progress: Callable[[str], object],
    check: Callable[[], object],
) -> str:
    """Rescue cut-off recordings, then read everything unread; a bad one does not stop the rest.

    Args:
        store: a connection of the calling thread.
        places: whose sounds.
        settings: the farrier's.
        make_recogniser: makes a reader, given the names of the day; None: nothing is read.
        progress: called with a short sentence for each recording.
        check: called for each piece of sound; what it raises ends the reading.
    """
    from fieldlog.sound.decode import sound_chunks
    from fieldlog.sound.recovery import find_unfinished, recover
    from fieldlog.speech.recogniser import transcribe

    for unfinished in find_unfinished(places):
        intake.keep_sound(store, recover(unfinished, places))
    waiting = store.unread_recordings()
    if make_recogniser is None:
        return f"{count(len(waiting), 'recording')} kept; there is no reader here to read it."
    drafts, unreadable = 0, 0
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
        drafts += len(intake.keep_words(store, recording, transcript, settings))
    bad = f"; {count(unreadable, 'file')} cannot be read" if unreadable else ""
    return f"{count(len(waiting), 'recording')} taken in, {count(drafts, 'draft')} made{bad}."


def _checked(chunks: Iterable[bytes], check: Callable[[], object]) -> Iterator[bytes]:
    for chunk in chunks:
        check()
        yield chunk


# due, search, one horse


def due(store: Store, settings: Settings) -> list[DueView]:
    """What is open, and the next visits by cycle of horses that have no promised one."""
    return [_promise(f) for f in store.follow_ups()] + [
        _visit(v)
        for v in store.visits_due(usual_weeks=settings.cycle_weeks)
        if v.due is not None and not v.promised
    ]


def _promise(item: FollowUp) -> DueView:
    return DueView(
        id=item.id,
        what=item.text,
        horse=item.horse,
        horse_id=item.horse_id or "",
        barn=item.barn,
        feet=item.feet,
        on=item.due,
        condition=item.condition,
        who=item.who,
        entry_id=item.entry_id or "",
        urgent=item.urgent,
    )


def _visit(item: VisitDue) -> DueView:
    return DueView(
        id=f"visit:{item.horse.id}",
        what=f"next visit, every {item.weeks} weeks",
        horse=item.horse.name,
        horse_id=item.horse.id,
        barn=item.horse.barn,
        on=item.due,
        by_cycle=True,
    )


def names(store: Store) -> list[str]:
    """Names that may be spoken today."""
    return store.names_of_the_day()


def search(store: Store, line: str) -> list[SearchHit]:
    """What one line finds, the newest first."""
    return list(store.search(line))


def story(store: Store, horse_id: str, entry_id: str, settings: Settings) -> HorseStory:
    """Everything about one horse, known by its id or by one of its entries.

    Raises:
        NotFound: no such horse or entry, or the entry has no horse yet.
    """
    if not horse_id:
        horse = store.entry(entry_id).horse
        if horse is None:
            raise NotFound("That entry has no horse yet.", "Give it one on the Day screen.")
        horse_id = horse.id
    return HorseStory(
        store.page(horse_id, settings.cycle_weeks),
        tuple(store.saved_facts(horse_id)),
    )
