"""Negation, doubt, history, reporter and comparison: what the words around a head do to it.

Triggers and their look-alikes are data (``context.toml``); how far each reaches is decided in the
modules that are called here. A disease word from the farrier is always a suspicion.
"""

from __future__ import annotations

from itertools import pairwise

from fieldlog.core.facts import Reporter
from fieldlog.language.context.doubt import alternative, unsure
from fieldlog.language.context.head_context import Context
from fieldlog.language.context.history import is_earlier, is_past
from fieldlog.language.context.negation import mark_negation
from fieldlog.language.context.severity import severity_of
from fieldlog.language.context.whose_word import reporter_of
from fieldlog.language.words.units_said import Line, UnitSaid


def read_context(line: Line, units: list[UnitSaid]) -> list[Context]:
    """The contexts of one sentence's units, in order."""
    found = [Context() for _ in units]
    mark_negation(line, units, found)
    reporter = Reporter.FARRIER
    _leave_open(line, units, found)
    for at, (unit, context) in enumerate(zip(units, found, strict=True)):
        before = units[at - 1] if at else None
        reporter = reporter_of(line, unit, before, reporter, at)
        to_me = unit.head.kind == "handling" and "me" in {line.norm(i) for i in unit.head.covers()}
        context.reporter = Reporter.FARRIER if to_me else reporter
        context.uncertain = context.uncertain or unsure(line, unit, before, found, at)
        context.uncertain = context.uncertain and unit.head.kind != "advice"
        context.historical = is_earlier(line, units, at, reporter)
        context.severity = None if context.negated else severity_of(line, unit)
        context.planned = _planned(line, unit)
    return found


def _leave_open(line: Line, units: list[UnitSaid], found: list[Context]) -> None:
    """ "A bruise or an abscess": what is not denied is open."""
    for (left, one), (right, two) in pairwise(zip(units, found, strict=True)):
        found_both = left.head.kind == right.head.kind == "finding"
        if not found_both or left.head.code == right.head.code or one.negated or two.negated:
            continue
        if alternative(line, left, right):
            one.uncertain = two.uncertain = True


def _planned(line: Line, unit: UnitSaid) -> bool:
    """ "Straight bar on the off when I'm back Friday": a word of planning that leads the head."""
    if any(m.end <= unit.head.start or line.norm(m.start) == "when" for m in unit.roles("plan")):
        return True
    return unit.head.kind == "work" and _would(line, unit)


_WOULD = frozenset({"i'd", "would", "we'd"})
_LIGHT = frozenset({"just", "probably", "only", "maybe", "rather", "still", "always"})
_BOTH_FORMS = frozenset({"put", "set", "cut", "let", "shed", "split", "spread", "burst"})


def _would(line: Line, unit: UnitSaid) -> bool:
    """ "I'd leave it be till the spring": a bare verb behind "I'd"; "I'd left it" is done."""
    verb, at = line.norm(unit.head.start), unit.head.start - 1
    if is_past(verb) or verb in _BOTH_FORMS or not verb.isalpha():
        return False
    at -= line.norm(at) in _LIGHT
    return line.norm(at) in _WOULD or (line.norm(at) == "'d" and line.norm(at - 1) in ("i", "we"))
