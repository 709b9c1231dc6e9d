"""One horse: before the visit, history, charts, and its papers."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from fieldlog.app import afterwards
from fieldlog.app.main import FieldlogApp
from fieldlog.app.screens.horse import HorseScreen
from fieldlog.config import Settings
from fieldlog.core.facts import Entry, Fact, FactKind, FootBasis, HorseMention
from fieldlog.core.feet import Foot
from fieldlog.paths import Places
from fieldlog.records.store import Store
from tests.app import barn
from tests.app.barn import TODAY
from tests.app.driving import opened, press, settle, text_of


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


async def test_a_caution_is_written_where_the_horse_is_read(saved: Places) -> None:
    """Three keys and the words; it stands first at once, on the day sheet too."""
    app = FieldlogApp(barn.desk_at(saved), "horse")
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "h", "j", "u", "enter", "e", *"bites", "enter")
        shown = text_of(app)
        assert shown.index("SAFETY FIRST") < shown.index("! bites") < shown.index("OPEN")
        await press(pilot, "e", *" hard", "enter")
        assert "bites hard" in text_of(app)
        await press(pilot, "u")
        assert "! bites" in text_of(app)
        assert "bites hard" not in text_of(app)
        await app.desk.close()
    with Store.open(saved.database) as store:
        assert store.horse_named("Juniper").caution == "bites"


async def test_what_is_known_of_a_horse_is_changed_on_one_sheet(saved: Places) -> None:
    app = FieldlogApp(barn.desk_at(saved), "horse")
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "h", "j", "u", "enter", "e")
        await press(pilot, *["down"] * 5, "ctrl+u", *"60", "enter")
        assert "is no number of weeks" in text_of(app)
        await press(pilot, "ctrl+u", "5", "up", "ctrl+u", *"stony", "enter")
        assert "Alder Creek was its barn, stony is now. Why?" in text_of(app)  # Copper stays there
        await press(pilot, "1")
        assert "Kept; u takes it back." in text_of(app)
        with Store.open(saved.database) as store:
            horse = store.horse_named("Juniper")
            assert (horse.cycle_weeks, horse.barn, horse.name) == (5, "stony", "Juniper")
        await press(pilot, "u")
        with Store.open(saved.database) as store:
            horse = store.horse_named("Juniper")
            assert (horse.cycle_weeks, horse.barn) == (6, "Alder Creek")
        await app.desk.close()


@pytest.mark.parametrize(("digit", "days"), [("1", 3), ("2", 0), ("3", 0)])
async def test_another_owner_is_asked_about(saved: Places, digit: str, days: int) -> None:
    """Sold, noted wrongly, or only misspelt: papers say of a sold horse whose time it was."""
    app = FieldlogApp(barn.desk_at(saved), "horse")
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "h", "j", "u", "enter", "e", "down", "down", "ctrl+u", *"Zoe", "enter")
        assert "Marta Ellery was its owner, Zoe is now" in text_of(app)
        await press(pilot, digit)
        assert "Zoe" in text_of(app)
        with Store.open(saved.database) as store:
            horse = store.horse_named("Juniper")
            assert (horse.client, len(store.days_of_another_owner(horse))) == ("Zoe", days)
            assert bool(store.find_client("Marta Ellery")) == (digit != "3")
        await press(pilot, "u")
        with Store.open(saved.database) as store:
            horse = store.horse_named("Juniper")
            assert (horse.client, store.days_of_another_owner(horse)) == (
                "Marta Ellery",
                frozenset(),
            )
            assert store.find_client("Zoe") is None
        await app.desk.close()


async def test_all_along_is_taken_back_with_whose_the_visits_were(saved: Places) -> None:
    """Sold once, then “all along” by a slip of the finger: papers said a sale never was."""
    with Store.open(saved.database) as store:
        juniper = store.horse_named("Juniper")
        store.update_horse(replace(juniper, client_id=store.add_client("Ida Moss").id))
        sold = store.days_of_another_owner(store.horse_named("Juniper"))
        assert len(sold) == 3
    app = FieldlogApp(barn.desk_at(saved), "horse")
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "h", "j", "u", "enter", "e", "down", "down", "ctrl+u", *"Zoe", "enter")
        await press(pilot, "2")
        with Store.open(saved.database) as store:
            assert not store.days_of_another_owner(store.horse_named("Juniper"))
        await press(pilot, "u")
        assert "Juniper is noted as before." in text_of(app)
        await app.desk.close()
    with Store.open(saved.database) as store:
        horse = store.horse_named("Juniper")
        assert (horse.client, store.days_of_another_owner(horse)) == ("Ida Moss", sold)


async def test_an_owner_noted_twice_becomes_one_on_the_sheet(saved: Places) -> None:
    with Store.open(saved.database) as store:
        ellry = store.add_client("Marta Ellry", email="marta@ellery.example")
        for name in ("Pepper", "Salt", "Juniper"):
            store.add_horse(name, client_id=ellry.id)
    app = FieldlogApp(barn.desk_at(saved), "horse")
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "h", *"pepper", "enter", "e", "down", "down")
        await press(pilot, "ctrl+u", *"Marta Ellery", "enter")
        assert "the same owner, noted twice" in text_of(app)
        await press(pilot, "3")
        shown = " ".join(text_of(app).split())
        assert "Marta Ellry and Marta Ellery are one client now, with Juniper," in shown
        assert "Juniper is there twice: if that is one horse, s on its page." in shown
        with Store.open(saved.database) as store:
            assert {store.horse_named(n).client for n in ("Pepper", "Salt")} == {"Marta Ellery"}
            assert store.find_client("Marta Ellry") == store.find_client("Marta Ellery")
        await press(pilot, "u")
        await app.desk.close()
    with Store.open(saved.database) as store:
        assert {store.horse_named(n).client for n in ("Pepper", "Salt")} == {"Marta Ellry"}
        emails = {c.name: c.email for c in store.clients() if c.name.startswith("Marta")}
        assert emails == {"Marta Ellery": "", "Marta Ellry": "marta@ellery.example"}
        assert store.horse_named("Juniper of Marta Ellery").client == "Marta Ellery"


@pytest.mark.parametrize("digit", ["1", "2", "3"])
async def test_another_spelling_of_the_owner_it_has_changes_nobody(
    saved: Places, digit: str
) -> None:
    with Store.open(saved.database) as store:
        marta = store.find_client("Marta Ellery")
        assert marta is not None
        store.client_same(store.add_client("Marta Ellry").id, marta.id)
    app = FieldlogApp(barn.desk_at(saved), "horse")
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "h", "j", "u", "enter", "e", "down", "down")
        await press(pilot, "ctrl+u", *"Marta Ellry", "enter", digit)
        shown = " ".join(text_of(app).split())
        assert "Marta Ellry is another spelling of Marta Ellery already." in shown
        await press(pilot, "u")
        await app.desk.close()
    with Store.open(saved.database) as store:
        horse = store.horse_named("Juniper")
        assert (horse.client, store.days_of_another_owner(horse)) == ("Marta Ellery", frozenset())
        assert store.find_client("Marta Ellry") == marta


async def test_the_owner_in_other_capitals_is_not_asked_about(saved: Places) -> None:
    app = FieldlogApp(barn.desk_at(saved), "horse")
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "h", "j", "u", "enter", "e", "down", "down")
        await press(pilot, "ctrl+u", *"marta ellery", "enter")
        assert "Kept; u takes it back." in text_of(app)
        await app.desk.close()
    with Store.open(saved.database) as store:
        assert store.horse_named("Juniper").client == "marta ellery"


async def test_a_barn_spelt_otherwise_becomes_one_on_the_sheet(saved: Places) -> None:
    with Store.open(saved.database) as store:
        for name in ("Pepper", "Salt"):
            store.add_horse(name, barn="Alder Crek")
    app = FieldlogApp(barn.desk_at(saved), "horse")
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "h", *"pepper", "enter", "e", *["down"] * 4)
        await press(pilot, "ctrl+u", *"Alder Creek", "enter")
        assert "the same barn, spelt otherwise" in text_of(app)
        await press(pilot, "2")
        with Store.open(saved.database) as store:
            assert "Alder Crek" not in store.barns()
            assert store.horse_named("Salt").barn == "Alder Creek"
        await press(pilot, "u")
        await app.desk.close()
    with Store.open(saved.database) as store:
        assert store.barns()["Alder Crek"] == 2


async def test_the_first_line_of_the_sheet_has_its_label(saved: Places) -> None:
    app = FieldlogApp(barn.desk_at(saved), "horse")
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "h", "j", "u", "enter", "e")
        assert "Caution: what to know before touching it" in text_of(app)
        await press(pilot, *["down"] * 8)
        assert "Owner's address" in text_of(app)
        await press(pilot, *["up"] * 8)
        assert "Caution: what to know before touching it" in text_of(app)
        await app.desk.close()


async def test_how_an_owner_is_reached_is_changed_on_the_sheet(saved: Places) -> None:
    app = FieldlogApp(barn.desk_at(saved), "horse")
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "h", "j", "u", "enter", "e", *["down"] * 7, *"m@ellery.example", "down")
        await press(pilot, *"Alder Lane 4", "enter")
        await app.desk.close()
    with Store.open(saved.database) as store:
        marta = store.find_client("Marta Ellery")
        assert marta is not None
        assert (marta.email, marta.address) == ("m@ellery.example", "Alder Lane 4")


async def test_a_number_emptied_for_a_new_owner_is_not_taken_from_that_owner(saved: Places) -> None:
    """Sold to Dan: the old owner's number is wiped from the sheet, and Dan's was lost with it."""
    with Store.open(saved.database) as store:
        store.add_client("Dan Moss", phone="555 0155")
        marta = store.find_client("Marta Ellery")
        assert marta is not None
        store.update_client(replace(marta, phone="555 0101"))
    app = FieldlogApp(barn.desk_at(saved), "horse")
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "h", "j", "u", "enter", "e", "down", "down", "ctrl+u", *"Dan Moss")
        await press(pilot, "down", "ctrl+u", "enter", "1")
        await app.desk.close()
    with Store.open(saved.database) as store:
        found = {c.name: c.phone for c in store.clients()}
        assert (found["Dan Moss"], found["Marta Ellery"]) == ("555 0155", "555 0101")
        assert store.horse_named("Juniper").client == "Dan Moss"


async def test_a_change_of_another_window_stays(saved: Places) -> None:
    app = FieldlogApp(barn.desk_at(saved), "horse")
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "h", "j", "u", "enter", "e")
        with Store.open(saved.database) as store:
            store.update_horse(replace(store.horse_named("Juniper"), barn="Stony Ridge"))
        await press(pilot, *"bites", "enter")
        await app.desk.close()
    with Store.open(saved.database) as store:
        horse = store.horse_named("Juniper")
        assert (horse.barn, horse.caution) == ("Stony Ridge", "bites")


async def test_two_spellings_of_a_horse_become_one_and_two_again(saved: Places) -> None:
    with Store.open(saved.database) as store:
        wrong = store.add_horse("Junipur")
        barn.earlier(store, wrong.id, date(2026, 7, 1), 3.5, 3.5)
    app = FieldlogApp(barn.desk_at(saved), "horse")
    async with app.run_test(size=(80, 40)) as pilot:
        await settle(pilot)
        await press(pilot, "h", *"junipur", "enter", "s")
        assert "Which one is Junipur, spelt otherwise?" in text_of(app)
        await press(pilot, *"juniper", "enter")
        assert "One horse: which name stays?" in text_of(app)
        await press(pilot, "2")
        shown = text_of(app)
        assert "also Junipur" in shown
        assert "u takes it back." in " ".join(shown.split())
        await press(pilot, "y")
        assert "2026-07-01" in text_of(app)
        await press(pilot, "u")
        assert "are two horses again" in text_of(app)
        assert "2026-07-01" not in text_of(app)
        await press(pilot, "s", *"junipur", "enter", "1")
        assert "also Junipur" in text_of(app)
        await press(pilot, "s")
        assert "Junipur is a horse of its own after all" in text_of(app)
        await press(pilot, "1")
        assert "are two horses again" in text_of(app)
        await app.desk.close()
    with Store.open(saved.database) as store:
        assert store.verify_chain().ok
        assert len(store.horses()) == 4


async def test_a_horse_is_found_by_its_other_name(saved: Places) -> None:
    """Typed by its nickname it was offered as a new horse, and stood there twice again."""
    with Store.open(saved.database) as store:
        nick = store.add_horse("Big Red")
        store.horse_same(nick.id, store.horse_named("Juniper").id)
    app = FieldlogApp(barn.desk_at(saved), "horse")
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "h", *"big")
        assert "Juniper · also Big Red · Marta Ellery" in text_of(app)
        await press(pilot, "enter")
        assert "also Big Red" in text_of(app)
        assert "LAST VISIT" in text_of(app)
        await app.desk.close()
