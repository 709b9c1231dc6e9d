"""Corrections of a draft on the day screen, by their keys: changed, typed, parted, undone."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from fieldlog.app.editing import change
from fieldlog.app.main import FieldlogApp
from fieldlog.core.facts import Fact
from fieldlog.core.feet import Foot
from fieldlog.core.units import Quantity, Unit
from fieldlog.paths import Places
from fieldlog.records.store import Store
from tests.app import barn
from tests.app.day_driven import running, stored, to_toe
from tests.app.driving import press, text_of


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
