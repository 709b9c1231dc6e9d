"""The word list: everything the grammar can say, extra trade terms, and common general English."""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path

import numpy as np
from lexicon import Lexicon
from ngram import SPECIAL, Ngram

from fieldlog.speech.vocabulary import terms_in, words_of

NAME = "<name>"
ROOT = Path(__file__).resolve().parents[2]
LANGUAGE_DATA = ROOT / "fieldlog" / "language" / "data"
OK = re.compile(r"[a-z]+('[a-z]+)?|'em|'til|'cause|o'clock")
WRITTEN = {"appt", "havent", "thats", "wouldnt", "fl", "fr", "lf", "lh", "nf", "nh", "rf", "rh"}
"""Forms of typed notes that nobody says."""
NAMES = Path(__file__).with_name("names.txt")


def tokens(line: str) -> list[str]:
    """Words of a drawn or written line; a loose ``'s`` joins the word before it."""
    joined = re.sub(r"(?<=[a-z]) '(s|ll|d|re|ve)\b", r"'\1", line)
    return [w for w in joined.split() if w == NAME or OK.fullmatch(w)]


def common_names() -> list[str]:
    """Ordinary first names, horse names and place words that fill the name class by default."""
    return NAMES.read_text(encoding="utf-8").lower().split()


def lexicon_terms() -> set[str]:
    """Words of the understanding's data files, to be in the vocabulary; written-only ones not."""
    words = {w for term in terms_in(LANGUAGE_DATA) for w in words_of(term)}
    return {w for w in words if OK.fullmatch(w) and w not in WRITTEN and re.search("[aeiouy]", w)}


def shipped_words() -> list[str]:
    """The words of the shipped graph in its order, without marks such as ``<eps>`` and ``#0``."""
    listed = (ROOT / "models" / "farrier-en" / "graph" / "words.txt").read_text(encoding="utf-8")
    words = (line.split()[0] for line in listed.splitlines())
    return [w for w in words if not re.match(r"[<#]", w)]


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
