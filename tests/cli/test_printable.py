"""Output that goes where not every sign can be written, as into a file on Windows."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest


def fieldlog(home: Path, encoding: str, *arguments: str) -> subprocess.CompletedProcess[bytes]:
    """The command with its output in ``encoding``, as Python has it on Windows for a pipe."""
    return subprocess.run(
        [sys.executable, "-m", "fieldlog.cli", "--home", str(home), *arguments],
        env=os.environ | {"PYTHONIOENCODING": encoding, "FIELDLOG_TODAY": "2026-11-25"},
        capture_output=True,
        check=False,
    )


@pytest.mark.parametrize("encoding", ["cp1252", "cp437", "ascii"])
@pytest.mark.parametrize(
    "arguments", [("horse", "Juniper", "--trends"), ("follow-ups",), ("--help",), ("notes",)]
)
def test_no_sign_ends_a_command(home: Path, encoding: str, arguments: tuple[str, ...]) -> None:
    whole = fieldlog(home, "utf-8", *arguments)
    done = fieldlog(home, encoding, *arguments)
    assert done.returncode == 0, done.stderr.decode(encoding)
    assert len(done.stdout.splitlines()) == len(whole.stdout.splitlines())


def test_a_trend_line_keeps_its_shape(home: Path) -> None:
    whole = fieldlog(home, "utf-8", "horse", "Juniper", "--trends").stdout.decode()
    plain = fieldlog(home, "cp1252", "horse", "Juniper", "--trends").stdout.decode("cp1252")
    assert plain == whole.translate(str.maketrans("▁▂▃▄▅▆▇█", "._-=+*#@"))
    assert plain != whole


def test_json_loses_no_letter(home: Path) -> None:
    added = fieldlog(home, "utf-8", "horses", "add", "Łucja “Lu”", "--owner", "Šárka Dvořák")
    assert added.returncode == 0, added.stderr
    found = json.loads(fieldlog(home, "cp1252", "horses", "list", "--json").stdout.decode("cp1252"))
    assert "Łucja “Lu”" in [h["name"] for h in found]


def test_an_error_is_said(home: Path) -> None:
    refused = fieldlog(home, "cp437", "horse", "Łucja")
    assert refused.returncode == 1
    assert b'There is no horse called "?ucja".' in refused.stderr
