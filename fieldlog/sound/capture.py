"""Sound from a microphone, piece by piece, and a scripted microphone for those without one."""

from __future__ import annotations

import queue
import sys
import threading
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Protocol

from fieldlog.errors import NoMicrophone
from fieldlog.sound import portaudio
from fieldlog.sound.decode import sound_chunks
from fieldlog.sound.pcm import BYTES_PER_SECOND, in_pieces
from fieldlog.sound.portaudio import Device

PIECE_SECONDS = 0.1
"""Length of the pieces that a microphone hands over."""

LOST_AFTER = 2.0
"""Seconds without a piece after which a microphone counts as lost."""

_QUEUE_PIECES = 600
"""A minute of sound that may wait for a busy reader before some of it is lost."""
_REOPEN_EVERY = 2.0
"""Seconds between two looks for a device that went away."""


@dataclass(frozen=True, slots=True)
class Captured:
    """One piece of sound from a microphone."""

    pcm: bytes
    """16 kHz mono 16-bit PCM."""
    at: float
    """Monotonic seconds when its last sample arrived."""
    overflowed: bool = False
    """True if sound was lost just before this piece."""


class Microphone(Protocol):
    """Where live sound comes from. All methods are called from one thread."""

    @property
    def name(self) -> str:
        """What it is called, for showing."""

    @property
    def lost(self) -> bool:
        """True while the device is gone and waited for."""

    @property
    def ended(self) -> bool:
        """True if no more sound will ever come."""

    @property
    def overflows(self) -> int:
        """How often sound was lost because the computer was too slow."""

    def start(self) -> None:
        """Begin.

        Raises:
            NoMicrophone: no library, no device, or it refuses.
        """

    def read(self, timeout: float = 0.5) -> Captured | None:
        """The next piece, or None if none came within ``timeout`` seconds. Never raises."""

    def stop(self) -> None:
        """End and let go of the device; may be called twice. Never hangs."""


def microphones() -> list[Device]:
    """The microphones that are there now.

    Raises:
        NoMicrophone: the PortAudio library is missing or fails.
    """
    return portaudio.devices(inputs=True)


_ALLOWED_AT = {
    "darwin": "System Settings, Privacy & Security, Microphone: allow the terminal, start it anew",
    "win32": "Settings, Privacy & security, Microphone: let desktop apps use it",
}
"""Where systems that hand silence to a program that is not allowed to listen can be told."""


def only_silence() -> str:
    """What to say of a recording in which not one sample differs from nought."""
    where = _ALLOWED_AT.get(sys.platform)
    allowed = f", or not allowed to be heard ({where})" if where else ""
    return f"Only silence came from the microphone: is it switched off{allowed}?"


class SystemMicrophone:
    """A real input device through PortAudio.

    Opened at 16 kHz mono if the device can, else at its own rate and changed here. If it vanishes
    it is looked for every two seconds until it is back.
    """

    def __init__(self, wanted: str = "", monotonic: Callable[[], float] = time.monotonic) -> None:
        """Choose the device by number or (part of a) name; empty means the system's default."""
        self._wanted = wanted
        self._monotonic = monotonic
        self._pieces: queue.Queue[tuple[bytes, float, bool]] = queue.Queue(_QUEUE_PIECES)
        self._finished = threading.Event()
        self._stream: Any = None
        self._name = wanted or "default microphone"
        self._lost = False
        self._overflows = 0
        self._dropped = False
        self._last_piece = 0.0
        self._last_try = 0.0
        self._change: Callable[[bytes], bytes] | None = None

    @property
    def name(self) -> str:
        return self._name

    @property
    def lost(self) -> bool:
        return self._lost

    @property
    def ended(self) -> bool:
        return False

    @property
    def overflows(self) -> int:
        return self._overflows

    def start(self) -> None:
        if self._stream is not None:
            raise ValueError("the microphone is on already")
        self._open()

    def read(self, timeout: float = 0.5) -> Captured | None:
        if self._stream is None and not self._lost:
            return None
        if self._lost:
            self._try_again(timeout)
            if self._lost:
                return None
        try:
            raw, at, overflowed = self._pieces.get(timeout=timeout)
        except queue.Empty:
            silent = self._monotonic() - self._last_piece
            if self._finished.is_set() or silent > LOST_AFTER:
                self._let_go()
                self._lost = True
            return None
        self._last_piece = at
        if overflowed:
            self._overflows += 1
        return Captured(self._change(raw) if self._change else raw, at, overflowed)

    def stop(self) -> None:
        self._let_go()
        self._lost = False

    def _open(self) -> None:
        device = portaudio.choose(self._wanted)
        stream, self._change = portaudio.open_input(
            device, PIECE_SECONDS, self._callback, self._finished.set
        )
        self._stream = stream
        self._name = device.name
        self._last_piece = self._monotonic()

    def _let_go(self) -> None:
        stream, self._stream = self._stream, None
        if stream is not None:
            portaudio.close_stream(stream)
        self._finished.clear()
        while not self._pieces.empty():
            try:
                self._pieces.get_nowait()
            except queue.Empty:
                break

    def _try_again(self, timeout: float) -> None:
        now = self._monotonic()
        if now - self._last_try < _REOPEN_EVERY:
            time.sleep(min(timeout, 0.2))
            return
        self._last_try = now
        try:
            portaudio.rescan()
            self._finished.clear()
            self._open()
        except NoMicrophone:
            return
        self._lost = False

    def _callback(self, data: Any, _frames: int, _when: Any, status: Any) -> None:
        """On PortAudio's own thread: copy and leave. A full queue counts as an overflow."""
        overflowed = bool(status.input_overflow) or self._dropped
        try:
            self._pieces.put_nowait((bytes(data), self._monotonic(), overflowed))
            self._dropped = False
        except queue.Full:
            self._dropped = True


class FakeMicrophone:
    """A microphone that plays a sound file or raw PCM, for tests, demos and bare machines."""

    def __init__(
        self,
        sound: Path | bytes | Iterable[bytes],
        fast: bool = True,
        overflow_after: Iterable[float] = (),
        lost_between: tuple[float, float] | None = None,
        name: str = "fake microphone",
    ) -> None:
        """Say what is to be heard.

        Args:
            sound: a sound file, 16 kHz mono 16-bit PCM, or pieces of it.
            fast: as fast as it is read; False: in real time.
            overflow_after: seconds of sound after which one overflow is reported.
            lost_between: seconds of sound at which the device vanishes, and seconds it stays away
                (in ``fast`` mode it stays away for one ``read`` per tenth of a second).
            name: what it calls itself.
        """
        if isinstance(sound, Path):
            self._source = iter(sound_chunks(sound))
        elif isinstance(sound, bytes):
            self._source = in_pieces(sound, PIECE_SECONDS)
        else:
            self._source = iter(sound)
        self._name = name
        self._fast = fast
        self._overflow_after = sorted(overflow_after)
        self._lost_between = lost_between
        self._away = 0
        self._overflows = 0
        self._buffer = b""
        self._given = 0
        self._ended = False
        self._on = False
        self._began = 0.0

    @property
    def name(self) -> str:
        return self._name

    @property
    def lost(self) -> bool:
        return self._away > 0

    @property
    def ended(self) -> bool:
        return self._ended

    @property
    def overflows(self) -> int:
        return self._overflows

    def start(self) -> None:
        self._on = True
        self._began = time.monotonic()

    def read(self, timeout: float = 0.5) -> Captured | None:
        if not self._on or self._ended:
            return None
        seconds = self._given / BYTES_PER_SECOND
        if self._lost_between is not None and seconds >= self._lost_between[0]:
            self._away = round(self._lost_between[1] / PIECE_SECONDS)
            self._lost_between = None
        if self._away:
            self._away -= 1
            self._began += PIECE_SECONDS
            if not self._fast:
                time.sleep(PIECE_SECONDS)
            return None
        piece = self._next_piece()
        if not piece:
            self._ended = True
            return None
        if not self._fast:
            due = self._began + (self._given + len(piece)) / BYTES_PER_SECOND
            time.sleep(max(0.0, due - time.monotonic()))
        self._given += len(piece)
        overflowed = bool(self._overflow_after) and seconds >= self._overflow_after[0]
        if overflowed:
            self._overflow_after.pop(0)
            self._overflows += 1
        return Captured(piece, time.monotonic(), overflowed)

    def stop(self) -> None:
        self._on = False

    def _next_piece(self) -> bytes:
        size = round(PIECE_SECONDS * BYTES_PER_SECOND)
        while len(self._buffer) < size:
            more = next(self._source, None)
            if more is None:
                break
            self._buffer += more
        piece, self._buffer = self._buffer[:size], self._buffer[size:]
        return piece
