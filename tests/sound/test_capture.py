"""Microphones: the scripted one, a scripted sound system, and the real PortAudio where it is."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from fieldlog.errors import NoLoudspeaker, NoMicrophone
from fieldlog.sound import capture, portaudio
from fieldlog.sound.capture import FakeMicrophone, SystemMicrophone, microphones
from fieldlog.sound.pcm import BYTES_PER_SECOND, silence
from fieldlog.sound.player import FakePlayer, SystemPlayer
from fieldlog.sound.tones import Tone, Tones
from tests.sound.sounds import pcm, sweep, write


class PortAudioError(Exception):
    """Stands in for sounddevice's."""


class CallbackStop(Exception):
    """Stands in for sounddevice's."""


class FakeSystem:
    """As much of sounddevice as we use, with devices that can be pulled out."""

    PortAudioError = PortAudioError
    CallbackStop = CallbackStop

    def __init__(self) -> None:
        self.inputs = ["Built-in", "Clip-on USB"]
        self.default = SimpleNamespace(device=[0, 9])
        self.streams: list[Stream] = []
        self.refuse: Callable[[dict[str, Any]], bool] = lambda how: False
        self.threads: set[str] = set()
        self.hang = False

    def note_thread(self) -> None:
        self.threads.add(threading.current_thread().name)

    def query_hostapis(self) -> list[dict[str, Any]]:
        return [{"name": "TestAPI"}]

    def query_devices(self) -> list[dict[str, Any]]:
        self.note_thread()

        def facts(name: str, ins: int, outs: int) -> dict[str, Any]:
            return {
                "name": name,
                "hostapi": 0,
                "max_input_channels": ins,
                "max_output_channels": outs,
                "default_samplerate": 48_000.0,
            }

        return [facts(n, 2, 0) for n in self.inputs] + [facts("Speaker", 0, 2)]

    def RawInputStream(self, **how: Any) -> Stream:
        return self.stream(how)

    def RawOutputStream(self, **how: Any) -> Stream:
        return self.stream(how)

    def stream(self, how: dict[str, Any]) -> Stream:
        self.note_thread()
        if self.refuse(how):
            raise PortAudioError("Invalid sample rate")
        stream = Stream(self, how)
        self.streams.append(stream)
        return stream

    def _terminate(self) -> None:
        self.note_thread()

    def _initialize(self) -> None:
        pass


class Stream:
    def __init__(self, system: FakeSystem, how: dict[str, Any]) -> None:
        self.system = system
        self.how = how
        self.open = True
        self.active = True

    def start(self) -> None:
        self.system.note_thread()

    def abort(self, ignore_errors: bool) -> None:
        if self.system.hang:
            time.sleep(3)
        self.system.note_thread()

    def close(self, ignore_errors: bool) -> None:
        self.open = False

    def say(self, sound: bytes, overflow: bool = False) -> None:
        """What PortAudio does on its own thread; the buffer is reused afterwards."""
        buffer = bytearray(sound)
        status = SimpleNamespace(input_overflow=overflow)
        self.how["callback"](memoryview(buffer), len(sound) // 2, None, status)
        buffer[:] = bytes(len(buffer))


@pytest.fixture
def system(monkeypatch: pytest.MonkeyPatch) -> Iterator[FakeSystem]:
    made = FakeSystem()
    monkeypatch.setitem(sys.modules, "sounddevice", made)
    monkeypatch.setattr(capture, "LOST_AFTER", 0.05)
    monkeypatch.setattr(capture, "_REOPEN_EVERY", 0.0)
    yield made
    portaudio._OPEN.clear()


def test_sound_is_copied_out_of_the_callback(system: FakeSystem) -> None:
    microphone = SystemMicrophone()
    microphone.start()
    assert microphone.name == "Built-in"
    sound = pcm(sweep(0.1))
    system.streams[0].say(sound)
    system.streams[0].say(sound, overflow=True)
    first, second = microphone.read(), microphone.read()
    assert first is not None
    assert second is not None
    assert first.pcm == second.pcm == sound
    assert (first.overflowed, second.overflowed, microphone.overflows) == (False, True, 1)
    microphone.stop()
    microphone.stop()
    assert not system.streams[0].open
    assert system.threads == {"audio"}


@pytest.mark.parametrize(
    ("wanted", "name"), [("", "Built-in"), ("1", "Clip-on USB"), ("usb", "Clip-on USB")]
)
def test_choosing(system: FakeSystem, wanted: str, name: str) -> None:
    microphone = SystemMicrophone(wanted)
    microphone.start()
    assert microphone.name == name
    assert [d.name for d in microphones()] == system.inputs
    microphone.stop()


def test_choosing_one_that_is_not_there(system: FakeSystem) -> None:
    with pytest.raises(NoMicrophone, match="“barn”") as caught:
        SystemMicrophone("barn").start()
    assert "1 Clip-on USB" in caught.value.remedy


def test_no_device_at_all(system: FakeSystem) -> None:
    system.inputs = []
    with pytest.raises(NoMicrophone, match="No microphone was found") as caught:
        SystemMicrophone().start()
    assert "phone" in caught.value.remedy


def test_a_device_that_refuses_everything(system: FakeSystem) -> None:
    system.refuse = lambda how: True
    with pytest.raises(NoMicrophone, match="cannot be opened"):
        SystemMicrophone().start()


def test_a_device_that_only_does_48_khz_stereo(system: FakeSystem) -> None:
    system.refuse = lambda how: how["samplerate"] == 16_000 or how["channels"] == 1
    microphone = SystemMicrophone()
    microphone.start()
    for _ in range(10):
        system.streams[0].say(silence(0.6))  # 0.1 s of stereo at 48 kHz has six times the bytes
    got = b"".join(c.pcm for _ in range(10) if (c := microphone.read()) is not None)
    assert len(got) == pytest.approx(BYTES_PER_SECOND, rel=0.05)
    microphone.stop()


def test_loss_and_return(system: FakeSystem) -> None:
    microphone = SystemMicrophone()
    microphone.start()
    system.streams[0].say(silence(0.1))
    assert microphone.read(0.01) is not None
    system.inputs = []
    system.streams[0].how["finished_callback"]()
    assert microphone.read(0.01) is None
    assert microphone.lost
    assert microphone.read(0.01) is None
    system.inputs = ["Clip-on USB"]
    microphone.read(0.01)
    assert not microphone.lost
    assert microphone.name == "Clip-on USB"
    system.streams[-1].say(silence(0.1))
    assert microphone.read(0.01) is not None
    microphone.stop()


def test_a_played_tone_does_not_keep_us_from_looking_again(system: FakeSystem) -> None:
    player = SystemPlayer()
    player.play_pcm(silence(0.1))
    looked: list[bool] = []
    system._initialize = lambda: looked.append(True)  # type: ignore[method-assign]
    portaudio.rescan()
    assert looked == []
    system.streams[0].active = False
    portaudio.rescan()
    assert looked == [True]
    assert not system.streams[0].open
    player.stop()


def test_one_that_does_not_come_back_is_looked_for_without_hurry(
    system: FakeSystem, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(capture, "_REOPEN_EVERY", 60.0)
    now = [0.0]
    microphone = SystemMicrophone(monotonic=lambda: now[0])
    microphone.start()
    with pytest.raises(ValueError, match="on already"):
        microphone.start()
    system.inputs = []
    now[0] = 100.0
    assert microphone.read(0.01) is None
    assert microphone.lost
    for _ in range(3):
        assert microphone.read(0.01) is None
    assert len(system.streams) == 1
    now[0] = 161.0
    system.inputs = ["Clip-on USB"]
    microphone.read(0.01)
    assert (microphone.lost, microphone.name) == (False, "Clip-on USB")
    microphone.stop()
    assert microphone.read(0.01) is None, "what is off hears nothing"
    assert not microphone.ended


def test_a_silent_driver_counts_as_lost(system: FakeSystem) -> None:
    microphone = SystemMicrophone()
    microphone.start()
    deadline = time.monotonic() + 2
    while not microphone.lost and time.monotonic() < deadline:
        microphone.read(0.02)
    assert microphone.lost
    microphone.stop()


def test_a_driver_that_hangs_on_closing_is_left_behind(system: FakeSystem) -> None:
    system.hang = True
    stream, _ = portaudio.open_input(portaudio.choose(""), 0.1, lambda *a: None, lambda: None)
    began = time.monotonic()
    portaudio.close_stream(stream, patience=0.1)
    assert time.monotonic() - began < 1
    assert portaudio.on_audio_thread(lambda: 7) == 7


def test_a_reader_too_slow_loses_the_newest_and_counts_it(system: FakeSystem) -> None:
    microphone = SystemMicrophone()
    microphone.start()
    for _ in range(capture._QUEUE_PIECES + 5):
        system.streams[0].say(b"\0\0")
    for _ in range(capture._QUEUE_PIECES):
        microphone.read(0)
    system.streams[0].say(b"\0\0")
    last = microphone.read(0)
    assert last is not None
    assert last.overflowed
    microphone.stop()


def test_playing(system: FakeSystem, tmp_path: Path) -> None:
    path = write(tmp_path / "a.wav", sweep(3.0))
    player = SystemPlayer()
    player.play(path, 1.0, 1.5)
    fill = system.streams[0].how["callback"]
    played = bytearray()
    out = bytearray(3_200)
    for _ in range(8):
        fill(memoryview(out), 1_600, None, None)
        played += out
    with pytest.raises(CallbackStop):
        fill(memoryview(out), 1_600, None, None)
    whole = pcm(sweep(3.0))
    piece = whole[round(0.85 * BYTES_PER_SECOND) : round(1.65 * BYTES_PER_SECOND)]
    span = bytes(played[: len(piece)])
    # The file was written by another hand (32,767 for 1.0), so the last bit may differ.
    assert all(abs(a - b) <= 1 for a, b in zip(samples(span), samples(piece), strict=True))
    assert player.playing
    system.streams[0].how["finished_callback"]()
    assert not player.playing
    player.stop()
    assert player.wait(0.1)


def samples(sound: bytes) -> list[int]:
    return list(memoryview(sound).cast("h"))


def test_a_loudspeaker_that_only_does_48_khz(system: FakeSystem) -> None:
    system.refuse = lambda how: how["samplerate"] == 16_000
    player = SystemPlayer()
    player.play_pcm(silence(0.1))
    assert system.streams[0].how["samplerate"] == 48_000
    player.stop()
    system.refuse = lambda how: True
    with pytest.raises(NoLoudspeaker):
        player.play_pcm(silence(0.1))


def run_python(code: str, **env: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
        env={**os.environ, **env},
    )


START = """
from fieldlog.errors import FieldlogError
from fieldlog.sound.capture import SystemMicrophone
try:
    SystemMicrophone().start()
except FieldlogError as problem:
    print(type(problem).__name__, problem)
    raise SystemExit(problem.exit_code)
"""


def test_who_cannot_play_is_not_told_to_record(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "sounddevice", None)
    with pytest.raises(NoLoudspeaker, match="cannot play sound yet") as playing:
        portaudio.sounddevice(NoLoudspeaker)
    assert str(playing.value).endswith("apt install libportaudio2).")
    with pytest.raises(NoMicrophone, match="record with a phone"):
        portaudio.sounddevice()


def test_a_computer_without_the_portaudio_library(tmp_path: Path) -> None:
    """sounddevice raises OSError on import then, as python-sounddevice documents."""
    (tmp_path / "sounddevice.py").write_text("raise OSError('PortAudio library not found')\n")
    run = run_python(START, PYTHONPATH=f"{tmp_path}{os.pathsep}{os.environ.get('PYTHONPATH', '')}")
    assert run.returncode == 1, run.stderr
    assert run.stdout.startswith("NoMicrophone This computer cannot record sound yet")
    assert "libportaudio2" in run.stdout


def portaudio_is_here() -> bool:
    return run_python("import sounddevice").returncode == 0


NULL_DEVICE = """
pcm.!default { type null hint { show on description "default" } }
ctl.!default { type null }
"""


def test_real_portaudio_without_that_device() -> None:
    if not portaudio_is_here():
        pytest.skip("no PortAudio library here")
    run = run_python(START.replace("SystemMicrophone()", "SystemMicrophone('moon dust 7')"))
    assert run.returncode == 1, run.stderr
    assert run.stdout.startswith("NoMicrophone No microphone ")


RECORD_NULL = """
from fieldlog.sound.capture import SystemMicrophone, microphones
from fieldlog.sound.player import SystemPlayer
from fieldlog.sound.tones import Tone, tone_pcm
print([d.name for d in microphones()])
microphone = SystemMicrophone()
microphone.start()
pieces = [microphone.read(2.0) for _ in range(20)]
print(sum(len(p.pcm) for p in pieces if p is not None))
player = SystemPlayer()
player.play_pcm(tone_pcm(Tone.NOTE_KEPT))
print(player.wait(5.0))
player.stop()
microphone.stop()
"""


@pytest.mark.skipif(sys.platform != "linux", reason="needs ALSA's null device")
def test_real_portaudio_with_alsas_null_device(tmp_path: Path) -> None:
    if not portaudio_is_here():
        pytest.skip("no PortAudio library here")
    (tmp_path / "asound.conf").write_text(NULL_DEVICE)
    run = run_python(RECORD_NULL, ALSA_CONFIG_PATH=str(tmp_path / "asound.conf"))
    assert run.returncode == 0, run.stderr
    assert run.stdout.split("\n")[:3] == ["['default']", "64000", "True"]


def test_the_fake_plays_a_file_whole(tmp_path: Path) -> None:
    microphone = FakeMicrophone(write(tmp_path / "a.wav", sweep(1.23)))
    microphone.start()
    got = b""
    while (piece := microphone.read()) is not None:
        got += piece.pcm
    assert len(got) == 2 * round(1.23 * 16_000)
    assert microphone.ended
    microphone.stop()


def test_the_fake_in_real_time() -> None:
    microphone = FakeMicrophone(silence(0.5), fast=False)
    began = time.monotonic()
    microphone.start()
    while microphone.read() is not None:
        pass
    assert 0.45 < time.monotonic() - began < 1.5


def test_the_fake_overflows_and_vanishes_as_told() -> None:
    microphone = FakeMicrophone(silence(1.0), overflow_after=[0.3], lost_between=(0.5, 0.3))
    microphone.start()
    seen = [(microphone.read(), microphone.lost) for _ in range(15)]
    assert microphone.overflows == 1
    assert sum(1 for piece, _ in seen if piece is not None) == 10
    assert any(lost for _, lost in seen)


def test_tones_are_short_distinct_and_can_be_off() -> None:
    player = FakePlayer()
    tones = Tones(player)
    for tone in Tone:
        tones.sound(tone)
    assert len(set(player.pcm)) == len(Tone)
    assert all(0.05 < len(p) / BYTES_PER_SECOND < 0.4 for p in player.pcm)
    assert len({len(p) for p in player.pcm}) == len(Tone)
    Tones(player, on=False).sound(Tone.NOTE_KEPT)
    assert len(player.pcm) == len(Tone)


def test_tones_fall_silent_without_a_loudspeaker() -> None:
    player = FakePlayer(broken=NoLoudspeaker("No loudspeaker was found."))
    tones = Tones(player)
    tones.sound(Tone.NOTE_KEPT)
    tones.sound(Tone.NOTE_KEPT)
    assert not tones.on
    assert "No loudspeaker" in tones.problem
