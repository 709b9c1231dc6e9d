"""The second reader behind the screens: two fakes that differ, real keys, a real database."""

from __future__ import annotations

import asyncio
import threading
import time
from collections.abc import AsyncIterator, Callable, Sequence
from contextlib import asynccontextmanager
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot

from fieldlog.app.desk import Desk
from fieldlog.app.main import FieldlogApp
from fieldlog.app.screens.day import DayScreen
from fieldlog.config import Settings
from fieldlog.core.disputes import differences, marked
from fieldlog.core.facts import Due, Entry, Fact, FactKind, FootBasis, HorseMention
from fieldlog.core.feet import Foot
from fieldlog.core.words import Transcript
from fieldlog.errors import ModelDamaged, SpeechError
from fieldlog.intake import keep_words
from fieldlog.paths import Places
from fieldlog.records.store import Store
from fieldlog.speech.fake import FakeRecogniser, FakeSecond
from tests.app import barn
from tests.app.driving import press, settle, text_of
from tests.app.test_pictures import SIZES, pressing

FIRST = (
    "bramble stood well right hind has a crack at the toe left hind press in the frog "
    "recheck in six weeks"
)
SECOND = FIRST.replace("press", "thrush")
SAME = {"note0.wav": barn.JUNIPER, "note1.wav": barn.COPPER.replace("rush", "thrush"),
        "note2.wav": barn.UNNAMED}  # fmt: skip


@pytest.fixture
def two(where: Places) -> Places:
    """The invented morning with a fourth note, which the fake readers hear differently."""
    with Store.open(where.database) as store:
        path, sha = barn.sound_file(where, "note4", 8.0)
        started = datetime(2026, 11, 25, 11, 5, tzinfo=barn.ZONE)
        kept = store.add_recording(sha, path, 8.0, started, "clock", path.name)
        keep_words(store, kept, FakeRecogniser.saying(FIRST).finish(), where, Settings())
    return where


def desk_with(where: Places, make: Callable[[], Any]) -> Desk:
    desk = barn.desk_at(where)
    return Desk(where, desk.settings, today=lambda: barn.TODAY, now=desk._now, make_second=make)


def hearing(text: str = SECOND) -> FakeSecond:
    return FakeSecond({**SAME, "note4.wav": text})


async def read(pilot: Pilot[None], desk: Desk, seconds: float = 40.0) -> None:
    """Wait until the second reader has nothing left."""
    end = time.monotonic() + seconds
    await settle(pilot)
    while desk.second.running:
        assert time.monotonic() < end, "the second reader did not come to an end"
        await asyncio.sleep(0.02)
        await pilot.pause()
    await settle(pilot)


@asynccontextmanager
async def reading(desk: Desk) -> AsyncIterator[tuple[Pilot[None], DayScreen]]:
    """The app after the second reader has read everything."""
    app = FieldlogApp(desk)
    async with app.run_test(size=(80, 24)) as pilot:
        await read(pilot, desk)
        day = app.screen
        assert isinstance(day, DayScreen)
        yield pilot, day
        await desk.close()


async def to_dispute(pilot: Pilot[None], day: DayScreen) -> None:
    while not day.view.disputes.get(day.selected):
        await press(pilot, "n")


async def test_the_dispute_is_asked_with_both_readings(two: Places) -> None:
    async with reading(desk_with(two, hearing)) as (pilot, day):
        assert day.answer.text == "The second reader heard 1 thing otherwise in Bramble: n."
        await to_dispute(pilot, day)
        assert day.view.name == "Bramble"
        shown = " ".join(text_of(day.tool).split())
        assert "Two readers differ: “press” or" in shown
        assert "o “thrush”" in shown
        assert "press≠" in shown


async def test_one_key_takes_the_other_reading_and_one_takes_it_back(two: Places) -> None:
    async with reading(desk_with(two, hearing)) as (pilot, day):
        await to_dispute(pilot, day)
        before = day.view.entry
        await press(pilot, "o")
        assert day.answer.text.startswith("Taken “thrush”: left hind · thrush")
        assert day.fact is not None
        assert day.fact.code == "thrush"
        with Store.open(two.database) as store:
            stored = store.entry(before.id)
            assert stored.entry.text == SECOND
            assert store.corrections(before.id)[-1].action == "other reading"
        assert not day.view.disputes
        await press(pilot, "u")
        assert day.view.entry == before


async def test_the_sheet_of_the_note_says_who_heard_what(two: Places) -> None:
    async with reading(desk_with(two, hearing)) as (pilot, day):
        await to_dispute(pilot, day)
        await press(pilot, "w", "end")
        shown = text_of(day.tool)
        assert "Words by fake/script." in shown
        assert "fake/second heard “thrush” for “press” (≠)." in " ".join(shown.split())
        await press(pilot, "escape", "o", "w", "end")
        shown = " ".join(text_of(day.tool).split())
        assert "Words by fake/script (20), fake/second (1)." in shown
        assert "“thrush” by fake/second, for “press”." in shown


async def test_of_two_places_one_can_be_taken(two: Places) -> None:
    async with reading(desk_with(two, lambda: hearing(SECOND.replace("six", "ten")))) as (
        pilot,
        day,
    ):
        await to_dispute(pilot, day)
        await press(pilot, "o")
        shown = " ".join(text_of(day.tool).split())
        assert "“thrush” for “press”" in shown
        assert "“ten” for “six”" in shown
        await press(pilot, "2")
        assert day.view.entry.text == FIRST.replace("six", "ten")
        # The other place is still asked.
        await to_dispute(pilot, day)
        await press(pilot, "o")
        assert day.view.entry.text == SECOND.replace("six", "ten")


async def test_accepting_keeps_the_first_reading(two: Places) -> None:
    async with reading(desk_with(two, hearing)) as (pilot, day):
        await to_dispute(pilot, day)
        asked = day.selected
        await press(pilot, "a")
        assert asked in day.view.looked_at
        assert day.view.entry.text == FIRST


async def test_without_a_difference_o_says_so(two: Places) -> None:
    async with reading(desk_with(two, lambda: hearing(FIRST))) as (pilot, day):
        await press(pilot, "o")
        assert "do not differ" in day.answer.text


async def test_without_a_second_reader_o_says_so(app: FieldlogApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "o")
        day = app.screen
        assert isinstance(day, DayScreen)
        assert "No second reader has read this note" in day.answer.text
        await app.desk.close()


async def test_a_second_reader_that_cannot_be_had_is_told_once(two: Places) -> None:
    asked: list[int] = []

    def make() -> FakeSecond:
        asked.append(1)
        raise ModelDamaged("The Whisper model is incomplete.", "Get it again.")

    async with reading(desk_with(two, make)) as (pilot, day):
        assert day.answer.text == "The Whisper model is incomplete. Get it again."
        assert len(day.views) == 4
        day.tool.read_again()
        await read(pilot, day.tool.desk)
        assert asked == [1]


async def test_notes_that_it_cannot_read_keep_their_words(two: Places) -> None:
    second = FakeSecond({})
    async with reading(desk_with(two, lambda: second)) as (_, day):
        assert "first reader's words stay" in day.answer.text
        assert len(second.asked) == 4
        assert {v.transcript.text for v in day.views} >= {FIRST, barn.JUNIPER}
        assert not any(v.disputes for v in day.views)


class Slow(FakeSecond):
    """Reads until it is closed."""

    def __init__(self) -> None:
        super().__init__({}, "nothing")
        self.began, self.end = threading.Event(), threading.Event()

    def read(self, sound: Path, names: Sequence[str] = ()) -> Transcript:
        self.began.set()
        assert self.end.wait(20)
        raise SpeechError("The second reader was stopped.")

    def close(self) -> None:
        self.end.set()


async def test_nothing_waits_for_it_and_quitting_ends_it(two: Places) -> None:
    second = Slow()
    desk = desk_with(two, lambda: second)
    app = FieldlogApp(desk)
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        assert second.began.wait(20)
        day = app.screen
        assert isinstance(day, DayScreen)
        first = day.selected
        await press(pilot, "f", "4")
        assert "Moved" in day.answer.text
        assert first
        await desk.close()
    assert second.end.is_set()
    with Store.open(two.database) as store:
        assert all(len(store.transcripts(r.id)) == 1 for r in store.recordings())


@pytest.fixture
def drawn(where: Places) -> Places:
    """Made by hand, so that no change of the rules changes a picture: two places in dispute."""
    first = barn.heard(FIRST)
    second = replace(barn.heard(SECOND.replace("six", "sixteen")), reader="whisper/whisper-base")
    press, six = differences(first, second)
    at = first.text.index("left hind press in the frog recheck")
    stake = (at, len(first.text))
    both = marked(first, second, {press: (stake,), six: (stake,)})
    facts = (
        barn.said(first, "stood well", Fact(FactKind.HANDLING, "stood_well"), "b-stood"),
        barn.said(first, "right hind has a crack at the toe",
                  barn.seen("toe_crack", Foot.RH), "b-crack"),
        barn.said(first, "left hind press in the frog recheck in six weeks",
                  Fact(FactKind.FOLLOW_UP, "recheck", (Foot.LH,), FootBasis.SAID,
                       details={"who": "farrier"},
                       due=Due("in six weeks", "P6W", on=date(2027, 1, 6))), "b-recheck"),
    )  # fmt: skip
    mention = HorseMention("bramble", (0, 7), known=True)
    entry = Entry(facts, first.text, (0, len(first.text)), mention, id="entry-bramble")
    with Store.open(where.database) as store:
        path, sha = barn.sound_file(where, "note4", 8.0)
        started = datetime(2026, 11, 25, 11, 5, tzinfo=barn.ZONE)
        kept = store.add_recording(sha, path, 8.0, started, "clock", path.name)
        for heard in (first, second, both):
            store.store_transcript(kept.id, heard)
        store.add_drafts(kept.id, [entry])
    return where


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize(
    "keys",
    [
        pytest.param(("pageup", "pageup"), id="dispute"),
        pytest.param(("pageup", "pageup", "o"), id="which-place"),
        pytest.param(("pageup", "pageup", "w", "end"), id="who-heard"),
    ],
)
def test_picture(
    snap_compare: Any, drawn: Places, keys: tuple[str, ...], size: tuple[int, int]
) -> None:
    app = FieldlogApp(barn.desk_at(drawn))
    assert snap_compare(app, terminal_size=size, run_before=pressing(*keys))
