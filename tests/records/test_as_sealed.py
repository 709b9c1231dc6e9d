"""Notes that were changed in the file beside the chain: found, told, and shown as sealed again."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from fieldlog.core.feet import Foot
from fieldlog.records.store import Store
from tests.records.notes import AT, note
from tests.records.test_kept_promises import seen, visit

ALTERED = [
    "UPDATE entries SET body = replace(body, '3.25', '4.25')",
    "UPDATE entries SET day = '2026-11-01'",
    "UPDATE entries SET at = '2026-11-25T23:59:00+00:00'",
    "UPDATE entries SET horse_id = (SELECT id FROM horses WHERE name = 'Juniper')",
    "UPDATE saved_facts SET body = replace(body, '3.25', '4.25')",
    "UPDATE saved_facts SET day = '2026-11-01'",
    "DELETE FROM saved_facts WHERE code = 'toe_length'",
]


@pytest.mark.parametrize("altered", ALTERED)
def test_what_is_shown_otherwise_than_it_was_sealed_is_found_and_put_back(
    tmp_path: Path, altered: str
) -> None:
    """The papers print these rows under the words “nothing that was saved has been changed”."""
    path = tmp_path / "f.db"
    with Store.open(path) as store:
        store.add_horse("Bramble")
        store.add_horse("Juniper")
        (draft,) = store.add_drafts(None, [note()], at=AT)
        before = store.save_entry(draft.id)
        facts = store.saved_facts(store.horse_named("Bramble").id)
        assert store.shown_otherwise() == []
    with sqlite3.connect(path) as raw:
        raw.execute(altered)
    with Store.open(path) as store:
        assert store.verify_chain().ok
        assert store.shown_otherwise() == [draft.id]
        assert store.shown_otherwise(store.horse_named("Bramble").id) == [draft.id]
        assert store.put_back() == 1
        assert store.shown_otherwise() == []
        assert store.entry(draft.id) == before
        assert store.saved_facts(store.horse_named("Bramble").id) == facts
        assert len(store.search("toe")) == 1


def test_what_fieldlog_itself_changes_is_as_sealed(store: Store) -> None:
    visit(store, seen(Foot.LF))
    visit(store, seen(Foot.RF), horse="Juniper")
    bramble, juniper = store.horse_named("Bramble"), store.horse_named("Juniper")
    (first,) = store.entries_of(bramble.id)
    store.revise_entry(first.id, (), "misheard")
    store.take_back(first.id)
    store.give_to_horse(first.id, juniper.id, "wrong horse")
    store.horse_same(juniper.id, bramble.id)
    assert store.shown_otherwise() == []
    store.horse_apart("Juniper")
    assert store.shown_otherwise() == []
    owner = store.add_client("Roy Tanner")
    tilly = store.add_horse("Tilly", client_id=owner.id)
    visit(store, seen(Foot.LF), horse="Tilly")
    store.forget_client(owner.id, "asked for it")
    assert store.entries_of(tilly.id)
    assert store.shown_otherwise() == []


@pytest.mark.parametrize("old", ["schema_1", "schema_3", "schema_5"])
def test_what_an_older_fieldlog_saved_is_as_sealed(tmp_path: Path, old: str) -> None:
    import gzip

    path = tmp_path / "f.db"
    packed = Path(__file__).parent / "data" / f"{old}.db.gz"
    path.write_bytes(gzip.decompress(packed.read_bytes()))
    with Store.open(path) as store:
        assert store.saved_entries()
        assert store.shown_otherwise() == []
