"""What a decoder of sound files gives, whichever library it calls."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Block = NDArray[np.float32]
    """Samples from -1 to 1, shape (frames, channels)."""

BLOCK_FRAMES = 16_384
"""Frames read at once."""


class Decoder(Protocol):
    """One sound file, opened for one reading."""

    rate: int
    """Sample rate of the file, in hertz."""
    channels: int
    most_channels: int
    """More than the library reads safely."""
    tags: dict[str, str]
    """Metadata of the file, keys in lower case."""
    damage: str
    """A sentence if the file broke off or had damaged stretches, else empty."""

    def seek(self, seconds: float) -> None:
        """Let the blocks begin at about this time.

        Raises:
            UnreadableSound: the file cannot be searched.
        """

    def blocks(self) -> Iterator[Block]:
        """The sound, block by block; ends at damage that cannot be passed."""

    def close(self) -> None:
        """Let go of the file; may be called twice."""
