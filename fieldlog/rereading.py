"""Notes read again by a second reader, and what comes of it.

The first reader's words and every draft stay as they are. What the second reader heard is kept
beside them; where it differs and a fact hangs on the difference, the fact asks for a look and
shows both readings. Taking the other one understands the note again from the corrected words and
is a correction like any other: kept, told, undone with one key.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

from fieldlog.core import disputes
from fieldlog.core.disputes import Difference, Spans, Stretch
from fieldlog.core.facts import Entry, Fact
from fieldlog.core.merging import content, merged, says
from fieldlog.core.words import Transcript
from fieldlog.errors import InputError, SpeechError, UnreadableSound

if TYPE_CHECKING:
    from fieldlog.config import Settings
    from fieldlog.paths import Places
    from fieldlog.records.store import Store
    from fieldlog.records.types import Recording, StoredEntry
    from fieldlog.speech.second_apart import SecondReader

Understand = Callable[[Transcript], tuple[Entry, ...]]

WHOLE = 250
"""Words up to which a note is understood whole for each difference; of a longer one a window."""
SKIPPED = 4
"""Words from which on a stretch that the second reader passed over counts as skipped."""
WINDOW = 80
"""Words before and after the difference in that window."""


@dataclass(frozen=True, slots=True)
class ReadAgain:
    """What a second reading of one recording found."""

    recording: Recording
    reader: str = ""
    differing: int = 0
    """Places where the words differ."""
    asked: tuple[tuple[StoredEntry, tuple[Stretch, ...]], ...] = ()
    """Entries with the places on which a fact hangs; saved ones too, which nothing changes."""
    error: SpeechError | UnreadableSound | None = None
    """Why there is none; the first reader's words stay."""

    @property
    def at_stake(self) -> int:
        """Places on which a fact hangs."""
        return sum(len(found) for _, found in self.asked)


def read_again(
    store: Store,
    recording: Recording,
    second: SecondReader,
    places: Places,
    settings: Settings,
) -> ReadAgain:
    """Let the second reader read a recording that the first one has read.

    A reader that fails, and a sound that is gone, are told in the answer; nothing is changed then.

    Raises:
        ConfigError: the file of taught words cannot be read.
    """
    try:
        heard = _hear(store, recording, second)
    except (SpeechError, UnreadableSound) as problem:
        return ReadAgain(recording, second.reader, error=problem)
    prepare, understand = _understanding(store, recording, places, settings)
    heard = prepare(heard)
    known = _known_words(store)
    marked: dict[str, Transcript] = {}
    for stored in store.entries_from(recording.id):
        text = stored.entry.text
        first = reading_of(store, recording.id, text) if text not in marked else None
        if first is not None:
            at_stake = stakes(first, heard, understand, known)
            marked[text] = disputes.marked(first, heard, at_stake)
    with store.write():
        store.store_transcript(recording.id, heard)
        for transcript in marked.values():
            # After the second reading: of two with the same words the newest is shown.
            store.store_transcript(recording.id, transcript)
    asked = tuple(
        (stored, found)
        for stored in store.entries_from(recording.id)
        if stored.entry.text in marked
        and (found := _stretches_in(stored.entry, marked[stored.entry.text]))
    )
    differing = max((len(disputes.stretches(t)) for t in marked.values()), default=0)
    return ReadAgain(recording, second.reader, differing, asked)


def _hear(store: Store, recording: Recording, second: SecondReader) -> Transcript:
    from fieldlog.speech.opening import after_hearing

    if recording.path is None or not recording.path.exists():
        raise UnreadableSound(
            f"The sound of {recording.original_name or recording.id} is gone.",
            "It cannot be read again; the words that were heard stay.",
        )
    names = store.names_of_the_day()
    heard = second.read(recording.path, names)
    words = list(heard.words)
    for touch in after_hearing(names):
        words = list(touch(words))
    return replace(heard, words=tuple(words), text="")


def _known_words(store: Store) -> frozenset[str]:
    """Words of the trade, and of the names of the day."""
    from fieldlog.language.words.known_words import vocabulary

    names = (w.lower() for name in store.names_of_the_day() for w in name.split())
    return frozenset({*vocabulary(), *names})


def _understanding(
    store: Store, recording: Recording, places: Places, settings: Settings
) -> tuple[Callable[[Transcript], Transcript], Understand]:
    """How words are prepared, and how prepared words are understood (without changing them)."""
    from fieldlog.intake import with_horse
    from fieldlog.language.personal import load_personal
    from fieldlog.language.pipeline import load

    own = load_personal(places.personal_rules)
    names = store.horse_names()
    meant = [*names, *(s.meant for s in own.names)]
    understander = load(replace(own, words=(), names=()))

    def understand(transcript: Transcript) -> tuple[Entry, ...]:
        entries = understander.understand(
            disputes.for_understanding(transcript),
            recorded=recording.started_at,
            names=meant,
            settings=settings,
        )
        return tuple(with_horse(entry, names) for entry in entries)

    return own.applied, understand


def stakes(
    first: Transcript,
    second: Transcript,
    understand: Understand,
    known: Collection[str] = frozenset(),
) -> Mapping[Difference, Spans]:
    """What hangs on each difference: spans of the first text whose facts the other words change.

    A difference that would add a fact has its own words as its span; one that changes nothing is
    left out, and so is one that is no reading of its own (``tells_nothing``).
    """
    found = {}
    everything = [
        d
        for d in disputes.differences(first, second)
        if not tells_nothing(_words(first, d.ours), _words(second, d.theirs), known)
    ]
    for one in everything:
        spans = _stake(first, second, [one], understand)
        if spans:
            found[one] = spans
    if not found and len(everything) > 1 and len(first.words) <= WHOLE:
        # Two words that only together say something else.
        together = _stake(first, second, everything, understand)
        found = dict.fromkeys(everything, together) if together else {}
    return found


def _words(transcript: Transcript, which: tuple[int, int]) -> list[str]:
    return [w.text.lower() for w in transcript.words[slice(*which)]]


def _stake(
    first: Transcript,
    second: Transcript,
    chosen: Sequence[Difference],
    understand: Understand,
) -> Spans:
    low, high = 0, len(first.words)
    if high > WHOLE:
        low = max(0, chosen[0].ours[0] - WINDOW)
        high = min(high, chosen[-1].ours[1] + WINDOW)
    part = replace(first, words=first.words[low:high], text="")
    inside = [replace(d, ours=(d.ours[0] - low, d.ours[1] - low)) for d in chosen]
    other, _ = disputes.taken(part, second, inside)
    before, after = understand(part), understand(other)
    had, has = says(before), says(after)
    gone = had - has
    if had == has:
        return ()
    spans = [f.span for e in before for f in e.facts if gone[content(f)]]
    spans += [e.horse.span for e in before if e.horse and gone[_horse_said(e)]]
    shift = first.word_spans()[low][0]
    placed = dict.fromkeys((a + shift, b + shift) for a, b in spans if a < b)
    if not placed:
        words = first.word_spans()
        placed = dict.fromkeys((words[d.marks[0]][0], words[d.marks[1] - 1][1]) for d in chosen)
    return tuple(placed)


def tells_nothing(ours: Sequence[str], theirs: Sequence[str], known: Collection[str]) -> bool:
    """True if the other words are no reading of their own.

    The second reader knows no trade: “thresh” for “thrush”, “soar” for “sore” is the same sound
    written by one who does not expect the word; and a stretch that it passed over is not read.

    Args:
        ours: the first reader's words.
        theirs: the second reader's.
        known: words of the trade and the names of the day.
    """
    if not theirs:
        return len(ours) >= SKIPPED

    def trade(word: str) -> bool:
        return word in known or word.removesuffix("'s") in known

    return len(ours) == len(theirs) and all(
        one == other or (trade(one) and not trade(other) and sound_alike(one, other))
        for one, other in zip(ours, theirs, strict=True)
    )


def sound_alike(one: str, other: str) -> bool:
    """True if two words can be said alike but for one sound.

    >>> sound_alike("sore", "soar"), sound_alike("thrush", "thresh"), sound_alike("fifty", "sixty")
    (True, True, False)
    """
    from rapidfuzz.distance import Levenshtein

    from fieldlog.speech.pronounce import ways

    return any(Levenshtein.distance(a, b) <= 1 for a in ways(one) for b in ways(other))


def _horse_said(entry: Entry) -> tuple[str, str]:
    return ("horse", entry.horse.name.lower() if entry.horse else "")


# what is asked


def with_text(readings: Sequence[Transcript], text: str) -> Transcript | None:
    """The newest of a note's readings with exactly this text, into which an entry's spans point."""
    return next((r for r in readings if r.text == text), None)


def reading_of(store: Store, recording_id: str, text: str) -> Transcript | None:
    """``with_text`` among the readings of a recording."""
    return with_text(store.transcripts(recording_id), text)


def second_of(transcript: Transcript, readings: Sequence[Transcript]) -> str:
    """The reader that read the note of ``transcript`` again, the latest one; empty if none did."""
    own = set(transcript.reader.split(" + ")[:1])
    return next((r.reader for r in readings if not own & set(r.reader.split(" + "))), "")


def asked_about(stored: StoredEntry, transcript: Transcript) -> Mapping[str, tuple[Stretch, ...]]:
    """The disputes of a draft by the fact they are asked with; empty for a saved entry."""
    if stored.revision:
        return {}
    return disputes.concerning(stored.entry, transcript, stored.looked_at)


def with_disputes(store: Store, stored: StoredEntry) -> StoredEntry:
    """A draft whose facts in dispute carry that doubt."""
    if stored.recording_id is None or stored.revision:
        return stored
    transcript = reading_of(store, stored.recording_id, stored.entry.text)
    if transcript is None:
        return stored
    asked = asked_about(stored, transcript)
    facts = disputes.with_disputes(stored.entry.facts, asked, stored.looked_at)
    return replace(stored, entry=replace(stored.entry, facts=facts))


def _stretches_in(entry: Entry, transcript: Transcript) -> tuple[Stretch, ...]:
    found = [s for group in disputes.concerning(entry, transcript).values() for s in group]
    return tuple(dict.fromkeys(found))


# taking the other reading


@dataclass(frozen=True, slots=True)
class Other:
    """What taking the other reading did."""

    taken: tuple[Stretch, ...]
    fresh: tuple[Fact, ...]
    """Facts that the other words made."""
    gone: int
    """Facts that they ended."""


def take_other(
    store: Store,
    entry_id: str,
    fact_id: str,
    places: Places,
    settings: Settings,
    only: Stretch | None = None,
) -> Other:
    """Take what the second reader heard at the words of one fact (empty id: of the horse's name).

    The draft is understood again from the words as they are then; facts settled by hand stay. It
    is one correction, which ``Store.undo`` takes back.

    Args:
        store: the records.
        entry_id, fact_id: whose words are in dispute.
        places: whose taught words.
        settings: the farrier's.
        only: one of several places of the fact; None: all of them.

    Raises:
        InputError: the readers do not differ there, or the draft has no sound.
        SavedIsFixed: the entry is saved.
    """
    stored = store.entry(entry_id)
    recording_id = stored.recording_id
    readings = store.transcripts(recording_id) if recording_id else []
    first = with_text(readings, stored.entry.text)
    if recording_id is None or first is None:
        raise InputError("This note has no sound, so nobody heard it twice.", "Type it with t.")
    found = disputes.concerning(stored.entry, first, stored.looked_at).get(fact_id, ())
    if not found:
        raise InputError("The readers do not differ in what this says.", "Type it with t.")
    second = next((r for r in readings if r.reader == found[0].reader), None)
    if second is None:
        raise InputError("What the second reader heard was taken out.", "Type it with t.")
    here = [s for s in found if s.reader == second.reader and only in (None, s)]
    chosen = [
        d
        for d in disputes.differences(first, second)
        if any(d.marks[0] < s.words[1] and s.words[0] < d.marks[1] for s in here)
    ]
    other, moved = disputes.taken(first, second, chosen)
    _, understand = _understanding(store, store.recording(recording_id), places, settings)
    before, after = understand(first), understand(other)
    fixed = stored.looked_at - {fact_id}
    result = merged(stored.entry, before, after, moved, other.text, fixed)
    places_taken = [moved.span(s.span) for s in here]
    left = disputes.concerning(result.entry, other)
    settled = [
        f.id
        for f in result.fresh
        if not (f.needs_look or f.id in left)
        and any(a < f.span[1] and f.span[0] < b for a, b in places_taken)
    ]
    store.take_reading(stored, result.entry, other, settled)
    return Other(tuple(here), result.fresh, result.gone)


def waiting(store: Store, reader: str, day: date | None = None) -> list[Recording]:
    """Recordings that this second reader has not read yet, the oldest first.

    Args:
        store: the records.
        reader: its name.
        day: all of this day's notes, saved ones too; None: those of which a draft waits.
    """
    return store.recordings_to_read_again(reader, day)
