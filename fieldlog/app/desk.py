"""What the screens share: the records' own thread, the reader's thread, the sound, the settings.

A database connection stays on one thread; understanding and sound may take seconds. So every job
runs on the thread that owns its thing, screens await the answer, and ``close`` ends all of them.
"""

from __future__ import annotations

import asyncio
import contextlib
from collections.abc import AsyncIterator, Callable, Sequence
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from fieldlog.app import filing, taking_in, understanding
from fieldlog.app.desk_horses import HorsesDesk
from fieldlog.app.desk_lists import ListsDesk
from fieldlog.app.desk_notes import NotesDesk
from fieldlog.app.second_pass import MakeSecond, SecondPass
from fieldlog.app.taking_in import LeftOver
from fieldlog.app.views import EntryView
from fieldlog.config import Settings
from fieldlog.core.facts import Fact
from fieldlog.errors import FieldlogError, NoLoudspeaker, RecordsError
from fieldlog.paths import Places
from fieldlog.rereading import ReadAgain

if TYPE_CHECKING:
    from fieldlog.language.personal import PersonalRules
    from fieldlog.records.types import SearchHit
    from fieldlog.sound.capture import Microphone
    from fieldlog.sound.player import Player
    from fieldlog.speech.events import Event, Outcome
    from fieldlog.speech.handsfree import HandsFree
    from fieldlog.speech.recogniser import Recogniser

MakeRecogniser = Callable[[Sequence[str]], "Recogniser"]
"""Makes a fresh reader for one note; given are the names of the day."""


STOP_SECONDS = 10.0
"""How long quitting waits for a recording to be closed properly."""


class Desk(NotesDesk, ListsDesk, HorsesDesk):
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
        super().__init__(places, settings, today)
        self.notice = notice
        self._now = now
        self.wanted_entry, self.wanted_fact = "", ""
        """What was just recorded, or is to be corrected, until the day screen has gone to it."""
        self.microphone = settings.microphone
        """Name of the microphone to record with; empty: the system's own choice."""
        self.asked_for = []
        self.second = SecondPass(places, settings, make_second)
        """The second reader at work in the background."""
        self._make_recogniser = make_recogniser
        self._player = player
        self._make_microphone = make_microphone
        self._recording: HandsFree | None = None
        self._lesson: PersonalRules | None = None

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
        from fieldlog.speech.events import NoRecords, ReadingFailed

        names = taking_in.names_if_there(
            lambda: self._records.submit(self._names).result(),
            lambda problem: on_event(NoRecords(problem.message)),
        )
        reader = taking_in.reader_if_there(
            self._make_recogniser, names, lambda problem: on_event(ReadingFailed(problem.message))
        )
        microphone = self._make_microphone() if self._make_microphone is not None else None
        self._recording = taking_in.new_recording(
            self.places, self.settings, reader, microphone, self._player, on_event, self.microphone
        )
        return self._recording

    def _names(self) -> list[str]:
        return filing.names(self._own_store())

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
