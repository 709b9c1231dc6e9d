"""Feet that words apart name together: "left ... right ... hinds", "right in front", "all trimmed".

A pair may say the end of two sides, a measure's own words may name a pair, and "all" before a job
is all four.
"""

from __future__ import annotations

from fieldlog.core.feet import ALL_FEET
from fieldlog.language.feet.foot_said import ONE_FOOT, number_before
from fieldlog.language.words.marks import ALL_FOUR, PAIRS, Mark, in_order
from fieldlog.language.words.units_said import Line

_END_WORDS = {"front": "LF+RF", "fore": "LF+RF", "hind": "LH+RH", "back": "LH+RH", "rear": "LH+RH"}
_WHOLE_JOBS = frozenset({"trimmed", "shod", "reset", "pulled"})


def pair_at_the_end(line: Line, marks: list[Mark]) -> list[Mark]:
    """ "Left three and a half, right three and a quarter, hinds": the pair says the end of both."""
    gone: set[int] = set()
    for begin, end in line.sentences():
        feet = [m for m in marks if m.kind == "foot" and begin <= m.start < end]
        if len(feet) < 3 or feet[-1].code not in PAIRS:
            continue
        sides, last = feet[:-1], feet[-1]
        back = last.start - 1
        while line.norm(back) in ("the", "his", "her", "on", "in"):
            back -= 1
        later = [m for m in marks if last.end <= m.start < end and m.kind not in ("role",)]
        if "than" in {line.norm(i) for i in range(begin, end)}:
            continue
        apart = line.break_at(back) or any(m.kind == "number" and m.end == back + 1 for m in marks)
        if later or {m.code for m in sides} != {"left", "right"} or not apart:
            continue
        told = [m for m in marks if m.kind == "number" and sides[-1].end <= m.start < last.start]
        if len(told) > (not number_before(line, sides[-1].start)):
            continue  # "fifty two left, fifty three right, fifty five and fifty six behind"
        for side in sides:
            side.code = ("L" if side.code == "left" else "R") + last.code[1]
        gone.add(id(last))
    return [m for m in marks if id(m) not in gone]


def ends_of_measures(line: Line, marks: list[Mark]) -> list[Mark]:
    """ "Front angles fifty-one and fifty-two": the measure's own words name the pair."""
    out: list[Mark] = []
    for mark in marks:
        word = line.norm(mark.start)
        plural = line.norm(mark.end - 1).endswith("s")
        if mark.kind == "measure" and mark.size > 1 and plural and word in _END_WORDS:
            out.append(Mark("foot", _END_WORDS[word], mark.start, mark.start + 1))
            mark.start += 1
        out.append(mark)
    return out


def sided_ends(line: Line, marks: list[Mark]) -> list[Mark]:
    """ "Fifty-three right in front": a side and its end are one foot."""
    out: list[Mark] = []
    for mark in marks:
        left = out[-1] if out else None
        if (
            left is not None
            and left.kind == mark.kind == "foot"
            and left.code in ("left", "right")
            and mark.code in PAIRS
            and left.end == mark.start
            and line.norm(mark.start) in ("in", "up", "out", "at")
        ):
            end = "F" if mark.code == "LF+RF" else "H"
            left.code = f"{'L' if left.code == 'left' else 'R'}{end}"
            left.end = mark.end
            continue
        out.append(mark)
    return out


def all_of_them(line: Line, marks: list[Mark]) -> list[Mark]:
    """ "Thrush right hind. All trimmed.": all four feet, not the one in hand.

    Behind a pair "all" only says that it is both of it: "hinds all trimmed".
    """
    jobs = {m.start for m in marks if m.kind == "work" and line.norm(m.start) in _WHOLE_JOBS}
    out = list(marks)
    for at in range(len(line.words)):
        if line.norm(at) != "all" or at + 1 not in jobs:
            continue
        foot = next((m for m in marks if m.kind == "foot" and m.end == at), None)
        if line.break_at(at - 1) if foot is None else foot.code in ONE_FOOT:
            out = [m for m in out if not m.holds(at)]
            out.append(Mark("foot", _listed_before(line, marks, at) or ALL_FOUR, at, at + 1))
    return in_order(out)


def _listed_before(line: Line, marks: list[Mark], at: int) -> str:
    """ "Left front, right front, left hind, all trimmed": the feet that "all" counts up, or
    nothing."""
    named: list[str] = []
    for mark in reversed([m for m in marks if m.kind == "foot" and m.end <= at]):
        apart = [i for i in range(mark.end, at) if line.norm(i) not in ("and", ",")]
        if mark.code not in ONE_FOOT or any(line.words[i].sort != "comma" for i in apart):
            break
        named.append(mark.code)
        at = mark.start
    return "+".join(f.value for f in ALL_FEET if f.value in named) if len(named) > 1 else ""
