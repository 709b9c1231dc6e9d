"""Numbers that sound like a measure and are none: changes, bar stock, clocks, prices, ages.

``measures_nothing`` looks at the words around a number; ``in_range`` at what was made of it.
"""

from __future__ import annotations

from dataclasses import replace

from fieldlog.core.units import UNITS, Dimension, Unit
from fieldlog.language.values.kinds import Value, fits
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import HEADS, SIDES, Line

_STOCK = frozenset({"stock", "bar", "steel", "section", "web", "keg", "aluminium", "aluminum",
                    "iron", "concave", "round", "rim"})  # fmt: skip
_EXCESS = frozenset({"long", "short", "wide", "narrow", "high", "low", "deep"})
_SIZED = frozenset({"shoe", "shoes", "plate", "plates", "boot", "boots", "block", "blocks", "rasp"})
_PAID_FOR = frozenset({"both", "him", "her", "them", "fronts", "hinds", "pair", "set", "lot",
                       "team", "trim", "trims", "each", "two", "shoes", "shoeing", "everything",
                       "today", "petrol", "diesel", "gas", "fuel", "pads"})  # fmt: skip
_SMALL = frozenset({"the", "a", "all", "that", "this"})
_NO_HORSE = frozenset({"leg", "legs", "shoe", "shoes", "foot", "hoof", "bag", "bags", "bale",
                       "bales", "square", "plates", "plate", "anvil", "pressure", "leans",
                       "lean", "head", "hay", "feed",
                       "bucket", "carrots", "haynet", "net", "hammer", "soaked"})  # fmt: skip
_HORN = frozenset({"length", "toe", "heel", "sole", "angle", "foot", "horn", "wall", "height",
                   "depth", "growth", "hoof", "palmar"})  # fmt: skip
_COUNTS = frozenset({"horses", "ponies", "did", "done", "counted", "total"})
_STEEP = frozenset({"club", "clubby", "clubbed", "upright", "steep", "steeper", "angle", "angles",
                    "boxy"})  # fmt: skip
_AGED = frozenset({"now", "today", "next", "this", "soon", "and", "come"})
_TAPED = frozenset(
    {"weight", "tape", "tapes", "taped", "weighs", "weighed", "scales", "pounds", "kilos"}
)


def measures_nothing(line: Line, at: int, mark: Mark) -> str:
    """What the number is if it is no measure: the code of a count, or nothing."""
    if _by(line, at, mark) or _more_horn(line, mark) or _grown(line, at, mark):
        return "difference"
    if line.norm(mark.end) == "too" and line.norm(mark.end + 1) in _EXCESS:
        return "excess"  # "feet three inches too long"
    if _bar(line, mark):
        return "stock"
    if _time_of_day(line, mark):
        return "clock"
    if line.norm(mark.start - 1) == "of" and line.norm(mark.start - 2) == "out":
        return "of"
    lead = {line.norm(i) for i in range(mark.start - 6, mark.start)}
    if "between" in lead and "bulbs" in lead and mark.number.unit is not Unit.DEGREE:
        return "distance"
    if mark.number.unit is not None:
        return "percent" if mark.number.unit is Unit.PERCENT else ""
    if _that_is(line, at, mark):
        return "difference"
    if line.norm(mark.end) in ("feet", "hooves", "horses", "ponies", "head") and lead & _COUNTS:
        return "count"
    if _price(line, at, mark):
        return "money"
    return "age" if _age(line, at, mark) else ""


def in_range(line: Line, mark: Mark, value: Value) -> Value | None:
    """The value if such a measure can be that large; an angle that was taken for a length."""
    quantity = value.quantity
    base = UNITS[quantity.unit].to_base
    if value.kind == "height" and not quantity.unit_inferred and quantity.value * base < 300:
        return None  # "when she stands on it, maybe half a millimetre"
    if value.kind in ("body_length", "girth", "neck") and not quantity.unit_inferred:
        return value if quantity.value * base >= 300 else None
    if value.kind == "weight":
        if not quantity.unit_inferred and quantity.value * base < 25:
            return None
        around = {line.norm(i) for i in range(mark.start - 7, mark.end + 4)}
        return None if around & _NO_HORSE else value
    if value.kind not in ("toe_length", "heel_length", "hoof_length", "hoof_width"):
        if value.kind == "toe_angle" and quantity.unit_inferred and quantity.value > 68:
            around = {line.norm(i) for i in range(mark.start - 10, mark.end + 8)}
            return value if around & _STEEP else _as_length(value)
        return value
    if any(fits(value.kind, quantity.value * by, quantity.unit) for by in (1, 1.5, 0.5)):
        return value
    if value.kind == "toe_length" and quantity.unit_inferred and 38 <= quantity.value <= 65:
        turned = replace(quantity, unit=Unit.DEGREE)
        return replace(value, kind="toe_angle", quantity=turned, rivals=[])
    return None if value.rule != "measure:value_after" else value


def _as_length(value: Value) -> Value:
    """ "Feet at seventy-four and seventy-five": too steep for a foot that nobody remarks on."""
    if value.rule == "measure:value_after" or not fits("toe_length", value.quantity.value, Unit.MM):
        return value
    rivals = [("toe_angle", Unit.DEGREE)]
    length = replace(value.quantity, unit=Unit.MM)
    return replace(value, kind="toe_length", quantity=length, rivals=rivals)


def one_side(line: Line, mark: Mark) -> bool:
    """ "Thirty-four at the inside heel": a heel of one side has a length, never an angle."""
    near = [*range(mark.start - 4, mark.start), *range(mark.end, mark.end + 4)]
    last = [m for m in line.marks if m.kind == "value" and m.end <= mark.start][-1:]
    if last and last[0].code == "heel_length" and mark.start - last[0].end <= 3:
        return bool(0.7 <= mark.number.value / max(last[0].value.quantity.value, 0.01) <= 1.4)
    behind = mark.end + 2 * (line.norm(mark.end) in ("on", "at"))
    return line.norm(behind) in SIDES or any(
        line.norm(i) in SIDES and line.norm(i + 1) in ("heel", "heels", "'s", "is") for i in near
    )


def _by(line: Line, at: int, mark: Mark) -> bool:
    """ "Longer by two mil": by how much, unless it is the second side of a hoof."""
    if line.norm(mark.start - 1) != "by":
        return False
    before = line.marks[max(0, at - 4) : at]
    if any(m.number is not None and mark.start - m.end <= 4 for m in before):
        return False
    return not any(
        (m.kind == "work" or m.code in _BY_SO_MUCH) and mark.start - m.end <= 6 for m in before
    )


_BY_SO_MUCH = frozenset({"long_toe", "imbalance", "sheared_heel"})
"""What is told by how much it is so."""


def _more_horn(line: Line, mark: Mark) -> bool:
    """ "Eight mil more length on him now"."""
    more = line.norm(mark.end) in ("more", "less", "extra")
    return more and line.norm(mark.end + 1) in (*_HORN, "off", "in", "since")


def _grown(line: Line, at: int, mark: Mark) -> bool:
    """ "Her toe grew five mil in thirty days and the heel three"."""
    if mark.number.value > 25 or mark.number.unit not in (None, Unit.MM):
        return False
    if mark.number.unit is None and not float(mark.number.value).is_integer():
        return False
    counted = [m for m in line.marks[:at] if m.kind == "count" and m.code == "difference"]
    return any(
        line.norm(m.start - 1) in ("grew", "grown", "grows") and mark.start - m.end <= 10
        for m in counted
    )


def _that_is(line: Line, at: int, mark: Mark) -> bool:
    """ "Thirty-nine, lateral thirty-four, that's five": what lies between the two before."""
    if line.norm(mark.start - 1) not in ("'s", "is") or line.norm(mark.start - 2) != "that":
        return False
    lately = [m for m in line.marks[:at] if m.kind == "value"][-2:]
    if len(lately) < 2 or lately[0].code != lately[1].code:
        return False
    apart = abs(lately[0].value.quantity.value - lately[1].value.quantity.value)
    return bool(abs(apart - mark.number.value) < 0.01)


def _bar(line: Line, mark: Mark) -> bool:
    """ "Eighteen mil wide stock", "twenty-two by eight section"."""
    unit = mark.number.unit
    if unit is not None and UNITS[unit].dimension is not Dimension.LENGTH:
        return False
    behind = [line.norm(i) for i in range(mark.end, mark.end + 2)]
    if unit is not None and behind[0] in _SIZED:
        return True  # "a hundred and thirty-two mil shoe"
    if behind[0] in _STOCK or (behind[0] in ("wide", "thick", "square") and behind[1] in _STOCK):
        return True
    last = [
        m for m in line.marks if m.kind == "count" and m.code == "stock" and m.end <= mark.start
    ]
    return (
        bool(last)
        and mark.start - last[-1].end <= 6
        and (0.6 <= mark.number.value / max(last[-1].number.value, 0.01) <= 1.6)
    )


def _time_of_day(line: Line, mark: Mark) -> bool:
    """ "At eleven sharp", "at six thirty", "clock reads with twelve at the toe"."""
    span = mark.number
    if span.unit is not None or span.form != "plain" or not 1 <= span.value <= 12:
        return False
    if "clock" in {line.norm(i) for i in range(mark.start - 5, mark.start)}:
        return True
    if line.norm(mark.start - 1) not in ("at", "around", "till", "until", "by"):
        return False
    if line.norm(mark.end) in ("sharp", "am", "pm", "ish"):
        return True
    follower = next((m for m in line.marks if m.number is not None and m.start == mark.end), None)
    if follower is None or follower.number.unit is not None:
        return False
    minutes = follower.number.value in (5, 10, 15, 20, 25, 30, 35, 40, 45, 50, 55)
    if not minutes or {line.norm(i) for i in range(mark.start - 8, follower.end + 5)} & _TAPED:
        return False
    follower.kind, follower.code = "count", "minutes"
    return True


def _price(line: Line, at: int, mark: Mark) -> bool:
    """ "Happy with her, sixty for both", "sixty-five for fronts"."""
    span = mark.number
    if span.form != "plain" or span.value % 5 or span.value < 25:
        return False
    if line.norm(mark.end) != "for":
        return False
    target = mark.end + 1
    while line.norm(target) in _SMALL:
        target += 1
    if line.norm(target) not in _PAID_FOR:
        return False
    for other in line.marks[max(0, at - 5) : at]:
        if other.kind == "measure" and mark.start - other.end <= 4:
            return False
        near = other.kind == "value" and mark.start - other.end <= 6
        if near and 0.8 <= span.value / max(other.value.quantity.value, 0.01) <= 1.25:
            return False
    return not any(m.kind == "place" and mark.start - m.end in (0, 1, 2) for m in line.marks[:at])


def _age(line: Line, at: int, mark: Mark) -> bool:
    """ "She's fifty now", "he's forty this year": somebody, where no foot has a value yet."""
    if mark.number.form != "plain" or line.norm(mark.end) not in _AGED:
        return False
    verb, who = line.norm(mark.start - 1), line.norm(mark.start - 2)
    if verb not in ("'s", "is", "turned", "turns", "turning", "be") or who not in ("he", "she"):
        return False
    after = line.norm(mark.end)
    if after == "this":
        return line.norm(mark.end + 1) in ("year", "month", "winter", "summer", "spring")
    if after in ("next", "come"):
        return True
    return after in ("now", "today") and not any(
        m.kind in ("value", *HEADS) and m.kind != "work" for m in line.marks[:at]
    )
