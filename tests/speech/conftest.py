"""Every test has its own home; the shipped model is expanded once for all of them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from fieldlog.config import Settings
from fieldlog.paths import Places, places
from fieldlog.speech.models import SpeechModel, find_model, prove


@pytest.fixture
def home(tmp_path: Path) -> Places:
    return places(tmp_path / "home").make()


@pytest.fixture(scope="session")
def warm(tmp_path_factory: pytest.TempPathFactory) -> Places:
    """A home whose cache holds the expanded and proven shipped model."""
    made = places(tmp_path_factory.mktemp("warm")).make()
    prove(find_model(Settings(), made), made)
    return made


@pytest.fixture
def ready(home: Places, warm: Places) -> Places:
    """A fresh home that uses the warm cache."""
    return replace(home, cache=warm.cache)


@pytest.fixture(scope="session")
def shipped(warm: Places) -> SpeechModel:
    return find_model(Settings(), warm)
