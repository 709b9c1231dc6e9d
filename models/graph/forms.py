"""Phrases drawn from the understanding's own patterns, so that what it knows is what is heard.

The pattern language is that of fieldlog/language: ``(a|b)`` one of, ``[a]`` optional, ``~verb`` any
form of a regular verb, ``#`` a number, ``...`` some other words.
"""

from __future__ import annotations

import random
import re
from collections.abc import Iterator
from pathlib import Path

from dictation import Dictation

from fieldlog.speech.vocabulary import terms_in

FILL = ("the foot", "him", "her", "it", "them", "the toe", "the heels", "all of it", "a bit")


def inflect(verb: str) -> list[str]:
    """Regular forms: trim -> trim, trims, trimmed, trimming."""
    if verb.endswith("e"):
        return [verb, f"{verb}s", f"{verb}d", f"{verb[:-1]}ing"]
    if verb.endswith("y") and verb[-2] not in "aeiou":
        return [verb, f"{verb[:-1]}ies", f"{verb[:-1]}ied", f"{verb}ing"]
    short = re.search(r"(?:^|[^aeiou])[aeiou][bdgmnprt]$", verb) and len(verb) <= 5
    stem = verb + verb[-1] if short else verb
    s = "es" if re.search(r"(s|x|ch|sh)$", verb) else "s"
    return [verb, verb + s, f"{stem}ed", f"{stem}ing"]


def draw(pattern: str, rng: random.Random, dictation: Dictation) -> str:
    """One way to say a pattern."""
    text = pattern
    while m := re.search(r"[\[(]([^\[\]()]*)[\])]", text):
        options = m[1].split("|")
        chosen = "" if m[0][0] == "[" and rng.random() < 0.5 else rng.choice(options)
        text = f"{text[: m.start()]} {chosen} {text[m.end() :]}"
    words = []
    for word in text.split():
        if word == "...":
            words.append(rng.choice(FILL))
        elif word == "#":
            words.append(dictation.draw(rng.choice(["long", "angle", "number"])))
        elif word.startswith("~"):
            words.append(rng.choice(inflect(word[1:])))
        else:
            words.append(word)
    return " ".join(words)


def phrases(folder: Path, count: int, seed: int) -> Iterator[str]:
    """Lines that each hold one drawn pattern, most with something else of a dictation around it."""
    rng = random.Random(seed)
    dictation = Dictation(seed)
    terms = [t for t in terms_in(folder) if len(t) > 2]
    for _ in range(count):
        said = draw(rng.choice(terms), rng, dictation)
        before = dictation.draw(rng.choice(["place", "feet", "how", "phrase"]))
        after = dictation.draw(rng.choice(["where", "time", "phrase", "sized", "when"]))
        parts = [before if rng.random() < 0.5 else "", said, after if rng.random() < 0.5 else ""]
        yield " ".join(p for p in parts if p)
