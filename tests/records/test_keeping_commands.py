"""The commands for the long run: rolling backups, teaching copies, sealing."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import click
import pytest
from click.testing import CliRunner, Result

from fieldlog.cli.keeping import KEEPING
from fieldlog.cli.session import Session
from fieldlog.records.store import Store
from tests.records.notes import AT, keep_sound, note

Run = Callable[..., Result]


@pytest.fixture
def home(tmp_path: Path) -> Path:
    folder = tmp_path / "home"
    folder.mkdir()
    with Store.open(folder / "fieldlog.db") as store:
        client = store.add_client("Nell Harrowgate")
        store.add_horse("Bramble", client_id=client.id)
        (draft,) = store.add_drafts(keep_sound(store, folder, b"one"), [note()], at=AT)
        store.save_entry(draft.id)
    return folder


@pytest.fixture
def run(home: Path) -> Run:
    group = click.Group("data", commands=list(KEEPING))

    def call(*arguments: str, at: Path = home, input: str | None = None) -> Result:
        session = Session(at)
        try:
            return CliRunner().invoke(group, list(arguments), obj=session, input=input)
        finally:
            session.close()

    return call


def test_roll_and_unroll(run: Run, home: Path, tmp_path: Path) -> None:
    stick = tmp_path / "stick"
    stick.mkdir()
    result = run("roll", str(stick), "--keep", "2")
    assert result.exit_code == 0, result.output
    assert "1 saved entry, 1 sound" in result.output
    (made,) = stick.glob("fieldlog-*")
    assert "is whole" in run("unroll", "--check", str(made)).output
    refused = run("unroll", str(made))
    assert refused.exit_code == 2
    assert "add --replace: fieldlog.db stays beside it under another name" in refused.stderr
    restored = run("unroll", str(made), at=tmp_path / "new")
    assert restored.exit_code == 0, restored.output
    with Store.open(tmp_path / "new" / "fieldlog.db") as store:
        assert store.verify_chain().ok
        assert [h.name for h in store.horses()] == ["Bramble"]


@pytest.mark.parametrize("spoilt", [b"", b"\x00\xff" * 4000, None])
def test_a_stick_is_put_in_the_place_of_other_records(
    run: Run, home: Path, tmp_path: Path, spoilt: bytes | None
) -> None:
    """As a zip is: nobody has to move files by hand, on a new laptop or where they are damaged."""
    run("roll", str(tmp_path / "stick"), "--make-folder")
    (made,) = (tmp_path / "stick").glob("fieldlog-*")
    database = home / "fieldlog.db"
    with Store.open(database) as window:
        window.add_horse("Newcomer")
        busy = run("unroll", "--replace", str(made))
        assert "Another window has the records open." in busy.stderr
    if spoilt is not None:
        database.write_bytes(spoilt)
    before = database.read_bytes()
    assert run("unroll", "--replace", str(made)).exit_code == 0
    with Store.open(database) as store:
        assert [h.name for h in store.horses()] == ["Bramble"]
    (aside,) = home.glob("fieldlog.db.before-restore-*")
    assert aside.read_bytes() == before


def test_the_other_kind_of_backup_is_told_apart(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "all.zip"
    file.write_bytes(b"PK")
    assert f'fieldlog data restore "{file}"' in run("unroll", str(file)).stderr


def test_without_the_stick_nothing_is_rolled(run: Run, tmp_path: Path) -> None:
    absent = tmp_path / "stick"
    for options in ((), ("--sealed",)):
        refused = run("roll", str(absent), *options)
        assert refused.exit_code == 2
        assert "Is the stick plugged in?" in refused.stderr
        assert "--make-folder" in refused.stderr
        assert not absent.exists()
    assert "Is the stick plugged in?" in run("unroll", str(absent)).stderr
    assert run("roll", str(absent), "--make-folder").exit_code == 0
    assert len(list(absent.glob("fieldlog-*"))) == 1


def test_the_folder_of_the_stick_lists_its_backups(run: Run, tmp_path: Path) -> None:
    stick = tmp_path / "stick"
    run("roll", str(stick), "--make-folder")
    (first,) = stick.glob("fieldlog-*")
    newest = first.rename(stick / "fieldlog-20991231-180000")
    shutil.copytree(newest, stick / "fieldlog-20981231-180000")
    for options in ((), ("--check",)):
        told = run("unroll", *options, str(stick), at=tmp_path / "new")
        assert told.exit_code == 2
        assert "2 backups, the newest first: fieldlog-20991231-180000, fieldlog-2098" in told.stderr
        assert f'unroll {"--check " * bool(options)}"{newest}"' in told.stderr
    assert not (tmp_path / "new").exists()


def test_teaching(run: Run, tmp_path: Path) -> None:
    target = tmp_path / "teach.json"
    result = run("teaching", str(target))
    assert result.exit_code == 0, result.output
    assert "read this through" in result.output
    assert "Bramble" not in target.read_text(encoding="utf-8")
    assert json.loads(target.read_bytes())["horses"][0]["name"] == "Horse 1"
    assert target.stat().st_mode & 0o077 == 0
    assert run("teaching", str(target)).exit_code == 2


def test_seal_and_unseal(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "export.json"
    file.write_bytes(b"private")
    words = "gravel oak lantern\n"
    assert run("seal", str(file), input=words * 2).exit_code == 0
    file.unlink()
    assert run("unseal", str(tmp_path / "export.json.age"), input=words).exit_code == 0
    assert file.read_bytes() == b"private"
    assert run("unseal", str(file)).exit_code == 2
    assert run("seal", str(tmp_path / "nothing")).exit_code == 2


@pytest.mark.skipif(os.name == "nt", reason="a console is there or getpass fails by itself")
def test_without_a_terminal_the_passphrase_is_read_and_nothing_warned_of(tmp_path: Path) -> None:
    file = tmp_path / "export.json"
    file.write_bytes(b"private")

    def given(words: str, *command: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-m", "fieldlog", "data", *command],
            input=words,
            capture_output=True,
            text=True,
            start_new_session=True,
            check=False,
        )

    sealed = given("gravel oak lantern\n", "seal", str(file))
    assert (sealed.returncode, sealed.stderr) == (0, "")
    file.unlink()
    opened = given("gravel oak lantern\n", "unseal", f"{file}.age")
    assert (opened.returncode, opened.stderr) == (0, "")
    assert file.read_bytes() == b"private"
    nothing = given("", "seal", str(file))
    assert nothing.returncode != 0
