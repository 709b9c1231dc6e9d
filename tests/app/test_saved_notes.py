"""Saved notes that were wrong: of an earlier day, or under the wrong horse."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from textual.pilot import Pilot

from fieldlog.app.main import FieldlogApp
from fieldlog.app.screens.day import DayScreen
from fieldlog.core.facts import Entry, HorseMention
from fieldlog.core.feet import Foot
from fieldlog.paths import Places
from fieldlog.records.store import Store
from tests.app import barn
from tests.app.driving import press, settle, text_of
from tests.records.notes import AT

WEEKS_AGO = "entry-weeks-ago"


@pytest.fixture
def earlier(where: Places) -> Places:
    """The morning, and a note of Juniper saved four weeks before."""
    toe = barn.inches(3.5, Foot.LF)
    text = "juniper left front toe three and a half"
    entry = Entry((toe,), text, span=(0, len(text)), id=WEEKS_AGO,
                  horse=HorseMention("Juniper", (0, 7), known=True))  # fmt: skip
    with Store.open(where.database) as store:
        store.add_drafts(None, [entry], at=AT - timedelta(days=28))
        store.save_entry(WEEKS_AGO)
    return where


async def open_earlier(app: FieldlogApp, pilot: Pilot[None]) -> None:
    """Go from the horse screen to the note of four weeks ago."""
    await settle(pilot)
    await press(pilot, "3")
    app.open_note(WEEKS_AGO)
    await settle(pilot)


async def test_a_note_of_an_earlier_day_is_corrected_from_where_it_is_found(
    earlier: Places,
) -> None:
    app = FieldlogApp(barn.desk_at(earlier))
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "4", "slash", *"toe", "enter", "n")
        assert "1 corrects it" in text_of(app)
        await press(pilot, "1")
        assert isinstance(app.screen, DayScreen)
        assert app.screen.view.entry.id == WEEKS_AGO
        assert "each correction asks for a reason" in text_of(app)
        await press(pilot, "f", "2", "2")  # right front; wrong foot
        await app.desk.close()
    with Store.open(earlier.database) as store:
        first, second = store.revisions(WEEKS_AGO)
    assert [f.feet for f in first.entry.facts] == [(Foot.LF,)]
    assert [f.feet for f in second.entry.facts] == [(Foot.RF,)]


async def test_a_saved_note_is_given_to_another_horse_with_a_reason(earlier: Places) -> None:
    app = FieldlogApp(barn.desk_at(earlier))
    async with app.run_test(size=(80, 24)) as pilot:
        await open_earlier(app, pilot)
        await press(pilot, "h")
        assert "Saved under Juniper" in text_of(app)
        await press(pilot, *"copper", "enter")
        assert "why is it Copper's?" in text_of(app)
        await press(pilot, "1")
        assert "This is Copper" in text_of(app)
        await app.desk.close()
    with Store.open(earlier.database) as store:
        moved = store.entry(WEEKS_AGO)
        assert moved.horse is not None
        assert (moved.horse.name, moved.revision) == ("Copper", 2)
        assert store.verify_chain().ok


async def test_u_takes_back_the_horse_and_then_the_correction_before(earlier: Places) -> None:
    app = FieldlogApp(barn.desk_at(earlier))
    async with app.run_test(size=(80, 24)) as pilot:
        await open_earlier(app, pilot)
        await press(pilot, "f", "2", "2")  # right front; wrong foot
        await press(pilot, "h", *"copper", "enter", "1")
        await press(pilot, "u", "u")
        assert "Taken back, as one more revision." in text_of(app)
        await app.desk.close()
    with Store.open(earlier.database) as store:
        mine = [link for link in store.chain() if link["entry_id"] == WEEKS_AGO]
        names = [store.horse(link["horse_id"]).name for link in mine]
        feet = [r.entry.facts[0].feet for r in store.revisions(WEEKS_AGO)]
    assert names == ["Juniper", "Juniper", "Copper", "Juniper", "Juniper"]
    assert feet == [(Foot.LF,), (Foot.RF,), (Foot.RF,), (Foot.RF,), (Foot.LF,)]


async def test_a_draft_that_was_asked_for_and_set_aside_is_gone(where: Places) -> None:
    app = FieldlogApp(barn.desk_at(where))
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "w", "1", "D", "1")
        assert isinstance(app.screen, DayScreen)
        assert [v.name for v in app.screen.views] == ["Juniper", "whose?"]
        await app.desk.close()


async def test_leaving_the_question_changes_nothing(earlier: Places) -> None:
    app = FieldlogApp(barn.desk_at(earlier))
    async with app.run_test(size=(80, 24)) as pilot:
        await open_earlier(app, pilot)
        await press(pilot, "h", *"juniper", "enter")
        assert "This is Juniper's already." in text_of(app)
        await press(pilot, "h", *"copper", "enter", "escape")
        await app.desk.close()
    with Store.open(earlier.database) as store:
        assert store.entry(WEEKS_AGO).revision == 1


async def test_keys_for_drafts_say_what_goes_with_a_saved_note(earlier: Places) -> None:
    """B and D said that there is no draft, and left a farrier with two horses in one saved note."""
    typed = replace(barn.seen("flare", Foot.LF), rule="by_hand", id="typed")
    with Store.open(earlier.database) as store:
        store.revise_entry(WEEKS_AGO, (*store.entry(WEEKS_AGO).entry.facts, typed), "forgotten")
    app = FieldlogApp(barn.desk_at(earlier))
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "3")
        app.open_note(WEEKS_AGO)
        await settle(pilot)
        day = app.screen
        assert isinstance(day, DayScreen)
        day.selected = "typed"
        await press(pilot, "B")
        assert "has no place in the words" in day.answer.text
        await press(pilot, "D")
        assert "h gives it to the right horse" in day.answer.text
        await press(pilot, "d")
        assert "6  said of another horse" in text_of(app)
        await press(pilot, "6")
        await app.desk.close()
    with Store.open(earlier.database) as store:
        assert store.revisions(WEEKS_AGO)[-1].reason == "said of another horse"


@pytest.mark.parametrize("new", [False, True])
async def test_a_saved_note_of_two_horses_is_parted_and_made_one_again(
    saved: Places, new: bool
) -> None:
    """It “stays one”: the other horse's part had to be typed anew, without its sound."""
    app = FieldlogApp(barn.desk_at(saved))
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        day = app.screen
        assert isinstance(day, DayScreen)
        day._go_to(next(i for i, v in enumerate(day.views) if v.entry.id == "entry-juniper"))
        whole = day.view.entry
        day.selected = "j-thrush"
        await press(pilot, "B")
        assert "whose is it?" in text_of(app)
        name = "Wisteria" if new else "Bramble"
        await press(pilot, *name, "enter", *(("enter",) * 3 if new else ()))
        assert f"why is the rest {name}'s?" in text_of(app)
        await press(pilot, "1")
        assert f"Two notes now. This is {name}'s." in day.answer.text
        assert f"Goes along to {name}: recheck, 2026-12-23." in day.answer.text
        assert day.view.horse is not None
        assert day.view.horse.name == name
        assert [f.id for f in day.view.entry.facts] == ["j-thrush", "j-stood", "j-recheck"]
        assert day.view.sound is not None  # the piece of its words is played from it
        await press(pilot, "u")
        assert "Taken back, as one more revision." in day.answer.text
        assert day.view.entry.id == "entry-juniper"
        assert day.view.entry.facts == whole.facts
        assert name not in text_of(app)
        await app.desk.close()
    with Store.open(saved.database) as store:
        assert store.verify_chain().ok
        assert {f.horse for f in store.follow_ups() if f.text == "recheck"} == {"Juniper"}
