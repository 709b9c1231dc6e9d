"""A saved note under the wrong day goes to the right one, with all that hangs on it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from fieldlog.core.feet import Foot
from fieldlog.errors import InputError
from fieldlog.other_day import counted_from
from fieldlog.papers.gather import corrections_of
from fieldlog.records.store import Store
from fieldlog.records.types import FollowUpState, StoredEntry
from tests.records.notes import AT, note
from tests.records.test_kept_promises import promise, seen, visit

WHY = "the recorder's clock was wrong"
DAY, EARLIER = AT.date(), AT.date() - timedelta(days=15)


def newest(store: Store) -> StoredEntry:
    return store.entries_of(store.horse_named("Bramble").id)[-1]


def redated(store: Store, day: date) -> StoredEntry:
    stored = newest(store)
    facts = counted_from(stored.entry.facts, stored.day, day)
    return store.give_saved_day(stored.id, day, facts, WHY)


@pytest.fixture
def saved(store: Store) -> Store:
    """Bramble's note, saved: a measure, no thrush, a recheck in four weeks."""
    (draft,) = store.add_drafts(None, [note()], at=AT)
    store.save_entry(draft.id)
    return store


def test_visit_history_search_and_promises_go_along(saved: Store) -> None:
    moved = redated(saved, EARLIER)
    assert (moved.day, moved.at.date(), moved.revision) == (EARLIER, EARLIER, 2)
    horse = saved.horse_named("Bramble").id
    assert [v.day for v in saved.visits(horse)] == [EARLIER]
    assert {f.day for f in saved.saved_facts(horse)} == {EARLIER}
    assert {hit.day for hit in saved.search("toe")} == {EARLIER}
    (recheck,) = saved.follow_ups()
    assert recheck.due == EARLIER + timedelta(weeks=4)


def test_the_chain_keeps_the_day_before_and_shows_what_was_sealed(saved: Store) -> None:
    redated(saved, EARLIER)
    assert [r.day for r in saved.revisions(newest(saved).id)] == [DAY, EARLIER]
    assert saved.verify_chain().ok
    assert saved.shown_otherwise() == []
    (correction,) = corrections_of(saved, newest(saved))
    assert correction.moved == f"Had been saved under {DAY}, is of {EARLIER}."
    assert correction.reason == WHY


def test_it_is_taken_back_like_any_correction(saved: Store) -> None:
    redated(saved, EARLIER)
    back = saved.take_back(newest(saved).id)
    assert (back.day, back.revision) == (DAY, 3)
    (recheck,) = saved.follow_ups()
    assert recheck.due == DAY + timedelta(weeks=4)
    assert [v.day for v in saved.visits(saved.horse_named("Bramble").id)] == [DAY]
    with pytest.raises(InputError, match="nothing to take back"):
        saved.take_back(back.id)
    assert saved.verify_chain().ok


def test_what_the_visit_of_the_wrong_day_had_kept_opens_again(store: Store) -> None:
    visit(store, promise("next_trim"))
    visit(store, seen(Foot.LF), later=28)
    assert store.follow_ups() == []
    second = redated(store, DAY - timedelta(days=7))  # it was before the promise
    assert [f.code for f in store.follow_ups()] == ["next_trim"]
    store.give_saved_day(second.id, DAY + timedelta(days=30), second.entry.facts, WHY)
    assert store.follow_ups() == []


def test_what_was_promised_is_kept_by_visits_after_the_right_day_only(store: Store) -> None:
    visit(store, seen(Foot.LF), later=28)
    visit(store, promise("next_trim"))
    assert [f.state for f in store.follow_ups(None)] == [FollowUpState.DONE]
    first = store.entries_of(store.horse_named("Bramble").id)[0]
    day = DAY + timedelta(days=40)
    store.give_saved_day(first.id, day, first.entry.facts, WHY)
    assert [f.state for f in store.follow_ups(None)] == [FollowUpState.OPEN]


def test_the_visit_stays_in_the_time_of_its_owner(saved: Store) -> None:
    horse = saved.horse_named("Bramble")
    roy, ida = saved.add_client("Roy Tanner"), saved.add_client("Ida Moss")
    horse = saved.update_horse(replace(horse, client_id=roy.id), all_along=True)
    horse = saved.update_horse(replace(horse, client_id=ida.id))
    assert saved.days_of_another_owner(horse) == {DAY}
    redated(saved, EARLIER)
    assert saved.days_of_another_owner(horse) == {EARLIER}


@pytest.mark.parametrize(("day", "why"), [(DAY, WHY), (EARLIER, " ")])
def test_what_makes_no_sense_changes_nothing(saved: Store, day: date, why: str) -> None:
    stored = newest(saved)
    with pytest.raises(InputError):
        saved.give_saved_day(stored.id, day, stored.entry.facts, why)
    assert newest(saved) == stored


def test_a_draft_and_what_was_taken_out_are_refused(saved: Store, tmp_path: Path) -> None:
    (draft,) = saved.add_drafts(None, [note()], at=AT)
    with pytest.raises(InputError, match="still a draft"):
        saved.give_saved_day(draft.id, EARLIER, draft.entry.facts, WHY)
    horse = saved.horse_named("Bramble")
    client = saved.add_client("Roy Tanner")
    saved.update_horse(replace(horse, client_id=client.id), all_along=True)
    saved.forget_client(client.id, "asked for by letter")
    (gone,) = saved.entries_of(horse.id)
    with pytest.raises(InputError, match="taken out on request"):
        saved.give_saved_day(gone.id, EARLIER, (), WHY)
