"""What is to happen later: who does what, when, and on what condition."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from fieldlog.core.facts import Due, Fact, FactKind
from fieldlog.language.facts.maker import FactMaker
from fieldlog.language.facts.reading_work import BARE
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import Line, UnitSaid

_ON_TERMS = frozenset({"if", "unless", "should", "case", "when", "once"})


def follows_on(
    line: Line, made: list[tuple[UnitSaid, Fact]], unit: UnitSaid, fact: Fact
) -> Fact | None:
    """The follow-up as it goes on from the one before; None if it only says that again.

    "Call me Friday and let me know" is one call; "come back in a fortnight and check that heel" is
    one visit, and the check is what it is for.
    """
    left, last = made[-1]
    if last.kind is not FactKind.FOLLOW_UP:
        return fact
    near = unit.head.start - max(m.end for m in (left.head, *left.of("time")))
    between = {line.norm(i) for i in range(left.head.end, unit.head.start)}
    span = (last.span[0], fact.span[1])
    if _again(line, made[-1], unit) or _vet_will_come(last, fact, unit, near, between):
        made[-1] = (left, replace(last, due=fact.due, span=span))
        return None
    due = last.due or fact.due
    if _vet_asked_about(line, last, fact, left, unit):
        made.pop()
        return replace(fact, due=due, span=span)
    if _to_look(line, last, fact, unit, near):
        made[-1] = (left, replace(last, due=due, span=span))
        return None
    if _more_care(last, fact, near):
        what = f"{last.details.get('what', '')} and {fact.details.get('what', '')}"
        made[-1] = (left, replace(last, details={**last.details, "what": what}, due=due, span=span))
        return None
    if fact.due is not None:
        return fact
    if last.code == "vet_visit" and fact.code == "radiographs" and between & {"to", "and"}:
        return replace(fact, due=last.due)  # "vet's coming Friday to shoot films"
    if near <= 3 and fact.code == last.code == "call" and not fact.details.get("condition"):
        return None
    purpose = near <= 6 and line.norm(unit.head.start - 1) == "to"
    joint = (near <= 3 or purpose) and bool(between & {"and", "to"})
    if joint and fact.code == "recheck" and last.code == "next_trim" and last.due is not None:
        made.pop()
        return replace(fact, due=last.due, span=span)
    return fact


def _again(line: Line, before: tuple[UnitSaid, Fact], unit: UnitSaid) -> bool:
    """ "She wants films again in five weeks", "I'll look at that foot again Monday"."""
    left, last = before
    again = unit.head.code == "next_trim_weak" and line.norm(unit.head.start) == "again"
    return again and last.due is None and unit.head.start - left.head.end <= 3


def _vet_will_come(last: Fact, fact: Fact, unit: UnitSaid, near: int, between: set[str]) -> bool:
    """ "I rang the vet and she'll be out this evening".

    But "ring the vet if he goes short next trim in five weeks" is two promises, and the one to
    the vet has no day.
    """
    comes = last.code == "vet_visit" and last.due is None and fact.code in ("next_trim", "recheck")
    on_terms = bool(between & _ON_TERMS) or unit.head.code == "next_trim"
    return comes and near <= 6 and bool(between & {"she", "he", "they"}) and not on_terms


def _vet_asked_about(line: Line, last: Fact, fact: Fact, left: UnitSaid, unit: UnitSaid) -> bool:
    """ "She'll ring the vet about films": what is asked of the vet is the promise."""
    asked = last.code == "vet_visit" and fact.code in ("radiographs", "sedation_by_vet")
    about = {line.norm(i) for i in range(left.head.start, unit.head.start)} & {"about", "for"}
    return asked and bool(about) and unit.head.start - left.head.end <= 3


def _to_look(line: Line, last: Fact, fact: Fact, unit: UnitSaid, near: int) -> bool:
    """ "Ring him tomorrow to see how he goes", "I want Doctor Hale to look at it"."""
    purpose_of = last.code in ("vet_visit", "call") and fact.code == "recheck" and near <= 4
    return purpose_of and "to" in (line.norm(unit.head.start - 1), line.norm(unit.head.start))


def _more_care(last: Fact, fact: Fact, near: int) -> bool:
    """ "Pack it every day and keep him in": one thing that the owner does."""
    care = fact.code == last.code and fact.code in ("owner_care", "bring")
    one_time = fact.due is None or last.due in (None, fact.due)
    return care and near <= 12 and not fact.feet and one_time


def same_person(line: Line, left: tuple[UnitSaid, Fact], unit: UnitSaid, fact: Fact) -> Fact:
    """ "She'll poultice tonight and ring": what is joined by "and" is done by the same."""
    between = {line.norm(i) for i in range(left[0].head.end, unit.head.start)}
    theirs = left[1].kind is FactKind.FOLLOW_UP and left[1].details.get("who") == "owner"
    alike = fact.code in ("call", "owner_care") and not unit.has("by_vet", "farrier_says")
    if theirs and alike and "and" in between:
        return replace(fact, details={**fact.details, "who": "owner"})
    return fact


def same_time(made: list[tuple[UnitSaid, Fact]], earlier: Sequence[Fact], fact: Fact) -> Fact:
    """ "Next time bring the boots. And a second pair of hands": for the same visit."""
    last = made[-1][1] if made else (earlier[-1] if earlier else None)
    if fact.due is not None or fact.code not in ("second_handler", "bring", "sedation_by_vet"):
        return fact
    if last is None or last.kind is not FactKind.FOLLOW_UP or last.due is None:
        return fact
    if last.due.anchor != "next_visit" and not made:
        return fact
    return replace(fact, due=last.due)


def share_due(line: Line, made: list[tuple[UnitSaid, Fact]]) -> None:
    """ "A heart bar on the left and a wedge on the right next time": one time for both."""
    for at in range(len(made) - 2, -1, -1):
        (left, one), (right, other) = made[at], made[at + 1]
        between = {line.norm(i) for i in range(left.head.end, right.head.start)}
        jobs = one.kind is other.kind is FactKind.WORK
        if jobs and one.planned and other.planned and one.due is None and "and" in between:
            made[at] = (left, replace(one, due=other.due))


def time_of_work(made: list[tuple[UnitSaid, Fact]], unit: UnitSaid) -> None:
    """ "I'll lower it again next visit": the time is the planned job's."""
    due = unit.when()
    if made and due is not None and unit.head.code == "next_trim_weak":
        left, last = made[-1]
        if last.kind is FactKind.WORK and last.planned and last.due is None:
            made[-1] = (left, replace(last, due=due))


def leading_visit(maker: FactMaker, unit: UnitSaid, supposed: bool = False) -> Fact | None:
    """ "five weeks for her not six and text me on Sunday": a period that opens the sentence.

    Args:
        maker: makes the facts.
        unit: the first unit of the sentence.
        supposed: it is part of an "if": "five weeks, and if she's sore ring me".
    """
    times = unit.of("time")
    if visit_and_call(maker.line, unit, supposed) or (times and unit.head.code == "no_follow_up"):
        return implied(maker, times[0], times[0].start, times[0].end)
    opens = len(times) > 1 and times[0].start - unit.start <= 1 and times[0].value.due.period
    if not opens or times[0].value.due == unit.when():
        return None
    return implied(maker, times[0], times[0].start, times[0].end)


def another_visit(maker: FactMaker, unit: UnitSaid) -> Fact | None:
    """ "Recheck in two weeks, six for the trim", "that one in two weeks, the rest in five"."""
    times = [m for m in unit.of("time") if m.value.due.ambiguous.startswith("weeks were not")]
    if unit.head.code not in ("recheck", "check_weak") or not times or len(unit.of("time")) < 2:
        return None
    return implied(maker, times[-1], times[-1].start, times[-1].end)


def visit_and_call(line: Line, unit: UnitSaid, supposed: bool = False) -> bool:
    """ "Five weeks, and call me if it comes loose", "six weeks, ring if a pad slips": the period is
    the visit's, not the call's."""
    times = unit.of("time")
    if not times or not (supposed or unit.head.code in _OWN_TIME):
        return False
    time = times[0]
    follows = line.break_at(time.end) or line.norm(time.end) == "and"
    within = {"in", "within", "for"} & {line.norm(time.start - 1), line.norm(time.start)}
    if unit.head.code == "owner_care" and weeks_of(time.value.due) < 4:
        follows = False  # "two weeks, box rest" is how long
    opens = time.start - unit.start <= 1 and not within
    return bool(opens and time.value.due.period and follows and time.end < unit.head.start)


_OWN_TIME = frozenset({"owner_care", "call", "call_weak", "tell_owner", "radiographs", "bring",
                       "second_handler"})  # fmt: skip


def will_do(line: Line, unit: UnitSaid) -> Mark | None:
    """ "Get the vet to see those legs, eight weeks will do for the feet", "sedate him six weeks to
    the day": a period behind that is the next visit's by its own words; None if there is none."""
    if unit.head.code not in _NOT_THE_VISIT:
        return None
    for mark in unit.of("time"):
        if mark.start < unit.head.end or weeks_of(mark.value.due) < _A_VISIT:
            continue
        words = tuple(line.norm(mark.end + i) for i in range(3))
        if words[:2] in _WILL_DO or words in _WILL_DO:
            return mark
    return None


_NOT_THE_VISIT = frozenset({"vet_visit", "vet_weak", "sedation_by_vet", "second_handler", "call",
                            "call_weak", "owner_care", "bring", "tell_owner",
                            "radiographs"})  # fmt: skip
_A_VISIT = 3
"""Weeks that a visit is away at least."""
_WILL_DO = frozenset({("will", "do"), ("'ll", "do"), ("to", "the", "day"), ("on", "the", "dot"),
                      ("for", "the", "feet"), ("for", "the", "trim"), ("for", "the", "next"),
                      ("is", "plenty"), ("is", "grand"), ("is", "enough"), ("does", "him"),
                      ("does", "her"), ("for", "his", "feet"), ("for", "her", "feet"),
                      ("as", "usual"), ("same", "as", "ever")})  # fmt: skip


def told_to(line: Line, left: UnitSaid, unit: UnitSaid) -> bool:
    """ "Told Wade to pack that foot": asked of somebody, not done."""
    asked = left.head.kind == "advice" and line.norm(left.head.start) in ("told", "asked", "tell")
    near = unit.head.start - left.head.end <= 4
    return asked and near and line.norm(unit.head.start - 1) == "to"


def otherwise_visit(maker: FactMaker, unit: UnitSaid) -> Fact | None:
    """ "Ring me if he's short on it, otherwise six weeks"."""
    marks = unit.roles("otherwise")
    times = [m for m in unit.of("time") if marks and m.start >= marks[0].end]
    if times and unit.head.kind == "followup" and unit.head.start > marks[0].start:
        return None
    if not times or not times[0].value.due.period:
        return None
    return implied(maker, times[0], times[0].start, times[0].end)


def goes_on_planned(line: Line, before: tuple[UnitSaid, Fact], unit: UnitSaid) -> bool:
    """ "We'll go to a heart bar and drop the heel": a bare verb goes on with what is planned."""
    left, last = before
    between = {line.norm(i) for i in range(left.head.end, unit.head.start)}
    planned = last.kind is FactKind.WORK and last.planned and "and" in between
    with_it = last.planned and line.norm(unit.head.start - 1) == "with"
    return with_it or (planned and line.norm(unit.head.start) in BARE and len(between) <= 4)


def is_purpose(line: Line, before: tuple[UnitSaid, Fact], unit: UnitSaid) -> bool:
    """ "I'll be back Friday to shoe him": what the next visit is for is not done yet."""
    left, last = before
    comes = last.kind is FactKind.FOLLOW_UP and last.code in ("next_trim", "recheck")
    first = max(m.end for m in (left.head, *left.of("time")))
    near, lead = unit.head.start - first <= 3, line.norm(unit.head.start - 1)
    goes_on = line.norm(first) == "and" and (lead in BARE or line.norm(first + 1) in BARE)
    return comes and near and (lead == "to" or (goes_on and left.when() is not None))


def weeks_of(due: Due | None) -> float:
    """The period in weeks; 0 if none was said."""
    if due is None or not due.period:
        return 0.0
    count = float("".join(c for c in due.period if c.isdigit() or c == ".") or 0)
    return count * {"D": 1 / 7, "W": 1.0, "M": 4.3, "Y": 52.0}[due.period[-1]]


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


def others_weeks(maker: FactMaker, times: Sequence[Mark]) -> list[Fact]:
    """ "Eight weeks for the ponies, seven for the cobs": visits of which the weeks go unsaid."""
    return [
        implied(maker, time, time.start, time.end)
        for time in times
        if time.value.due.ambiguous.startswith("weeks were not")
    ]


def far_off(due: Due, today: date) -> bool:
    """ "Another six months", "in September it was eight": nobody says a visit like that."""
    return weeks_of(due) > 17 or (due.on is not None and (due.on - today).days > 150)
