"""MP3 and what phones record (M4A/AAC, AMR, 3GP, WebM), decoded by FFmpeg (PyAV)."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO

from fieldlog.errors import UnreadableSound
from fieldlog.sound.checked import KINDS_HINT, not_sound
from fieldlog.sound.decoder import BLOCK_FRAMES

if TYPE_CHECKING:
    from fieldlog.sound.decoder import Block

_SEEK_MARGIN = 0.5
"""Seconds that FFmpeg starts early, so that its decoder has settled at the wanted place."""
_CHANNELS = 8
"""PyAV 18 reads beyond its memory for frames of more channels; such frames are not touched."""
_MOST_DAMAGED = 1000
"""Damaged stretches after which a file is given up."""


class FFmpegDecoder:
    """See ``Decoder``.

    Args:
        path: the file.
        demuxer: FFmpeg's name of the container.
        so_far: seconds of sound that were read of it.

    Raises:
        UnreadableSound: it cannot be opened, or holds no sound.
    """

    most_channels = _CHANNELS

    def __init__(self, path: Path, demuxer: str, so_far: Callable[[], float]) -> None:
        self._path, self._so_far = path, so_far
        self.damage = ""
        self._skip_until = 0.0
        self._resamplers: dict[tuple[int, str], Any] = {}
        self._closers: list[Any] = []
        try:
            self._open(demuxer)
        except BaseException:
            self.close()
            raise

    def _open(self, demuxer: str) -> None:
        import av

        av.logging.set_level(None)
        try:
            file = self._path.open("rb")
            self._closers.append(file)
            self._container: Any = av.open(
                _Source(file), mode="r", format=demuxer, metadata_errors="replace"
            )
            self._closers.append(self._container)
            if not self._container.streams.audio:
                raise UnreadableSound(f"There is no sound in {self._path.name}.", KINDS_HINT)
            self._stream = self._container.streams.audio[0]
            context = self._stream.codec_context
            if context is None:
                raise UnreadableSound(
                    f"{self._path.name} is packed in a way that is not known here.", KINDS_HINT
                )
            self.rate = int(context.sample_rate or 0)
            self.channels = int(context.channels or 0)
        except (av.FFmpegError, OSError, ValueError, RuntimeError, OverflowError) as problem:
            raise not_sound(self._path, problem) from problem
        tags = {**self._container.metadata, **self._stream.metadata}
        self.tags = {str(k).lower(): str(v) for k, v in tags.items()}

    def seek(self, seconds: float) -> None:
        """Begin at this time; for MP3 up to 60 ms early or late."""
        import av

        self._skip_until = seconds
        if seconds <= _SEEK_MARGIN:
            return
        try:
            self._container.seek(round((seconds - _SEEK_MARGIN) * av.time_base))
        except (av.FFmpegError, OSError, RuntimeError) as problem:
            raise not_sound(self._path, problem) from problem

    def blocks(self) -> Iterator[Block]:
        """The sound, block by block; damaged stretches are left out and counted."""
        import av

        bad = 0
        held: list[Block] = []
        packets = self._packets()
        while True:
            try:
                packet = next(packets, None)
                if packet is None:
                    break
                for block in self._decoded(packet):
                    held.append(block)
                # A packet may hold a single sample: go on with handfuls only.
                if held and (held[0].shape != held[-1].shape or _handful(held)):
                    yield from _merged(held)
                    held = []
            except (av.FFmpegError, ValueError, RuntimeError) as problem:
                bad += 1
                self.damage = f"{bad} damaged stretches were left out ({problem})"
                if bad > _MOST_DAMAGED:
                    break
        yield from _merged(held)

    def _decoded(self, packet: Any) -> Iterator[Block]:
        """The sound of one packet, from where it was to begin.

        Raises:
            ValueError: more channels than can be read safely.
        """
        import numpy as np

        for frame in packet.decode():
            if frame.layout.nb_channels > _CHANNELS:
                raise ValueError(f"{frame.layout.nb_channels} channels")
            early = round((self._skip_until - (frame.time or 0.0)) * frame.sample_rate)
            if self._skip_until and early >= frame.samples:
                continue
            for plain in self._resampler(frame).resample(frame):
                block = np.ascontiguousarray(plain.to_ndarray().T, dtype=np.float32)
                if self._skip_until:
                    block, self._skip_until = block[max(0, early) :], 0.0
                yield block

    def _resampler(self, frame: Any) -> Any:
        """What makes floats at the file's rate of frames like this one."""
        import av

        shape = (frame.sample_rate, frame.layout.name)
        if shape not in self._resamplers:
            self._resamplers[shape] = av.AudioResampler(
                format="fltp", layout=frame.layout, rate=self.rate
            )
        return self._resamplers[shape]

    def _packets(self) -> Iterator[Any]:
        """What the container holds of the sound, up to where it breaks off."""
        import av

        packets = self._container.demux(self._stream)
        while True:
            try:
                yield next(packets)
            except StopIteration:
                return
            except (av.FFmpegError, OSError, ValueError) as problem:
                self.damage = f"it breaks off after {self._so_far():.1f} s ({problem})"
                return

    def close(self) -> None:
        """Let go of the file; may be called twice."""
        while self._closers:
            self._closers.pop().close()


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
    """Whether so much is held that it is worth going on with."""
    return len(blocks) * len(blocks[0]) >= BLOCK_FRAMES or len(blocks) >= 256


def _merged(blocks: list[Block]) -> Iterator[Block]:
    """The blocks joined where their channels agree."""
    import numpy as np

    while blocks:
        alike = [b for b in blocks if b.shape[1] == blocks[0].shape[1]]
        if len(alike) < len(blocks):
            alike = blocks[:1]
        yield np.concatenate(alike) if len(alike) > 1 else alike[0]
        blocks = blocks[len(alike) :]
