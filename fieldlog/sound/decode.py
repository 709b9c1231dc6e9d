"""Sound files of any kind, read as 16 kHz mono 16-bit PCM in small pieces.

WAV, FLAC, Ogg Vorbis and Opus go through libsndfile (soundfile); MP3 and what phones record
(M4A/AAC, AMR, 3GP, WebM) through FFmpeg (PyAV). MP3 is not left to libsndfile because its decoder
writes to standard error, which belongs to the screen. The kind is told from the first bytes,
never from the name, and FFmpeg is given the container by name: left to guess, it would also open
playlists that point at other files or at the network.

Memory stays flat whatever the file claims: headers are not believed, and decoding stops with
``UnreadableSound`` at ``Limits``.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from fieldlog.errors import UnreadableSound
from fieldlog.sound.checked import KINDS_HINT, checked_format
from fieldlog.sound.ffmpeg import FFmpegDecoder
from fieldlog.sound.formats import SoundFormat
from fieldlog.sound.libsndfile import LibsndfileDecoder
from fieldlog.sound.ogg_end import lacks_end
from fieldlog.sound.pcm import BYTES_PER_SECOND, SAMPLE_BYTES, SAMPLE_RATE
from fieldlog.sound.wav_length import said_seconds

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from fieldlog.sound.decoder import Block, Decoder


@dataclass(frozen=True, slots=True)
class Limits:
    """What one sound file may cost; the defaults are far above any working day."""

    seconds: float = 12 * 3600.0
    """Longest sound, in seconds."""
    samples: int = 12 * 3600 * 48_000 * 2
    """Most samples to decode, all channels counted: 12 hours of 48 kHz stereo."""
    rate: int = 384_000
    """Highest sample rate, in hertz."""
    channels: int = 16


DEFAULT_LIMITS = Limits()


class SoundFile:
    """A sound file opened for one reading; iterate over it for PCM.

    Use as a context manager. After the iteration ``seconds`` is the length really read and
    ``damage`` a sentence if the file broke off or had damaged stretches, else empty.
    """

    def __init__(self, path: Path, limits: Limits = DEFAULT_LIMITS) -> None:
        """Open the file.

        Raises:
            UnreadableSound: missing, unreadable, empty, not sound, or beyond the limits.
        """
        self.path = path
        self.limits = limits
        self._bytes = 0
        self.format = checked_format(path)
        self._decoder = self._opened()
        try:
            self._check_header()
        except BaseException:
            self.close()
            raise
        self._cut_short = ""
        self.rate = self._decoder.rate
        """Sample rate of the file, in hertz."""
        self.tags = self._decoder.tags
        """Metadata of the file, keys in lower case, e.g. ``date``, ``creation_time``."""

    def _opened(self) -> Decoder:
        """The decoder of the file; FFmpeg where libsndfile is known to fail."""
        if not self.format.demuxer:
            try:
                plain = LibsndfileDecoder(self.path, lambda: self.seconds)
            except UnreadableSound:
                if self.format.suffix != ".caf":
                    raise
                self.format = SoundFormat(".caf", "caf")  # AAC inside, as phones write it
            else:
                if plain.frames or self.format.suffix != ".wav":
                    return plain
                plain.close()
                # A recorder that died wrote a size of zero; FFmpeg then reads on to the file's end.
                self.format = SoundFormat(".wav", "wav")
        return FFmpegDecoder(self.path, self.format.demuxer, lambda: self.seconds)

    @property
    def damage(self) -> str:
        """A sentence if the file broke off or had damaged stretches, else empty."""
        return self._decoder.damage or self._cut_short

    @property
    def seconds(self) -> float:
        """Seconds of sound read so far."""
        return self._bytes / BYTES_PER_SECOND

    def seek(self, seconds: float) -> None:
        """Start the coming iteration at about this time; before iterating only.

        Exact to the sample for what libsndfile reads; for MP3 up to 60 ms early or late, since
        its frames carry no times. Past the end of the sound the iteration finds nothing.

        Raises:
            UnreadableSound: the file cannot be searched.
        """
        self._decoder.seek(max(0.0, seconds))

    def close(self) -> None:
        """Let go of the file; may be called twice."""
        self._decoder.close()

    def __enter__(self) -> SoundFile:
        return self

    def __exit__(self, *exc: object) -> None:
        self.close()

    def __iter__(self) -> Iterator[bytes]:
        """16 kHz mono 16-bit PCM in pieces of at most about a second.

        Raises:
            UnreadableSound: no sound at all in it, or beyond the limits.
        """
        for pcm in _to_pcm(self._within_budget(self._decoder.blocks()), self.rate):
            self._bytes += len(pcm)
            if self.seconds > self.limits.seconds:
                raise UnreadableSound(
                    f"{self.path.name} is longer than {self.limits.seconds / 3600:g} hours.",
                    "Cut it into shorter files.",
                )
            yield pcm
        if not self._bytes:
            raise UnreadableSound(
                f"{self.path.name} holds no sound{': ' + self.damage if self.damage else ''}.",
                "Play it elsewhere to see whether the recording worked.",
            )
        if not self.damage:
            self._cut_short = self._told_short()

    def _told_short(self) -> str:
        """What the file itself says of an end that is not in it, else empty."""
        if said := said_seconds(self.path):
            return f"it breaks off after {self.seconds:.1f} of {said:.1f} s"
        if self.format.suffix in (".ogg", ".opus") and lacks_end(self.path):
            return f"it breaks off after {self.seconds:.1f} s"
        return ""

    def _within_budget(self, blocks: Iterator[Block]) -> Iterator[Block]:
        decoded = 0
        for block in blocks:
            decoded += block.size
            if decoded > self.limits.samples:
                raise UnreadableSound(
                    f"{self.path.name} unpacks to far more sound than a working day.",
                    "It is probably damaged; convert it to a WAV file and import that.",
                )
            yield block

    def _check_header(self) -> None:
        channels, rate = self._decoder.channels, self._decoder.rate
        most = min(self.limits.channels, self._decoder.most_channels)
        if not 1 <= channels <= most or not 1000 <= rate <= self.limits.rate:
            raise UnreadableSound(
                f"{self.path.name} claims {channels} channels at {rate} Hz, "
                "which is no recording of speech.",
                KINDS_HINT,
            )


def sound_chunks(path: Path, limits: Limits = DEFAULT_LIMITS) -> Iterator[bytes]:
    """The sound of a file as 16 kHz mono 16-bit PCM, in pieces, memory flat.

    Raises:
        UnreadableSound: missing, empty, not sound, damaged from the start, or beyond the limits.
    """
    with SoundFile(path, limits) as sound:
        yield from sound


def sound_span(path: Path, start: float, end: float | None = None) -> bytes:
    """The piece from ``start`` to ``end`` seconds (to the end of the sound if None), as PCM.

    Meant for short pieces: it is held in memory, and never more than ten minutes of it.

    Raises:
        UnreadableSound: as ``sound_chunks``.
        ValueError: ``end`` before ``start``.
    """
    if end is not None and end < start:
        raise ValueError("end lies before start")
    longest = min(600.0, 600.0 if end is None else end - start)
    wanted = round(longest * SAMPLE_RATE) * SAMPLE_BYTES
    taken: list[bytes] = []
    have = 0
    with SoundFile(path) as sound:
        sound.seek(start)
        for chunk in sound:
            taken.append(chunk)
            have += len(chunk)
            if have >= wanted:
                break
    return b"".join(taken)[:wanted]


def _to_pcm(blocks: Iterator[Block], rate: int) -> Iterator[bytes]:
    """Mix to mono, change the rate, round to 16 bits."""
    import numpy as np
    import soxr

    stream = (
        soxr.ResampleStream(rate, SAMPLE_RATE, 1, dtype="float32") if rate != SAMPLE_RATE else None
    )

    def finished(mono: NDArray[np.float32]) -> bytes:
        scaled = np.rint(mono * np.float32(32768.0))
        return bytes(np.clip(scaled, -32768, 32767).astype("<i2").data)

    for block in blocks:
        tame = np.clip(np.nan_to_num(block, nan=0.0), -4.0, 4.0)
        mono = tame[:, 0] if tame.shape[1] == 1 else tame.mean(axis=1, dtype=np.float32)
        if stream is not None:
            mono = stream.resample_chunk(np.ascontiguousarray(mono))
        if len(mono):
            yield finished(mono)
    if stream is not None:
        rest = stream.resample_chunk(np.zeros(0, dtype=np.float32), last=True)
        if len(rest):
            yield finished(rest)
