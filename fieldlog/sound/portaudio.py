"""The one thread that talks to PortAudio, and the one place that imports sounddevice.

PortAudio is not thread-safe (python-sounddevice issues 69 and 118): every open, close, start and
device query runs here, one after the other. A driver that hangs blocks this thread only; callers
wait a limited time and go on.
"""

from __future__ import annotations

import contextlib
import queue
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import Future
from dataclasses import dataclass
from typing import Any, TypeVar

from fieldlog.errors import NoLoudspeaker, NoMicrophone, SoundError
from fieldlog.sound.pcm import SAMPLE_RATE, rate_changer

T = TypeVar("T")

_PATIENCE = 10.0
"""Seconds after which a driver that does not answer is left behind."""

_OPEN: set[Any] = set()
"""Streams that are open now; touched on the audio thread only."""

INSTALL_HINT = "Install the PortAudio library (on Debian or Ubuntu: apt install libportaudio2)"
OR_A_PHONE = ", or record with a phone and import the file."
NO_DEVICE_HINT = (
    "Plug in a microphone, or let your user reach the sound devices (group audio on Linux, "
    "privacy settings on macOS and Windows); or record with a phone and import the file."
)


class _AudioThread:
    """Runs functions in order on a daemon thread that starts with the first one."""

    def __init__(self) -> None:
        self._jobs: queue.SimpleQueue[tuple[Callable[[], Any], Future[Any]]] = queue.SimpleQueue()
        self._lock = threading.Lock()
        self._thread: threading.Thread | None = None

    def call(self, function: Callable[[], T], patience: float) -> T:
        """Run ``function`` on the thread and return its result.

        Raises:
            TimeoutError: it did not finish within ``patience`` seconds.
        """
        if threading.current_thread() is self._thread:
            return function()
        with self._lock:
            if self._thread is None:
                self._thread = threading.Thread(target=self._run, name="audio", daemon=True)
                self._thread.start()
        future: Future[T] = Future()
        self._jobs.put((function, future))
        try:
            return future.result(timeout=patience)
        except TimeoutError:
            if future.done():
                raise
            future.cancel()
            with self._lock:  # the driver hangs: leave that thread behind, start a new one
                self._thread = None
                self._jobs = queue.SimpleQueue()
            raise

    def _run(self) -> None:
        jobs = self._jobs
        while True:
            function, future = jobs.get()
            if not future.set_running_or_notify_cancel():
                continue
            try:
                future.set_result(function())
            except BaseException as problem:
                future.set_exception(problem)


_THREAD = _AudioThread()


def on_audio_thread(function: Callable[[], T], patience: float = _PATIENCE) -> T:
    """Run ``function`` where PortAudio lives.

    Raises:
        TimeoutError: the sound driver hangs.
    """
    return _THREAD.call(function, patience)


def sounddevice(error: type[SoundError] = NoMicrophone) -> Any:
    """The sounddevice module.

    Raises:
        NoMicrophone, NoLoudspeaker (``error``): the PortAudio library is missing.
    """
    try:
        import sounddevice as module
    except (OSError, ImportError) as problem:
        playing = error is NoLoudspeaker
        raise error(
            f"This computer cannot {'play' if playing else 'record'} sound yet ({problem}).",
            INSTALL_HINT + ("." if playing else OR_A_PHONE),
        ) from problem
    return module


@dataclass(frozen=True, slots=True)
class Device:
    """A sound device as PortAudio lists it."""

    number: int
    name: str
    system: str
    """The sound system it belongs to, e.g. ``ALSA``, ``Core Audio``, ``Windows WASAPI``."""
    channels: int
    rate: float
    """Its usual sample rate, in hertz."""
    is_default: bool


def devices(inputs: bool = True) -> list[Device]:
    """Microphones (or loudspeakers) that are there now.

    Raises:
        NoMicrophone, NoLoudspeaker: no PortAudio, or it fails.
    """
    error = NoMicrophone if inputs else NoLoudspeaker
    return _guarded(lambda: _list(inputs, error), error)


def rescan() -> None:
    """Make PortAudio look for devices again; does nothing while a stream is running.

    Raises:
        NoMicrophone: the sound system does not come back.
    """

    def again() -> None:
        for stream in [s for s in _OPEN if not s.active]:  # a tone that has been played
            _close(stream)
        if _OPEN:
            return
        module = sounddevice()
        module._terminate()
        module._initialize()

    _guarded(again, NoMicrophone)


def choose(wanted: str, inputs: bool = True) -> Device:
    """The device with that number or (part of a) name; empty means the system's default.

    Raises:
        NoMicrophone, NoLoudspeaker: none there, or none by that name.
    """
    error = NoMicrophone if inputs else NoLoudspeaker
    what = "microphone" if inputs else "loudspeaker"
    found = devices(inputs)
    if not found:
        raise error(f"No {what} was found.", NO_DEVICE_HINT)
    wanted = wanted.strip()
    if not wanted:
        return next((d for d in found if d.is_default), found[0])
    by_number = [d for d in found if wanted.isdigit() and d.number == int(wanted)]
    exact = [d for d in found if d.name.casefold() == wanted.casefold()]
    part = [d for d in found if wanted.casefold() in d.name.casefold()]
    for hits in (by_number, exact, part):
        if hits:
            return hits[0]
    names = "; ".join(f"{d.number} {d.name}" for d in found)
    raise error(f"No {what} is called “{wanted}”.", f"There are: {names}.")


def open_input(
    device: Device,
    piece_seconds: float,
    callback: Callable[[Any, int, Any, Any], None],
    finished: Callable[[], None],
) -> tuple[Any, Callable[[bytes], bytes] | None]:
    """Open and start a raw 16-bit input stream.

    Args:
        device: which one.
        piece_seconds: length of the pieces that ``callback`` gets.
        callback: as sounddevice calls it (buffer, frames, time, status), on PortAudio's thread.
        finished: called when the stream ends, wanted or not.

    Returns:
        The stream, and a function that turns its pieces into 16 kHz mono (None: they are).

    Raises:
        NoMicrophone: the device refuses every shape of sound that we can use.
    """

    def attempt() -> tuple[Any, Callable[[bytes], bytes] | None]:
        module = sounddevice()
        problem: Exception | None = None
        for rate, channels in _shapes(device):
            try:
                stream = module.RawInputStream(
                    samplerate=rate,
                    blocksize=round(rate * piece_seconds),
                    device=device.number,
                    channels=channels,
                    dtype="int16",
                    callback=callback,
                    finished_callback=finished,
                )
            except module.PortAudioError as refused:
                problem = refused
                continue
            stream.start()
            _OPEN.add(stream)
            plain = (rate, channels) == (SAMPLE_RATE, 1)
            return stream, None if plain else rate_changer(rate, channels)
        raise NoMicrophone(f"{device.name} cannot be opened: {problem}.", NO_DEVICE_HINT)

    return _guarded(attempt, NoMicrophone)


def _shapes(device: Device) -> Iterator[tuple[int, int]]:
    """Sample rates (hertz) and channels to try, ours first, then what the device usually has."""
    for rate in dict.fromkeys((SAMPLE_RATE, round(device.rate))):
        for channels in dict.fromkeys((1, min(2, device.channels))):
            yield rate, channels


def open_output(
    device: Device,
    rate: int,
    callback: Callable[[Any, int, Any, Any], None],
    finished: Callable[[], None],
) -> Any:
    """Open and start a raw 16-bit mono output stream at ``rate`` hertz.

    Raises:
        NoLoudspeaker: the device refuses.
    """

    def attempt() -> Any:
        module = sounddevice(NoLoudspeaker)
        stream = module.RawOutputStream(
            samplerate=rate,
            device=device.number,
            channels=1,
            dtype="int16",
            callback=callback,
            finished_callback=finished,
        )
        stream.start()
        _OPEN.add(stream)
        return stream

    return _guarded(attempt, NoLoudspeaker)


def stream_end() -> BaseException:
    """What an output callback raises when all is played."""
    end: BaseException = sounddevice(NoLoudspeaker).CallbackStop()
    return end


def close_stream(stream: Any, patience: float = 2.0) -> None:
    """Abort and close a stream; a driver that hangs is left behind. Never raises."""
    with contextlib.suppress(Exception):
        on_audio_thread(lambda: _close(stream), patience)


def _close(stream: Any) -> None:
    """On the audio thread; once only, for PortAudio frees what it closes."""
    if stream in _OPEN:
        _OPEN.discard(stream)
        stream.abort(ignore_errors=True)
        stream.close(ignore_errors=True)


def _list(inputs: bool, error: type[SoundError]) -> list[Device]:
    module = sounddevice(error)
    key = "max_input_channels" if inputs else "max_output_channels"
    default = module.default.device[0 if inputs else 1]
    systems = module.query_hostapis()
    return [
        Device(
            number=number,
            name=str(facts["name"]),
            system=str(systems[facts["hostapi"]]["name"]),
            channels=int(facts[key]),
            rate=float(facts["default_samplerate"]),
            is_default=number == default,
        )
        for number, facts in enumerate(module.query_devices())
        if facts[key] > 0
    ]


def _guarded(function: Callable[[], T], error: type[SoundError]) -> T:
    """Run on the audio thread; whatever PortAudio says becomes ``error``."""
    try:
        return on_audio_thread(function)
    except SoundError:
        raise
    except TimeoutError as problem:
        raise error(
            "The sound driver does not answer.", "Unplug the device and plug it in again."
        ) from problem
    except Exception as problem:
        raise error(f"The sound system reports: {problem}.", NO_DEVICE_HINT) from problem
