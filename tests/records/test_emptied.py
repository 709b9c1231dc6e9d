"""A database of 0 bytes is not taken for a new one where records were."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from fieldlog.errors import DatabaseDamaged, InputError
from fieldlog.records.backup import back_up, restore
from fieldlog.records.store import Store
from tests.records.notes import AT

WRITES_AND_DIES = """
import os, signal, sys
from pathlib import Path
from fieldlog.records.store import Store
store = Store.open(Path(sys.argv[1]))
store.add_horse("Rosie")
os.kill(os.getpid(), signal.SIGKILL)
"""


@pytest.fixture
def database(tmp_path: Path) -> Path:
    path = tmp_path / "fieldlog.db"
    path.touch()
    return path


def test_an_empty_file_alone_is_told_and_begun(database: Path) -> None:
    with Store.open(database) as store:
        assert f"{database} was empty (0 bytes)" in store.begun_anew
        assert "fieldlog data restore" in store.begun_anew
    with Store.open(database) as store:
        assert store.begun_anew == ""


def test_a_new_database_says_nothing(tmp_path: Path) -> None:
    (tmp_path / "sounds").mkdir()
    (tmp_path / "sounds" / "a.wav").write_bytes(b"sound")
    with Store.open(tmp_path / "fieldlog.db") as store:
        assert store.begun_anew == ""


@pytest.mark.parametrize(
    ("beside", "told"),
    [
        ("sounds/a.wav", "1 sound and 0 backups"),
        ("backups/fieldlog-20261124-180000.zip", "0 sounds and 1 backup"),
        ("fieldlog.db.before-migration-5", "0 sounds and 1 backup"),
        ("fieldlog.db.before-restore-20261124-180000", "0 sounds and 1 backup"),
    ],
)
def test_an_empty_file_beside_sounds_or_backups_is_refused(
    database: Path, beside: str, told: str
) -> None:
    there = database.parent / beside
    there.parent.mkdir(exist_ok=True)
    there.write_bytes(b"x")
    with pytest.raises(DatabaseDamaged) as refused:
        Store.open(database)
    assert told in str(refused.value)
    # The sounds are named by their folder, a backup by itself.
    assert str(there.parent if "sounds" in beside else there) in str(refused.value)
    assert database.stat().st_size == 0


@pytest.mark.parametrize("gone", [False, True])
def test_the_log_of_an_emptied_database_is_not_thrown_away(tmp_path: Path, gone: bool) -> None:
    """SQLite deletes it when it opens the empty file; all that was written last was in it."""
    database, log = tmp_path / "fieldlog.db", tmp_path / "fieldlog.db-wal"
    died = subprocess.run([sys.executable, "-c", WRITES_AND_DIES, str(database)], check=False)
    assert died.returncode == -signal.SIGKILL
    kept, whole = log.read_bytes(), database.read_bytes()
    assert kept
    if gone:
        database.unlink()
    else:
        os.truncate(database, 0)
    with pytest.raises(DatabaseDamaged, match="holds what was written last"):
        Store.open(database)
    assert log.read_bytes() == kept
    database.write_bytes(whole)
    with Store.open(database) as store:
        assert [h.name for h in store.horses()] == ["Rosie"]


def test_no_backup_is_put_beside_the_log_of_other_records(tmp_path: Path) -> None:
    """Only the file was moved away: SQLite worked the log that was left into the backup."""
    home = tmp_path / "home"
    home.mkdir()
    database = home / "fieldlog.db"
    with Store.open(tmp_path / "other.db") as other:
        other.add_horse("Bramble")
        backup = back_up(other, tmp_path / "stick", AT)
    subprocess.run([sys.executable, "-c", WRITES_AND_DIES, str(database)], check=False)
    database.rename(tmp_path / "aside.db")
    with pytest.raises(InputError, match=r"records at .*fieldlog\.db-wal, so nothing"):
        restore(backup, database)
    (home / "fieldlog.db-wal").rename(tmp_path / "aside.db-wal")
    (home / "fieldlog.db-shm").unlink()
    restore(backup, database)
    with Store.open(database) as store:
        assert [h.name for h in store.horses()] == ["Bramble"]
