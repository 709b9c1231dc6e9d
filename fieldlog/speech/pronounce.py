"""How a word is said: a lookup in CMUdict, else letter-to-sound rules learnt from it.

Phones are the 39 of ARPABET without stress. Both live in ``data/pronounce.xz`` (made by
``models/graph/train_pronouncer.py``). Unseen words come out with about one phone in ten wrong
(measured there), which is near enough to find a horse's name again.
"""

from __future__ import annotations

import functools
import json
import lzma
import re
import unicodedata
from collections.abc import Iterable
from pathlib import Path
from typing import TypedDict

DATA = Path(__file__).parent / "data" / "pronounce.xz"


class _Table(TypedDict):
    order: list[int]
    rules: dict[str, str]
    words: dict[str, list[str]]


@functools.cache
def _table() -> _Table:
    table: _Table = json.loads(lzma.decompress(DATA.read_bytes()))
    return table


def plain(text: str) -> str:
    """Lower-case letters, digits as they are, apostrophes kept; accents dropped."""
    bare = unicodedata.normalize("NFKD", text)
    bare = "".join(c for c in bare if not unicodedata.combining(c)).lower().replace("’", "'")
    return " ".join(re.findall(r"[a-z0-9]+(?:'[a-z]+)*", bare))


@functools.lru_cache(maxsize=20_000)
def ways(word: str) -> tuple[tuple[str, ...], ...]:
    """The pronunciations of one word, most usual first; empty for a word without letters.

    >>> ways("hoof")
    (('HH', 'UH', 'F'), ('HH', 'UW', 'F'))
    """
    word = plain(word).replace(" ", "")
    table = _table()
    listed = table["words"].get(word)
    if listed:
        return tuple(tuple(p.split()) for p in listed)
    stem, _, tail = word.partition("'")
    if tail == "s" and stem:
        return tuple((*p, "Z") for p in ways(stem))
    letters = re.sub(r"[^a-z]", "", word)
    if not letters:
        return ()
    said = _by_rule(letters, table)
    return (said,) if said else ()


def _by_rule(letters: str, table: _Table) -> tuple[str, ...]:
    padded = f"___{letters}___"
    phones: list[str] = []
    for i in range(len(letters)):
        key = answer = ""
        for offset in table["order"]:
            key += padded[i + 3 + offset]
            answer = table["rules"].get(key, answer)
        phones += answer.split()
    return tuple(phones)


def phrase(text: str) -> tuple[str, ...]:
    """Phones of a text, each word said its most usual way."""
    return tuple(p for word in plain(text).split() for way in ways(word)[:1] for p in way)


def names_to_say(names: Iterable[str]) -> dict[str, list[list[str]]]:
    """For ``ensure_expanded``: each name (lower case) with the ways to say it.

    A way is one phone string per word. Words without letters are left out of a name, and names of
    nothing else altogether.
    """
    out: dict[str, list[list[str]]] = {}
    for name in names:
        words = [w for w in plain(name).split() if ways(w)]
        if not words:
            continue
        first = [" ".join(ways(w)[0]) for w in words]
        said = [first]
        for i, word in enumerate(words):
            said += [[*first[:i], " ".join(way), *first[i + 1 :]] for way in ways(word)[1:2]]
        out[" ".join(words)] = said
    return out
