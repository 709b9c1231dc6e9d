"""Backups: whole, checked, restored; damaged ones refused before anything is touched."""

from __future__ import annotations

import json
import os
import re
import resource
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from fieldlog.records.store import Store
from tests.cli.conftest import DATA, Run

SOUND = DATA.parent / "demo_audio" / "n05-20261125-094700.mp3"


@pytest.fixture
def backup(run: Run, home: Path, tmp_path: Path) -> Path:
    (home / "fieldlog.toml").write_text('farrier_name = "Sam"\n', encoding="utf-8")
    run("import", "--no-reading", str(SOUND))
    target = tmp_path / "stick" / "all.zip"
    target.parent.mkdir()
    result = run("data", "backup", str(target))
    assert result.exit_code == 0, result.output
    assert "8 horses, 48 entries, 1 sound" in result.output
    return target


def everything(folder: Path) -> list[dict[str, object]]:
    with Store.open(folder / "fieldlog.db") as store:
        return store.query("SELECT * FROM revisions") + store.query("SELECT * FROM horses")


def test_a_backup_brings_everything_back(
    run: Run, home: Path, backup: Path, tmp_path: Path
) -> None:
    new = tmp_path / "new computer"
    result = run("data", "restore", str(backup), at=new)
    assert result.exit_code == 0, result.output
    assert "none was changed" in result.output
    assert everything(new) == everything(home)
    assert sorted(p.name for p in (new / "sounds").glob("*.mp3")) == sorted(
        p.name for p in (home / "sounds").glob("*.mp3")
    )
    assert (new / "fieldlog.toml").read_text(encoding="utf-8") == 'farrier_name = "Sam"\n'
    with Store.open(new / "fieldlog.db") as store:
        (kept,) = store.recordings()
        assert kept.path is not None
        assert kept.path.is_relative_to(new)
        assert kept.path.exists()


def test_nothing_is_moved_from_under_an_open_window(run: Run, home: Path, backup: Path) -> None:
    with Store.open(home / "fieldlog.db") as window:
        window.add_horse("Newcomer")
        refused = run("data", "restore", "--replace", str(backup))
        assert refused.exit_code != 0
        assert "Another window has the records open." in refused.output
        assert list(home.glob("*before-restore*")) == []
        assert "Newcomer" in [h.name for h in window.horses()]
    assert run("data", "restore", "--replace", str(backup)).exit_code == 0


def test_records_that_are_there_are_moved_aside(run: Run, home: Path, backup: Path) -> None:
    run("horses", "add", "Newcomer")
    refused = run("data", "restore", str(backup))
    assert refused.exit_code == 2
    assert "Newcomer" in run("horses").output
    assert run("data", "restore", "--replace", str(backup)).exit_code == 0
    assert "Newcomer" not in run("horses").output
    (aside,) = [p for p in home.glob("fieldlog.db.before-restore-*") if p.suffix[-4:] != "-wal"
                and not p.name.endswith("-shm")]  # fmt: skip
    with Store.open(aside) as store:
        assert "Newcomer" in [h.name for h in store.horses()]


def test_a_backup_is_checked_without_touching_anything(run: Run, home: Path, backup: Path) -> None:
    before = everything(home)
    result = run("data", "restore", "--check", str(backup))
    assert re.search(r"is whole\. Made \d{4}-\d\d-\d\d \d\d:\d\d\.\n", result.output)
    assert everything(home) == before


def test_a_backup_never_overwrites(run: Run, backup: Path) -> None:
    before = backup.read_bytes()
    assert run("data", "backup", str(backup)).exit_code == 2
    assert backup.read_bytes() == before
    assert run("data", "backup", str(backup.parent / "no" / "x.zip")).exit_code == 2


def test_the_usual_place_is_the_backups_folder(run: Run, home: Path) -> None:
    assert run("data", "backup").exit_code == 0
    assert len(list((home / "backups").glob("fieldlog-*.zip"))) == 1


@pytest.mark.parametrize("way", ["flipped", "cut", "empty", "text", "other", "missing", "outside"])
def test_damaged_backups_are_refused(
    run: Run, home: Path, backup: Path, tmp_path: Path, way: str
) -> None:
    bad = tmp_path / "bad.zip"
    data = backup.read_bytes()
    if way == "flipped":
        at = data.index(b"ID3") + 5000 if b"ID3" in data else len(data) // 2
        bad.write_bytes(data[:at] + bytes([data[at] ^ 0xFF]) + data[at + 1 :])
    elif way == "cut":
        bad.write_bytes(data[: len(data) // 2])
    elif way == "empty":
        bad.touch()
    elif way == "text":
        bad.write_text("no zip", encoding="utf-8")
    elif way == "missing":
        bad = tmp_path / "nothing.zip"
    else:
        with zipfile.ZipFile(backup) as good, zipfile.ZipFile(bad, "w") as out:
            manifest = json.loads(good.read("manifest.json"))
            if way == "other":
                manifest["format"] = "something else"
            else:
                manifest["files"]["../../outside"] = "0" * 64
                out.writestr("../../outside", b"x")
            for name in good.namelist():
                if name != "manifest.json":
                    out.writestr(name, good.read(name))
            out.writestr("manifest.json", json.dumps(manifest))
    before = everything(home)
    result = run("data", "restore", "--replace", str(bad))
    assert result.exit_code == 2, result.output
    assert "Traceback" not in result.output
    assert everything(home) == before
    assert not (tmp_path.parent / "outside").exists()
    assert list(home.glob("*before-restore*")) == []


def test_a_full_disk_leaves_no_half_backup(
    run: Run, home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(zipfile.ZipFile, "writestr", full)
    target = tmp_path / "all.zip"
    result = run("data", "backup", str(target))
    assert result.exit_code == 1
    assert "No space left" in result.stderr
    assert list(tmp_path.glob("*all.zip*")) == []


def test_the_copy_is_whole_while_the_store_is_open(run: Run, home: Path, tmp_path: Path) -> None:
    with Store.open(home / "fieldlog.db") as other:
        other.add_horse("Late")
        assert run("data", "backup", str(tmp_path / "b.zip")).exit_code == 0
    shutil.rmtree(home)
    assert run("data", "restore", str(tmp_path / "b.zip")).exit_code == 0
    assert "Late" in run("horses").output


def test_both_kinds_of_backup_are_commands_and_say_what_they_are_for(
    run: Run, home: Path, tmp_path: Path
) -> None:
    listed = run("data", "--help").output
    for name in ("backup", "restore", "roll", "unroll", "teaching", "seal", "unseal"):
        assert f"  {name} " in listed
    assert "one zip file" in listed
    assert "every evening" in listed
    assert "data roll" in " ".join(run("data", "backup", "--help").output.split())
    assert "data backup" in " ".join(run("data", "roll", "--help").output.split())
    stick = tmp_path / "stick"
    result = run("data", "roll", str(stick), "--make-folder")
    assert result.exit_code == 0, result.output
    (made,) = stick.glob("fieldlog-*")
    assert everything(home) == everything(made)


def test_what_is_written_is_whole_and_readable_by_its_owner_only(run: Run, tmp_path: Path) -> None:
    target = tmp_path / "all.json"
    target.write_text("old", encoding="utf-8")
    target.chmod(0o644)
    assert run("data", "export", str(target)).exit_code == 2
    assert target.read_text(encoding="utf-8") == "old"
    assert run("data", "export", "--force", str(target)).exit_code == 0
    assert '"horses"' in json.dumps(json.loads(target.read_text(encoding="utf-8")))
    assert target.stat().st_mode & 0o777 == 0o600
    assert [p.name for p in tmp_path.glob("*.part")] + [p.name for p in tmp_path.glob(".*")] == []


@pytest.mark.parametrize("command", [("roll", "stick"), ("backup", "all.zip"), ("verify",)])
def test_a_mistake_in_the_settings_keeps_nobody_from_backing_up(
    run: Run, home: Path, tmp_path: Path, command: tuple[str, ...]
) -> None:
    (tmp_path / "stick").mkdir()
    (home / "fieldlog.toml").write_text("tones = maybe", encoding="utf-8")
    done = run("data", command[0], *(str(tmp_path / name) for name in command[1:]))
    assert done.exit_code == 0, done.stderr
    assert "fieldlog.toml cannot be read" in done.stderr
    assert "goes on with the defaults." in done.stderr


@pytest.mark.parametrize("kind", [("backup", "all.zip"), ("roll", ".", "--keep", "2")])
def test_a_full_disk_is_told_as_a_sentence(
    home: Path, tmp_path: Path, kind: tuple[str, ...]
) -> None:
    """A real limit (RLIMIT_FSIZE): the copy of the database is larger than may be written."""
    stick = tmp_path / "stick"
    stick.mkdir()
    run = subprocess.run(
        [sys.executable, "-m", "fieldlog", "--home", str(home), "data", *kind],
        cwd=stick,
        env={**os.environ, "PYTHONPATH": str(DATA.parent)},
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (40_000, 40_000)),
        capture_output=True,
        text=True,
    )
    assert run.returncode == 1
    assert "Traceback" not in run.stderr
    assert "The disk cannot take more" in run.stderr
    assert not [p for p in stick.iterdir() if p.suffix == ".zip" or p.name.startswith("fieldlog-")]


def test_a_learnt_voice_goes_along(run: Run, home: Path, tmp_path: Path) -> None:
    """“Everything in one file for another computer” left the voice behind."""
    (home / "own_voice.npz").write_bytes(b"a voice")
    assert run("data", "backup", str(tmp_path / "all.zip")).exit_code == 0
    new = tmp_path / "new computer"
    assert run("data", "restore", str(tmp_path / "all.zip"), at=new).exit_code == 0
    assert (new / "own_voice.npz").read_bytes() == b"a voice"


def test_a_folder_of_the_other_kind_is_told_apart(run: Run, tmp_path: Path) -> None:
    run("data", "roll", str(tmp_path / "stick"), "--make-folder")
    (made,) = (tmp_path / "stick").glob("fieldlog-*")
    refused = run("data", "restore", str(made))
    assert refused.exit_code == 2
    assert f'fieldlog data unroll "{made}"' in refused.stderr
