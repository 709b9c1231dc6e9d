"""The layers hold: statically by import-linter, and at run time in a fresh process."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent


def test_import_contracts() -> None:
    tool = Path(sys.executable).with_name("lint-imports")
    run = subprocess.run(
        [str(tool), "--no-cache"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert run.returncode == 0, run.stdout + run.stderr


HEAVY = ("spacy", "vosk", "textual", "sounddevice", "av", "matplotlib", "numpy", "sqlite_utils")


@pytest.mark.parametrize(
    ("module", "allowed"),
    [("fieldlog.core.facts", ()), ("fieldlog.cli.main", ()), ("fieldlog.language.wording", ())],
)
def test_light_modules_stay_light(module: str, allowed: tuple[str, ...]) -> None:
    code = f"import sys, {module}; print(*[m for m in {HEAVY!r} if m in sys.modules])"
    run = subprocess.run(
        [sys.executable, "-c", code],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    assert set(run.stdout.split()) <= set(allowed)
