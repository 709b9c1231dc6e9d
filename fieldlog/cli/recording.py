"""What the command line shows while it records: time, level, words, and what was understood."""

from __future__ import annotations

import shutil
import sys
import threading

import click

from fieldlog.core.feet import describe_feet
from fieldlog.papers.charts import BARS
from fieldlog.speech import events
from fieldlog.speech.events import Event

_QUIET_DBFS = -60.0


class Reporter:
    """Prints events; called on the recording's threads, so it only prints, under a lock."""

    def __init__(self, live: bool | None = None) -> None:
        self._live = sys.stderr.isatty() if live is None else live
        self._lock = threading.Lock()
        self._hearing = ""

    def __call__(self, event: Event) -> None:
        with self._lock:
            line = self._line(event)
            if line:
                self._clear()
                click.echo(line, err=True)

    def _clear(self) -> None:
        if self._live:
            width = shutil.get_terminal_size((80, 24)).columns
            click.echo("\r" + " " * (width - 1) + "\r", nl=False, err=True)

    def _status(self, event: events.Heartbeat) -> None:
        if not self._live:
            return
        minutes, seconds = divmod(int(event.seconds), 60)
        width = shutil.get_terminal_size((80, 24)).columns - 1
        clip = "!" if event.level.clipped else " "
        text = f"{minutes:02d}:{seconds:02d} {level_bar(event.level.peak)}{clip} {self._hearing}"
        click.echo("\r" + text[:width].ljust(width), nl=False, err=True)

    def _line(self, event: Event) -> str:
        match event:
            case events.Heartbeat():
                self._status(event)
                return ""
            case events.Hearing(text):
                self._hearing = text
                return ""
            case events.Started(microphone, reader):
                ear = f", heard by {reader}" if reader else ""
                return f"Recording from {microphone}{ear}. Say “stop recording” or press Ctrl-C."
            case events.Heard(words):
                self._hearing = ""
                return "  " + " ".join(w.text for w in words) if words else ""
            case events.FootNamed(feet):
                return f"  foot: {describe_feet(feet)}"
            case events.NewHorse(name):
                return f"  new horse: {name or 'name not understood'}"
            case events.EndOfHorse():
                return "  end of horse"
            case events.Scratched():
                return "  last thing taken back"
            case events.NotUnderstood():
                return "  not understood; it stays in the note as heard"
            case events.SoundLost(times):
                return f"The computer was too slow for the microphone ({times} times)."
            case events.MicrophoneLost(microphone):
                return f"{microphone} went away. Recording waits for it; Ctrl-C ends it."
            case events.MicrophoneBack(microphone, away):
                return f"{microphone} is back after {away:.0f} s without sound."
            case events.DiskNearlyFull(minutes):
                return f"The disk is nearly full: room for about {minutes:.0f} minutes more."
            case events.ComputerSlept(seconds):
                return f"The computer slept for {seconds:.0f} s."
            case events.ClockSet(seconds):
                return f"The computer's clock was moved by {seconds:.0f} s while recording."
            case events.ReadingFailed(error):
                return f"Nothing listens along any more ({error}). The sound is still kept."
            case events.Finished(outcome):
                why = {"voice": "by your word", "key": "by Ctrl-C"}
                return f"Stopped ({why.get(outcome.stopped_by, outcome.stopped_by)})."
        return ""


def level_bar(dbfs: float, cells: int = 8) -> str:
    """Loudness as a row of blocks from -60 dB to full scale."""
    share = max(0.0, min(1.0, (dbfs - _QUIET_DBFS) / -_QUIET_DBFS))
    full = round(share * cells)
    return BARS[-1] * full + BARS[0] * (cells - full)
