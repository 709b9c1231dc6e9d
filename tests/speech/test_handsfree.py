"""A hands-free recording from microphone to kept file."""

from __future__ import annotations

import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from fieldlog.core.feet import Foot
from fieldlog.core.words import Transcript, Word
from fieldlog.errors import DiskFull, NoMicrophone
from fieldlog.paths import Places
from fieldlog.sound import importing
from fieldlog.sound.capture import Captured, FakeMicrophone
from fieldlog.sound.clocks import ClockWatch
from fieldlog.sound.decode import sound_chunks
from fieldlog.sound.pcm import silence
from fieldlog.sound.player import FakePlayer
from fieldlog.sound.recovery import find_unfinished
from fieldlog.sound.tones import Tone, Tones, tone_pcm
from fieldlog.sound.writer import RecordingWriter
from fieldlog.speech import events
from fieldlog.speech.events import Event
from fieldlog.speech.fake import FakeRecogniser
from fieldlog.speech.handsfree import HandsFree, Instead


def of_kind(seen: list[Event], *kinds: type) -> list[Event]:
    return [e for e in seen if isinstance(e, kinds)]


CONTROLS = (
    events.FootNamed,
    events.NewHorse,
    events.EndOfHorse,
    events.Scratched,
    events.NotUnderstood,
)

NOTE = (
    "new horse copper penny is here left front thrush scratch that right hind fine end of horse "
    "new horse storm"
)


def test_a_note_with_all_controls(home: Places) -> None:
    seen: list[Event] = []
    player = FakePlayer()
    session = HandsFree(
        FakeMicrophone(silence(15)),
        FakeRecogniser.saying(NOTE),
        home,
        seen.append,
        Tones(player),
    )
    outcome = session.run()
    controls = of_kind(seen, *CONTROLS)
    assert sorted(map(str, controls)) == sorted(
        map(
            str,
            [
                events.NewHorse("copper penny"),
                events.FootNamed((Foot.LF,)),
                events.Scratched(),
                events.FootNamed((Foot.RH,)),
                events.EndOfHorse(),
                events.NewHorse("storm"),
            ],
        )
    )
    assert outcome.transcript is not None
    assert outcome.transcript.text == NOTE
    assert outcome.stopped_by == "end of sound"
    assert outcome.sound is not None
    assert outcome.sound.duration == 15.0
    assert b"".join(sound_chunks(outcome.sound.path)) == silence(15)
    assert isinstance(seen[0], events.Started)
    assert isinstance(seen[-1], events.Finished)
    assert player.pcm.count(tone_pcm(Tone.NOTE_KEPT)) == 2  # end of horse, and the recording
    assert find_unfinished(home) == []


def test_feet_are_confirmed_while_the_sentence_goes_on(home: Places) -> None:
    """The reader makes words final only at a pause; the tone must not wait for that."""
    order: list[str] = []

    def note(event: Event) -> None:
        if isinstance(event, events.FootNamed | events.Heard):
            order.append(type(event).__name__)

    reader = FakeRecogniser.saying("left front toe is three and a quarter and clean all round")
    HandsFree(FakeMicrophone(silence(8)), reader, home, note).run()
    assert order[0] == "FootNamed"
    assert order.count("FootNamed") == 1


def test_a_new_horse_is_told_while_the_sentence_goes_on(home: Places) -> None:
    order: list[Event] = []

    def note(event: Event) -> None:
        if isinstance(event, events.NewHorse | events.Heard):
            order.append(event)

    text = "new horse copper penny is a chestnut mare and she stands well for us all day long today"
    HandsFree(FakeMicrophone(silence(12)), FakeRecogniser.saying(text), home, note).run()
    assert order[0] == events.NewHorse("copper penny")
    assert len(order) == 2


def test_stop_by_voice(home: Places) -> None:
    session = HandsFree(
        FakeMicrophone(silence(30), fast=False),
        FakeRecogniser.saying("left front good stop recording", pace=0.1),
        home,
    )
    session.start()
    outcome = session.wait(10)
    assert outcome is not None
    assert outcome.stopped_by == "voice"
    assert outcome.sound is not None
    assert 0.5 < outcome.sound.duration < 8


def test_talking_about_it_does_not_stop(home: Places) -> None:
    text = "told him to stop recording when the horse moves"
    outcome = HandsFree(
        FakeMicrophone(silence(3), fast=False),
        FakeRecogniser.saying(text, pace=0.2),
        home,
    ).run()
    assert outcome.stopped_by == "end of sound"


def test_stop_by_key(home: Places) -> None:
    session = HandsFree(FakeMicrophone(silence(30), fast=False), None, home)
    session.start()
    assert session.running
    time.sleep(0.3)
    session.stop()
    outcome = session.wait(5)
    assert outcome is not None
    assert outcome.stopped_by == "key"
    assert outcome.transcript is None
    assert outcome.sound is not None
    assert not session.running


INTERRUPTED = """
import signal, sys, threading
from pathlib import Path
from fieldlog.paths import places
from fieldlog.sound.capture import FakeMicrophone
from fieldlog.sound.pcm import silence
from fieldlog.speech.fake import FakeRecogniser
from fieldlog.speech.handsfree import HandsFree
signal.signal(signal.SIGINT, signal.default_int_handler)  # ignored where tests run behind a shell
lock = threading.Lock()
def tell(line):
    with lock:  # events come from another thread
        print(line, flush=True)
session = HandsFree(
    FakeMicrophone(silence(60), fast=False),
    FakeRecogniser.saying("left front good"),
    places(Path(sys.argv[1])),
    lambda event: tell(type(event).__name__),
)
outcome = session.run()
tell(f"outcome {outcome.stopped_by} {outcome.sound.path}")
"""


def test_ctrl_c_keeps_the_recording(home: Places) -> None:
    """A real SIGINT to a real process."""
    process = subprocess.Popen(
        [sys.executable, "-c", INTERRUPTED, str(home.data)], stdout=subprocess.PIPE, text=True
    )
    assert process.stdout is not None
    beats = 0
    for line in process.stdout:
        beats += line.startswith("Heartbeat")
        if beats == 8:
            process.send_signal(signal.SIGINT)
            break
    lines = process.stdout.read().splitlines()
    assert process.wait(10) == 0
    (outcome,) = [line for line in lines if line.startswith("outcome ")]
    _, stopped_by, path = outcome.split(maxsplit=2)
    assert stopped_by == "key"
    assert len(b"".join(sound_chunks(Path(path)))) >= 8 * 3_200
    assert find_unfinished(home) == []


def test_without_a_microphone_no_file_is_left(home: Places) -> None:
    class Nothing(FakeMicrophone):
        def start(self) -> None:
            raise NoMicrophone("No microphone was found.")

    with pytest.raises(NoMicrophone):
        HandsFree(Nothing(b""), FakeRecogniser(), home).start()
    assert list(home.sounds.iterdir()) == []


def test_a_reader_that_fails_costs_no_sound(home: Places) -> None:
    class Broken(FakeRecogniser):
        def feed(self, pcm: bytes) -> list[Word]:
            raise RuntimeError("no more memory")

    seen: list[Event] = []
    outcome = HandsFree(FakeMicrophone(silence(3)), Broken(), home, seen.append).run()
    assert outcome.sound is not None
    assert outcome.sound.duration == 3.0
    assert outcome.transcript is None
    assert of_kind(seen, events.ReadingFailed) == [events.ReadingFailed("no more memory")]


def test_a_slow_reader_costs_no_sound(home: Places) -> None:
    class Slow(FakeRecogniser):
        def feed(self, pcm: bytes) -> list[Word]:
            time.sleep(0.01)
            return super().feed(pcm)

    outcome = HandsFree(FakeMicrophone(silence(5)), Slow.saying("left front"), home).run()
    assert outcome.sound is not None
    assert outcome.sound.duration == 5.0
    assert outcome.transcript is not None
    assert outcome.transcript.text == "left front"


def test_a_broken_screen_costs_no_sound(home: Places) -> None:
    def broken(event: Event) -> None:
        raise RuntimeError("screen")

    outcome = HandsFree(FakeMicrophone(silence(1)), FakeRecogniser(), home, broken).run()
    assert outcome.sound is not None
    assert outcome.sound.duration == 1.0


def test_overflow_loss_and_return_are_told(home: Places) -> None:
    seen: list[Event] = []
    microphone = FakeMicrophone(
        silence(2), overflow_after=[0.2, 0.4], lost_between=(1.0, 0.3), fast=False
    )
    outcome = HandsFree(microphone, None, home, seen.append).run()
    assert of_kind(seen, events.SoundLost) == [events.SoundLost(1), events.SoundLost(2)]
    assert len(of_kind(seen, events.MicrophoneLost)) == 1
    assert len(of_kind(seen, events.MicrophoneBack)) == 1
    assert outcome.lost_sound == 2
    assert outcome.away == pytest.approx(0.3, abs=0.25)
    assert outcome.sound is not None
    assert outcome.sound.duration == 2.0


def test_a_microphone_that_never_comes_back_is_told_with_what_it_missed(home: Places) -> None:
    seen: list[Event] = []
    gone = threading.Event()

    def noticed(event: Event) -> None:
        seen.append(event)
        if isinstance(event, events.MicrophoneLost):
            gone.set()

    microphone = FakeMicrophone(silence(9), lost_between=(0.5, 600.0), fast=False)
    session = HandsFree(microphone, None, home, noticed)
    session.start()
    assert gone.wait(10)
    time.sleep(0.3)
    session.stop()
    outcome = session.wait(10)
    assert outcome is not None
    assert outcome.sound is not None
    assert outcome.sound.duration == pytest.approx(0.5, abs=0.15)
    assert outcome.away >= 0.3
    assert not of_kind(seen, events.MicrophoneBack)


def test_a_microphone_that_breaks_us_keeps_what_was_said(home: Places) -> None:
    class Breaks(FakeMicrophone):
        def read(self, timeout: float = 0.5) -> Captured | None:
            piece = super().read(timeout)
            if piece is not None and self._given > 32_000:
                raise ZeroDivisionError("a bug in a driver")
            return piece

    outcome = HandsFree(Breaks(silence(5)), FakeRecogniser(), home).run()
    assert outcome.stopped_by == "trouble"
    assert "a bug in a driver" in str(outcome.problem)
    assert outcome.sound is not None
    assert outcome.sound.duration == 1.0


def test_a_recording_that_cannot_get_its_name_is_offered_again(
    home: Places, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(importing, "settle", full)
    seen: list[Event] = []
    outcome = HandsFree(FakeMicrophone(silence(2)), FakeRecogniser(), home, seen.append).run()
    assert outcome.sound is None
    assert isinstance(outcome.problem, DiskFull)
    assert of_kind(seen, events.Finished) == [events.Finished(outcome)]
    monkeypatch.undo()
    (left,) = find_unfinished(home)
    assert left.seconds == 2.0


def test_what_was_not_started_cannot_be_waited_for(home: Places) -> None:
    with pytest.raises(ValueError, match="not started"):
        HandsFree(FakeMicrophone(b""), None, home).wait()


def test_a_disk_that_fills_up_keeps_what_there_is(
    home: Places, monkeypatch: pytest.MonkeyPatch
) -> None:
    free = iter([1 << 30] * 3)
    monkeypatch.setattr("fieldlog.sound.writer.free_bytes", lambda folder: next(free, 1_000))
    now = iter(range(10_000))
    writer = RecordingWriter(home, monotonic=lambda: float(next(now)))
    seen: list[Event] = []
    outcome = HandsFree(
        FakeMicrophone(silence(60)),
        FakeRecogniser(),
        home,
        seen.append,
        instead=Instead(writer=writer),
    ).run()
    assert outcome.stopped_by == "disk full"
    assert isinstance(outcome.problem, DiskFull)
    assert outcome.sound is not None
    assert 0 < outcome.sound.duration < 60


def test_a_disk_nearly_full_is_warned_about_once(
    home: Places, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("fieldlog.sound.writer.free_bytes", lambda folder: 20 << 20)
    seen: list[Event] = []
    HandsFree(FakeMicrophone(silence(25)), None, home, seen.append).run()
    (warning,) = of_kind(seen, events.DiskNearlyFull)
    assert isinstance(warning, events.DiskNearlyFull)
    assert 0 < warning.minutes_left < 5


def test_sleep_and_a_set_clock_are_told(home: Places) -> None:
    times = [(0.0, 0.0, 0.0), (600.0, 1.0, 600.0), (9000.0, 2.0, 601.0)]

    def clock(which: int) -> Callable[[], float]:
        ticks = iter(times)
        return lambda: next(ticks, times[-1])[which]

    seen: list[Event] = []
    watch = ClockWatch(clock(0), clock(1), clock(2))
    HandsFree(
        FakeMicrophone(silence(1)), None, home, seen.append, instead=Instead(clocks=watch)
    ).run()
    assert of_kind(seen, events.ComputerSlept) == [events.ComputerSlept(599.0)]
    assert of_kind(seen, events.ClockSet) == [events.ClockSet(8399.0)]


def test_unsure_words_sound_the_low_tone(home: Places) -> None:
    player = FakePlayer()
    seen: list[Event] = []
    reader = FakeRecogniser.saying("mumble grumble tumble", confidence=0.2)
    HandsFree(FakeMicrophone(silence(4)), reader, home, seen.append, Tones(player)).run()
    assert len(of_kind(seen, events.NotUnderstood)) == 1
    assert tone_pcm(Tone.NOT_UNDERSTOOD) in player.pcm


def test_a_control_split_by_a_pause_and_a_name_that_comes_late(home: Places) -> None:
    script = [
        Word("left", 0.1, 0.3, 0.9),
        Word("front", 1.5, 1.8, 0.9),
        Word("new", 3.0, 3.2, 0.9),
        Word("horse", 3.2, 3.5, 0.9),
        Word("storm", 5.0, 5.4, 0.9),
    ]
    seen: list[Event] = []
    HandsFree(FakeMicrophone(silence(8)), FakeRecogniser(script), home, seen.append).run()
    assert of_kind(seen, *CONTROLS) == [events.FootNamed((Foot.LF,)), events.NewHorse("storm")]


def test_start_only_once(home: Places) -> None:
    session = HandsFree(FakeMicrophone(silence(0.5)), None, home)
    with pytest.raises(ValueError, match="not started"):
        session.wait()
    session.run()
    with pytest.raises(ValueError, match="starts once"):
        session.start()


def test_no_thread_stays_behind(home: Places) -> None:
    before = threading.active_count()
    HandsFree(FakeMicrophone(silence(1)), FakeRecogniser(), home).run()
    assert threading.active_count() <= before


def test_the_typed_transcript_of_a_real_outcome_round_trips(home: Places) -> None:
    outcome = HandsFree(
        FakeMicrophone(silence(6)), FakeRecogniser.saying("left front good"), home
    ).run()
    assert outcome.transcript is not None
    assert Transcript.from_dict(outcome.transcript.to_dict()).text == "left front good"


def test_the_real_reader_hears_along(ready: Places) -> None:
    """Real libvosk on a real file through the whole loop."""
    from fieldlog.config import Settings
    from fieldlog.paths import project_folder
    from fieldlog.speech.opening import open_recogniser

    folder = project_folder("demo_audio")
    if folder is None:
        pytest.skip("no demo sounds in this installation")
    source = next(iter(sorted(Path(folder).glob("n01*"))))
    seen: list[Event] = []
    reader = open_recogniser(Settings(), ready)
    outcome = HandsFree(FakeMicrophone(source), reader, ready, seen.append).run()
    assert outcome.transcript is not None
    assert "left front" in outcome.transcript.text
    assert events.FootNamed((Foot.LF,)) in seen
    assert events.FootNamed((Foot.RF,)) in seen
