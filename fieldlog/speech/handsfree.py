"""A hands-free recording: microphone to disk first, then to the reader, then to spoken controls.

Two threads. One takes sound from the microphone, writes it and passes it on: nothing that the
reader does can cost sound. The other reads along, notices spoken controls in words that have
stopped changing, and answers with tones. Both report through one callback.
"""

from __future__ import annotations

import contextlib
import queue
import threading
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass

from fieldlog.core.feet import Foot
from fieldlog.core.words import Transcript, Word
from fieldlog.errors import DiskFull, FieldlogError, SoundError
from fieldlog.paths import Places
from fieldlog.sound.capture import Microphone
from fieldlog.sound.clocks import ClockWatch, Slept
from fieldlog.sound.pcm import BYTES_PER_SECOND, level_of
from fieldlog.sound.tones import Tone, Tones
from fieldlog.sound.writer import RecordingWriter
from fieldlog.speech import events
from fieldlog.speech.control import Control, ControlKind, find_controls, find_controls_in_text
from fieldlog.speech.events import Event, Outcome
from fieldlog.speech.recogniser import Recogniser

LONGEST = 10 * 3600.0
"""Seconds after which a forgotten recording stops by itself."""

_PARTIAL_EVERY = 0.2
"""Seconds of sound between two looks at the unfinished words."""
_STEADY = {
    ControlKind.FOOT: 0.4,
    ControlKind.SCRATCH: 0.4,
    ControlKind.END_OF_HORSE: 0.6,
    ControlKind.STOP: 0.8,
    ControlKind.NEW_HORSE: 1.2,
}
"""Seconds of sound for which a control must stay in the unfinished words before it counts; for a
new horse its name as well."""

_TAIL_WORDS = 8
"""Final words that are kept in mind, in case a control goes on in the next ones."""
_UNSURE = 0.45
_UNSURE_WORDS = 3
"""So many final words, less sure than ``_UNSURE`` on average, are told as not understood."""
_CHECK_EVERY = 10.0
"""Seconds of sound between two looks at the room on the disk."""

_Said = tuple[ControlKind, tuple[Foot, ...]]


@dataclass(frozen=True, slots=True)
class Instead:
    """What stands in for the machine's own, for tests."""

    clocks: ClockWatch | None = None
    """Watch for sleep and clock changes."""
    writer: RecordingWriter | None = None
    """Where the sound goes."""


class HandsFree:
    """One recording. Make it, ``start`` it, and ``stop`` it or let the farrier say so."""

    def __init__(
        self,
        microphone: Microphone,
        recogniser: Recogniser | None,
        places: Places,
        on_event: Callable[[Event], None] = lambda event: None,
        tones: Tones | None = None,
        instead: Instead = Instead(),
    ) -> None:
        """Set up, opening nothing yet.

        Args:
            microphone: where sound comes from.
            recogniser: a fresh reader, its model loaded; None records only.
            places: whose sounds folder.
            on_event: called on the recording's own threads: hand over and return.
            tones: answers by ear; None for silence.
            instead: the machine's own clocks and a new recording in ``places`` if left out.
        """
        self._microphone = microphone
        self._recogniser = recogniser
        self._places = places
        self._on_event = on_event
        self._tones = tones
        self._instead = instead
        self._stop = threading.Event()
        self._stopped_by = "key"
        self._ready: queue.SimpleQueue[BaseException | None] = queue.SimpleQueue()
        self._pieces: queue.SimpleQueue[bytes | None] = queue.SimpleQueue()
        self._thread: threading.Thread | None = None
        self._outcome: Outcome | None = None
        self._transcript: Transcript | None = None
        self._listener = _Listener(self._emit, self._sound, self._stop_by_voice)
        self._away = 0.0
        """Seconds that the microphone was gone so far."""
        self._lost_at: float | None = None
        """Since when it is gone, by the monotonic clock."""
        self._overflows = 0
        self._check_at = 0.0
        """Seconds of sound at which the disk is looked at again."""
        self._warned = False

    @property
    def running(self) -> bool:
        """True from ``start`` until the recording is kept."""
        return self._thread is not None and self._thread.is_alive()

    def start(self) -> None:
        """Open the file, then the microphone, and record.

        Raises:
            DiskFull, NotAllowed: no room for a recording.
            NoMicrophone: nothing to record with; no file is left behind.
        """
        if self._thread is not None:
            raise ValueError("a recording starts once; make a new one")
        writer = self._instead.writer or RecordingWriter(self._places)
        self._thread = threading.Thread(
            target=self._record, args=(writer,), name="recording", daemon=True
        )
        self._thread.start()
        problem = self._ready.get()
        if problem is not None:
            self._thread.join()
            raise problem

    def stop(self) -> None:
        """Ask for the end, as a key does; returns at once."""
        self._stop.set()

    def wait(self, timeout: float | None = None) -> Outcome | None:
        """Wait for the end; None if ``timeout`` seconds were not enough."""
        if self._thread is None:
            raise ValueError("the recording was not started")
        self._thread.join(timeout)
        return self._outcome

    def run(self) -> Outcome:
        """``start`` and ``wait``, for the command line; Ctrl-C stops and keeps the recording."""
        self.start()
        while self._outcome is None:
            try:
                self.wait(0.2)
            except KeyboardInterrupt:
                self.stop()
        return self._outcome

    # the recording thread

    def _record(self, writer: RecordingWriter) -> None:
        try:
            self._microphone.start()
        except BaseException as refusal:
            writer.finish()
            self._microphone.stop()
            self._ready.put(refusal)
            return
        reading = self._start_reading()
        self._ready.put(None)
        reader = self._recogniser.reader if self._recogniser is not None else ""
        self._emit(events.Started(self._microphone.name, reader))
        problem = self._take_all(writer)
        self._microphone.stop()
        self._pieces.put(None)
        if reading is not None:
            reading.join()
        self._end(writer, problem)

    def _take_all(self, writer: RecordingWriter) -> FieldlogError | None:
        """Take sound until the end; what ended it, if it was not meant to."""
        try:
            self._take_sound(writer)
        except FieldlogError as trouble:
            self._stopped_by = "disk full" if isinstance(trouble, DiskFull) else "trouble"
            return trouble
        except Exception as bug:
            self._stopped_by = "trouble"
            return SoundError(f"Recording stopped: {bug}.", "What was recorded is kept.")
        finally:
            if self._lost_at is not None:  # it never came back
                self._away += time.monotonic() - self._lost_at
        return None

    def _end(self, writer: RecordingWriter, problem: FieldlogError | None) -> None:
        """Finish the file, and say what came of it all."""
        sound = None
        try:
            sound = writer.finish()
        except FieldlogError as trouble:
            problem = trouble
        if sound is not None:
            self._sound(Tone.NOTE_KEPT)
        self._outcome = Outcome(
            sound,
            self._transcript,
            self._stopped_by,
            self._microphone.overflows,
            self._away,
            problem,
        )
        self._emit(events.Finished(self._outcome))

    def _take_sound(self, writer: RecordingWriter) -> None:
        watch = self._instead.clocks or ClockWatch()
        while not self._stop.is_set():
            captured = self._microphone.read(0.2)
            self._tell_of_jumps(watch)
            self._tell_if_lost()
            if self._microphone.ended:
                self._stopped_by = "end of sound"
                return
            if captured is None:
                continue
            self._tell_if_back()
            writer.write(captured.pcm)  # to the disk before anything else sees it
            self._pieces.put(captured.pcm)
            self._tell_of_lost_sound()
            self._emit(events.Heartbeat(writer.seconds, level_of(captured.pcm)))
            self._tell_of_a_full_disk(writer)
            if writer.seconds >= LONGEST:
                self._stopped_by = "too long"
                return

    def _tell_if_lost(self) -> None:
        if self._microphone.lost and self._lost_at is None:
            self._lost_at = time.monotonic()
            self._emit(events.MicrophoneLost(self._microphone.name))

    def _tell_if_back(self) -> None:
        """A piece came: if the microphone was away, it is there again."""
        if self._lost_at is None:
            return
        away = time.monotonic() - self._lost_at
        self._away += away
        self._lost_at = None
        self._emit(events.MicrophoneBack(self._microphone.name, away))

    def _tell_of_lost_sound(self) -> None:
        if self._microphone.overflows > self._overflows:
            self._overflows = self._microphone.overflows
            self._emit(events.SoundLost(self._overflows))

    def _tell_of_a_full_disk(self, writer: RecordingWriter) -> None:
        """Once, and not looked at with every piece."""
        if self._warned or writer.seconds < self._check_at:
            return
        self._check_at = writer.seconds + _CHECK_EVERY
        if writer.nearly_full:
            self._warned = True
            self._emit(events.DiskNearlyFull(writer.seconds_left / 60))

    def _tell_of_jumps(self, watch: ClockWatch) -> None:
        for jump in watch.check():
            if isinstance(jump, Slept):
                self._emit(events.ComputerSlept(jump.seconds))
            else:
                self._emit(events.ClockSet(jump.seconds))

    # the reading thread

    def _start_reading(self) -> threading.Thread | None:
        if self._recogniser is None:
            return None
        thread = threading.Thread(
            target=self._read, args=(self._recogniser,), name="reading", daemon=True
        )
        thread.start()
        return thread

    def _read(self, recogniser: Recogniser) -> None:
        fed = asked = 0.0
        try:
            while (piece := self._pieces.get()) is not None:
                final = recogniser.feed(piece)
                fed += len(piece) / BYTES_PER_SECOND
                if final:
                    self._listener.take_final(final)
                if fed - asked >= _PARTIAL_EVERY:
                    asked = fed
                    self._listener.take_partial(recogniser.partial(), fed)
            heard = self._listener.words
            self._transcript = recogniser.finish()
            self._listener.take_final(list(self._transcript.words[heard:]), last=True)
        except Exception as problem:
            self._emit(events.ReadingFailed(str(problem)))

    def _stop_by_voice(self) -> None:
        if not self._stop.is_set():
            self._stopped_by = "voice"
            self._stop.set()

    def _sound(self, tone: Tone) -> None:
        if self._tones is not None:
            self._tones.sound(tone)

    def _emit(self, event: Event) -> None:
        with contextlib.suppress(Exception):  # a broken screen must not end the recording
            self._on_event(event)


class _Listener:
    """Turns words, final or steady, into control events, each once."""

    def __init__(
        self,
        emit: Callable[[Event], None],
        sound: Callable[[Tone], None],
        stop: Callable[[], None],
    ) -> None:
        self._emit = emit
        self._sound = sound
        self._stop = stop
        self._tail: list[Word] = []
        """Last final words, in case a control goes on in the next ones."""
        self._text = ""
        self._since: dict[tuple[_Said, int, str], float] = {}
        self._acted: Counter[_Said] = Counter()
        """What was acted on already while its words were unfinished."""
        self.words = 0

    def take_partial(self, text: str, now: float) -> None:
        """Unfinished words after ``now`` seconds of sound."""
        if text != self._text:
            self._text = text
            self._emit(events.Hearing(text))
        window = [w.text for w in self._tail] + text.split()
        seen: Counter[_Said] = Counter()
        since: dict[tuple[_Said, int, str], float] = {}
        for control in find_controls_in_text(" ".join(window)):
            number = seen[control.sense]
            seen[control.sense] += 1
            key = (control.sense, number, control.name)
            since[key] = self._since.get(key, now)
            if number < self._acted[control.sense]:
                continue
            if control.kind is ControlKind.NEW_HORSE and not control.name:
                continue
            if control.kind is ControlKind.STOP and control.end < len(window):
                continue  # "...told him to stop recording when" is not for us
            if now - since[key] >= _STEADY[control.kind]:
                self._acted[control.sense] += 1
                self._act(control)
        self._since = since

    def take_final(self, words: list[Word], last: bool = False) -> None:
        """Words that will not change any more; ``last`` at the end of the note."""
        if words:
            self.words += len(words)
            self._emit(events.Heard(tuple(words)))
        acted, self._acted = self._acted, Counter()
        self._since, self._text = {}, ""
        window = self._tail + words
        done = 0
        for control in find_controls(window):
            at_end = control.end == len(window)
            if control.kind is ControlKind.STOP and not at_end:
                continue
            if control.kind is ControlKind.NEW_HORSE and not control.name and at_end and not last:
                done = control.first  # the name is still to come
                break
            done = control.end
            if acted[control.sense]:
                acted[control.sense] -= 1
            else:
                self._act(control)
        self._tail = window[done:][-_TAIL_WORDS:]
        if len(words) >= _UNSURE_WORDS and _mean_confidence(words) < _UNSURE:
            self._emit(events.NotUnderstood(tuple(words)))
            self._sound(Tone.NOT_UNDERSTOOD)

    def _act(self, control: Control) -> None:
        match control.kind:
            case ControlKind.FOOT:
                self._emit(events.FootNamed(control.feet))
                self._sound(Tone.FOOT_UNDERSTOOD)
            case ControlKind.NEW_HORSE:
                self._emit(events.NewHorse(control.name))
                self._sound(Tone.FOOT_UNDERSTOOD)
            case ControlKind.END_OF_HORSE:
                self._emit(events.EndOfHorse())
                self._sound(Tone.NOTE_KEPT)
            case ControlKind.SCRATCH:
                self._emit(events.Scratched())
                self._sound(Tone.FOOT_UNDERSTOOD)
            case ControlKind.STOP:
                self._stop()


def _mean_confidence(words: list[Word]) -> float:
    return sum(w.confidence for w in words) / len(words)
