"""Files that are whole or not there, and readable by their owner only."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

_BLOCK = 1 << 20


def digest(path: Path) -> str:
    """Hex SHA-256 of a file's content."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def sync(path: Path) -> None:
    """Have the system put a file (or a folder's list of names) on the disk now."""
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def write_whole(target: Path, content: bytes) -> None:
    """Write beside the target, then give it its name: never half a file."""
    part = target.with_name(f".{target.name}.part")
    try:
        with part.open("wb") as file:
            part.chmod(0o600)
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        part.replace(target)
    finally:
        part.unlink(missing_ok=True)


def copy_whole(source: Path, target: Path) -> None:
    """Copy beside the target, then give it its name."""
    part = target.with_name(f".{target.name}.part")
    try:
        with source.open("rb") as clear, part.open("wb") as file:
            part.chmod(0o600)
            while block := clear.read(_BLOCK):
                file.write(block)
            file.flush()
            os.fsync(file.fileno())
        part.replace(target)
    finally:
        part.unlink(missing_ok=True)
