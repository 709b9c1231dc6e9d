"""What is put right only after some words: "fifty, no, let me see, fifty two"."""

from __future__ import annotations

from fieldlog.language.values.kinds import about_as_large
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import Line

_ASIDE = 10
"""How many words may stand between the "no" and the number that is right."""
_LATELY = 22
"""How many words may stand between a period and the one that takes its place."""
_UNIT_LATELY = 8
_OR = frozenset({"well", "or", "but", "no", "so", "maybe", "then", "probably"})
_TELLS = frozenset({"finding", "work", "foot", "place", "measure", "followup", "time", "handling",
                    "advice", "score", "side", "correction"})  # fmt: skip


def after_aside(line: Line, mark: Mark) -> list[Mark]:
    """The number that takes the place of the one before a "no", over words that tell nothing.

    Only a number about as large counts, so that "no" before something else denies that.
    """
    old = last_number(line, mark)
    if old is None:
        return []
    for at in range(mark.end, min(mark.end + _ASIDE + 1, len(line.words))):
        if line.words[at].sort == "stop":
            return []
        hit = next((m for m in line.marks if m.start == at and m.kind in _TELLS), None)
        if hit is not None and hit.kind != "correction":
            return []
        new = next((m for m in line.marks if m.start == at and m.number is not None), None)
        if new is not None:
            nearer = about_as_large(old.number, new.number) and not _of_a_foot(line, new)
            return [new] if nearer else []
    return []


def _of_a_foot(line: Line, number: Mark) -> bool:
    """ "No, fifty two right": the number is of a foot of its own."""
    return any(m.kind == "foot" and m.start == number.end for m in line.marks)


def is_told_behind(line: Line, foot: Mark) -> bool:
    """ "Thrush in the left back. No, right back that was"."""
    first, second = line.norm(foot.end), line.norm(foot.end + 1)
    pointed = first in ("that", "it") and second in ("was", "is", "'s")
    return pointed and line.break_at(foot.end + 2)


def last_number(line: Line, mark: Mark) -> Mark | None:
    """The number that stands right before a correcting word, if any."""
    old = next((m for m in reversed(line.marks) if m.number is not None and m.end <= mark.start),
               None)  # fmt: skip
    return old if old is not None and mark.start - old.end <= 2 else None


def said_before(line: Line, mark: Mark) -> Mark | None:
    """The time or number that stands right before a correcting word, small words apart."""
    at = mark.start
    while at and (line.words[at - 1].sort in ("comma", "pause") or line.norm(at - 1) in _OR):
        at -= 1
    said = (m for m in reversed(line.marks) if m.end <= at)
    old = next((m for m in said if m.kind == "time" or m.number is not None), None)
    return old if old is not None and old.end == at else None


def time_lately(line: Line, mark: Mark) -> Mark | None:
    """The period that was said last, if nothing with a number or of a foot was told since."""
    for old in reversed(line.marks):
        if old.end > mark.start:
            continue
        if mark.start - old.end > _LATELY or old.number is not None or old.kind == "foot":
            return None
        if old.kind == "time":
            return old if old.value.due.period else None
    return None


def spoken_in(line: Line, mark: Mark) -> str:
    """``weeks`` or ``days`` if that was said shortly before, of whatever it was; else empty."""
    for at in range(mark.start - 1, max(-1, mark.start - _UNIT_LATELY), -1):
        if line.norm(at) in ("weeks", "days"):
            return line.norm(at)
    return ""
