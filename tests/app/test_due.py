"""The due list: done, dropped, another day, by barn and by who is to act."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime

import pytest

from fieldlog.app import understanding
from fieldlog.app.due_groups import DueBy, DueView, grouped, when_words
from fieldlog.app.main import FieldlogApp
from fieldlog.app.screens.due import DueScreen
from fieldlog.app.screens.horse import HorseScreen
from fieldlog.app.widgets.grouped_list import GroupedList
from fieldlog.config import Settings
from fieldlog.core.facts import FactKind
from fieldlog.language.promised import promised
from fieldlog.paths import Places
from fieldlog.records.store import Store
from fieldlog.records.types import FollowUpState
from tests.app import barn
from tests.app.barn import TODAY
from tests.app.driving import opened, press, settle, text_of


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


def test_a_barn_with_and_without_a_capital_is_one_stop() -> None:
    items = [view(n, TODAY, barn=b) for n, b in (("a", "mill"), ("b", ""), ("c", "Mill"))]
    found = [(g.title, [i.what for i in g.items]) for g in grouped(items, TODAY, DueBy.BARN)]
    assert found == [("mill", ["a", "c"]), ("no barn is known", ["b"])]


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
        assert due.answer.text == "Added for Bramble. u takes it back."
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
        assert due.answer.text == "Added for Bramble. u takes it back."
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


async def test_a_day_that_was_typed_and_a_promise_that_was_added_are_taken_back(
    saved: Places,
) -> None:
    """u behind t or i opened whatever had been done before; the old day was gone for good."""
    app = FieldlogApp(barn.desk_at(saved), "due")
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        due = app.screen
        assert isinstance(due, DueScreen)

        def days() -> dict[str, date | None]:
            with Store.open(saved.database) as store:
                return {f.id: f.due for f in store.follow_ups()}

        await press(pilot, "d")
        before = days()
        assert due.item is not None
        moved, what = due.item.id, due.item.what
        await press(pilot, "t", *"2026-12-20", "enter")
        assert days()[moved] == date(2026, 12, 20)
        await press(pilot, "i", *"juniper", "enter", *"recheck in two weeks", "enter")
        assert len(days()) == len(before) + 1
        await press(pilot, "u")
        assert due.answer.text.startswith("Not added after all: ")
        assert set(days()) == set(before)
        await press(pilot, "u")
        assert due.answer.text.startswith(f"Due as before: {what}")
        assert days() == before
        await press(pilot, "u")
        assert due.answer.text.startswith("Open again: radiographs")
        await app.desk.close()


async def test_what_was_promised_twice_is_one_line_for_every_key(saved: Places) -> None:
    with Store.open(saved.database) as store:
        copper = store.horse_named("Copper")
        for _ in range(2):
            store.add_follow_up("call", "ring the owner", horse_id=copper.id, due=TODAY)
        ids = {f.id for f in store.follow_ups() if f.text == "ring the owner"}

    def days() -> set[date | None]:
        with Store.open(saved.database) as store:
            return {f.due for f in store.follow_ups() if f.id in ids}

    app = FieldlogApp(barn.desk_at(saved))
    async with app.run_test(size=(100, 30)) as pilot:
        due = await opened(app, pilot, "3")
        assert isinstance(due, DueScreen)
        (line,) = [i for i in due.items.values() if i.what == "ring the owner"]
        assert set(line.ids) == ids
        due.draw(line.id)
        await settle(pilot)
        assert "said twice: by hand" in text_of(app)
        await press(pilot, "t", *"2026-12-23", "enter")
        assert days() == {date(2026, 12, 23)}
        await press(pilot, "u")
        assert days() == {TODAY}
        due.draw(line.id)
        await settle(pilot)
        await press(pilot, "d")
        assert days() == set()
        await press(pilot, "u")
        assert days() == {TODAY}
        due.draw(line.id)
        await settle(pilot)
        await press(pilot, "r", "1")
        assert days() == set()
        await app.desk.close()


async def test_what_is_about_no_horse_has_no_gap_in_its_sentences(where: Places) -> None:
    with Store.open(where.database) as store:
        store.add_follow_up("order", "order nails", urgent=True)
    app = FieldlogApp(barn.desk_at(where))
    async with app.run_test(size=(80, 24)) as pilot:
        due = await opened(app, pilot, "3")
        await press(pilot, "o")
        assert isinstance(app.screen, DueScreen)
        assert due.answer.text == "This is about no horse."
        await press(pilot, "t", *"friday", "enter")
        assert "order nails. u takes it back" in due.answer.text
        await press(pilot, "d")
        assert due.answer.text == "Done: order nails. u takes it back."
        await app.desk.close()


async def test_a_promise_is_offered_for_the_horse_under_the_cursor(saved: Places) -> None:
    """i asked which horse, whatever line it was pressed on."""
    app = FieldlogApp(barn.desk_at(saved), "due")
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        due = app.screen
        assert isinstance(due, DueScreen)
        assert due.item is not None
        horse, before = due.item.horse, set(due.items)
        await press(pilot, "i")
        assert f"{horse} · Dan Whitcombe · Alder Creek   (under the cursor)" in text_of(app)
        await press(pilot, "enter", *"recheck in ten days", "enter")
        assert due.answer.text == f"Added for {horse}. u takes it back."
        assert [due.items[i].horse for i in set(due.items) - before] == [horse]
        await app.desk.close()


async def test_an_errand_is_about_no_horse_and_its_words_are_kept(where: Places) -> None:
    """“Order rasps friday” could be entered for a horse only, and was refused there."""
    app = FieldlogApp(barn.desk_at(where), "due")
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        due = app.screen
        assert isinstance(due, DueScreen)
        words = ["space" if letter == " " else letter for letter in "order rasps friday"]
        await press(pilot, "i", "up", "enter", *words, "enter")
        assert due.answer.text == "Added, about no horse. u takes it back."
        with Store.open(where.database) as store:
            (made,) = store.follow_ups()
        # 2026-11-25 is a Wednesday (ISO 8601 weekday 3).
        assert (made.text, made.horse_id, made.due) == (
            "order rasps friday", None, date(2026, 11, 27),
        )  # fmt: skip
        await press(pilot, "u")
        assert "order rasps friday. 1 line open." in due.answer.text
        await app.desk.close()


async def test_a_misspelt_name_is_not_taken_for_no_horse(saved: Places) -> None:
    app = FieldlogApp(barn.desk_at(saved), "due")
    async with app.run_test(size=(80, 24)) as pilot:
        due = await opened(app, pilot, "3")
        await press(pilot, "i", *"xyzzy", "enter")
        assert app.screen is not due
        assert "No horse is known by that name." in text_of(app)
        await app.desk.close()


async def test_keys_leave_lines_alone_that_are_not_shown(where: Places) -> None:
    """In a view without lines d marked the line that another view had under its cursor."""
    with Store.open(where.database) as store:
        store.add_follow_up("order", "order nails")
    app = FieldlogApp(barn.desk_at(where), "due")
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        due = app.screen
        assert isinstance(due, DueScreen)
        await press(pilot, "e")
        assert "Nothing waits for somebody else." in text_of(app)
        assert "order nails" not in text_of(app)
        await press(pilot, "d")
        assert due.answer.text == "Nothing stands here."
        await press(pilot, "w")
        assert "order nails" in text_of(app)
        await app.desk.close()


async def test_a_promise_may_lose_its_day_and_two_readings_of_one_are_told(saved: Places) -> None:
    app = FieldlogApp(barn.desk_at(saved), "due")
    async with app.run_test(size=(80, 24)) as pilot:
        due = await opened(app, pilot, "3")
        await press(pilot, "t", *"none", "enter")
        assert due.answer.text.startswith("Due on no day: radiographs")
        await press(pilot, "t", *"next", "space", *"friday", "enter")
        assert "Due Friday 2026-12-04" in due.answer.text
        assert "Check the day: “next Friday” may mean 2026-11-27." in due.answer.text
        await press(pilot, "t", *"last", "space", *"friday", "enter")
        assert "2026-11-20 is past." in due.answer.text
        await app.desk.close()
