"""What holds on every screen: help, the keys between them, hostile names, the note of a line."""

from __future__ import annotations

from dataclasses import replace

import pytest
from textual.widgets import OptionList, Static

from fieldlog.app.keys import SCREEN_KEYS
from fieldlog.app.main import FieldlogApp
from fieldlog.app.naming import KnownHorse
from fieldlog.app.screens.day import DayScreen
from fieldlog.app.screens.due import DueScreen
from fieldlog.app.screens.help import HelpScreen
from fieldlog.app.screens.horse_pick import HorsePickScreen
from fieldlog.core.facts import Entry, HorseMention
from fieldlog.core.feet import Foot
from fieldlog.paths import Places
from fieldlog.records.store import Store
from fieldlog.sound.player import FakePlayer
from tests.app import barn
from tests.app.barn import TODAY
from tests.app.driving import opened, press, settle, text_of


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


@pytest.mark.parametrize(("spoken", "first"), [("", "Copper"), ("Zanzibar", "+ new horse")])
async def test_enter_never_gives_a_note_that_names_a_horse_to_another(
    saved: Places, spoken: str, first: str
) -> None:
    """A name that is not known yet stood below the horse of the note before: Enter picked that."""
    copper = KnownHorse("c", "Copper", "Dan Whitcombe")
    app = FieldlogApp(barn.desk_at(saved))
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        sheet = HorsePickScreen([KnownHorse("j", "Juniper"), copper], spoken, before=copper)
        app.push_screen(sheet)
        await settle(pilot)
        options = sheet.query_one(OptionList)
        assert options.highlighted == 0
        assert str(options.get_option_at_index(0).prompt).startswith(first)
        second = str(options.get_option_at_index(1).prompt)
        assert second.startswith("Copper" if spoken else "Juniper")
        await app.desk.close()


async def test_two_horses_of_one_name_are_told_apart_on_every_list(saved: Places) -> None:
    """The list of the day, the due list and the search said “Copper” of two horses."""
    with Store.open(saved.database) as store:
        other = store.add_horse(
            "Copper", client_id=store.add_client("Ida Moss").id, barn="Far Hill"
        )
        store.add_follow_up("bring", "bring pads", horse_id=other.id)
        barn.earlier(store, other.id, TODAY, 3.5, 3.5)
    app = FieldlogApp(barn.desk_at(saved))
    async with app.run_test(size=(120, 40)) as pilot:
        await settle(pilot)
        assert "Copper Ida Moss" in text_of(app)
        assert "Juniper Marta" not in text_of(app)  # nobody shares its name
        await press(pilot, "3", "end")
        assert "Copper of Ida" in text_of(app)
        await press(pilot, "4", *"flare", "enter")
        assert "Copper of Ida" in text_of(app)
        await app.desk.close()


async def test_a_horse_of_two_spellings_is_offered_once(saved: Places) -> None:
    """The horse of the note before stood twice among those to choose."""
    with Store.open(saved.database) as store:
        store.horse_same(store.add_horse("Koper").id, store.horse_named("Copper").id)
    app = FieldlogApp(barn.desk_at(saved))
    async with app.run_test(size=(80, 30)) as pilot:
        await settle(pilot)
        await press(pilot, "right", "h")
        sheet = app.screen
        assert isinstance(sheet, HorsePickScreen)
        options = sheet.query_one(OptionList)
        lines = [str(options.get_option_at_index(i).prompt) for i in range(options.option_count)]
        assert "no horse" in text_of(app)
        assert sum(line.startswith("Copper") for line in lines) == 1
        await app.desk.close()


async def test_a_new_horse_gets_the_other_drafts_that_name_it(where: Places) -> None:
    """A first day, no horse known: each of five notes of Bramble asked again whose it was."""
    with Store.open(where.database) as store:
        text = "tilly trimmed all four"
        mention = HorseMention("Tilly", (0, 5))
        for n in range(3):
            entry = Entry((), text, (0, len(text)), mention, id=f"tilly-{n}")
            store.add_drafts(None, [entry])
    app = FieldlogApp(barn.desk_at(where))
    async with app.run_test(size=(80, 30)) as pilot:
        await settle(pilot)
        for _ in range(6):
            if "tilly-0" in app.screen.view.entry.id:  # type: ignore[attr-defined]
                break
            await press(pilot, "right")
        await press(pilot, "h", "enter", "enter", "enter", "enter")
        assert "This is Tilly, and so it is in 2 other drafts that named it." in text_of(app)
        await press(pilot, "u")
        await app.desk.close()
    with Store.open(where.database) as store:
        whose = [store.entry(f"tilly-{n}").horse for n in range(3)]
        assert [h.name if h else "" for h in whose] == ["", "Tilly", "Tilly"]


async def test_of_two_horses_of_one_name_the_whole_name_is_on_every_screen(saved: Places) -> None:
    """Cut in every list, “Rosie of Roy…” may be either: the wrong one was saved unseen."""
    text = "thrush left hind"
    fact = barn.seen("thrush", Foot.LH, span=(0, len(text)))
    with Store.open(saved.database) as store:
        for owner in ("Roy Montgomery Tanner", "Roy Montgomery Moss"):
            rosie = store.add_horse("Rosie", client_id=store.add_client(owner).id)
            for save in (True, False):
                (draft,) = store.add_drafts(None, [Entry((replace(fact, id=f"{owner}{save}"),),
                                                         text, (0, len(text)))])  # fmt: skip
                store.assign_horse(draft.id, rosie.id)
                if save:
                    store.save_entry(draft.id)
    app = FieldlogApp(barn.desk_at(saved))
    async with app.run_test(size=(80, 24)) as pilot:
        day = await opened(app, pilot, "1")
        assert isinstance(day, DayScreen)
        for view in (v for v in day.views if v.horse and v.horse.name == "Rosie"):
            day._go_to(day.views.index(view))
            await settle(pilot)
            assert view.name in text_of(app)
        await press(pilot, "4", *"thrush horse:rosie", "enter")
        shown = text_of(app)
        await press(pilot, "down")
        shown += text_of(app)
        assert "Rosie of Roy Montgomery Moss: “thrush" in shown
        assert "Rosie of Roy Montgomery Tanner: “thrush" in shown
        await app.desk.close()
