"""A job done in steps: "an eighth today, another eighth next time" is two facts, one still to come.

Rules that build units see one job with two amounts and two times there, the network a plan. Here
the words are read once more, when all else is told: an amount, a word for today, a second amount
and a time to come beside it. Only a job that something told already is parted; none is made up.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from fieldlog.core.facts import Due, Fact, FactKind, new_id
from fieldlog.core.units import UNITS, Dimension, Quantity, Unit
from fieldlog.language.numbers.spoken import NumberSpan
from fieldlog.language.opinion.heard import Span
from fieldlog.language.values.kinds import quantity_of

_JOBS = frozenset({"lower_heel", "shorten_toe", "set_back_toe", "dress_flare", "raise_heel",
                   "balance", "roll_toe"})  # fmt: skip
"""Work of which an amount is taken off, or put on, by degrees."""
_NOW = re.compile(r"\b(?:today|now|this (?:time|trip|visit|trim|morning|go))\b", re.IGNORECASE)
_LINK = re.compile(
    r"(?:[ ,;]|\b(?:not more|no more|not all(?: of it)?|and|then|i'll|we'll|i will|will|do|take"
    r"|go|drop|bring|come|another|the|other"
    r"|a|an|i|with|off|for|maybe|plus)\b)*",
    re.IGNORECASE,
)
"""What may stand between the word for today and the second amount."""
_LEAD = re.compile(r"[ ,;]*(?:(?:and|then|i'll do|i'll take|we'll do|take|do) )*", re.IGNORECASE)
_TAIL = re.compile(
    r"(?:[ ,]|\b(?:more|off|again|of it|it|at|on|in|come|to come|to go|from it|the)\b)*",
    re.IGNORECASE,
)
"""What may stand between the second amount and its time."""
_AS_MUCH = re.compile(
    r"(?:the )?(?:same(?: again)?|as much(?: again)?|(?P<rest>rest)"
    r"|(?:other |an? |another )?(?P<part>half|quarter|eighth|sixteenth)"
    r"(?: (?:an |of an )?inch)?)\b",
    re.IGNORECASE,
)
_PARTS = {"half": 0.5, "quarter": 0.25, "eighth": 0.125, "sixteenth": 0.0625}
_NEXT = re.compile(r"\bnext (?:time|visit|trip|trim|go|round|one)\b", re.IGNORECASE)
_REACH = 45
"""Characters between the first amount and the word for today."""
_BARE = re.compile(
    r"(?:^|[.,;] |\b(?:and|so|then|an?|took|take|did|do) )(?P<part>half|quarter|eighth|sixteenth)"
    r"(?: inch| of an inch)?(?: of (?:it|that|this))?(?: off(?: it| that| them)?)?[ ,]*$",
    re.IGNORECASE,
)
""" "Eighth off it today", "half of that today"."""
_BACK = 160
"""Characters before the first amount in which its job is told, if not beside it."""
_LEAST_MM = 2.0
"""Whole numbers from here on are millimetres where no unit was spoken: nobody takes two inches."""


@dataclass(frozen=True, slots=True)
class _Step:
    """The words of two steps of a job."""

    first: NumberSpan
    now: Span
    second: NumberSpan | None
    """None for "the same again" and "the rest"."""
    rest: bool
    due: Due
    end: int


def with_stages(
    facts: Sequence[Fact],
    text: str,
    numbers: Sequence[NumberSpan],
    times: Sequence[tuple[Span, Due]],
) -> list[Fact]:
    """The facts; a job told with an amount of today and one of later is told twice.

    Args:
        facts: what is told.
        text: the note.
        numbers: its numbers, in order.
        times: its times and their characters.
    """
    out = list(facts)
    times = _with_next(text, times)
    for now in _NOW.finditer(text):
        step = _step(text, now.span(), numbers, times)
        host = _host(out, step, text) if step is not None else None
        if step is not None and host is not None:
            out = _parted(out, host, step, text, numbers)
    return [_of_this_visit(fact) for fact in out]


def _of_this_visit(fact: Fact) -> Fact:
    """ "The plan's this: today a quarter off": what is done today is no plan, and by degrees is
    not by tonight."""
    due = fact.due
    if due is None or not _NOW.fullmatch(due.spoken.strip(" ,.")):
        return fact
    if fact.code == "staged_correction":
        return replace(fact, due=None)
    done = fact.kind is FactKind.WORK and not fact.negated and fact.code in _JOBS
    return replace(fact, planned=False, due=None) if done else fact


def _with_next(text: str, times: Sequence[tuple[Span, Due]]) -> list[tuple[Span, Due]]:
    """The times with each "next time" that a longer pattern took, in order."""
    said = [
        (m.span(), Due(spoken=m[0], anchor="next_visit"))
        for m in _NEXT.finditer(text)
        if not any(first < m.end() and m.start() < last for (first, last), _ in times)
    ]
    return sorted([*times, *said], key=lambda one: one[0])


def _step(
    text: str, now: Span, numbers: Sequence[NumberSpan], times: Sequence[tuple[Span, Due]]
) -> _Step | None:
    first = _first(text, now, numbers)
    later = [(span, due) for span, due in times if span[0] >= now[1] and _to_come(due)]
    if first is None or not later:
        return None
    (start, end), due = later[0]
    found = _second(text, now[1], start, numbers)
    if found is not None:
        return _Step(first, now, *found, due, end)
    if _LINK.fullmatch(text[now[1] : start].replace(".", " ")):
        behind = [n for n in numbers if n.start >= end and _measures(n)][:1]
        if behind and _LINK.fullmatch(text, end, behind[0].start):
            return _Step(first, now, behind[0], False, due, behind[0].end)
    return None


def _to_come(due: Due) -> bool:
    if _NOW.fullmatch(due.spoken.strip(" ,.")):
        return False
    return due.anchor == "next_visit" or bool(due.period) or due.on is not None


def _first(text: str, now: Span, numbers: Sequence[NumberSpan]) -> NumberSpan | None:
    """The amount of today: the last number before the word for today, or a bare "eighth"."""
    before = [n for n in numbers if n.end <= now[0] and _measures(n)]
    near = before and now[0] - before[-1].end <= _REACH
    if near and not _ends(text[before[-1].end : now[0]]):
        return before[-1]
    bare = _BARE.search(text, max(0, now[0] - _REACH), now[0])
    if bare is None:
        return None
    return NumberSpan(*bare.span("part"), _PARTS[bare["part"].lower()], spoken=bare["part"])


def _second(
    text: str, low: int, high: int, numbers: Sequence[NumberSpan]
) -> tuple[NumberSpan | None, bool] | None:
    """The second amount, if nothing else is said between today and the time to come."""
    inside = [n for n in numbers if low <= n.start and n.end <= high and _measures(n)]
    if len(inside) == 1:
        linked = _LINK.fullmatch(text, low, inside[0].start)
        return (inside[0], False) if linked and _TAIL.fullmatch(text, inside[0].end, high) else None
    lead = _LEAD.match(text, low)
    alike = _AS_MUCH.match(text, lead.end() if lead else low)
    if inside or alike is None or not _TAIL.fullmatch(text, alike.end(), high):
        return None
    part = alike["part"]
    if part:
        value = _PARTS[part.lower()]
        return NumberSpan(*alike.span(), value, spoken=alike[0]), False
    return None, bool(alike["rest"])


def _measures(number: NumberSpan) -> bool:
    return number.unit is None or UNITS[number.unit].dimension is Dimension.LENGTH


def _ends(between: str) -> bool:
    return re.search(r"[.;?!]", between) is not None


def _host(facts: Sequence[Fact], step: _Step, text: str) -> Fact | None:
    """The job that the amounts are of: beside them, else the last one told before."""
    jobs = [f for f in facts if f.kind is FactKind.WORK and f.code in _JOBS and not f.taught]
    jobs = [f for f in jobs if not f.negated and not f.historical]
    beside = [f for f in jobs if f.span[0] < step.end and step.first.start < f.span[1]]
    if beside:
        return min(beside, key=lambda f: (f.only_heard, abs(f.span[0] - step.first.start)))
    before = [f for f in jobs if 0 <= step.first.start - f.span[1] <= _BACK]
    last = max(before, key=lambda f: f.span[1], default=None)
    if last is None or _ends(text[last.span[1] : step.first.start].rstrip(" .")):
        return None
    return last


def _parted(
    facts: Sequence[Fact], host: Fact, step: _Step, text: str, numbers: Sequence[NumberSpan]
) -> list[Fact]:
    """The facts with the host told of today and of later, and its amounts told nowhere else."""
    first = _amount(step.first, numbers, host.quantity)
    second = first if step.second is None else _amount(step.second, numbers, first)
    if step.rest:
        second = None
    of_it = re.match(r" (?:of (?:that|it|this))\b", text[step.first.end :], re.IGNORECASE)
    if of_it:  # "half an inch too high. Half of that today, half in a month"
        first = second = _share(step, numbers)
    today = replace(host, quantity=first, planned=False, due=None)
    later = replace(
        today, id=new_id(), quantity=second, planned=True, due=step.due,
        span=(step.now[1] + 1 if step.second is None else step.second.start, step.end),
    )  # fmt: skip
    out = []
    for fact in facts:
        if fact is host:
            out += [today, later]
        elif not _said_there(fact, host, step):
            out.append(fact)
    return out


def _said_there(fact: Fact, host: Fact, step: _Step) -> bool:
    """Whether a fact only tells the same steps once more."""
    if not (fact.span[0] < step.end and step.first.start < fact.span[1]):
        return False
    if fact.code == "taken_off":
        return True
    alike = fact.code == host.code and (not fact.feet or set(fact.feet) <= set(host.feet))
    return alike and not fact.negated


def _amount(
    number: NumberSpan, numbers: Sequence[NumberSpan], like: Quantity | None
) -> Quantity | None:
    """The amount with its unit: the one spoken, else that of the other step, else by its size."""
    if number.unit is not None:
        return quantity_of(number, number.unit, inferred=False)
    said = [n.unit for n in numbers if n.start < number.start and n.unit and _measures(n)]
    whole = float(number.value).is_integer() and number.value >= _LEAST_MM
    unit = Unit.MM if whole else Unit.INCH
    if like is not None and UNITS[like.unit].dimension is Dimension.LENGTH and (
        (like.unit is Unit.INCH) == (not whole)
    ):  # fmt: skip
        unit = like.unit
    elif said and said[-1] is Unit.CM:
        unit = Unit.CM
    elif said and (said[-1] is not Unit.INCH) == whole:
        unit = said[-1]
    return quantity_of(number, unit, inferred=True)


def _share(step: _Step, numbers: Sequence[NumberSpan]) -> Quantity | None:
    """Half, or a quarter, of the last amount said before."""
    whole = [n for n in numbers if n.end <= step.first.start and n.unit is not None]
    if not whole or not _measures(whole[-1]) or whole[-1].unit is None:
        return None
    value = whole[-1].value * step.first.value
    return replace(quantity_of(whole[-1], whole[-1].unit, inferred=False), value=value)
