"""What is to happen later: who does what, when, and on what condition."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from fieldlog.core.facts import Due, Fact, FactKind, FootBasis, Reporter
from fieldlog.language.context import Context
from fieldlog.language.marks import Mark
from fieldlog.language.reading import FactMaker
from fieldlog.language.units_said import Line, UnitSaid

_BODY = frozenset({"call", "owner_care", "bring", "tell_owner"})
_LONGEST = 16
"""Most words between "if" and the follow-up that hangs on it."""


@dataclass(slots=True)
class Condition:
    """An "if" with the units that are only part of it."""

    words: str
    span: tuple[int, int]
    """First word and one past the last."""
    inside: set[int]
    """Units that make no fact of their own."""
    due: Due | None = None


def conditions(line: Line, units: list[UnitSaid]) -> dict[int, Condition]:
    """The condition of each follow-up of a sentence, by the unit's number.

    "if he's no better in two weeks ring the vet" and "ring me if he's worse" both hang on the
    follow-up; what stands inside the condition is not seen, so it makes no fact.
    """
    out: dict[int, Condition] = {}
    triggers = sorted(
        (m for unit in units for m in unit.marks() if m.kind == "role" and m.code == "if"),
        key=lambda m: m.start,
    )
    for trigger in triggers:
        later = [
            at
            for at, unit in enumerate(units)
            if unit.head.kind == "followup" and 0 < unit.head.start - trigger.end <= _LONGEST
        ]
        between = [
            at
            for at, unit in enumerate(units)
            if trigger.start < unit.head.start
            and (not later or unit.head.start < units[later[0]].head.start)
        ]
        blocked = any(units[at].head.kind in ("work", "value", "advice") for at in between)
        if later and not blocked and later[0] not in out:
            end = units[later[0]].head.start
            times = [m for u in units for m in u.of("time") if trigger.start <= m.start < end]
            out[later[0]] = Condition(
                _words(line, trigger.start, end, times),
                (trigger.start, end),
                set(between),
                times[0].value.due if times else None,
            )
            continue
        earlier = [
            at
            for at, unit in enumerate(units)
            if unit.head.kind == "followup" and unit.head.end <= trigger.start
        ]
        if not earlier or trigger.start - units[earlier[-1]].head.end > _LONGEST:
            continue
        at = earlier[-1]
        inside = {b for b in between[:1] if units[b].head.start - trigger.end <= 6}
        end = max([units[at].end, *(units[b].head.end for b in inside)])
        if inside:
            end = min(end + 2, units[min(inside)].end)
        end = next(
            (i for i in range(trigger.end, end) if line.words[i].sort in ("comma", "pause")), end
        )
        times = [m for u in units for m in u.of("time") if trigger.start <= m.start < end]
        due = times[0].value.due if times else None
        words = _words(line, trigger.start, end, times)
        out[at] = Condition(words, (trigger.start, end), inside, due)
    return out


def _words(line: Line, begin: int, end: int, without: Sequence[Mark] = ()) -> str:
    skipped = {i for m in without for i in m.covers()}
    words = [
        w.norm
        for i, w in enumerate(line.words[begin:end], begin)
        if w.sort == "word" and i not in skipped
    ]
    text = " ".join(words).replace(" '", "'")
    for last in (" and", " then", " by", " in", " on"):
        text = text.removesuffix(last)
    return text.strip()


def make_follow_up(
    maker: FactMaker, unit: UnitSaid, context: Context, condition: str = ""
) -> Fact | None:
    """The follow-up of a unit, or None if its words are too weak without a time."""
    line = maker.line
    item = unit.head.item
    due = next((m.value.due for m in unit.of("time")), None)
    if item is not None and item.more.get("needs_time") and due is None:
        return None
    if context.historical or (
        unit.head.code == "radiographs"
        and line.norm(unit.head.end - 1).endswith("ed")
        and context.reporter is Reporter.FARRIER
        and due is None
        and not unit.has("plan")
        and line.norm(unit.head.start) not in ("get", "have", "want", "needs", "need")
    ):
        return None
    code = str(item.more.get("emits", unit.head.code)) if item else unit.head.code
    named = maker.feet(unit)
    if named is None and code == "recheck" and _speaks_of_it(line, unit):
        carried = maker.tracker.carry()
        named = carried if carried.feet and len(carried.feet) < 3 else None
    if code == "recheck" and line.norm(unit.head.start) in ("see", "seeing") and _weeks(due) >= 4:
        # "See him in six weeks" is the next round, not a second look.
        code = "next_trim"
    if code == "next_trim" and due is not None and due.spoken.startswith("every"):
        code = "cycle"
    if code == "cycle" and due is None:
        due = maker.period(line.text(unit.head))
    details = {"who": _who(unit, item.more.get("who", "farrier") if item else "farrier")}
    if condition:
        details["condition"] = condition
    otherwise = unit.roles("otherwise")
    if otherwise:
        details["otherwise"] = _words(line, otherwise[0].start, unit.end)
    if code in _BODY:
        details["what"] = _words(line, unit.head.start, _body_end(line, unit))
    if unit.about:
        details["about"] = unit.about
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
        negated=context.negated
        and code not in ("staged_correction", "no_follow_up")
        and _close_no(unit),
        reporter=context.reporter if context.reporter is Reporter.VET else Reporter.FARRIER,
        details=details,
        due=due,
        span=unit.span(line),
        rule=f"lexicon:{unit.head.code}",
    )


def _speaks_of_it(line: Line, unit: UnitSaid) -> bool:
    """ "I'll check it again": the foot in hand, not the horse."""
    words = {line.norm(i) for i in unit.head.covers()}
    return bool(words & {"it", "that", "them", "those"})


def _weeks(due: Due | None) -> float:
    """The period in weeks; 0 if none was said."""
    if due is None or not due.period:
        return 0.0
    count = float("".join(c for c in due.period if c.isdigit() or c == ".") or 0)
    return count * {"D": 1 / 7, "W": 1.0, "M": 4.3, "Y": 52.0}[due.period[-1]]


def _close_no(unit: UnitSaid) -> bool:
    """A denial reaches a follow-up only if it stands right before it ("no recheck needed")."""
    return any(unit.head.start - m.end <= 1 for m in unit.roles("negation", "work_negation"))


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
