"""One measure of one foot told twice, with two values: which holds today is asked.

"Ninety two left, ninety left again" is a slip or a mis-heard foot more often than not: of 212 such
values of the open notes that were to be taken without a look 72 were wrong, of all that is taken
three in a hundred. A cut explains itself: "ninety five, brought it to eighty eight".
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace

from fieldlog.core.facts import Fact, FactKind
from fieldlog.core.feet import Foot
from fieldlog.language.opinion.heard import Span

_SEVERAL = frozenset({"depth", "finding_size", "taken_off", "remaining"})
"""Measures of which a foot may have several: each is of a finding or a job of its own."""
_CUT_TO = re.compile(
    r"\b(?:to|at|into|same|after|now|afterwards|makes|finished)\W+(?:\w+\W+){0,2}$", re.IGNORECASE
)
"""What stands before the value that a cut left."""
_BEFORE_CUT = re.compile(r"\b(?:before|after|started|was|were|brought|took|got|cut|rasped)\b",
                         re.IGNORECASE)  # fmt: skip
_NEAR = 60
"""Characters between two values of which the one may be what a cut made of the other."""
_WHY = "This measure of this foot is told twice in the note, with two values."


def asked_if_told_twice(facts: Sequence[Fact], text: str, at: Mapping[str, Span]) -> list[Fact]:
    """The facts; of two values of today that cannot both hold, each has a doubt.

    Where the second is of fewer feet ("fronts ninety two, the left ninety") the first is of the
    others.

    Args:
        facts: what is told.
        text: the note.
        at: by a fact's id the characters of its number.
    """
    told = [f for f in facts if _of_today(f)]
    doubted: set[str] = set()
    others: dict[str, tuple[Foot, ...]] = {}
    for n, one in enumerate(told):
        for two in told[n + 1 :]:
            if _same_thing(one, two):
                first, second = sorted((one, two), key=lambda f: at.get(f.id, f.span))
                rest = tuple(f for f in others.get(first.id, first.feet) if f not in second.feet)
                narrower = set(second.feet) < set(first.feet) and bool(rest)
                if _cut(first, second, text, at, narrower):
                    continue
                if narrower:
                    others[first.id] = rest
                else:
                    doubted |= {one.id, two.id}
    out = [replace(f, feet=others[f.id]) if f.id in others else f for f in facts]
    return [f.with_doubt("competing_readings", _WHY) if f.id in doubted else f for f in out]


def _of_today(fact: Fact) -> bool:
    return (
        fact.kind is FactKind.MEASUREMENT
        and fact.quantity is not None
        and fact.code not in _SEVERAL
        and not (fact.historical or fact.planned or fact.negated or fact.taught or fact.only_heard)
    )


def _same_thing(one: Fact, two: Fact) -> bool:
    """Whether two facts tell of the same measure of some foot, with different values."""
    if one.code != two.code or ((one.feet or two.feet) and not set(one.feet) & set(two.feet)):
        return False
    if one.places != two.places or one.quantity is None or two.quantity is None:
        return False
    return (one.quantity.value, one.quantity.unit) != (two.quantity.value, two.quantity.unit)


def _cut(first: Fact, second: Fact, text: str, at: Mapping[str, Span], narrower: bool) -> bool:
    """Whether the second value is what was left of the first.

    Of fewer feet it is only where a cut is told: "fronts ninety two, bar the left at ninety".
    """
    end, begin = at.get(first.id, first.span)[1], at.get(second.id, second.span)[0]
    between = text[end:begin] if begin > end else ""
    if not narrower and _CUT_TO.search(between) is not None:
        return True
    return len(between) <= _NEAR and _BEFORE_CUT.search(between) is not None
