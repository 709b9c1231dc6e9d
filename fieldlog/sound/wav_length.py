"""How long a WAV file says it is; a copy that was broken off says more than it holds."""

from __future__ import annotations

import struct
from pathlib import Path

from fieldlog.sound.riff import chunks

_UNKNOWN = (0, 0xFFFF_FFFF)
"""Sizes that a recorder writes before it knows better."""
_FORMAT_BYTES = 16
"""The least that tells the rate."""


def said_seconds(path: Path) -> float | None:
    """Seconds of sound that the file's head promises, if the file is too short to hold them.

    None: all is there, the head does not say, or it is no WAV file. Less than a tenth of a second
    that is missing is not worth telling.
    """
    try:
        with path.open("rb") as file:
            whole = file.seek(0, 2)
            second = 0
            """Bytes of one second."""
            for name, size in chunks(file):
                if name == b"fmt " and size >= _FORMAT_BYTES:
                    second = struct.unpack("<8xI", file.read(12))[0]
                elif name == b"data":
                    missing = file.tell() + size - whole
                    short = size not in _UNKNOWN and second > 0 and missing > second / 10
                    return size / second if short else None
    except (OSError, struct.error):
        return None
    return None
