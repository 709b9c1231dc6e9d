"""A saved note of two horses becomes two notes, and one again; what hangs on it goes along."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from fieldlog.core.facts import Due, Entry, Fact, FactKind, FootBasis, Passage
from fieldlog.core.feet import ALL_FEET, Foot
from fieldlog.errors import InputError
from fieldlog.records.store import Store
from fieldlog.records.types import EntryState, FollowUpState, StoredEntry
from tests.records.notes import AT, heard, keep_sound

WHY = "two horses in one note"
TEXT = (
    "trimmed all four nice day then the other one thrush left hind "
    "recheck in four weeks windy up there"
)


def span(words: str) -> tuple[int, int]:
    at = TEXT.index(words)
    return at, at + len(words)


TRIM = Fact(FactKind.WORK, "trim", ALL_FEET, FootBasis.SAID, span=span("trimmed all four"))
THRUSH = Fact(FactKind.FINDING, "thrush", (Foot.LH,), FootBasis.SAID, span=span("thrush left hind"))
RECHECK = Fact(
    FactKind.FOLLOW_UP, "recheck", (Foot.LH,), span=span("recheck in four weeks"),
    due=Due("in four weeks", "P4W", AT.date() + timedelta(weeks=4)), details={"who": "farrier"},
)  # fmt: skip
CUT = span("thrush left hind")[0]


def save(store: Store, horse: str, *facts: Fact, recording: str | None = None) -> StoredEntry:
    loose = (Passage(span("nice day"), "nice day"), Passage(span("windy"), "windy"))
    entry = Entry(facts, TEXT, (0, len(TEXT)), passages=loose)
    (draft,) = store.add_drafts(recording, [entry], None if recording else AT)
    store.assign_horse(draft.id, named(store, horse))
    for fact in facts:
        store.accept_fact(draft.id, fact.id)
    return store.save_entry(draft.id)


def named(store: Store, horse: str) -> str:
    return store.horse_named(horse).id


@pytest.fixture
def both(store: Store, tmp_path: Path) -> StoredEntry:
    """A saved note of Bramble whose second half is of Juniper."""
    recording = keep_sound(store, tmp_path, b"two horses")
    store.store_transcript(recording, heard(TEXT))
    return save(store, "Bramble", TRIM, THRUSH, RECHECK, recording=recording)


def part(store: Store, both: StoredEntry) -> tuple[StoredEntry, StoredEntry]:
    return store.part_saved(both.id, CUT, named(store, "Juniper"), WHY)


def said(stored: StoredEntry) -> str:
    return TEXT[stored.entry.span[0] : stored.entry.span[1]]


def whole(store: Store) -> dict[str, object]:
    """What the records show of both horses."""
    of = {h.name: h.id for h in store.horses()}
    return {
        "facts": [(f.horse_id, f.fact) for name in of for f in store.saved_facts(of[name])],
        "visits": [(name, v.day, v.barn) for name in of for v in store.visits(of[name])],
        "promises": sorted(
            (f.horse, f.text, str(f.due), f.state, f.reason, f.entry_id or "")
            for f in store.follow_ups(None)
        ),
        "found": [(h.horse, h.sentence) for w in ("thrush", "trim", "windy", "nice")
                  for h in store.search(w)],
        "listed": [(e.id, e.day, e.at, e.entry.span) for e in store.saved_entries()],
    }  # fmt: skip


def sound_of(store: Store) -> list[str]:
    return [hit.recording_id or "" for hit in store.search("thrush")]


def test_each_horse_has_its_words_and_no_word_is_lost(store: Store, both: StoredEntry) -> None:
    first, second = part(store, both)
    assert (first.horse and first.horse.name, second.horse and second.horse.name) == (
        "Bramble", "Juniper",
    )  # fmt: skip
    assert said(first) + said(second) == TEXT
    assert [f.id for f in first.entry.facts] == [TRIM.id]
    assert [f.id for f in second.entry.facts] == [THRUSH.id, RECHECK.id]
    assert [p.text for p in first.entry.passages] == ["nice day"]
    assert [p.text for p in second.entry.passages] == ["windy"]
    assert (second.state, second.day, second.at) == (EntryState.SAVED, both.day, both.at)
    assert second.recording_id == both.recording_id
    assert second.looked_at == both.looked_at
    assert [h.horse for h in store.search("thrush")] == ["Juniper"]
    assert [h.horse for h in store.search("trim")] == ["Bramble"]
    assert [v.day for v in store.visits(named(store, "Juniper"))] == [both.day]


def test_the_chain_keeps_the_whole_note_and_why_it_was_parted(
    store: Store, both: StoredEntry
) -> None:
    first, second = part(store, both)
    assert store.verify_chain().ok
    assert store.shown_otherwise() == []
    assert [(r["number"], r["reason"]) for r in store.chain()] == [(1, ""), (2, WHY), (1, WHY)]
    before, after = store.revisions(first.id)
    assert before.entry.facts == both.entry.facts
    assert after.parted_to == second.id
    (made,) = store.revisions(second.id)
    assert made.parted_from == first.id
    sealed = json.loads(store.chain()[2]["body"])
    assert sealed["parted_from"] == first.id  # under the hash, like facts and day


def test_promises_go_along_as_they_stand(store: Store, both: StoredEntry) -> None:
    (promise,) = store.follow_ups()
    store.move_follow_up(promise.id, date(2027, 1, 8))
    part(store, both)
    (moved,) = store.follow_ups()
    assert (moved.id, moved.horse, moved.due) == (promise.id, "Juniper", date(2027, 1, 8))
    store.close_follow_up(moved.id, "seen")
    store.take_back(both.id)
    assert store.follow_ups() == []
    (done,) = store.follow_ups(FollowUpState.DONE)
    assert (done.id, done.horse, done.reason) == (promise.id, "Bramble", "seen")


def test_taking_it_back_shows_everything_as_before(store: Store, both: StoredEntry) -> None:
    before = whole(store)
    _, second = part(store, both)
    assert whole(store) != before
    back = store.take_back(both.id)
    assert whole(store) == before
    assert (back.revision, said(back)) == (3, TEXT)
    assert store.verify_chain().ok
    assert store.shown_otherwise() == []
    # The part stays in the chain, and in no list.
    assert [r["entry_id"] for r in store.chain()].count(second.id) == 2
    assert not store.can_take_back(both.id)
    assert store.set_aside() == []


def test_corrections_on_both_sides_are_taken_back_first(store: Store, both: StoredEntry) -> None:
    first, second = part(store, both)
    mild = replace(THRUSH, uncertain=True)
    store.revise_entry(second.id, (mild, RECHECK), "not sure")
    store.revise_entry(first.id, (), "nothing was trimmed")
    store.take_back(second.id)
    with pytest.raises(InputError, match="parted from another one"):
        store.take_back(second.id)
    store.revise_entry(second.id, (mild, RECHECK), "not sure")
    store.take_back(first.id)
    with pytest.raises(InputError, match=f"fieldlog notes undo {second.id[:8]}"):
        store.take_back(first.id)
    store.take_back(second.id)
    assert store.take_back(first.id).entry.facts == both.entry.facts


def test_what_each_visit_keeps_follows(store: Store) -> None:
    """Bramble's recheck of the left hind was not kept by what was seen of Juniper."""
    earlier = AT - timedelta(days=30)
    for horse in ("Bramble", "Juniper"):
        entry = Entry((replace(RECHECK, id=horse),), TEXT, (0, len(TEXT)))
        (draft,) = store.add_drafts(None, [entry], earlier)
        store.assign_horse(draft.id, named(store, horse))
        store.save_entry(draft.id)
    saw = Fact(FactKind.FINDING, "flare", (Foot.LF,), FootBasis.SAID, span=TRIM.span)
    note = save(store, "Bramble", saw, THRUSH)
    assert [f.horse for f in store.follow_ups()] == ["Juniper"]
    part(store, note)
    assert [f.horse for f in store.follow_ups()] == ["Bramble"]
    store.take_back(note.id)
    assert [f.horse for f in store.follow_ups()] == ["Juniper"]


def test_a_part_counts_its_looks_once(store: Store, both: StoredEntry) -> None:
    before = store.looked_at_facts(100)
    assert len(before) == 3
    part(store, both)
    assert sorted(f.id for f, _ in store.looked_at_facts(100)) == sorted(f.id for f, _ in before)


def test_what_cannot_be_parted_is_refused_and_nothing_changes(
    store: Store, both: StoredEntry
) -> None:
    juniper, before = named(store, "Juniper"), whole(store)
    for at, horse, reason, told in (
        (CUT, juniper, " ", "needs a reason"),
        (CUT, named(store, "Bramble"), WHY, "already"),
        (0, juniper, WHY, "left on one side"),
        (len(TEXT), juniper, WHY, "left on one side"),
    ):
        with pytest.raises(InputError, match=told):
            store.part_saved(both.id, at, horse, reason)
    (draft,) = store.add_drafts(None, [Entry((TRIM,), TEXT, (0, len(TEXT)))], AT)
    with pytest.raises(InputError, match="still a draft"):
        store.part_saved(draft.id, 5, juniper, WHY)
    assert whole(store) == before


def test_two_spellings_that_became_one_do_not_hinder_taking_it_back(
    store: Store, both: StoredEntry
) -> None:
    _, second = part(store, both)
    other = store.add_horse("Junipa")
    store.horse_same(second.horse.id if second.horse else "", other.id)
    assert store.take_back(both.id).entry.facts == both.entry.facts
    assert store.verify_chain().ok


def test_a_part_stays_where_it_went_when_two_spellings_are_parted(
    store: Store, both: StoredEntry
) -> None:
    """The promise of the part went back with the rest of its note's."""
    store.add_horse("Bramley")
    store.horse_same(named(store, "Bramble"), named(store, "Bramley"))
    part(store, both)
    store.horse_apart("Bramble")
    assert [f.horse for f in store.follow_ups()] == ["Juniper"]
    assert [e.id for e in store.entries_of(named(store, "Bramble"))] == [both.id]
