"""A note about no horse makes no record, but what it promises is not lost."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from fieldlog.core.facts import Due, Entry, Fact, FactKind
from fieldlog.errors import SavedIsFixed
from fieldlog.records.store import Store
from fieldlog.records.types import FollowUpState
from tests.records.test_kept_promises import promise, visit

TEXT = "order more size two shoes by friday"
ORDER = Fact(
    FactKind.FOLLOW_UP,
    "bring",
    details={"who": "farrier"},
    due=Due("by friday", "", on=date(2026, 12, 4)),
    span=(0, len(TEXT)),
    id="order",
)


def test_what_it_promises_is_on_the_list_and_goes_back_with_it(store: Store) -> None:
    (draft,) = store.add_drafts(None, [Entry((ORDER,), TEXT, (0, len(TEXT)))])
    (kept,) = store.set_aside_without_horse(draft.id)
    assert store.drafts() == []
    assert [d.id for d in store.set_aside()] == [draft.id]
    (listed,) = store.lines()
    assert listed == kept
    assert (listed.horse_id, listed.due, listed.entry_id) == (None, date(2026, 12, 4), draft.id)
    assert "order more size two shoes" in listed.text
    assert store.undo(draft.id) is not None
    assert [d.id for d in store.drafts()] == [draft.id]
    assert store.lines() == []
    (dropped,) = store.follow_ups(FollowUpState.DROPPED)
    assert dropped.reason == "its note is a draft again"
    # A second time, and what was done meanwhile stays done.
    (again,) = store.set_aside_without_horse(draft.id)
    store.close_follow_up(again.id, "ordered")
    store.undo(draft.id)
    assert [f.reason for f in store.follow_ups(FollowUpState.DONE)] == ["ordered"]


def test_one_that_promises_nothing_is_only_set_aside(store: Store) -> None:
    trim = replace(ORDER, kind=FactKind.WORK, code="trim")
    denied = replace(ORDER, negated=True, id="denied")
    (draft,) = store.add_drafts(None, [Entry((trim, denied), TEXT, (0, len(TEXT)))])
    assert store.set_aside_without_horse(draft.id) == []
    assert (store.drafts(), store.follow_ups()) == ([], [])


def test_a_saved_one_stays(store: Store) -> None:
    visit(store, promise("call"))
    (saved,) = store.follow_ups()
    assert saved.entry_id is not None
    with pytest.raises(SavedIsFixed):
        store.set_aside_without_horse(saved.entry_id)
    assert len(store.follow_ups()) == 1


def test_undoing_another_correction_drops_nothing(store: Store) -> None:
    (draft,) = store.add_drafts(None, [Entry((ORDER,), TEXT, (0, len(TEXT)))])
    horse = store.add_horse("Rosie")
    store.add_follow_up("bring", "bring pads", horse_id=horse.id, entry_id=draft.id)
    store.assign_horse(draft.id, horse.id)
    store.undo(draft.id)
    assert len(store.follow_ups()) == 1
