"""A follow-up made of its words: who does what, when, on what condition; or none at all."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

from fieldlog.core.facts import Due, Fact, FactKind, FootBasis, Reporter
from fieldlog.language.context.head_context import Context
from fieldlog.language.facts.maker import FactMaker
from fieldlog.language.facts.reading_feet import feet_named_in
from fieldlog.language.feet.tracker import OF_THE_HORSE, Assignment
from fieldlog.language.numbers.spoken import find_numbers
from fieldlog.language.opinion.gist_marks import with_origin
from fieldlog.language.plans.asks_nothing import no_follow_up
from fieldlog.language.plans.conditions import clause_words
from fieldlog.language.plans.followups import visit_and_call, weeks_of, will_do
from fieldlog.language.words.units_said import Line, UnitSaid

_BODY = frozenset({"call", "owner_care", "bring", "tell_owner"})
_AT_ONCE = frozenset({"straight away", "right away", "right now", "immediately", "asap", "now"})
_NOT_NEXT = frozenset({"today", "this morning", "this afternoon", "now", "right now", "tonight",
                       "this arvo", "straight out", "straight over", "right out",
                       "right over"})  # fmt: skip
_JOBS = frozenset({"do", "trim", "shoe", "finish", "reset", "nail"})
_REFUSED = frozenset({"call", "radiographs", "sedation_by_vet", "vet_visit"})
"""What is said not to be wanted; "don't turn him out" is care that is asked for."""
_LOOKS = frozenset({"see", "check", "look", "recheck"})


def make_follow_up(
    maker: FactMaker, unit: UnitSaid, context: Context, condition: str = ""
) -> Fact | None:
    """The follow-up of a unit, or None if its words are too weak without a time."""
    line, item = maker.line, unit.head.item
    due = unit.when()
    if _too_weak(line, unit, due, condition) or _told_of(line, unit, context, due):
        return None
    due = _own_time(line, unit)
    code = str(item.more.get("emits", unit.head.code)) if item else unit.head.code
    if _other_sense(line, unit, code) or no_follow_up(line, unit.head, code, bool(unit.of("time"))):
        return None
    named = _feet(maker, unit, code)
    code = _which_visit(line, unit, code, due)
    if code == "next_trim" and _no_next_visit(line, unit, due):
        return None
    code, due = _cycle(maker, unit, code, due)
    who = _who(line, unit, item.more.get("who", "farrier") if item else "farrier")
    if code == "recheck" and who == "owner":
        code = "owner_care"  # "told the boss to watch it": what the owner does is care
    if code in ("next_trim", "cycle") and _foot_done(unit, named):
        named = None
    due = _when(line, unit, code, due, condition)
    if due is None and code in _AT_THE_VISIT:
        due = _next_time(line, unit)
    details = _details(line, unit, code, who, condition)
    if code == "vet_visit" and (unit.has("urgent") or (due and due.spoken in ("today", "now"))):
        details["urgent"] = "yes"
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


# -- none at all --------------------------------------------------------------------------------


def _too_weak(line: Line, unit: UnitSaid, due: Due | None, condition: str) -> bool:
    """Words that are a follow-up only with a time: "see him", "the vet"."""
    head = unit.head
    if head.item is None or not head.item.more.get("needs_time") or due is not None:
        return False
    # "If she isn't better by Saturday, vet": its time is the condition's
    alone = line.break_at(head.start - 1) and head.end >= unit.end
    return not (head.code == "vet_weak" and (condition or alone))


def _told_of(line: Line, unit: UnitSaid, context: Context, due: Due | None) -> bool:
    """What was done already: "x-rayed it", "vet came out last week"."""
    if context.historical:
        return True
    head = unit.head
    return (
        head.code == "radiographs"
        and line.norm(head.end - 1).endswith("ed")
        and context.reporter is Reporter.FARRIER
        and due is None
        and not unit.has("plan")
        and line.norm(head.start) not in ("get", "have", "want", "needs", "need")
    )


def _no_next_visit(line: Line, unit: UnitSaid, due: Due | None) -> bool:
    """ "Do the hinds today": of this visit; but "rang the vet, she's coming now" is the vet's."""
    head = unit.head
    empty = due is not None and (due.spoken.lower() in _NOT_NEXT or due.anchor == "next_visit")
    if not empty or head.code == "next_trim":
        return False
    return not any(m.code == "vet_visit" and 0 < head.start - m.end <= 6 for m in line.marks)


# -- which visit, when, whose feet --------------------------------------------------------------


def _feet(maker: FactMaker, unit: UnitSaid, code: str) -> Assignment | None:
    """The feet that were named, or those in hand that "it" or "them" means."""
    named = feet_named_in(maker, unit)
    if named is None and code == "recheck" and _speaks_of_it(maker.line, unit):
        carried = maker.tracker.carry()
        most = 2 if _says(maker.line, unit, "them", "those") else 1
        named = carried if 0 < len(carried.feet) <= most else None
    return None if code in OF_THE_HORSE else named


def _says(line: Line, unit: UnitSaid, *words: str) -> bool:
    """Whether one of these words is in the head."""
    return any(line.norm(i) in words for i in unit.head.covers())


def _which_visit(line: Line, unit: UnitSaid, code: str, due: Due | None) -> str:
    """A second look or the next round: by the job that follows, the weeks, and the day."""
    end = unit.head.end
    if code == "recheck" and line.norm(end - 1) in ("back", "again", "and", "to"):
        ahead = end + (line.norm(end) in ("and", "to"))
        code = "next_trim" if line.norm(ahead) in _JOBS else code
    sees = _says(line, unit, "see", "seeing")
    if code == "recheck" and sees and weeks_of(due) >= 4:
        code = "next_trim"  # "see him in six weeks" is the next round, not a second look
    if code != "next_trim":
        return code
    said = due.spoken.lower() if due is not None and not due.period else ""
    named_day = said.endswith("day") and "week" not in said
    what_for = {line.norm(m.end + 1) for m in unit.of("time") if line.norm(m.end) == "to"} & _LOOKS
    looks = sees or _says(line, unit, "seen") or what_for
    return "recheck" if (looks and named_day) or what_for - {"see"} else code


def _own_time(line: Line, unit: UnitSaid) -> Due | None:
    """ "Five weeks, and call me Friday": the first time is the visit's, the second the call's."""
    if unit.head.code == "no_follow_up":
        return None
    if (visits := will_do(line, unit)) is not None:
        others = [m for m in unit.of("time") if m is not visits]
        first: Due | None = others[0].value.due if others else None
        return first
    if not visit_and_call(line, unit):
        return unit.when()
    later = unit.of("time")[1:]
    due: Due | None = later[0].value.due if later else None
    return due


def _cycle(maker: FactMaker, unit: UnitSaid, code: str, due: Due | None) -> tuple[str, Due | None]:
    """ "Every six weeks", "a five week cycle"."""
    if code == "next_trim" and due is not None and due.spoken.lower().startswith("every"):
        code = "cycle"
    if code == "cycle" and (due is None or due.spoken.lower() in _AT_ONCE):
        due = _period_of(maker.line.text(unit.head))
    return code, due


def _when(line: Line, unit: UnitSaid, code: str, due: Due | None, condition: str) -> Due | None:
    """The time as it is meant; "if he's lame, straight away" has no day."""
    if code == "staged_correction" and due is not None and due.spoken.lower() in _NOT_NEXT:
        due = None  # "took the first quarter inch today": the rest is to come
    if due is None and unit.has("urgent"):
        due = Due(spoken=line.text(unit.roles("urgent")[0]))
    if condition and due is not None and due.spoken.lower() in _AT_ONCE:
        return replace(due, on=None)
    return due


_AT_THE_VISIT = frozenset({"second_handler", "bring", "sedation_by_vet"})
"""What is there when the farrier comes again."""
_NEXT_WHAT = frozenset({"time", "visit", "trip", "go", "round", "trim"})


def _next_time(line: Line, unit: UnitSaid) -> Due | None:
    """ "Next time I want somebody on his head", "have somebody on his head next time"."""
    head = unit.head
    for at in (*range(head.start - 6, head.start), *range(head.end, head.end + 6)):
        low, high = (at, head.start) if at < head.start else (head.end, at)
        if line.norm(at) != "next" or line.norm(at + 1) not in _NEXT_WHAT:
            continue
        if any(line.words[i].sort == "stop" for i in range(max(low, 0), high)):
            continue
        return Due(spoken=f"next {line.norm(at + 1)}", anchor="next_visit")
    return None


def _foot_done(unit: UnitSaid, named: Assignment | None) -> bool:
    """ "Packed the off fore next trim in five weeks": the whole horse is trimmed."""
    behind = any(m.kind == "foot" for m in unit.after)
    return named is not None and len(named.feet) == 1 and not behind


def _details(line: Line, unit: UnitSaid, code: str, who: str, condition: str) -> dict[str, str]:
    """Who does it, on what condition, what else instead, what is asked, of what."""
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
    return details


# -- words that ask for something else ----------------------------------------------------------

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
    asks = _OTHER_SENSE.get(code)
    return asks is not None and asks(line, unit)


def _no_trim(line: Line, unit: UnitSaid) -> bool:
    """ "That shoe", "I've forty more to do this week", "a set of shoes"."""
    head = unit.head
    first, last = line.norm(head.start), line.norm(head.end - 1)
    if first in ("shoe", "trim", "reset"):
        return line.norm(head.start - 1) in _THOSE
    if line.text(head) in ("do", "be"):
        return True
    if (first == "another" or _till_then(line, unit)) and unit.when() is None:
        return True
    set_of = last == "set" and line.norm(head.end) == "of"
    return set_of and line.norm(head.end + 1) not in ("shoes", "plates", "new")


def _till_then(line: Line, unit: UnitSaid) -> bool:
    """ "Rest him till I see him again" asks for nothing more."""
    start = unit.head.start
    return any(line.norm(i) in ("till", "until") for i in range(start - 3, start))


def _no_look(line: Line, unit: UnitSaid) -> bool:
    """ "It bleeds if you so much as look at it", "and look at it now", "coming back"."""
    head = unit.head
    before, first = line.norm(head.start - 1), line.norm(head.start)
    if first in ("look", "see", "check"):
        exclaimed = before in ("and", ",", "") and line.norm(head.end) == "now"
        if before == "as" or exclaimed:
            return True
    only = head.size == 2 and first in _COMES and line.norm(head.end - 1) in _BACK
    if only and not unit.of("time"):
        return True
    return _till_then(line, unit) and unit.when() is None


def _films_told_of(line: Line, unit: UnitSaid) -> bool:
    """ "The vet's had his films done", "on the last films": pictures that there are."""
    head = unit.head
    if unit.has("plan", "if"):
        return False
    said, due = [line.norm(i) for i in range(head.start - 1, head.end)], unit.when()
    if "had" in said[:2] and due is None:
        return True
    bare = not set(said[1:]) - _PICTURES - _TOLD_BY - {"have", "has", "got"}
    told = bool(set(said) & _TOLD_BY) or said[0] == "'s"
    told = told or line.norm(head.end) in ("are", "is", "'s", "look", "looked", "on")
    past = due is None or due.spoken.lower() in _NOT_NEXT or said[0] == "'s"
    return bare and told and past


def _brought_to_work(line: Line, unit: UnitSaid) -> bool:
    """ "Bring the toe back", "bring him back into work"; not "bring the testers"."""
    head = unit.head
    if any(line.norm(i) in _KIT for i in range(head.start, head.end + 4)):
        return False
    if line.norm(head.start) not in ("bring", "get", "take"):
        return False
    if any(m.kind in ("foot", "place") and 0 <= m.start - head.end <= 1 for m in line.marks):
        return True
    behind = [i for i in range(head.start + 1, head.start + 3) if line.norm(i) in _HIM]
    return bool(behind) and line.norm(behind[0] + 1) in _WHERE_TO


_OTHER_SENSE: dict[str, Callable[[Line, UnitSaid], bool]] = {
    "next_trim": _no_trim,
    "recheck": _no_look,
    "radiographs": _films_told_of,
    "bring": _brought_to_work,
}


def _speaks_of_it(line: Line, unit: UnitSaid) -> bool:
    """ "I'll check it again": the foot in hand, not the horse."""
    words = [line.norm(i) for i in sorted(unit.head.covers())]
    pairs = pairwise([*words, ""])
    return any(
        a in ("it", "them") or (a in ("that", "those") and b in ("", "again")) for a, b in pairs
    )


def _close_no(line: Line, unit: UnitSaid) -> bool:
    """A denial reaches a follow-up only if it stands right before it ("no recheck needed")."""
    denied = unit.roles("negation", "work_negation")
    # "any doubt, get the vet to her"
    near = [m for m in denied if unit.head.start - m.end <= 1]
    return any(line.norm(m.end - 1) not in ("doubt", "doubts") for m in near)


def _body_end(line: Line, unit: UnitSaid) -> int:
    """Where the words end that tell what is asked."""
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
    """Who does it, as far as the words say."""
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


def _period_of(words: str) -> Due | None:
    """The period of "a five week cycle" or "every six weeks"."""
    numbers = find_numbers(words)
    if not numbers:
        return None
    low, high = numbers[0].value, numbers[0].high
    spoken = f"every {low:g}{f' to {high:g}' if high else ''} weeks"
    return Due(spoken=spoken, period=f"P{low:g}W")
