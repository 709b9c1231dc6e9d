"""Playing a piece of a recording: the few seconds that a fact came from."""

from __future__ import annotations

import threading
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Protocol

from fieldlog.errors import NoLoudspeaker
from fieldlog.sound import portaudio
from fieldlog.sound.decode import sound_span
from fieldlog.sound.pcm import SAMPLE_RATE, change_rate, silence

LEAD_SECONDS = 0.15
"""Played before and after a piece, so that its first and last sounds are not cut."""


class Player(Protocol):
    """Something that plays sound. Starting to play stops what played before."""

    def play(self, path: Path, start: float = 0.0, end: float | None = None) -> None:
        """Play from ``start`` to ``end`` seconds of a file; returns at once.

        Raises:
            NoLoudspeaker: no library, no device, or it refuses.
            UnreadableSound: the file cannot be read.
        """

    def play_pcm(self, pcm: bytes) -> None:
        """Play 16 kHz mono 16-bit PCM; returns at once.

        Raises:
            NoLoudspeaker: no library, no device, or it refuses.
        """

    def stop(self) -> None:
        """Fall silent. Never raises, never hangs."""

    @property
    def playing(self) -> bool:
        """True while sound is going out."""


class SystemPlayer:
    """Plays through the default output device, or the one named."""

    def __init__(self, wanted: str = "") -> None:
        """Choose the device by number or (part of a) name."""
        self._wanted = wanted
        self._stream: Any = None
        self._done = threading.Event()
        self._lock = threading.Lock()

    @property
    def playing(self) -> bool:
        return self._stream is not None and not self._done.is_set()

    def play(self, path: Path, start: float = 0.0, end: float | None = None) -> None:
        first = max(0.0, start - LEAD_SECONDS)
        self.play_pcm(sound_span(path, first, None if end is None else end + LEAD_SECONDS))

    def play_pcm(self, pcm: bytes) -> None:
        self.stop()
        device = portaudio.choose(self._wanted, inputs=False)
        with self._lock:
            self._done = done = threading.Event()
            try:
                self._stream = portaudio.open_output(device, SAMPLE_RATE, _feeder(pcm), done.set)
            except NoLoudspeaker:
                rate = round(device.rate)
                if rate == SAMPLE_RATE:
                    raise
                sound = change_rate(pcm, SAMPLE_RATE, rate)
                self._stream = portaudio.open_output(device, rate, _feeder(sound), done.set)

    def stop(self) -> None:
        with self._lock:
            stream, self._stream = self._stream, None
        if stream is not None:
            portaudio.close_stream(stream)

    def wait(self, timeout: float) -> bool:
        """Wait until it has played out; False if ``timeout`` seconds passed before."""
        return self._stream is None or self._done.wait(timeout)


@dataclass
class FakePlayer:
    """Plays nothing and keeps what it was asked to play."""

    played: list[tuple[Path, float, float | None]] = field(default_factory=list)
    pcm: list[bytes] = field(default_factory=list)
    stops: int = 0
    playing: bool = False
    broken: NoLoudspeaker | None = None
    """Raised by every attempt to play, if set."""

    def play(self, path: Path, start: float = 0.0, end: float | None = None) -> None:
        if self.broken is not None:
            raise self.broken
        self.played.append((path, start, end))
        self.playing = True

    def play_pcm(self, pcm: bytes) -> None:
        if self.broken is not None:
            raise self.broken
        self.pcm.append(pcm)
        self.playing = True

    def stop(self) -> None:
        self.stops += 1
        self.playing = False


def _feeder(pcm: bytes) -> Any:
    """A PortAudio callback that hands out ``pcm`` and then ends the stream."""
    sound = pcm + silence(0.05)
    at = 0

    def fill(out: Any, _frames: int, _when: Any, _status: Any) -> None:
        nonlocal at
        room = len(out)
        piece = sound[at : at + room]
        at += room
        out[: len(piece)] = piece
        if len(piece) < room:
            out[len(piece) :] = bytes(room - len(piece))
            raise portaudio.stream_end()

    return fill
