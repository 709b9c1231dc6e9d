"""The picture of a running recording: what to see at a glance from two steps away."""

from __future__ import annotations

from textual.content import Content
from textual.widgets import Static

from fieldlog.app.recording_state import RecordingState, elapsed, meter
from fieldlog.core.feet import Foot
from fieldlog.language.wording import describe_feet

_PHASES = {
    "ready": ("READY", "$text-primary"),
    "starting": ("GETTING READY", "$text-primary"),
    "recording": ("● RECORDING", "$text-error"),
    "waiting": ("… WAITING FOR THE MICROPHONE", "$text-warning"),
    "stopping": ("STOPPING", "$text-primary"),
    "kept": ("✓ KEPT", "$text-success"),
    "failed": ("! NOT RECORDED", "$text-error"),
}
_ROWS = ((Foot.LF, Foot.RF), (Foot.LH, Foot.RH))


class RecorderView(Static):
    """Shows one ``RecordingState``."""

    def __init__(self, british: bool = False) -> None:
        super().__init__(id="recorder")
        self._british = british
        self._state = RecordingState()

    def show(self, state: RecordingState) -> None:
        """Draw ``state``."""
        self._state = state
        self._draw()

    def on_resize(self) -> None:
        self._draw()

    def _draw(self) -> None:
        if self.size.width:
            self.update(recorder_content(self._state, self.size.width, self._british))


def recorder_content(state: RecordingState, width: int, british: bool = False) -> Content:
    """The whole picture as text."""
    word, style = _PHASES[state.phase]
    live = state.phase in ("recording", "waiting", "stopping", "kept")
    parts: list[Content | str] = [
        Content.styled(word, f"bold {style}"),
        f"   {elapsed(state.seconds)}" if live else "",
        f"   microphone: {state.device}\n" if state.device else "\n",
    ]
    if live:
        too_loud = "  TOO LOUD" if state.clipped else ""
        parts.append(f"level {meter(state.loudness, min(40, width - 20))}{too_loud}\n")
        parts.append(_disk_line(state) + "\n")
    # Before the feet and the words: on a low screen what is last lies behind the caution.
    parts += _troubles(state)
    if live:
        parts += ["\n", _feet(state.feet, british)]
        named = describe_feet(state.feet, british) if state.feet else "none named yet"
        parts += ["foot   ", Content.styled(named, "bold"), "      "]
        parts += ["horse   ", Content.styled(state.horse or "not named yet", "bold"), "\n"]
        parts += ["heard  ", _tail(" ".join(state.words), width * 2 - 10) or "…", "\n"]
        parts += [Content.styled(f"       {_tail(state.hearing, width - 8)}", "italic"), "\n"]
        if state.last:
            parts += [state.last, "\n"]
    return Content.assemble(*parts)


def _troubles(state: RecordingState) -> list[Content]:
    found = [Content.styled(f"! {warning}\n", "bold $text-warning") for warning in state.warnings]
    if state.outcome is not None and state.outcome.problem is not None:
        found.append(Content.styled(f"! {state.outcome.problem}\n", "bold $text-error"))
    return found


def _tail(text: str, room: int) -> str:
    """The end of a text: the newest words matter."""
    return text if len(text) <= room else "…" + text[-(room - 1) :]


def _disk_line(state: RecordingState) -> str:
    reading = (
        f"reading along: {state.reader}" if state.reader else "read later: no reader is running"
    )
    if state.phase == "kept":
        return f"on disk: all {elapsed(state.seconds)}, kept;  {reading}"
    return f"on disk: {elapsed(state.seconds)}, written as it comes;  {reading}"


def _feet(feet: tuple[Foot, ...], british: bool) -> Content:
    """The four feet from above; the ones in hand are reversed and carry a mark."""
    parts: list[Content | str] = ["            ▲ head\n"]
    for row in _ROWS:
        parts.append("  ")
        for foot in row:
            name = foot.british if british else foot.american
            chosen = foot in feet
            text = f"■ {name} ■" if chosen else name
            parts += [Content.styled(f"{text:^17}", "reverse bold" if chosen else ""), " "]
        parts.append("\n")
    parts.append("\n")
    return Content.assemble(*parts)
