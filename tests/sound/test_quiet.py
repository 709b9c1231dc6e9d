"""What C libraries write must not reach the screen while Textual draws on it."""

from __future__ import annotations

from pathlib import Path

from tests.terminal import on_a_terminal

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
    screen, _ = on_a_terminal(APP, str(log), seconds=30)
    assert b"drawn on the screen" in screen
    assert b"NOISE" not in screen
    assert log.read_bytes() == b"NOISE FROM ALSA"
