"""A corrected note: its promises follow its facts, and come back with them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from fieldlog.core.facts import Due, Fact
from fieldlog.core.feet import Foot
from fieldlog.records.store import Store
from fieldlog.records.types import FollowUp, FollowUpState, StoredEntry
from tests.records.test_kept_promises import promise, seen, visit

WHY = "it was misheard"
SAID, RIGHT, MOVED = date(2026, 12, 20), date(2027, 2, 1), date(2027, 3, 1)
THEN = replace(promise("recheck", Foot.LF), due=Due(on=SAID, spoken="in four weeks"))
SOONER = replace(THEN, due=Due(on=RIGHT, spoken="first of February"))


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(tmp_path / "fieldlog.db") as opened:
        opened.add_horse("Bramble")
        yield opened


def note(store: Store, fact: Fact) -> StoredEntry:
    visit(store, seen(Foot.LF), fact)
    (horse,) = store.find_horses("Bramble")
    return store.entries_of(horse.id)[-1]


def only(store: Store, entry: StoredEntry) -> FollowUp:
    (found,) = store.promises_of(entry.id)
    return found


def revised(store: Store, entry: StoredEntry, *facts: Fact) -> FollowUp:
    store.revise_entry(entry.id, (entry.entry.facts[0], *facts), WHY)
    return only(store, entry)


def test_a_promise_takes_the_day_and_the_feet_of_its_corrected_fact(store: Store) -> None:
    entry = note(store, THEN)
    first = only(store, entry)
    now = revised(store, entry, replace(SOONER, feet=(Foot.RF,)))
    assert (now.id, now.due, now.feet, now.state) == (
        first.id, RIGHT, (Foot.RF,), FollowUpState.OPEN
    )  # fmt: skip
    assert now.sequence == first.sequence + 1, "a calendar takes the change"


def test_a_day_that_it_was_moved_to_stays(store: Store) -> None:
    entry = note(store, THEN)
    store.move_follow_up(only(store, entry).id, MOVED)
    assert revised(store, entry, SOONER).due == MOVED


def test_a_promise_goes_with_its_fact_and_comes_back_with_it(store: Store) -> None:
    entry = note(store, THEN)
    gone = revised(store, entry)
    assert (gone.state, gone.reason) == (
        FollowUpState.DROPPED, "the note was corrected: it was misheard"
    )  # fmt: skip
    store.take_back(entry.id)
    back = only(store, entry)
    assert (back.id, back.state, back.due) == (gone.id, FollowUpState.OPEN, SAID)


def test_a_fact_that_is_denied_promises_nothing(store: Store) -> None:
    entry = note(store, THEN)
    assert revised(store, entry, replace(THEN, negated=True)).state is FollowUpState.DROPPED


def test_what_is_done_or_was_dropped_by_hand_is_left(store: Store) -> None:
    entry = note(store, THEN)
    store.close_follow_up(only(store, entry).id)
    assert revised(store, entry, SOONER).due == SAID
    assert revised(store, entry).state is FollowUpState.DONE
    other = note(store, replace(THEN, id="other"))
    store.drop_follow_up(only(store, other).id, "owner sold him")
    store.revise_entry(other.id, (other.entry.facts[0],), WHY)
    store.take_back(other.id)
    assert only(store, other).state is FollowUpState.DROPPED


def test_a_call_for_a_veterinarian_is_dropped_only_by_hand(store: Store) -> None:
    entry = note(store, replace(THEN, details={"who": "farrier", "urgent": "yes"}))
    assert revised(store, entry).state is FollowUpState.OPEN


def test_a_doubt_that_ended_changes_no_promise(store: Store) -> None:
    entry = note(store, THEN)
    before = only(store, entry)
    assert revised(store, entry, replace(THEN, confidence=0.2)) == before
