"""Recording hands free, with a scripted microphone and reader, into a real database."""

from __future__ import annotations

import asyncio
import threading
import time
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager

import pytest
from textual.pilot import Pilot

from fieldlog.app.desk import Desk
from fieldlog.app.main import FieldlogApp
from fieldlog.app.recording_state import RecordingState
from fieldlog.app.screens.base import ToolScreen
from fieldlog.app.screens.day import DayScreen
from fieldlog.app.screens.due import DueScreen
from fieldlog.app.screens.record import RecordScreen
from fieldlog.app.taking_in import keep_recording
from fieldlog.app.widgets.recorder import recorder_content
from fieldlog.config import Settings
from fieldlog.core.words import Transcript
from fieldlog.errors import NoMicrophone
from fieldlog.paths import Places
from fieldlog.records.store import Store
from fieldlog.sound.capture import FakeMicrophone, Microphone
from fieldlog.sound.player import FakePlayer
from fieldlog.speech.fake import FakeRecogniser
from tests.app import barn
from tests.app.driving import press, settle, text_of

SPOKEN = "new horse bramble left hind thrush in the central sulcus stop recording"
SILENCE = bytes(32_000 * 12)


def desk_with(where: Places, microphone: Callable[[], Microphone], spoken: str = SPOKEN) -> Desk:
    """A desk that hears ``spoken`` whatever the sound is."""
    return Desk(
        where,
        Settings(),
        make_recogniser=lambda names: FakeRecogniser.saying(spoken),
        player=FakePlayer(),
        make_microphone=microphone,
        today=lambda: barn.TODAY,
    )


@asynccontextmanager
async def recording(desk: Desk) -> AsyncIterator[tuple[Pilot[None], RecordScreen]]:
    """The app on its record screen."""
    app = FieldlogApp(desk, "record")
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, RecordScreen)
        yield pilot, screen
        await desk.close()


async def until(pilot: Pilot[None], true: Callable[[], bool], seconds: float = 40.0) -> None:
    """Wait for something that other threads bring about."""
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end, "it did not happen in time"
        await asyncio.sleep(0.02)
        await pilot.pause()


async def test_spoken_note_becomes_a_draft_and_stops_by_voice(where: Places) -> None:
    desk = desk_with(where, lambda: FakeMicrophone(SILENCE))
    async with recording(desk) as (pilot, screen):
        await press(pilot, "enter")
        await until(pilot, lambda: screen.state.phase == "kept")
        await until(pilot, lambda: "draft" in screen.answer.text)
        assert screen.state.outcome is not None
        assert screen.state.outcome.stopped_by == "voice"
        with Store.open(where.database) as store:
            newest = store.recordings()[-1]
            (made,) = store.entries_from(newest.id)
        assert newest.path is not None
        assert newest.path.exists()
        assert made.horse is not None
        assert made.horse.name == "Bramble"
        assert [f.code for f in made.entry.facts] == ["thrush"]
        await press(pilot, "1")
        assert "Bramble" in text_of(screen.tool)


async def test_enter_stops_and_keeps_and_escape_does_not(where: Places) -> None:
    desk = desk_with(where, lambda: FakeMicrophone(bytes(32_000 * 60), fast=False), "left front")
    async with recording(desk) as (pilot, screen):
        await press(pilot, "enter")
        await until(pilot, lambda: screen.state.phase == "recording")
        await press(pilot, "escape")
        assert screen.state.phase == "recording"
        assert "goes on" in screen.answer.text
        await press(pilot, "enter")
        await until(pilot, lambda: screen.state.phase == "kept")
        assert screen.state.outcome is not None
        assert screen.state.outcome.stopped_by == "key"


async def test_quitting_keeps_a_running_recording_and_ends_its_threads(where: Places) -> None:
    desk = desk_with(where, lambda: FakeMicrophone(bytes(32_000 * 60), fast=False), "left front")
    async with recording(desk) as (pilot, screen):
        await press(pilot, "enter")
        await until(pilot, lambda: screen.state.seconds >= 0.3)
        await press(pilot, "3")
        due = screen.tool.screen
        assert isinstance(due, DueScreen)
        assert "● recording" in text_of(screen.tool)
        await press(pilot, "q")
        assert "q again stops it, keeps what was said and leaves" in due.answer.text
        assert screen.state.phase == "recording"
        assert screen.tool.is_running
        await press(pilot, "1", "q")  # another screen, so it is asked anew
        assert screen.state.phase == "recording"
        await pilot.press("q")
        await until(pilot, lambda: not screen.tool.is_running)
    names = {t.name for t in threading.enumerate()}
    assert not names & {"recording", "reading", "records_0", "audio_0"}
    assert list(where.sounds.glob("*.wav"))
    with Store.open(where.database) as store:
        assert len(store.recordings()) == 4


async def test_every_screen_shows_that_it_records_and_only_then(where: Places) -> None:
    desk = desk_with(where, lambda: FakeMicrophone(bytes(32_000 * 60), fast=False), "left front")
    async with recording(desk) as (pilot, screen):
        assert "● recording" not in text_of(screen.tool)
        await press(pilot, "enter")
        await until(pilot, lambda: screen.state.phase == "recording")
        for key in "13425":
            await press(pilot, key)
            assert "● recording" in text_of(screen.tool), key
            await press(pilot, "escape")
        await press(pilot, "2", "enter")
        await until(pilot, lambda: screen.state.phase == "kept")
        await until(pilot, lambda: "Kept" in screen.answer.text)
        for key in "213":
            await press(pilot, key)
            assert "● recording" not in text_of(screen.tool)


@pytest.mark.parametrize("day_open", [False, True], ids=["day first opened", "day was open"])
async def test_1_goes_to_what_was_just_recorded(where: Places, day_open: bool) -> None:
    desk = desk_with(where, lambda: FakeMicrophone(SILENCE))
    async with recording(desk) as (pilot, screen):
        if day_open:
            await press(pilot, "1", "pageup", "2")
        await press(pilot, "enter")
        await until(pilot, lambda: "1 goes to it" in screen.answer.text)
        await press(pilot, "1")
        day = screen.tool.screen
        assert isinstance(day, DayScreen)
        assert day.view.name == "Bramble"
        await press(pilot, "pageup", "3", "1")  # once: afterwards the cursor is the farrier's
        assert day.view.name != "Bramble"


LONG_ANSWER = (
    "The sound library PortAudio is missing on this computer, so nothing can be recorded here. "
    "Install it (on Debian or Ubuntu: the package libportaudio2), then press Enter again. Until "
    "then record with a phone and import the sound: that works without it."
)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
@pytest.mark.parametrize("start", ["day", "record", "due", "search", "horse"])
async def test_a_long_answer_is_shown_whole(
    where: Places, start: str, size: tuple[int, int]
) -> None:
    app = FieldlogApp(barn.desk_at(where), start)
    async with app.run_test(size=size) as pilot:
        await settle(pilot)
        base = app.screen
        assert isinstance(base, ToolScreen)
        base.answer.refuse(LONG_ANSWER)
        await settle(pilot)
        shown = " ".join(text_of(app).split())
        assert LONG_ANSWER in shown
        assert "? help" in shown
        if start == "record":
            assert "Start it at the truck, speak between feet" in shown
        base.answer.clear()
        await settle(pilot)
        assert base.answer.size.height == 1
        await app.desk.close()


async def test_no_microphone_is_a_sentence(where: Places) -> None:
    def none() -> Microphone:
        raise NoMicrophone("There is no microphone.", "Plug one in and press Enter again.")

    async with recording(desk_with(where, none)) as (pilot, screen):
        await press(pilot, "enter")
        await until(pilot, lambda: bool(screen.answer.text))
        assert screen.answer.text == ("There is no microphone. Plug one in and press Enter again.")
        assert screen.state.phase == "ready"


async def test_the_caution_is_always_there(where: Places) -> None:
    desk = desk_with(where, lambda: FakeMicrophone(SILENCE))
    async with recording(desk) as (_, screen):
        assert "Do not touch a screen under a horse" in " ".join(text_of(screen.tool).split())


async def test_a_cut_off_recording_is_told_rescued_and_read(where: Places) -> None:
    from fieldlog.sound.writer import RecordingWriter

    writer = RecordingWriter(where)
    writer.write(bytes(32_000 * 8))
    writer.close()  # as after a crash: the file never got its lasting name
    desk = desk_with(where, lambda: FakeMicrophone(SILENCE), "left front thrush in the frog")
    app = FieldlogApp(desk)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await until(pilot, lambda: "1 recording cut off" in text_of(app))
        await press(pilot, "R")
        await until(pilot, lambda: "Taken in: 1 recording, 1 draft made" in text_of(app))
        await press(pilot, "R")
        await until(pilot, lambda: "every one has been read" in text_of(app))
        with Store.open(where.database) as store:
            assert store.unread_recordings() == []
            assert len(store.drafts()) == 4
        await desk.close()


def test_a_recording_of_nothing_but_silence_says_so(where: Places) -> None:
    """A microphone that is switched off or not allowed gives noughts, and looks like success."""
    from fieldlog.sound.writer import RecordingWriter

    with Store.open(where.database) as store:
        drafts = len(store.drafts())
        for transcript in (None, Transcript((), "fake/script", 2.0)):
            writer = RecordingWriter(where)
            writer.write(bytes(32_000 * 2))
            sound = writer.finish()
            assert sound is not None
            kept = keep_recording(store, sound, transcript, where, Settings())
            assert "Only silence came from the microphone" in kept.said
        assert len(store.drafts()) == drafts
        assert store.unread_recordings() == []


async def test_the_microphone_is_chosen_by_number(
    where: Places, monkeypatch: pytest.MonkeyPatch
) -> None:
    from fieldlog.app import taking_in

    monkeypatch.setattr(taking_in, "microphone_names", lambda: ["built in", "clip-on"])
    desk = desk_with(where, lambda: FakeMicrophone(SILENCE))
    async with recording(desk) as (pilot, screen):
        await press(pilot, "m", "2")
        assert desk.microphone == "clip-on"
        assert screen.answer.text == "Recording with clip-on."


def test_lost_sound_stands_before_the_words(where: Places) -> None:
    state = RecordingState(
        phase="recording", words=("left", "front"), warnings=("Sound was lost.",)
    )
    shown = recorder_content(state, 60).plain
    assert shown.index("! Sound was lost.") < shown.index("left hind") < shown.index("heard")


async def test_records_that_fail_keep_nobody_from_recording(where: Places) -> None:
    """The database is damaged while the app is open; what was said is a draft once it is right."""
    tone = bytes(range(256)) * 250
    desk = desk_with(where, lambda: FakeMicrophone(tone))
    async with recording(desk) as (pilot, screen):
        whole = where.database.read_bytes()
        where.database.write_bytes(b"\x00\xff" * 4000)
        await press(pilot, "enter")
        await until(pilot, lambda: screen.state.phase == "kept")
        await until(pilot, lambda: "no draft yet" in screen.answer.text)
        seen = " ".join(text_of(screen.tool).split())
        assert "! Sound only, a draft later: The database" in seen
        assert "Do not touch a screen under a horse" in seen
        assert "Once the database is right: R on the Day screen" in screen.answer.text
        where.database.write_bytes(whole)
    app = FieldlogApp(desk_with(where, lambda: FakeMicrophone(tone)))
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: "1 recording not in the records yet: R takes it in" in
                    text_of(app))  # fmt: skip
        await press(pilot, "R")
        await until(pilot, lambda: "Taken in: 1 recording, 1 draft made" in text_of(app))
        await app.desk.close()


async def test_a_model_that_fails_keeps_nobody_from_recording(where: Places) -> None:
    from fieldlog.errors import ModelDamaged
    from fieldlog.speech.recogniser import Recogniser

    def refuse(names: object) -> Recogniser:
        raise ModelDamaged("The model is damaged.", "Move it away.")

    desk = Desk(where, Settings(), refuse, FakePlayer(), lambda: FakeMicrophone(SILENCE))
    async with recording(desk) as (pilot, screen):
        await press(pilot, "enter")
        await until(pilot, lambda: screen.state.phase == "kept")
        assert "The model is damaged" in text_of(screen.tool)
        with Store.open(where.database) as store:
            assert len(store.unread_recordings()) == 1


async def test_every_screen_opens_without_records_and_says_so(where: Places) -> None:
    """As “review --screen record” does where the database is damaged."""
    where.database.write_bytes(b"\x00\xff" * 4000)
    desk = desk_with(where, lambda: FakeMicrophone(bytes(range(256)) * 250))
    async with recording(desk) as (pilot, screen):
        for key in "13452":
            await pilot.press(key)
            await until(pilot, lambda: desk.busy == 0)
            await pilot.press("question_mark", "escape")
        await pilot.press("1")
        await until(pilot, lambda: "is damaged or not" in text_of(screen.tool))
        await pilot.press("2", "enter")
        await until(pilot, lambda: "no draft yet" in screen.answer.text)
    assert len(list(where.sounds.glob("*.wav"))) > 0
