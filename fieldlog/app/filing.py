"""Between the records and the screens: store records in, views out, all on the records' thread."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

from fieldlog import rereading
from fieldlog.app.naming import KnownHorse
from fieldlog.app.promises_told import corrected
from fieldlog.app.views import EntryView
from fieldlog.app.worked_out import flag_sentences, worked_out
from fieldlog.config import Settings
from fieldlog.copied import dated_by_copying
from fieldlog.core.disputes import Stretch, with_disputes
from fieldlog.core.facts import Doubt, Fact
from fieldlog.core.units import in_inches
from fieldlog.core.words import Transcript
from fieldlog.looks import asking
from fieldlog.other_day import counted_from
from fieldlog.paths import Places
from fieldlog.records.types import (
    EntryState,
    Horse,
    StoredEntry,
)

if TYPE_CHECKING:
    from fieldlog.app.screens.horse_pick import NewHorse
    from fieldlog.records.store import Store


def open_store(places: Places, author: str = "") -> Store:
    """Open (and if needed make or migrate) the database.

    Raises:
        RecordsError: it is too new, damaged, busy, or not allowed.
    """
    from fieldlog.records.store import Store

    return Store.open(places.make().database, author=author)


# entries


def entries(store: Store, settings: Settings, also: Sequence[str] = ()) -> list[EntryView]:
    """Every draft, and what is saved of the days that have drafts (else of the newest day).

    Args:
        also: entries of other days that were asked for, to be corrected; they come first.
    """
    drafts = store.drafts()
    days = sorted({d.day for d in drafts}) or store.days()[:1]
    shown = [stored for day in days for stored in store.entries_on(day)]
    asked = [store.entry(i) for i in dict.fromkeys(also)]
    # A draft is shown anyhow, unless it was set aside or joined since.
    older = sorted((e for e in asked if e.state is EntryState.SAVED), key=lambda e: e.at)
    listed = {stored.id: stored for stored in (*older, *shown)}
    readings: dict[str, list[Transcript]] = {}
    ask, apart = asking(store, settings), store.told_apart()
    return [view(store, stored, settings, readings, ask, apart) for stored in listed.values()]


def view(
    store: Store,
    stored: StoredEntry,
    settings: Settings,
    readings: dict[str, list[Transcript]] | None = None,
    ask: Callable[[Fact], Fact] | None = None,
    apart: Mapping[str, str] | None = None,
) -> EntryView:
    """One entry with its words, its sound, and what was worked out from it."""
    apart = store.told_apart() if apart is None else apart
    known = readings if readings is not None else {}
    recording_id = stored.recording_id
    sound, copied = None, False
    if recording_id is not None:
        if recording_id not in known:
            known[recording_id] = store.transcripts(recording_id)
        recording = store.recording(recording_id)
        sound = recording.path
        # Once it has another day, its day was looked at.
        same = stored.at == recording.started_at and stored.state is not EntryState.SAVED
        copied = same and dated_by_copying(recording)
    heard = known.get(recording_id or "", [])
    text = stored.entry.text
    transcript = rereading.with_text(heard, text) or Transcript.typed(text)
    saved = stored.state is EntryState.SAVED
    asked = rereading.asked_about(stored, transcript)
    ask = ask or asking(store, settings)
    facts = tuple(
        replace(fact, doubts=()) if saved or fact.id in stored.looked_at else ask(fact)
        for fact in with_disputes(stored.entry.facts, asked)
    )
    return EntryView(
        entry=replace(stored.entry, facts=facts),
        transcript=transcript,
        when=stored.at,
        horse=known_horse(stored.horse, apart) if stored.horse else None,
        sound=sound if sound is not None and sound.exists() else None,
        looked_at=stored.looked_at,
        saved=saved,
        unseen=_unseen(store, stored, asked, ask) if saved else {},
        computed=worked_out(facts, in_inches((f.quantity for f in facts), settings.length_unit)),
        flags=flag_sentences(facts),
        copied=copied,
        second=rereading.second_of(transcript, heard),
        disputes=asked,
    )


def _unseen(
    store: Store,
    stored: StoredEntry,
    asked: Mapping[str, tuple[Stretch, ...]],
    ask: Callable[[Fact], Fact],
) -> dict[str, tuple[Doubt, ...]]:
    """Why facts asked for a look that were saved without one.

    A fact that a later revision changed was looked at then.
    """
    first = store.revisions(stored.id)[0].entry.facts if stored.revision > 1 else None
    now = {f.id: f for f in stored.entry.facts}
    found: dict[str, tuple[Doubt, ...]] = {}
    for fact in with_disputes(stored.entry.facts if first is None else first, asked):
        kept = now.get(fact.id)
        if kept is None or fact.id in stored.looked_at:
            continue
        if replace(fact, doubts=(), confidence=0) != replace(kept, doubts=(), confidence=0):
            continue
        if doubts := ask(fact).doubts:
            found[fact.id] = doubts
    return found


# corrections: each is one step in the store, which can be taken back


def change(store: Store, entry_id: str, fact_id: str, new: Sequence[Fact]) -> None:
    """Put corrected facts in the place of one; it counts as looked at.

    Where only the foot was chosen, any other doubt that is left asks for a look still.
    """
    facts = store.entry(entry_id).entry.facts
    if len(new) == 1 and new[0].id == fact_id:
        (moved,) = new
        only_moved = any(
            replace(f.on_feet_of(moved), doubts=moved.doubts) == moved
            for f in facts
            if f.id == fact_id
        )
        looked_at = not (only_moved and moved.needs_look)
        store.change_fact(entry_id, moved, looked_at=looked_at)
    elif not new:
        store.delete_fact(entry_id, fact_id)
    else:
        several: list[Fact] = []
        for fact in facts:
            several.extend(new if fact.id == fact_id else (fact,))
        store.set_facts(entry_id, several, "split")


def give_day(store: Store, entry_id: str, day: date) -> None:
    """Say of which day a draft is; what counts from its day is counted anew."""
    before = store.entry(entry_id)
    store.give_day(entry_id, day, counted_from(before.entry.facts, before.day, day))


def give_saved_day(
    store: Store, entry_id: str, day: date, reason: str
) -> tuple[StoredEntry, list[str]]:
    """The same of a saved note, by a new revision; returns it and what became of its promises."""
    before = store.entry(entry_id)
    facts = counted_from(before.entry.facts, before.day, day)
    return corrected(store, before, lambda: store.give_saved_day(entry_id, day, facts, reason))


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


def known_horse(horse: Horse, apart: Mapping[str, str]) -> KnownHorse:
    """A horse as the picker shows it; ``apart`` is what ``told_apart`` gives."""
    full = apart.get(horse.id, "")
    return KnownHorse(horse.id, horse.name, horse.client, horse.barn, horse.left_why, full=full)


def set_aside(store: Store, entry_id: str, reason: str) -> int:
    """Set a draft aside; of one about no horse, how many promises are on the due list now."""
    if reason == store.NO_HORSE:
        return len(store.set_aside_without_horse(entry_id))
    store.discard(entry_id, reason)
    return 0


def horses(store: Store) -> list[KnownHorse]:
    """All horses by name."""
    also, apart = store.every_other_name(), store.told_apart()
    return [
        replace(known_horse(h, apart), also=tuple(also.get(h.id, ())))
        for h in store.horses()
        if not h.forgotten
    ]


def new_horse(store: Store, wanted: NewHorse) -> KnownHorse:
    """Enter a horse, and its owner if that one is new too."""
    with store.write():
        client_id = None
        if wanted.owner:
            client = store.find_client(wanted.owner) or store.add_client(wanted.owner)
            client_id = client.id
        horse = store.add_horse(wanted.name, client_id=client_id, barn=wanted.barn)
    return known_horse(horse, store.told_apart())


def names(store: Store) -> list[str]:
    """Names that may be spoken today."""
    return store.names_of_the_day()
