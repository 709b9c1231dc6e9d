"""A second opinion that hears what a test says."""

from __future__ import annotations

import numpy as np

from fieldlog.language.opinion.gist import words_of
from fieldlog.language.opinion.heard import Opinion

CERTAINLY, SURELY = -4.0, -1.6
"""Logs of the chance of not saying it: .98 and .80 that it is said."""


def hears(text: str, *said: tuple[str, str, dict[str, float]], how: float = CERTAINLY) -> Opinion:
    """An opinion that hears a code, told so, at a word; each given once."""
    words = tuple(words_of(text.replace("-", " ")))
    codes = {code: at for at, code in enumerate(dict.fromkeys(code for code, _, _ in said))}
    names = dict.fromkeys(name for _, _, told in said for name in told)
    columns = {f"@{name}": at for at, name in enumerate(names)}
    not_said, manner = np.zeros((len(words), len(codes))), np.zeros((len(words), len(columns)))
    for code, at_word, told in said:
        at = next(n for n, (word, _, _) in enumerate(words) if word == at_word)
        not_said[at, codes[code]] = how
        for name, chance in told.items():
            manner[at, columns[f"@{name}"]] = chance
    return Opinion(words, not_said, codes, manner, columns)
