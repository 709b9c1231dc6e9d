"""What is to happen later: who does what, when, and on what condition."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from itertools import pairwise

from fieldlog.core.facts import Due, Fact, FactKind, FootBasis, Reporter
from fieldlog.language.asks_nothing import no_follow_up
from fieldlog.language.conditions import clause_words
from fieldlog.language.context import Context
from fieldlog.language.gist_marks import with_origin
from fieldlog.language.marks import Mark
from fieldlog.language.reading import BARE, FactMaker
from fieldlog.language.tracker import OF_THE_HORSE
from fieldlog.language.units_said import Line, UnitSaid

_BODY = frozenset({"call", "owner_care", "bring", "tell_owner"})
_AT_ONCE = frozenset({"straight away", "right away", "right now", "immediately", "asap", "now"})
_NOT_NEXT = frozenset({"today", "this morning", "this afternoon", "now", "right now", "tonight",
                       "this arvo", "straight out", "straight over", "right out",
                       "right over"})  # fmt: skip
_ON_TERMS = frozenset({"if", "unless", "should", "case", "when", "once"})
_JOBS = frozenset({"do", "trim", "shoe", "finish", "reset", "nail"})


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
    again = unit.head.code == "next_trim_weak" and line.norm(unit.head.start) == "again"
    if again and last.due is None and unit.head.start - left.head.end <= 3:
        # "she wants films again in five weeks", "I'll look at that foot again Monday"
        made[-1] = (left, replace(last, due=fact.due, span=(last.span[0], fact.span[1])))
        return None
    near = unit.head.start - max(m.end for m in (left.head, *left.of("time")))
    between = {line.norm(i) for i in range(left.head.end, unit.head.start)}
    comes = last.code == "vet_visit" and last.due is None and fact.code in ("next_trim", "recheck")
    on_terms = bool(between & _ON_TERMS) or unit.head.code == "next_trim"
    if comes and near <= 6 and between & {"she", "he", "they"} and not on_terms:
        # "I rang the vet and she'll be out this evening"; but "ring the vet if he goes short next
        # trim in five weeks" is two promises, and the one to the vet has no day
        made[-1] = (left, replace(last, due=fact.due, span=(last.span[0], fact.span[1])))
        return None
    looks = "to" in (line.norm(unit.head.start - 1), line.norm(unit.head.start))
    purpose_of = last.code in ("vet_visit", "call") and fact.code == "recheck" and near <= 4
    if purpose_of and looks:
        # "ring him tomorrow to see how he goes", "I want Doctor Hale to look at it"
        due, span = last.due or fact.due, (last.span[0], fact.span[1])
        made[-1] = (left, replace(last, due=due, span=span))
        return None
    cares = (
        fact.code == last.code
        and fact.code in ("owner_care", "bring")
        and near <= 12
        and not fact.feet
    )
    if cares and (fact.due is None or last.due in (None, fact.due)):
        what = f"{last.details.get('what', '')} and {fact.details.get('what', '')}"
        told = {**last.details, "what": what}
        due, span = last.due or fact.due, (last.span[0], fact.span[1])
        made[-1] = (left, replace(last, details=told, due=due, span=span))
        return None
    if fact.due is not None:
        return fact
    if last.code == "vet_visit" and fact.code == "radiographs" and between & {"to", "and"}:
        return replace(fact, due=last.due)  # "vet's coming Friday to shoot films"
    if near <= 3 and fact.code == last.code == "call" and not fact.details.get("condition"):
        return None
    purpose = near <= 6 and line.norm(unit.head.start - 1) == "to"
    joint = (near <= 3 or purpose) and bool(between & {"and", "to"})
    visit = last.code == "next_trim" and last.due is not None
    if joint and visit and fact.code == "recheck":
        made.pop()
        return replace(fact, due=last.due, span=(last.span[0], fact.span[1]))
    return fact


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
    if _visit_and_call(maker.line, unit, supposed) or (times and unit.head.code == "no_follow_up"):
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


def _visit_and_call(line: Line, unit: UnitSaid, supposed: bool = False) -> bool:
    """ "Five weeks, and call me if it comes loose", "six weeks, ring if a pad slips": the period is
    the visit's, not the call's."""
    times = unit.of("time")
    if not times or not (supposed or unit.head.code in _OWN_TIME):
        return False
    time = times[0]
    follows = line.break_at(time.end) or line.norm(time.end) == "and"
    within = {"in", "within", "for"} & {line.norm(time.start - 1), line.norm(time.start)}
    if unit.head.code == "owner_care" and _weeks(time.value.due) < 4:
        follows = False  # "two weeks, box rest" is how long
    opens = time.start - unit.start <= 1 and not within
    return bool(opens and time.value.due.period and follows and time.end < unit.head.start)


_OWN_TIME = frozenset({"owner_care", "call", "call_weak", "tell_owner", "radiographs", "bring",
                       "second_handler"})  # fmt: skip


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


def make_follow_up(
    maker: FactMaker, unit: UnitSaid, context: Context, condition: str = ""
) -> Fact | None:
    """The follow-up of a unit, or None if its words are too weak without a time."""
    line = maker.line
    item = unit.head.item
    due = unit.when()
    # "If she isn't better by Saturday, vet": its time is the condition's
    timed = due is not None or (condition and unit.head.code == "vet_weak")
    timed = timed or (unit.head.code == "vet_weak" and line.break_at(unit.head.start - 1)
                      and unit.head.end >= unit.end)  # fmt: skip
    if item is not None and item.more.get("needs_time") and not timed:
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
    if _visit_and_call(line, unit) or unit.head.code == "no_follow_up":
        later = [] if unit.head.code == "no_follow_up" else unit.of("time")[1:]
        due = later[0].value.due if later else None
    code = str(item.more.get("emits", unit.head.code)) if item else unit.head.code
    if _other_sense(line, unit, code) or no_follow_up(line, unit.head, code, bool(unit.of("time"))):
        return None
    named = maker.feet(unit)
    if named is None and code == "recheck" and _speaks_of_it(line, unit):
        carried = maker.tracker.carry()
        most = 2 if {"them", "those"} & {line.norm(i) for i in unit.head.covers()} else 1
        named = carried if 0 < len(carried.feet) <= most else None
    if code == "recheck" and line.norm(unit.head.end - 1) in ("back", "again", "and", "to"):
        ahead = unit.head.end + (line.norm(unit.head.end) in ("and", "to"))
        code = "next_trim" if line.norm(ahead) in _JOBS else code
    if code in OF_THE_HORSE:
        named = None
    seen = {line.norm(i) for i in unit.head.covers()} & {"seen"}
    sees = {line.norm(i) for i in unit.head.covers()} & {"see", "seeing"}
    if code == "recheck" and sees and _weeks(due) >= 4:
        # "See him in six weeks" is the next round, not a second look.
        code = "next_trim"
    said = due.spoken.lower() if due is not None and not due.period else ""
    named_day = said.endswith("day") and "week" not in said
    what_for = {line.norm(m.end + 1) for m in unit.of("time") if line.norm(m.end) == "to"} & _LOOKS
    if code == "next_trim" and (((sees | seen | what_for) and named_day) or what_for - {"see"}):
        code = "recheck"
    empty = due is not None and (due.spoken.lower() in _NOT_NEXT or due.anchor == "next_visit")
    if code == "next_trim" and empty and unit.head.code != "next_trim" and not any(
        m.code == "vet_visit" and 0 < unit.head.start - m.end <= 6 for m in line.marks
    ):  # fmt: skip
        return None  # but "rang the vet, she's coming now" tells when the vet comes
    if code == "next_trim" and due is not None and due.spoken.lower().startswith("every"):
        code = "cycle"
    if code == "cycle" and (due is None or due.spoken.lower() in _AT_ONCE):
        due = maker.period(line.text(unit.head))
    who = _who(line, unit, item.more.get("who", "farrier") if item else "farrier")
    if code == "recheck" and who == "owner":
        # "told the boss to watch it": what the owner does is care
        code = "owner_care"
    if code == "staged_correction" and due is not None and due.spoken.lower() in _NOT_NEXT:
        due = None  # "took the first quarter inch today": the rest is to come
    details = {"who": who}
    if condition:
        details["condition"] = condition
    otherwise = unit.roles("otherwise")
    if otherwise:
        details["otherwise"] = clause_words(line, otherwise[0].start, unit.end)
    if code in _BODY:
        details["what"] = clause_words(line, unit.head.start, _body_end(line, unit))
    if unit.about:
        details["about"] = unit.about
    if due is None and unit.has("urgent"):
        words = line.text(unit.roles("urgent")[0])
        due = Due(spoken=words)
    if condition and due is not None and due.spoken.lower() in _AT_ONCE:
        due = replace(due, on=None)
    if code == "vet_visit" and (unit.has("urgent") or (due and due.spoken in ("today", "now"))):
        details["urgent"] = "yes"
    behind = any(m.kind == "foot" for m in unit.after)
    if code in ("next_trim", "cycle") and named and len(named.feet) == 1 and not behind:
        named = None  # "packed the off fore next trim in five weeks": the whole horse is trimmed
    fact = Fact(
        kind=FactKind.FOLLOW_UP,
        code=code,
        feet=named.feet if named else (),
        foot_basis=named.basis if named else FootBasis.WHOLE_HORSE,
        why_foot=named.why if named else "",
        negated=context.negated and code in _REFUSED and _close_no(line, unit),
        reporter=context.reporter if context.reporter is Reporter.VET else Reporter.FARRIER,
        details=details,
        due=due,
        span=unit.span(line),
        rule=f"lexicon:{unit.head.code}",
    )
    return with_origin(fact, unit.head)


_REFUSED = frozenset({"call", "radiographs", "sedation_by_vet", "vet_visit"})
"""What is said not to be wanted; "don't turn him out" is care that is asked for."""
_LOOKS = frozenset({"see", "check", "look", "recheck"})
_THOSE = frozenset({"the", "that", "a", "this", "his", "her", "those", "new"})
_PICTURES = frozenset({"films", "film", "radiographs", "radiograph", "x", "ray", "rays", "xrays",
                       "xray", "rads", "pictures", "views", "shots", "imaging"})  # fmt: skip
_TOLD_BY = frozenset({"next", "on", "first", "last", "old", "the", "from", "those", "off", "his",
                      "her", "latest", "previous", "second", "earlier", "to", "in"})  # fmt: skip
_COMES = frozenset({"come", "coming", "swing", "stop", "pop", "drop", "call", "nip", "run"})
_BACK = frozenset({"back", "by", "again", "in", "over", "round"})
_KIT = frozenset({"testers", "boots", "boot", "pads", "shoes", "shoe", "glue", "nails", "wedges",
                  "bars", "gauge", "stand", "putty", "plates", "pick", "studs"})  # fmt: skip
_HIM = frozenset({"him", "her", "it", "them"})
_WHERE_TO = frozenset({"back", "round", "closer", "in", "into", "down", "up", "on", "along", "out"})


def _other_sense(line: Line, unit: UnitSaid, code: str) -> bool:
    """ "Throws that shoe again" and "bring him back into work" ask nobody to shoe or to bring."""
    head = unit.head
    if line.norm(head.start) == "another" and line.norm(head.start - 1) in ("down", "back"):
        return True  # "I'll take them down | another eighth next time" is a job
    if code == "next_trim" and line.norm(head.start) in ("shoe", "trim", "reset"):
        return line.norm(head.start - 1) in _THOSE
    if code == "radiographs" and not unit.has("plan", "if"):
        said = [line.norm(i) for i in range(head.start - 1, head.end)]
        if "had" in said[:2] and unit.when() is None:
            return True  # "the vet's had his films done"
        bare = not set(said[1:]) - _PICTURES - _TOLD_BY - {"have", "has", "got"}
        told = bool(set(said) & _TOLD_BY) or said[0] == "'s"
        told = told or line.norm(head.end) in ("are", "is", "'s", "look", "looked", "on")
        due = unit.when()
        past = due is None or due.spoken.lower() in _NOT_NEXT or said[0] == "'s"
        return bare and told and past
    if code == "recheck" and line.norm(head.start) in ("look", "see", "check"):
        # "it bleeds if you so much as look at it", "and look at it now"
        exclaimed = line.norm(head.start - 1) in ("and", ",", "") and line.norm(head.end) == "now"
        if line.norm(head.start - 1) == "as" or exclaimed:
            return True
    only = head.size == 2 and line.norm(head.start) in _COMES and line.norm(head.end - 1) in _BACK
    if code == "recheck" and only and not unit.of("time"):
        return True
    if code == "next_trim" and line.text(head) in ("do", "be"):
        return True  # "I've forty more to do this week"
    if code == "next_trim" and line.norm(head.start) == "another" and unit.when() is None:
        return True
    until = {line.norm(i) for i in range(head.start - 3, head.start)} & {"till", "until"}
    if code in ("next_trim", "recheck") and until and unit.when() is None:
        # "rest him till I see him again" asks for nothing more
        return True
    if code == "next_trim" and line.norm(head.end - 1) == "set" and line.norm(head.end) == "of":
        return line.norm(head.end + 1) not in ("shoes", "plates", "new")
    if code == "bring" and {line.norm(i) for i in range(head.start, head.end + 4)} & _KIT:
        return False
    if code != "bring" or line.norm(head.start) not in ("bring", "get", "take"):
        return False
    if any(m.kind in ("foot", "place") and 0 <= m.start - head.end <= 1 for m in line.marks):
        return True
    behind = [i for i in range(head.start + 1, head.start + 3) if line.norm(i) in _HIM]
    return bool(behind) and line.norm(behind[0] + 1) in _WHERE_TO


def _speaks_of_it(line: Line, unit: UnitSaid) -> bool:
    """ "I'll check it again": the foot in hand, not the horse."""
    words = [line.norm(i) for i in sorted(unit.head.covers())]
    pairs = pairwise([*words, ""])
    return any(
        a in ("it", "them") or (a in ("that", "those") and b in ("", "again")) for a, b in pairs
    )


def _weeks(due: Due | None) -> float:
    """The period in weeks; 0 if none was said."""
    if due is None or not due.period:
        return 0.0
    count = float("".join(c for c in due.period if c.isdigit() or c == ".") or 0)
    return count * {"D": 1 / 7, "W": 1.0, "M": 4.3, "Y": 52.0}[due.period[-1]]


def _close_no(line: Line, unit: UnitSaid) -> bool:
    """A denial reaches a follow-up only if it stands right before it ("no recheck needed")."""
    denied = unit.roles("negation", "work_negation")
    # "any doubt, get the vet to her"
    near = [m for m in denied if unit.head.start - m.end <= 1]
    return any(line.norm(m.end - 1) not in ("doubt", "doubts") for m in near)


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


def _who(line: Line, unit: UnitSaid, usual: str) -> str:
    if any(m.start < unit.head.end for m in unit.roles("by_vet")):
        return "vet"
    if any(m.start < unit.head.end for m in unit.roles("by_owner")):
        return "owner"
    if unit.head.code.startswith("call") and line.norm(unit.head.start) in _CALLERS:
        # "spoke to Alice, she'll ring": whoever was spoken to
        said = {line.norm(i) for i in range(unit.head.start - 6, unit.head.start)}
        return "vet" if said & {"vet", "vet's", "doctor", "doc"} else "owner"
    return usual


_CALLERS = frozenset({"she", "he", "they", "owner", "client", "she's", "he's", "they're"})


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
    return _weeks(due) > 17 or (due.on is not None and (due.on - today).days > 150)
