"""What every speech reader can do, whatever engine is behind it.

Sound goes in as 16 kHz mono 16-bit little-endian PCM; words come out with seconds and confidence.
A recogniser object reads one note: make a fresh one (``open_recogniser``) for the next.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Protocol

from fieldlog.core.words import Transcript, Word
from fieldlog.sound.pcm import BYTES_PER_SECOND, SAMPLE_BYTES


class Recogniser(Protocol):
    """A streaming speech reader for one note."""

    @property
    def reader(self) -> str:
        """Which reader and model, e.g. ``vosk/farrier-en-1``; written into every word."""

    def feed(self, pcm: bytes) -> list[Word]:
        """Take more sound; return the words that became final by it (often none).

        Raises:
            ValueError: an odd number of bytes, or the note was already finished.
        """

    def partial(self) -> str:
        """The words heard since the last final ones; may still change. For showing only."""

    def finish(self) -> Transcript:
        """End of the note: every word of it, joined. Calling it again returns the same."""


def check_fed(pcm: bytes, finished: bool) -> None:
    """What every reader refuses to be fed.

    Raises:
        ValueError: half a sample, or a note that was finished.
    """
    if finished:
        raise ValueError("this note is finished; make a new recogniser for the next")
    if len(pcm) % SAMPLE_BYTES:
        raise ValueError("16-bit sound has an even number of bytes")


def transcribe(
    recogniser: Recogniser,
    chunks: Iterable[bytes],
    progress: Callable[[float], None] | None = None,
) -> Transcript:
    """Read a whole note.

    Args:
        recogniser: a fresh reader.
        chunks: 16 kHz mono 16-bit PCM, in order, pieces of any size.
        progress: called with the seconds of sound read so far, at most about twice per second
            of sound.

    Returns:
        The words; their ``duration`` is that of the sound that was read.
    """
    read = 0
    reported = 0
    for chunk in chunks:
        recogniser.feed(chunk)
        read += len(chunk)
        if progress is not None and read - reported >= BYTES_PER_SECOND // 2:
            reported = read
            progress(read / BYTES_PER_SECOND)
    transcript = recogniser.finish()
    if progress is not None:
        progress(read / BYTES_PER_SECOND)
    return transcript
