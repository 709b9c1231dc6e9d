"""Real PortAudio on a real sound server: a loudspeaker that the microphone hears, then pulls out.

PulseAudio runs for the test with a null sink ("barn") whose monitor is the microphone. Needs the
pulseaudio program, ALSA's pulse plugin and PortAudio; skipped where they are missing.
"""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.sound.sounds import tone, write

ASOUNDRC = """
pcm.!default { type pulse hint { show on description "default" } }
ctl.!default { type pulse }
"""

SESSION = """
import subprocess, sys, time
from pathlib import Path
import numpy as np
from fieldlog.sound.capture import SystemMicrophone
from fieldlog.sound.player import SystemPlayer

def hum(pcm):
    "Share of the sound's power at 440 Hz."
    power = np.abs(np.fft.rfft(np.frombuffer(pcm, "<i2").astype(float))) ** 2
    at = round(440 * len(pcm) / 2 / 16000)
    return power[at - 3 : at + 4].sum() / (power.sum() + 1)

def hear(seconds):
    got, until = b"", time.monotonic() + seconds
    while time.monotonic() < until:
        piece = microphone.read(0.2)
        got += piece.pcm if piece else b""
    return got

microphone, player = SystemMicrophone(), SystemPlayer()
microphone.start()
hear(2.0)  # the sound server takes a second to begin
player.play(Path(sys.argv[1]))
hear(0.5)
heard = hear(2.5)
print("heard", len(heard) > 24000, hum(heard) > 0.8, flush=True)
player.stop()
subprocess.run(["pactl", "unload-module", "module-null-sink"], check=True)
until = time.monotonic() + 10
while not microphone.lost and time.monotonic() < until:
    microphone.read(0.2)
print("lost", microphone.lost, flush=True)
subprocess.run(["pactl", "load-module", "module-null-sink", "sink_name=barn"], check=True,
               stdout=subprocess.DEVNULL)
subprocess.run(["pactl", "set-default-source", "barn.monitor"], check=True)
until = time.monotonic() + 15
while microphone.lost and time.monotonic() < until:
    microphone.read(0.2)
print("back", not microphone.lost, len(hear(4.0)) > 9000, flush=True)
microphone.stop()
"""


@pytest.fixture
def sound_server(tmp_path: Path) -> Iterator[dict[str, str]]:
    """A sound server of our own; the environment in which it is found."""
    program, control = shutil.which("pulseaudio"), shutil.which("pactl")
    plugin = list(Path("/usr/lib").glob("**/alsa-lib/libasound_module_pcm_pulse.so"))
    if program is None or control is None or not plugin:
        pytest.skip("no PulseAudio with its ALSA plugin here")
    (tmp_path / "asoundrc").write_text(ASOUNDRC)
    env = {
        **os.environ,
        "XDG_RUNTIME_DIR": str(tmp_path),
        "HOME": str(tmp_path),
        "ALSA_CONFIG_PATH": str(tmp_path / "asoundrc"),
        "PYTHONPATH": os.pathsep.join(p or os.getcwd() for p in sys.path),
    }
    for key in ("PULSE_SERVER", "DBUS_SESSION_BUS_ADDRESS", "DISPLAY"):
        env.pop(key, None)
    load = ["module-null-sink sink_name=barn", "module-native-protocol-unix"]
    server = subprocess.Popen(
        [program, "-n", "--daemonize=no", "--exit-idle-time=-1", *(f"--load={m}" for m in load)],
        env=env,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    try:
        for _ in range(50):
            ready = subprocess.run(
                [control, "set-default-source", "barn.monitor"],
                env=env,
                capture_output=True,
                check=False,
            )
            if ready.returncode == 0:
                break
            time.sleep(0.1)
        else:
            pytest.skip("PulseAudio does not start here")
        yield env
    finally:
        server.send_signal(signal.SIGTERM)
        server.wait(10)


def test_hearing_what_is_played_then_losing_and_finding_the_microphone(
    sound_server: dict[str, str], tmp_path: Path
) -> None:
    path = write(tmp_path / "hum.wav", tone(8.0))
    run = subprocess.run(
        [sys.executable, "-c", SESSION, str(path)],
        env=sound_server,
        capture_output=True,
        text=True,
        timeout=90,
        check=False,
    )
    if "PortAudio library not found" in run.stderr:
        pytest.skip("no PortAudio library here")
    assert run.returncode == 0, run.stderr
    assert run.stdout.split("\n")[:3] == ["heard True True", "lost True", "back True True"]
