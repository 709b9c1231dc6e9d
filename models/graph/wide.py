"""General English from books and drawn texts, as words that language models learn from."""

from __future__ import annotations

import gzip
import re
from collections import Counter
from collections.abc import Collection, Iterable, Iterator
from pathlib import Path

from words import NAME

TITLES = {"mr": "mister", "mrs": "missus", "dr": "doctor", "st": "saint"}
"""Short forms whose stop ends no sentence, as they are spoken."""
TITLE = re.compile(r"\b(Mrs?|Dr|St)\.")
STOP = re.compile(r"[.?!;:]+[\"')]*\s+|[\"()\[\]]+")
WORD = re.compile(r"[A-Za-z]+(?:'[A-Za-z]+)*")


def paragraphs(path: Path) -> Iterator[str]:
    """What stands between empty lines, as one line each; the file may be packed (``.gz``)."""
    reader = gzip.open if path.suffix == ".gz" else open
    with reader(path, "rt", encoding="utf-8", errors="replace") as file:
        held: list[str] = []
        for line in (*file, ""):
            if line.strip():
                held.append(line.strip())
            elif held:
                yield " ".join(held)
                held = []


def words_of(sentence: str) -> list[str]:
    """The words as they are spelt, capitals and all."""
    return [TITLES.get(w.lower(), w) for w in WORD.findall(sentence)]


def parted(paragraph: str) -> Iterator[list[str]]:
    """The words of each sentence of a paragraph; one with digits, which nobody spells out, is left
    out."""
    plain = paragraph.replace("\u2019", "'").replace("\u2018", " ").replace("\u201c", '"')
    plain = TITLE.sub(r"\1", plain.replace("\u201d", '"'))
    plain = re.sub(r"--+|[\u2013\u2014-]", " ", plain)
    for part in STOP.split(plain):
        if not any(c.isdigit() for c in part):
            yield words_of(part)


def sentences(path: Path) -> Iterator[list[str]]:
    """Every sentence of a file that has more than one word, in small letters."""
    for paragraph in paragraphs(path):
        for words in parted(paragraph):
            if len(words) > 1:
                yield [w.lower() for w in words]


def spoken(paragraph: str, known: Collection[str]) -> list[list[str]]:
    """The sentences of a paragraph in words of ``known``; an unknown capital is a name.

    A sentence with another word that is not known is left out.
    """
    out: list[list[str]] = []
    for words in parted(paragraph):
        told = [
            w.lower() if w.lower() in known
            else NAME if at and w[0].isupper() and w[1:].islower()
            else ""
            for at, w in enumerate(words)
        ]  # fmt: skip
        if len(told) > 1 and all(told):
            out.append(told)
    return out


def texts(paths: Iterable[Path], known: Collection[str]) -> Iterator[list[list[str]]]:
    """Every paragraph of the files as sentences of words."""
    for path in paths:
        for paragraph in paragraphs(path):
            sentences = spoken(paragraph, known)
            if sentences:
                yield sentences


def often_in(paths: Iterable[Path], least: int) -> set[str]:
    """Words, in small letters, that stand ``least`` times in the files."""
    many = Counter(w.lower() for p in paths for text in paragraphs(p) for w in words_of(text))
    return {w for w, count in many.items() if count >= least}
