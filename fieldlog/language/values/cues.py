"""Numbers with a cue: a measure word or a place before them, or right behind them.

"Toe's three and a quarter", "a fifty-two toe", "hoof five by four and three quarters".
"""

from __future__ import annotations

from fieldlog.core.units import UNITS, Dimension, Unit
from fieldlog.language.lexicon import find_item
from fieldlog.language.numbers.spoken import NumberSpan
from fieldlog.language.values.depths import DEEP, DepthReader
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


class CueReader(DepthReader):
    """Reads numbers by the measure word or the place beside them."""

    said_first: dict[int, Mark]
    """The cue of each number that is said before its cue, by the mark's ``id``."""

    def _cued(self, at: int, mark: Mark) -> Value | None:
        """A value with a measure word or a place on its left, or directly on its right."""
        following, earlier = self.next(at), self.previous(at)
        word = _size_word(following)
        if (left := self._left_over(mark, following, earlier)) is not None:
            return left
        if following is not None and self._of_a_place(mark, following):
            return self._from_place(following.code, mark, "measure:value_first")
        if self._is_depth(at, mark, word, earlier):
            return self._value("depth", mark, "measure:depth")
        own = self.said_first.get(id(mark))
        cue = (own.code, "measure:value_first") if own else self._left_cue(mark, earlier)
        if cue is None:
            return self._value_first(mark, following, cued=False)
        if word == "deep" and cue[0] not in ("sole", "sole_depth"):
            said = any(m.kind in ("finding", "work") for m in self.line.marks[max(0, at - 8) : at])
            return self._value("depth", mark, "measure:depth") if said else None
        return self._by_cue(at, mark, cue, own is not None)

    # -- beside a word of its own ---------------------------------------------------------------

    def _left_over(self, mark: Mark, following: Mark | None, earlier: list[Mark]) -> Value | None:
        """ "Half an inch left to go", "three quarters down from the hairline"."""
        if following is None or following.code not in ("left_to_go", "down_from"):
            return None
        span = mark.value
        if following.code == "left_to_go":
            grown = any(m.kind == "finding" for m in earlier[:5]) and span.value < 90
            sized = span.unit is not None or span.form == "fraction" or grown
            return self._value("remaining", mark, "measure:remaining") if sized else None
        told = next((m for m in earlier[:8] if m.kind == "finding"), None)
        if told is None:
            return None
        if told.code in DEEP:
            return self._value("depth", mark, "measure:depth")
        return self._size(mark, "below_coronet", "size:down")

    def _of_a_place(self, mark: Mark, following: Mark) -> bool:
        """ "A fifty-two toe"."""
        place = following.kind == "place" and following.code in PLACE_KINDS
        led = self.line.norm(mark.start - 1) in ("a", "an", "that")
        return place and led and mark.end == following.start

    def _is_depth(self, at: int, mark: Mark, word: str, earlier: list[Mark]) -> bool:
        """ "White line's half an inch deep", "probed it and it goes in half an inch"."""
        probed = at > 0 and self.line.marks[at - 1].code == "deep"
        if (probed or word == "deep") and (
            any(m.kind == "finding" or m.code in _HOLLOW for m in earlier[:5])
            or self._opens_finding(at, mark)
        ):
            return True
        return self._goes_in(at, mark)

    def _opens_finding(self, at: int, mark: Mark) -> bool:
        """ "Half an inch deep, seven o'clock, a hollow": the first head that follows is one."""
        if mark.number.unit is None and mark.number.form != "fraction":
            return False
        if any(m.kind in HEADS for m in self.previous(at)):
            return False
        ahead = [m for m in self.line.marks[at + 1 :] if self.same_sentence(m, mark)]
        head = next((m for m in ahead if m.kind in HEADS), None)
        return head is not None and head.kind == "finding"

    def _value_first(self, mark: Mark, following: Mark | None, cued: bool) -> Value | None:
        """ "Fifty-two at the toe", "three inches of toe": the cue is right behind the number."""
        if following is None:
            return None
        if (
            following.kind == "place"
            and following.code in PLACE_KINDS
            and (not cued or self.line.norm(mark.start - 1) in DETERMINERS)
            and not self._answered(following)
        ):
            return self._from_place(following.code, mark, "measure:value_first")
        if following.kind == "measure":
            return self._value(following.code, mark, "measure:value_first")
        return None

    def _answered(self, place: Mark) -> bool:
        """Whether the place has a comma before it or a number of its own behind it."""
        if self.line.break_at(place.start - 1):
            return True
        return any(m.kind == "number" and 0 <= m.start - place.end <= 3 for m in self.line.marks)

    # -- what the cue before it makes of a number -----------------------------------------------

    def _by_cue(self, at: int, mark: Mark, cue: Cue, first: bool) -> Value | None:
        """The value that a number is with its cue; ``first``: the cue stands behind it."""
        kind, rule = cue
        following = self.next(at)
        word = _size_word(following)
        if kind == "finding" or (kind == "sole" and self._something_on_it(mark, word)):
            return None
        if (kind, word) in SIZED:
            return self._value(SIZED[kind, word], mark, rule)
        if across := self._across(at, mark, kind, word):
            return self._value(across, mark, rule)
        if kind in PLACE_KINDS:
            found = self._from_place(kind, mark, rule)
            return found or self._value_first(mark, following, cued=True)
        if kind == "body_length" and (hoof := self._not_the_body(at, mark)):
            return self._value(hoof, mark, rule)
        if kind == "height" and 30 <= mark.value.value <= 75 and self._foot_said(mark):
            return self._from_place("toe", mark, "measure:no_cue")
        return self._by_measure(at, mark, cue, first)

    def _by_measure(self, at: int, mark: Mark, cue: Cue, first: bool) -> Value | None:
        """ "Girth seventy-four", "sole depth twelve": the measure by its own name."""
        kind, rule = cue
        span = mark.value
        if kind == "height" and span.unit is None and not 8 <= span.value <= 200:
            return None
        item = find_item(kind, "measure")
        if item is None:
            return self._value_first(mark, self.next(at), cued=True)
        units = likely_units(kind, span.value, self.habit)
        unlikely = not any(fits(kind, span.value, u) for u in units)
        if item.per == "horse" and span.unit is None and unlikely and not first:
            return None
        return self._value(kind, mark, rule)

    def _something_on_it(self, mark: Mark, word: str) -> bool:
        """ "A mark in the sole half an inch long", "under an inch of dead stuff"."""
        if word in ("long", "wide"):
            return True
        return self.line.norm(mark.end) == "of" and self.line.norm(mark.end + 1) != "sole"

    def _across(self, at: int, mark: Mark, kind: str, word: str) -> str:
        """ "Frog two by three", "frog two and a half": the width, and the length behind "by"."""
        if kind not in ("frog", "hoof") or word or mark.value.unit is Unit.DEGREE:
            return ""
        following = self.next(at)
        if at > 0 and self.line.marks[at - 1].code == "by":
            return f"{kind}_length"
        if kind == "frog" or (following is not None and following.code == "by"):
            return f"{kind}_width"
        return ""

    def _not_the_body(self, at: int, mark: Mark) -> str:
        """ "Length three and a quarter": of a hoof beside its width, of a toe by its size."""
        if width_before(self.line, mark):
            return "hoof_length"
        span = mark.value
        if span.unit is None and span.value < 10:
            return "toe_length"
        toe = self._foot_said(mark) and likely_units("toe_length", span.value)
        return "toe_length" if toe and not self._beside_girth(at, mark) else ""

    def _beside_girth(self, at: int, mark: Mark) -> bool:
        """ "Girth fifty-six, length fifty": of the horse, whatever foot came before."""
        lately = [m for m in self.line.marks[max(0, at - 5) : at + 5] if m is not mark]
        return any(
            m.code in ("girth", "weight", "neck") and self.same_sentence(m, mark) for m in lately
        )

    # -- the cue on the left --------------------------------------------------------------------

    def _left_cue(self, mark: Mark, earlier: list[Mark]) -> Cue | None:
        """The measure word or place that a number answers to."""
        crossed_foot = False
        for other in earlier[:6]:
            found = self._cue_at(mark, other, earlier, crossed_foot)
            if found is not None:
                return found if found != _NO_CUE else None
            if other.kind == "foot" or self._that_foot(mark, other, earlier):
                crossed_foot = True
        return None

    def _cue_at(self, mark: Mark, other: Mark, earlier: list[Mark], crossed: bool) -> Cue | None:
        """The cue that one mark before a number is, ``_NO_CUE``, or None to look further back.

        Args:
            mark: the number.
            other: the mark before it.
            earlier: all marks before it, nearest first.
            crossed: a foot stands between the two.
        """
        if other.kind in ("measure", "place") and self.line.norm(mark.start - 1) == "but":
            return _NO_CUE  # "same length but fifty-seven": something else than the length
        if crossed and is_cue(other) and (kind := self._in_series(mark)):
            return (kind, "measure:same_series")
        if other.kind == "measure":
            return self._measure_cue(mark, other)
        if other.kind == "place":
            return self._place_cue(mark, other, earlier)
        if other.kind == "value":
            return self._value_cue(mark, other, crossed)
        return _no_cue_beyond(mark, other)

    def _measure_cue(self, mark: Mark, measure: Mark) -> Cue:
        """ "Toe length left front, three and a quarter"."""
        if measure.code == "taken_off":
            return ("taken_off", "measure:taken_off")
        distance, far = mark.start - measure.end, 24 if "order" in mark.tags else 12
        near = distance <= 6 or (distance <= far and not self._between(measure, mark))
        return (measure.code, "measure:value_after") if near else _NO_CUE

    def _place_cue(self, mark: Mark, place: Mark, earlier: list[Mark]) -> Cue | None:
        """ "Toe's three and a quarter"; "crack at the toe an inch" is the crack's size."""
        if not self._in_reach(mark, place) or self._that_foot(mark, place, earlier):
            return None
        back = place.start - 1
        while self.line.norm(back) in _SIDES:
            back -= 1
        while self.line.norm(back) in _ITS:
            back -= 1
        in_phrase = self.line.norm(back) in _WHERE and any(
            m.kind == "finding" and place.start - m.end <= 4 and m.end <= place.start
            for m in earlier
        )
        return ("finding", "") if in_phrase else (place.code, "measure:place_cue")

    def _in_reach(self, mark: Mark, place: Mark) -> bool:
        """Not of the toe: "sole at the toe's about twelve mil" is too little for it."""
        if place.code not in PLACE_KINDS or mark.start - place.end > 6:
            return False
        return self._possible(place.code, mark.value)

    def _that_foot(self, mark: Mark, place: Mark, earlier: list[Mark]) -> bool:
        """ "Eleven on that foot", "two feet only got seven": which foot, not what was measured."""
        if place.code != "hoof" or place.kind != "place":
            return False
        pointing = self.line.norm(place.start - 1) in ("that", "this", "each", "same", "either")
        pointing |= any(m.kind == "count" and m.end == place.start for m in earlier)
        return pointing and self._in_reach(mark, place)

    def _value_cue(self, mark: Mark, other: Mark, crossed: bool) -> Cue:
        """What a number is of right behind another value: "toe three and a half, fifty-two"."""
        if kind := self._in_series(mark):
            return (kind, "measure:same_series")
        if crossed:
            return (other.code, "measure:same_cue") if self._like(mark, other) else _NO_CUE
        if mark.start - other.end > 4:
            return _NO_CUE
        cue = other.value.rule
        between = {self.line.norm(i) for i in range(other.end, mark.start)}
        if between == {"and"} and cue.startswith("measure") and self._alike(mark, other):
            return (other.code, "measure:same_cue")
        if between & {"against", "versus", "vs"} and self._alike(mark, other):
            return (other.code, cue)
        return self._same_part(mark, other)

    def _same_part(self, mark: Mark, other: Mark) -> Cue:
        """ "Frog two wide, three long", "toe fifty-two, three and a half": of the same part."""
        cue = other.value.rule
        if other.code.startswith("frog"):
            return ("frog", cue)
        if other.code.startswith("hoof_"):
            return ("hoof", cue)
        place = next((p for p, kinds in PLACE_KINDS.items() if other.code in kinds.values()), "")
        if place == "heel" and self._of_the_toe(mark, other):
            return ("toe_angle", "measure:same_turn")
        if not cue.startswith("measure"):
            return _NO_CUE
        if place:
            return (place, "measure:same_cue")
        sided = any(m.kind == "side" for m in self.line.marks if other.end <= m.start)
        return (other.code, "measure:same_cue") if sided else _NO_CUE

    # -- the kind by place and size -------------------------------------------------------------

    def _from_place(self, place: str, mark: Mark, rule: str) -> Value | None:
        """The length or the angle of a place, by the unit or by the number's size."""
        span, kinds = mark.value, PLACE_KINDS[place]
        if span.unit is not None:
            kind = kinds.get(UNITS[span.unit].dimension)
            return self._value(kind, mark, rule) if kind and self._near(kind, span) else None
        if Dimension.LENGTH in kinds:
            if self._as_thick(mark, kinds[Dimension.LENGTH]):
                return None
            if self._length_only(place, mark):
                kinds = {Dimension.LENGTH: kinds[Dimension.LENGTH]}
        readings = self._readings(place, kinds, span)
        if not readings:
            return None
        kind, unit = readings[0]
        found = self._value(kind, mark, rule, unit)
        found.rivals = readings[1:]
        return found

    def _as_thick(self, mark: Mark, kind: str) -> bool:
        """ "Eight mil at the toe, seven at the quarters": the wall's thickness."""
        unit = unit_beside(self.line, mark)
        value = mark.value.value
        return unit is not None and not any(fits(kind, value * by, unit) for by in (1, 1.5))

    def _length_only(self, place: str, mark: Mark) -> bool:
        """ "Toe eighty-eight, heel thirty-eight": who measures the toe in mil does so the heel."""
        if length_follows(self.line, mark) or length_before(self.line, mark):
            return True
        if place != "heel":
            return False
        metric = mark.value.value <= 45 and any(
            m.kind == "value"
            and m.code == "toe_length"
            and m.end <= mark.start
            and m.value.quantity.unit is Unit.MM
            for m in self.line.marks
        )
        return metric or one_side(self.line, mark)

    def _readings(
        self, place: str, kinds: dict[Dimension, str], span: NumberSpan
    ) -> list[tuple[str, Unit]]:
        """Kinds and units that a number without a unit may be of, the likeliest first."""
        angle, length = kinds.get(Dimension.ANGLE), kinds.get(Dimension.LENGTH)
        readings: list[tuple[str, Unit]] = []
        low, high = (18, 33) if place == "coronet" else (30, 75)
        if angle and low <= span.value <= high and fits(angle, span.value, Unit.DEGREE):
            readings.append((angle, Unit.DEGREE))
        if length:
            readings += [(length, unit) for unit in likely_units(length, span.value, self.habit)]
        return readings

    def _possible(self, place: str, span: NumberSpan) -> bool:
        """Whether a length may be of a place, as far as its size goes."""
        if span.unit is None or UNITS[span.unit].dimension is not Dimension.LENGTH:
            return True
        kind = PLACE_KINDS[place].get(Dimension.LENGTH)
        return kind is None or self._near(kind, span)

    def _near(self, kind: str, span: NumberSpan) -> bool:
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
