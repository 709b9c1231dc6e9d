"""How long a WAV file says it is; a copy that was broken off says more than it holds."""

from __future__ import annotations

import struct
from pathlib import Path

_UNKNOWN = (0, 0xFFFF_FFFF)
"""Sizes that a recorder writes before it knows better."""


def said_seconds(path: Path) -> float | None:
    """Seconds of sound that the file's head promises, if the file is too short to hold them.

    The chunks of RIFF are read (source: Multimedia Programming Interface and Data Specifications
    1.0, IBM and Microsoft 1991). None: all is there, the head does not say, or it is no such file.
    """
    try:
        with path.open("rb") as file:
            whole = file.seek(0, 2)
            file.seek(0)
            riff = file.read(12)
            if riff[:4] != b"RIFF" or riff[8:] != b"WAVE":
                return None
            rate = 0
            while len(head := file.read(8)) == 8:
                size: int = struct.unpack("<I", head[4:])[0]
                if head[:4] == b"data":
                    missing = file.tell() + size - whole
                    short = size not in _UNKNOWN and rate > 0 and missing > rate / 10
                    return size / rate if short else None
                if head[:4] == b"fmt ":
                    rate = struct.unpack("<8xI", file.read(12))[0]
                    size -= 12
                file.seek(size + size % 2, 1)
    except (OSError, struct.error):
        return None
    return None
