"""What is put right only after some words: "fifty, no, let me see, fifty two"."""

from __future__ import annotations

from fieldlog.language.marks import Mark
from fieldlog.language.units_said import Line

_ASIDE = 10
"""How many words may stand between the "no" and the number that is right."""
_CLOSE = 0.2
"""By how much of itself a number is read wrongly: a gauge by some degrees, a tape by an eighth."""
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
            return [new] if _about_as_large(old, new) and not _of_a_foot(line, new) else []
    return []


def _about_as_large(old: Mark, new: Mark) -> bool:
    before, after = float(old.number.value), float(new.number.value)
    return before > 0 and before != after and abs(after - before) <= _CLOSE * before


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
