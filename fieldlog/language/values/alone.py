"""Numbers without a cue: believed only where their unit or their size fits one reading."""

from __future__ import annotations

from fieldlog.core.units import UNITS, Dimension, Unit
from fieldlog.language.values.around import Around
from fieldlog.language.values.by_place import from_place
from fieldlog.language.values.changes import was_before
from fieldlog.language.values.horse import of_the_horse
from fieldlog.language.values.kinds import PLACE_KINDS, Value, fits, horn
from fieldlog.language.values.making import size_of, value_of
from fieldlog.language.values.turns import (
    by_pair,
    compared_kind,
    header,
    in_series,
    like_last,
    no_measure,
    pair_said,
    per_foot,
    sides_of_hoof,
    stands_at,
    toe_behind,
)
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import HEADS

_COMPARING = frozenset({"same", "better", "worse", "larger", "smaller", "against_last"})
_HEELS = frozenset({"crushed_heel", "low_heel", "high_heel", "underrun"})
_WEATHER = frozenset({"out", "outside", "today", "already", "hot", "heat", "cold", "weather"})


def uncued(note: Around, at: int, mark: Mark) -> Value | None:
    """No cue at all: believed only where one kind fits."""
    span = mark.value
    if span.unit is None:
        if no_measure(note, at, mark):
            return None
        if kind := was_before(note, at, mark):
            return _as_it_was(note, at, mark, kind)
    beside_foot = _beside_foot(note, at, mark)
    if span.unit is Unit.DEGREE:
        return _angle_alone(note, at, mark, beside_foot)
    if kind := compared_kind(note, at, mark) or header(note, mark):
        if kind in PLACE_KINDS:
            return from_place(note, kind, mark, "measure:header")
        return value_of(note, kind, mark, "measure:header", sure=False)
    if kind := sides_of_hoof(note, at, mark) or by_pair(note, at, mark):
        return value_of(note, kind, mark, "measure:width_by_length", sure=False)
    if span.unit is not None:
        return _by_its_unit(note, at, mark, beside_foot)
    if not beside_foot:
        return None
    return _by_what_was_told(note, at, mark)


def _as_it_was(note: Around, at: int, mark: Mark, kind: str) -> Value:
    """ "Was fifty", "from three and a half to three and a quarter"."""
    near = [m for m in note.line.marks[:at] if m.kind == "value"][-1].value.quantity
    done = note.line.norm(mark.start - 1) == "to"
    return value_of(note, kind, mark, "measure:worked_to" if done else "measure:was", near.unit)


def _beside_foot(note: Around, at: int, mark: Mark) -> bool:
    """Whether a foot is told of right before or behind the number."""
    before = [m for m in note.previous(at) if m.code not in _COMPARING]
    if any(m.kind == "foot" or (m.kind == "value" and per_foot(m)) for m in before[:2]):
        return True
    span = mark.value
    if span.unit is None and (pair_said(note, mark) or stands_at(note, mark)):
        return True
    if 38 <= span.value <= 65 and _told_alone(note, mark):
        return True
    if "order" in mark.tags:
        return True
    later = [m for m in note.line.marks[at + 1 : at + 5] if m.kind != "role"]
    return any(
        m.kind == "foot" and m.start - mark.end <= 9 and note.same_sentence(mark, m)
        for m in later[:2]
    ) or any(m.kind == "foot" and "closing" in m.tags for m in later)


def _told_alone(note: Around, mark: Mark) -> bool:
    """ "Clubby, near fore. Fifty-nine.": a sentence that is one angle, or two."""
    begin, end = next(s for s in note.line.sentences() if s[0] <= mark.start < s[1])
    inside = [m for m in note.line.marks if begin <= m.start < end]
    apart = {note.line.norm(i) for i in range(begin, end)} - {
        note.line.norm(i) for m in inside if m.number is not None for i in m.covers()
    }
    alone = apart <= {"", ".", "against", "versus", "to", "degrees", "about", "it's"}
    held = any(m.kind == "foot" and m.end <= begin for m in note.line.marks)
    return alone and held and begin > 0


def _angle_alone(note: Around, at: int, mark: Mark, beside_foot: bool) -> Value | None:
    """ "Left front fifty-two degrees"; "thirty degrees out" is the weather."""
    held = any(m.kind == "foot" and m.start < mark.start for m in note.line.marks) or any(
        m.kind == "finding" and 0 <= mark.start - m.end <= 12 for m in note.line.marks
    )
    likely = fits("toe_angle", mark.value.value, Unit.DEGREE)
    if not (beside_foot or held) or not likely or note.line.norm(mark.end) in _WEATHER:
        return None
    return value_of(note, _whose_angle(note, at), mark, "measure:no_cue", sure=False)


def _whose_angle(note: Around, at: int) -> str:
    """ "Heels are crushed, thirty-eight degrees": of the heel, if it was just spoken of."""
    told = [m for m in note.line.marks[:at] if m.kind in ("finding", "place", "measure")]
    heel = bool(told) and told[-1].kind == "finding" and told[-1].code in _HEELS
    return "heel_angle" if heel else "toe_angle"


def _by_its_unit(note: Around, at: int, mark: Mark, beside_foot: bool) -> Value | None:
    """ "Eleven hundred pounds", "sixteen hands", "left front three and a half inches"."""
    span = mark.value
    if UNITS[span.unit].dimension is Dimension.MASS:
        heavy = 100 <= span.value * UNITS[span.unit].to_base <= 1300
        if not heavy or not of_the_horse(note, mark):
            return None
        return value_of(note, "weight", mark, "measure:unit_only")
    if span.unit is Unit.HAND:
        return value_of(note, "height", mark, "measure:unit_only")
    if note.line.norm(mark.end) == "of":
        return None  # "on six inches of shavings"
    following = note.next(at, most=0)
    side = following.code if following is not None else ""
    if side in ("wide", "deep", "long") and (horn(span) < 64 or side != "long"):
        return None  # "lost a chunk two inches long"
    if fits("toe_length", span.value, span.unit) and beside_foot:
        return value_of(note, "toe_length", mark, "measure:no_cue", sure=False)
    return None


def _by_what_was_told(note: Around, at: int, mark: Mark) -> Value | None:
    """A bare number beside a foot: in the order of the foot before, of a crack, of the toe."""
    if kind := in_series(note, mark):
        return value_of(note, kind, mark, "measure:same_series")
    after = note.line.norm(mark.end)
    head = next((m for m in note.previous(at)[:6] if m.kind in HEADS), None)
    if head is not None and head.kind == "finding" and head.code.endswith("crack"):
        then = after in ("now", "then", "today", "last")
        return size_of(mark, "length", "size:after") if then else None
    if after in ("against", "to", "with") and toe_behind(note, mark):
        return value_of(note, "heel_angle", mark, "measure:against_toe", Unit.DEGREE)
    if kind := like_last(note, at, mark):
        return value_of(note, kind, mark, "measure:like_last", sure=False)
    return _by_its_size(note, at, mark)


def _by_its_size(note: Around, at: int, mark: Mark) -> Value | None:
    """ "Left front fifty-two", "left front three and a quarter", "left front eighty-eight"."""
    span = mark.value
    if 38 <= span.value <= 65:
        kind, unit = _whose_angle(note, at), Unit.DEGREE
    elif 2.5 <= span.value <= 5.5 and (span.form == "fraction" or span.value % 1):
        kind, unit = "toe_length", Unit.INCH
    elif 70 <= span.value <= 120:
        kind, unit = "toe_length", Unit.MM
    else:
        return None
    return value_of(note, kind, mark, "measure:no_cue", unit, sure=False)
