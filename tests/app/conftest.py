"""A database that is filled once and copied for each test, so that each starts fresh and fast."""

from __future__ import annotations

import shutil
from datetime import date
from pathlib import Path

import pytest
from textual.widgets import Input

from fieldlog.app.desk import Desk
from fieldlog.app.main import FieldlogApp
from fieldlog.paths import Places
from fieldlog.records.store import Store
from tests.app import barn
from tests.app.barn import TODAY


@pytest.fixture(scope="session")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder to copy."""
    folder = tmp_path_factory.mktemp("barn")
    where = barn.home(folder)
    with Store.open(where.database) as store:
        barn.fill(store, where)
    return where.data


@pytest.fixture
def where(filled: Path, tmp_path: Path) -> Places:
    """A fresh copy of the invented morning."""
    shutil.copytree(filled, tmp_path / "home")
    return barn.home(tmp_path)


@pytest.fixture
def saved(where: Places) -> Places:
    """The morning with Juniper's entry saved and a few promises."""
    with Store.open(where.database) as store:
        store.save_entry("entry-juniper")
        copper = store.horse_named("Copper")
        store.add_follow_up("radiographs", "radiographs by a veterinarian", who="vet",
                            horse_id=copper.id, due=date(2026, 11, 20))  # fmt: skip
        store.add_follow_up("bring", "bring number one shoes", horse_id=copper.id)
        store.add_follow_up("call", "call about the pads", horse_id=copper.id, due=TODAY)
    return where


@pytest.fixture
def desk(where: Places) -> Desk:
    """A desk over it."""
    return barn.desk_at(where)


@pytest.fixture
def app(desk: Desk) -> FieldlogApp:
    """The app over it."""
    return FieldlogApp(desk)


@pytest.fixture(autouse=True)
def still_cursor(monkeypatch: pytest.MonkeyPatch) -> None:
    """No blinking: a picture must not depend on the moment it is taken."""
    monkeypatch.setattr(Input, "cursor_blink", False)
