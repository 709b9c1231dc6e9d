"""Files and folders that may not be read or written, tried as an ordinary user."""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.sound.sounds import tone, write

CODE = """
import os
import sys
from pathlib import Path
from fieldlog.errors import FieldlogError
from fieldlog.paths import places
from fieldlog.sound.importing import import_sound
from fieldlog.sound.writer import RecordingWriter
home = places(Path(sys.argv[1]))
import av, numpy, soundfile, soxr  # while we still may read Python's own folders
if os.geteuid() == 0:
    os.setuid(65534)
try:
    if sys.argv[2] == "record":
        RecordingWriter(home)
    else:
        import_sound(Path(sys.argv[2]), home)
except FieldlogError as problem:
    print(type(problem).__name__, problem)
    sys.exit(problem.exit_code)
"""


@pytest.fixture
def folder() -> Iterator[Path]:
    """A folder that everybody can reach, unlike pytest's own."""
    made = Path(tempfile.mkdtemp())
    made.chmod(0o755)
    yield made
    shutil.rmtree(made, ignore_errors=True)


def as_nobody(home: Path, what: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", CODE, str(home), what], capture_output=True, text=True, check=False
    )


def test_a_sound_that_may_not_be_read(folder: Path) -> None:
    source = write(folder / "a.wav", tone(0.2))
    source.chmod(0o000)
    home = folder / "home"
    home.mkdir(mode=0o777)
    home.chmod(0o777)
    run = as_nobody(home, str(source))
    assert (run.returncode, run.stderr) == (1, "")
    assert run.stdout.startswith("UnreadableSound a.wav cannot be opened: Permission denied.")


@pytest.mark.parametrize("action", ["import", "record"])
def test_a_home_that_may_not_be_written(folder: Path, action: str) -> None:
    source = write(folder / "a.wav", tone(0.2))
    source.chmod(0o644)
    home = folder / "home"
    (home / "sounds").mkdir(parents=True)
    for locked in (home / "sounds", home):
        locked.chmod(0o555)
    run = as_nobody(home, "record" if action == "record" else str(source))
    assert (run.returncode, run.stderr) == (1, "")
    assert run.stdout.startswith("NotAllowed Writing the ")
    assert "FIELDLOG_HOME" in run.stdout
