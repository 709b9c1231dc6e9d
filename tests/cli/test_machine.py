"""Settings, a database that cannot be used, and what is missing on this machine."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import tomllib
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner

import fieldlog
from fieldlog.cli import installed
from fieldlog.cli.main import cli
from tests.cli.conftest import Run


def test_settings_are_shown_while_the_records_cannot_be_read(run: Run, home: Path) -> None:
    (home / "fieldlog.db").write_bytes(b"no database" * 1000)
    shown = run("settings")
    assert shown.exit_code == 0
    assert "learn_from_looks" in shown.output


def test_settings_are_created_shown_and_checked(run: Run, home: Path) -> None:
    assert run("settings", "path").output.strip() == str(home / "fieldlog.toml")
    assert run("settings", "create").exit_code == 0
    again = run("settings", "create")
    assert again.exit_code == 2
    assert "Edit it, or add --force" in again.stderr
    assert json.loads(run("settings", "show", "--json").output)["cycle_weeks"] == 6
    (home / "fieldlog.toml").write_text("cycle_weeks = 'six'\n", encoding="utf-8")
    bad = run("settings")
    assert bad.exit_code == 2
    assert "must be a whole number" in bad.stderr


def test_created_settings_are_the_defaults_when_uncommented(run: Run, home: Path) -> None:
    run("settings", "create")
    path = home / "fieldlog.toml"
    lines = path.read_text(encoding="utf-8").splitlines()
    path.write_text(
        "\n".join(line[2:] if " = " in line else line for line in lines), encoding="utf-8"
    )
    from fieldlog.config import Settings, load_settings

    assert load_settings(path) == Settings()


def test_a_newer_database_is_left_alone(run: Run, home: Path) -> None:
    import sqlite3

    with sqlite3.connect(home / "fieldlog.db") as raw:
        raw.execute("PRAGMA user_version = 99")
    before = (home / "fieldlog.db").read_bytes()
    result = run("horses")
    assert result.exit_code == 1
    assert "newer fieldlog" in result.stderr
    assert (home / "fieldlog.db").read_bytes() == before


def test_a_file_that_is_no_database(run: Run, tmp_path: Path) -> None:
    (tmp_path / "other").mkdir()
    (tmp_path / "other" / "fieldlog.db").write_bytes(b"not a database at all" * 100)
    result = run("horses", at=tmp_path / "other")
    assert result.exit_code == 1
    assert "Traceback" not in result.output
    assert result.stderr.startswith("fieldlog: ")


def test_wrong_today_is_a_sentence(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FIELDLOG_TODAY", "someday")
    result = CliRunner().invoke(cli, ["--home", str(home), "follow-ups"])
    assert result.exit_code == 2
    assert "is not a day" in result.stderr


@pytest.mark.parametrize(
    ("module", "arguments"),
    [
        ("fpdf", ("paper", "owner", "Rosie", "--out", "o.pdf")),
        ("jinja2", ("paper", "owner", "Rosie", "--out", "o.html")),
        ("matplotlib", ("horse", "Bramble", "--chart", "o.png")),
    ],
)
def test_a_missing_package_is_a_sentence(
    run: Run,
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
    module: str,
    arguments: tuple[str, ...],
) -> None:
    import builtins
    from typing import Any

    real = builtins.__import__

    def without(name: str, *rest: Any, **more: Any) -> Any:
        if name.split(".")[0] == module:
            raise ModuleNotFoundError(f"No module named {module!r}", name=module)
        return real(name, *rest, **more)

    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(builtins, "__import__", without)
    result = run(*arguments)
    assert result.exit_code == 1
    assert "Install fieldlog again" in result.stderr
    assert "records are not touched" in result.stderr
    assert list(tmp_path.glob("o.*")) == []


BLOCK = """
import sys

class Without:
    def find_spec(self, name, path=None, target=None):
        if name.partition(".")[0] == {package!r}:
            raise ModuleNotFoundError(f"No module named {{name!r}}", name=name)

sys.meta_path.insert(0, Without())
"""


@pytest.mark.parametrize(
    ("package", "arguments"),
    [
        ("click", ("--help",)),
        ("platformdirs", ("day",)),
        ("sqlite_utils", ("day",)),
        ("spacy", ("type", "trimmed all four")),
        ("vosk", ("models", "check")),
        ("soundfile", ("import", "--no-reading", "demo_audio/n16-20261125-153800.opus")),
    ],
)
def test_a_broken_installation_is_a_sentence(
    tmp_path: Path, package: str, arguments: tuple[str, ...]
) -> None:
    """In a process of its own: what is missing may be needed before anything of ours runs."""
    (tmp_path / "shim").mkdir()
    (tmp_path / "shim" / "sitecustomize.py").write_text(BLOCK.format(package=package))
    path = os.pathsep.join((str(Path(fieldlog.__file__).parents[1]), str(tmp_path / "shim")))
    run = subprocess.run(
        [sys.executable, "-m", "fieldlog.cli", *arguments],
        env={**os.environ, "FIELDLOG_HOME": str(tmp_path / "home"), "PYTHONPATH": path},
        cwd=Path(__file__).parents[2],
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode == 1
    assert "Traceback" not in run.stderr
    # Words that were given to a command are kept in a file first, which is said before.
    assert any(line.startswith("fieldlog: ") for line in run.stderr.splitlines())
    assert f"the package {package.replace('_', '-')}" in run.stderr
    assert "Install fieldlog again" in run.stderr


def test_the_doctor_knows_every_package_that_is_needed() -> None:
    project = tomllib.loads((Path(__file__).parents[2] / "pyproject.toml").read_text())["project"]
    needed = {re.split(r"[<>=]", line)[0] for line in project["dependencies"]}
    assert set(installed.PACKAGES.values()) == needed


@pytest.mark.parametrize("text", ["cycle_weeks = = 8", "cycle_weks = 8", "theme = 'pink'"])
def test_the_doctor_tells_of_broken_settings_once(run: Run, home: Path, text: str) -> None:
    (home / "fieldlog.toml").write_text(text, encoding="utf-8")
    done = run("doctor", "--json")
    assert done.exit_code == 1
    told = {line["check"]: line for line in json.loads(done.output)}
    assert told["settings"]["state"] == "wrong"
    assert [name for name, line in told.items() if "fieldlog.toml" in line["words"]] == ["settings"]
    assert told["database"]["state"] == told["speech model"]["state"] == "ok"


def test_the_doctor_looks_at_the_words_that_were_taught(run: Run, home: Path) -> None:
    """With a mistake in that file no note is understood."""
    (home / "my_words.toml").write_text("[[word]\n", encoding="utf-8")
    done = run("doctor", "--json")
    assert done.exit_code == 1
    (line,) = [li for li in json.loads(done.output) if li["check"] == "own words"]
    assert line["state"] == "wrong"
    assert "my_words.toml cannot be read" in line["words"]


def test_the_doctor_names_a_missing_package(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(installed.PACKAGES, "no_such_module", "no-such-package")
    lines = json.loads(run("doctor", "--json").output)
    packages = next(line for line in lines if line["check"] == "packages")
    assert packages["state"] == "wrong"
    assert "no-such-package" in packages["words"]


def test_a_fault_of_our_own_is_not_called_a_missing_package() -> None:
    assert installed.told(ModuleNotFoundError("no", name="fieldlog.nowhere")) == ""
    odd = installed.told(ImportError("libgomp.so.1: cannot open", name="spacy.tokens"))
    assert "is installed but does not load" in odd
    assert "libgomp" in odd


def test_an_app_that_is_left_open_knows_the_next_day(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    days: list[str] = []

    def over_midnight(*_: object, today: Callable[[], date], **__: object) -> None:
        for day in ("2026-11-25", "2026-11-26"):
            monkeypatch.setenv("FIELDLOG_TODAY", day)
            days.append(today().isoformat())

    monkeypatch.setattr("fieldlog.cli.app_start.terminal_there", lambda: True)
    monkeypatch.setattr("fieldlog.app.run.run_app", over_midnight)
    assert run("review").exit_code == 0
    assert days == ["2026-11-25", "2026-11-26"]


def test_an_empty_database_is_told(run: Run, tmp_path: Path) -> None:
    """A file of 0 bytes was taken for a new database without a word."""
    home = tmp_path / "emptied"
    home.mkdir()
    (home / "fieldlog.db").touch()
    begun = run("--home", str(home), "horses", "add", "Rosie")
    assert begun.exit_code == 0
    assert "was empty (0 bytes)" in begun.stderr
    (home / "fieldlog.db").write_bytes(b"")
    (home / "sounds").mkdir(exist_ok=True)
    (home / "sounds" / "a.wav").write_bytes(b"sound")
    refused = run("--home", str(home), "horses")
    assert refused.exit_code == 1
    assert "1 sound and 0 backups" in refused.stderr
    assert (home / "fieldlog.db").stat().st_size == 0


def test_the_app_is_told_of_an_empty_database(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The check before the app begins the new records; its own opening finds them begun."""
    notices: list[str] = []
    monkeypatch.setattr("fieldlog.cli.app_start.terminal_there", lambda: True)
    monkeypatch.setattr("fieldlog.app.run.run_app", lambda *_, notice, **__: notices.append(notice))
    (tmp_path / "fieldlog.db").touch()
    for _ in range(2):
        assert run("--home", str(tmp_path), "review").exit_code == 0
    assert ["was empty (0 bytes)" in n for n in notices] == [True, False]
