"""A promise that was said again is one line; what is done to the line is done to all of it."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from fieldlog.core.facts import Fact
from fieldlog.core.feet import Foot
from fieldlog.records.said_again import said_once
from fieldlog.records.store import Store
from fieldlog.records.types import FollowUp, FollowUpState
from tests.records.test_kept_promises import promise, visit

CALL = promise("call", who="owner")


def said_twice(store: Store, first: Fact = CALL, second: Fact = CALL) -> None:
    """In two notes, two weeks apart, for the same day."""
    visit(store, first)
    visit(store, replace(second, id="second"), later=14)


def test_it_is_one_line_that_says_where_it_was_said(store: Store) -> None:
    said_twice(store)
    (line,) = store.lines()
    assert line.where_said == "said twice: 2026-11-25, 2026-12-09"
    assert {store.line(one).id for one in line.ids} == {line.id}
    assert len(store.follow_ups()) == 2  # each note keeps its own
    (shown,) = store.page(line.horse_id or "").follow_ups
    assert shown == line


@pytest.mark.parametrize(
    "other",
    [
        promise("radiographs", who="owner"),
        promise("call"),
        promise("call", Foot.LF, who="owner"),
        replace(CALL, due=None),
        replace(CALL, details={"who": "owner", "condition": "if he is no sounder"}),
        replace(CALL, details={"who": "owner", "text": "call about the pads"}),
    ],
)
def test_another_kind_day_foot_or_party_is_another_line(store: Store, other: Fact) -> None:
    said_twice(store, CALL, other)
    assert [line.also for line in store.lines()] == [(), ()]


def test_the_same_of_another_horse_is_another_line(store: Store) -> None:
    store.add_horse("Rosie")
    visit(store, CALL)
    visit(store, replace(CALL, id="second"), horse="Rosie")
    assert [line.also for line in store.lines()] == [(), ()]


def test_two_without_a_day_are_one_line(store: Store) -> None:
    said_twice(store, replace(CALL, due=None), replace(CALL, due=None))
    (line,) = store.lines()
    assert (len(line.ids), line.due) == (2, None)


@pytest.mark.parametrize("state", [FollowUpState.DONE, FollowUpState.DROPPED])
def test_done_and_dropped_follow_both_and_so_does_open_again(
    store: Store, state: FollowUpState
) -> None:
    said_twice(store)
    (line,) = store.lines()
    if state is FollowUpState.DONE:
        store.close_line(line.ids, "rang")
    else:
        store.drop_line(line.ids, "rang")
    assert store.follow_ups() == []
    (closed,) = store.lines(state)
    assert (closed.ids, closed.reason) == (line.ids, "rang")
    store.reopen_line(store.line(line.also[0]).ids)
    assert store.lines() == [replace(line, sequence=line.sequence + 2)]


def test_another_day_follows_both(store: Store) -> None:
    said_twice(store)
    (line,) = store.lines()
    store.move_line(line.ids, date(2027, 1, 10))
    assert [f.due for f in store.follow_ups()] == [date(2027, 1, 10)] * 2


def test_a_correction_of_one_note_leaves_what_the_other_promised(store: Store) -> None:
    said_twice(store)
    (line,) = store.lines()
    note = store.follow_up(line.id).entry_id
    assert note is not None
    store.revise_entry(note, (), "misheard")
    (left,) = store.lines()
    assert (left.id, left.also) == (line.also[0], ())


def test_one_that_was_closed_before_is_not_opened_with_it(store: Store) -> None:
    visit(store, CALL)
    (first,) = store.lines()
    store.close_line(first.ids, "rang")
    visit(store, replace(CALL, id="second"), later=14)
    (second,) = store.lines()
    store.close_line(second.ids, "rang again")
    store.reopen_line(store.line(second.id).ids)
    assert [f.id for f in store.follow_ups()] == [second.id]


def test_a_visit_keeps_both(store: Store) -> None:
    from tests.records.test_kept_promises import seen

    said_twice(store, promise("next_trim"), promise("next_trim"))
    visit(store, seen(Foot.LF, Foot.RF), later=28)
    assert store.follow_ups() == []


def test_a_line_is_closed_at_one_moment_and_known_by_it(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One that was closed before with the same words is another line, and stays closed."""
    seconds = (f"2026-12-{n:02}T09:00:00+00:00" for n in range(1, 30))
    for place in ("said_again", "followups"):
        monkeypatch.setattr(f"fieldlog.records.{place}.utc_now", lambda: next(seconds))
    visit(store, CALL)
    store.close_line(store.lines()[0].ids)
    visit(store, replace(CALL, id="second"), later=14)
    visit(store, replace(CALL, id="third"), later=15)
    (line,) = store.lines()
    store.close_line(line.ids)
    assert sorted(len(done.ids) for done in store.lines(FollowUpState.DONE)) == [1, 2]
    store.reopen_line(store.line(line.id).ids)
    assert {f.id for f in store.follow_ups()} == set(line.ids)


def of_no_horse(store: Store, text: str, day: date | None = None, code: str = "order") -> FollowUp:
    return store.add_follow_up(code, text, due=day)


def test_what_is_about_no_horse_is_one_line_by_its_words_and_its_day(store: Store) -> None:
    of_no_horse(store, "order more size two shoes")
    of_no_horse(store, "Order more size two shoes.", code="recheck")  # the kind if none is given
    of_no_horse(store, "bring something: order more size two shoes", code="bring")  # of a note
    of_no_horse(store, "order nails")
    of_no_horse(store, "order nails", date(2026, 12, 4))
    lines = store.lines()
    assert sorted(len(line.ids) for line in lines) == [1, 1, 3]
    (shoes,) = (line for line in lines if line.also)
    assert shoes.where_said == "said 3 times: by hand"
    assert store.line(shoes.also[0]).ids == shoes.ids
    store.close_line(shoes.ids, "ordered")
    assert {f.text for f in store.follow_ups()} == {"order nails"}
    (again,) = store.lines(FollowUpState.DONE)
    store.reopen_line(again.ids)
    assert len(store.lines()) == 3


def test_a_visit_promised_to_no_horse_is_told_by_its_words(store: Store) -> None:
    """Two horses that nobody named yet may both be due that day."""
    day = date(2026, 12, 4)
    of_no_horse(store, "trim the grey", day, "next_trim")
    of_no_horse(store, "trim the chestnut", day, "next_trim")
    assert [line.also for line in store.lines()] == [(), ()]


def test_a_promise_of_a_horse_is_not_joined_with_one_of_none(store: Store) -> None:
    horse = store.add_horse("Rosie")
    of_no_horse(store, "order pads")
    store.add_follow_up("order", "order pads", horse_id=horse.id)
    assert [line.also for line in store.lines()] == [(), ()]


def test_a_line_leads_to_the_note_of_whichever_came_from_one(store: Store) -> None:
    """What was typed first has none; the note that says it again is found all the same."""
    said_twice(store)
    one, other = store.follow_ups()
    typed = replace(one, entry_id=None, fact_id=None, created_at=datetime(2020, 1, 1, tzinfo=UTC))
    (line,) = said_once([other, typed], {})
    assert (line.id, line.also) == (typed.id, (other.id,))
    assert (line.entry_id, line.fact_id) == (other.entry_id, other.fact_id)
