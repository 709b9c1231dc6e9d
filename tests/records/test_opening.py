"""Opening what an older, newer, damaged or cut-off fieldlog left; and undo of split and join."""

from __future__ import annotations

import gzip
import resource
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from fieldlog.errors import DatabaseBusy, DatabaseDamaged, InputError, NotAllowed, SavedIsFixed
from fieldlog.records import base
from fieldlog.records.schema import NEWEST
from fieldlog.records.store import Store
from fieldlog.records.types import EntryState
from tests.records.notes import AT, note

OLD = Path(__file__).parent / "data" / "schema_1.db.gz"
"""Written by the first schema: a saved entry with two revisions, a split draft, a transcript."""
THIRD = OLD.with_name("schema_3.db.gz")
"""Written by the third schema: a horse with its owner and one saved entry."""


@pytest.fixture
def old(tmp_path: Path) -> Path:
    path = tmp_path / "f.db"
    path.write_bytes(gzip.decompress(OLD.read_bytes()))
    return path


def test_the_first_schema_is_brought_forward(old: Path) -> None:
    with sqlite3.connect(old) as raw:
        before = raw.execute("SELECT * FROM revisions").fetchall()
    with Store.open(old) as store:
        assert store.one("PRAGMA user_version") == {"user_version": NEWEST}
        assert [tuple(r.values()) for r in store.chain()] == [tuple(r) for r in before]
        report = store.verify_chain()
        assert (report.ok, report.links) == (True, 2)
        assert store.integrity() == []
        assert len(store.drafts()) == 2
        assert store.undo(store.drafts()[0].id) is None  # Where the other part is was not noted.
        assert len(store.search("finding:thrush")) + len(store.search("not:thrush")) > 0
    copy = old.with_name("f.db.before-migration-1")
    assert copy.stat().st_mode & 0o077 == 0
    with sqlite3.connect(copy) as raw:
        assert raw.execute("SELECT * FROM revisions").fetchall() == before
        assert raw.execute("PRAGMA user_version").fetchone() == (1,)


def test_the_third_schema_is_brought_forward(tmp_path: Path) -> None:
    path = tmp_path / "f.db"
    path.write_bytes(gzip.decompress(THIRD.read_bytes()))
    with Store.open(path) as store:
        (horse,) = store.horses()
        assert (horse.name, horse.cycle_weeks, horse.left_on) == ("Bramble", 5, "")
        assert store.verify_chain().ok
        store.horse_left(horse.id, "sold", AT.date())
        assert store.visits_due() == []
    assert path.with_name("f.db.before-migration-3").exists()


def test_a_migration_that_fails_changes_nothing(old: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from sqlite_utils.migrations import Migrations

    def broken(self: Migrations, db: object) -> None:
        store_sql = getattr(db, "conn")  # noqa: B009
        store_sql.execute("ALTER TABLE clients ADD COLUMN half TEXT")
        raise sqlite3.OperationalError("disk I/O error")

    monkeypatch.setattr(Migrations, "apply", broken)
    with pytest.raises(NotAllowed, match="nothing was changed"):
        Store.open(old)
    monkeypatch.undo()
    with sqlite3.connect(old) as raw:
        assert raw.execute("PRAGMA user_version").fetchone() == (1,)
        assert "half" not in [r[1] for r in raw.execute("PRAGMA table_info(clients)")]
    Store.open(old).close()


CRASH = """
import os, sys
from pathlib import Path
from fieldlog.records.store import Store
store = Store.open(Path(sys.argv[1]))
store.add_horse("Bramble")
os.kill(os.getpid(), 9)
"""


def crash(path: Path) -> None:
    subprocess.run([sys.executable, "-c", CRASH, str(path)], check=False)
    assert path.with_name(f"{path.name}-wal").stat().st_size > 0


def test_after_a_crash_the_file_is_checked_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "f.db"
    checked: list[int] = []
    whole = Store.integrity

    def counted(store: Store) -> list[str]:
        checked.append(1)
        return whole(store)

    monkeypatch.setattr(Store, "integrity", counted)
    Store.open(path).close()
    assert checked == []
    crash(path)
    with Store.open(path) as store:
        assert checked == [1]
        assert [h.name for h in store.horses()] == ["Bramble"]
        Store.open(path).close()  # A second window beside the first is no crash.
    assert checked == [1]
    Store.open(path).close()
    assert checked == [1]


def test_damage_found_after_a_crash_is_told(tmp_path: Path) -> None:
    path = tmp_path / "f.db"
    with Store.open(path) as store:
        for n in range(200):
            store.add_horse(f"Horse{n}", notes="x" * 200)
        pages = store.one("SELECT rootpage FROM sqlite_master WHERE name = 'visits_day'")
    crash(path)
    data = bytearray(path.read_bytes())
    at = ((pages or {})["rootpage"] - 1) * 4096
    data[at : at + 2000] = b"\xff" * 2000
    path.write_bytes(data)
    with pytest.raises(DatabaseDamaged, match="restore"):
        Store.open(path)


def test_a_read_only_file_is_told(tmp_path: Path) -> None:
    path = tmp_path / "f.db"
    Store.open(path).close()
    with Store.open(path) as store:
        store.raw.execute("PRAGMA query_only = ON")
        with pytest.raises(NotAllowed, match="cannot be written"):
            store.add_horse("Bramble")
    with pytest.raises(NotAllowed):
        Store.open(tmp_path)  # A folder is no database.


def test_another_writer_is_waited_for_then_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(base, "BUSY_SECONDS", 0.05)
    with Store.open(tmp_path / "f.db") as one, Store.open(tmp_path / "f.db") as two:
        with one.write():
            one.add_horse("Bramble")
            with pytest.raises(DatabaseBusy, match="Another fieldlog window"):
                two.add_horse("Juniper")
            assert two.horses() == []
        two.add_horse("Juniper")
        assert len(one.horses()) == 2


def test_a_full_disk_changes_nothing(tmp_path: Path) -> None:
    with Store.open(tmp_path / "f.db") as store:
        store.add_horse("Bramble")
        pages = store.one("PRAGMA page_count")
        store.raw.execute(f"PRAGMA max_page_count = {(pages or {})['page_count'] + 3}")

        def add_many() -> None:
            with store.write():
                for n in range(100):
                    store.add_horse(f"H{n}", notes="x" * 2000)

        with pytest.raises(NotAllowed, match="disk cannot take more"):
            add_many()
        assert [h.name for h in store.horses()] == ["Bramble"]
        store.raw.execute("PRAGMA max_page_count = 100000")
        store.add_horse("Juniper")
        assert store.integrity() == []


def test_on_a_full_disk_everything_can_be_read_still(tmp_path: Path) -> None:
    """Not even a horse's caution could be read: the file that windows share needs room.

    A real limit: RLIMIT_FSIZE in a process of its own.
    """
    with Store.open(tmp_path / "f.db") as store:
        store.add_horse("Bramble", caution="kicks behind")
    for left in tmp_path.glob("f.db-*"):
        left.unlink()
    code = """
import sys
from pathlib import Path
from fieldlog.errors import NotAllowed
from fieldlog.records.store import Store
with Store.open(Path(sys.argv[1])) as store:
    print(store.horse_named("Bramble").caution)
    try:
        store.add_horse("Juniper")
    except NotAllowed as problem:
        print(problem)
    print(len(store.horses()))
"""
    run = subprocess.run(
        [sys.executable, "-c", code, str(tmp_path / "f.db")],
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (1_000, 1_000)),
        capture_output=True,
        text=True,
        check=True,
    )
    caution, told, left_over = run.stdout.splitlines()
    assert (caution, left_over) == ("kicks behind", "1")
    assert "The disk cannot take more, so nothing was changed" in told


def test_every_file_is_private(tmp_path: Path) -> None:
    with Store.open(tmp_path / "new" / "f.db") as store:
        store.add_horse("Bramble")
        names = {p.name for p in store.path.parent.iterdir()}
        assert {"f.db", "f.db-wal"} <= names
        assert all(p.stat().st_mode & 0o077 == 0 for p in store.path.parent.iterdir())
    assert (tmp_path / "new").stat().st_mode & 0o077 == 0


def test_a_join_is_undone_whole(tmp_path: Path) -> None:
    with Store.open(tmp_path / "f.db") as store:
        a, b = store.add_drafts(None, [note("Bramble"), note("Juniper")], at=AT)
        store.accept_fact(a.id, a.entry.facts[0].id)
        store.join_entries(a.id, b.id)
        assert store.undo(b.id) is None
        back = store.undo(a.id)
        assert back is not None
        assert back.entry == a.entry
        assert [d.entry for d in store.drafts()] == [a.entry, b.entry]
        assert store.undo(b.id) is None
        store.undo(a.id)
        assert store.entry(a.id).looked_at == frozenset()


def test_a_split_is_undone_whole_unless_the_tail_moved_on(tmp_path: Path) -> None:
    with Store.open(tmp_path / "f.db") as store:
        horse = store.add_horse("Bramble")
        (draft,) = store.add_drafts(None, [note()], at=AT)
        head, tail = store.split_entry(draft.id, draft.entry.facts[1].span[0])
        store.assign_horse(tail.id, horse.id)
        with pytest.raises(InputError, match="changed since"):
            store.undo(head.id)
        store.undo(tail.id)
        back = store.undo(head.id)
        assert back is not None
        assert back.entry == draft.entry
        assert [d.id for d in store.drafts()] == [draft.id]
        _, tail = store.split_entry(draft.id, draft.entry.facts[1].span[0])
        store.assign_horse(tail.id, horse.id)
        store.save_entry(tail.id)
        with pytest.raises(InputError, match="changed since"):
            store.undo(draft.id)
        with pytest.raises(SavedIsFixed):
            store.undo(tail.id)
        assert store.entry(tail.id).state is EntryState.SAVED
