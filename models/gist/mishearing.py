"""What a recogniser makes of words, learnt from the notes that it heard."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterable, Sequence
from difflib import SequenceMatcher

LONGEST = 3
"""Words that are misheard as one."""


class Mishearing:
    """What the recogniser made of words, drawn again for notes that it never heard."""

    def __init__(self, pairs: Iterable[tuple[list[str], list[str]]], seed: int = 5) -> None:
        self.dice = random.Random(seed)
        self.often: Counter[tuple[str, ...]] = Counter()
        self.heard: dict[tuple[str, ...], list[list[str]]] = {}
        for said, heard in pairs:
            for many in range(1, LONGEST + 1):
                self.often.update(tuple(said[at : at + many]) for at in range(len(said)))
            for what, a, b, c, d in SequenceMatcher(None, said, heard, False).get_opcodes():
                if what == "replace" and b - a <= LONGEST and d - c <= LONGEST + 1:
                    self.heard.setdefault(tuple(said[a:b]), []).append(heard[c:d])

    def again(self, words: Sequence[str]) -> list[str]:
        """The words as they might be heard."""
        out: list[str] = []
        at = 0
        while at < len(words):
            for many in range(LONGEST, 0, -1):
                said = tuple(words[at : at + many])
                wrong = self.heard.get(said, [])
                if wrong and self.dice.random() < len(wrong) / (self.often[said] + 1):
                    out += self.dice.choice(wrong)
                    at += many
                    break
            else:
                out.append(words[at])
                at += 1
        return out
