"""A note without a visit neither begins a cycle nor keeps a promise: the horse is not left out."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from fieldlog.core.facts import Due, Entry, Fact, FactKind, HorseMention, Reporter
from fieldlog.core.feet import Foot
from fieldlog.records.store import Store
from fieldlog.records.types import FollowUpState
from tests.records.notes import AT
from tests.records.test_kept_promises import promise, seen, visit


def rang(store: Store, text: str, *facts: Fact, later: int) -> str:
    """A note that was typed after a call."""
    said = HorseMention("Bramble", (0, 0), known=True)
    entry = Entry(facts, text, (0, len(text)), said)
    (draft,) = store.add_drafts(None, [entry], at=AT + timedelta(days=later))
    return store.save_entry(draft.id).id


def due(store: Store) -> date | None:
    (found,) = store.visits_due(horse_id=store.horse_named("Bramble").id)
    return found.due


def test_a_call_begins_no_cycle(store: Store) -> None:
    """“Owner rang, wants the vet” put the trim off by six weeks."""
    visit(store, seen(Foot.LF), seen(Foot.RF))
    before = due(store)
    rang(store, "owner rang", promise("vet_visit", who="vet"), later=30)
    assert due(store) == before == AT.date() + timedelta(weeks=6)
    page = store.page(store.horse_named("Bramble").id)
    assert page.last_day == AT.date()
    assert [s.fact.code for s in page.since] == ["vet_visit"]


def test_a_visit_that_was_called_off_keeps_no_promise_and_gets_its_new_day(store: Store) -> None:
    visit(store, seen(Foot.LF), promise("next_trim"), promise("recheck", Foot.LF))
    day = AT.date() + timedelta(days=35)
    again = replace(promise("next_trim"), due=Due("next tuesday", "", day))
    rang(store, "owner cancelled, back next tuesday", again, later=28)
    assert {(p.code, p.due) for p in store.follow_ups()} == {
        ("next_trim", day),
        ("recheck", date(2026, 12, 23)),
    }
    (dropped,) = store.follow_ups(FollowUpState.DROPPED)
    assert dropped.reason == "put off on 2026-12-23"
    assert due(store) == day
    visit(store, seen(Foot.LF), seen(Foot.RF), later=35)
    assert store.follow_ups() == []


def test_what_was_told_by_telephone_flags_the_page(store: Store) -> None:
    visit(store, seen(Foot.LF))
    told = Fact(FactKind.FINDING, "laminitis", (Foot.LF,), reporter=Reporter.OWNER)
    rang(store, "owner says she has laminitis", told, later=10)
    page = store.page(store.horse_named("Bramble").id)
    assert page.last_day == AT.date()
    assert page.red_flags == ("laminitis_signs",)


def test_a_correction_makes_it_a_visit_and_none_again(store: Store) -> None:
    visit(store, seen(Foot.LF), seen(Foot.RF), promise("next_trim"))
    note = rang(store, "owner rang", promise("call", who="owner"), later=28)
    horse = store.horse_named("Bramble").id
    facts = store.entry(note).entry.facts
    store.revise_entry(note, (*facts, seen(Foot.LF), seen(Foot.RF)), "forgotten")
    assert store.last_day(horse) == AT.date() + timedelta(days=28)
    assert {p.code for p in store.follow_ups()} == {"call"}
    store.take_back(note)
    assert store.last_day(horse) == AT.date()
    assert {p.code for p in store.follow_ups()} == {"call", "next_trim"}
