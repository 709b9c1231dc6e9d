"""Numbers that measure nothing: shoe sizes, nails, clock positions, counts and grades.

``Around`` looks from a number at the marks beside it; ``SlotReader`` takes the numbers that a shoe,
a clock or a scale claims before anything is measured.
"""

from __future__ import annotations

from dataclasses import replace

from fieldlog.core.units import Unit
from fieldlog.language.lexicon import find_item
from fieldlog.language.marks import Mark
from fieldlog.language.units_said import COPULAS, HEADS, Line
from fieldlog.language.value_kinds import CONNECTING, as_digits

COUNTED = frozenset({"weeks", "week", "days", "day", "months", "month", "years", "year", "minutes",
                      "hours", "hour", "years'", "weeks'", "yards", "furlongs", "litres", "gallons",
                      "mile", "miles", "acres", "people", "men", "others", "percent", "am",
                      "pm", "times", "passes", "bites", "strokes", "goes", "rounds", "strides",
                      "fingers", "finger"})  # fmt: skip
_MONEY = frozenset({"paid", "pay", "pays", "paying", "charge", "charged", "charges", "charging",
                    "cost", "costs", "costing", "owe", "owes", "owed", "bill", "bills", "billed",
                    "price", "priced", "invoice", "invoiced", "sold", "bought", "quoted",
                    "fee", "asking"})  # fmt: skip


_TOPS = frozenset({3, 4, 5, 9, 10})
"""Scales that grades are given on."""
_OUT_OF = frozenset({"horses", "horse", "ponies", "nails", "feet", "shoes", "times", "days",
                      "trims", "clinches", "clenches", "visits", "people", "of"})  # fmt: skip
_PRAISED = frozenset({"behavior", "behaviour", "manners", "effort", "trying", "cheek", "looks",
                      "patience", "standing"})  # fmt: skip
_OTHER_SCALES = frozenset({"crest", "neck", "manners", "temperament", "attitude", "temper"})


class Around:
    """A note's marks as seen from one of them."""

    def __init__(self, line: Line) -> None:
        self.line = line
        self.sentence_of: dict[int, int] = {}
        for number, (begin, end) in enumerate(line.sentences()):
            for at in range(begin, end):
                self.sentence_of[at] = number

    def same_sentence(self, a: Mark, b: Mark) -> bool:
        return self.sentence_of.get(a.start) == self.sentence_of.get(b.start)

    def next(self, at: int, most: int = 1) -> Mark | None:
        """The next mark if at most ``most`` small words lie between."""
        marks = self.line.marks
        for mark in marks[at + 1 :]:
            if mark.start - marks[at].end > most or not self.same_sentence(marks[at], mark):
                return None
            if mark.kind == "role" and mark.code in ("article", "copula", "adverb"):
                continue
            return mark
        return None

    def previous(self, at: int) -> list[Mark]:
        """Earlier marks of the sentence, nearest first, without connecting words."""
        earlier = self.line.marks[:at]
        number_of = self.sentence_of.get
        here = number_of(self.line.marks[at].start)
        return [
            m
            for m in reversed(earlier)
            if number_of(m.start) == here and not (m.kind == "role" and m.code in CONNECTING)
        ]


class SlotReader(Around):
    """Takes numbers that are a slot of a shoe, a count or a grade."""

    def slot(self, at: int, mark: Mark) -> bool:
        line, span = self.line, mark.value
        following = self.next(at, most=0)
        before = line.norm(mark.start - 1)
        if self._stock(at, mark) or self._paid_or_far(at, mark):
            mark.kind = "count"
            return True
        if span.form == "shoe_size" or before in ("size", "sizes"):
            mark.kind, mark.code = "shoe_size", span.spoken
            return True
        if line.norm(mark.end) == "o'clock" or (before == "at" and line.norm(mark.end) == "clock"):
            mark.kind, mark.code = "clock", f"clock_{int(span.value)}"
            mark.end += 1
            return 1 <= span.value <= 12 or self._undo_clock(mark)
        if self._hour_behind(mark):
            mark.kind, mark.code = "clock", f"clock_{int(span.value)}"
            return True
        if following is not None and following.kind == "role" and following.code == "nails":
            mark.kind, mark.code = "nail", self._nails(mark, following)
            return True
        if line.norm(mark.start - 1) in ("city", "slim") or (
            line.norm(mark.start - 2) == "e" and line.norm(mark.start - 1) in ("head",)
        ):
            mark.kind = "nail"
            mark.code = f"nails:{line.norm(mark.start - 1)} {span.spoken}"
            return True
        if (
            following is not None
            and following.kind == "role"
            and following.code == "counted"
            and (span.unit is None or span.unit is Unit.COUNT)
        ):
            mark.kind, mark.code = "count", line.text(following)
            return True
        if (
            following is not None
            and following.code in ("clips", "pad", "shoe_lost", "crack", "staged_correction")
            and span.unit is None
            and float(span.value).is_integer()
            and span.value <= 8
        ):
            mark.kind, mark.code = "count", following.code
            return True
        return False

    def _paid_or_far(self, at: int, mark: Mark) -> bool:
        """ "Paid fifty for the fronts, forty for the hinds", "a sixteen foot trailer"."""
        line, span = self.line, mark.number
        if span.unit not in (None, Unit.LB):
            return False
        earlier = next((m for m in reversed(line.marks[:at]) if m.number is not None), None)
        lead = {line.norm(i) for i in range(mark.start - 4, mark.start)}
        if any(m.code == "ratio" and 0 <= mark.start - m.end <= 8 for m in line.marks[:at]):
            mark.code = "ratio"
            return True
        if "ratio" in lead or "ratio" in {line.norm(i) for i in range(mark.end, mark.end + 3)}:
            mark.code = "ratio"
            return True
        more = line.norm(mark.end) == "more" and (
            line.norm(mark.end + 1) in COUNTED or line.norm(mark.end + 1) in ("to", "of", "here")
        )
        if line.norm(mark.end) in COUNTED or more:
            mark.code = "counted"
            return True
        after = line.norm(mark.end)
        paid = bool(lead & _MONEY) and not any(
            m.kind in HEADS and mark.start - m.end <= 4 and m.end <= mark.start for m in line.marks
        )
        again = (
            after == "for"
            and any(m.code == "money" and mark.start - m.end <= 6 for m in line.marks[:at])
            and self.same_sentence(mark, line.marks[at - 1])
        )
        if paid or again:
            mark.code = "money"
            return True
        plain = span.form == "plain" and span.value <= 40
        said = line.norm(mark.end + 1)
        if plain and after == "foot" and said not in COPULAS and not line.break_at(mark.end + 1):
            mark.code = "feet long"
            return True
        if earlier is not None and earlier.code == "feet long" and mark.start == earlier.end + 1:
            mark.code = "inches"
            return True
        return False

    def _stock(self, at: int, mark: Mark) -> bool:
        """ "Three quarter by five sixteenths", "twenty by eight": bar that a shoe is made of."""
        marks = self.line.marks
        for low, high in ((at, at + 2), (at - 2, at)):
            if low < 0 or high >= len(marks) or marks[low + 1].code != "by":
                continue
            first, second = marks[low], marks[high]
            if first.number is None or second.number is None:
                continue
            if first.end != marks[low + 1].start or second.start != marks[low + 1].end:
                continue
            a, b = first.number, second.number
            inches = a.value <= 1.25 and b.value <= 0.75 and "fraction" in (a.form, b.form)
            metric = 15 <= a.value <= 30 and 6 <= b.value <= 12
            if inches or metric:
                for one in (first, second):
                    one.kind, one.code = "count", "stock"
                return True
        return False

    def _hour_behind(self, mark: Mark) -> bool:
        """ "From one o'clock to | three": the second hour of a stretch of the wall."""
        span, begin = mark.value, mark.start
        led = self.line.norm(begin - 1) in ("to", "and", "till") and (
            self.line.norm(begin - 2) in ("o'clock", "clock"))  # fmt: skip
        hour = span.unit is None and span.high is None and span.value in range(1, 13)
        return led and hour

    def _undo_clock(self, mark: Mark) -> bool:
        mark.kind, mark.code = "count", "count"
        return True

    def _nails(self, mark: Mark, following: Mark) -> str:
        words = self.line.text(following)
        spoken = mark.value.spoken
        following.tags.add("used")
        if words in ("nail", "nails"):
            return f"nail_count:{int(mark.value.value)}"
        kind = words.replace(" nails", "").replace(" nail", "")
        return f"nails:{kind} {as_digits(mark.value.value, spoken)}"

    def score(self, at: int, mark: Mark) -> bool:
        """A number beside a grade cue or before ``out of``."""
        line, span = self.line, mark.value
        if span.unit not in (None, Unit.GRADE):
            return False
        if span.form == "fraction" and (span.spoken or "").lower().endswith(("tenths", "/10")):
            # no tape has tenths: lameness out of ten
            whole = round(span.value * 10)
            span = replace(span, value=float(whole), form="grade/10")
            mark.value = mark.number = span
        if span.form.startswith("grade/"):
            mark.kind, mark.code = "grade", "graded"
            top = span.form.partition("/")[2]
            mark.tags.add(f"of:{top}")
            if not any(m.kind == "score" for m in self.previous(at)[:4]):
                self._lone_grade(mark)
                if top == "9":
                    mark.code, mark.item = "condition", find_item("condition", "score")
            return True
        of_four = line.norm(mark.start - 1) in ("in", "on") and line.norm(mark.end + 2) in (
            "four", "4"
        )  # fmt: skip
        if of_four and line.norm(mark.end) == "out":
            mark.kind, mark.code = "count", "feet"  # "thrush in three out of four"
            return True
        slurred = line.norm(mark.end) in ("outa", "outta")
        if slurred or (line.norm(mark.end) == "out" and line.norm(mark.end + 1) == "of"):
            behind = mark.end + (1 if slurred else 2)
            other = next((m for m in line.marks if m.start == behind), None)
            top = other.value.value if other is not None and other.kind == "number" else 0
            before = {line.norm(i) for i in range(mark.start - 4, mark.start)}
            beyond = line.norm(other.end) if other is not None else ""
            if beyond == "for" and line.norm(other.end + 1 if other else 0) in _PRAISED:
                mark.kind, mark.code = "count", "of"  # "ten out of ten for behaviour"
                return True
            if top not in _TOPS or before & _OTHER_SCALES or beyond in _OUT_OF:
                mark.kind, mark.code = "count", "of"  # "six out of the eight", "crest two of five"
                return True
            mark.kind, mark.code = "grade", "graded"
            if not any(m.kind == "score" for m in self.previous(at)[:4]):
                self._lone_grade(mark)
            if other is not None and other.kind == "number":
                mark.tags.add(f"of:{other.value.value:g}")
                mark.end = other.end
                other.kind, other.code = "count", "scale"
                other.tags.add("used")
            return True
        cue = next((m for m in line.marks[at + 1 :] if m.kind != "role"), None)
        joined = line.norm(mark.end) in ("on", "for", "in")
        if cue is not None and joined and cue.kind == "score" and cue.start - mark.end <= 3:
            mark.kind, mark.code = "grade", "graded"
            return True
        follower = self.next(at, most=0)
        if (
            span.form == "grade"
            and follower is not None
            and follower.kind == "finding"
            and follower.code != "lameness"
        ):
            mark.kind, mark.code = "count", "grade of a finding"
            return True
        if span.form == "grade":
            mark.kind, mark.code = "grade", "graded"
            scores = [m for m in self.previous(at)[:4] if m.kind == "score"]
            if not scores:
                self._lone_grade(mark)
            elif scores[0].code == "lameness" and any(m.code == "obel" for m in scores):
                # "Obel three a week ago and grade one now"
                scores[0].code, scores[0].item = "obel", find_item("obel", "score")
            elif scores[0].code == "lameness" and (graded := self._graded_finding(mark)):
                scores[0].code, scores[0].item = graded, find_item(graded, "score")
            return True
        scored = next((m for m in reversed(line.marks[:at]) if m.kind == "score"), None)
        words = (line.norm(mark.start - 2), line.norm(mark.start - 1))
        if scored is not None and words == ("was", "a") and mark.start - scored.end <= 20:
            mark.kind, mark.code, mark.item = "score", scored.code, scored.item
            return True  # "condition five today, he was a four in May"
        for earlier in [m for m in self.previous(at) if m.kind != "role"][:3]:
            if earlier.kind == "score" and mark.start - earlier.end <= 7:
                mark.kind, mark.code = "grade", "graded"
                return True
            if earlier.kind == "grade" and mark.start - earlier.end <= 3:
                mark.kind, mark.code = "grade", "graded"
                return True
            if earlier.kind not in ("place", "foot"):
                break
        return False

    def _lone_grade(self, mark: Mark) -> None:
        """A grade without a cue is of lameness, unless it is out of nine.

        "Lame, two out of five" is one statement: the word before gives way to the grade.
        """
        for other in self.line.marks:
            plain = other.kind == "finding" and other.code == "lameness"
            near = 0 <= mark.start - other.end <= 7 or 0 <= other.start - mark.end <= 1
            mild = {self.line.norm(i) for i in other.covers()} & {"off", "little", "bit"}
            if plain and not mild and near:
                other.kind, other.code = "role", "copula"
        top = self.line.norm(mark.end + 2)
        lead = {self.line.norm(i) for i in range(mark.start - 16, mark.start)}
        mark.kind, mark.code = "score", "condition" if top in ("nine", "9") else "lameness"
        mark.code = self._graded_finding(mark) or mark.code
        if top in ("three", "3", "four", "4") and lead & {"testers", "tester"}:
            mark.code = "hoof_tester_grade"
        if lead & {"obel"} and mark.code == "lameness":
            mark.code = "obel"
        mark.item = find_item(mark.code, "score")

    def _graded_finding(self, mark: Mark) -> str:
        """ "A clubby left, grade two": the score that belongs to the finding before a grade."""
        heads = [m for m in self.line.marks if m.kind == "finding" and m.end <= mark.start]
        near = bool(heads) and mark.start - heads[-1].end <= 14
        return _GRADED.get(heads[-1].code, "") if near else ""


_GRADED = {"clubby": "club_grade", "digital_pulse": "pulse_grade", "bounding_pulse": "pulse_grade"}
