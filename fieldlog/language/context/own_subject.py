"""Whether a comparison speaks of a foot or a place itself: "left front's better"."""

from __future__ import annotations

from collections.abc import Sequence

from fieldlog.language.context.comparisons import about_finding
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import HEADS, Line, mark_before

_HIS = frozenset({"the", "his", "her"})
_GOES_ON = _HIS | {"on", "with", "for", "in", "both", "as"}


def has_own_subject(line: Line, at: int) -> bool:
    """Whether a comparison speaks of a foot or place itself, not of the finding before it.

    Args:
        line: words and marks.
        at: the number of the comparison's mark.
    """
    marks, mark = line.marks, line.marks[at]
    if "forward" in mark.tags:
        return False
    if mark.code == "same" and _same_on_a_foot(line, marks, at):
        return True
    following = marks[at + 1] if at + 1 < len(marks) else None
    if following is not None and following.kind == "finding" and (
            following.start == mark.end and mark.code != "same"):  # fmt: skip
        return False  # "worse thrush"
    heads = [m for m in marks[:at] if m.kind in HEADS and not _stop_between(line, m, mark)]
    if not heads:
        return True
    subject = mark_before(line, at)
    if subject is None:
        return False
    if subject.kind == "foot" and "compared" not in subject.tags:
        led = not _placed(line, subject) and mark.start > subject.end
        return led or line.break_at(subject.start - 1)
    if subject.kind != "place" or _place_of(line, marks[:at], heads[-1], subject):
        return False
    return line.norm(subject.start - 1) not in ("in", "at", "on", "the")


def _stop_between(line: Line, head: Mark, mark: Mark) -> bool:
    return any(line.words[i].sort == "stop" for i in range(head.end, mark.start))


def _same_on_a_foot(line: Line, marks: Sequence[Mark], at: int) -> bool:
    """ "Same on the off fore": a foot follows, and no finding has just been named."""
    mark = marks[at]
    if "same" not in line.text(mark) or _of_finding(line, marks, at):
        return False
    goes_on = mark.end
    while line.norm(goes_on) in _GOES_ON:
        goes_on += 1
    return any(m.kind == "foot" and m.start in (mark.end, goes_on) for m in marks[at + 1 :])


def _of_finding(line: Line, marks: Sequence[Mark], at: int) -> bool:
    """ "Swelling about the same in the off fore": what was just named, whose foot follows."""
    if not about_finding(line, marks, at):
        return False
    begin = line.sentence_begin(marks[at].start)
    heads = [m for m in marks[:at] if m.kind in HEADS and m.start >= begin]
    low = heads[-2].end if len(heads) > 1 else begin
    own = [m for m in marks[:at] if m.kind == "foot" and low <= m.start < heads[-1].start]
    if len(heads) > 1:
        own = [m for m in own if not _placed(line, m)]
    if not own:
        return True
    plain = line.text(marks[at]) == "same"
    return not plain and any(m.kind == "foot" and m.start == marks[at].end for m in marks)


def _place_of(line: Line, marks: Sequence[Mark], head: Mark, place: Mark) -> bool:
    """ "Flare, outside quarters, same as last time": the place is of the flare just named."""
    return (
        head.kind == "finding"
        and 0 <= place.start - head.end <= 3
        and not any(m.kind == "foot" and head.end <= m.start < place.start for m in marks)
        and not any(
            line.norm(i) in ("the", "his", "her", "and") for i in range(head.end, place.end)
        )
    )


def _placed(line: Line, foot: Mark) -> bool:
    back = foot.start - 1
    while line.norm(back) in _HIS:
        back -= 1
    return line.norm(back) in ("in", "on", "of", "at")
