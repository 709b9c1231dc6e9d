"""Whether a speaker says the foot before or behind what is said of it, within one sentence.

"Left front thrush, right front clean" and "thrush left front, flare right front" differ in order
only; a recogniser writes neither commas nor full stops. What the first and the last words of the
stretch are, a foot or a thing said of it, decides for the bare feet between.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from fieldlog.language.words.marks import ALL_FOUR, PAIRS, Mark
from fieldlog.language.words.units_said import Line

_THINGS = frozenset({"pads", "pad", "packing", "clips", "shoes", "plates", "nails", "nail",
                     "wedges", "wedge", "set", "new", "leather", "bars", "in", "stuff",
                     "one"})  # fmt: skip
_SAID_OF_FEET = frozenset({"finding", "work", "value", "change"})
SIDES = frozenset({"left", "right"})


def names_thing(line: Line, head: Mark) -> bool:
    """ "Two degree wedge", "new pads": a job told by a thing takes no foot as its object."""
    return head.kind == "work" and line.norm(head.end - 1) in _THINGS


def is_heading(pair: Mark, later: Sequence[Mark]) -> bool:
    """ "Fronts, left fifty-two, right fifty-four": the pair only says which end the sides are of.

    Args:
        pair: a foot mark.
        later: the foot marks behind it in the sentence.
    """
    return "+" in pair.code and bool(later) and later[0].code in SIDES


def behind(marks: Sequence[Mark]) -> bool:
    """True if the feet of these marks of one sentence stand behind what is said of them."""
    all_four = [m for m in marks if m.code == ALL_FOUR]
    starts = {m.start for m in marks if m.kind == "foot"}
    jobs = {
        id(m)
        for m in marks
        if m.kind == "work"
        for f in all_four
        if 0 <= f.start - m.end <= 1
        or (0 <= m.start - f.end <= 1 and not starts & {m.end, m.end + 1})
    }
    marks = [m for m in marks if m.code != ALL_FOUR and id(m) not in jobs]
    feet = [m for m in marks if m.kind == "foot" and "compared" not in m.tags]
    headings = {id(m) for at, m in enumerate(feet) if is_heading(m, feet[at + 1 : at + 2])}
    order = [
        m.kind == "foot"
        for m in marks
        if (m.kind == "foot" and id(m) not in headings and "compared" not in m.tags)
        or (m.kind in _SAID_OF_FEET and (m.item is None or m.item.per != "horse"))
    ]
    return len(order) > 1 and not order[0] and order[-1]


def pairs_in_order(line: Line) -> None:
    """ "Hinds fifty-six and fifty-five": two unlike values of a pair, left first (a guess)."""
    values = [m for m in line.marks if m.kind == "value"]
    for first, second in pairwise(values):
        between = {line.norm(i) for i in range(first.end, second.start)}
        same = first.code == second.code and not {*first.tags, *second.tags}
        if not same or not between <= {"and", ",", "then"} or not _unlike(first, second):
            continue
        after = line.norm(second.end)
        back = [m for m in line.marks if m.kind == "foot" and m.end <= first.start]
        ahead = [m for m in line.marks if m.kind == "foot" and 0 <= m.start - second.end <= 1]
        led = back[-1] if back and not any(
            m.kind == "value" for m in line.marks if back[-1].end <= m.start < first.start
        ) else None  # fmt: skip
        behind_it = ahead[0] if ahead and not line.break_at(second.end) else None
        pair = next((m for m in (led, behind_it) if m is not None and m.code in PAIRS), None)
        if pair is None:
            continue
        if after not in ("to", "or"):
            first.tags |= {"side:left", "order_guessed", f"pair:{pair.code}"}
            second.tags |= {"side:right", "order_guessed", f"pair:{pair.code}"}


def _unlike(first: Mark, second: Mark) -> bool:
    return bool(first.value.quantity.value != second.value.quantity.value)
