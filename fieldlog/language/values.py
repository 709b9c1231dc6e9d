"""What a spoken number means: a measurement, the size of a finding, an amount of work, a count.

The value usually follows its cue ("toe's three and a quarter"); value-first ("a fifty-two toe",
"three inches of toe") is a rule of its own. A number without a cue is only believed when its
unit or size fits one reading. A unit that was not said is concluded from the kind, the size and
the neighbours, and the fact says so.
"""

from __future__ import annotations

from fieldlog.core.units import UNITS, Dimension, Unit
from fieldlog.language.lexicon import find_item
from fieldlog.language.marks import Mark
from fieldlog.language.numbers import NumberSpan
from fieldlog.language.units_said import HEADS
from fieldlog.language.value_depths import DEEP, DepthReader
from fieldlog.language.value_kinds import (
    ANGLED,
    DETERMINERS,
    PLACE_KINDS,
    SIZED,
    WORK_ANGLE,
    Value,
    fits,
    horn,
    likely_units,
)
from fieldlog.language.value_lists import settle_lists
from fieldlog.language.value_neighbours import (
    feet_in_order,
    join_ranges,
    join_tenths,
    length_before,
    length_follows,
    set_against,
    share_units,
    sides_in_order,
    unit_beside,
    width_before,
)
from fieldlog.language.value_order import is_cue, said_first
from fieldlog.language.value_sense import in_range, measures_nothing, one_side

_COMPARING = frozenset({"same", "better", "worse", "larger", "smaller", "against_last"})
_PASSED_OVER = frozenset({"wide", "long", "deep", "high", "plan", "against_last", "larger",
                          "smaller", "down_from"})  # fmt: skip
_NO_AMOUNT = frozenset({"shoe", "reset", "bar_shoe", "egg_bar", "heart_bar", "glue_on", "clips",
                        "pull", "barefoot", "clinch", "trot_up", "examine", "measure"})  # fmt: skip
_SHORTENS = frozenset({"set_back_toe", "shorten_toe", "lower_heel", "raise_heel"})
_HOLLOW = frozenset({"white_line", "sulcus", "central_sulcus", "collateral_sulcus"})
"""Places that are measured by their depth."""
_LONG = frozenset({"normal", "overgrown", "better_shape", "mismatched", "change"})
"""Findings that have no size of their own: what is measured beside them is the foot."""
_HEELS = frozenset({"crushed_heel", "low_heel", "high_heel", "underrun"})
_WEATHER = frozenset({"out", "outside", "today", "already", "hot", "heat", "cold", "weather"})


_WHERE = frozenset({"in", "at", "on", "of", "between", "across", "along", "over"})
"""Words before a place where a finding lies: what follows is the finding's size."""


class ValueReader(DepthReader):
    """Turns the number marks of a note into values, sizes and slots, in place."""

    def read(self) -> None:
        """Classify every number mark."""
        join_tenths(self.line)
        settle_lists(self.line)
        marks = self.line.marks
        join_ranges(self.line)
        self.said_first = said_first(self.line)
        for at, mark in enumerate(marks):
            if mark.kind == "number":
                self._classify(at, mark)
        share_units(self.line)
        sides_in_order(self.line)
        feet_in_order(self.line)
        set_against(self.line)

    def _classify(self, at: int, mark: Mark) -> None:
        following = self.next(at)
        higher = following is not None and following.code == "imbalance"
        if (higher and following is not None and following.start == mark.end) or (
            following is not None
            and following.code in ("larger", "smaller")
            and self.line.norm(following.end) == "than"
        ):
            mark.value = self._size(mark, "", "size:difference")
            mark.kind, mark.code = "size", "size"
            return
        if following is not None and self._came_off(mark, following):
            mark.value = self._size(mark, "amount", "size:of")
            mark.kind, mark.code = "size", "size"
            return
        if self._difference(mark):
            mark.kind, mark.code = "count", "difference"
            return
        if (following is not None and following.code in ("larger", "smaller")) or (
            self.line.norm(mark.end) in ("feet", "hooves") and mark.value.value <= 4
        ):
            mark.kind, mark.code = "count", "count"
            return
        if nothing := measures_nothing(self.line, at, mark):
            mark.kind, mark.code = "count", nothing
            return
        self._hundreds(at, mark)
        if (
            self._each_off(at, mark)
            or self.slot(at, mark)
            or self.score(at, mark)
            or self._trimmed_off(at, mark)
        ):
            return
        span = mark.value
        if self._rejected(at, mark) or (span.unit is None and self.line.text(mark) == "one"):
            mark.kind, mark.code = "count", "count"
            return
        value = (
            self._hands(at, mark)
            or self._cued(at, mark)
            or self._attached(at, mark)
            or self._uncued(at, mark)
            if span.unit is not Unit.GRADE
            else None
        )
        if value is not None and value.kind != "size":
            value = in_range(self.line, mark, value)
        if value is None:
            mark.kind, mark.code = "count", "count"
            return
        mark.value = value
        mark.kind = "size" if value.kind == "size" else "value"
        mark.code = value.kind

    def _came_off(self, mark: Mark, job: Mark) -> bool:
        """ "Two inches came off the toes": what went, not how long they are."""
        led = self.line.norm(job.start) in ("came", "comes", "come", "went")
        cut = job.kind == "work" and job.code in ("shorten_toe", "lower_heel")
        return led and cut and job.start == mark.end

    def _rejected(self, at: int, mark: Mark) -> bool:
        """ "Fifty-four, not fifty-two": the second number is what it is not."""
        if self.line.norm(mark.start - 1) != "not" or at == 0:
            return False
        other = self.line.marks[at - 1]
        if other.code in ("negation", "work_negation") and at > 1:
            other = self.line.marks[at - 2]
        return other.number is not None and mark.start - other.end <= 2

    def _beside_girth(self, at: int, mark: Mark) -> bool:
        """ "Girth fifty-six, length fifty": of the horse, whatever foot came before."""
        lately = [m for m in self.line.marks[max(0, at - 5) : at + 5] if m is not mark]
        return any(
            m.code in ("girth", "weight", "neck") and self.same_sentence(m, mark) for m in lately
        )

    def _cued(self, at: int, mark: Mark) -> Value | None:
        """A value with a measure word or a place on its left, or directly on its right."""
        span, line = mark.value, self.line
        following = self.next(at)
        earlier = self.previous(at)
        size_word = (
            following.code
            if following is not None
            and following.kind == "role"
            and following.code in ("wide", "long", "deep", "high")
            else ""
        )
        if following is not None and following.code in ("left_to_go", "down_from"):
            grown = any(m.kind == "finding" for m in earlier[:5]) and span.value < 90
            sized = span.unit is not None or span.form == "fraction" or grown
            if following.code == "left_to_go" and sized:
                return self._value("remaining", mark, "measure:remaining")
            told = next((m for m in earlier[:8] if m.kind == "finding"), None)
            if following.code == "down_from" and told is not None:
                if told.code in DEEP:
                    return self._value("depth", mark, "measure:depth")
                return self._size(mark, "below_coronet", "size:down")
        if (
            following is not None
            and following.kind == "place"
            and following.code in PLACE_KINDS
            and line.norm(mark.start - 1) in ("a", "an", "that")
            and mark.end == following.start
        ):
            return self._from_place(following.code, mark, "measure:value_first")
        probed = at > 0 and line.marks[at - 1].code == "deep"
        if (probed or size_word == "deep") and (
            any(m.kind == "finding" or m.code in _HOLLOW for m in earlier[:5])
            or self._opens_finding(at, mark)
        ):
            return self._value("depth", mark, "measure:depth")
        if self._goes_in(at, mark):
            return self._value("depth", mark, "measure:depth")
        own = self.said_first.get(id(mark))
        left = (own.code, "measure:value_first") if own else self._left_cue(mark, earlier)
        if size_word == "deep" and left is not None and left[0] not in ("sole", "sole_depth"):
            said = any(m.kind in ("finding", "work") for m in self.line.marks[max(0, at - 8) : at])
            return self._value("depth", mark, "measure:depth") if said else None
        if left is not None:
            kind_or_place, rule = left
            if kind_or_place == "finding":
                return None
            if kind_or_place == "sole" and (
                size_word in ("long", "wide")
                or (line.norm(mark.end) == "of" and line.norm(mark.end + 1) != "sole")
            ):
                return None  # "a mark in the sole half an inch long", "under an inch of dead stuff"
            if (kind_or_place, size_word) in SIZED:
                return self._value(SIZED[kind_or_place, size_word], mark, rule)
            if kind_or_place in ("frog", "hoof") and not size_word and span.unit is not Unit.DEGREE:
                by = at > 0 and line.marks[at - 1].code == "by"
                follows_by = following is not None and following.code == "by"
                if by or follows_by:
                    kind = f"{kind_or_place}_{'length' if by else 'width'}"
                    return self._value(kind, mark, rule)
                if kind_or_place == "frog":
                    return self._value("frog_width", mark, rule)
            if kind_or_place in PLACE_KINDS:
                found = self._from_place(kind_or_place, mark, rule)
                if found is not None:
                    return found
            elif kind_or_place == "body_length" and width_before(self.line, mark):
                return self._value("hoof_length", mark, rule)
            elif kind_or_place == "body_length" and (
                (span.unit is None and span.value < 10)
                or (
                    self._foot_said(mark)
                    and likely_units("toe_length", span.value)
                    and not self._beside_girth(at, mark)
                )
            ):
                return self._value("toe_length", mark, rule)
            elif kind_or_place == "height" and 30 <= span.value <= 75 and self._foot_said(mark):
                return self._from_place("toe", mark, "measure:no_cue")
            elif kind_or_place == "height" and span.unit is None and not 8 <= span.value <= 200:
                return None
            elif (item := find_item(kind_or_place, "measure")) is not None:
                units = likely_units(kind_or_place, span.value, self.habit)
                unlikely = not any(fits(kind_or_place, span.value, u) for u in units)
                if item.per == "horse" and span.unit is None and unlikely and not own:
                    return None
                return self._value(kind_or_place, mark, rule)
        if (
            following is not None
            and following.kind == "place"
            and following.code in PLACE_KINDS
            and (left is None or line.norm(mark.start - 1) in DETERMINERS)
            and not self._answered(following)
        ):
            return self._from_place(following.code, mark, "measure:value_first")
        if following is not None and following.kind == "measure":
            return self._value(following.code, mark, "measure:value_first")
        return None

    def _told_alone(self, mark: Mark) -> bool:
        """ "Clubby, near fore. Fifty-nine.": a sentence that is one angle, or two."""
        begin, end = next(s for s in self.line.sentences() if s[0] <= mark.start < s[1])
        inside = [m for m in self.line.marks if begin <= m.start < end]
        apart = {self.line.norm(i) for i in range(begin, end)} - {
            self.line.norm(i) for m in inside if m.number is not None for i in m.covers()
        }
        alone = apart <= {"", ".", "against", "versus", "to", "degrees", "about", "it's"}
        held = any(m.kind == "foot" and m.end <= begin for m in self.line.marks)
        return alone and held and begin > 0

    def _opens_finding(self, at: int, mark: Mark) -> bool:
        """ "Half an inch deep, seven o'clock, a hollow": the first head that follows is one."""
        if mark.number.unit is None and mark.number.form != "fraction":
            return False
        if any(m.kind in HEADS for m in self.previous(at)):
            return False
        ahead = [m for m in self.line.marks[at + 1 :] if self.same_sentence(m, mark)]
        head = next((m for m in ahead if m.kind in HEADS), None)
        return head is not None and head.kind == "finding"

    def _answered(self, place: Mark) -> bool:
        """Whether the place has a comma before it or a number of its own behind it."""
        if self.line.break_at(place.start - 1):
            return True
        return any(m.kind == "number" and 0 <= m.start - place.end <= 3 for m in self.line.marks)

    def _left_cue(self, mark: Mark, earlier: list[Mark]) -> tuple[str, str] | None:
        """The measure word or place that a number answers to."""
        line = self.line
        crossed_foot = False
        for other in earlier[:6]:
            distance = mark.start - other.end
            if other.kind in ("measure", "place") and line.norm(mark.start - 1) == "but":
                # "same length but fifty-seven": something else than the length
                return None
            if crossed_foot and is_cue(other) and (kind := self._in_series(mark)):
                return (kind, "measure:same_series")
            if other.kind == "measure":
                if other.code == "taken_off":
                    return ("taken_off", "measure:taken_off")
                far = 24 if "order" in mark.tags else 12
                near = distance <= 6 or (distance <= far and not self._between(other, mark))
                return (other.code, "measure:value_after") if near else None
            if other.kind == "place":
                if other.code not in PLACE_KINDS or distance > 6:
                    continue
                pointing = line.norm(other.start - 1) in ("that", "this", "each", "same", "either")
                # "two feet only got seven"
                pointing |= any(m.kind == "count" and m.end == other.start for m in earlier)
                if not self._possible(other.code, mark.value):
                    # "sole at the toe's about twelve mil": too little for the toe
                    continue
                if other.code == "hoof" and pointing:
                    # "eleven on that foot": which foot, not what was measured
                    crossed_foot = True
                    continue
                back = other.start - 1
                while line.norm(back) in ("inside", "outside", "medial", "lateral"):
                    back -= 1
                while line.norm(back) in ("the", "his", "her", "its", "that"):
                    back -= 1
                in_phrase = line.norm(back) in _WHERE and any(
                    m.kind == "finding" and other.start - m.end <= 4 and m.end <= other.start
                    for m in earlier
                )
                return ("finding", "") if in_phrase else (other.code, "measure:place_cue")
            if other.kind == "value" and (kind := self._in_series(mark)):
                return (kind, "measure:same_series")
            if other.kind == "value":
                cue = other.value.rule
                if crossed_foot and self._like(mark, other):
                    return (other.code, "measure:same_cue")
                if crossed_foot or distance > 4:
                    return None
                joined = {line.norm(i) for i in range(other.end, mark.start)} == {"and"}
                if joined and cue.startswith("measure") and self._alike(mark, other):
                    return (other.code, "measure:same_cue")
                place = next(
                    (p for p, kinds in PLACE_KINDS.items() if other.code in kinds.values()), ""
                )
                versus = {line.norm(i) for i in range(other.end, mark.start)}
                if versus & {"against", "versus", "vs"} and self._alike(mark, other):
                    return (other.code, cue)
                if other.code.startswith("frog"):
                    return ("frog", cue)
                if other.code.startswith("hoof_"):
                    return ("hoof", cue)
                if place == "heel" and self._of_the_toe(mark, other):
                    return ("toe_angle", "measure:same_turn")
                if place and cue.startswith("measure"):
                    return (place, "measure:same_cue")
                sided = any(m.kind == "side" for m in self.line.marks if other.end <= m.start)
                if sided and not crossed_foot and cue.startswith("measure"):
                    return (other.code, "measure:same_cue")
                return None
            if other.kind == "time":
                continue
            if other.kind in ("foot", "side"):
                crossed_foot = crossed_foot or other.kind == "foot"
                continue
            if other.kind in ("number", "count", "nail", "shoe_size"):
                continue
            if other.code in ("long_toe", "overgrown") and not 0 < horn(mark.value) < 50:
                return ("toe", "measure:place_cue")
            if other.kind in HEADS:
                return None
            if other.kind == "role" and other.code in _PASSED_OVER:
                continue
            if distance > 4:
                return None
        return None

    def _from_place(self, place: str, mark: Mark, rule: str) -> Value | None:
        span = mark.value
        kinds = PLACE_KINDS[place]
        if span.unit is not None:
            kind = kinds.get(UNITS[span.unit].dimension)
            return self._value(kind, mark, rule) if kind and self._near(kind, span) else None
        if Dimension.LENGTH in kinds and (
            length_follows(self.line, mark) or length_before(self.line, mark)
        ):
            kinds = {Dimension.LENGTH: kinds[Dimension.LENGTH]}
        unit = unit_beside(self.line, mark) if Dimension.LENGTH in kinds else None
        if unit is not None and not any(
            fits(kinds[Dimension.LENGTH], span.value * by, unit) for by in (1, 1.5)
        ):
            return None  # "eight mil at the toe, seven at the quarters": the wall's thickness
        metric = span.value <= 45 and any(
            m.kind == "value"
            and m.code == "toe_length"
            and m.end <= mark.start
            and m.value.quantity.unit is Unit.MM
            for m in self.line.marks
        )
        if place == "heel" and (metric or one_side(self.line, mark)):
            # "toe eighty-eight, heel thirty-eight": who measures the toe in mil does so the heel
            kinds = {Dimension.LENGTH: kinds[Dimension.LENGTH]}
        angle, length = kinds.get(Dimension.ANGLE), kinds.get(Dimension.LENGTH)
        readings: list[tuple[str, Unit]] = []
        low, high = (18, 33) if place == "coronet" else (30, 75)
        if angle and low <= span.value <= high and fits(angle, span.value, Unit.DEGREE):
            readings.append((angle, Unit.DEGREE))
        if length:
            readings += [(length, unit) for unit in likely_units(length, span.value, self.habit)]
        if not readings:
            return None
        kind, unit = readings[0]
        found = self._value(kind, mark, rule, unit)
        found.rivals = readings[1:]
        return found

    def _possible(self, place: str, span: NumberSpan) -> bool:
        if span.unit is None or UNITS[span.unit].dimension is not Dimension.LENGTH:
            return True
        kind = PLACE_KINDS[place].get(Dimension.LENGTH)
        return kind is None or self._near(kind, span)

    def _near(self, kind: str, span: NumberSpan) -> bool:
        """Whether a value with its unit is not far out of the range of a kind that a place gave."""
        return any(fits(kind, span.value * by, span.unit or Unit.MM) for by in (1, 2, 0.5))

    def _attached(self, at: int, mark: Mark) -> Value | None:
        """The size of the finding, or the amount of the job, just before (or right after)."""
        span = mark.value
        if span.value >= 2.5 and self.line.norm(mark.end) in ("before", "after"):
            return None
        small = span.form == "fraction" or span.value <= 1.5 or span.value != int(span.value)
        length = span.unit is not None and UNITS[span.unit].dimension is Dimension.LENGTH
        following = self.next(at, most=1)
        turns = span.unit is Unit.DEGREE and following is not None and following.code in ANGLED
        part = span.form == "fraction" and span.value < 2 and self.line.norm(mark.end) == "of"
        if (length or turns or part) and following is not None and following.kind == "finding":
            return self._size(mark, "", "size:before")
        if (
            following is not None
            and following.kind == "work"
            and following.start == mark.end
            and (length or small)
            and self.line.norm(mark.end) in ("came", "come", "comes", "went", "off", "taken")
        ):
            return self._size(mark, "amount", "size:before_work")
        inside_gap = any(
            m.kind == "work" and m.gap and m.gap[0] <= mark.start < m.gap[1]
            for m in self.line.marks
        )
        if inside_gap:
            return self._size(mark, "amount", "size:in_work")
        measure = ""
        for code, name in (("deep", "depth"), ("wide", "width"), ("long", "length")):
            beside = following is not None and following.code == code
            if beside or (at and self.line.marks[at - 1].code == code):
                measure = name
        if span.unit is Unit.DEGREE and following is not None and following.code in WORK_ANGLE:
            return self._size(mark, "amount", "size:before_work")
        slant = span.unit is Unit.DEGREE and span.value <= 12
        for other in self.previous(at)[:7]:
            if other.kind == "foot" and not length and span.value > 1.5 and not slant:
                return None
            turned = span.unit is Unit.DEGREE and other.code in ANGLED
            if other.code in _LONG and span.value >= 2.5 and measure in ("", "width"):
                return None
            if other.code in ANGLED and length:
                continue
            if (
                other.code == "thin_sole"
                and length
                and not measure
                and fits("sole_depth", span.value, span.unit or Unit.MM)
            ):
                return self._value("sole_depth", mark, "measure:sole")
            if other.code == "frog_atrophy" and measure in ("width", "length"):
                return self._value(f"frog_{measure}", mark, "measure:place_cue")
            if other.code in ("bad_smell", "no_smell") and length:
                continue
            if other.code == "frog_atrophy" and length:
                return self._value("frog_width", mark, "measure:place_cue")
            if other.kind == "finding" and (length or small or measure or turned):
                return self._sized(other, mark, measure, "size:after")
            if other.kind == "work" and other.code in _NO_AMOUNT:
                return None
            if other.kind == "work":
                if found := self._worked_to(mark, other):
                    return found
                if span.unit is Unit.DEGREE and other.code not in WORK_ANGLE:
                    return None
                whole = other.code in _SHORTENS and span.unit is None and 2 <= span.value <= 25
                by = self.line.norm(mark.start - 1) == "by"
                small = small or (whole and (other.end == mark.start or by))
                if span.unit in (None, Unit.INCH) and span.value >= 2.5 and not whole:
                    return None  # "trimmed her three and a half to three and a quarter"
                if (length and horn(span) <= 45) or small or span.unit is Unit.DEGREE:
                    return self._size(mark, "amount", "size:after_work")
                return None
            if other.kind in HEADS and not (other.code == "next_trim_weak" and length):
                return None
        if (
            following is not None
            and following.kind == "work"
            and (span.unit is Unit.DEGREE or length)
        ):
            return self._size(mark, "amount", "size:before_work")
        if (measure or length) and (told := self._tells_more(at, mark)):
            return self._sized(told, mark, measure, "size:next_sentence")
        return None

    def _whose_angle(self, at: int) -> str:
        """ "Heels are crushed, thirty-eight degrees": of the heel, if it was just spoken of."""
        told = [m for m in self.line.marks[:at] if m.kind in ("finding", "place", "measure")]
        heel = bool(told) and told[-1].kind == "finding" and told[-1].code in _HEELS
        return "heel_angle" if heel else "toe_angle"

    def _uncued(self, at: int, mark: Mark) -> Value | None:
        """No cue at all: believed only where one kind fits."""
        span = mark.value
        before = [m for m in self.previous(at) if m.code not in _COMPARING]
        beside_foot = any(
            m.kind == "foot" or (m.kind == "value" and self._per_foot(m)) for m in before[:2]
        )
        if span.unit is None and self._no_measure(at, mark):
            return None
        if span.unit is None and (kind := self._was(at, mark)):
            near = [m for m in self.line.marks[:at] if m.kind == "value"][-1].value.quantity
            done = self.line.norm(mark.start - 1) == "to"
            rule = "measure:worked_to" if done else "measure:was"
            return self._value(kind, mark, rule, near.unit)
        if span.unit is None and (self._pair_said(at, mark) or self._stands_at(mark)):
            beside_foot = True
        beside_foot = beside_foot or (38 <= span.value <= 65 and self._told_alone(mark))
        beside_foot = beside_foot or "order" in mark.tags
        if not beside_foot:
            later = [m for m in self.line.marks[at + 1 : at + 5] if m.kind not in ("role",)]
            beside_foot = any(
                m.kind == "foot" and m.start - mark.end <= 9 and self.same_sentence(mark, m)
                for m in later[:2]
            ) or any(m.kind == "foot" and "closing" in m.tags for m in later)
        if span.unit is Unit.DEGREE:
            held = any(m.kind == "foot" and m.start < mark.start for m in self.line.marks) or any(
                m.kind == "finding" and 0 <= mark.start - m.end <= 12 for m in self.line.marks
            )
            if not (beside_foot or held) or not fits("toe_angle", span.value, Unit.DEGREE):
                return None
            if self.line.norm(mark.end) in _WEATHER:
                return None
            return self._value(self._whose_angle(at), mark, "measure:no_cue", sure=False)
        if kind := self._compared_kind(at, mark) or self._header(mark):
            if kind in PLACE_KINDS:
                return self._from_place(kind, mark, "measure:header")
            return self._value(kind, mark, "measure:header", sure=False)
        if kind := self._sides_of_hoof(at, mark) or self._by_pair(at, mark):
            return self._value(kind, mark, "measure:width_by_length", sure=False)
        if span.unit is not None:
            if UNITS[span.unit].dimension is Dimension.MASS:
                heavy = 100 <= span.value * UNITS[span.unit].to_base <= 1300
                if not heavy or not self._of_the_horse(mark):
                    return None
                return self._value("weight", mark, "measure:unit_only")
            if span.unit is Unit.HAND:
                return self._value("height", mark, "measure:unit_only")
            following = self.next(at, most=0)
            side = following is not None and following.code in ("wide", "deep", "long")
            if self.line.norm(mark.end) == "of":
                return None  # "on six inches of shavings"
            if side and (horn(span) < 64 or (following and following.code != "long")):
                return None  # "lost a chunk two inches long"
            if fits("toe_length", span.value, span.unit) and beside_foot:
                return self._value("toe_length", mark, "measure:no_cue", sure=False)
            return None
        if not beside_foot:
            return None
        if kind := self._in_series(mark):
            return self._value(kind, mark, "measure:same_series")
        crack = next((m for m in self.previous(at)[:6] if m.kind in HEADS), None)
        if crack is not None and crack.kind == "finding" and crack.code.endswith("crack"):
            then = self.line.norm(mark.end) in ("now", "then", "today", "last")
            return self._size(mark, "length", "size:after") if then else None
        if self.line.norm(mark.end) in ("against", "to", "with") and self._toe_behind(mark):
            return self._value("heel_angle", mark, "measure:against_toe", Unit.DEGREE)
        if kind := self._like_last(at, mark):
            return self._value(kind, mark, "measure:like_last", sure=False)
        if 38 <= span.value <= 65:
            kind = self._whose_angle(at)
            return self._value(kind, mark, "measure:no_cue", Unit.DEGREE, sure=False)
        if 2.5 <= span.value <= 5.5 and (span.form == "fraction" or span.value % 1):
            return self._value("toe_length", mark, "measure:no_cue", Unit.INCH, sure=False)
        if 70 <= span.value <= 120:
            return self._value("toe_length", mark, "measure:no_cue", Unit.MM, sure=False)
        return None
