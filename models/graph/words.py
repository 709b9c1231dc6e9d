"""The word list: everything the grammar can say, extra trade terms, and common general English."""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import numpy as np
from lexicon import Lexicon
from ngram import SPECIAL, Ngram

NAME = "<name>"
ROOT = Path(__file__).resolve().parents[2]
LANGUAGE_DATA = ROOT / "fieldlog" / "language" / "data"
OK = re.compile(r"[a-z]+('[a-z]+)?|'em|'til|'cause|o'clock")
NAMES = Path(__file__).with_name("names.txt")


def tokens(line: str) -> list[str]:
    """Words of a drawn or written line; a loose ``'s`` joins the word before it."""
    joined = re.sub(r"(?<=[a-z]) '(s|ll|d|re|ve)\b", r"'\1", line)
    return [w for w in joined.split() if w == NAME or OK.fullmatch(w)]


def common_names() -> list[str]:
    """Ordinary first names, horse names and place words that fill the name class by default."""
    return NAMES.read_text(encoding="utf-8").lower().split()


def lexicon_terms() -> Counter[str]:
    """Words of the understanding's data files (any string in them), to be in the vocabulary."""
    found: Counter[str] = Counter()

    def walk(value: Any) -> None:
        if isinstance(value, str):
            found.update(w for w in re.findall(r"[a-z']+", value.lower()) if OK.fullmatch(w))
        elif isinstance(value, list):
            for item in value:
                walk(item)
        elif isinstance(value, dict):
            for key, item in value.items():
                walk(key)
                walk(item)

    for path in sorted(LANGUAGE_DATA.glob("*.toml")):
        walk(tomllib.loads(path.read_text(encoding="utf-8")))
    return found


def choose(
    domain: Iterable[str], general: Ngram, lexicon: Lexicon, common: int
) -> tuple[list[str], dict[str, list[tuple[str, ...]]]]:
    """(word list beginning with the special words and the name class, pronunciations)."""
    wanted = {w for w in domain if w != NAME and OK.fullmatch(w)}
    order = np.argsort(-general.p1)
    picked = 0
    for i in order:
        word = general.words[int(i)]
        if picked >= common:
            break
        if OK.fullmatch(word) and (len(word) > 1 or word in "aio") and word in lexicon.cmu:
            wanted.add(word)
            picked += 1
    prons: dict[str, list[tuple[str, ...]]] = {}
    for word in sorted(wanted):
        prons[word] = lexicon(word)
    return [*SPECIAL, NAME, *prons], prons
