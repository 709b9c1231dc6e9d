"""Numbers with a cue: a measure word or a place before them, or right behind them.

"Toe's three and a quarter", "a fifty-two toe", "hoof five by four and three quarters".
"""

from __future__ import annotations

from fieldlog.core.units import UNITS, Dimension, Unit
from fieldlog.language.lexicon import find_item
from fieldlog.language.numbers.spoken import NumberSpan
from fieldlog.language.values.around import Around
from fieldlog.language.values.changes import alike
from fieldlog.language.values.depths import DEEP, goes_in
from fieldlog.language.values.horse import size_of, value_of
from fieldlog.language.values.kinds import (
    DETERMINERS,
    PLACE_KINDS,
    SIZED,
    Value,
    fits,
    horn,
    likely_units,
)
from fieldlog.language.values.neighbours import (
    length_before,
    length_follows,
    unit_beside,
    width_before,
)
from fieldlog.language.values.order import is_cue
from fieldlog.language.values.sense import one_side
from fieldlog.language.values.turns import foot_said, in_series, is_like, of_the_toe, told_between
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import HEADS

Cue = tuple[str, str]
"""What a number answers to (a measure, a place, or "finding") and the rule that says so."""
_NO_CUE: Cue = ("", "")
"""What stands before a number takes it from everything that stands further off."""
_SIZE_WORDS = ("wide", "long", "deep", "high")
_PASSED_OVER = frozenset({"wide", "long", "deep", "high", "plan", "against_last", "larger",
                          "smaller", "down_from"})  # fmt: skip
_HOLLOW = frozenset({"white_line", "sulcus", "central_sulcus", "collateral_sulcus"})
"""Places that are measured by their depth."""
_WHERE = frozenset({"in", "at", "on", "of", "between", "across", "along", "over"})
"""Words before a place where a finding lies: what follows is the finding's size."""
_SIDES = ("inside", "outside", "medial", "lateral")
_ITS = ("the", "his", "her", "its", "that")


def cued(note: Around, at: int, mark: Mark) -> Value | None:
    """A value with a measure word or a place on its left, or directly on its right."""
    following, earlier = note.next(at), note.previous(at)
    word = _size_word(following)
    if (left := _left_over(note, mark, following, earlier)) is not None:
        return left
    if following is not None and _of_a_place(note, mark, following):
        return from_place(note, following.code, mark, "measure:value_first")
    if _is_depth(note, at, mark, word, earlier):
        return value_of(note, "depth", mark, "measure:depth")
    own = note.said_first.get(id(mark))
    cue = (own.code, "measure:value_first") if own else _left_cue(note, mark, earlier)
    if cue is None:
        return _value_first(note, mark, following, cued=False)
    if word == "deep" and cue[0] not in ("sole", "sole_depth"):
        said = any(m.kind in ("finding", "work") for m in note.line.marks[max(0, at - 8) : at])
        return value_of(note, "depth", mark, "measure:depth") if said else None
    return _by_cue(note, at, mark, cue, own is not None)


# -- beside a word of its own ---------------------------------------------------------------


def _left_over(
    note: Around, mark: Mark, following: Mark | None, earlier: list[Mark]
) -> Value | None:
    """ "Half an inch left to go", "three quarters down from the hairline"."""
    if following is None or following.code not in ("left_to_go", "down_from"):
        return None
    span = mark.value
    if following.code == "left_to_go":
        grown = any(m.kind == "finding" for m in earlier[:5]) and span.value < 90
        sized = span.unit is not None or span.form == "fraction" or grown
        return value_of(note, "remaining", mark, "measure:remaining") if sized else None
    told = next((m for m in earlier[:8] if m.kind == "finding"), None)
    if told is None:
        return None
    if told.code in DEEP:
        return value_of(note, "depth", mark, "measure:depth")
    return size_of(note, mark, "below_coronet", "size:down")


def _of_a_place(note: Around, mark: Mark, following: Mark) -> bool:
    """ "A fifty-two toe"."""
    place = following.kind == "place" and following.code in PLACE_KINDS
    led = note.line.norm(mark.start - 1) in ("a", "an", "that")
    return place and led and mark.end == following.start


def _is_depth(note: Around, at: int, mark: Mark, word: str, earlier: list[Mark]) -> bool:
    """ "White line's half an inch deep", "probed it and it goes in half an inch"."""
    probed = at > 0 and note.line.marks[at - 1].code == "deep"
    if (probed or word == "deep") and (
        any(m.kind == "finding" or m.code in _HOLLOW for m in earlier[:5])
        or _opens_finding(note, at, mark)
    ):
        return True
    return goes_in(note, at, mark)


def _opens_finding(note: Around, at: int, mark: Mark) -> bool:
    """ "Half an inch deep, seven o'clock, a hollow": the first head that follows is one."""
    if mark.number.unit is None and mark.number.form != "fraction":
        return False
    if any(m.kind in HEADS for m in note.previous(at)):
        return False
    ahead = [m for m in note.line.marks[at + 1 :] if note.same_sentence(m, mark)]
    head = next((m for m in ahead if m.kind in HEADS), None)
    return head is not None and head.kind == "finding"


def _value_first(note: Around, mark: Mark, following: Mark | None, cued: bool) -> Value | None:
    """ "Fifty-two at the toe", "three inches of toe": the cue is right behind the number."""
    if following is None:
        return None
    if (
        following.kind == "place"
        and following.code in PLACE_KINDS
        and (not cued or note.line.norm(mark.start - 1) in DETERMINERS)
        and not _answered(note, following)
    ):
        return from_place(note, following.code, mark, "measure:value_first")
    if following.kind == "measure":
        return value_of(note, following.code, mark, "measure:value_first")
    return None


def _answered(note: Around, place: Mark) -> bool:
    """Whether the place has a comma before it or a number of its own behind it."""
    if note.line.break_at(place.start - 1):
        return True
    return any(m.kind == "number" and 0 <= m.start - place.end <= 3 for m in note.line.marks)


# -- what the cue before it makes of a number -----------------------------------------------


def _by_cue(note: Around, at: int, mark: Mark, cue: Cue, first: bool) -> Value | None:
    """The value that a number is with its cue; ``first``: the cue stands behind it."""
    kind, rule = cue
    following = note.next(at)
    word = _size_word(following)
    if kind == "finding" or (kind == "sole" and _something_on_it(note, mark, word)):
        return None
    if (kind, word) in SIZED:
        return value_of(note, SIZED[kind, word], mark, rule)
    if across := _across(note, at, mark, kind, word):
        return value_of(note, across, mark, rule)
    if kind in PLACE_KINDS:
        found = from_place(note, kind, mark, rule)
        return found or _value_first(note, mark, following, cued=True)
    if kind == "body_length" and (hoof := _not_the_body(note, at, mark)):
        return value_of(note, hoof, mark, rule)
    if kind == "height" and 30 <= mark.value.value <= 75 and foot_said(note, mark):
        return from_place(note, "toe", mark, "measure:no_cue")
    return _by_measure(note, at, mark, cue, first)


def _by_measure(note: Around, at: int, mark: Mark, cue: Cue, first: bool) -> Value | None:
    """ "Girth seventy-four", "sole depth twelve": the measure by its own name."""
    kind, rule = cue
    span = mark.value
    if kind == "height" and span.unit is None and not 8 <= span.value <= 200:
        return None
    item = find_item(kind, "measure")
    if item is None:
        return _value_first(note, mark, note.next(at), cued=True)
    units = likely_units(kind, span.value, note.habit)
    unlikely = not any(fits(kind, span.value, u) for u in units)
    if item.per == "horse" and span.unit is None and unlikely and not first:
        return None
    return value_of(note, kind, mark, rule)


def _something_on_it(note: Around, mark: Mark, word: str) -> bool:
    """ "A mark in the sole half an inch long", "under an inch of dead stuff"."""
    if word in ("long", "wide"):
        return True
    return note.line.norm(mark.end) == "of" and note.line.norm(mark.end + 1) != "sole"


def _across(note: Around, at: int, mark: Mark, kind: str, word: str) -> str:
    """ "Frog two by three", "frog two and a half": the width, and the length behind "by"."""
    if kind not in ("frog", "hoof") or word or mark.value.unit is Unit.DEGREE:
        return ""
    following = note.next(at)
    if at > 0 and note.line.marks[at - 1].code == "by":
        return f"{kind}_length"
    if kind == "frog" or (following is not None and following.code == "by"):
        return f"{kind}_width"
    return ""


def _not_the_body(note: Around, at: int, mark: Mark) -> str:
    """ "Length three and a quarter": of a hoof beside its width, of a toe by its size."""
    if width_before(note.line, mark):
        return "hoof_length"
    span = mark.value
    if span.unit is None and span.value < 10:
        return "toe_length"
    toe = foot_said(note, mark) and likely_units("toe_length", span.value)
    return "toe_length" if toe and not _beside_girth(note, at, mark) else ""


def _beside_girth(note: Around, at: int, mark: Mark) -> bool:
    """ "Girth fifty-six, length fifty": of the horse, whatever foot came before."""
    lately = [m for m in note.line.marks[max(0, at - 5) : at + 5] if m is not mark]
    return any(
        m.code in ("girth", "weight", "neck") and note.same_sentence(m, mark) for m in lately
    )


# -- the cue on the left --------------------------------------------------------------------


def _left_cue(note: Around, mark: Mark, earlier: list[Mark]) -> Cue | None:
    """The measure word or place that a number answers to."""
    crossed_foot = False
    for other in earlier[:6]:
        found = _cue_at(note, mark, other, earlier, crossed_foot)
        if found is not None:
            return found if found != _NO_CUE else None
        if other.kind == "foot" or _that_foot(note, mark, other, earlier):
            crossed_foot = True
    return None


def _cue_at(
    note: Around, mark: Mark, other: Mark, earlier: list[Mark], crossed: bool
) -> Cue | None:
    """The cue that one mark before a number is, ``_NO_CUE``, or None to look further back.

    Args:
        mark: the number.
        other: the mark before it.
        earlier: all marks before it, nearest first.
        crossed: a foot stands between the two.
    """
    if other.kind in ("measure", "place") and note.line.norm(mark.start - 1) == "but":
        return _NO_CUE  # "same length but fifty-seven": something else than the length
    if crossed and is_cue(other) and (kind := in_series(note, mark)):
        return (kind, "measure:same_series")
    if other.kind == "measure":
        return _measure_cue(note, mark, other)
    if other.kind == "place":
        return _place_cue(note, mark, other, earlier)
    if other.kind == "value":
        return _value_cue(note, mark, other, crossed)
    return _no_cue_beyond(mark, other)


def _measure_cue(note: Around, mark: Mark, measure: Mark) -> Cue:
    """ "Toe length left front, three and a quarter"."""
    if measure.code == "taken_off":
        return ("taken_off", "measure:taken_off")
    distance, far = mark.start - measure.end, 24 if "order" in mark.tags else 12
    near = distance <= 6 or (distance <= far and not told_between(note, measure, mark))
    return (measure.code, "measure:value_after") if near else _NO_CUE


def _place_cue(note: Around, mark: Mark, place: Mark, earlier: list[Mark]) -> Cue | None:
    """ "Toe's three and a quarter"; "crack at the toe an inch" is the crack's size."""
    if not _in_reach(note, mark, place) or _that_foot(note, mark, place, earlier):
        return None
    back = place.start - 1
    while note.line.norm(back) in _SIDES:
        back -= 1
    while note.line.norm(back) in _ITS:
        back -= 1
    in_phrase = note.line.norm(back) in _WHERE and any(
        m.kind == "finding" and place.start - m.end <= 4 and m.end <= place.start for m in earlier
    )
    return ("finding", "") if in_phrase else (place.code, "measure:place_cue")


def _in_reach(note: Around, mark: Mark, place: Mark) -> bool:
    """Not of the toe: "sole at the toe's about twelve mil" is too little for it."""
    if place.code not in PLACE_KINDS or mark.start - place.end > 6:
        return False
    return _possible(note, place.code, mark.value)


def _that_foot(note: Around, mark: Mark, place: Mark, earlier: list[Mark]) -> bool:
    """ "Eleven on that foot", "two feet only got seven": which foot, not what was measured."""
    if place.code != "hoof" or place.kind != "place":
        return False
    pointing = note.line.norm(place.start - 1) in ("that", "this", "each", "same", "either")
    pointing |= any(m.kind == "count" and m.end == place.start for m in earlier)
    return pointing and _in_reach(note, mark, place)


def _value_cue(note: Around, mark: Mark, other: Mark, crossed: bool) -> Cue:
    """What a number is of right behind another value: "toe three and a half, fifty-two"."""
    if kind := in_series(note, mark):
        return (kind, "measure:same_series")
    if crossed:
        return (other.code, "measure:same_cue") if is_like(note, mark, other) else _NO_CUE
    if mark.start - other.end > 4:
        return _NO_CUE
    cue = other.value.rule
    between = {note.line.norm(i) for i in range(other.end, mark.start)}
    if between == {"and"} and cue.startswith("measure") and alike(note, mark, other):
        return (other.code, "measure:same_cue")
    if between & {"against", "versus", "vs"} and alike(note, mark, other):
        return (other.code, cue)
    return _same_part(note, mark, other)


def _same_part(note: Around, mark: Mark, other: Mark) -> Cue:
    """ "Frog two wide, three long", "toe fifty-two, three and a half": of the same part."""
    cue = other.value.rule
    if other.code.startswith("frog"):
        return ("frog", cue)
    if other.code.startswith("hoof_"):
        return ("hoof", cue)
    place = next((p for p, kinds in PLACE_KINDS.items() if other.code in kinds.values()), "")
    if place == "heel" and of_the_toe(note, mark, other):
        return ("toe_angle", "measure:same_turn")
    if not cue.startswith("measure"):
        return _NO_CUE
    if place:
        return (place, "measure:same_cue")
    sided = any(m.kind == "side" for m in note.line.marks if other.end <= m.start)
    return (other.code, "measure:same_cue") if sided else _NO_CUE


# -- the kind by place and size -------------------------------------------------------------


def from_place(note: Around, place: str, mark: Mark, rule: str) -> Value | None:
    """The length or the angle of a place, by the unit or by the number's size."""
    span, kinds = mark.value, PLACE_KINDS[place]
    if span.unit is not None:
        kind = kinds.get(UNITS[span.unit].dimension)
        return value_of(note, kind, mark, rule) if kind and _near(note, kind, span) else None
    if Dimension.LENGTH in kinds:
        if _as_thick(note, mark, kinds[Dimension.LENGTH]):
            return None
        if _length_only(note, place, mark):
            kinds = {Dimension.LENGTH: kinds[Dimension.LENGTH]}
    readings = _readings(note, place, kinds, span)
    if not readings:
        return None
    kind, unit = readings[0]
    found = value_of(note, kind, mark, rule, unit)
    found.rivals = readings[1:]
    return found


def _as_thick(note: Around, mark: Mark, kind: str) -> bool:
    """ "Eight mil at the toe, seven at the quarters": the wall's thickness."""
    unit = unit_beside(note.line, mark)
    value = mark.value.value
    return unit is not None and not any(fits(kind, value * by, unit) for by in (1, 1.5))


def _length_only(note: Around, place: str, mark: Mark) -> bool:
    """ "Toe eighty-eight, heel thirty-eight": who measures the toe in mil does so the heel."""
    if length_follows(note.line, mark) or length_before(note.line, mark):
        return True
    if place != "heel":
        return False
    metric = mark.value.value <= 45 and any(
        m.kind == "value"
        and m.code == "toe_length"
        and m.end <= mark.start
        and m.value.quantity.unit is Unit.MM
        for m in note.line.marks
    )
    return metric or one_side(note.line, mark)


def _readings(
    note: Around, place: str, kinds: dict[Dimension, str], span: NumberSpan
) -> list[tuple[str, Unit]]:
    """Kinds and units that a number without a unit may be of, the likeliest first."""
    angle, length = kinds.get(Dimension.ANGLE), kinds.get(Dimension.LENGTH)
    readings: list[tuple[str, Unit]] = []
    low, high = (18, 33) if place == "coronet" else (30, 75)
    if angle and low <= span.value <= high and fits(angle, span.value, Unit.DEGREE):
        readings.append((angle, Unit.DEGREE))
    if length:
        readings += [(length, unit) for unit in likely_units(length, span.value, note.habit)]
    return readings


def _possible(note: Around, place: str, span: NumberSpan) -> bool:
    """Whether a length may be of a place, as far as its size goes."""
    if span.unit is None or UNITS[span.unit].dimension is not Dimension.LENGTH:
        return True
    kind = PLACE_KINDS[place].get(Dimension.LENGTH)
    return kind is None or _near(note, kind, span)


def _near(note: Around, kind: str, span: NumberSpan) -> bool:
    """Whether a value with its unit is not far out of the range of a kind that a place gave."""
    return any(fits(kind, span.value * by, span.unit or Unit.MM) for by in (1, 2, 0.5))


def _size_word(following: Mark | None) -> str:
    """ "Wide", "long", "deep" or "high" behind a number."""
    if following is None or following.kind != "role" or following.code not in _SIZE_WORDS:
        return ""
    return following.code


def _no_cue_beyond(mark: Mark, other: Mark) -> Cue | None:
    """What other marks let a number reach over: a time, a foot, a number, a size word."""
    if other.kind in ("time", "foot", "side", "number", "count", "nail", "shoe_size"):
        return None
    if other.code in ("long_toe", "overgrown") and not 0 < horn(mark.value) < 50:
        return ("toe", "measure:place_cue")
    if other.kind in HEADS:
        return _NO_CUE
    if other.kind == "role" and other.code in _PASSED_OVER:
        return None
    return _NO_CUE if mark.start - other.end > 4 else None
