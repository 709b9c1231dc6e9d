"""The chunks of a WAV file: its head says how long it is and, of some recorders, when it was made.

Source: Multimedia Programming Interface and Data Specifications 1.0, IBM and Microsoft 1991.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from typing import BinaryIO

MOST_CHUNKS = 64
"""Of a file that is made of nothing but heads of chunks no more are looked at."""


def chunks(file: BinaryIO) -> Iterator[tuple[bytes, int]]:
    """(name, bytes that it is said to hold) of each chunk; the file then stands at its content.

    Nothing for a file that is no WAV. Reading of the content does not disturb what follows.
    """
    file.seek(0)
    head = file.read(12)
    if head[:4] != b"RIFF" or head[8:] != b"WAVE":
        return
    for _ in range(MOST_CHUNKS):
        chunk = file.read(8)
        if len(chunk) < 8:
            return
        name, size = struct.unpack("<4sI", chunk)
        content = file.tell()
        yield name, size
        file.seek(content + size + size % 2)
