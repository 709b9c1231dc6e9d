"""What happens during a recording, as typed events for the screen and the command line."""

from __future__ import annotations

from dataclasses import dataclass

from fieldlog.core.feet import Foot
from fieldlog.core.words import Transcript, Word
from fieldlog.errors import FieldlogError
from fieldlog.sound.importing import ImportedSound
from fieldlog.sound.pcm import Level


@dataclass(frozen=True, slots=True)
class Started:
    """Recording began."""

    microphone: str
    reader: str
    """Empty if nothing listens along."""


@dataclass(frozen=True, slots=True)
class Heartbeat:
    """About ten times a second: how long and how loud."""

    seconds: float
    """Seconds recorded so far."""
    level: Level


@dataclass(frozen=True, slots=True)
class Hearing:
    """Words that may still change; the whole of the unfinished stretch."""

    text: str


@dataclass(frozen=True, slots=True)
class Heard:
    """Words that are final."""

    words: tuple[Word, ...]


@dataclass(frozen=True, slots=True)
class FootNamed:
    """A foot, a pair or all four were named."""

    feet: tuple[Foot, ...]


@dataclass(frozen=True, slots=True)
class NewHorse:
    """A new horse begins; the name is as spoken and may be empty."""

    name: str


@dataclass(frozen=True, slots=True)
class EndOfHorse:
    """The note about this horse is finished."""


@dataclass(frozen=True, slots=True)
class Scratched:
    """The last thing said is taken back."""


@dataclass(frozen=True, slots=True)
class NotUnderstood:
    """Something was said that the reader is unsure about."""

    words: tuple[Word, ...]


@dataclass(frozen=True, slots=True)
class SoundLost:
    """The computer was too slow for the microphone."""

    times: int
    """How often so far."""


@dataclass(frozen=True, slots=True)
class MicrophoneLost:
    """The microphone went away; recording waits for it."""

    microphone: str


@dataclass(frozen=True, slots=True)
class MicrophoneBack:
    """The microphone, or another one, is there again."""

    microphone: str
    away: float
    """Seconds that were not recorded."""


@dataclass(frozen=True, slots=True)
class DiskNearlyFull:
    """Soon there is no room for more."""

    minutes_left: float


@dataclass(frozen=True, slots=True)
class ComputerSlept:
    """The computer slept while recording."""

    seconds: float


@dataclass(frozen=True, slots=True)
class ClockSet:
    """The computer's clock was set while recording."""

    seconds: float


@dataclass(frozen=True, slots=True)
class ReadingFailed:
    """The reader gave up; the sound goes on being kept and can be read later."""

    error: str


@dataclass(frozen=True, slots=True)
class NoRecords:
    """The database cannot be used; the sound is kept on the disk, and becomes a draft later."""

    error: str


@dataclass(frozen=True, slots=True)
class Finished:
    """The recording ended and is kept."""

    outcome: Outcome


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a recording came to."""

    sound: ImportedSound | None
    """None if not one sample came, or if the file could not get its lasting name (``problem``)."""
    transcript: Transcript | None
    """What was heard along the way; None without a reader or if it failed."""
    stopped_by: str
    """``key``, ``voice``, ``disk full``, ``end of sound``, ``too long``, ``trouble``."""
    lost_sound: int = 0
    """How often the computer was too slow for the microphone."""
    away: float = 0.0
    """Seconds that the microphone was gone."""
    problem: FieldlogError | None = None


Event = (
    Started
    | Heartbeat
    | Hearing
    | Heard
    | FootNamed
    | NewHorse
    | EndOfHorse
    | Scratched
    | NotUnderstood
    | SoundLost
    | MicrophoneLost
    | MicrophoneBack
    | DiskNearlyFull
    | ComputerSlept
    | ClockSet
    | ReadingFailed
    | NoRecords
    | Finished
)
