"""A saved note under the wrong horse goes to the right one, with all that hangs on it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from fieldlog.core.feet import Foot
from fieldlog.errors import InputError
from fieldlog.records.store import Store
from fieldlog.records.types import FollowUpState, StoredEntry
from tests.records.notes import AT
from tests.records.test_kept_promises import promise, seen, visit

WHY = "said the wrong name"


def horse(store: Store, name: str) -> str:
    (found,) = store.find_horses(name)
    return found.id


def newest(store: Store, name: str) -> StoredEntry:
    return store.entries_of(horse(store, name))[-1]


def test_history_search_and_promises_go_along(store: Store) -> None:
    visit(store, seen(Foot.LF), promise("recheck", Foot.LF))
    wrong = newest(store, "Bramble")
    moved = store.give_to_horse(wrong.id, horse(store, "Juniper"), WHY)
    assert moved.horse is not None
    assert (moved.horse.name, moved.revision) == ("Juniper", 2)
    assert moved.entry == wrong.entry
    assert store.entries_of(horse(store, "Bramble")) == []
    assert [f.horse for f in store.follow_ups()] == ["Juniper"]
    assert {hit.horse for hit in store.search("thrush")} == {"Juniper"}
    assert store.visits(horse(store, "Bramble")) == []
    assert [v.day for v in store.visits(horse(store, "Juniper"))] == [AT.date()]


def test_the_chain_keeps_where_it_stood_and_why_it_moved(store: Store) -> None:
    visit(store, seen(Foot.LF))
    wrong = newest(store, "Bramble")
    store.give_to_horse(wrong.id, horse(store, "Juniper"), WHY)
    first, second = store.chain()
    assert (first["horse_id"], first["reason"]) == (horse(store, "Bramble"), "")
    assert (second["horse_id"], second["reason"]) == (horse(store, "Juniper"), WHY)
    assert store.verify_chain().ok


def test_the_horse_that_was_not_there_keeps_its_promises(store: Store) -> None:
    visit(store, promise("next_trim"), horse="Bramble")
    visit(store, promise("next_trim"), horse="Juniper")
    visit(store, seen(Foot.LF), seen(Foot.RH), later=28)
    assert {f.horse for f in store.follow_ups()} == {"Juniper"}
    store.give_to_horse(newest(store, "Bramble").id, horse(store, "Juniper"), WHY)
    assert {f.horse for f in store.follow_ups()} == {"Bramble"}
    (kept,) = store.follow_ups(FollowUpState.DONE)
    assert (kept.horse, kept.reason) == ("Juniper", "visited on 2026-12-23")


def test_a_day_with_another_note_of_the_first_horse_stays_its_visit(store: Store) -> None:
    visit(store, promise("next_trim"))
    visit(store, seen(Foot.LF), seen(Foot.RH), later=28)
    visit(store, seen(Foot.RF), later=28)
    store.give_to_horse(newest(store, "Bramble").id, horse(store, "Juniper"), WHY)
    assert store.follow_ups() == []
    assert len(store.visits(horse(store, "Bramble"))) == 2


def test_a_promise_that_a_later_visit_of_the_first_horse_kept_is_open_for_the_second(
    store: Store,
) -> None:
    visit(store, promise("recheck", Foot.LF))
    visit(store, seen(Foot.LF), seen(Foot.RF), later=28)
    assert store.follow_ups() == []
    first = store.entries_of(horse(store, "Bramble"))[0]
    store.give_to_horse(first.id, horse(store, "Juniper"), WHY)
    assert [(f.horse, f.code) for f in store.follow_ups()] == [("Juniper", "recheck")]


def test_what_is_refused_changes_nothing(store: Store) -> None:
    visit(store, seen(Foot.LF))
    saved, juniper = newest(store, "Bramble"), horse(store, "Juniper")
    with pytest.raises(InputError, match="reason"):
        store.give_to_horse(saved.id, juniper, " ")
    with pytest.raises(InputError, match="already"):
        store.give_to_horse(saved.id, horse(store, "Bramble"), WHY)
    (draft,) = store.add_drafts(None, [replace(saved.entry, id="another")], at=AT)
    with pytest.raises(InputError, match="draft"):
        store.give_to_horse(draft.id, juniper, WHY)
    assert len(store.chain()) == 1
    assert store.visits(juniper) == []
    assert store.visits(horse(store, "Bramble"))[0].day == date(2026, 11, 25)
