"""Numbers that are the size of something told: of a finding, or how much a job took off."""

from __future__ import annotations

from typing import NamedTuple

from fieldlog.core.units import UNITS, Dimension, Unit
from fieldlog.language.values.around import Around
from fieldlog.language.values.changes import worked_to
from fieldlog.language.values.depths import sized_by, tells_more
from fieldlog.language.values.kinds import ANGLED, WORK_ANGLE, Value, fits, horn
from fieldlog.language.values.making import size_of, value_of
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import HEADS

_NO_AMOUNT = frozenset({"shoe", "reset", "bar_shoe", "egg_bar", "heart_bar", "glue_on", "clips",
                        "pull", "barefoot", "clinch", "trot_up", "examine", "measure"})  # fmt: skip
_SHORTENS = frozenset({"set_back_toe", "shorten_toe", "lower_heel", "raise_heel"})
_LONG = frozenset({"normal", "overgrown", "better_shape", "mismatched", "change"})
"""Findings that have no size of their own: what is measured beside them is the foot."""
_NO_LENGTH = ANGLED | {"bad_smell", "no_smell", "next_trim_weak"}
"""What a length behind it is not the size of; it is that of something before."""
_TURNED = 8
"""Degrees by which a heel is lowered at most; more than that is how the foot stands then."""
_TAKEN = ("came", "come", "comes", "went", "off", "taken")


class _Said(NamedTuple):
    """How an amount was said."""

    length: bool
    """With a unit of length."""
    small: bool
    """As a fraction, or not larger than one and a half."""
    measure: str
    """``depth``, ``width`` or ``length`` if that was said beside it."""


def attached_size(note: Around, at: int, mark: Mark) -> Value | None:
    """The size of the finding, or the amount of the job, just before (or right after)."""
    span = mark.value
    if span.value >= 2.5 and note.line.norm(mark.end) in ("before", "after"):
        return None
    said = _as_said(note, at, mark)
    if (before := _before_its_head(note, at, mark, said)) is not None:
        return before
    for other in note.previous(at)[:7]:
        if _may_have_size(other, mark, said):
            return _size_of(note, other, mark, said)
    following = note.next(at)
    if following is not None and following.kind == "work" and (
            span.unit is Unit.DEGREE or said.length):  # fmt: skip
        return size_of(mark, "amount", "size:before_work")
    if (said.measure or said.length) and (told := tells_more(note, at, mark)):
        return sized_by(note, told, mark, said.measure, "size:next_sentence")
    return None


def _as_said(note: Around, at: int, mark: Mark) -> _Said:
    """How the number was said: with a unit of length, as a part, with "deep" beside it."""
    span = mark.value
    small = span.form == "fraction" or span.value <= 1.5 or span.value != int(span.value)
    length = span.unit is not None and UNITS[span.unit].dimension is Dimension.LENGTH
    following = note.next(at)
    measure = ""
    for code, name in (("deep", "depth"), ("wide", "width"), ("long", "length")):
        beside = following is not None and following.code == code
        if beside or (at and note.line.marks[at - 1].code == code):
            measure = name
    return _Said(length, small, measure)


def _before_its_head(note: Around, at: int, mark: Mark, said: _Said) -> Value | None:
    """ "A two inch crack", "half an inch came off the toe", "took a quarter off"."""
    span, following = mark.value, note.next(at)
    after = note.line.norm(mark.end)
    if following is not None and following.kind == "finding":
        turns = span.unit is Unit.DEGREE and following.code in ANGLED
        part = span.form == "fraction" and span.value < 2 and after == "of"
        if said.length or turns or part:
            return size_of(mark, "", "size:before")
    next_to = following is not None and following.kind == "work" and (
        following.start == mark.end)  # fmt: skip
    if next_to and (said.length or said.small) and after in _TAKEN:
        return size_of(mark, "amount", "size:before_work")
    if any(m.kind == "work" and m.gap and m.gap[0] <= mark.start < m.gap[1]
           for m in note.line.marks):  # fmt: skip
        return size_of(mark, "amount", "size:in_work")
    if span.unit is Unit.DEGREE and following is not None and following.code in WORK_ANGLE:
        return size_of(mark, "amount", "size:before_work")
    return None


def _size_of(note: Around, head: Mark, mark: Mark, said: _Said) -> Value | None:
    """What a number is of the head before it: its size, the sole's or the frog's, an amount."""
    span = mark.value
    if _of_the_foot(head, mark, said):
        return None
    if head.code == "thin_sole" and said.length and not said.measure and fits(
            "sole_depth", span.value, span.unit or Unit.MM):  # fmt: skip
        return value_of(note, "sole_depth", mark, "measure:sole")
    if head.code == "frog_atrophy" and (said.measure in ("width", "length") or said.length):
        across = "length" if said.measure == "length" else "width"
        return value_of(note, f"frog_{across}", mark, "measure:place_cue")
    if head.kind == "finding":
        turned = span.unit is Unit.DEGREE and head.code in ANGLED
        if said.length or said.small or said.measure or turned:
            return sized_by(note, head, mark, said.measure, "size:after")
        return None
    return _amount_of(note, head, mark, said) if head.kind == "work" else None


def _amount_of(note: Around, job: Mark, mark: Mark, said: _Said) -> Value | None:
    """ "Took the toe back a quarter": how much; or what the foot measures after it."""
    span = mark.value
    if job.code in _NO_AMOUNT:
        return None
    if found := worked_to(note, mark, job):
        return found
    if span.unit is Unit.DEGREE:
        told = job.code in WORK_ANGLE or (job.code == "lower_heel" and span.value <= _TURNED)
        return size_of(mark, "amount", "size:after_work") if told else None
    whole = job.code in _SHORTENS and span.unit is None and 2 <= span.value <= 25
    if span.unit in (None, Unit.INCH) and span.value >= 2.5 and not whole:
        return None  # "trimmed her three and a half to three and a quarter"
    by = note.line.norm(mark.start - 1) == "by"
    small = said.small or (whole and (job.end == mark.start or by))
    if small or (said.length and horn(span) <= 45):
        return size_of(mark, "amount", "size:after_work")
    return None


def _may_have_size(other: Mark, mark: Mark, said: _Said) -> bool:
    """Whether the search for what a number is the size of ends at this mark before it."""
    span = mark.value
    if other.kind == "foot":
        slant = span.unit is Unit.DEGREE and span.value <= 12
        return not said.length and span.value > 1.5 and not slant
    if _of_the_foot(other, mark, said):
        return True
    return other.kind in HEADS and not (said.length and other.code in _NO_LENGTH)


def _of_the_foot(head: Mark, mark: Mark, said: _Said) -> bool:
    """ "Overgrown, three and three quarters": what is measured is the foot."""
    return head.code in _LONG and mark.value.value >= 2.5 and said.measure in ("", "width")
