"""Spoilt imports: our own errors or a clean read, never anything else. See fuzz_imports.py."""

from __future__ import annotations

from tests.papers.fuzz_imports import campaign


def test_spoilt_imports_are_told_or_read() -> None:
    outcomes = campaign(120, seed=1)
    assert sum(outcomes.values()) == 120
    assert outcomes["BadImport"] > 30
