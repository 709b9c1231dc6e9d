"""Whether an Ogg file holds its own end; a copy that was broken off does not.

Neither libsndfile nor its decoders tell of that: they end where the file ends. A page says how long
it is, and the last one says that it is the last (source: RFC 3533, section 6).
"""

from __future__ import annotations

from pathlib import Path

_LARGEST_PAGE = 65_307
"""Bytes of a page with all that it can hold."""
_HEAD = 27
_LAST = 0x04
"""The flag of the last page, in the byte of flags."""
_FLAGS, _SEGMENTS = 5, 26
"""Places in the head of a page: its flags, and how many lengths follow the head."""


def lacks_end(path: Path) -> bool:
    """True if the file ends within a page, or with one that is not marked as the last."""
    try:
        with path.open("rb") as file:
            whole = file.seek(0, 2)
            file.seek(max(0, whole - _LARGEST_PAGE))
            tail = file.read()
    except OSError:
        return False
    page = tail[max(0, tail.rfind(b"OggS\0")) :]
    if len(page) < _HEAD or not page.startswith(b"OggS\0"):
        return True
    lengths = page[_HEAD : _HEAD + page[_SEGMENTS]]
    ends = _HEAD + page[_SEGMENTS] + sum(lengths)
    return ends > len(page) or not page[_FLAGS] & _LAST
