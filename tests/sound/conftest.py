"""Every test has its own home folder."""

from __future__ import annotations

from pathlib import Path

import pytest

from fieldlog.paths import Places, places


@pytest.fixture
def home(tmp_path: Path) -> Places:
    return places(tmp_path / "home").make()
