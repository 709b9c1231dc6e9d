"""Feet that are told of by what is left or by number: "rest trimmed", "one of the hinds"."""

from __future__ import annotations

from fieldlog.core.feet import ALL_FEET
from fieldlog.language.words.marks import PAIRS, Mark
from fieldlog.language.words.units_said import Line

_TOLD = frozenset({"are", "'re", "were", "all", "shod", "reset", "bare", "barefoot", "good", "fine",
                   "clean", "tight", "okay", "ok", "sound", "cool", "just", "left", "alone",
                   "done", "as", "normal"})  # fmt: skip
"""What is said of the rest, right behind it."""
_NO_FEET = frozenset({"the", "of", "box", "stall", "a", "some", "to", "needs", "need", "give",
                      "let", "for", "on", "no", "all", "can", "and", "her", "him", "his", "two",
                      "three", "many", "any", "few"})  # fmt: skip

_OF_NAILS = frozenset({"up", "snapped", "risen", "knocked", "lifted", "had", "gone", "out"})
_NOT_FEET = frozenset({"clench", "clinch", "lines", "clenches", "clinches", "nails", "horses",
                       "ponies", "cracks", "yearlings", "foals", "plates", "shoes", "times",
                       "row", "shed", "all"})  # fmt: skip
_SINGLE = frozenset(f.value for f in ALL_FEET)
_LEAVES_OUT = frozenset({"not", "but", "bar", "except", "save", "excepting", "minus"})
_SOON = 14
"""Words behind "three of them" within which the fourth foot is named."""


def is_bare_rest(line: Line, mark: Mark) -> bool:
    """Whether "rest" or "others" with no article before it names feet: "fronts shod, rest bare"."""
    after, before = line.norm(mark.end), line.norm(mark.start - 1)
    if after in ("is", "'s"):  # "rest is fine"
        after = line.norm(mark.end + 1) if line.norm(mark.end + 1) in _TOLD else ""
    told = after in _TOLD or after.endswith("ed")
    return told and (before not in _NO_FEET or line.break_at(mark.start - 1))


def all_but_next(line: Line, mark: Mark) -> str:
    """ "Three of them are level. It's the near fore": the feet but the one named next, or nothing.

    "Clenches up, three of them" are no feet, and no more are ponies.
    """
    before, after = mark.start - 1, mark.end
    if line.break_at(before) and mark.start > 0 and line.words[before].sort != "stop":
        return ""
    if {line.norm(i) for i in range(mark.start - _SOON, mark.start)} & _NOT_FEET:
        return ""
    if line.norm(before) in ("the", "so") or line.norm(after) in _OF_NAILS:
        return ""
    named = next((m for m in line.marks if m.kind == "foot" and m.start >= after), None)
    if named is None or named.start - after > _SOON or named.code not in _SINGLE:
        return ""
    if any(m.kind == "foot" and 0 < m.start - named.start <= 3 for m in line.marks):
        return ""  # "three of them, near fore, near hind, off hind"
    ended = any(line.words[i].sort == "stop" for i in range(after, named.start))
    if not ended and {line.norm(i) for i in range(named.start - 3, named.start)} & _LEAVES_OUT:
        return ""  # "in three of them, not the left front" names the three by itself
    return "+".join(f.value for f in ALL_FEET if f.value != named.code)


def is_the_fourth(line: Line, foot: Mark) -> bool:
    """ "Nothing in three of them. It's the off hind": the foot that was left over before."""
    last = next((m for m in reversed(line.marks) if m.kind == "foot" and m.end <= foot.start), None)
    return last is not None and last.code.count("+") == 2 and foot.code not in last.code


def one_of_a_pair(line: Line, mark: Mark) -> bool:
    """ "One of the hinds has thrush": which of them is not said. "Neither one of" is both."""
    if mark.code not in PAIRS or line.norm(mark.start - 1) != "of":
        return False
    one = line.norm(mark.start - 2) == "one"
    led = line.norm(mark.start - 3)
    return one and led not in ("neither", "either", "not", "each", "every", "left", "right", "near",
                               "off", "no")  # fmt: skip
