"""The search line: what it finds, what it says of what it does not, kept searches."""

from __future__ import annotations

from dataclasses import replace

import pytest
from textual.widgets import Input

from fieldlog.app.main import FieldlogApp
from fieldlog.app.screens.due import DueScreen
from fieldlog.app.screens.horse import HorseScreen
from fieldlog.app.screens.search import SearchScreen
from fieldlog.app.search_rows import TEACH
from fieldlog.app.widgets.grouped_list import GroupedList
from fieldlog.core.facts import Entry
from fieldlog.core.feet import Foot
from fieldlog.paths import Places
from fieldlog.records.store import Store
from fieldlog.sound.player import FakePlayer
from tests.app import barn
from tests.app.driving import opened, press, settle, text_of


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


async def test_a_search_that_finds_nothing_says_what_it_did_not_look_into(saved: Places) -> None:
    app = FieldlogApp(barn.desk_at(saved))
    async with app.run_test(size=(120, 24)) as pilot:
        search = await opened(app, pilot, "4")
        assert isinstance(search, SearchScreen)
        await search.look_for("xyzzy")
        await settle(pilot)
        assert "2 notes wait to be looked at" in text_of(app)
        assert "drafts are not searched." in text_of(app)
        await search.look_for("horse:Nobody")
        await settle(pilot)
        assert "No horse in your records fits horse:Nobody." in text_of(app)
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


@pytest.mark.parametrize("width", [60, 80, 97, 120])
async def test_every_found_line_takes_one_row(saved: Places, width: int) -> None:
    app = FieldlogApp(barn.desk_at(saved), "search")
    async with app.run_test(size=(width, 24)) as pilot:
        await settle(pilot)
        search = app.screen
        assert isinstance(search, SearchScreen)
        await search.look_for("toe")
        hit = search.hits["0"]
        for word in ("a", "ab cd", "quarter crack, inside quarter ·"):
            hits = [replace(hit, label=f"{word} " * (40 - n)) for n in range(35)]
            search._show(hits, "toe")
            await settle(pilot)
            listed = search.query_one("#hits", GroupedList)
            assert listed.virtual_size.height == listed.option_count == 35
        await app.desk.close()


async def test_the_examples_of_a_search_are_not_broken_at_80_columns(saved: Places) -> None:
    app = FieldlogApp(barn.desk_at(saved), "search")
    examples = [line.strip() for line in TEACH.splitlines() if line.startswith("    ")]
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        shown = text_of(app)
        assert len(examples) > 5
        for line in examples:
            assert line in shown
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


async def test_on_a_narrow_screen_each_example_stands_whole(saved: Places) -> None:
    """At 60 columns what an example finds went on under the next one's first words."""
    app = FieldlogApp(barn.desk_at(saved), "search")
    async with app.run_test(size=(60, 30)) as pilot:
        await settle(pilot)
        lines = [line.strip() for line in text_of(app).splitlines()]
        assert "finding:crack since:2026-03" in lines
        assert "seen since March; also since:spring" in lines
        await pilot.resize_terminal(80, 30)
        await settle(pilot)
        shown = text_of(app)
        assert "finding:crack since:2026-03  seen since March; also since:spring" in shown
        await app.desk.close()


async def test_the_name_of_a_horse_alone_leads_to_its_notes(saved: Places) -> None:
    app = FieldlogApp(barn.desk_at(saved))
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot, "4")
        await press(pilot, *"bramble", "enter")
        assert "Bramble is a horse; its notes: horse:Bramble" in text_of(app)
        await app.desk.close()
