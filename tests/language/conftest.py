"""The pipeline, loaded once for all tests of understanding."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

import pytest

from fieldlog.core.facts import Entry, Fact
from fieldlog.core.words import Transcript
from fieldlog.language import confidence, note_marks, second_opinion
from fieldlog.language.pipeline import Understander, load
from fieldlog.language.wording import describe

RECORDED = datetime(2026, 11, 25, 9, 0)
"""A Wednesday; the worked dates of the trade notes count from it."""


@pytest.fixture(scope="session")
def understander() -> Understander:
    return load()


@pytest.fixture
def entries(
    understander: Understander, request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch
) -> Callable[..., tuple[Entry, ...]]:
    """What the rules alone understand.

    What the second opinion adds, weighs and sets aside changes with every training; how good all
    together is, is measured on whole notes (tests/gold, tests/cli/test_demo_script.py). A module
    that says ``SECOND_OPINION = True`` gets all together.
    """
    if not getattr(request.module, "SECOND_OPINION", False):
        monkeypatch.setattr(second_opinion, "opinion", lambda *_: None)
        monkeypatch.setattr(note_marks, "opinion", lambda *_: None)
        monkeypatch.setattr(confidence, "opinion", lambda *_: None)

    def run(text: str, *names: str) -> tuple[Entry, ...]:
        return understander.understand(Transcript.typed(text), recorded=RECORDED, names=names)

    return run


@pytest.fixture
def facts(entries: Callable[..., tuple[Entry, ...]]) -> Callable[..., list[Fact]]:
    """Facts of all entries, red-flag calls left out."""

    def run(text: str) -> list[Fact]:
        return [
            fact
            for entry in entries(text)
            for fact in entry.facts
            if not fact.rule.startswith("redflag")
        ]

    return run


@pytest.fixture
def lines(facts: Callable[..., list[Fact]]) -> Callable[[str], list[str]]:
    """The facts as the short lines that screens show."""

    def run(text: str) -> list[str]:
        return [describe(fact) for fact in facts(text)]

    return run
