"""The day screen with real keys on a real database."""

from __future__ import annotations

import json
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import replace

import pytest
from textual.pilot import Pilot

from fieldlog.app.editing import change
from fieldlog.app.main import FieldlogApp
from fieldlog.app.screens.day import DayScreen
from fieldlog.core.facts import Fact
from fieldlog.core.feet import Foot
from fieldlog.core.units import Quantity, Unit
from fieldlog.errors import DatabaseBusy, NoLoudspeaker
from fieldlog.paths import Places
from fieldlog.records.store import Store
from fieldlog.records.types import EntryState
from fieldlog.sound.player import FakePlayer
from tests.app import barn
from tests.app.driving import press, settle, text_of


@asynccontextmanager
async def running(
    app: FieldlogApp, size: tuple[int, int] = (80, 24)
) -> AsyncIterator[tuple[Pilot[None], DayScreen]]:
    """The app with its day screen filled; its threads end with the test."""
    async with app.run_test(size=size) as pilot:
        await settle(pilot)
        day = app.screen
        assert isinstance(day, DayScreen)
        yield pilot, day
        await app.desk.close()


def stored(where: Places, entry_id: str) -> dict[str, Fact]:
    """The facts of an entry as another window would read them, by id."""
    with Store.open(where.database) as store:
        return {f.id: f for f in store.entry(entry_id).entry.facts}


async def to_toe(pilot: Pilot[None], day: DayScreen) -> None:
    """Go to the toe length whose unit was not spoken."""
    while day.selected != "c-toe":
        await press(pilot, "n")


async def test_it_opens_at_the_most_pressing_thing(app: FieldlogApp) -> None:
    async with running(app) as (_, day):
        assert [v.name for v in day.views] == ["Juniper", "Copper", "whose?"]
        assert (day.view.name, day.selected) == ("Copper", "c-thrush")


async def test_a_whole_wrong_value_costs_two_keys(app: FieldlogApp, where: Places) -> None:
    async with running(app) as (pilot, day):
        await to_toe(pilot, day)
        await press(pilot, "c", "1")
        assert stored(where, "entry-copper")["c-toe"].quantity == Quantity(3.25, Unit.INCH)
        assert "Changed to: left front · toe length · 3 1/4 in" in day.answer.text


async def test_a_wrong_kind_of_measure_costs_two_keys(app: FieldlogApp, where: Places) -> None:
    async with running(app) as (pilot, day):
        await to_toe(pilot, day)
        await press(pilot, "c", "2")
        assert stored(where, "entry-copper")["c-toe"].code == "heel_length"


async def test_a_wrong_foot_costs_two_keys(app: FieldlogApp, where: Places) -> None:
    async with running(app) as (pilot, _):
        await press(pilot, "f", "4")
        assert stored(where, "entry-copper")["c-thrush"].feet == (Foot.RH,)


async def test_a_chosen_foot_ends_only_the_doubt_about_the_foot(
    app: FieldlogApp, where: Places
) -> None:
    async with running(app) as (pilot, day):
        await press(pilot, "f", "4")

        def shown() -> set[str]:
            (view,) = (v for v in day.views if v.entry.id == "entry-copper")
            (fact,) = (f for f in view.entry.facts if f.id == "c-thrush")
            return {d.code for d in fact.doubts}

        assert shown() == {"changed_word"}  # what was heard still asks for a look
        while day.selected != "c-thrush":
            await press(pilot, "n")
        await press(pilot, "a")
        assert shown() == set()
    with Store.open(where.database) as store:
        assert "c-thrush" in store.entry("entry-copper").looked_at


@pytest.mark.parametrize(
    ("key", "field"), [("x", "negated"), ("m", "uncertain")], ids=["not", "maybe"]
)
async def test_not_and_maybe_cost_one_key(
    app: FieldlogApp, where: Places, key: str, field: str
) -> None:
    async with running(app) as (pilot, _):
        await press(pilot, key)
        assert getattr(stored(where, "entry-copper")["c-thrush"], field)


async def test_accepting_goes_on_to_the_next_thing(app: FieldlogApp, where: Places) -> None:
    async with running(app) as (pilot, day):
        await press(pilot, "a")
        assert day.selected == "c-toe"
        await press(pilot, "a")
        assert day.view.waiting == 0
        with Store.open(where.database) as store:
            assert store.entry("entry-copper").looked_at == {"c-thrush", "c-toe"}


async def test_typed_digits_with_a_fraction(app: FieldlogApp, where: Places) -> None:
    async with running(app) as (pilot, day):
        await to_toe(pilot, day)
        await press(pilot, "t", *("3", "space", "7", "slash", "1", "6", "space", "i", "n"), "enter")
        assert stored(where, "entry-copper")["c-toe"].quantity == Quantity(3.4375, Unit.INCH)


async def test_a_fraction_over_nought_is_refused_and_changes_nothing(
    app: FieldlogApp, where: Places
) -> None:
    async with running(app) as (pilot, day):
        await to_toe(pilot, day)
        before = stored(where, "entry-copper")
        await press(pilot, "t", *("3", "space", "1", "slash", "0"), "enter")
        assert "cannot have 0 below the line" in text_of(app)
        assert stored(where, "entry-copper") == before


async def test_delete_and_undo_bring_back_the_very_same(app: FieldlogApp, where: Places) -> None:
    async with running(app) as (pilot, day):
        before = stored(where, "entry-copper")
        await press(pilot, "d")
        assert "c-thrush" not in stored(where, "entry-copper")
        assert day.selected == "c-toe"
        await press(pilot, "u")
        assert stored(where, "entry-copper") == before
        assert day.selected == "c-thrush"


async def test_undo_goes_back_to_the_entry_it_was_made_in(app: FieldlogApp) -> None:
    async with running(app) as (pilot, day):
        await press(pilot, "x", "pageup")
        assert day.view.name == "Juniper"
        await press(pilot, "u")
        assert (day.view.name, day.selected) == ("Copper", "c-thrush")
        assert day.fact is not None
        assert not day.fact.negated


async def test_split_and_join(app: FieldlogApp, where: Places) -> None:
    async with running(app) as (pilot, day):
        day.selected = "c-pull"
        await press(pilot, "b")
        feet = [f.feet for f in stored(where, "entry-copper").values() if f.code == "pull"]
        assert feet == [(Foot.LF,), (Foot.RF,)]
        await press(pilot, "j")
        pulls = [f for f in stored(where, "entry-copper").values() if f.code == "pull"]
        assert [f.feet for f in pulls] == [(Foot.LF, Foot.RF)]
        await press(pilot, "b")
        await press(pilot, "b")
        assert "nothing to split" in day.answer.text


async def test_the_piece_of_sound_and_the_note(where: Places) -> None:
    player = FakePlayer()
    app = FieldlogApp(barn.desk_at(where, player=player))
    async with running(app) as (pilot, day):
        await press(pilot, "p")
        assert day.fact is not None
        assert day.fact.sound is not None
        path, start, end = player.played[-1]
        assert (start, end) == day.fact.sound
        assert path.exists()
        await press(pilot, "P")
        assert player.played[-1] == (path, 0.0, None)
        await press(pilot, "escape")
    assert player.stops >= 1


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


async def test_quitting_keeps_every_draft_and_every_correction(
    app: FieldlogApp, where: Places
) -> None:
    async with running(app) as (pilot, _):
        await press(pilot, "f", "4", "q")
    with Store.open(where.database) as store:
        assert len(store.drafts()) == 3
    assert stored(where, "entry-copper")["c-thrush"].feet == (Foot.RH,)
    again = FieldlogApp(barn.desk_at(where))
    async with running(again) as (pilot, day):
        await press(pilot, "u")
        assert day.answer.text == "Taken back."
    assert stored(where, "entry-copper")["c-thrush"].feet == ()


async def test_a_busy_database_is_told_and_nothing_changes(
    app: FieldlogApp, where: Places, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with running(app) as (pilot, day):
        before = stored(where, "entry-copper")

        def busy(*_: object, **__: object) -> None:
            raise DatabaseBusy("Another fieldlog window is writing.", "Try again in a moment.")

        monkeypatch.setattr(Store, "change_fact", busy)
        await press(pilot, "x")
        assert "Try again in a moment" in day.answer.text
        assert day.fact is not None
        assert not day.fact.negated
    assert stored(where, "entry-copper") == before


async def test_next_goes_through_every_waiting_thing_and_round(app: FieldlogApp) -> None:
    async with running(app) as (pilot, day):
        seen = [(day.view.name, day.selected)]
        for _ in range(3):
            await press(pilot, "n")
            seen.append((day.view.name, day.selected))
        assert seen == [
            ("Copper", "c-thrush"), ("Copper", "c-toe"), ("whose?", ""), ("Copper", "c-thrush"),
        ]  # fmt: skip


@pytest.mark.parametrize(("on", "back"), [("pagedown", "pageup"), ("right", "left")])
async def test_entries_are_gone_through_also_without_the_page_keys(
    app: FieldlogApp, on: str, back: str
) -> None:
    async with running(app) as (pilot, day):
        first = day.current
        await press(pilot, on)
        assert day.current == (first + 1) % len(day.views)
        await press(pilot, back)
        assert day.current == first


async def test_the_list_moves_entries_with_the_arrows(app: FieldlogApp) -> None:
    async with running(app) as (pilot, day):
        await press(pilot, "tab", "up")
        assert day.view.name == "Juniper"
        before = day.selected
        await press(pilot, "enter", "down")
        assert day.view.name == "Juniper"
        assert day.selected != before


async def test_hostile_names_reach_the_screen_as_plain_text(where: Places) -> None:
    with Store.open(where.database) as store:
        horse = store.add_horse("[red]Evil[/]\x1b]0;gone\x07")
        store.assign_horse("entry-unnamed", horse.id)
    app = FieldlogApp(barn.desk_at(where))
    async with running(app) as (_, day):
        assert day.views[2].name == "[red]Evil[/]]0;gone"
        picture = app.export_screenshot()
        assert "\x1b" not in picture
        assert "[red]Ev" in picture.replace("&#160;", " ")


async def test_an_empty_database_teaches(tmp_path: object, where: Places) -> None:
    from pathlib import Path

    empty = barn.home(Path(str(tmp_path)) / "empty")
    app = FieldlogApp(barn.desk_at(empty))
    async with running(app) as (pilot, day):
        assert day.views == []
        for key in ("n", "a", "c", "d", "u", "s", "S", "h", "i", "p", "x", "j", "b", "f", "D"):
            await press(pilot, key)
        assert app.screen is day
        await press(pilot, "n")
        assert day.answer.text == "No draft waits: there is nothing to look at."
        await press(pilot, "p")
        assert day.answer.text == "There is no note to play. 2 records one."
        assert "fieldlog import" in app.export_screenshot().replace("&#160;", " ")


async def test_typed_words_are_understood_and_keep_the_foot(
    app: FieldlogApp, where: Places
) -> None:
    async with running(app) as (pilot, day):
        await to_toe(pilot, day)
        await day._retyped(day.fact or barn.inches(1, Foot.LF), "mild flare on the outside quarter")
        fact = stored(where, "entry-copper")["c-toe"]
        assert (fact.code, fact.feet, fact.places) == ("flare", (Foot.LF,), ("lateral_quarter",))
        assert fact.span != (0, 0)
        assert fact.rule == "by_hand"


async def test_a_sentence_is_added_by_hand(app: FieldlogApp, where: Places) -> None:
    async with running(app) as (pilot, day):
        before = stored(where, "entry-copper")
        typed = [*"no", "space", *"thrush", "space", *"left", "space", *"hind"]
        await press(pilot, "i", *typed, "enter")
        added = [f for i, f in stored(where, "entry-copper").items() if i not in before]
        assert [(f.code, f.negated, f.feet) for f in added] == [("thrush", True, (Foot.LH,))]
        assert day.selected == added[0].id


async def test_typed_words_that_made_no_fact_are_named(
    app: FieldlogApp, monkeypatch: pytest.MonkeyPatch
) -> None:
    flare = barn.seen("flare", Foot.LH)

    async def half(*_: object) -> tuple[list[Fact], str]:
        return [flare], "“and the dog” made no fact: type it on its own."

    async with running(app) as (pilot, day):
        monkeypatch.setattr(app.desk, "understand_typed", half)
        await press(pilot, "i", "x", "enter")
        assert day.answer.text.startswith("Added: left hind · flare. “and the dog” made no fact")


async def test_a_size_that_nobody_expects_is_told_as_it_is_typed(app: FieldlogApp) -> None:
    """It counts as looked at, so nothing asked about it later."""
    async with running(app) as (pilot, day):
        day.selected = "c-toe"
        await press(pilot, "t", *"33 1/4 in", "enter")
        assert day.answer.text.endswith("33 1/4 in is no usual toe length: look again.")
        await press(pilot, "t", *"3 1/4 in", "enter")
        assert "usual" not in day.answer.text


async def test_what_was_set_aside_is_offered_and_taken_with_two_keys(
    app: FieldlogApp, where: Places
) -> None:
    with Store.open(where.database) as store:
        entry = store.entry("entry-copper").entry
        (gate,) = entry.passages
        flare = barn.seen("flare", Foot.LH)
        entry = replace(entry, passages=(replace(gate, perhaps=(flare,)),))
        with store.write():
            body = json.dumps(entry.to_dict())
            store.run("UPDATE entries SET body = ? WHERE id = ?", [body, "entry-copper"])
    async with running(app, (120, 60)) as (pilot, day):
        await to_toe(pilot, day)
        assert "(i offers left hind · flare)" in text_of(app)
        await press(pilot, "i", "1")
        assert stored(where, "entry-copper")[flare.id].code == "flare"
        assert day.selected == flare.id
        assert "i offers" not in text_of(app)
        await press(pilot, "u")
        assert flare.id not in stored(where, "entry-copper")
        assert "(i offers left hind · flare)" in text_of(app)


async def test_nonsense_typed_changes_nothing_and_says_so(app: FieldlogApp, where: Places) -> None:
    async with running(app) as (pilot, day):
        before = stored(where, "entry-copper")
        await press(pilot, "i", *"xyzzy", "enter")
        assert "was not understood" in day.answer.text
        assert stored(where, "entry-copper") == before


async def test_a_correction_teaches_a_rule_only_when_asked(app: FieldlogApp, where: Places) -> None:
    async with running(app) as (pilot, day):
        day.selected = "c-thrush"
        await day._edit("Changed to", lambda fact: change(fact, {"code": "ragged_frog"}))
        assert "l: always take it so" in day.answer.text
        assert not where.personal_rules.exists()
        await press(pilot, "l")
        assert "ragged_frog" in where.personal_rules.read_text()
        await press(pilot, "l")
        assert "nothing to learn" in day.answer.text


async def test_two_horses_in_one_entry_are_parted_and_joined(
    app: FieldlogApp, where: Places
) -> None:
    async with running(app) as (pilot, day):
        await to_toe(pilot, day)
        day.selected = "c-rf"
        await press(pilot, "B")
        assert [v.name for v in day.views].count("whose?") == 2
        with Store.open(where.database) as store:
            assert len(store.drafts()) == 4
        await press(pilot, "pageup", "J")
        with Store.open(where.database) as store:
            assert len(store.drafts()) == 3
        assert set(stored(where, "entry-copper")) >= {"c-rf", "c-toe", "c-thrush"}


async def test_after_breaking_in_two_the_second_entry_is_in_hand(
    app: FieldlogApp, where: Places
) -> None:
    async with running(app) as (pilot, day):
        await to_toe(pilot, day)
        day.selected = "c-rf"
        await press(pilot, "B")
        assert "This is the second one: h gives it its horse" in day.answer.text
        assert "c-rf" in {f.id for f in day.view.entry.facts}
        await press(pilot, "h", *"bram", "enter")
        assert [v.name for v in day.views] == ["Juniper", "Copper", "Bramble", "whose?"]
        await press(pilot, "u", "u")
        assert [v.name for v in day.views] == ["Juniper", "Copper", "whose?"]
        assert (day.view.name, day.selected) == ("Copper", "c-rf")
        assert set(stored(where, "entry-copper")) >= {"c-rf", "c-toe", "c-thrush"}


async def test_joining_is_taken_back_with_one_key(app: FieldlogApp, where: Places) -> None:
    async with running(app) as (pilot, day):
        await to_toe(pilot, day)
        day.selected = "c-rf"
        await press(pilot, "B", "pageup", "J")
        assert len(day.views) == 3
        await press(pilot, "u")
        assert len(day.views) == 4
        assert "c-rf" not in stored(where, "entry-copper")


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


async def test_the_whole_note_is_one_key_away(app: FieldlogApp) -> None:
    async with running(app) as (pilot, day):
        await press(pilot, "w")
        shown = " ".join(text_of(app).split())
        assert "copper pulled the fronts" in shown
        assert "kept as said: “he was something about the gate”" in shown
        assert "corrected while speaking" in shown
        await press(pilot, "w")
        assert app.screen is day


async def test_no_loudspeaker_is_a_sentence(where: Places) -> None:
    silent = NoLoudspeaker("There is no loudspeaker.", "Plug one in and press p again.")
    app = FieldlogApp(barn.desk_at(where, player=FakePlayer(broken=silent)))
    async with running(app) as (pilot, day):
        await press(pilot, "p")
        assert day.answer.text == "There is no loudspeaker. Plug one in and press p again."


async def test_a_sound_file_that_is_gone_is_said(app: FieldlogApp, where: Places) -> None:
    for path in where.sounds.glob("*.wav"):
        path.unlink()
    async with running(app) as (pilot, day):
        await press(pilot, "p")
        assert day.answer.text == "There is no sound for this note."


async def test_1_again_reads_what_another_window_changed(app: FieldlogApp, where: Places) -> None:
    async with running(app) as (pilot, day):
        with Store.open(where.database) as other:
            other.save_entry("entry-juniper")
        assert not day.views[0].saved
        await press(pilot, "1")
        assert day.views[0].saved
        assert day.view.name == "Copper"


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
