"""A visit closes what it has done by taking place, and nothing else."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from fieldlog.core.facts import Due, Entry, Fact, FactKind, FootBasis, HorseMention
from fieldlog.core.feet import Foot
from fieldlog.records.store import Store
from fieldlog.records.types import FollowUpState
from tests.records.notes import AT


def promise(code: str, *feet: Foot, who: str = "farrier") -> Fact:
    basis = FootBasis.SAID if feet else FootBasis.WHOLE_HORSE
    due = Due("in four weeks", "P4W", date(2026, 12, 23))
    return Fact(FactKind.FOLLOW_UP, code, feet, basis, due=due, details={"who": who})


def seen(*feet: Foot) -> Fact:
    return Fact(FactKind.FINDING, "thrush", feet, FootBasis.SAID)


def visit(store: Store, *facts: Fact, horse: str = "Bramble", later: int = 0) -> None:
    said = HorseMention(horse, (0, 4), known=True)
    entry = Entry(facts=facts, text="said", span=(0, 4), horse=said)
    (draft,) = store.add_drafts(None, [entry], at=AT + timedelta(days=later))
    store.save_entry(draft.id)


def still_open(store: Store) -> set[str]:
    return {f.code for f in store.follow_ups()}


def test_the_next_visit_closes_what_was_promised_for_it(store: Store) -> None:
    visit(store, promise("next_trim"), promise("recheck"), promise("cycle"))
    visit(store, seen(Foot.LF), promise("next_trim"), later=42)
    done = store.follow_ups(FollowUpState.DONE)
    assert {f.code for f in done} == {"next_trim", "recheck", "cycle"}
    assert {f.reason for f in done} == {"visited on 2027-01-06"}
    assert len(store.follow_ups()) == 1  # what this visit itself promised
    again = store.reopen_follow_up(done[0].id)
    assert (again.state, again.reason) == (FollowUpState.OPEN, "")


def test_a_recheck_of_a_foot_waits_until_that_foot_is_spoken_of(store: Store) -> None:
    visit(store, promise("recheck", Foot.LH))
    visit(store, seen(Foot.LF), later=10)
    assert still_open(store) == {"recheck"}
    visit(store, seen(Foot.LH, Foot.RH), later=20)
    assert still_open(store) == set()


def test_a_look_at_one_foot_well_before_its_day_is_not_the_promised_visit(store: Store) -> None:
    visit(store, promise("next_trim"), promise("recheck", Foot.LF))
    visit(store, seen(Foot.LF), later=10)
    assert still_open(store) == {"next_trim"}
    visit(store, seen(Foot.LF), promise("next_trim"), later=11)
    (old,) = [f for f in store.follow_ups(FollowUpState.DONE) if f.code == "next_trim"]
    assert old.reason == "visited on 2026-12-06"
    assert len(store.follow_ups()) == 1  # the new one in place of the old one
    visit(store, seen(Foot.LF), later=22)  # within a week of the 23rd
    assert still_open(store) == set()


@pytest.mark.parametrize(
    "kept",
    [
        promise("recheck", who="vet"),
        promise("next_trim", who="owner"),
        promise("radiographs", who="vet"),
        promise("owner_care", who="owner"),
        promise("call"),
        promise("second_handler"),
    ],
)
def test_what_others_do_and_other_promises_stay_open(store: Store, kept: Fact) -> None:
    visit(store, kept)
    visit(store, seen(*Foot), later=42)
    assert still_open(store) == {kept.code}


def test_the_same_day_an_earlier_day_and_another_horse_close_nothing(store: Store) -> None:
    visit(store, promise("next_trim"))
    visit(store, seen(*Foot))
    visit(store, seen(*Foot), later=-7)
    visit(store, seen(*Foot), horse="Juniper", later=42)
    assert still_open(store) == {"next_trim"}


def test_a_promise_entered_by_hand_counts_from_its_day(store: Store) -> None:
    horse = store.horse_named("Bramble")
    store.add_follow_up("next_trim", "next trim", horse_id=horse.id)
    visit(store, seen(*Foot), later=-400)
    assert still_open(store) == {"next_trim"}
    visit(store, seen(*Foot), later=40_000)
    assert still_open(store) == set()


def test_what_was_promised_is_kept_with_its_label(store: Store) -> None:
    text = "owner is to pick out the feet daily"
    care = Fact(FactKind.FOLLOW_UP, "owner_care", span=(0, len(text)), details={"who": "owner"})
    entry = Entry(facts=(care,), text=text, span=(0, len(text)),
                  horse=HorseMention("Bramble", (0, 0), known=True))  # fmt: skip
    (draft,) = store.add_drafts(None, [entry], at=AT)
    store.save_entry(draft.id)
    (kept,) = store.follow_ups()
    assert (kept.text, kept.due_spoken) == ("owner care: pick out the feet daily", "")
