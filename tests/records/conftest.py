"""A store with two horses, for the tests that say no other one."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from fieldlog.records.store import Store


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """Bramble and Juniper, nothing noted."""
    with Store.open(tmp_path / "fieldlog.db") as opened:
        for name in ("Bramble", "Juniper"):
            opened.add_horse(name)
        yield opened
