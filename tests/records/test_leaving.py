"""A horse that was sold or died: it was due for ever, on every list."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from fieldlog.config import Settings
from fieldlog.errors import InputError
from fieldlog.papers.coming import left_items, stops_for, visit_items
from fieldlog.records.store import Store
from fieldlog.records.types import FollowUpState
from tests.records.notes import AT, note

SEEN = AT.date()
LATER = SEEN + timedelta(weeks=10)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(tmp_path / "f.db") as opened:
        opened.add_horse("Bramble", barn="Stony Ridge")
        (draft,) = opened.add_drafts(None, [note()], AT)
        opened.assign_horse(draft.id, opened.horse_named("Bramble").id)
        opened.save_entry(draft.id)
        yield opened


def barns(store: Store) -> list[str]:
    return [stop.barn for stop in stops_for(store, LATER, Settings())]


def test_a_horse_that_left_is_due_no_more_and_its_notes_stay(store: Store) -> None:
    horse = store.horse_named("Bramble")
    assert barns(store) == ["Stony Ridge"]
    dropped = store.horse_left(horse.id, " sold  to a school ", LATER)
    assert [f.text for f in dropped] == ["recheck"]
    assert store.follow_ups() == []
    assert store.visits_due() == []
    assert barns(store) == []
    assert store.page(horse.id).due is not None
    assert store.page(horse.id).due.due is None  # type: ignore[union-attr]
    assert len(store.saved_facts(horse.id)) == 3
    assert store.horse(horse.id).left_why == "sold to a school"


def test_back_again_opens_what_was_dropped_with_it_and_nothing_else(store: Store) -> None:
    horse = store.horse_named("Bramble")
    other = store.add_follow_up("bring", "bring pads", horse_id=horse.id)
    store.drop_follow_up(other.id, "no longer needed")
    store.horse_left(horse.id, "sold", LATER)
    opened = store.horse_back(horse.id)
    assert [f.text for f in opened] == ["recheck"]
    assert [f.text for f in store.follow_ups(FollowUpState.DROPPED)] == ["bring pads"]
    assert [v.horse.id for v in store.visits_due()] == [horse.id]
    with pytest.raises(InputError, match="did not leave"):
        store.horse_back(horse.id)


def test_a_later_visit_brings_it_back_unasked(store: Store) -> None:
    horse = store.horse_named("Bramble")
    store.horse_left(horse.id, "another farrier", SEEN)
    assert store.visits_due() == []
    store.visit_for(horse.id, SEEN + timedelta(days=1))
    (due,) = store.visits_due()
    assert due.due == SEEN + timedelta(days=1, weeks=6)


def test_a_note_of_its_name_is_asked_about_until_it_is_back(store: Store) -> None:
    horse = store.horse_named("Bramble")
    store.horse_left(horse.id, "died", LATER)
    (draft,) = store.add_drafts(None, [replace(note(), id="new")], AT + timedelta(weeks=20))
    assert draft.horse is None
    store.assign_horse(draft.id, horse.id)
    store.save_entry(draft.id)
    assert (store.horse(horse.id).left_on, store.horse(horse.id).left_why) == ("", "")
    (next_one,) = store.add_drafts(None, [replace(note(), id="next")], AT + timedelta(weeks=24))
    assert next_one.horse is not None


def test_what_is_promised_for_it_afterwards_is_not_hidden(store: Store) -> None:
    horse = store.horse_named("Bramble")
    store.horse_left(horse.id, "sold", LATER)
    store.add_follow_up("next_trim", "next trim", horse_id=horse.id, due=LATER)
    assert barns(store) == ["Stony Ridge"]


def test_no_reason_is_refused(store: Store) -> None:
    with pytest.raises(InputError, match="why"):
        store.horse_left(store.horse_named("Bramble").id, "  ", LATER)
    assert store.visits_due()


def test_its_event_in_a_calendar_is_taken_away(store: Store) -> None:
    """RFC 5545 3.8.7.4: what replaces an event has its UID and a higher SEQUENCE."""
    horse = store.horse_named("Bramble")
    for item in store.follow_ups():
        store.close_follow_up(item.id)
    (before,) = visit_items(store.visits_due())
    store.horse_left(horse.id, "died", SEEN)
    (after,) = left_items(store)
    assert (after.uid, after.cancelled) == (before.uid, True)
    assert after.sequence > before.sequence


def test_a_forgotten_owner_takes_the_reason_along(store: Store) -> None:
    horse = store.horse_named("Bramble")
    client = store.add_client("Roy Tanner")
    store.raw.execute("UPDATE horses SET client_id = ?", [client.id])
    store.raw.commit()
    store.horse_left(horse.id, "sold to Nora Quill", date(2027, 1, 2))
    store.forget_client(client.id, "asked for it")
    assert store.horse(horse.id).left_why == ""
