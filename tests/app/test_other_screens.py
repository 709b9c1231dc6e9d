"""The due list, the search line, one horse's page, and the help."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from fieldlog.app.due_groups import DueBy, DueView, grouped, when_words
from fieldlog.app.keys import SCREEN_KEYS
from fieldlog.app.main import FieldlogApp
from fieldlog.app.screens.base import ToolScreen
from fieldlog.app.screens.due import DueScreen
from fieldlog.app.screens.help import HelpScreen
from fieldlog.app.screens.horse import HorseScreen
from fieldlog.app.screens.search import SearchScreen
from fieldlog.core.facts import Entry
from fieldlog.core.feet import Foot
from fieldlog.paths import Places
from fieldlog.records.store import Store
from fieldlog.records.types import FollowUpState
from fieldlog.sound.player import FakePlayer
from tests.app import barn
from tests.app.barn import TODAY
from tests.app.driving import press, settle, text_of


@pytest.fixture
def saved(where: Places) -> Places:
    """The morning with Juniper's entry saved and a few promises."""
    with Store.open(where.database) as store:
        store.save_entry("entry-juniper")
        copper = store.horse_named("Copper")
        store.add_follow_up("radiographs", "radiographs by a veterinarian", who="vet",
                            horse_id=copper.id, due=date(2026, 11, 20))  # fmt: skip
        store.add_follow_up("bring", "bring number one shoes", horse_id=copper.id)
        store.add_follow_up("call", "call about the pads", horse_id=copper.id, due=TODAY)
    return where


async def opened(app: FieldlogApp, pilot: Pilot[None], key: str) -> ToolScreen:
    await settle(pilot)
    await press(pilot, key)
    screen = app.screen
    assert isinstance(screen, ToolScreen)
    return screen


def view(name: str, on: date | None, barn: str = "", who: str = "farrier") -> DueView:
    return DueView(name, name, "Juniper", on=on, barn=barn, who=who)


def test_due_groups_by_when() -> None:
    items = [
        view("late", date(2026, 11, 20)), view("now", TODAY), view("week", date(2026, 12, 1)),
        view("later", date(2026, 12, 2)), view("open", None),
    ]  # fmt: skip
    found = {g.title: [i.what for i in g.items] for g in grouped(items, TODAY, DueBy.WHEN)}
    assert found == {
        "overdue": ["late"], "today": ["now"], "in the next seven days": ["week"],
        "later": ["later"], "no date": ["open"],
    }  # fmt: skip
    assert [when_words(i, TODAY) for i in items] == [
        "5 days late", "today", "Tue 1 Dec", "Wed 2 Dec", "no date",
    ]  # fmt: skip
    assert when_words(view("x", date(2027, 1, 6)), TODAY) == "Wed 6 Jan 2027"


def test_due_groups_by_barn_and_by_who_is_to_act() -> None:
    items = [
        view("a", TODAY, barn="Mill"), view("b", TODAY, barn="Alder"), view("c", None, who="vet"),
    ]  # fmt: skip
    assert [g.title for g in grouped(items, TODAY, DueBy.BARN)] == [
        "Alder", "Mill", "no barn is known",
    ]  # fmt: skip
    others = grouped(items, TODAY, DueBy.OTHERS)
    assert [(g.title, [i.what for i in g.items]) for g in others] == [("vet is to act", ["c"])]


async def test_due_done_dropped_and_undone(saved: Places) -> None:
    app = FieldlogApp(barn.desk_at(saved))
    async with app.run_test(size=(80, 24)) as pilot:
        due = await opened(app, pilot, "3")
        assert isinstance(due, DueScreen)
        assert due.item is not None
        assert due.item.what == "radiographs by a veterinarian"
        assert "5 days late" in text_of(app)
        assert "2 notes wait to be looked at, 1 with an urgent call" in text_of(app)
        await press(pilot, "d")
        assert "Done: radiographs" in due.answer.text
        await press(pilot, "u", "r", "1")
        with Store.open(saved.database) as store:
            dropped = store.follow_ups(FollowUpState.DROPPED)
        assert [(f.text, f.reason) for f in dropped] == [
            ("radiographs by a veterinarian", "no longer needed")
        ]
        await press(pilot, "u")
        with Store.open(saved.database) as store:
            assert store.follow_ups(FollowUpState.DROPPED) == []
        await app.desk.close()


async def test_due_by_barn_and_waiting_for_others(saved: Places) -> None:
    app = FieldlogApp(barn.desk_at(saved))
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot, "3")
        await press(pilot, "b")
        assert "Alder Creek  (" in text_of(app)
        await press(pilot, "e")
        shown = text_of(app)
        assert "vet is to act" in shown
        assert "bring number one shoes" not in shown
        await press(pilot, "o")
        assert isinstance(app.screen, HorseScreen)
        assert "kicks behind" in text_of(app)
        await app.desk.close()


async def test_a_cycle_line_cannot_be_marked(saved: Places) -> None:
    with Store.open(saved.database) as store:
        for item in store.follow_ups():
            store.close_follow_up(item.id)
    app = FieldlogApp(barn.desk_at(saved))
    async with app.run_test(size=(80, 24)) as pilot:
        due = await opened(app, pilot, "3")
        await press(pilot, "d")
        assert "moves when a visit is saved" in due.answer.text
        await press(pilot, "r")
        assert app.screen is due
        await app.desk.close()


async def test_search_finds_shows_the_words_and_opens_the_horse(saved: Places) -> None:
    player = FakePlayer()
    app = FieldlogApp(barn.desk_at(saved, player=player))
    async with app.run_test(size=(80, 24)) as pilot:
        search = await opened(app, pilot, "4")
        assert isinstance(search, SearchScreen)
        await press(pilot, *"thrush", "enter")
        assert [h.horse for h in search.hits.values()] == ["Juniper"]
        assert "“no thrush”" in text_of(app)
        await press(pilot, "p")
        assert len(player.played) == 1
        await press(pilot, "enter")
        assert isinstance(app.screen, HorseScreen)
        assert "SAFETY FIRST" in text_of(app)
        await app.desk.close()


@pytest.mark.parametrize("line", ['"', "20.04", "*", "foot:", "x OR", "a" * 300, "toe>>3", "(((("])
async def test_odd_search_lines_never_break_it(saved: Places, line: str) -> None:
    app = FieldlogApp(barn.desk_at(saved))
    async with app.run_test(size=(80, 24)) as pilot:
        search = await opened(app, pilot, "4")
        assert isinstance(search, SearchScreen)
        await search.look_for(line)
        await pilot.pause()
        assert app.screen is search
        await app.desk.close()


async def test_an_unclear_search_says_so_and_a_bare_number_its_unit(saved: Places) -> None:
    found = replace(barn.inches(3.5, Foot.LF), details={"moment": "before"})
    with Store.open(saved.database) as store:
        (draft,) = store.add_drafts(None, [Entry((found,), "three and a half", (0, 16))])
        store.assign_horse(draft.id, store.horse_named("Bramble").id)
        store.save_entry(draft.id)
    app = FieldlogApp(barn.desk_at(saved))
    async with app.run_test(size=(80, 24)) as pilot:
        search = await opened(app, pilot, "4")
        assert isinstance(search, SearchScreen)
        await search.look_for("thrush foot:middle")
        await pilot.pause()
        assert "“foot:middle” was not understood. foot: takes LF" in text_of(app)
        assert not search.hits
        await search.look_for("toe_length>3")
        await pilot.pause()
        assert search.hits
        assert "left front · toe length · 3 1/2 in · before the work" in text_of(app)
        assert "“toe_length>3” is taken in inches" in text_of(app)
        await app.desk.close()


async def test_digits_can_be_typed_into_the_search_line(saved: Places) -> None:
    app = FieldlogApp(barn.desk_at(saved))
    async with app.run_test(size=(80, 24)) as pilot:
        search = await opened(app, pilot, "4")
        await press(pilot, "3", "q", "question_mark")
        assert app.screen is search
        await press(pilot, "f2")
        assert not search.is_current
        await press(pilot, "4", "slash", "escape", "3")
        assert isinstance(app.screen, DueScreen)
        await app.desk.close()


async def test_horse_page_history_and_charts(saved: Places) -> None:
    app = FieldlogApp(barn.desk_at(saved), "horse")
    async with app.run_test(size=(80, 40)) as pilot:
        horse = await opened(app, pilot, "5")
        assert "No horse is chosen" in text_of(app)
        await press(pilot, "h", "j", "u", "enter")
        shown = text_of(app)
        assert "SAFETY FIRST" in shown
        assert "LAST VISIT, 2026-11-25" in shown
        await press(pilot, "y")
        shown = text_of(app)
        assert shown.index("2026-11-25") < shown.index("2026-10-14") < shown.index("2026-09-02")
        await press(pilot, "f", "4")
        assert "HISTORY, right hind" in text_of(app)
        await press(pilot, "c")
        shown = text_of(app)
        assert "TOE LENGTH, FRONTS" in shown
        assert "left front: first 3 1/2 in, last 3 1/4 in (3 values)" in shown
        assert isinstance(horse, HorseScreen)
        await app.desk.close()


async def test_5_opens_the_horse_in_hand(saved: Places) -> None:
    app = FieldlogApp(barn.desk_at(saved))
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot, "5")
        shown = text_of(app)
        assert "Copper" in shown
        assert "kicks behind; have two people" in shown
        await app.desk.close()


async def test_last_springs_toe_length_in_few_keys(saved: Places) -> None:
    """A new user finds an older toe length of a horse: 5, h, two letters, Enter, y."""
    app = FieldlogApp(barn.desk_at(saved))
    async with app.run_test(size=(80, 40)) as pilot:
        await settle(pilot)
        await press(pilot, "5", "h", "j", "u", "enter", "y")
        assert "left front · toe length · 3 1/2 in" in text_of(app)
        await app.desk.close()


@pytest.mark.parametrize("key", [k.shown for k in SCREEN_KEYS])
async def test_every_screen_has_help_with_all_its_keys(app: FieldlogApp, key: str) -> None:
    async with app.run_test(size=(100, 60)) as pilot:
        screen = await opened(app, pilot, key)
        await press(pilot, "f1")
        assert isinstance(app.screen, HelpScreen)
        shown = " ".join(text_of(app).split())
        for own in screen.KEYS:
            assert own.what[:30] in shown
        await press(pilot, "escape")
        assert screen.is_current
        await app.desk.close()


async def test_screens_open_with_one_key_from_anywhere(app: FieldlogApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        for key, name in (("2", "record"), ("3", "due"), ("5", "horse"), ("1", "day")):
            screen = await opened(app, pilot, key)
            assert name == screen.NAME
        await app.desk.close()


async def test_a_promise_by_hand_and_another_day(saved: Places) -> None:
    app = FieldlogApp(barn.desk_at(saved), "due")
    async with app.run_test(size=(80, 24)) as pilot:
        due = await opened(app, pilot, "3")
        assert isinstance(due, DueScreen)
        await press(pilot, "t", *"tomorrow", "enter")
        with Store.open(saved.database) as store:
            moved = [f for f in store.follow_ups() if f.text.startswith("radiographs")]
        assert [f.due for f in moved] == [date(2026, 11, 26)]
        await press(pilot, "t", *"whenever", "enter")
        assert "is not a day" in due.answer.text
        await press(pilot, "t", *"yesterday", "enter")
        assert "2026-11-24 is past. Give a day from today on." in due.answer.text
        typed = ("r", "e", "c", "h", "e", "c", "k", "space", "i", "n", "space", "t", "e", "n",
                 "space", "d", "a", "y", "s")  # fmt: skip
        await press(pilot, "i", "b", "r", "a", "enter", *typed, "enter")
        assert due.answer.text == "Added for Bramble."
        with Store.open(saved.database) as store:
            bramble = store.horse_named("Bramble")
            (made,) = store.follow_ups(horse_id=bramble.id)
        # Ten days from Wednesday 2026-11-25 is 2026-12-05.
        assert (made.text, made.due) == ("recheck", date(2026, 12, 5))
        await app.desk.close()


async def test_kept_searches_run_and_are_forgotten(saved: Places) -> None:
    app = FieldlogApp(barn.desk_at(saved), "search")
    async with app.run_test(size=(80, 24)) as pilot:
        search = await opened(app, pilot, "f5")
        assert isinstance(search, SearchScreen)
        await press(pilot, *"flare", "enter", "k", *"flares", "enter")
        with Store.open(saved.database) as store:
            assert store.saved_searches() == {"flares": "flare"}
        await press(pilot, "slash", *["backspace"] * 5)
        await search.look_for("")
        await press(pilot, "down", "enter")
        assert search.query_one("#line", Input).value == "flare"
        assert len(search.hits) == 8
        await press(pilot, "slash", *["backspace"] * 5)
        await search.look_for("")
        await press(pilot, "down", "d")
        with Store.open(saved.database) as store:
            assert store.saved_searches() == {}
        await app.desk.close()


@pytest.mark.parametrize(("key", "kind"), [("o", "owner"), ("v", "vet")])
async def test_papers_are_written_from_the_horse_page(saved: Places, key: str, kind: str) -> None:
    app = FieldlogApp(barn.desk_at(saved), "horse")
    async with app.run_test(size=(200, 24)) as pilot:
        horse = await opened(app, pilot, "5")
        await press(pilot, "h", "j", "u", "enter", key)
        path = saved.data / "papers" / f"{kind}-juniper-2026-11-25.pdf"
        assert path.read_bytes().startswith(b"%PDF-")
        assert path.name in horse.answer.text
        await press(pilot, "h", "c", "o", "enter", key)
        assert horse.answer.text
        assert "Written" not in horse.answer.text
        await app.desk.close()


HOSTILE = "[red]Evil[/] [/] [@click=app.quit]x\x1b]0;gone\x07\u202e=1+1"


async def test_hostile_names_are_plain_text_on_every_screen_and_sheet(where: Places) -> None:
    with Store.open(where.database) as store:
        owner = store.add_client(HOSTILE)
        horse = store.add_horse(HOSTILE, client_id=owner.id, barn=HOSTILE, caution=HOSTILE)
        for entry in ("entry-copper", "entry-unnamed"):
            store.assign_horse(entry, horse.id)
        store.save_entry("entry-unnamed")
        store.add_follow_up("call", HOSTILE, horse_id=horse.id, due=TODAY, condition=HOSTILE)
        store.save_search(HOSTILE, HOSTILE)
    app = FieldlogApp(barn.desk_at(where))
    keys = (
        "pagedown", "c", "escape", "f", "escape", "h", "escape", "D", "escape", "x", "u",
        "3", "w", "r", "escape", "t", "escape", "b", "e", "4", "escape", "5", "y", "c", "b",
        "o", "f", "escape", "h", "enter", "2", "1", "pageup", "question_mark", "escape",
    )  # fmt: skip
    async with app.run_test(size=(120, 40)) as pilot:
        await settle(pilot)
        for key in keys:
            await press(pilot, key)
            picture = app.export_screenshot()
            assert not {"\x1b", "\x07", "\u202e"} & set(picture)
        await press(pilot, "1", "pagedown", "5", "b")
        assert "[red]Evil[/] [/] [@click=app.quit]x]0;gone=1+1" in text_of(app)
        await app.desk.close()


async def test_the_note_behind_a_promise_and_a_found_line_is_one_key_away(saved: Places) -> None:
    player = FakePlayer()
    app = FieldlogApp(barn.desk_at(saved, player=player), "due")
    async with app.run_test(size=(80, 24)) as pilot:
        due = await opened(app, pilot, "3")
        assert isinstance(due, DueScreen)
        await press(pilot, "n")
        assert "it was typed" in due.answer.text
        while due.item is None or due.item.what != "recheck":
            await press(pilot, "down")
        await press(pilot, "n")
        shown = " ".join(text_of(app).split())
        assert "Juniper, 2026-11-25 07:52" in shown
        assert "›recheck" in shown
        assert "weeks‹" in shown
        await press(pilot, "p", "escape")
        assert len(player.played) == 1
        await press(pilot, "4", *"stood", "enter", "n")
        assert "›stood" in text_of(app)
        await app.desk.close()
