"""Feet of a talker who reads out values: "near fore eighty-two, off eighty-four", "... that's the
right front".
"""

from __future__ import annotations

from fieldlog.language.words.marks import Mark, in_order
from fieldlog.language.words.units_said import Line

_SIDE_OF = {"near": "off", "off": "near"}
_TELLS = frozenset({"finding", "number", "measure", "work"})
_GOES_ON = frozenset(
    {"done", "finished", "first", "again", "up", "now", "next", "out", "and", "so"}
)


def other_side(line: Line, marks: list[Mark]) -> list[Mark]:
    """The marks with the bare "off" of "near fore eighty-two off eighty-four" as a foot."""
    taken = {i for m in marks for i in m.covers() if m.kind != "role"}
    out = list(marks)
    for mark in marks:
        word = line.norm(mark.start) if mark.kind == "foot" else ""
        if word not in _SIDE_OF or len(mark.code) != 2:
            continue
        number = next((m for m in marks if 0 <= m.start - mark.end <= 3 and m.number), None)
        if number is None or number.number.value < 2.5:
            continue
        at = number.end
        while line.norm(at) in (",", "and") or (line.break_at(at) and at < number.end + 2):
            at += 1
        behind = at + 1
        while line.norm(behind) in ("about", "at", "was", "is", "'s"):
            behind += 1
        follows = any(m.number is not None and m.start == behind for m in marks)
        if line.norm(at) == _SIDE_OF[word] and at not in taken and follows:
            out = [m for m in out if not m.holds(at)]
            code = ("R" if word == "near" else "L") + mark.code[1]
            out.append(Mark("foot", code, at, at + 1))
    return in_order(out)


def closing_feet(line: Line, marks: list[Mark]) -> list[Mark]:
    """Feet said behind their values: "fifty-two degrees, that's the right front".

    Such a foot takes the words "that's the" into itself, so that it stands right behind the value.
    Only where the note names no other foot before its first value.
    """
    feet = [m for m in marks if m.kind == "foot" and "compared" not in m.tags]
    closing: list[tuple[Mark, int]] = []
    for foot in feet:
        at = foot.start - 1
        while line.norm(at) in ("the", "his", "her", "for"):
            at -= 1
        said = line.norm(at) in ("'s", "is", "was") and line.norm(at - 1) in ("that", "this")
        if said and not (line.norm(foot.end) in _GOES_ON and not line.break_at(foot.end)):
            closing.append((foot, at - 1))
    if not closing or closing[0][0] is not feet[0] or len(closing) != len(feet):
        return marks
    told = [m for m in marks if m.kind in _TELLS and m.end <= closing[0][1]]
    if not told or closing[0][1] - told[-1].end > 3:
        return marks
    for foot, start in closing:
        foot.tags.add("closing")
        if not line.break_at(start - 1):
            foot.start = start
    taken = {i for foot, start in closing for i in range(start, foot.end)}
    return [m for m in marks if m.kind == "foot" or not m.touches(taken)]
