"""What C libraries write must not reach the screen while Textual draws on it."""

from __future__ import annotations

import os
import pty
import select
import subprocess
import sys
import time
from pathlib import Path

APP = """
import os, sys
from pathlib import Path
from textual.app import App
from textual.widgets import Static
from fieldlog.sound.quiet import native_noise_to

class Small(App):
    def compose(self):
        yield Static("drawn on the screen")
    def on_mount(self):
        os.write(2, b"NOISE FROM ALSA")
        self.set_timer(0.3, self.exit)

with native_noise_to(Path(sys.argv[1])):
    Small().run()
"""


def test_a_real_textual_app_on_a_real_terminal(tmp_path: Path) -> None:
    log = tmp_path / "native.log"
    ours, theirs = pty.openpty()
    app = subprocess.Popen(
        [sys.executable, "-c", APP, str(log)], stdin=theirs, stdout=theirs, stderr=theirs
    )
    os.close(theirs)
    screen = b""
    deadline = time.monotonic() + 30
    while app.poll() is None and time.monotonic() < deadline:
        if select.select([ours], [], [], 0.1)[0]:
            try:
                screen += os.read(ours, 65_536)
            except OSError:
                break
    app.wait(10)
    os.close(ours)
    assert b"drawn on the screen" in screen
    assert b"NOISE" not in screen
    assert log.read_bytes() == b"NOISE FROM ALSA"
