"""Feet that are told of by what is left or by number: "rest trimmed", "one of the hinds"."""

from __future__ import annotations

from fieldlog.language.marks import PAIRS, Mark
from fieldlog.language.units_said import Line

_TOLD = frozenset({"are", "'re", "were", "all", "shod", "reset", "bare", "barefoot", "good", "fine",
                   "clean", "tight", "okay", "ok", "sound", "cool", "just", "left", "alone",
                   "done", "as", "normal"})  # fmt: skip
"""What is said of the rest, right behind it."""
_NO_FEET = frozenset({"the", "of", "box", "stall", "a", "some", "to", "needs", "need", "give",
                      "let", "for", "on", "no", "all", "can", "and", "her", "him", "his", "two",
                      "three", "many", "any", "few"})  # fmt: skip


def is_bare_rest(line: Line, mark: Mark) -> bool:
    """Whether "rest" or "others" with no article before it names feet: "fronts shod, rest bare"."""
    after, before = line.norm(mark.end), line.norm(mark.start - 1)
    told = after in _TOLD or after.endswith("ed")
    return told and (before not in _NO_FEET or line.break_at(mark.start - 1))


def one_of_a_pair(line: Line, mark: Mark) -> bool:
    """ "One of the hinds has thrush": which of them is not said. "Neither one of" is both."""
    if mark.code not in PAIRS or line.norm(mark.start - 1) != "of":
        return False
    one = line.norm(mark.start - 2) == "one"
    led = line.norm(mark.start - 3)
    return one and led not in ("neither", "either", "not", "each", "every", "left", "right", "near",
                               "off", "no")  # fmt: skip
