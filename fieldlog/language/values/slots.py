"""Numbers that measure nothing: shoe sizes, nails, hours on the hoof, counts, bar stock, money."""

from __future__ import annotations

from collections.abc import Callable

from fieldlog.core.units import Unit
from fieldlog.language.values.around import Around
from fieldlog.language.values.kinds import as_digits
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import COPULAS, HEADS

COUNTED = frozenset({"weeks", "week", "days", "day", "months", "month", "years", "year", "minutes",
                      "hours", "hour", "years'", "weeks'", "yards", "furlongs", "litres", "gallons",
                      "mile", "miles", "acres", "people", "men", "others", "percent", "am",
                      "pm", "times", "passes", "bites", "strokes", "goes", "rounds", "strides",
                      "fingers", "finger"})  # fmt: skip
_MONEY = frozenset({"paid", "pay", "pays", "paying", "charge", "charged", "charges", "charging",
                    "cost", "costs", "costing", "owe", "owes", "owed", "bill", "bills", "billed",
                    "price", "priced", "invoice", "invoiced", "sold", "bought", "quoted",
                    "fee", "asking"})  # fmt: skip
_FEW = frozenset({"clips", "pad", "shoe_lost", "crack", "staged_correction"})


def as_slot(note: Around, at: int, mark: Mark) -> bool:
    """Whether a number is bar stock, money, a shoe's size, an hour, nails or a count.

    It is made that.
    """
    if _stock(note, at) or _paid_or_far(note, at, mark):
        mark.kind = "count"
        return True
    if _shoe_size(note, mark) or _hour(note, mark):
        return True
    following = note.next(at, most=0)
    return _nail(note, mark, following) or _counted(note, mark, following)


def _shoe_size(note: Around, mark: Mark) -> bool:
    """ "Size two", "a triple ought"."""
    span = mark.value
    if span.form != "shoe_size" and note.line.norm(mark.start - 1) not in ("size", "sizes"):
        return False
    mark.kind, mark.code = "shoe_size", span.spoken
    return True


def _hour(note: Around, mark: Mark) -> bool:
    """ "Two o'clock", "at ten clock": where on the hoof."""
    line, hour = note.line, int(mark.value.value)
    at_clock = line.norm(mark.start - 1) == "at" and line.norm(mark.end) == "clock"
    if line.norm(mark.end) == "o'clock" or at_clock:
        mark.kind, mark.code = "clock", f"clock_{hour}"
        mark.end += 1
        if not 1 <= mark.value.value <= 12:
            mark.kind, mark.code = "count", "count"
        return True
    if _hour_behind(note, mark):
        mark.kind, mark.code = "clock", f"clock_{hour}"
        return True
    return False


def _nail(note: Around, mark: Mark, following: Mark | None) -> bool:
    """ "Six nails", "city head fives", "slim fives"."""
    line = note.line
    if following is not None and following.kind == "role" and following.code == "nails":
        mark.kind, mark.code = "nail", _nails(note, mark, following)
        return True
    before = line.norm(mark.start - 1)
    if before in ("city", "slim") or (before == "head" and line.norm(mark.start - 2) == "e"):
        mark.kind, mark.code = "nail", f"nails:{before} {mark.value.spoken}"
        return True
    return False


def _counted(note: Around, mark: Mark, following: Mark | None) -> bool:
    """ "Three strides", "two clips", "four cracks": so many of them."""
    span = mark.value
    if following is None:
        return False
    if following.kind == "role" and following.code == "counted" and (
            span.unit in (None, Unit.COUNT)):  # fmt: skip
        mark.kind, mark.code = "count", note.line.text(following)
        return True
    few = span.unit is None and float(span.value).is_integer() and span.value <= 8
    if few and following.code in _FEW:
        mark.kind, mark.code = "count", following.code
        return True
    return False


def _paid_or_far(note: Around, at: int, mark: Mark) -> bool:
    """ "Paid fifty for the fronts, forty for the hinds", "a sixteen foot trailer"."""
    if mark.number.unit not in (None, Unit.LB):
        return False
    for told, code in _NO_MEASURE:
        if told(note, at, mark):
            mark.code = code
            return True
    return False


def _ratio(note: Around, at: int, mark: Mark) -> bool:
    """ "Sixty forty ratio"."""
    if any(m.code == "ratio" and 0 <= mark.start - m.end <= 8 for m in note.line.marks[:at]):
        return True
    near = (*range(mark.start - 4, mark.start), *range(mark.end, mark.end + 3))
    return any(note.line.norm(i) == "ratio" for i in near)


def _counts_things(note: Around, at: int, mark: Mark) -> bool:
    """ "Five years", "two more weeks", "three more to do"."""
    after, beyond = note.line.norm(mark.end), note.line.norm(mark.end + 1)
    more = after == "more" and (beyond in COUNTED or beyond in ("to", "of", "here"))
    return after in COUNTED or more


def _money(note: Around, at: int, mark: Mark) -> bool:
    """ "Paid fifty for the fronts, forty for the hinds"."""
    line, marks = note.line, note.line.marks
    paid = any(line.norm(i) in _MONEY for i in range(mark.start - 4, mark.start))
    if paid and not any(
        m.kind in HEADS and mark.start - m.end <= 4 and m.end <= mark.start for m in marks
    ):
        return True
    return (
        line.norm(mark.end) == "for"
        and any(m.code == "money" and mark.start - m.end <= 6 for m in marks[:at])
        and note.same_sentence(mark, marks[at - 1])
    )


def _feet_long(note: Around, at: int, mark: Mark) -> bool:
    """ "A sixteen foot trailer"; not "one foot is sore"."""
    line, span = note.line, mark.number
    if line.norm(mark.end) != "foot" or span.form != "plain" or span.value > 40:
        return False
    return line.norm(mark.end + 1) not in COPULAS and not line.break_at(mark.end + 1)


def _inches_beyond(note: Around, at: int, mark: Mark) -> bool:
    """ "Sixteen foot six"."""
    earlier = next((m for m in reversed(note.line.marks[:at]) if m.number is not None), None)
    return earlier is not None and earlier.code == "feet long" and mark.start == earlier.end + 1


def _stock(note: Around, at: int) -> bool:
    """ "Three quarter by five sixteenths", "twenty by eight": bar that a shoe is made of."""
    marks = note.line.marks
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


def _hour_behind(note: Around, mark: Mark) -> bool:
    """ "From one o'clock to | three": the second hour of a stretch of the wall."""
    span, begin = mark.value, mark.start
    led = note.line.norm(begin - 1) in ("to", "and", "till") and (
        note.line.norm(begin - 2) in ("o'clock", "clock"))  # fmt: skip
    hour = span.unit is None and span.high is None and span.value in range(1, 13)
    return led and hour


def _nails(note: Around, mark: Mark, following: Mark) -> str:
    words = note.line.text(following)
    spoken = mark.value.spoken
    following.tags.add("used")
    if words in ("nail", "nails"):
        return f"nail_count:{int(mark.value.value)}"
    kind = words.replace(" nails", "").replace(" nail", "")
    return f"nails:{kind} {as_digits(mark.value.value, spoken)}"


_NO_MEASURE: tuple[tuple[Callable[[Around, int, Mark], bool], str], ...] = (
    (_ratio, "ratio"),
    (_counts_things, "counted"),
    (_money, "money"),
    (_feet_long, "feet long"),
    (_inches_beyond, "inches"),
)
"""What is asked in turn of a number that may measure nothing, and the code of each."""
