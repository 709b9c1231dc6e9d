"""Values that somebody wants or that ought to be: "four and a half she wants", "should be three".

No instrument read them; the words stay as a passage.
"""

from __future__ import annotations

from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import Line

_SMALL = frozenset({"be", "to", "it", "them", "him", "her", "at", "about", "a", "around", "more",
                    "like", "for", "nearer", "closer", "have", "been", "really", "the",
                    "his"})  # fmt: skip
_OUGHT = frozenset({"should", "ought", "wants", "wanted", "want", "aim", "aiming", "target",
                    "supposed", "ideally", "needs"})  # fmt: skip
_WHO = frozenset({"i", "we", "he", "she", "they", "vet", "owner", "boss", "trainer", "client",
                  "you"})  # fmt: skip
_WANTS = frozenset({"want", "wants", "wanted"})


def wanted(line: Line, value: Mark) -> bool:
    """Whether a value is told as wanted, in the words right before or behind it."""
    named = {i for m in line.marks if m.kind in ("measure", "place") for i in m.covers()}
    at = value.start - 1
    while line.norm(at) in _SMALL or at in named:
        at -= 1
    liked = line.norm(at) in ("'d", "i'd", "would") and line.norm(at + 1) == "like"
    before = (line.norm(at) in _OUGHT or liked) and not line.break_at(at)
    behind = line.norm(value.end) in _WHO and line.norm(value.end + 1) in _WANTS
    ends = line.break_at(value.end + 2) or line.norm(value.end + 2) in ("i", "and", "but", "so")
    return before or (behind and ends)
