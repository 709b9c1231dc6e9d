"""Pronunciations: CMUdict (through the pocketsphinx package, BSD), our own spoken forms, hibari.

``Lexicon`` answers for any lower-case word. Sources in order: ``spoken.txt`` (trade words and
reduced forms, written here), CMUdict with all its variants, a possessive or plural of a known
word, and last hibari's grapheme-to-phoneme model (Apache-2.0).
"""

from __future__ import annotations

import re
from collections import defaultdict
from functools import cached_property
from pathlib import Path
from typing import Any

from general import package_file
from phones import from_cmu, from_misaki

SPOKEN = Path(__file__).with_name("spoken.txt")
Pronunciations = list[tuple[str, ...]]
SIBILANT = {"S", "Z", "SH", "ZH", "CH", "JH"}
SHORT = {"'ll": ("AH", "L"), "'d": ("D",), "'ve": ("V",), "'re": ("ER",)}
"""What is said of a verb that is joined to the word before it."""
VOICELESS = {"P", "T", "K", "F", "TH"}


def _read(path: Path) -> dict[str, Pronunciations]:
    words: dict[str, Pronunciations] = defaultdict(list)
    for line in path.read_text(encoding="utf-8").splitlines():
        fields = line.split("#")[0].split()
        if not fields:
            continue
        word = re.sub(r"\(\d+\)$", "", fields[0]).lower()
        phones = tuple(from_cmu(fields[1:]))
        if phones not in words[word]:
            words[word].append(phones)
    return dict(words)


class Lexicon:
    """Looks words up; remembers which source answered (``origin``)."""

    def __init__(self) -> None:
        self.own = _read(SPOKEN)
        self.cmu = _read(package_file("cmudict-en-us.dict"))
        self.origin: dict[str, str] = {}

    @cached_property
    def _g2p(self) -> Any:
        from hibari.g2p import G2P

        return G2P()

    def __call__(self, word: str) -> Pronunciations:
        """All pronunciations of a word; raises ``ValueError`` if nothing can be said."""
        if word in self.own:
            self.origin[word] = "own"
            return self.own[word]
        if word in self.cmu:
            self.origin[word] = "cmudict"
            return self.cmu[word]
        stem = re.sub(r"'s$|s'$", "", word)
        if stem != word and (stem in self.cmu or stem in self.own):
            self.origin[word] = "suffix"
            return [p + _ending(p) for p in self(stem)]
        for suffix, phones in SHORT.items():
            if word.endswith(suffix):
                self.origin[word] = "suffix"
                return [p + phones for p in self(word[: -len(suffix)])]
        phones = tuple(from_misaki(self._g2p(word)))
        if not phones:
            raise ValueError(f"no pronunciation for {word!r}; add a line to spoken.txt")
        self.origin[word] = "g2p"
        return [phones]


def _ending(phones: tuple[str, ...]) -> tuple[str, ...]:
    if phones[-1] in SIBILANT:
        return ("IH", "Z")
    return ("S",) if phones[-1] in VOICELESS else ("Z",)
