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

import stat
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO

from fieldlog.errors import UnreadableSound
from fieldlog.sound.formats import SoundFormat, sniff
from fieldlog.sound.pcm import BYTES_PER_SECOND, SAMPLE_BYTES, SAMPLE_RATE
from fieldlog.sound.wav_length import said_seconds

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Block = NDArray[np.float32]
    """Samples from -1 to 1, shape (frames, channels)."""

_BLOCK_FRAMES = 16_384

_SEEK_MARGIN = 0.5
"""Seconds that FFmpeg starts early, so that its decoder has settled at the wanted place."""

_FFMPEG_CHANNELS = 8
"""PyAV 18 reads beyond its memory for frames of more channels; such frames are not touched."""

_KINDS_HINT = "Give a WAV, FLAC, OGG, Opus, MP3 or M4A file."


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
        self.damage = ""
        self._bytes = 0
        self._skip_until = 0.0
        self._closers: list[Any] = []
        self.format = _checked_format(path)
        try:
            if self.format.demuxer:
                self._open_ffmpeg()
            else:
                self._open_libsndfile()
            self._check_header()
        except BaseException:
            self.close()
            raise

    rate: int
    """Sample rate of the file, in hertz."""
    channels: int
    tags: dict[str, str]
    """Metadata of the file, keys in lower case, e.g. ``date``, ``creation_time``."""

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
        import av
        import soundfile

        seconds = max(0.0, seconds)
        try:
            if self.format.demuxer:
                self._skip_until = seconds
                if seconds > _SEEK_MARGIN:
                    self._container.seek(round((seconds - _SEEK_MARGIN) * av.time_base))
            else:
                self._sound.seek(min(round(seconds * self.rate), max(0, self._sound.frames)))
        except (soundfile.SoundFileError, av.FFmpegError, OSError, RuntimeError) as problem:
            raise _not_sound(self.path, problem) from problem

    def close(self) -> None:
        """Let go of the file; may be called twice."""
        while self._closers:
            self._closers.pop().close()

    def __enter__(self) -> SoundFile:
        return self

    def __exit__(self, *exc: object) -> None:
        self.close()

    def __iter__(self) -> Iterator[bytes]:
        """16 kHz mono 16-bit PCM in pieces of at most about a second.

        Raises:
            UnreadableSound: no sound at all in it, or beyond the limits.
        """
        blocks = self._ffmpeg_blocks() if self.format.demuxer else self._libsndfile_blocks()
        for pcm in _to_pcm(self._within_budget(blocks), self.rate):
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
        if not self.damage and (said := said_seconds(self.path)):
            self.damage = f"it breaks off after {self.seconds:.1f} of {said:.1f} s"

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
        most = min(self.limits.channels, _FFMPEG_CHANNELS if self.format.demuxer else 1024)
        if not 1 <= self.channels <= most or not 1000 <= self.rate <= (self.limits.rate):
            raise UnreadableSound(
                f"{self.path.name} claims {self.channels} channels at {self.rate} Hz, "
                "which is no recording of speech.",
                _KINDS_HINT,
            )

    # libsndfile

    def _open_libsndfile(self) -> None:
        import soundfile

        class Streamed(soundfile.SoundFile):  # type: ignore[misc]
            """soundfile seeks after every block read, which makes Opus and MP3 stumble there."""

            def seekable(self) -> bool:
                return False

        try:
            self._sound = Streamed(str(self.path))
        except (soundfile.SoundFileError, OSError, TypeError, ValueError) as problem:
            if self.format.suffix == ".caf":  # AAC inside, as phones write it
                self._fall_back("caf")
                return
            raise _not_sound(self.path, problem) from problem
        self._closers.append(self._sound)
        if not self._sound.frames and self.format.suffix == ".wav":
            # A recorder that died wrote a size of zero; FFmpeg then reads on to the file's end.
            self._fall_back("wav")
            return
        self.rate = int(self._sound.samplerate)
        self.channels = int(self._sound.channels)
        try:
            tags = self._sound.copy_metadata()
        except (UnicodeDecodeError, soundfile.SoundFileError):
            tags = {}
        self.tags = {str(k).lower(): str(v) for k, v in tags.items()}

    def _fall_back(self, demuxer: str) -> None:
        self.format = SoundFormat(self.format.suffix, demuxer)
        self._open_ffmpeg()

    def _libsndfile_blocks(self) -> Iterator[Block]:
        import soundfile

        while True:
            try:
                block = self._sound.read(_BLOCK_FRAMES, dtype="float32", always_2d=True)
            except (soundfile.SoundFileError, RuntimeError) as problem:
                self.damage = f"it breaks off after {self.seconds:.1f} s ({problem})"
                return
            if not len(block):
                return
            yield block

    # FFmpeg

    def _open_ffmpeg(self) -> None:
        import av

        av.logging.set_level(None)
        try:
            file = self.path.open("rb")
            self._closers.append(file)
            self._container: Any = av.open(
                _Source(file), mode="r", format=self.format.demuxer, metadata_errors="replace"
            )
            self._closers.append(self._container)
            if not self._container.streams.audio:
                raise UnreadableSound(f"There is no sound in {self.path.name}.", _KINDS_HINT)
            self._stream = self._container.streams.audio[0]
            context = self._stream.codec_context
            if context is None:
                raise UnreadableSound(
                    f"{self.path.name} is packed in a way that is not known here.", _KINDS_HINT
                )
            self.rate = int(context.sample_rate or 0)
            self.channels = int(context.channels or 0)
        except (av.FFmpegError, OSError, ValueError, RuntimeError, OverflowError) as problem:
            raise _not_sound(self.path, problem) from problem
        tags = {**self._container.metadata, **self._stream.metadata}
        self.tags = {str(k).lower(): str(v) for k, v in tags.items()}

    def _ffmpeg_blocks(self) -> Iterator[Block]:
        import av
        import numpy as np

        bad = 0
        held: list[Block] = []
        packets = self._packets()
        resamplers: dict[tuple[int, str], Any] = {}
        while True:
            try:
                packet = next(packets, None)
                if packet is None:
                    break
                for frame in packet.decode():
                    if frame.layout.nb_channels > _FFMPEG_CHANNELS:
                        raise ValueError(f"{frame.layout.nb_channels} channels")
                    early = round((self._skip_until - (frame.time or 0.0)) * frame.sample_rate)
                    if self._skip_until and early >= frame.samples:
                        continue
                    shape = (frame.sample_rate, frame.layout.name)
                    if shape not in resamplers:
                        resamplers[shape] = av.AudioResampler(
                            format="fltp", layout=frame.layout, rate=self.rate
                        )
                    for plain in resamplers[shape].resample(frame):
                        block = np.ascontiguousarray(plain.to_ndarray().T, dtype=np.float32)
                        if self._skip_until:
                            block, self._skip_until = block[max(0, early) :], 0.0
                        held.append(block)
                # A packet may hold a single sample: go on with handfuls only.
                if held and (held[0].shape != held[-1].shape or _handful(held)):
                    yield from _merged(held)
                    held = []
            except (av.FFmpegError, ValueError, RuntimeError) as problem:
                bad += 1
                self.damage = f"{bad} damaged stretches were left out ({problem})"
                if bad > 1000:
                    break
        yield from _merged(held)

    def _packets(self) -> Iterator[Any]:
        import av

        packets = self._container.demux(self._stream)
        while True:
            try:
                yield next(packets)
            except StopIteration:
                return
            except (av.FFmpegError, OSError, ValueError) as problem:
                self.damage = f"it breaks off after {self.seconds:.1f} s ({problem})"
                return


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


class _Source:
    """A file for FFmpeg whose failing seeks are answers, not tracebacks on standard error."""

    def __init__(self, file: BinaryIO) -> None:
        self._file = file

    def read(self, size: int) -> bytes:
        return self._file.read(size)

    def tell(self) -> int:
        return self._file.tell()

    def seek(self, offset: int, whence: int = 0) -> int:
        try:
            return self._file.seek(offset, whence)
        except (OSError, ValueError, OverflowError):
            return -1


def _handful(blocks: list[Block]) -> bool:
    return len(blocks) * len(blocks[0]) >= _BLOCK_FRAMES or len(blocks) >= 256


def _merged(blocks: list[Block]) -> Iterator[Block]:
    """The blocks joined where their channels agree."""
    import numpy as np

    while blocks:
        alike = [b for b in blocks if b.shape[1] == blocks[0].shape[1]]
        if len(alike) < len(blocks):
            alike = blocks[:1]
        yield np.concatenate(alike) if len(alike) > 1 else alike[0]
        blocks = blocks[len(alike) :]


def _checked_format(path: Path) -> SoundFormat:
    """Look at the file itself before any decoder does."""
    try:
        facts = path.stat()
        if not stat.S_ISREG(facts.st_mode):
            raise UnreadableSound(f"{path.name} is not a file.", _KINDS_HINT)
        with path.open("rb") as file:
            head = file.read(64)
    except FileNotFoundError as problem:
        raise UnreadableSound(
            f"There is no file {path}.", "Check the name and the folder."
        ) from problem
    except (OSError, ValueError) as problem:
        raise UnreadableSound(
            f"{path.name} cannot be opened: {getattr(problem, 'strerror', None) or problem}.",
            "Check that you may read it and that its disk is still plugged in.",
        ) from problem
    if not head:
        raise UnreadableSound(
            f"{path.name} is empty (0 bytes).",
            "The recorder never wrote its sound; copy the file from the recorder again.",
        )
    found = sniff(head)
    if found is None:
        raise UnreadableSound(f"{path.name} is not a sound file, whatever its name.", _KINDS_HINT)
    return found


def _not_sound(path: Path, problem: Exception) -> UnreadableSound:
    reason = str(problem).replace(str(path), path.name).strip().rstrip(".")
    return UnreadableSound(
        f"{path.name} is damaged or not really sound ({reason}).",
        "Copy it again from where it was recorded; if it plays elsewhere, save it there as WAV.",
    )
