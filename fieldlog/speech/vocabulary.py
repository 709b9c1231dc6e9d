"""Which words the active model cannot hear: a vocabulary audit for any Vosk model folder.

A model with ``graph/words.txt`` is read directly; another one (small official models carry their
words inside the graph) is asked through libvosk, ``vosk_model_find_word``.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from fieldlog.errors import ModelDamaged
from fieldlog.speech.pronounce import plain


@dataclass(frozen=True, slots=True)
class Unheard:
    """A term that the model can never write."""

    term: str
    missing: tuple[str, ...]
    """The words of the term that are not in the model's vocabulary."""


def terms_in(folder: Path) -> list[str]:
    """Every term of the understanding's data files (``*.toml``), in plain lower case, sorted.

    Taken is what stands in lists of strings (``forms``, ``after`` and the like). Patterns such as
    ``(high|tall) heel`` or ``~trim`` stay whole; ``audit`` looks at their words.

    Raises:
        ValueError: a file is not TOML.
    """
    found: set[str] = set()
    for path in sorted(folder.glob("*.toml")):
        try:
            data = tomllib.loads(path.read_text(encoding="utf-8"))
        except tomllib.TOMLDecodeError as error:
            raise ValueError(f"{path.name}: {error}") from error
        _walk(data, found)
    return sorted(found)


def _walk(value: Any, found: set[str]) -> None:
    if isinstance(value, dict):
        for item in value.values():
            _walk(item, found)
    elif isinstance(value, list):
        for item in value:
            if isinstance(item, str):
                found.add(item)
            else:
                _walk(item, found)


def words_of(term: str) -> list[str]:
    """The words a term needs: pattern signs, loose endings (``'s``), digits, dots left out.

    >>> words_of("(high|tall) heel ['s]")
    ['high', 'tall', 'heel']
    """
    loose = re.sub(r"(?<![a-z])'(s|ll|d|re|ve|m)\b", " ", term.lower())
    words = plain(re.sub(r"_", " ", loose)).split()
    return [w for w in dict.fromkeys(words) if not any(c.isdigit() for c in w)]


def hears(model_folder: Path) -> Callable[[str], bool]:
    """A test of single lower-case words for an (expanded) Vosk model folder.

    Raises:
        ModelDamaged: libvosk cannot load a model that has no ``words.txt``.
    """
    listed = model_folder / "graph" / "words.txt"
    if listed.is_file():
        text = listed.read_text(encoding="utf-8", errors="replace")
        words = {line.split()[0] for line in text.splitlines() if line.strip()}
        return words.__contains__
    import vosk

    vosk.SetLogLevel(-1)
    try:
        model = vosk.Model(model_path=str(model_folder))
    except Exception as error:
        raise ModelDamaged(
            f"The speech model {model_folder.name} does not load.", "Copy or fetch it again."
        ) from error
    return lambda word: bool(model.vosk_model_find_word(word) >= 0)


def audit(terms: Iterable[str], knows: Callable[[str], bool]) -> list[Unheard]:
    """The terms with at least one word the model lacks, in the order given."""
    out = []
    for term in terms:
        missing = tuple(w for w in words_of(term) if not knows(w))
        if missing:
            out.append(Unheard(term, missing))
    return out
