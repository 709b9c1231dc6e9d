"""The day screen with real keys on a real database."""

from __future__ import annotations

import pytest

from fieldlog.app.main import FieldlogApp
from fieldlog.core.feet import Foot
from fieldlog.errors import DatabaseBusy, NoLoudspeaker
from fieldlog.paths import Places
from fieldlog.records.store import Store
from fieldlog.sound.player import FakePlayer
from tests.app import barn
from tests.app.day_driven import running, stored
from tests.app.driving import press, text_of


async def test_it_opens_at_the_most_pressing_thing(app: FieldlogApp) -> None:
    async with running(app) as (_, day):
        assert [v.name for v in day.views] == ["Juniper", "Copper", "whose?"]
        assert (day.view.name, day.selected) == ("Copper", "c-thrush")


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
