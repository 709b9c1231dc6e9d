"""A command line with real records: the demo's people and earlier visits, no sound."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from fieldlog.cli.demo_commands import plant
from fieldlog.cli.demo_day import DemoDay, load_day
from fieldlog.cli.main import cli
from fieldlog.records.store import Store

DATA = Path(__file__).parents[2] / "demo_data"

Run = Callable[..., Result]


@pytest.fixture(scope="session")
def day() -> DemoDay:
    return load_day(DATA)


@pytest.fixture(scope="session")
def planted(day: DemoDay, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A home folder with the earlier visits saved; copied by ``home`` for each test."""
    folder = tmp_path_factory.mktemp("planted")
    with Store.open(folder / "fieldlog.db", author=day.farrier) as store:
        plant(store, day)
    return folder


@pytest.fixture
def home(planted: Path, tmp_path: Path) -> Path:
    folder = tmp_path / "home"
    shutil.copytree(planted, folder)
    return folder


@pytest.fixture
def run(home: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    """Call ``fieldlog`` in ``home`` on the demo's day."""
    monkeypatch.setenv("FIELDLOG_TODAY", "2026-11-25")
    monkeypatch.delenv("FIELDLOG_HOME", raising=False)

    def call(*arguments: str, at: Path = home, input: str | bytes | None = None) -> Result:
        return CliRunner().invoke(cli, ["--home", str(at), *arguments], input=input)

    return call
