"""The due list, the search line, one horse's page, and the help."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest
from textual.pilot import Pilot
from textual.widgets import Input, Static

from fieldlog.app import afterwards, understanding
from fieldlog.app.due_groups import DueBy, DueView, grouped, when_words
from fieldlog.app.keys import SCREEN_KEYS
from fieldlog.app.main import FieldlogApp
from fieldlog.app.screens.base import ToolScreen
from fieldlog.app.screens.due import DueScreen
from fieldlog.app.screens.help import HelpScreen
from fieldlog.app.screens.horse import HorseScreen
from fieldlog.app.screens.search import TEACH, SearchScreen
from fieldlog.app.widgets.grouped_list import GroupedList
from fieldlog.config import Settings
from fieldlog.core.facts import Entry, Fact, FactKind, FootBasis, HorseMention
from fieldlog.core.feet import Foot
from fieldlog.language.promised import promised
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


def test_what_is_urgent_is_first_of_all_and_of_its_barn() -> None:
    items = [
        view("a", TODAY, barn="Mill"),
        replace(view("z", TODAY, barn="Mill"), horse="Zephyr", urgent=True),
        view("late", date(2026, 11, 20), barn="Mill"),
    ]  # fmt: skip
    found = [[i.what for i in g.items] for g in grouped(items, TODAY, DueBy.WHEN)]
    assert found == [["z"], ["late"], ["a"]]
    (barn_group,) = grouped(items, TODAY, DueBy.BARN)
    assert [i.what for i in barn_group.items] == ["z", "late", "a"]


async def test_an_urgent_call_is_first_and_says_so(saved: Places) -> None:
    with Store.open(saved.database) as store:
        storm = store.add_horse("Storm", barn="Stony Ridge")
        store.add_follow_up("vet_visit", "veterinarian to see the horse", who="vet",
                            horse_id=storm.id, due=TODAY, urgent=True)  # fmt: skip
    app = FieldlogApp(barn.desk_at(saved), "due")
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        shown = text_of(app)
        assert "URGENT: veterinarian" in shown
        assert shown.index("URGENT") < shown.index("call about the pads")
        await app.desk.close()


async def test_a_doubled_key_stays_near_and_all_of_it_is_taken_back(saved: Places) -> None:
    with Store.open(saved.database) as store:
        bramble = store.horse_named("Bramble")
        for text in ("bring pads", "bring studs"):
            store.add_follow_up("bring", text, horse_id=bramble.id, due=date(2026, 11, 27))
    app = FieldlogApp(barn.desk_at(saved), "due")
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        due = app.screen
        assert isinstance(due, DueScreen)
        while due.item is None or due.item.what != "call about the pads":
            await press(pilot, "down")
        await press(pilot, "d")
        assert due.item is not None
        assert due.item.what == "bring pads"
        await press(pilot, "d")
        with Store.open(saved.database) as store:
            done = {f.text for f in store.follow_ups(FollowUpState.DONE)}
        assert done == {"call about the pads", "bring pads"}
        await press(pilot, "u")
        assert "Open again: bring pads, Bramble." in due.answer.text
        await press(pilot, "u")
        with Store.open(saved.database) as store:
            assert store.follow_ups(FollowUpState.DONE) == []
        assert due.item is not None
        assert due.item.what == "call about the pads"
        await press(pilot, "u")
        assert due.answer.text == "There is nothing to take back."
        await app.desk.close()


async def test_the_last_row_done_leaves_the_cursor_on_the_one_before(saved: Places) -> None:
    app = FieldlogApp(barn.desk_at(saved), "due")
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        due = app.screen
        assert isinstance(due, DueScreen)
        before = ""
        while due.item is None or due.item.what != "bring number one shoes":
            before = due.item.id if due.item else ""
            await press(pilot, "down")
        await press(pilot, "d")
        assert due.item is not None
        assert due.item.id == before
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
        await press(pilot, "t")
        assert app.screen is due
        await app.desk.close()


async def test_a_horse_that_was_sold_is_due_no_more_until_undone(saved: Places) -> None:
    with Store.open(saved.database) as store:
        copper = store.horse_named("Copper").id
        # Its visit makes it due by its cycle as soon as the promise is dropped.
        store.visit_for(copper, date(2026, 9, 2))
    app = FieldlogApp(barn.desk_at(saved), "due")
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        due = app.screen
        assert isinstance(due, DueScreen)
        open_before = {i.id for i in due.items.values() if i.horse_id == copper}
        assert len(open_before) == 4
        while due.item is None or due.item.what != "call about the pads":
            await press(pilot, "down")
        await press(pilot, "r", "4")
        assert "3 promises dropped" in text_of(app)
        await press(pilot, "1")
        assert due.answer.text == (
            "Copper is due no more (sold); dropped: 3 promises. u takes it back."
        )
        assert not any(i.horse_id == copper for i in due.items.values())
        await press(pilot, "u")
        assert {i.id for i in due.items.values() if i.horse_id == copper} == open_before
        while due.item is None or not due.item.by_cycle:
            await press(pilot, "up")
        await press(pilot, "r", "2", "o")
        assert isinstance(app.screen, HorseScreen)
        await app.desk.close()
    with Store.open(saved.database) as store:
        assert store.horse(copper).left_why == "died"


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


@pytest.mark.parametrize("columns", [80, 120])
async def test_a_long_phrase_of_the_help_goes_on_under_its_beginning(
    saved: Places, columns: int
) -> None:
    app = FieldlogApp(barn.desk_at(saved))
    async with app.run_test(size=(columns, 60)) as pilot:
        await opened(app, pilot, "3")
        await press(pilot, "question_mark")
        sheet = app.screen
        assert isinstance(sheet, HelpScreen)
        table = sheet.query(Static)[1]
        room = table.size.width
        lines = str(table.visual).splitlines()
        assert max(map(len, lines)) <= room
        (at,) = [n for n, line in enumerate(lines) if "type another day" in line]
        whole = "type another day: “in two weeks”, “next tuesday”, “2026-12-01”"
        assert " ".join(" ".join(lines[at : at + 2]).split()).startswith(f"t {whole}")
        assert all(line.startswith(" " * 11) or line[2:11].strip() for line in lines[1:])
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


async def test_history_of_a_pair_is_of_that_pair(saved: Places) -> None:
    with Store.open(saved.database) as store:
        facts = store.entry("entry-juniper").entry.facts
        hind = replace(facts[0], id="j-hind", code="pull", feet=(Foot.RH,))
        store.revise_entry("entry-juniper", (*facts, hind), "forgotten before")
    app = FieldlogApp(barn.desk_at(saved), "horse")
    async with app.run_test(size=(80, 40)) as pilot:
        await settle(pilot)
        await press(pilot, "h", "j", "u", "enter", "f", "5")
        shown = text_of(app)
        assert "HISTORY, both fronts" in shown
        assert "left front · toe length" in shown
        assert "right front · toe length" in shown
        assert "right hind" not in shown
        await press(pilot, "f", "6")
        shown = text_of(app)
        assert "HISTORY, both hinds" in shown
        assert "right hind" in shown
        assert "left front · toe length" not in shown
        await press(pilot, "f", "8")
        shown = text_of(app)
        assert "right hind" in shown
        assert "left front · toe length" in shown
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


@pytest.mark.parametrize("width", [60, 80])
async def test_every_due_line_takes_one_row_beside_the_scrollbar(saved: Places, width: int) -> None:
    with Store.open(saved.database) as store:
        copper = store.horse_named("Copper")
        for n in range(30):
            store.add_follow_up("call", f"call about {n}", horse_id=copper.id, due=TODAY)
    app = FieldlogApp(barn.desk_at(saved), "due")
    async with app.run_test(size=(width, 24)) as pilot:
        await settle(pilot)
        listed = app.screen.query_one("#due-list", GroupedList)
        assert listed.option_count > 30
        assert listed.virtual_size.height == listed.option_count
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


async def test_5_opens_the_horse_in_hand(saved: Places) -> None:
    app = FieldlogApp(barn.desk_at(saved))
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot, "5")
        shown = text_of(app)
        assert "Copper" in shown
        assert "kicks behind; have two people" in shown
        await app.desk.close()


async def test_a_long_promise_keeps_its_day_on_the_horse_page(saved: Places) -> None:
    with Store.open(saved.database) as store:
        copper = store.horse_named("Copper")
        long = "call or message: ring me if he is no better by the end of the week or sooner"
        store.add_follow_up("call", long, who="owner", horse_id=copper.id, due=date(2026, 11, 20))
    app = FieldlogApp(barn.desk_at(saved))
    async with app.run_test(size=(80, 30)) as pilot:
        await opened(app, pilot, "5")
        assert "due 2026-11-20, 5 days late" in " ".join(text_of(app).split())
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


async def test_a_promise_by_hand_keeps_the_typed_words(saved: Places) -> None:
    app = FieldlogApp(barn.desk_at(saved), "due")
    async with app.run_test(size=(120, 24)) as pilot:
        due = await opened(app, pilot, "3")
        words = "bring boots and number two shoes next time"
        typed = ["space" if letter == " " else letter for letter in words]
        await press(pilot, "i", "b", "r", "a", "enter", *typed, "enter")
        assert due.answer.text == "Added for Bramble."
        assert words in text_of(app)
        with Store.open(saved.database) as store:
            (made,) = store.follow_ups(horse_id=store.horse_named("Bramble").id)
        assert (made.text, made.due_spoken) == (words, "next time")
        await app.desk.close()


def test_each_typed_promise_keeps_its_own_words(saved: Places) -> None:
    text = (
        "owner is to keep him in a dry stall and I will be back to recheck the crack in two weeks"
    )
    facts = understanding.typed(text, datetime(2026, 11, 25), Settings(), saved)
    told = {f.code: promised(f, "") for f in facts if f.kind is FactKind.FOLLOW_UP}
    assert told["owner_care"] == "owner care: keep him in a dry stall"
    assert "the crack" in told["recheck"]
    assert "stall" not in told["recheck"]


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


async def test_a_paper_is_named_by_its_visit_and_tells_of_drafts(saved: Places) -> None:
    text = "thrush in the left hind"
    thrush = Fact(FactKind.FINDING, "thrush", (Foot.LH,), FootBasis.SAID, span=(0, 6))
    with Store.open(saved.database) as store:
        horse = store.horse_named("Copper")
        waiting = [d for d in store.drafts() if d.horse is not None and d.horse.id == horse.id]
        note = Entry((thrush,), text, (0, len(text)), HorseMention("Copper", (0, 0), known=True))
        (old,) = store.add_drafts(None, [note], at=datetime(2026, 10, 28, 15, tzinfo=UTC))
        store.save_entry(old.id)
    assert len(waiting) == 1
    app = FieldlogApp(barn.desk_at(saved), "horse")
    async with app.run_test(size=(200, 24)) as pilot:
        horse_screen = await opened(app, pilot, "5")
        await press(pilot, "h", "c", "o", "enter", "o")
        assert (saved.data / "papers" / "owner-copper-2026-10-28.pdf").exists()
        told = horse_screen.answer.text
        assert told.startswith("Written: ")
        assert told.endswith(
            ".pdf (1 draft of this horse is not saved and not in it. Your name is not on it "
            "(setting farrier_name).)"
        )
        await app.desk.close()


def test_papers_of_two_horses_of_one_name_are_two_files(saved: Places) -> None:
    """The second would have taken the first one's place, and gone to the wrong owner."""
    names = ("Rosie", "Rosie", "Zoë", "Zoé", "Old " * 60)
    owners = ("Roy Tanner", "Ida Moss", "Roy Tanner", "Roy Tanner", "Roy Tanner")
    text = "thrush in the left hind"
    thrush = Fact(FactKind.FINDING, "thrush", (Foot.LH,), FootBasis.SAID, span=(0, 6))
    found = []
    with Store.open(saved.database) as store:
        for name, owner in zip(names, owners, strict=True):
            client = store.find_client(owner) or store.add_client(owner)
            horse = store.add_horse(name, client_id=client.id)
            (draft,) = store.add_drafts(None, [Entry((thrush,), text, (0, len(text)))])
            store.assign_horse(draft.id, horse.id)
            store.save_entry(draft.id)
            made = afterwards.paper(store, saved, Settings(), "owner", horse.id, TODAY)
            found.append(made.path)
    assert len({path.name for path in found}) == len(names)
    assert all(path.exists() and len(path.name) < 120 for path in found)


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
