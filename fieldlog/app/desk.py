"""What the screens share: the records' own thread, the reader's thread, the sound, the settings.

A database connection stays on one thread; understanding and sound may take seconds. So every job
runs on the thread that owns its thing, screens await the answer, and ``close`` ends all of them.
"""

from __future__ import annotations

import asyncio
import contextlib
from collections.abc import AsyncIterator, Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from fieldlog.app import afterwards, filing, horse_facts, taking_in, understanding
from fieldlog.app.afterwards import HorseStory
from fieldlog.app.due_groups import DueView
from fieldlog.app.horse_facts import Changed, HorseFacts, Meant, OwnerChange
from fieldlog.app.naming import KnownHorse
from fieldlog.app.screens.horse_pick import NewHorse
from fieldlog.app.second_pass import MakeSecond, SecondPass
from fieldlog.app.taking_in import LeftOver
from fieldlog.app.views import EntryView
from fieldlog.config import Settings
from fieldlog.core.facts import Fact
from fieldlog.errors import FieldlogError, NoLoudspeaker, RecordsError
from fieldlog.paths import Places
from fieldlog.rereading import ReadAgain
from fieldlog.typed_days import coming_day, gone_day
from fieldlog.voice_hint import voice_hint
from fieldlog.waiting import waiting

if TYPE_CHECKING:
    from fieldlog.language.personal import PersonalRules
    from fieldlog.records.spellings import BecameOne
    from fieldlog.records.store import Store
    from fieldlog.records.types import SearchHit
    from fieldlog.sound.capture import Microphone
    from fieldlog.sound.player import Player
    from fieldlog.speech.events import Event, Outcome
    from fieldlog.speech.handsfree import HandsFree
    from fieldlog.speech.recogniser import Recogniser

T = TypeVar("T")

MakeRecogniser = Callable[[Sequence[str]], "Recogniser"]
"""Makes a fresh reader for one note; given are the names of the day."""


STOP_SECONDS = 10.0
"""How long quitting waits for a recording to be closed properly."""


class Desk:
    """Made once per run; see the module text."""

    def __init__(
        self,
        places: Places,
        settings: Settings,
        make_recogniser: MakeRecogniser | None = None,
        player: Player | None = None,
        make_microphone: Callable[[], Microphone] | None = None,
        today: Callable[[], date] = date.today,
        now: Callable[[], datetime] = lambda: datetime.now().astimezone(),
        make_second: MakeSecond | None = None,
        notice: str = "",
    ) -> None:
        """Set up; nothing is opened yet.

        Args:
            places: whose records and sounds.
            settings: the farrier's.
            make_recogniser: makes a reader for one note; None: recordings are read later.
            player: plays sound; None: nothing can be played.
            make_microphone: makes a microphone; None: the system's.
            today: the day that "due today" means.
            now: what the computer's clock says.
            make_second: opens a second reader, which reads notes again while the screens are used;
                None: there is none.
            notice: told first, on the day screen.
        """
        self.notice = notice
        self.places = places
        self.settings = settings
        self.today = today
        self._now = now
        self.written = 0
        """Counts writes, so that a screen knows when what it shows is old."""
        self.wanted_entry, self.wanted_fact = "", ""
        """What was just recorded, or is to be corrected, until the day screen has gone to it."""
        self.microphone = settings.microphone
        """Name of the microphone to record with; empty: the system's own choice."""
        self.asked_for: list[str] = []
        """Entries of older days that the day screen lists too, to be corrected."""
        self.busy = 0
        """Jobs under way on the other threads."""
        self.second = SecondPass(places, settings, make_second)
        """The second reader at work in the background."""
        self._make_recogniser = make_recogniser
        self._player = player
        self._make_microphone = make_microphone
        self._records = ThreadPoolExecutor(1, "records")
        self._language = ThreadPoolExecutor(1, "language")
        self._audio = ThreadPoolExecutor(1, "audio")
        self._store: Store | None = None
        self._recording: HandsFree | None = None
        self._lesson: PersonalRules | None = None
        self._closed = False

    # the records' thread

    async def records(self, job: Callable[[Store], T]) -> T:
        """Run ``job`` with the store on its own thread."""

        def run() -> T:
            if self._store is None:
                self._store = filing.open_store(self.places, self.settings.farrier_name)
            return job(self._store)

        return await self._on(self._records, run)

    async def _writing(self, job: Callable[[Store], T]) -> T:
        """The same for a job that writes."""
        done = await self.records(job)
        self.written += 1
        return done

    def _check_open(self) -> None:
        """Ends long jobs when the farrier quits.

        Raises:
            FieldlogError: the app is closing.
        """
        if self._closed:
            raise FieldlogError("fieldlog is closing.")

    async def _on(self, pool: ThreadPoolExecutor, job: Callable[[], T]) -> T:
        self._check_open()
        self.busy += 1
        try:
            return await asyncio.get_running_loop().run_in_executor(pool, job)
        finally:
            self.busy -= 1

    async def entries(self) -> list[EntryView]:
        """Every draft, what was saved on the newest day, and older notes that were asked for."""
        also = tuple(self.asked_for)
        return await self.records(lambda store: filing.entries(store, self.settings, also))

    async def entry(self, entry_id: str) -> EntryView:
        """One entry, draft or saved.

        Raises:
            NotFound: no such entry.
        """
        return await self.records(
            lambda store: filing.view(store, store.entry(entry_id), self.settings)
        )

    async def write(self, job: Callable[[Store], object], entry_id: str) -> EntryView:
        """Run ``job`` as one write and give back the entry as it is afterwards."""

        def run(store: Store) -> EntryView:
            job(store)
            return filing.view(store, store.entry(entry_id), self.settings)

        return await self._writing(run)

    def day_of_note(self, typed: str) -> date:
        """The typed day of a note.

        Raises:
            InputError: no day, one that may be two, or one that is to come.
        """
        return gone_day(typed, self.today())

    def keep_listed(self, entry_id: str) -> None:
        """Keep a note on the day screen, whatever day it is of."""
        if entry_id not in self.asked_for:
            self.asked_for.append(entry_id)

    async def save(self, ids: Sequence[str]) -> None:
        """Save entries for good, all or none."""
        await self._writing(lambda store: store.save_all(list(ids)))

    async def voice_hint(self, ids: Sequence[str]) -> str:
        """After the first saved note that was heard: that a voice can be learnt. Once only."""
        return await self.records(lambda store: voice_hint(store, self.places, ids))

    async def still_open(self, ids: Sequence[str]) -> str:
        """What was put off to the visits that were just saved, as a sentence; or empty."""

        def job(store: Store) -> str:
            from fieldlog.for_this_visit import still_open

            found = "; ".join(line.text for line in still_open(store, ids))
            return f"Put off to this visit, still open (3, d): {found}." if found else ""

        return await self.records(job)

    async def horses(self) -> list[KnownHorse]:
        """All known horses."""
        return await self.records(filing.horses)

    async def known(self, horse: KnownHorse | NewHorse) -> KnownHorse:
        """A horse that is in the records; a new one is entered first."""
        if isinstance(horse, KnownHorse):
            return horse
        return await self._writing(lambda store: filing.new_horse(store, horse))

    async def give_drafts_that_name(self, horse: KnownHorse) -> int:
        """Give a new horse the drafts that name it; returns how many."""
        return await self._writing(
            lambda store: len(store.give_drafts_that_name(store.horse(horse.id)))
        )

    # due, search, one horse

    async def due(self) -> list[DueView]:
        """What is open."""
        return await self.records(lambda store: afterwards.due(store, self.settings))

    async def waiting(self) -> str:
        """How many drafts wait, of which the due list knows nothing; empty if none does."""
        return await self.records(waiting)

    async def finish(self, ids: Sequence[str]) -> None:
        """Mark the promises of a line as done."""
        await self._writing(lambda store: store.close_line(ids))

    async def drop(self, ids: Sequence[str], reason: str) -> None:
        """Drop the promises of a line for a reason."""
        await self._writing(lambda store: store.drop_line(ids, reason))

    async def reopen(self, ids: Sequence[str]) -> None:
        """Open the promises of a line again."""
        await self._writing(lambda store: store.reopen_line(ids))

    async def horse_left(self, horse_id: str, why: str) -> None:
        """The horse is visited no more; its promises are dropped."""
        today = self.today()
        await self._writing(lambda store: store.horse_left(horse_id, why, today))

    async def horse_back(self, horse_id: str) -> None:
        """The horse is visited again; its promises are open again."""
        await self._writing(lambda store: store.horse_back(horse_id))

    async def horse_facts(self, horse_id: str) -> HorseFacts:
        """What is known of a horse, to be changed."""
        return await self.records(lambda store: horse_facts.known(store, horse_id))

    async def owner_ways(self, owner: str) -> tuple[OwnerChange, ...]:
        """What another name of a horse's owner may mean."""
        return await self.records(lambda store: horse_facts.ways(store, owner))

    async def barn_moved_or_spelt(self, before: HorseFacts, wanted: HorseFacts) -> bool:
        """Whether it must be asked what another barn means."""
        return await self.records(lambda store: horse_facts.barn_changes(store, before, wanted))

    async def change_horse(
        self, horse_id: str, seen: HorseFacts, typed: HorseFacts, meant: Meant
    ) -> Changed:
        """Change what is known of a horse; ``take_back_change`` undoes it.

        Raises:
            InputError: a name or a number that cannot be.
        """
        return await self._writing(
            lambda store: horse_facts.change(store, horse_id, seen, typed, meant)
        )

    async def take_back_change(self, done: Changed) -> None:
        """Undo a change of what is known of a horse."""
        await self._writing(lambda store: horse_facts.take_back(store, done))

    async def horse_same(self, went_id: str, stays_id: str) -> BecameOne:
        """Two spellings of one horse become one record.

        Raises:
            InputError: they are two horses by their microchip or UELN.
        """
        return await self._writing(lambda store: store.horse_same(went_id, stays_id))

    async def horse_differences(self, one_id: str, other_id: str) -> tuple[str, ...]:
        """What is known otherwise of two horses, as the first has it."""

        def job(store: Store) -> tuple[str, ...]:
            from fieldlog.records.spellings import differences

            return differences(store.horse(one_id), store.horse(other_id))

        return await self.records(job)

    async def horse_apart(self, name: str) -> tuple[str, str]:
        """Two horses again; returns the names of the one that is back, and of the other."""
        one, other = await self._writing(lambda store: store.horse_apart(name))
        return one.name, other.name

    async def search(self, line: str) -> afterwards.Found:
        """What one line finds in saved notes."""
        today = self.today()
        return await self.records(
            lambda store: afterwards.search(store, line, self.settings, today)
        )

    async def move_due(self, ids: Sequence[str], typed: str) -> date:
        """Give the promises of a line the typed day and return it.

        Raises:
            InputError: no day, one that may be two, or one that is past.
        """
        today = self.today()
        day, _ = await self._on(self._language, lambda: coming_day(typed, today))
        await self._writing(lambda store: store.move_line(ids, day))
        return day

    async def put_due(self, ids: Sequence[str], day: date | None) -> None:
        """Give the promises of a line back the day that they had, or none."""
        await self._writing(lambda store: store.move_line(ids, day))

    async def promise(self, horse: KnownHorse, text: str) -> list[str]:
        """Add what a typed sentence promises for a horse; returns the ids of its promises."""
        today = datetime.combine(self.today(), datetime.min.time())
        facts = await self._on(
            self._language, lambda: understanding.typed(text, today, self.settings, self.places)
        )
        return await self._writing(lambda store: afterwards.promise(store, horse, facts, text))

    async def paper(self, kind: str, horse_id: str) -> afterwards.WrittenPaper:
        """Write a paper about a horse's last visit; ``kind`` is ``owner`` or ``vet``.

        Raises:
            FieldlogError: nothing is saved about it, or the file cannot be written.
        """
        today = self.today()
        return await self.records(
            lambda store: afterwards.paper(store, self.places, self.settings, kind, horse_id, today)
        )

    async def kept_searches(self) -> dict[str, str]:
        """Search lines by their names."""
        return await self.records(lambda store: store.saved_searches())

    async def keep_search(self, name: str, line: str) -> None:
        """Keep a search line under a name."""
        await self._writing(lambda store: store.save_search(name, line))

    async def forget_search(self, name: str) -> None:
        """Drop a kept search."""
        await self._writing(lambda store: store.forget_search(name))

    async def play_hit(self, hit: SearchHit) -> str:
        """Play the words of a search hit; says what is played."""
        recording_id, piece = hit.recording_id, hit.sound
        if recording_id is None:
            return "There is no sound for this line: it was typed."
        recording = await self.records(lambda store: store.recording(recording_id))
        if recording.path is None or not recording.path.exists():
            return "The sound file of this note is not here any more."
        start, end = piece if piece is not None else (0.0, None)
        await self.play(recording.path, start, end)
        return "Playing this piece." if piece is not None else "Playing the note. Esc stops it."

    async def story(self, horse_id: str, entry_id: str = "") -> HorseStory:
        """Everything about one horse, known by its id or one of its entries."""
        return await self.records(
            lambda store: afterwards.story(store, horse_id, entry_id, self.settings)
        )

    # understanding

    async def understand_typed(self, text: str, view: EntryView) -> tuple[list[Fact], str]:
        """The facts of a typed sentence, marked as made by hand, and what of it made none."""
        when = view.when
        return await self._on(
            self._language,
            lambda: understanding.typed_whole(text, when, self.settings, self.places),
        )

    async def warm_up(self) -> None:
        """Load the language pipeline after the first picture, so that typing finds it ready."""
        await self._on(self._language, lambda: understanding.pipeline(self.places))

    # learning

    async def lesson(self, before: Fact, after: Fact, words: str) -> str:
        """What one correction may teach, as a sentence; empty if nothing. Kept by ``learn``."""
        self._lesson, said = await self._on(
            self._language, lambda: understanding.lesson(self.places, before, after, words)
        )
        return said

    async def learn(self) -> bool:
        """Keep the last lesson as a personal rule; False if there is none."""
        rules, self._lesson = self._lesson, None
        if rules is None:
            return False
        await self._on(self._language, lambda: understanding.learn(self.places, rules))
        return True

    # sound

    async def play(self, path: Path, start: float, end: float | None) -> None:
        """Play a piece of a sound file.

        Raises:
            NoLoudspeaker, UnreadableSound: it cannot be played.
        """
        player = self._player
        if player is None:
            raise NoLoudspeaker("Nothing can be played here.", "Start fieldlog with sound.")
        await self._on(self._audio, lambda: player.play(path, start, end))

    def stop_sound(self) -> None:
        """Fall silent."""
        if self._player is not None and not self._closed:
            self._audio.submit(self._player.stop)

    # recording

    async def microphones(self) -> list[str]:
        """Names of the microphones that are there now.

        Raises:
            NoMicrophone: there is no sound system.
        """
        return await self._on(self._audio, taking_in.microphone_names)

    def new_recording(self, on_event: Callable[[Event], object]) -> HandsFree:
        """A recording that is ready to start; loads the reader, so never on the screen's thread.

        Without records or a model that can be used it records all the same, and tells so.
        """
        reader = taking_in.reader_if_there(
            lambda: self._records.submit(self._names).result(), self._make_recogniser, on_event
        )
        microphone = self._make_microphone() if self._make_microphone is not None else None
        self._recording = taking_in.new_recording(
            self.places, self.settings, reader, microphone, self._player, on_event, self.microphone
        )
        return self._recording

    def _names(self) -> list[str]:
        if self._store is None:
            self._store = filing.open_store(self.places, self.settings.farrier_name)
        return filing.names(self._store)

    async def keep_recording(self, outcome: Outcome) -> str:
        """Turn a finished recording into drafts; says in a sentence what came of it.

        Raises:
            RecordsError: the records refuse it; says that its sound is kept, and what to do.
        """
        sound, transcript = outcome.sound, outcome.transcript
        if sound is None:
            raise ValueError("nothing was recorded")
        self._recording = None
        try:
            kept = await self._writing(
                lambda store: taking_in.keep_recording(
                    store, sound, transcript, self.places, self.settings
                )
            )
        except RecordsError as problem:
            raise RecordsError(taking_in.ON_THE_DISK, str(problem)) from problem
        self.wanted_entry = kept.entry_id
        return kept.said

    async def left_over(self) -> LeftOver:
        """Sound that was cut off by a crash, or kept without being read."""
        return await self.records(lambda store: taking_in.left_over(store, self.places))

    async def clock_doubt(self) -> str:
        """A sentence if the computer's date must be wrong, else empty."""
        from fieldlog.sound.clocks import clock_doubt

        return clock_doubt(self._now(), await self.records(lambda store: store.newest_write()))

    async def take_in_left_over(self, progress: Callable[[str], object]) -> str:
        """Rescue what was cut off and read what was not read; says in a sentence what came of it.

        Args:
            progress: called on another thread with a short sentence now and then.
        """
        make = self._make_recogniser

        def run() -> str:
            # A connection of its own: reading takes long, and the screens go on meanwhile.
            with filing.open_store(self.places, self.settings.farrier_name) as store:
                return taking_in.take_in_left_over(
                    store, self.places, self.settings, make, progress, self._check_open
                )

        said = await self._on(self._language, run)
        self.written += 1
        return said

    async def read_again(self) -> AsyncIterator[ReadAgain]:
        """Let the second reader read what waits for it, one note after the other.

        Does nothing if there is none, or if it is at work already. The screens go on meanwhile.

        Raises:
            FieldlogError: the second reader cannot be had.
        """
        async for done in self.second.run():
            self.written += 1
            yield done

    # the end

    async def close(self) -> None:
        """Stop and keep a running recording, fall silent, end every thread. May be called twice."""
        if self._closed:
            return
        recording, self._recording = self._recording, None
        if recording is not None:
            recording.stop()
            # Never started (ValueError), or not written down: the sound file itself is safe.
            with contextlib.suppress(FieldlogError, ValueError):
                outcome = await self._on(self._audio, lambda: recording.wait(STOP_SECONDS))
                if outcome is not None and outcome.sound is not None:
                    await self.keep_recording(outcome)
        self.stop_sound()
        self._closed = True
        self.second.close()
        loop = asyncio.get_running_loop()
        await loop.run_in_executor(None, self._end_threads)

    def _end_threads(self) -> None:
        def shut() -> None:
            if self._store is not None:
                self._store.close()
                self._store = None

        self._records.submit(shut)
        pools: tuple[Any, ...] = (self._audio, self._records)
        for pool in pools:
            pool.shutdown(wait=True)
        self._language.shutdown(wait=False, cancel_futures=True)
