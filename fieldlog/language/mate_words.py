"""What is said of one more foot by a short word only: "left hind does", "off one's tight".

"Thrush left front, left hind does": the same thing, so the foot gets a head ``change:same``.
"Shoe's loose on the off, near one's tight": the opposite, so it gets ``change:denied``.
"""

from __future__ import annotations

from fieldlog.language.marks import Mark
from fieldlog.language.units_said import Line

_DOES = frozenset({"does", "do"})
_HAS = frozenset({"has", "had", "have", "got", "'s"})
_A = frozenset({"a", "an", "the", "another", "old", "little", "small", "smaller", "bigger", "tiny",
                "big", "similar", "wee", "two", "got"})  # fmt: skip
_IT = frozenset({"one", "it", "some", "ones"})
_AS_WELL = frozenset({"too", "also", "there", "just", "like", "and", "as", "but", "only", "on",
                      "at", "though"})  # fmt: skip
_NONE = (
    ("never", "had", "it"), ("never", "had", "one"), ("never", "had", "any"), ("never", "did"),
    ("doesn't",), ("don't",), ("hasn't",), ("didn't",), ("doesn't", "give"), ("don't", "give"),
    ("'s", "back", "to", "normal"), ("is", "back", "to", "normal"),
)  # fmt: skip
_IS = frozenset({"is", "'s", "was", "are", "stays", "feels", "looks", "swings", "goes", "travels",
                 "comes", "points"})  # fmt: skip
_CRACKS = frozenset({"crack", "toe_crack", "quarter_crack", "heel_crack", "sand_crack",
                     "grass_crack"})  # fmt: skip
_BENT = frozenset({"toed_in", "toed_out", "winging", "paddling"})
_TILTED = frozenset({"imbalance", "sheared_heel", "lands_uneven", "uneven", "mismatched"})
_OPEN = frozenset({"shoe_loose", "clench_risen", "pad_loose", "white_line_separation",
                   "white_line_stretched", "hollow", "wall_separation"})  # fmt: skip
_OPPOSITE = {
    "tight": _OPEN, "snug": _OPEN, "solid": _OPEN, "closed": _OPEN | _CRACKS, "whole": _CRACKS,
    "level": _TILTED, "even": _TILTED, "balanced": _TILTED, "straight": _BENT,
}  # fmt: skip
"""Good words that are the opposite of some findings only."""


def told_of_mates(line: Line, marks: list[Mark]) -> list[Mark]:
    """The marks with heads for feet of which only such a word is said."""
    out: list[Mark] = []
    for mark in marks:
        out.append(mark)
        if mark.kind != "foot" or "compared" in mark.tags:
            continue
        before = [m for m in marks if m.kind == "finding" and m.end <= mark.start]
        if not before or before[-1].code == "normal":
            continue
        if any(m.kind == "change" and 0 <= m.start - mark.end <= 2 for m in marks):
            continue
        head = _same(line, marks, mark) or _none(line, marks, mark)
        head = head or _opposite(line, before[-1], mark)
        if head is not None:
            out.append(head)
    heads = {i for m in out if m.kind == "change" for i in m.covers()}
    out = [m for m in out if m.kind == "change" or not m.covers() & heads]
    return sorted(out, key=lambda m: (m.start, m.end))


def _ends(line: Line, marks: list[Mark], at: int) -> bool:
    return line.break_at(at) or any(m.kind == "foot" and m.start == at for m in marks)


def _same(line: Line, marks: list[Mark], foot: Mark) -> Mark | None:
    begin = at = foot.end
    if line.norm(at) in _DOES and _ends(line, marks, at + 1):
        return Mark("change", "same", at, at + 1, tags={"does"})
    if line.norm(at) not in _HAS:
        return None
    at += 1
    while line.norm(at) in _A:
        at += 1
    got = line.norm(begin) != "'s" or line.norm(begin + 1) == "got"
    if line.norm(at) not in _IT or not got:
        return None
    at += 1
    if line.norm(at) not in _AS_WELL and not line.break_at(at):
        return None
    while line.norm(at) in ("too", "also", "there", "as", "well"):
        at += 1
    return Mark("change", "same", begin, at, tags={"does"})


def _none(line: Line, marks: list[Mark], foot: Mark) -> Mark | None:
    """ "Near hind, never had it", "near fore she doesn't"."""
    begin = foot.end + (line.norm(foot.end) in (",", "he", "she", "it"))
    for words in _NONE:
        end = begin + len(words)
        said = tuple(line.norm(i) for i in range(begin, end)) == words
        if said and _ends(line, marks, end):
            return Mark("change", "denied", begin, end)
    return None


def _opposite(line: Line, found: Mark, foot: Mark) -> Mark | None:
    begin = at = foot.end
    if line.norm(at) not in _IS:
        return None
    at += 1 + (line.norm(at + 1) in ("still", "nice", "good", "pretty", "all"))
    word = line.norm(at)
    if found.code in _OPPOSITE.get(word, ()) and line.break_at(at + 1):
        return Mark("change", "denied", begin, at + 1)
    return None
