"""What every screen has: the bar at the top, the line that answers, the keys at the foot."""

from __future__ import annotations

from collections.abc import Sequence

from textual.content import Content
from textual.widgets import Static

from fieldlog.app.keys import Key, bar
from fieldlog.app.shown import fit, plain

NAMES = {
    "day": "1 Day",
    "record": "2 Record",
    "due": "3 Due",
    "search": "4 Search",
    "horse": "5 Horse",
}
"""The screens in their order, with the key that opens each."""
RECORDING = "● recording"


class TopBar(Static):
    """The screens, the present one in brackets; at the right what matters now."""

    def __init__(self, current: str) -> None:
        super().__init__(id="top")
        self._current = current
        self._right = ""
        self._recording = False

    def say(self, right: str) -> None:
        """Show ``right`` at the right end."""
        self._right = plain(right)
        self._draw()

    def on_mount(self) -> None:
        self.watch(self.app, "recording", self._set_recording)

    def _set_recording(self, recording: bool) -> None:
        """A running recording is told on every screen, whatever else stands at the right."""
        self._recording = recording
        self._draw()

    def on_resize(self) -> None:
        self._draw()

    def _draw(self) -> None:
        parts: list[Content | str] = [Content.styled(" fieldlog ", "bold $text-primary")]
        for key, name in NAMES.items():
            if key == self._current:
                parts.append(Content.styled(f"[{name}]", "reverse bold"))
            else:
                parts.append(f" {name} ")
        left = Content.assemble(*parts)
        room = self.size.width - len(left.plain) - 2
        pieces = [piece for piece in self._right.split(" · ") if piece]
        if self._recording:
            pieces.insert(0, RECORDING)
        while len(pieces) > 1 and len(" · ".join(pieces)) > room:
            pieces.pop()  # the last piece matters least
        right = fit(" · ".join(pieces), room) if room > 6 else ""
        shown = Content(right)
        if self._recording:
            shown = shown.stylize("bold $text-error", 0, len(RECORDING))
        self.update(Content.assemble(left, " " * max(0, room + 1 - len(right)), shown))


class AnswerLine(Static):
    """The answer to the last key, until the next one: done, or why not. May take several rows."""

    def __init__(self) -> None:
        super().__init__("", id="answer")
        self.text = ""
        """What is shown, for tests and screen readers."""

    def done(self, text: str) -> None:
        """Something worked."""
        self.text = plain(text)
        self.update(Content.styled(f"✓ {self.text}", "$text-success"))

    def tell(self, text: str) -> None:
        """Something to know."""
        self.text = plain(text)
        self.update(Content(self.text))

    def refuse(self, text: str) -> None:
        """Something did not work, and what to do."""
        self.text = plain(text)
        self.update(Content.styled(f"! {self.text}", "bold $text-error"))

    def clear(self) -> None:
        """Nothing to say."""
        self.text = ""
        self.update("")


class KeyBar(Static):
    """The most used keys, as many as fit."""

    def __init__(self, keys: Sequence[Key]) -> None:
        super().__init__(id="keys")
        self._keys = tuple(keys)

    def on_resize(self) -> None:
        self.update(bar(self._keys, self.size.width))
