"""From sound to saved record in a real SQLite file."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path, PureWindowsPath

import pytest

from fieldlog.core.facts import Due, Entry, Fact, FactKind, FootBasis, HorseMention, Passage
from fieldlog.core.feet import FRONTS, Foot
from fieldlog.core.units import Quantity, Unit
from fieldlog.core.words import Transcript, Word
from fieldlog.errors import (
    BadIdentity,
    DatabaseDamaged,
    DatabaseTooNew,
    InputError,
    NotFound,
    SavedIsFixed,
)
from fieldlog.records.sounds import below
from fieldlog.records.store import Store
from fieldlog.records.types import EntryState, FollowUpState
from tests.records.notes import keep_sound

TEXT = (
    "this is bramble left front toe three and a quarter no thrush recheck in four weeks sunny day"
)
AT = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)


def toe(value: float = 3.25, foot: Foot = Foot.LF) -> Fact:
    return Fact(
        FactKind.MEASUREMENT,
        "toe_length",
        feet=(foot,),
        foot_basis=FootBasis.SAID,
        quantity=Quantity(value, Unit.INCH),
        span=(16, 50),
        sound=(1.0, 3.0),
    )


def entry() -> Entry:
    return Entry(
        facts=(
            toe(),
            Fact(FactKind.FINDING, "thrush", feet=FRONTS, negated=True, span=(51, 60)),
            Fact(
                FactKind.FOLLOW_UP,
                "recheck",
                span=(61, 82),
                due=Due("in four weeks", "P4W", date(2026, 12, 23)),
            ),
        ),
        text=TEXT,
        span=(0, len(TEXT)),
        horse=HorseMention("bramble", (8, 15)),
        passages=(Passage((83, 92), "sunny day"),),
    )


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(tmp_path / "f.db", author="Ada Quill") as opened:
        yield opened


def recorded(store: Store) -> str:
    return store.add_recording("a" * 64, None, 5.0, AT, "clock", "n.wav").id


def saved(store: Store) -> str:
    store.add_horse("Bramble", barn="Hollow Creek")
    draft = store.add_drafts(recorded(store), [entry()])[0]
    store.save_entry(draft.id)
    return draft.id


def test_the_same_sound_is_one_recording(store: Store) -> None:
    assert recorded(store) == recorded(store)


def test_every_reading_is_kept(store: Store) -> None:
    recording = recorded(store)
    store.store_transcript(recording, Transcript((Word("left", 0, 1),), reader="one"))
    store.store_transcript(recording, Transcript((Word("lift", 0, 1),), reader="two"))
    assert [t.reader for t in store.transcripts(recording)] == ["two", "one"]


def test_a_known_horse_is_assigned_at_once(store: Store) -> None:
    horse = store.add_horse("Bramble")
    assert store.add_drafts(None, [entry()], at=AT)[0].horse == horse


def test_two_horses_of_one_name_are_left_to_the_farrier(store: Store) -> None:
    store.add_horse("Bramble")
    store.add_horse("Bramble")
    assert store.add_drafts(None, [entry()], at=AT)[0].horse is None
    with pytest.raises(InputError, match="Several horses"):
        store.horse_named("Bramble")


def test_the_beginning_of_a_name_is_enough_and_a_mistyped_name_is_asked_about(store: Store) -> None:
    horse = store.add_horse("Bramble")
    assert store.horse_named("bram") == horse
    with pytest.raises(NotFound, match="no horse called “Brambel”") as caught:
        store.horse_named("Brambel")
    assert "Did you mean Bramble?" in str(caught.value.remedy)


def test_a_change_can_be_undone_and_is_remembered(store: Store) -> None:
    draft = store.add_drafts(None, [entry()], at=AT)[0]
    fact = draft.entry.facts[0]
    changed = store.change_fact(draft.id, replace(fact, feet=(Foot.RF,)))
    assert changed.entry.facts[0].feet == (Foot.RF,)
    assert fact.id in changed.looked_at
    back = store.undo(draft.id)
    assert back is not None
    assert back.entry == draft.entry
    assert back.looked_at == frozenset()
    assert [(c.action, c.undone) for c in store.corrections(draft.id)] == [("change", True)]
    assert store.undo(draft.id) is None


def test_a_deleted_fact_leaves_its_words(store: Store) -> None:
    draft = store.add_drafts(None, [entry()], at=AT)[0]
    after = store.delete_fact(draft.id, draft.entry.facts[1].id)
    assert len(after.entry.facts) == 2
    assert after.entry.passages[-1].text == TEXT[51:60]


def test_split_and_join_entries(store: Store) -> None:
    draft = store.add_drafts(None, [entry()], at=AT)[0]
    head, tail = store.split_entry(draft.id, 61)
    assert (len(head.entry.facts), len(tail.entry.facts)) == (2, 1)
    one = store.join_entries(head.id, tail.id)
    assert one.entry.facts == draft.entry.facts
    assert [d.id for d in store.drafts()] == [draft.id]


def test_what_is_broken_off_stands_where_it_was_spoken(store: Store) -> None:
    """It stood behind the next horse of the recording, and could not be joined again with J."""
    recording = keep_sound(store, store.path.parent, b"two horses")
    after = replace(entry(), facts=(), span=(len(TEXT), len(TEXT) + 10), text=f"{TEXT} next horse")
    other = keep_sound(store, store.path.parent, b"another note of the same minute")
    first, second = store.add_drafts(recording, [entry(), after], at=AT)
    (third,) = store.add_drafts(other, [entry()], at=AT)
    head, tail = store.split_entry(first.id, 61)
    ids = [first.id, tail.id, second.id, third.id]
    assert head.id == first.id
    assert [d.id for d in store.drafts()] == ids
    assert [d.id for d in store.entries_on(AT.date())] == ids


def test_a_discarded_draft_comes_back_by_undo(store: Store) -> None:
    draft = store.add_drafts(None, [entry()], at=AT)[0]
    store.discard(draft.id, "test note")
    assert store.drafts() == []
    store.undo(draft.id)
    assert [d.id for d in store.drafts()] == [draft.id]


def test_saving_needs_a_horse(store: Store) -> None:
    draft = store.add_drafts(None, [entry()], at=AT)[0]
    with pytest.raises(InputError, match="not yet assigned"):
        store.save_entry(draft.id)
    assert store.entry(draft.id).state is EntryState.DRAFT


def test_a_saved_entry_is_fixed(store: Store) -> None:
    entry_id = saved(store)
    with pytest.raises(SavedIsFixed):
        store.change_fact(entry_id, toe())
    with pytest.raises(SavedIsFixed):
        store.undo(entry_id) or store.save_entry(entry_id)
    with pytest.raises(sqlite3.IntegrityError, match="new revision"):
        store.raw.execute("UPDATE revisions SET body = ''")


def test_a_revision_keeps_the_old_one(store: Store) -> None:
    entry_id = saved(store)
    with pytest.raises(InputError, match="reason"):
        store.revise_entry(entry_id, (), " ")
    after = store.revise_entry(entry_id, (toe(3.5),), "measured again")
    assert after.revision == 2
    assert [len(r.entry.facts) for r in store.revisions(entry_id)] == [3, 1]
    points = store.measures(store.horse_named("Bramble").id, "toe_length")
    assert [p.value for p in points] == [pytest.approx(88.9)]


def test_saving_makes_visit_follow_up_and_history(store: Store) -> None:
    saved(store)
    horse = store.horse_named("bramble")
    assert [v.day for v in store.visits(horse.id)] == [date(2026, 11, 25)]
    follow_up = store.follow_ups()[0]
    assert (follow_up.code, follow_up.due) == ("recheck", date(2026, 12, 23))
    page = store.page(horse.id)
    assert page.due is not None
    assert page.due.due == date(2027, 1, 6)  # six weeks, common practice, no source
    assert [m.code for m in page.measures] == ["toe_length"]


def test_the_page_knows_the_last_visits_red_flags_and_what_the_work_left(store: Store) -> None:
    """What was found before the work is not the last measure, in whichever order it was said."""
    store.add_horse("Bramble")
    left = replace(toe(3.25), details={"moment": "after"})
    found = replace(toe(3.75), details={"moment": "before"}, id="found")
    flagged = Fact(FactKind.FINDING, "laminitis", feet=FRONTS, id="flagged")
    said = replace(entry(), facts=(left, found, flagged))
    store.save_entry(store.add_drafts(None, [said], at=AT)[0].id)
    page = store.page(store.horse_named("bramble").id)
    assert page.red_flags == ("laminitis_signs",)
    corrected = store.saved_entries()[0]
    store.revise_entry(corrected.id, (left, found), "it was only overgrown")
    assert store.page(page.horse.id).red_flags == ()
    assert [(m.shown, m.before) for m in page.measures] == [("3 1/4 in", False)]


def test_a_day_saved_late_leaves_no_promise_open_that_a_later_visit_kept(store: Store) -> None:
    store.add_horse("Bramble")
    early, late = AT - timedelta(days=28), AT
    old = store.add_drafts(None, [entry()], at=early)[0]
    new = store.add_drafts(None, [entry()], at=late)[0]
    store.save_entry(new.id)
    (promised,) = store.follow_ups()
    store.save_entry(old.id)
    assert store.follow_ups() == [promised], "what the second visit promised is still to come"
    (kept,) = store.follow_ups(FollowUpState.DONE)
    assert (kept.entry_id, kept.reason) == (old.id, "visited on 2026-11-25")


def test_a_day_saved_late_closes_nothing_that_was_opened_again(store: Store) -> None:
    store.add_horse("Bramble")
    first, second, third = (
        store.add_drafts(None, [entry()], at=AT - timedelta(days=days))[0].id
        for days in (56, 28, 0)
    )
    store.save_entry(second)
    store.save_entry(third)
    (done,) = store.follow_ups(FollowUpState.DONE)
    store.reopen_follow_up(done.id)
    store.save_entry(first)
    assert {f.entry_id for f in store.follow_ups()} == {second, third}


def test_follow_ups_close_drop_and_reopen(store: Store) -> None:
    saved(store)
    one = store.follow_ups()[0]
    assert store.overdue(date(2026, 12, 24)) == [one]
    assert store.close_follow_up(one.id[:8], "seen").state == "done"
    assert store.follow_ups() == []
    with pytest.raises(InputError, match="reason"):
        store.drop_follow_up(one.id, "")
    assert store.reopen_follow_up(one.id).sequence == 2


@pytest.mark.parametrize(
    "line",
    [
        "toe",
        "near fore",
        "finding:nothing toe",
        "not:thrush",
        "toe_length>80mm",
        "toe_length>3in",
        "horse:bram foot:front since:2026",
        'sunny barn:"Hollow Creek"',
        "rechecked",
    ],
)
def test_searches_that_find(store: Store, line: str) -> None:
    saved(store)
    found = store.search(line, today=date(2026, 11, 26))
    assert bool(found) is not line.startswith("finding:nothing")


@pytest.mark.parametrize(
    "line", ["", '"', "20.04", ".", "AND OR NOT", "foot:", "a:b:c", "(((", "\x00", "since:zz"]
)
def test_odd_searches_never_fail(store: Store, line: str) -> None:
    saved(store)
    assert isinstance(store.search(line), list)


def test_the_chain_shows_a_change(store: Store) -> None:
    entry_id = saved(store)
    store.revise_entry(entry_id, (toe(3.5),), "again")
    assert store.verify_chain().ok
    store.raw.execute("DROP TRIGGER revisions_no_update")
    store.raw.execute("UPDATE revisions SET body = replace(body, '3.25', '3.75') WHERE link = 1")
    report = store.verify_chain()
    assert not report.ok
    assert report.first_broken.startswith("link 1 ")


def test_a_missing_link_is_named(store: Store) -> None:
    entry_id = saved(store)
    store.revise_entry(entry_id, (toe(3.5),), "again")
    store.raw.execute("DROP TRIGGER revisions_no_delete")
    store.raw.execute("DELETE FROM revisions WHERE link = 1")
    assert "link 1 is missing" in store.verify_chain().first_broken


def test_identity_is_checked(store: Store) -> None:
    """ISO 11784: twelve digits above 2**38 - 1 cannot be (ICAR slides)."""
    assert store.add_horse("A", microchip="968000004531234").microchip == "968000004531234"
    with pytest.raises(BadIdentity):
        store.add_horse("B", microchip="985999999999999")


def test_names_that_sound_alike_are_offered(store: Store) -> None:
    store.add_horse("Bramble")
    assert [h.name for h in store.find_horses("brambel")] == ["Bramble"]
    with pytest.raises(NotFound):
        store.horse_named("Zephyrine")


def test_a_newer_database_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "new.db"
    Store.open(path).close()
    with sqlite3.connect(path) as raw:
        raw.execute("PRAGMA user_version = 999")
    with pytest.raises(DatabaseTooNew, match="999"):
        Store.open(path)


def test_a_damaged_database_is_told(tmp_path: Path) -> None:
    path = tmp_path / "bad.db"
    path.write_bytes(b"this is not a database at all" * 100)
    with pytest.raises(DatabaseDamaged):
        Store.open(path)


def test_files_are_private(store: Store) -> None:
    assert store.path.stat().st_mode & 0o077 == 0


def test_a_sound_is_found_after_a_move_from_windows(store: Store) -> None:
    """A stick filled there keeps ``sounds\\name``: one odd file name here, and no sound."""
    home = store.path.parent
    there = below(PureWindowsPath(r"C:\Users\ada\fieldlog\sounds\ab.wav"),
                  PureWindowsPath(r"C:\Users\ada\fieldlog"))  # fmt: skip
    assert there == "sounds/ab.wav"
    recording = keep_sound(store, home, b"said on windows")
    kept = store.recording(recording).path
    assert kept is not None
    store.move_sound(recording, f"sounds\\{kept.name}")
    assert store.recording(recording).path == kept
    assert store.verify_chain().missing_sounds == ()


def test_horses_that_are_due_together_come_by_name(tmp_path: Path) -> None:
    """They came in the order of their ids, which is none, and another one on each computer."""
    with Store.open(tmp_path / "f.db") as store:
        names = ["Willow", "aspen", "Tilly", "Bramble", "Copper", "Rosie"]
        for name in names:
            store.add_horse(name)
        assert [v.horse.name for v in store.visits_due()] == sorted(names, key=str.casefold)
