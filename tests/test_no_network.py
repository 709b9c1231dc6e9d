"""Nothing but ``models fetch`` uses the network: shown from sound to papers, child processes too.

Every process of these tests starts with an audit hook (Python's own ``sys.addaudithook``, event
names of the Python audit events table) that notes and refuses name look-ups, connections and sent
packets. A socket bound on this machine alone sends nothing (urllib3, which the vosk package
imports, binds one to see whether there is IPv6) and is let through.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent

HOOK = """
import os, sys
REFUSED = ("socket.getaddrinfo", "socket.gethostbyname", "socket.connect", "socket.sendto",
           "socket.sendmsg", "urllib.Request", "http.client.connect")
def refuse(event, arguments):
    if event in REFUSED:
        with open(os.environ["NETWORK_LOG"], "a") as log:
            log.write(event + chr(10))
        raise OSError(101, "no network in this test")
sys.addaudithook(refuse)
"""


class Cut:
    """A command line in processes that are cut off from the network."""

    def __init__(self, folder: Path) -> None:
        self.log = folder / "network.txt"
        self.log.touch()
        hooks = folder / "hooks"
        hooks.mkdir()
        (hooks / "sitecustomize.py").write_text(HOOK, encoding="utf-8")
        self.env = {
            **os.environ,
            "PYTHONPATH": os.pathsep.join((str(hooks), str(ROOT))),
            "NETWORK_LOG": str(self.log),
            "FIELDLOG_HOME": str(folder / "home"),
            "FIELDLOG_TODAY": "2026-11-25",
        }

    def run(self, *arguments: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-m", "fieldlog.cli", *arguments],
            env=self.env,
            capture_output=True,
            encoding="utf-8",
            check=False,
        )


@pytest.fixture
def cut(tmp_path: Path) -> Cut:
    return Cut(tmp_path)


def test_from_sound_to_papers_without_network(cut: Cut, tmp_path: Path) -> None:
    sound = ROOT / "demo_audio" / "n05-20261125-094700.mp3"
    for arguments in (
        ("horses", "add", "Rosie", "--owner", "Ada Tanner"),
        ("import", str(sound)),
        ("save", "--all", "--yes"),
        ("follow-ups", "list"),
        ("search", "trim"),
        ("horse", "Rosie"),
        ("paper", "owner", "Rosie", "--out", str(tmp_path / "owner.pdf")),
        ("paper", "vet", "Rosie", "--out", str(tmp_path / "vet.html")),
        ("follow-ups", "ics", str(tmp_path / "due.ics")),
        ("data", "export", str(tmp_path / "all.json")),
        ("data", "backup", str(tmp_path / "all.zip")),
        ("data", "verify"),
        ("models", "list"),
        ("models", "fetch"),
        ("doctor",),
    ):
        ran = cut.run(*arguments)
        if arguments != ("doctor",):
            # The doctor's exit code tells of microphones; here only the network counts.
            assert ran.returncode == 0, (arguments, ran.stdout, ran.stderr)
        if arguments[0] == "import":
            assert "Rosie" in ran.stdout
        if arguments[0] == "save":
            assert "Saved Rosie" in ran.stdout
    assert (tmp_path / "owner.pdf").read_bytes().startswith(b"%PDF")
    assert cut.log.read_text(encoding="utf-8") == ""


def test_the_guard_sees_the_one_command_that_uses_it(cut: Cut) -> None:
    ran = cut.run("models", "fetch", "vosk-model-small-en-us-0.15")
    assert ran.returncode != 0
    assert "Traceback" not in ran.stderr
    assert cut.log.read_text(encoding="utf-8") != ""
