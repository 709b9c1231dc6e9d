"""What numbers say to each other: ranges, values set against values, units that are shared."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from fieldlog.core.units import UNITS, Dimension, Quantity, Unit
from fieldlog.language.lexicon import find_item
from fieldlog.language.values.kinds import Value, dimension_of, fits
from fieldlog.language.values.lists import FOUR, order_told
from fieldlog.language.words.marks import ALL_FOUR, PAIRS, Mark
from fieldlog.language.words.units_said import Line


def join_ranges(line: Line) -> None:
    """ "Between fifty and fifty-two degrees"."""
    numbers = [m for m in line.marks if m.kind == "number"]
    for low, high in pairwise(numbers):
        joined = line.norm(low.end) == "and" and high.start == low.end + 1
        if joined and line.norm(low.start - 1) == "between":
            span = low.number
            low.value = low.number = replace(
                span,
                high=high.number.value,
                unit=high.number.unit or span.unit,
                form="range",
            )
            low.end = high.end
            high.kind, high.code = "count", "range"


_TAPED = frozenset({"toe", "heel", "frog", "hoof", "toe_length", "heel_length", "heel_height",
                    "frog_width", "frog_length", "hoof_width", "hoof_length"})  # fmt: skip


def join_tenths(line: Line) -> None:
    """ "Toe nine one, heel three four": centimetres and tenths, as a tape is read out.

    Who reads one out so reads all of them so.
    """
    pairs = [(a, b) for a, b in pairwise(line.marks) if _tenths(line, a, b)]
    if not any(_taped(line, whole) for whole, _ in pairs):
        return
    for whole, tenth in pairs:
        one, two = whole.number, tenth.number
        whole.value = whole.number = replace(
            one, value=one.value + two.value / 10, end=two.end, form="tenths", unit=Unit.CM,
            spoken=f"{one.spoken} {two.spoken}",
        )  # fmt: skip
        whole.end = tenth.end
    gone = {id(tenth) for _, tenth in pairs}
    line.marks = [m for m in line.marks if id(m) not in gone]


def _tenths(line: Line, whole: Mark, tenth: Mark) -> bool:
    if whole.kind != "number" or tenth.kind != "number" or tenth.start != whole.end:
        return False
    one, two = whole.number, tenth.number
    plain = one.form == two.form == "plain" and one.unit is None and two.unit is None
    more = any(m.kind == "number" and m.start == tenth.end for m in line.marks)
    before = any(m.kind == "number" and m.end == whole.start for m in line.marks)
    small = 1 <= one.value <= 15 and 0 <= two.value <= 9 and float(one.value).is_integer()
    return plain and small and not more and not before


def _taped(line: Line, whole: Mark) -> bool:
    earlier = (m for m in reversed(line.marks) if m.end <= whole.start and m.kind != "role")
    cue = next(earlier, None)
    if cue is None:
        return False
    likely = 6 <= whole.number.value <= 14
    if whole.start - cue.end > (5 if likely else 2):
        return False
    return cue.code in _TAPED or (cue.kind == "foot" and likely and whole.start - cue.end <= 2)


def set_against(line: Line) -> None:
    """ "Fifty-eight against fifty-two": the second value is the other foot's."""
    values = [m for m in line.marks if m.kind == "value"]
    for left, right in pairwise(values):
        words = {line.norm(i) for i in range(left.end, right.start)}
        if left.code == right.code and words & {"against", "versus", "vs"}:
            right.tags.add("versus")


def feet_in_order(line: Line) -> None:
    """ "Heels forty-four, forty-four, forty, forty-one"; "fronts ninety and ninety, fifty-two ...".

    Four like values in a row are of the four feet, left front first; two in a row behind the name
    of a pair are its left and its right. Both orders are taken, and asked about.
    """
    values = [m for m in line.marks if m.kind == "value" and _of_a_foot(m)]
    run: list[Mark] = []
    for mark in [*values, None]:
        if mark is not None and (not run or _next_to(line, run[-1], mark)):
            run.append(mark)
            continue
        _order(line, run)
        run = [mark] if mark is not None else []


def _of_a_foot(mark: Mark) -> bool:
    item = find_item(mark.code, "measure")
    return item is not None and item.per == "foot" and not mark.tags - {"order"}


def _next_to(line: Line, left: Mark, right: Mark) -> bool:
    between = {line.norm(i) for i in range(left.end, right.start)}
    ratio = left.value.quantity.value / max(right.value.quantity.value, 0.01)
    return left.code == right.code and between <= {"and", ",", "|"} and 0.8 <= ratio <= 1.25


def _order(line: Line, run: list[Mark]) -> None:
    if len(run) not in (2, 4):
        return
    feet = [m for m in line.marks if m.kind == "foot" and m.end <= run[0].start]
    named = feet[-1] if feet else None
    behind = any(m.kind == "foot" and 0 <= m.start - run[-1].end <= 1 for m in line.marks)
    near = named is not None and run[0].start - named.end <= 14
    if behind or (near and named is not None and set(line.text(named).split()) & {"both", "each"}):
        return
    if len(run) == 4:
        told = order_told(line, run[0])
        if near and named is not None and named.code != ALL_FOUR and not told:
            return
        for mark, foot in zip(run, told or FOUR, strict=True):
            mark.tags |= {f"feet:{foot}", "order"}
    elif near and named is not None and named.code in PAIRS:
        if line.norm(run[0].start - 1) in ("from", "was") or line.norm(run[-1].end) == "now":
            return
        run[0].tags |= {"side:left", "order"}
        run[1].tags |= {"side:right", "order"}


def sides_in_order(line: Line) -> None:
    """ "Fifty-one and fifty-two, left then right": the sides said after two like values."""
    values = [m for m in line.marks if m.kind == "value"]
    for first, second in pairwise(values):
        between = {line.norm(i) for i in range(first.end, second.start)}
        if first.code != second.code or not between <= {"and", ",", "a", "then"}:
            continue
        if first.tags | second.tags:
            continue
        feet = [m for m in line.marks if m.kind == "foot" and 0 <= m.start - second.end <= 5]
        if _pair_alone(line, first, second):
            first.tags |= {"side:left", "order"}
            second.tags |= {"side:right", "order"}
            continue
        words = [line.norm(i) for i in range(second.end, feet[-1].end)] if feet else []
        order = [w for w in words if w in ("left", "right", "near", "off")]
        beside = any(m.kind == "foot" and m.end == first.start for m in line.marks)
        if not order and not feet and not beside and _ends_before(line, first):
            first.tags.add("feet:LF+RF")
            second.tags.add("feet:LH+RH")
            continue
        if not order and not feet and (named := pair_before(line, first)):
            first.tags.add(f"side:{named[0]}")
            second.tags.add(f"side:{named[1]}")
            continue
        if len(order) != 2 or set(words) - {*order, "then", "and", ",", "|", "to"}:
            continue
        for mark, word in zip((first, second), order, strict=True):
            mark.tags.add("side:left" if word in ("left", "near") else "side:right")
        line.marks = [m for m in line.marks if m not in feet]


def _pair_alone(line: Line, first: Mark, second: Mark) -> bool:
    """ "Hinds are fifty-five, fifty-six": two values for a pair, the left one first."""
    begin, end = next((a, b) for a, b in line.sentences() if a <= first.start < b)
    said = [m for m in line.marks if m.kind == "foot" and begin <= m.start < end]
    if len(said) != 1 or said[0].code not in PAIRS or "both" in line.text(said[0]):
        return False
    pair = said[0]
    near = 0 <= first.start - pair.end <= 4 or 0 <= pair.start - second.end <= 2
    others = [m for m in line.marks if m.kind == "value" and begin <= m.start < end]
    old = {line.norm(first.start - 1), line.norm(second.end)} & {
        "was",
        "from",
        "now",
        "today",
        "after",
    }
    like = 0.8 <= first.value.quantity.value / max(second.value.quantity.value, 0.01) <= 1.25
    return near and not old and like and len(others) == 2


def _ends_before(line: Line, value: Mark) -> bool:
    """ "Fronts three and a half, hinds three and a quarter, angles fifty-two and fifty-five"."""
    begin = line.sentence_begin(value.start)
    feet = [m for m in line.marks if m.kind == "foot" and begin <= m.start < value.start]
    told = feet and any(
        m.kind == "value" and feet[-1].end <= m.start < value.start for m in line.marks
    )
    return bool(told) and [m.code for m in feet] == ["LF+RF", "LH+RH"]


def pair_before(line: Line, value: Mark) -> tuple[str, str] | None:
    """The sides of the two feet of one end named last, if nothing else was named since."""
    feet = [m for m in line.marks if m.kind == "foot" and m.end <= value.start][-2:]
    codes = [m.code for m in feet]
    if feet and feet[-1].end == value.start:
        return None  # "near fore forty-five and fifty, off fore forty-four and fifty-one"
    if codes in (["left", "right"], ["right", "left"]):
        return codes[0], codes[1]
    if len(codes) == 2 and codes[0] in ("LF", "RF", "LH", "RH") and codes[1] in ("left", "right"):
        codes[1] = ("L" if codes[1] == "left" else "R") + codes[0][1]
    if len(codes) == 2 and {*codes} in ({"LF", "RF"}, {"LH", "RH"}):
        first, second = ("left" if c[0] == "L" else "right" for c in codes)
        return first, second
    return None


def share_units(line: Line) -> None:
    """A unit said beside a like value counts for its neighbours too."""
    values = [m for m in line.marks if m.kind == "value"]
    for at, mark in enumerate(values):
        value: Value = mark.value
        if not value.quantity.unit_inferred:
            continue
        alike = [m for m in values[:at] if m.code == mark.code]
        beside = (*values[at + 1 : at + 3], *reversed(values[max(0, at - 2) : at]))
        for other in (*beside, *reversed(alike)):
            near: Quantity = other.value.quantity
            ratio = value.quantity.value / max(near.value, 0.01)
            if (
                near.unit_inferred
                or UNITS[near.unit].dimension is not dimension_of(value.kind)
                or near.unit is value.quantity.unit
                or not 0.5 <= ratio <= 2
                or not (0.8 <= ratio <= 1.2 or fits(value.kind, value.quantity.value, near.unit))
            ):
                continue
            old = value.quantity
            value.rivals.insert(0, (value.kind, old.unit))
            value.quantity = Quantity(old.value, near.unit, old.high, old.approximate, True,
                                      old.qualifier, old.spoken)  # fmt: skip
            break


def unit_beside(line: Line, mark: Mark) -> Unit | None:
    """The small metric unit said with a like number just before: "eight mil at the toe, seven"."""
    earlier = [m for m in line.marks if m.number is not None and m.end <= mark.start][-1:]
    if not earlier or mark.start - earlier[0].end > 6 or earlier[0].number.unit is not Unit.MM:
        return None
    like = 0.4 <= mark.number.value / max(earlier[0].number.value, 0.01) <= 2.5
    return Unit.MM if like and earlier[0].number.value < 20 else None


def length_before(line: Line, mark: Mark) -> bool:
    """The value just before is a length of like size, with its unit said."""
    earlier = [m for m in line.marks if m.kind == "value" and m.end <= mark.start][-1:]
    if not earlier or mark.start - earlier[0].end > 4:
        return False
    near: Quantity = earlier[0].value.quantity
    return (
        not near.unit_inferred
        and UNITS[near.unit].dimension is Dimension.LENGTH
        and 0.7 <= mark.value.value / max(near.value, 0.01) <= 1.5
    )


def length_follows(line: Line, mark: Mark) -> bool:
    """The next number is a length of like size ("forty-one, outside thirty-six mil")."""
    for other in line.marks:
        if other.kind == "number" and 0 < other.start - mark.end <= 4:
            unit = other.number.unit
            return (
                unit is not None
                and UNITS[unit].dimension is Dimension.LENGTH
                and 0.5 <= mark.value.value / max(other.number.value, 0.01) <= 2
            )
    return False


def width_before(line: Line, mark: Mark) -> bool:
    """ "Width five, length five and a quarter": the length of the same hoof."""
    values = [m for m in line.marks if m.kind == "value" and m.end <= mark.start]
    if not values or values[-1].code != "hoof_width":
        return False
    return not any(line.words[i].sort == "stop" for i in range(values[-1].end, mark.start))
