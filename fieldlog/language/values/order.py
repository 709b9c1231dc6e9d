"""Which cue a number answers to where cues stand behind: "fifty-two toe, forty-eight heel".

Most values follow their cue ("toe fifty-two"). A talker who reads a gauge says the number first,
and then usually keeps to it. A run of numbers and cues that begins with a number, changes at every
step and ends with a cue is read that way; so is a number tied to its cue by "at the" or "on the".
"""

from __future__ import annotations

from collections.abc import Sequence

from fieldlog.core.units import UNITS, Dimension, Unit
from fieldlog.language.values.kinds import PLACE_KINDS
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import HEADS, Line

_TIES = frozenset({"at", "on", "for", "the", "his", "her", "of", "is", "a", "was", "to"})
_GENERAL = frozenset({"angle", "angles", "length", "lengths"})
_CLOSING = frozenset({"and", "then", "but", "on", "in", "so", "both", "that",
                      "which"})  # fmt: skip


def said_first(line: Line) -> dict[int, Mark]:
    """The cue behind each number that is said before its cue, by the ``id`` of the number."""
    _unfasten(line)
    out: dict[int, Mark] = {}
    for begin, end in line.sentences():
        run: list[Mark] = []
        for mark in [m for m in line.marks if begin <= m.start < end]:
            if is_cue(mark) or (mark.kind == "number" and mark.number.unit is not Unit.HAND):
                run.append(mark)
            elif mark.kind in HEADS or mark.kind == "foot":
                _pair(line, run, out)
                run = []
        _pair(line, run, out)
        _tied(line, begin, end, out)
    return out


def is_cue(mark: Mark) -> bool:
    """Whether a mark names what a number may measure."""
    if mark.kind == "measure":
        return mark.code != "taken_off"
    return mark.kind == "place" and mark.code in PLACE_KINDS


def _unfasten(line: Line) -> None:
    """ "Three and a half on the toe" does not say that he lands on it."""
    for at, mark in enumerate(line.marks):
        if mark.code != "toe_first" or line.norm(mark.start) != "on":
            continue
        beside = [m for m in line.marks[max(0, at - 1) : at + 2] if m.kind == "number"]
        if any(m.end == mark.start or m.start - mark.end in (0, 1) for m in beside):
            mark.kind, mark.code, mark.item = "place", "toe", None
            mark.start = mark.end - 1
            after = line.marks[at + 1] if at + 1 < len(line.marks) else None
            if after is not None and after.kind == "measure" and after.start == mark.end:
                length = after.code == "body_length"
                mark.kind, mark.code = "measure", "toe_length" if length else "toe_angle"
                mark.end = after.end
                after.kind, after.code = "role", "copula"


def _pair(line: Line, run: Sequence[Mark], out: dict[int, Mark]) -> None:
    """Pair a run that begins with a number and changes between number and cue to its end."""
    if run and is_cue(run[0]) and line.text(run[0]) in _GENERAL:
        run = run[1:]
    numbers, cues = run[::2], run[1::2]
    if len(run) < 4 or len(numbers) != len(cues):
        return
    if any(m.kind != "number" for m in numbers) or not all(map(is_cue, cues)):
        return
    pairs = list(zip(numbers, cues, strict=True))
    if all(_close(line, n, c) for n, c in pairs) and _closed(line, cues[-1]):
        out.update({id(n): c for n, c in pairs})


def _tied(line: Line, begin: int, end: int, out: dict[int, Mark]) -> None:
    """A number tied to the cue behind it: "fifty-two at the toe"."""
    marks = [m for m in line.marks if begin <= m.start < end]
    for at, mark in enumerate(marks):
        if mark.kind != "number" or id(mark) in out:
            continue
        cue = next((m for m in marks[at + 1 :] if m.kind not in ("role", "foot")), None)
        if cue is None or not is_cue(cue):
            continue
        tie = line.norm(mark.end)
        of_sole = (tie == "of" and cue.code == "sole") or (tie == "to" and cue.code == "height")
        if not of_sole and (tie not in ("at", "on", "for") or _small(mark)):
            continue
        apart = any(m.kind == "foot" and mark.end <= m.start < cue.start for m in marks)
        if apart and not line.break_at(cue.end):
            continue
        if _close(line, mark, cue) and _closed(line, cue):
            out[id(mark)] = cue


def _small(mark: Mark) -> bool:
    """A number that may be the size of a finding or an amount of work."""
    span = mark.number
    if span.unit is None:
        return bool(span.value < 3)
    return UNITS[span.unit].dimension is Dimension.LENGTH and (
        span.value * UNITS[span.unit].to_base < 60
    )


def _close(line: Line, number: Mark, cue: Mark) -> bool:
    """Whether nothing but small words lies between a number and the cue behind it."""
    feet = {i for m in line.marks if m.kind == "foot" for i in m.covers()}
    between = [i for i in range(number.end, cue.start) if i not in feet]
    return len(between) <= 3 and all(
        line.norm(i) in _TIES and not line.break_at(i) for i in between
    )


def _closed(line: Line, cue: Mark) -> bool:
    """Whether nothing is said of the last cue: no verb, no finding, no number behind it."""
    if line.break_at(cue.end) or line.norm(cue.end) in _CLOSING:
        return True
    return any(m.start == cue.end and m.kind in ("foot", "number", "time") for m in line.marks)
