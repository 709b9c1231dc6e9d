"""What became of the facts that were looked at."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from fieldlog.config import Settings
from fieldlog.core.facts import BY_HAND, Fact, FactKind, FootBasis
from fieldlog.core.feet import Foot
from fieldlog.core.units import Quantity, Unit
from fieldlog.looks import experience, in_words
from fieldlog.records.store import Store
from fieldlog.records.types import StoredEntry
from tests.records.notes import heard, keep_sound, note


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(tmp_path / "fieldlog.db") as opened:
        opened.add_horse("Bramble")
        yield opened


def draft(store: Store, folder: Path, said: str = "sunny day") -> StoredEntry:
    """One draft of a note of three facts: toe, no thrush, recheck; each heard with 0.6."""
    recording = keep_sound(store, folder, said.encode())
    entry = note(said=said)
    entry = replace(entry, facts=tuple(replace(f, confidence=0.6) for f in entry.facts))
    store.store_transcript(recording, heard(entry.text))
    return store.add_drafts(recording, [entry])[0]


def outcomes(store: Store) -> dict[str, bool]:
    return {fact.code: stood for fact, stood in store.looked_at_facts(100)}


def test_what_nobody_looked_at_says_nothing(store: Store, tmp_path: Path) -> None:
    entry = draft(store, tmp_path)
    store.save_entry(entry.id)
    assert outcomes(store) == {}


def test_a_draft_says_nothing_yet(store: Store, tmp_path: Path) -> None:
    entry = draft(store, tmp_path)
    store.accept_fact(entry.id, entry.entry.facts[0].id)
    assert outcomes(store) == {}


def test_what_was_accepted_stood_and_what_was_changed_or_taken_out_did_not(
    store: Store, tmp_path: Path
) -> None:
    entry = draft(store, tmp_path)
    toe, clean, promise = entry.entry.facts
    store.accept_fact(entry.id, clean.id)
    store.change_fact(entry.id, replace(toe, quantity=Quantity(3.5, Unit.INCH)))
    store.delete_fact(entry.id, promise.id)
    store.save_entry(entry.id)
    assert outcomes(store) == {"toe_length": False, "thrush": True, "recheck": False}


def test_the_chance_is_the_one_from_before_any_correction(store: Store, tmp_path: Path) -> None:
    entry = draft(store, tmp_path)
    toe = entry.entry.facts[0]
    store.change_fact(entry.id, replace(toe, quantity=Quantity(3.5, Unit.INCH), confidence=1.0))
    store.save_entry(entry.id)
    (fact, stood), *_ = store.looked_at_facts(100)
    assert (fact.confidence, fact.quantity, stood) == (0.6, toe.quantity, False)


def test_a_change_that_was_taken_back_stood(store: Store, tmp_path: Path) -> None:
    entry = draft(store, tmp_path)
    toe = entry.entry.facts[0]
    store.change_fact(entry.id, replace(toe, code="heel_length"))
    store.undo(entry.id)
    store.accept_fact(entry.id, toe.id)
    store.save_entry(entry.id)
    assert outcomes(store) == {"toe_length": True}


def test_a_foot_chosen_by_hand_as_it_was_understood_stood(store: Store, tmp_path: Path) -> None:
    entry = draft(store, tmp_path)
    toe = entry.entry.facts[0]
    store.change_fact(entry.id, replace(toe, foot_basis=FootBasis.CHOSEN))
    store.save_entry(entry.id)
    assert outcomes(store) == {"toe_length": True}


def test_a_foot_chosen_otherwise_did_not(store: Store, tmp_path: Path) -> None:
    entry = draft(store, tmp_path)
    toe = entry.entry.facts[0]
    store.change_fact(entry.id, replace(toe, feet=(Foot.RF,), foot_basis=FootBasis.CHOSEN))
    store.save_entry(entry.id)
    assert outcomes(store) == {"toe_length": False}


def test_facts_typed_by_hand_do_not_count(store: Store, tmp_path: Path) -> None:
    entry = draft(store, tmp_path)
    store.add_fact(entry.id, Fact(FactKind.WORK, "trim", rule=BY_HAND))
    store.save_entry(entry.id)
    assert outcomes(store) == {}


def test_a_later_revision_is_about_the_hoof(store: Store, tmp_path: Path) -> None:
    entry = draft(store, tmp_path)
    toe = entry.entry.facts[0]
    store.accept_fact(entry.id, toe.id)
    store.save_entry(entry.id)
    store.revise_entry(entry.id, (replace(toe, quantity=Quantity(4.0, Unit.INCH)),), "measured")
    assert outcomes(store) == {"toe_length": True}


def test_the_newest_first_and_no_more_than_wanted(store: Store, tmp_path: Path) -> None:
    for said in ("a dry day", "a wet day"):
        entry = draft(store, tmp_path, said)
        for fact in entry.entry.facts:
            store.accept_fact(entry.id, fact.id)
        if said == "a wet day":
            store.delete_fact(entry.id, entry.entry.facts[0].id)
        store.save_entry(entry.id)
        assert len(store.looked_at_facts(100)) in (3, 6)
    found = store.looked_at_facts(4)
    assert [stood for _, stood in found] == [False, True, True, True]


def test_what_a_client_had_taken_out_is_gone_here_too(store: Store, tmp_path: Path) -> None:
    client = store.add_client("Odalys Quern")
    horse = store.add_horse("Pepper", client_id=client.id)
    entry = draft(store, tmp_path)
    store.accept_fact(entry.id, entry.entry.facts[0].id)
    store.assign_horse(entry.id, horse.id)
    store.save_entry(entry.id)
    assert len(store.looked_at_facts(100)) == 1
    store.forget_client(client.id, "asked for by letter")
    assert store.looked_at_facts(100) == []


def test_it_moves_the_chance_unless_switched_off_and_says_so(store: Store, tmp_path: Path) -> None:
    assert "Nothing that you looked at" in in_words(experience(store, Settings()))
    for at in range(12):
        entry = draft(store, tmp_path, f"day {at}")
        for fact in entry.entry.facts:
            store.accept_fact(entry.id, fact.id)
        store.save_entry(entry.id)
    known = experience(store, Settings())
    fact = Fact(FactKind.FINDING, "thrush", confidence=0.7)
    assert known.chance(fact) > 0.75
    assert in_words(known) == (
        "Of the last 36 facts that you looked at, 36 stood as understood; 22 would have for a "
        "stranger. So you are asked less often."
    )
    off = experience(store, Settings(learn_from_looks=False))
    assert off.chance(fact) == 0.7
