"""Whose an entry is, saving it, and what may be done to a saved one."""

from __future__ import annotations

from fieldlog.app.main import FieldlogApp
from fieldlog.app.screens.day import DayScreen
from fieldlog.core.feet import Foot
from fieldlog.paths import Places
from fieldlog.records.store import Store
from fieldlog.records.types import EntryState
from tests.app.day_driven import running, stored
from tests.app.driving import press, text_of


async def test_a_known_horse_is_given_by_name(app: FieldlogApp, where: Places) -> None:
    async with running(app) as (pilot, day):
        await press(pilot, "pagedown", "h", "b", "r", "a", "m", "enter")
        assert day.view.name == "Bramble"
        with Store.open(where.database) as store:
            horse = store.entry("entry-unnamed").horse
        assert horse is not None
        assert horse.name == "Bramble"


async def test_a_new_horse_with_its_owner(app: FieldlogApp, where: Places) -> None:
    async with running(app) as (pilot, day):
        await press(pilot, "pagedown", "h", *"Zephyr", "enter")
        await press(pilot, "enter", *"Ada", "enter", *"Mill", "enter")
        assert day.view.name == "Zephyr"
        with Store.open(where.database) as store:
            horse = store.horse_named("Zephyr")
        assert (horse.client, horse.barn) == ("Ada", "Mill")


async def test_save_asks_for_the_horse_and_for_a_look(app: FieldlogApp, where: Places) -> None:
    async with running(app) as (pilot, day):
        await press(pilot, "s")
        assert "2 things not looked at" in day.answer.text
        await press(pilot, "s")
        assert "Saved: Copper" in day.answer.text
        with Store.open(where.database) as store:
            assert store.entry("entry-copper").state is EntryState.SAVED
        while not day.view.name.startswith("whose"):
            await press(pilot, "pagedown")
        await press(pilot, "s")
        assert "h gives it a horse" in day.answer.text


async def test_save_all_that_is_sure_saves_just_that(app: FieldlogApp, where: Places) -> None:
    async with running(app) as (pilot, day):
        await press(pilot, "S")
        assert day.answer.text == "Saved 1 entry; 2 drafts still to be looked at."
        with Store.open(where.database) as store:
            assert [d.id for d in store.drafts()] == ["entry-copper", "entry-unnamed"]
            assert [f.text for f in store.follow_ups()] == ["recheck"]
        await press(pilot, "S")
        assert "No entry is sure yet" in day.answer.text


async def test_a_saved_entry_changes_only_by_a_revision_with_a_reason(
    app: FieldlogApp, where: Places
) -> None:
    async with running(app) as (pilot, day):
        await press(pilot, "S", "pageup")
        assert day.view.saved
        day.selected = "j-lf"
        await press(pilot, "f", "3")
        await press(pilot, "2")
        with Store.open(where.database) as store:
            revisions = store.revisions("entry-juniper")
        assert [(r.revision, r.reason) for r in revisions] == [(1, ""), (2, "wrong foot")]
        feet = [next(f.feet for f in r.entry.facts if f.id == "j-lf") for r in revisions]
        assert feet == [(Foot.LF,), (Foot.LH,)]


async def test_set_aside_and_back(app: FieldlogApp, where: Places) -> None:
    async with running(app) as (pilot, day):
        await press(pilot, "D", "2")
        assert [v.name for v in day.views] == ["Juniper", "whose?"]
        await press(pilot, "u")
        assert [v.name for v in day.views] == ["Juniper", "Copper", "whose?"]
        assert day.view.name == "Copper"


async def test_a_deletion_in_a_saved_entry_is_taken_back_by_one_more_revision(
    app: FieldlogApp, where: Places
) -> None:
    async with running(app) as (pilot, day):
        await press(pilot, "S", "pageup")
        before = stored(where, "entry-juniper")
        day.selected = "j-recheck"
        await press(pilot, "d", "1")
        assert "j-recheck" not in stored(where, "entry-juniper")
        assert "u brings it back" in day.answer.text
        assert "No longer on the due list: recheck." in day.answer.text
        await press(pilot, "pagedown", "u")
        assert (day.view.name, day.selected) == ("Juniper", "j-recheck")
        assert day.answer.text == "Taken back, as one more revision."
        assert stored(where, "entry-juniper") == before
        with Store.open(where.database) as store:
            assert len(store.revisions("entry-juniper")) == 3
            assert [f.text for f in store.follow_ups()] == ["recheck"]  # not promised twice


async def test_a_revision_of_another_window_is_not_taken_back(
    app: FieldlogApp, where: Places
) -> None:
    async with running(app) as (pilot, day):
        await press(pilot, "S", "pageup")
        day.selected = "j-stood"
        await press(pilot, "d", "1")
        with Store.open(where.database) as other:
            facts = tuple(f for f in other.entry("entry-juniper").entry.facts if f.id != "j-lf")
            other.revise_entry("entry-juniper", facts, "measured again")
        await press(pilot, "u")
        assert "changed again since" in day.answer.text
    assert not {"j-stood", "j-lf"} & set(stored(where, "entry-juniper"))


async def test_undo_after_saving_says_how_a_saved_entry_is_corrected(app: FieldlogApp) -> None:
    async with running(app) as (pilot, day):
        await press(pilot, "S", "pageup", "u")
        assert day.view.saved
        assert "that makes a new revision with a reason" in day.answer.text


async def test_the_horse_of_the_note_before_costs_two_keys(app: FieldlogApp) -> None:
    async with running(app) as (pilot, day):
        await press(pilot, "pagedown", "h", "enter")
        assert day.view.name == "Copper"


async def test_an_entry_saved_in_another_window_is_shown_as_it_is_now(
    app: FieldlogApp, where: Places
) -> None:
    async with running(app) as (pilot, day):
        with Store.open(where.database) as other:
            other.save_entry("entry-copper")
        await press(pilot, "x")
        assert "saved" in day.answer.text
        assert day.view.name == "Copper"
        assert day.view.saved


async def test_a_note_about_no_horse_is_set_aside_and_its_promise_is_due(
    app: FieldlogApp, where: Places
) -> None:
    async with running(app) as (pilot, day):
        day._go_to(next(i for i, v in enumerate(day.views) if v.entry.id == "entry-unnamed"))
        await press(pilot, "s")
        assert "If it is about none, D" in day.answer.text
        await press(pilot, "D", "1")
        assert "On the due list (3): 1 promise." in day.answer.text
        await press(pilot, "3")
        assert "vet is to act" in " ".join(text_of(app).split())
        await press(pilot, "n", "1")
        with Store.open(where.database) as store:
            assert [f.horse_id for f in store.follow_ups()] == [None]
        assert isinstance(app.screen, DayScreen)
        assert "That note was set aside" in app.screen.answer.text
        await press(pilot, "u")
        with Store.open(where.database) as store:
            assert store.follow_ups() == []
            assert "entry-unnamed" in [d.id for d in store.drafts()]


async def test_what_was_put_off_to_the_visit_is_told_when_it_is_saved(
    app: FieldlogApp, where: Places
) -> None:
    with Store.open(where.database) as store:
        horse = store.horse_named("Juniper")
        made = store.add_follow_up("bring", "bring pads", horse_id=horse.id, due_spoken="next time")
        with store.write():
            store.run("UPDATE follow_ups SET created_at = '2026-01-01T10:00:00+00:00'")
        assert made.due is None
    async with running(app) as (pilot, day):
        day._go_to(next(i for i, v in enumerate(day.views) if v.entry.id == "entry-juniper"))
        await press(pilot, "s")
        said = "Put off to this visit, still open (3, d): bring pads."
        assert said in day.answer.text
        assert said in " ".join(text_of(app).split())
