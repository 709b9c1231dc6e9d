"""The written texts that language models learn from, as they stand in the repository."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import dictation

HERE = Path(__file__).parent
GIST = HERE.parent / "gist"


def written_talk() -> Iterator[str]:
    """``written/*.txt``: an utterance a line, in plain words."""
    for file in sorted((HERE / "written").glob("*.txt")):
        yield from dictation.lines_of(file)


def phrases() -> Iterator[str]:
    """The phrases that the second opinion learnt from."""
    for file in sorted((GIST / "phrases").glob("*.txt")):
        yield from (line.partition("|")[2] for line in dictation.lines_of(file))


def typed_notes() -> Iterator[str]:
    """The annotated notes that say their numbers in words, as they were typed."""
    for file in sorted((GIST / "notes").glob("*.txt")):
        for line in dictation.lines_of(file):
            if line.startswith(">") and not any(c.isdigit() for c in line):
                yield line[1:]


def unstopped(text: str) -> str:
    """A typed text as plain lower-case words."""
    return re.sub(r"[^a-z']+", " ", text.lower().replace("\u2019", "'"))
