"""Audio first: whatever the database is, a farrier with a horse in hand can record.

Each database here is really damaged, emptied, locked or too new.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from types import SimpleNamespace

import pytest

from fieldlog.core.words import Word
from fieldlog.records import base
from fieldlog.records.store import Store
from fieldlog.sound.capture import FakeMicrophone
from fieldlog.speech.fake import FakeRecogniser
from tests.cli.conftest import Run

SPOKEN = ["juniper", "thrush", "on", "the", "left", "hind", "mild"]
TONE = bytes(range(256)) * 250
"""Two seconds that are not silence (16 kHz, 16 bit)."""


@pytest.fixture(autouse=True)
def microphone(monkeypatch: pytest.MonkeyPatch) -> None:
    from fieldlog.sound import capture, portaudio
    from fieldlog.speech import opening

    said = [Word(w, 0.2 * n, 0.2 * n + 0.2) for n, w in enumerate(SPOKEN)]
    monkeypatch.setattr(portaudio, "choose", lambda *_: SimpleNamespace(name="of the test"))
    spoken = (FakeMicrophone(TONE[: -2 * n]) for n in range(1, 9))  # each another sound
    monkeypatch.setattr(capture, "SystemMicrophone", lambda *_: next(spoken))
    monkeypatch.setattr(opening, "open_recogniser", lambda *_: FakeRecogniser(said))


def damage(database: Path) -> None:
    with database.open("r+b") as file:
        file.write(b"\x00\xff" * 2000)


def damage_inside(database: Path) -> None:
    """It opens as it did; what is read then is torn."""
    whole = database.read_bytes()
    database.write_bytes(whole[:8192] + b"\xa5" * (len(whole) - 8192))


def empty(database: Path) -> None:
    (database.parent / "sounds").mkdir(exist_ok=True)
    (database.parent / "sounds" / f"{'ab' * 32}.wav").write_bytes(b"older sound")
    database.write_bytes(b"")


def too_new(database: Path) -> None:
    with closing(sqlite3.connect(database)) as file:
        file.execute("PRAGMA user_version = 9999")


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        (damage, "is damaged or not a database"),
        (damage_inside, "is damaged or not a database"),
        (empty, "is empty (0 bytes)"),
        (too_new, "was written by a newer fieldlog"),
    ],
)
def test_what_is_recorded_without_a_database_is_a_draft_once_it_is_right(
    run: Run, home: Path, spoil: Callable[[Path], None], says: str
) -> None:
    backup = home.parent / "backup.zip"
    assert run("data", "backup", str(backup)).exit_code == 0
    database = home / "fieldlog.db"
    spoil(database)
    spoilt = database.read_bytes()
    for number in (1, 2):
        done = run("record", "--no-tones")
        said = " ".join(done.stderr.split())
        assert done.exit_code == 1, done.output
        assert says in said
        assert "Recording goes on without it" in said
        assert "It is on the disk, but no draft yet" in said
        assert f'Once the database is right: fieldlog import "{home / "sounds"}"' in said
        mine = [p for p in (home / "sounds").glob("*.wav") if p.stat().st_size > 60_000]
        assert len(mine) == number
    assert database.read_bytes() == spoilt
    # The way that the sentence of the database itself tells.
    if spoil is empty:
        database.rename(home / "fieldlog.db.empty")
        assert run("data", "restore", str(backup)).exit_code == 0
        (home / "sounds" / f"{'ab' * 32}.wav").unlink()
    else:
        assert run("data", "restore", "--replace", str(backup)).exit_code == 0
    assert "2 recordings that the records do not know" in run("read").stderr
    assert "2 recordings that the records do not know" in run("record", "--no-tones").stderr
    assert "not in it are 2 recordings" in " ".join(run("doctor").output.split())
    taken = run("import", str(home / "sounds"))
    assert taken.exit_code == 0, taken.output
    assert "2 drafts to look at" in taken.output
    assert run("drafts").output.count("thrush") == 3
    with Store.open(database) as store:
        found = sorted(r.started_at_from for r in store.recordings())
    assert found == ["clock", "metadata", "metadata"]
    assert "do not know" not in run("read").stderr


@pytest.fixture
def locked(home: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[sqlite3.Connection]:
    """Another program that holds the database for itself, longer than anybody waits."""
    monkeypatch.setattr(base, "BUSY_SECONDS", 0.05)
    with closing(sqlite3.connect(home / "fieldlog.db", isolation_level=None)) as other:
        other.execute("PRAGMA locking_mode = EXCLUSIVE")
        other.execute("BEGIN EXCLUSIVE")
        yield other


def test_a_locked_database_keeps_nobody_from_recording(
    run: Run, home: Path, locked: sqlite3.Connection
) -> None:
    done = run("record", "--no-tones")
    said = " ".join(done.stderr.split())
    assert done.exit_code == 1
    assert said.count("Another fieldlog window is writing") == 2
    locked.execute("ROLLBACK")
    locked.close()
    assert "1 draft to look at" in run("import", str(home / "sounds")).output


def test_a_database_that_fails_while_recording_costs_no_sound(
    run: Run, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from fieldlog.sound import capture

    class Spoiling(FakeMicrophone):
        def stop(self) -> None:
            super().stop()
            damage_inside(home / "fieldlog.db")

    monkeypatch.setattr(capture, "SystemMicrophone", lambda *_: Spoiling(TONE))
    done = run("record", "--no-tones")
    assert done.exit_code == 1
    assert "goes on without it" not in done.stderr
    assert "It is on the disk, but no draft yet" in " ".join(done.stderr.split())


def test_a_model_that_cannot_be_used_keeps_nobody_from_recording(
    run: Run, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from fieldlog.errors import ModelDamaged
    from fieldlog.speech import opening

    def refuse(*_: object) -> None:
        raise ModelDamaged("The model is damaged.", "Move it away.")

    monkeypatch.setattr(opening, "open_recogniser", refuse)
    done = run("record", "--no-tones")
    assert done.exit_code == 0, done.stderr
    assert "The model is damaged. Move it away. Recording goes on" in " ".join(done.stderr.split())
    assert "It was not read: “fieldlog read” does that." in done.output
    with Store.open(home / "fieldlog.db") as store:
        assert len(store.unread_recordings()) == 1
    asked_for = run("record", "--no-tones", "--model", str(home))
    assert asked_for.exit_code == 1
    assert "goes on" not in asked_for.stderr


def test_nothing_is_copied_where_the_records_cannot_take_it(
    run: Run, home: Path, tmp_path: Path
) -> None:
    """Copied it would lose its own name, which may be all that tells its day."""
    from tests.cli.test_sound_commands import wav

    damage(home / "fieldlog.db")
    done = run("import", str(wav(tmp_path / "20261124_093012.wav")))
    assert done.exit_code == 1
    assert "leave the sound files where they are" in " ".join(done.stderr.split())
    assert not list((home / "sounds").glob("*"))


def test_where_the_app_cannot_open_it_says_how_to_record(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from datetime import date

    from fieldlog.app import run as app_run
    from fieldlog.cli import app_start
    from fieldlog.config import Settings
    from fieldlog.errors import DatabaseDamaged
    from fieldlog.paths import places

    damage(home / "fieldlog.db")
    monkeypatch.setattr(app_start, "terminal_there", lambda: True)
    opened: list[object] = []
    monkeypatch.setattr(app_run, "run_app", lambda *_, start, **__: opened.append(start))
    with pytest.raises(DatabaseDamaged, match="fieldlog record, or fieldlog review --screen rec"):
        app_start.open_app(places(home), Settings(), date.today)
    assert opened == []
    app_start.open_app(places(home), Settings(), date.today, "record")
    assert opened == ["record"]


def test_words_given_to_a_damaged_database_are_kept(run: Run, home: Path) -> None:
    damage(home / "fieldlog.db")
    refused = run("type", "--horse", "Rosie", "trimmed", "all", "four")
    assert "is damaged or not a database" in refused.stderr
    (file,) = home.glob("typed-*.txt")
    assert file.read_text(encoding="utf-8") == "trimmed all four\n"
    file.unlink()
    assert "fieldlog type <" not in run("type", input="").stderr  # nothing was typed yet
    assert not list(home.glob("typed-*"))


def test_without_a_backup_the_sounds_are_drafts_again(run: Run, home: Path) -> None:
    """As the sentence of the damaged database tells, word for word."""
    assert run("record", "--no-tones").exit_code == 0
    database = home / "fieldlog.db"
    damage(database)
    assert run("record", "--no-tones").exit_code == 1
    told = " ".join(run("drafts").stderr.split())
    assert f"“fieldlog import {home / 'sounds'}” makes drafts of the sounds again" in told
    for file in home.glob("fieldlog.db*"):
        file.rename(home.parent / file.name)
    assert "2 drafts to look at" in run("import", str(home / "sounds")).output


def test_a_wrong_clock_is_told_without_records_too(
    run: Run, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from datetime import UTC, datetime

    from fieldlog.sound import clocks

    monkeypatch.setattr(clocks, "RELEASED", datetime(2199, 1, 1, tzinfo=UTC))
    damage(home / "fieldlog.db")
    assert "before fieldlog was written" in " ".join(run("record", "--no-tones").stderr.split())
