"""What the record screen knows, made from the recording's events one by one: pure."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from fieldlog.app.shown import count, plain
from fieldlog.core.feet import Foot
from fieldlog.speech import events
from fieldlog.speech.events import Event, Outcome

Phase = Literal["ready", "starting", "recording", "waiting", "stopping", "kept", "failed"]

WORDS_KEPT = 60
"""Final words that stay on the screen while recording."""


@dataclass(frozen=True, slots=True)
class RecordingState:
    """Everything that is shown while recording."""

    phase: Phase = "ready"
    device: str = ""
    reader: str = ""
    """Empty: sound is kept, and read later."""
    seconds: float = 0.0
    loudness: float = 0.0
    """0 to 1, for the meter."""
    clipped: bool = False
    feet: tuple[Foot, ...] = ()
    horse: str = ""
    words: tuple[str, ...] = ()
    hearing: str = ""
    last: str = ""
    """What was last understood or not, as a sentence."""
    warnings: tuple[str, ...] = ()
    outcome: Outcome | None = None

    @property
    def running(self) -> bool:
        """What is said now is kept."""
        return self.phase in ("recording", "waiting", "stopping")


def meter(loudness: float, width: int) -> str:
    """A bar such as ``████······``; empty to the right."""
    full = round(max(0.0, min(1.0, loudness)) * width)
    return "█" * full + "·" * (width - full)


def loudness_of(dbfs: float) -> float:
    """0 for -60 dB full scale or less, 1 for 0 dB: the part of the meter that is lit."""
    return max(0.0, min(1.0, (dbfs + 60.0) / 60.0))


def elapsed(seconds: float) -> str:
    """``0:07``, ``12:30``, ``1:02:03``."""
    whole = int(seconds)
    hours, rest = divmod(whole, 3600)
    minutes, second = divmod(rest, 60)
    return f"{hours}:{minutes:02}:{second:02}" if hours else f"{minutes}:{second:02}"


def after(state: RecordingState, event: Event) -> RecordingState:
    """The state after one event."""
    match event:
        case events.Started(microphone=name, reader=reader):
            return replace(state, phase="recording", device=plain(name), reader=reader)
        case events.Heartbeat(seconds=seconds, level=level):
            return replace(
                state,
                seconds=seconds,
                loudness=loudness_of(level.peak),
                clipped=level.clipped,
            )
        case events.Hearing(text=text):
            return replace(state, hearing=plain(text))
        case events.Heard(words=words):
            kept = (*state.words, *(plain(w.text) for w in words))[-WORDS_KEPT:]
            return replace(state, words=kept, hearing="")
        case events.FootNamed(feet=feet):
            return replace(state, feet=feet, last="")
        case events.NewHorse(name=name):
            shown = plain(name)
            said = f"New horse: {shown}." if shown else "New horse; the name was not caught."
            return replace(state, horse=shown or "?", feet=(), last=said)
        case events.EndOfHorse():
            return replace(state, horse="", feet=(), last="End of that horse.")
        case events.Scratched():
            return replace(state, last="The last thing is taken back.")
        case events.NotUnderstood(words=words):
            heard = " ".join(plain(w.text) for w in words[-8:])
            return replace(state, last=f"Heard unsurely: “{heard}”. Say it again if it matters.")
        case events.Finished(outcome=outcome):
            failed = outcome.sound is None
            return replace(state, phase="failed" if failed else "kept", outcome=outcome)
        case _:
            return _after_trouble(state, event)


def _after_trouble(state: RecordingState, event: Event) -> RecordingState:
    """Events that leave a warning on the screen."""
    phase: Phase = state.phase
    match event:
        case events.SoundLost(times=times):
            key, text = "Sound was lost", f"Sound was lost {count(times, 'time')}"
            text += ": the computer is too slow. Close other programs."
        case events.MicrophoneLost(microphone=name):
            key = text = "The microphone is gone"
            text += f" ({plain(name)}). Recording waits until it is back."
            phase = "waiting"
        case events.MicrophoneBack(away=away):
            key, text = "The microphone", f"The microphone was gone for {away:.0f} seconds."
            phase = "recording"
        case events.DiskNearlyFull(minutes_left=minutes):
            key, text = "The disk", f"The disk is nearly full: about {minutes:.0f} minutes left."
        case events.ComputerSlept(seconds=seconds):
            key, text = "The computer slept", f"The computer slept for {elapsed(seconds)}."
        case events.ClockSet(seconds=seconds):
            key, text = "The clock", f"The clock was set by {seconds:+.0f} seconds."
        case events.NoRecords(error=error):
            key = "Sound only"
            text = f"Sound only, a draft later: {plain(error)}"
        case events.ReadingFailed(error=error):
            key, text = "Reading", f"Reading along stopped ({plain(error)}); the sound is kept."
        case _:
            return state
    kept = tuple(w for w in state.warnings if not w.startswith(key))
    return replace(state, phase=phase, warnings=(*kept, text))
