"""A pair that is named when its sides are told: "left fifty, right fifty-one, that's the hinds".

Until then a bare "left" has no end, or the one of the feet before. The pair is of the sides just
said, so they become feet of it, and the pair itself tells nothing more.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import takewhile

from fieldlog.language.words.marks import PAIRS, Mark, in_order
from fieldlog.language.words.units_said import Line

NAMED_BEHIND = "and its pair was named behind it."
"""How the reason for such a foot ends."""
_SIDES = {"left": "L", "right": "R"}
_NEAR_OFF = {"near": "left", "off": "right"}
_POINTS = frozenset({"that", "this", "those", "these", "them", "there"})
_IS = frozenset({"'s", "is", "was", "are", "were", "'re", "'ll", "be", "being", "for", "your", "my",
                 "just", "both", "the", "his", "her", "then", "you", "it"})  # fmt: skip
_FINISHED = frozenset({"done", "finished", "over", "then", "sorted", "anyway"})
_ENDS = frozenset({"", "and", "now", "so", "but", "okay", "ok"})
_OPENS = frozenset({"next", "first", "again", "up", "to", "now"})


def closed_pairs(line: Line, marks: list[Mark]) -> list[Mark]:
    """The marks with the sides before "that's the fronts" as feet of that pair."""
    pairs = [m for m in marks if m.kind == "foot" and m.code in PAIRS]
    for pair in [m for m in pairs if _closes(line, marks, m)]:
        begin = line.sentence_begin(pair.start)
        marks = _near_and_off(line, marks, pair)
        before = [m for m in marks if m.kind == "foot" and m.end <= pair.start]
        sides = _sides_of(before, pair, begin)
        for side in sides:
            end = pair.code[1]
            side.code = pair.code if side.code == "both" else _SIDES[side.code] + end
            side.tags.add("pair_behind")
        if sides:
            marks = [m for m in marks if m is not pair and not _points_to(m, pair)]
    return marks


def _points_to(mark: Mark, pair: Mark) -> bool:
    """The "that was the" before the pair, which corrects nothing here."""
    return mark.kind == "correction" and mark.end in (pair.start, pair.start + 1)


def _near_and_off(line: Line, marks: list[Mark], pair: Mark) -> list[Mark]:
    """The marks with the bare "near" and "off" before numbers as sides, where both were said."""
    taken = {i for m in marks if m.kind != "role" for i in m.covers()}
    numbers = {m.start for m in marks if m.number is not None}
    found = []
    for at in range(pair.start):
        word = line.norm(at)
        ahead = at + 1 + (line.norm(at + 1) in ("about", "at", "is", "was", "'s"))
        if word in _NEAR_OFF and at not in taken and ahead in numbers:
            found.append(Mark("foot", _NEAR_OFF[word], at, at + 1))
    if {m.code for m in found} != {*_SIDES}:
        return marks
    covered = {m.start for m in found}
    marks = [m for m in marks if not m.touches(covered)]
    return in_order([*marks, *found])


def _closes(line: Line, marks: Sequence[Mark], pair: Mark) -> bool:
    """Whether a pair is pointed back with: "that's the fronts", "fronts that was"."""
    end = pair.end
    while line.norm(end) in _FINISHED:
        end += 1
    if line.norm(pair.end) in _OPENS:
        return False
    if _pointed_at(line, pair):
        side = line.norm(end) in _NEAR_OFF or any(
            m.kind == "foot" and m.start == end for m in marks
        )
        return (
            line.break_at(end) or line.norm(end) in _ENDS or side or _both_told(line, marks, pair)
        )
    at = pair.end + (line.norm(pair.end) in ("are", "is", "was", "were"))
    at += line.norm(at) == ","
    if line.norm(at) not in _POINTS:
        return False
    at += 1
    while line.norm(at) in ("is", "was", "are", "were", "'s", "two"):
        at += 1
    return line.break_at(at)


def _both_told(line: Line, marks: Sequence[Mark], pair: Mark) -> bool:
    """A number of the left and one of the right end right before "that's the hinds"."""
    at = pair.start - 1
    while line.norm(at) in _IS or line.norm(at) in _POINTS or line.norm(at) in ("and", "so"):
        at -= 1
    if not any(m.number is not None and m.end == at + 1 for m in marks):
        return False
    feet = [m for m in marks if m.kind == "foot" and m.end <= at]
    return {m.code for m in feet[-2:]} == {*_SIDES}


def _pointed_at(line: Line, pair: Mark) -> bool:
    at = pair.start - 1
    while line.norm(at) in _IS:
        at -= 1
    return at < pair.start - 1 and line.norm(at) in _POINTS


def _sides_of(before: Sequence[Mark], pair: Mark, begin: int) -> list[Mark]:
    """The bare sides that were told of since another foot was named.

    Of an earlier sentence only where the pair's own has none, and never those of a foot of the
    other end: "left front fifty, right fifty. Left three, right three, that's the hinds".
    """
    feet = [m for m in reversed(before) if "compared" not in m.tags]
    back = [m for m in feet if m.start >= begin] or feet
    sides = list(takewhile(_bare, back))
    named = back[len(sides)] if len(sides) < len(back) else None
    if named is not None and named.code not in _of_end(pair):
        sides = sides[: _last_round(sides)]
    return sides


def _bare(mark: Mark) -> bool:
    return mark.code in _SIDES or mark.code == "both"


def _of_end(pair: Mark) -> tuple[str, ...]:
    return (pair.code, *pair.code.split("+"))


def _last_round(sides: Sequence[Mark]) -> int:
    """How many of the sides, last first, were told of before one comes again."""
    said: set[str] = set()
    for at, side in enumerate(sides):
        if side.code in said:
            return at
        said.add(side.code)
    return len(sides)
