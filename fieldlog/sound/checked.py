"""What is no sound is told in a sentence, before a decoder sees it and after it gave up."""

from __future__ import annotations

import stat
from pathlib import Path

from fieldlog.errors import UnreadableSound
from fieldlog.sound.formats import SoundFormat, sniff

KINDS_HINT = "Give a WAV, FLAC, OGG, Opus, MP3 or M4A file."
"""What to do about a file that is no sound."""


def checked_format(path: Path) -> SoundFormat:
    """The kind of a sound file, told from the file itself before any decoder sees it.

    Raises:
        UnreadableSound: missing, unreadable, empty, or not sound.
    """
    try:
        facts = path.stat()
        if not stat.S_ISREG(facts.st_mode):
            raise UnreadableSound(f"{path.name} is not a file.", KINDS_HINT)
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
        raise UnreadableSound(f"{path.name} is not a sound file, whatever its name.", KINDS_HINT)
    return found


def not_sound(path: Path, problem: Exception) -> UnreadableSound:
    """The sentence for a file that its decoder cannot read."""
    reason = str(problem).replace(str(path), path.name).strip().rstrip(".")
    return UnreadableSound(
        f"{path.name} is damaged or not really sound ({reason}).",
        "Copy it again from where it was recorded; if it plays elsewhere, save it there as WAV.",
    )
