"""What is said of one more foot by a short word only: "left hind does", "off one's tight".

"Thrush left front, left hind does": the same thing, so the foot gets a head ``change:same``.
"Shoe's loose on the off, near one's tight": the opposite, so it gets ``change:denied``.
"""

from __future__ import annotations

from fieldlog.language.marks import Mark
from fieldlog.language.units_said import Line

_DOES = frozenset({"does", "do"})
_HAS = (
    ("has", "one"), ("had", "one"), ("'s", "got", "one"), ("got", "one"), ("'s", "got", "it"),
    ("has", "got", "one"), ("has", "got", "it"), ("have", "got", "it"),
    ("has", "it"), ("had", "it"), ("have", "it"), ("got", "it"), ("has", "some"),
    ("'s", "got", "some"),
)  # fmt: skip
_AS_WELL = frozenset({"too", "also", "there", "just", "like", "and", "as", "but", "only", "the"})
_IS = frozenset({"is", "'s", "was", "are", "stays", "feels", "looks"})
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
        head = _same(line, marks, mark) or _opposite(line, before[-1], mark)
        if head is not None:
            out.append(head)
    heads = {i for m in out if m.kind == "change" for i in m.covers()}
    out = [m for m in out if m.kind == "change" or not m.covers() & heads]
    return sorted(out, key=lambda m: (m.start, m.end))


def _ends(line: Line, marks: list[Mark], at: int) -> bool:
    return line.break_at(at) or any(m.kind == "foot" and m.start == at for m in marks)


def _same(line: Line, marks: list[Mark], foot: Mark) -> Mark | None:
    at = foot.end
    if line.norm(at) in _DOES and _ends(line, marks, at + 1):
        return Mark("change", "same", at, at + 1, tags={"does"})
    for words in _HAS:
        end = at + len(words)
        if tuple(line.norm(i) for i in range(at, end)) != words:
            continue
        if line.norm(end) in _AS_WELL or line.break_at(end):
            end += line.norm(end) in ("too", "also", "there")
            end += line.norm(end) == "too"
            return Mark("change", "same", at, end, tags={"does"})
    return None


def _opposite(line: Line, found: Mark, foot: Mark) -> Mark | None:
    at = foot.end
    if line.norm(at) not in _IS:
        return None
    at += 1 + (line.norm(at + 1) in ("still", "nice", "good", "pretty", "all"))
    word = line.norm(at)
    if found.code in _OPPOSITE.get(word, ()) and line.break_at(at + 1):
        return Mark("change", "denied", at, at + 1)
    return None
