"""A note under the wrong day is mended where it is seen: T on the day screen."""

from __future__ import annotations

import os
from datetime import date, datetime, timedelta

from fieldlog.app.main import FieldlogApp
from fieldlog.paths import Places
from fieldlog.records.store import Store
from fieldlog.records.types import StoredEntry
from fieldlog.sound.capture import FakeMicrophone
from tests.app import barn
from tests.app.day_driven import running
from tests.app.driving import press, settle, text_of
from tests.app.test_record import SILENCE, desk_with, until

IN_FOUR_WEEKS = date(2026, 12, 23)
"""What Juniper's note promises, counted from its recorder's day, the 25th of November."""


def note(where: Places) -> StoredEntry:
    with Store.open(where.database) as store:
        return store.entry("entry-juniper")


def promised(stored: StoredEntry) -> date | None:
    due = next(f.due for f in stored.entry.facts if f.id == "j-recheck")
    return due.on if due else None


async def test_a_draft_gets_its_day_and_what_counts_from_it(
    app: FieldlogApp, where: Places
) -> None:
    async with running(app) as (pilot, day):
        await press(pilot, "pageup", "T", *"friday", "enter")
        assert day.answer.text == "Of Friday 2026-11-20 now. u takes it back."
        assert day.view.name == "Juniper"
        assert (note(where).day, promised(note(where))) == (
            date(2026, 11, 20),
            date(2026, 12, 18),
        )
        await press(pilot, "u")
        assert day.answer.text == "Taken back."
    assert (note(where).day, promised(note(where))) == (barn.TODAY, IN_FOUR_WEEKS)


async def test_a_saved_note_gets_its_day_by_a_revision_with_a_reason(
    app: FieldlogApp, where: Places
) -> None:
    async with running(app) as (pilot, day):
        await press(pilot, "S", "pageup", "T", *"20 nov", "enter")
        assert "why is it of another day?" in text_of(app)
        assert note(where).revision == 1  # nothing before a reason is given
        await press(pilot, "1")
        assert "On the due list now: recheck, 2026-12-18." in day.answer.text
        assert (day.view.name, day.view.when.date()) == ("Juniper", date(2026, 11, 20))
        moved = note(where)
        assert (moved.day, moved.revision) == (date(2026, 11, 20), 2)
        with Store.open(where.database) as store:
            assert store.revisions("entry-juniper")[-1].reason == "the recorder's clock was wrong"
            assert [f.due for f in store.follow_ups()] == [date(2026, 12, 18)]
        await press(pilot, "u")
        assert day.answer.text == "Taken back, as one more revision."
    assert (note(where).day, note(where).revision) == (barn.TODAY, 3)
    assert promised(note(where)) == IN_FOUR_WEEKS


async def test_a_day_that_cannot_be_changes_nothing(app: FieldlogApp, where: Places) -> None:
    async with running(app) as (pilot, day):
        await press(pilot, "pageup", "T", *"tomorrow", "enter")
        assert "2026-11-26 is to come. A note is of today or of a day before." in day.answer.text
        await press(pilot, "T", *"soon", "enter")
        assert "“soon” is not a day." in day.answer.text
        await press(pilot, "T", *"today", "enter")
        assert day.answer.text == "It is of Wednesday 2026-11-25 already."
    assert note(where).day == barn.TODAY


async def test_the_other_notes_of_the_same_recording_are_named(
    app: FieldlogApp, where: Places
) -> None:
    async with running(app) as (pilot, day):
        day.selected = "c-heel"
        await press(pilot, "B", "T", *"yesterday", "enter")
        assert "Of another day still in this recording: 1 draft." in day.answer.text
        await press(pilot, "pagedown", "T", *"yesterday", "enter")
        assert "recording" not in day.answer.text


async def test_a_day_that_is_perhaps_only_a_copys_is_said_until_it_is_mended(
    where: Places,
) -> None:
    """After a reading with R, and on the note: whoever imported elsewhere never saw the hint."""
    begun = datetime.now().astimezone() - timedelta(days=3)
    path, sha = barn.sound_file(where, "memo", 2.0)
    os.utime(path, (begun.timestamp() + 60, begun.timestamp() + 60))
    with Store.open(where.database) as store:
        for view in store.drafts():
            store.discard(view.id, "not about a horse")
        store.add_recording(sha, path, 2.0, begun, "file date", "memo.m4a")
    desk = desk_with(where, lambda: FakeMicrophone(SILENCE), "left front thrush in the frog")
    desk.today = date.today
    app = FieldlogApp(desk)
    async with app.run_test(size=(100, 40)) as pilot:
        await settle(pilot)
        await press(pilot, "R")
        await until(pilot, lambda: "Taken in: 1 recording" in text_of(app))
        said = " ".join(text_of(app).split())
        assert "1 note may be of the day its file was copied: T gives another." in said
        hint = f"its day, {begun.date()}, is perhaps only that on which its file was copied"
        assert hint in said
        await press(pilot, "T", *"a week ago", "enter")
        assert "its file was copied" not in " ".join(text_of(app).split())
        await desk.close()
