"""Numbers with a cue: a measure word or a place before them, or right behind them.

"Toe's three and a quarter", "a fifty-two toe", "hoof five by four and three quarters".
"""

from __future__ import annotations

from fieldlog.core.units import Unit
from fieldlog.language.lexicon import find_item
from fieldlog.language.values.around import Around
from fieldlog.language.values.by_place import from_place
from fieldlog.language.values.depths import DEEP, goes_in
from fieldlog.language.values.kinds import (
    DETERMINERS,
    PLACE_KINDS,
    SIZED,
    Value,
    fits,
    likely_units,
)
from fieldlog.language.values.left_cue import Cue, left_cue
from fieldlog.language.values.making import size_of, value_of
from fieldlog.language.values.neighbours import width_before
from fieldlog.language.values.turns import foot_said
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import HEADS

_SIZE_WORDS = ("wide", "long", "deep", "high")
_HOLLOW = frozenset({"white_line", "sulcus", "central_sulcus", "collateral_sulcus"})
"""Places that are measured by their depth."""


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
    cue = (own.code, "measure:value_first") if own else left_cue(note, mark, earlier)
    if cue is None:
        return _value_first(note, mark, following, cued=False)
    if word == "deep" and cue[0] not in ("sole", "sole_depth"):
        said = any(m.kind in ("finding", "work") for m in note.line.marks[max(0, at - 8) : at])
        return value_of(note, "depth", mark, "measure:depth") if said else None
    return _by_cue(note, at, mark, cue, own is not None)


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
    return size_of(mark, "below_coronet", "size:down")


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


def _size_word(following: Mark | None) -> str:
    """ "Wide", "long", "deep" or "high" behind a number."""
    if following is None or following.kind != "role" or following.code not in _SIZE_WORDS:
        return ""
    return following.code
