"""A finding's size beside the one that it had: "thirty mil, down from forty", "eight, was twelve",
"was two inches, now it's one and a half".

What is there now is smaller or larger, and the size of before is a fact of earlier of its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fieldlog.core.facts import Comparison, Fact, FactKind, Trend, new_id
from fieldlog.core.units import UNITS, Dimension, Unit
from fieldlog.language.values.kinds import quantity_of
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import Line, UnitSaid

_MOVED = frozenset({"down", "up", "back", "come", "gone", "grown", "reduced", "is", "'s", "it",
                    "from", ","})  # fmt: skip
_WAS = frozenset({"was", "were"})
_APART = 8
"""Words between the size of before and that of now."""
_COME_TO = (["down", "to"], ["up", "to"], ["back", "to"])
_NONE = frozenset({"normal", "change", "better_shape", "not_examined", "lands_flat"})
_MILS = 5
"""A bare number from which a size is told in millimetres: nobody has a crack of six inches."""


def with_size_before(line: Line, unit: UnitSaid, fact: Fact) -> list[Fact]:
    """The finding as it is now, and as it was if its size of before was said.

    Args:
        line: words and marks.
        unit: the finding's words.
        fact: the finding that was made of them.
    """
    if fact.kind is not FactKind.FINDING or fact.negated or fact.code in _NONE:
        return [fact]
    numbers = [m for m in line.marks if m.number is not None
               and unit.head.end <= m.start < unit.end]  # fmt: skip
    old = next((m for m in numbers if _of_before(line, m) or _until_now(line, m, numbers)), None)
    if old is None:
        return [fact]
    now = next((m for m in numbers if m is not old and _is_now(line, m, old)), None)
    length = _unit(old, now, fact)
    moved = line.norm(old.start - 2) in ("down", "up")
    deep = any(line.norm(i) in ("deep", "depth") for i in range(unit.head.end, old.end + 1))
    if length is None or deep or (now is None and not moved):
        return [fact]  # a depth is a measure of its own
    was = quantity_of(old.number, length, old.number.unit is None)
    size = None
    if now is not None:
        size = quantity_of(now.number, length, now.number.unit is None)
    elif fact.quantity is not None and fact.quantity.value != old.number.value:
        size = fact.quantity
    words = line.words
    before = replace(
        fact, id=new_id(), quantity=was, historical=True, comparison=None, severity=None,
        span=(words[old.start].start, words[old.end - 1].end),
    )  # fmt: skip
    trend = _trend(line, old, size.value if size is not None else None)
    told = replace(fact, quantity=size, historical=False)
    if trend is not None and fact.comparison is None:
        told = replace(told, comparison=Comparison(trend))
    return [told, before]


def _led_by(line: Line, number: Mark) -> int:
    """The word before a number, whatever makes it vague."""
    at = number.start - 1
    while line.norm(at) in ("about", "a", "around", "nearly"):
        at -= 1
    return at


def _until_now(line: Line, number: Mark, numbers: Sequence[Mark]) -> bool:
    """ "Was two inches last time and it's one and a half now", "was half an inch, it's down to a
    quarter": what something was, and behind it what it is now."""
    if line.norm(_led_by(line, number)) not in _WAS:
        return False
    return any(m.start > number.end and _is_now(line, m, number) for m in numbers)


def _of_before(line: Line, number: Mark) -> bool:
    """ "Down from forty mil", "was twelve"."""
    at = _led_by(line, number)
    if line.norm(at) in _WAS:
        led = line.break_at(at - 1) or line.norm(at - 1) in ("it", "and", "that", "which", "now")
        foot = next((m for m in line.marks if m.kind == "foot" and m.end == at), None)
        at = foot.start if foot is not None else at  # "eight mil left front | was twelve"
        return led or any(m.number is not None and m.end == at for m in line.marks)
    return line.norm(at) == "from" and line.norm(at - 1) in ("down", "up")


def _is_now(line: Line, number: Mark, old: Mark) -> bool:
    """The size before "down from forty", or behind it: "down from forty to thirty", "was forty,
    now it's thirty"."""
    if number.start > old.end:
        if number.start - old.end == 1 and line.norm(old.end) == "to":
            return True
        behind = [line.norm(i) for i in range(old.end, number.start)]
        if len(behind) > _APART or line.norm(_led_by(line, old)) not in _WAS:
            return False
        return "now" in (*behind, line.norm(number.end)) or behind[-2:] in _COME_TO
    between = {line.norm(i) for i in range(number.end, old.start)}
    return old.start - number.end <= 5 and bool(between & (_MOVED | _WAS))


def _unit(old: Mark, now: Mark | None, fact: Fact) -> Unit | None:
    """The unit of the old size: its own, that of the new one, or parts of an inch."""
    said = [m.number.unit for m in (old, now) if m is not None and m.number.unit is not None]
    if fact.quantity is not None:
        said.append(fact.quantity.unit)
    unit = said[0] if said else None
    if unit is None:
        parts = old.number.form == "fraction"
        return Unit.INCH if parts else Unit.MM if old.number.value >= _MILS else None
    return unit if UNITS[unit].dimension is Dimension.LENGTH else None


def _trend(line: Line, old: Mark, now: float | None) -> Trend | None:
    at = old.start - 2
    if now is not None and now != old.number.value:
        return Trend.SMALLER if now < old.number.value else Trend.LARGER
    if line.norm(at) == "down":
        return Trend.SMALLER
    return Trend.LARGER if line.norm(at) == "up" else None
