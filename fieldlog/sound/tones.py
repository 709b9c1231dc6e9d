"""Three short tones that tell a farrier, eyes on the hoof, what was understood.

They differ in number and direction of pitch, so that they can be told apart in a noisy barn and
by ears that hear one pitch only: foot understood is one short high blip, note kept is two rising,
not understood is one long falling low. Made here, not recorded.
"""

from __future__ import annotations

import array
import functools
import math
import sys
from enum import StrEnum

from fieldlog.errors import SoundError
from fieldlog.sound.pcm import SAMPLE_RATE
from fieldlog.sound.player import Player

_LOUDNESS = 0.25
"""Of full scale."""
_FADE_SECONDS = 0.008
"""At either end of a piece, so that it does not click."""


class Tone(StrEnum):
    """What a tone says."""

    FOOT_UNDERSTOOD = "foot understood"
    NOTE_KEPT = "note kept"
    NOT_UNDERSTOOD = "not understood"


_SHAPES: dict[Tone, tuple[tuple[float, float, float], ...]] = {
    Tone.FOOT_UNDERSTOOD: ((1320.0, 1320.0, 0.07),),
    Tone.NOTE_KEPT: ((660.0, 660.0, 0.09), (0.0, 0.0, 0.04), (990.0, 990.0, 0.14)),
    Tone.NOT_UNDERSTOOD: ((330.0, 220.0, 0.32),),
}
"""Pieces of each tone: first hertz, last hertz (0: silence), seconds."""


@functools.cache
def tone_pcm(tone: Tone) -> bytes:
    """The tone as 16 kHz mono 16-bit PCM."""
    samples = array.array("h")
    for first, last, seconds in _SHAPES[tone]:
        count = round(seconds * SAMPLE_RATE)
        fade = _FADE_SECONDS * SAMPLE_RATE
        phase = 0.0
        for n in range(count):
            phase += 2 * math.pi * (first + (last - first) * n / count) / SAMPLE_RATE
            edge = min(1.0, n / fade, (count - n) / fade)
            value = math.sin(phase) * edge * _LOUDNESS if first else 0.0
            samples.append(round(value * 32767))
    if sys.byteorder == "big":
        samples.byteswap()
    return samples.tobytes()


class Tones:
    """Sounds tones through a player, until told not to or until there is nothing to play on."""

    def __init__(self, player: Player, on: bool = True) -> None:
        """Start on or off (the ``tones`` setting)."""
        self._player = player
        self.on = on
        self.problem = ""
        """Why the tones went silent, or empty."""

    def sound(self, tone: Tone) -> None:
        """Play a tone if they are on. Never raises: a missing loudspeaker ends no recording."""
        if not self.on:
            return
        try:
            self._player.play_pcm(tone_pcm(tone))
        except SoundError as problem:
            self.on = False
            self.problem = str(problem)

    def stop(self) -> None:
        """Let go of the loudspeaker."""
        self._player.stop()
