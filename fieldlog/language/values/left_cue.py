"""The cue on the left of a number: the measure word or the place that it answers to."""

from __future__ import annotations

from fieldlog.language.values.around import Around
from fieldlog.language.values.by_place import possible
from fieldlog.language.values.changes import alike
from fieldlog.language.values.kinds import PLACE_KINDS, horn
from fieldlog.language.values.order import is_cue
from fieldlog.language.values.turns import in_series, is_like, of_the_toe, told_between
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import HEADS

Cue = tuple[str, str]
"""What a number answers to (a measure, a place, or "finding") and the rule that says so."""
_NO_CUE: Cue = ("", "")
"""What stands before a number takes it from everything that stands further off."""
_PASSED_OVER = frozenset({"wide", "long", "deep", "high", "plan", "against_last", "larger",
                          "smaller", "down_from"})  # fmt: skip
_WHERE = frozenset({"in", "at", "on", "of", "between", "across", "along", "over"})
"""Words before a place where a finding lies: what follows is the finding's size."""
_SIDES = ("inside", "outside", "medial", "lateral")
_ITS = ("the", "his", "her", "its", "that")


def left_cue(note: Around, mark: Mark, earlier: list[Mark]) -> Cue | None:
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
    if not _in_reach(mark, place) or _that_foot(note, mark, place, earlier):
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


def _in_reach(mark: Mark, place: Mark) -> bool:
    """Not of the toe: "sole at the toe's about twelve mil" is too little for it."""
    if place.code not in PLACE_KINDS or mark.start - place.end > 6:
        return False
    return possible(place.code, mark.value)


def _that_foot(note: Around, mark: Mark, place: Mark, earlier: list[Mark]) -> bool:
    """ "Eleven on that foot", "two feet only got seven": which foot, not what was measured."""
    if place.code != "hoof" or place.kind != "place":
        return False
    pointing = note.line.norm(place.start - 1) in ("that", "this", "each", "same", "either")
    pointing |= any(m.kind == "count" and m.end == place.start for m in earlier)
    return pointing and _in_reach(mark, place)


def _value_cue(note: Around, mark: Mark, other: Mark, crossed: bool) -> Cue:
    """What a number is of right behind another value: "toe three and a half, fifty-two"."""
    if kind := in_series(note, mark):
        return (kind, "measure:same_series")
    if crossed:
        return (other.code, "measure:same_cue") if is_like(mark, other) else _NO_CUE
    if mark.start - other.end > 4:
        return _NO_CUE
    cue = other.value.rule
    between = {note.line.norm(i) for i in range(other.end, mark.start)}
    if between == {"and"} and cue.startswith("measure") and alike(mark, other):
        return (other.code, "measure:same_cue")
    if between & {"against", "versus", "vs"} and alike(mark, other):
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
    if place == "heel" and of_the_toe(mark, other):
        return ("toe_angle", "measure:same_turn")
    if not cue.startswith("measure"):
        return _NO_CUE
    if place:
        return (place, "measure:same_cue")
    sided = any(m.kind == "side" for m in note.line.marks if other.end <= m.start)
    return (other.code, "measure:same_cue") if sided else _NO_CUE


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
