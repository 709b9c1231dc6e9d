"""WAV, FLAC, Ogg Vorbis, Opus and their like, decoded by libsndfile."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from fieldlog.sound.checked import not_sound
from fieldlog.sound.decoder import BLOCK_FRAMES

if TYPE_CHECKING:
    from fieldlog.sound.decoder import Block


class LibsndfileDecoder:
    """See ``Decoder``.

    Args:
        path: the file.
        so_far: seconds of sound that were read of it.

    Raises:
        UnreadableSound: it cannot be opened.
    """

    most_channels = 1024

    def __init__(self, path: Path, so_far: Callable[[], float]) -> None:
        import soundfile

        class Streamed(soundfile.SoundFile):  # type: ignore[misc]
            """soundfile seeks after every block read, which makes Opus and MP3 stumble there."""

            def seekable(self) -> bool:
                return False

        self._path, self._so_far = path, so_far
        self.damage = ""
        try:
            self._sound = Streamed(str(path))
        except (soundfile.SoundFileError, OSError, TypeError, ValueError) as problem:
            raise not_sound(path, problem) from problem
        self.rate = int(self._sound.samplerate)
        self.channels = int(self._sound.channels)
        try:
            tags = self._sound.copy_metadata()
        except (UnicodeDecodeError, soundfile.SoundFileError):
            tags = {}
        self.tags = {str(k).lower(): str(v) for k, v in tags.items()}

    @property
    def frames(self) -> int:
        """Frames that the file claims to hold."""
        return int(self._sound.frames)

    def seek(self, seconds: float) -> None:
        """Begin at this time, exact to the sample."""
        import soundfile

        try:
            self._sound.seek(min(round(seconds * self.rate), max(0, self.frames)))
        except (soundfile.SoundFileError, OSError, RuntimeError) as problem:
            raise not_sound(self._path, problem) from problem

    def blocks(self) -> Iterator[Block]:
        """The sound, block by block."""
        import soundfile

        while True:
            try:
                block = self._sound.read(BLOCK_FRAMES, dtype="float32", always_2d=True)
            except (soundfile.SoundFileError, RuntimeError) as problem:
                self.damage = f"it breaks off after {self._so_far():.1f} s ({problem})"
                return
            if not len(block):
                return
            yield block

    def close(self) -> None:
        """Let go of the file."""
        self._sound.close()
