"""How sure a word is that was weighed twice.

A model with a second look (``rescoring.py``) hears every stretch first by its graph alone. What is
left when the network has weighed that is nearly one reading, and each of its words looks certain.
So a word's confidence is that of the first look where it heard the same word there; where it heard
another, the word is unsure.

The numbers are fitted on 100 notes of development writers by synthetic voices (3,100 words), so
that a confidence is the chance that the word is right: of the words that both looks hear 94 in 100
are, of the others 66.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from fieldlog.core.words import Word

SLOPE, OFFSET = 0.8, 1.4
"""Log odds of a word that both looks hear, from those of the first look alone."""
DIFFERS = 0.6
"""Confidence at most of a word that the first look heard otherwise."""
UNCHECKED = 0.9
"""Confidence at most of a word that the first look had not come to."""
TOGETHER = 0.1
"""Seconds by which two hearings of one word may miss each other."""
EDGE = 0.002
"""Confidences beyond it are all alike."""


def as_sure_as_both(words: Sequence[Word], first: Sequence[Word]) -> list[Word]:
    """The words of the second look with confidences that regard the first.

    If the second look was left with nothing, the first one's words: what was heard is not lost.

    Args:
        words: of the second look, in order.
        first: of the first look at the same stretch; it may end a little earlier.
    """
    if not words:
        return [replace(w, confidence=min(w.confidence, DIFFERS)) for w in first]
    return [replace(word, confidence=_confidence(word, first)) for word in words]


def _confidence(word: Word, first: Sequence[Word]) -> float:
    beside = [w for w in first if w.start < word.end + TOGETHER and word.start < w.end + TOGETHER]
    same = [w.confidence for w in beside if w.text == word.text]
    if same:
        sure = min(1 - EDGE, max(EDGE, max(same)))
        return 1 / (1 + math.exp(-(SLOPE * math.log(sure / (1 - sure)) + OFFSET)))
    if not beside and word.start > max((w.end for w in first), default=0.0):
        return min(word.confidence, UNCHECKED)
    return min(word.confidence, DIFFERS)
