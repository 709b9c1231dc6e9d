"""Promises that an earlier fieldlog saved with a bare label show the words of their note."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from fieldlog.core.facts import Due, Entry, Fact, FactKind, HorseMention
from fieldlog.records.store import Store
from fieldlog.records.types import FollowUp
from tests.records.notes import AT

TEXT = "trimmed all four owner to pick out the feet every day bring boots next time"
WORDS = "owner to pick out the feet every day"


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(tmp_path / "fieldlog.db") as opened:
        opened.add_horse("Bramble")
        yield opened


def saved_before(store: Store, words: str, code: str, due: Due | None = None) -> FollowUp:
    """A promise as an earlier version kept it: its label, and its words for the day."""
    from fieldlog.language.wording import label

    at = TEXT.index(words)
    span = (at, at + len(words))
    fact = Fact(FactKind.FOLLOW_UP, code, span=span, due=due, details={"who": "owner"})
    entry = Entry((fact,), TEXT, (0, len(TEXT)), HorseMention("Bramble", (0, 0), known=True))
    store.save_entry(store.add_drafts(None, [entry], at=AT)[0].id)
    with store.write():
        store.run(
            "UPDATE follow_ups SET text = ?, due_spoken = ? WHERE fact_id = ?",
            [label(code), due.spoken if due else words, fact.id],
        )
    row = store.one("SELECT id FROM follow_ups WHERE fact_id = ?", [fact.id])
    assert row is not None
    return store.follow_up(row["id"])


def test_its_words_stand_with_its_label_and_not_for_its_day(store: Store) -> None:
    found = saved_before(store, WORDS, "owner_care")
    assert found.text == "owner care: pick out the feet every day"
    assert found.due_spoken == ""
    assert store.follow_ups() == [found]


def test_its_day_stays(store: Store) -> None:
    due = Due("next time", "P6W", date(2026, 12, 23))
    found = saved_before(store, "bring boots next time", "bring", due)
    assert (found.text, found.due, found.due_spoken) == (
        "bring boots", date(2026, 12, 23), "next time",
    )  # fmt: skip


def test_what_is_kept_stays_as_it_was(store: Store) -> None:
    """What an export or a backup holds of it is what that version wrote."""
    saved_before(store, WORDS, "owner_care")
    row = store.one("SELECT text, due_spoken FROM follow_ups")
    assert row == {"text": "owner care", "due_spoken": WORDS}


def test_without_its_note_or_its_fact_the_label_stays(store: Store) -> None:
    found = saved_before(store, WORDS, "owner_care")
    assert found.entry_id is not None
    store.add_follow_up("owner_care", "owner care", due_spoken="soon")
    store.revise_entry(found.entry_id, (), "misheard")
    assert {(f.text, f.due_spoken) for f in store.follow_ups(None)} == {
        ("owner care", WORDS),
        ("owner care", "soon"),
    }


def test_what_has_words_of_its_own_keeps_them(store: Store) -> None:
    found = saved_before(store, "bring boots", "bring")
    with store.write():
        store.run("UPDATE follow_ups SET text = 'boots, both' WHERE id = ?", [found.id])
    assert store.follow_up(found.id).text == "boots, both"
