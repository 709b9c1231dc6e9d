"""What is to happen later: who does what, when, and on what condition."""

from __future__ import annotations

from dataclasses import replace

from fieldlog.core.facts import Due, Fact, FactKind, FootBasis, Reporter
from fieldlog.language.context import Context
from fieldlog.language.marks import Mark
from fieldlog.language.reading import FactMaker
from fieldlog.language.units_said import Line, UnitSaid

_STATES = frozenset({"finding", "change", "score", "handling"})
_BODY = frozenset({"call", "owner_care", "bring", "tell_owner"})


def conditions(line: Line, units: list[UnitSaid]) -> dict[int, tuple[str, int, int]]:
    """Conditions of one sentence, and the heads that stand inside them.

    Returns:
        For each unit that is only part of a condition: the condition's words and their word
        range.
    """
    swallowed: dict[int, tuple[str, int, int]] = {}
    for at, unit in enumerate(units):
        trigger = next((m for m in unit.marks() if m.kind == "role" and m.code == "if"), None)
        if trigger is None:
            continue
        if trigger.start < unit.head.start and unit.head.kind in _STATES:
            end = _condition_end(line, units, at)
            words = _words(line, trigger.start, end)
            swallowed[at] = (words, trigger.start, end)
            for later in range(at + 1, len(units)):
                if units[later].head.start < end:
                    swallowed[later] = (words, trigger.start, end)
    return swallowed


def _condition_end(line: Line, units: list[UnitSaid], at: int) -> int:
    """A condition ends before the next follow-up, job, foot, or at the end of the sentence."""
    unit = units[at]
    end = unit.end
    if at + 1 < len(units):
        following = units[at + 1]
        if following.head.kind in ("followup", "work"):
            return (
                following.head.start
                if following.start >= following.head.start
                else max(unit.end, following.start)
            )
    return end


def _words(line: Line, begin: int, end: int) -> str:
    words = [w.norm for w in line.words[begin:end] if w.sort == "word"]
    text = " ".join(words).replace(" '", "'")
    return text.removesuffix(" and").removesuffix(" then").strip()


def make_follow_up(
    maker: FactMaker, unit: UnitSaid, context: Context, condition: str = ""
) -> Fact | None:
    """The follow-up of a unit, or None if its words are too weak without a time."""
    line = maker.line
    item = unit.head.item
    due = next((m.value.due for m in unit.of("time")), None)
    if item is not None and item.more.get("needs_time") and due is None:
        return None
    code = str(item.more.get("emits", unit.head.code)) if item else unit.head.code
    named = maker.feet(unit)
    details = {"who": _who(unit, item.more.get("who", "farrier") if item else "farrier")}
    if condition:
        details["condition"] = condition
    otherwise = unit.roles("otherwise")
    if otherwise:
        details["otherwise"] = _words(line, otherwise[0].start, unit.end)
    if code in _BODY:
        details["what"] = _words(line, unit.head.start, _body_end(line, unit))
    if due is None and unit.has("urgent"):
        words = line.text(unit.roles("urgent")[0])
        due = Due(spoken=words)
    if code == "vet_visit" and (unit.has("urgent") or (due and due.spoken in ("today", "now"))):
        details["urgent"] = "yes"
    return Fact(
        kind=FactKind.FOLLOW_UP,
        code=code,
        feet=named.feet if named else (),
        foot_basis=named.basis if named else FootBasis.WHOLE_HORSE,
        why_foot=named.why if named else "",
        negated=context.negated and code not in ("staged_correction", "no_follow_up"),
        reporter=context.reporter if context.reporter is Reporter.VET else Reporter.FARRIER,
        details=details,
        due=due,
        span=unit.span(line),
        rule=f"lexicon:{unit.head.code}",
    )


def _body_end(line: Line, unit: UnitSaid) -> int:
    stops = [
        m.start
        for m in unit.after
        if m.kind == "time" or (m.kind == "role" and m.code in ("if", "starter", "otherwise"))
    ]
    end = min(stops, default=unit.end)
    for at in range(unit.head.start, end):
        if line.words[at].sort in ("comma", "pause", "stop"):
            return at
    return end


def _who(unit: UnitSaid, usual: str) -> str:
    if any(m.start < unit.head.end for m in unit.roles("by_vet")):
        return "vet"
    if any(m.start < unit.head.end for m in unit.roles("by_owner")):
        return "owner"
    return usual


def implied(maker: FactMaker, time: Mark, begin: int, end: int) -> Fact:
    """A bare time ("six weeks") is the next visit."""
    words = maker.line.words
    return Fact(
        kind=FactKind.FOLLOW_UP,
        code="next_trim",
        details={"who": "farrier"},
        due=time.value.due,
        span=(words[begin].start, words[end - 1].end),
        rule="time:alone",
    )


def with_due(fact: Fact, due: Due) -> Fact:
    """The same follow-up at another time."""
    return replace(fact, due=due)
