"""What the farrier takes back or changes while speaking; both sides are always kept.

A correction word alone does nothing: ``plan_for`` first looks at what follows ("make it" needs a
value, a time or a foot). Only then is the note cut there and the facts before it changed.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from fieldlog.language.corrections.corrected_late import (
    after_aside,
    is_told_behind,
    said_before,
    time_lately,
)
from fieldlog.language.corrections.restated import derided, named_nearer, restated, said_wrongly
from fieldlog.language.corrections.swaps import is_swap
from fieldlog.language.corrections.takes_back import (
    NUMBERS,
    about,
    after_reason,
    denies_the_foot,
    means,
    not_the,
    only_that,
    said_again,
    said_over,
    starts_afresh,
    told_to,
    turns_away,
    unsaid,
)
from fieldlog.language.feet.some_feet import is_the_fourth
from fieldlog.language.lexicon import word_set
from fieldlog.language.values.kinds import about_as_large
from fieldlog.language.words.marks import Mark, in_order
from fieldlog.language.words.units_said import Line

_SKIP = word_set("correction_links")
_NO_CORRECTION = frozenset({"than", "as", "what", "how", "where", "like", "when", "if", "since"})
"""Before "it was": a comparison, no correction."""
_WHILE = 22
"""Words between a time and the one that takes its place."""


@dataclass(slots=True)
class Plan:
    """What a correction will do."""

    mark: Mark
    action: str
    """``scratch``, ``value``, ``time``, ``foot``, ``restore``, ``code``, ``flip``, ``undeny``,
    ``weeks`` or ``unheard`` (words that put off nothing and change nothing)."""
    new: Mark | None = None
    wrong: Mark | None = None
    """The foot after "not the"."""
    end: int = 0
    """One past the last word of the correction."""
    used: list[Mark] = field(default_factory=list)


def plan_for(line: Line, mark: Mark, earlier: Mark | None) -> Plan | None:
    """What ``mark`` does, or None if its words are ordinary speech here.

    Args:
        line: words and marks.
        mark: a correction mark (not one that opens or ends a horse).
        earlier: the correction planned directly before it, if it is adjacent.
    """
    if mark.code == "it_was" and line.norm(mark.start - 1) in _NO_CORRECTION:
        return None
    if mark.code == "scratch" and told_to(line, mark):
        return None
    if mark.code in ("unheard", "weeks"):
        return Plan(mark, mark.code, mark.value, end=mark.end)
    if mark.code in _OF_TIMES:
        return _OF_TIMES[mark.code](line, mark)
    if mark.code == "flip":
        return _flip(line, mark) if is_swap(line, mark) else None
    if mark.code == "not_no":
        return _undeny(line, mark)
    if mark.code == "restore":
        return _restore(line, mark)
    if mark.code == "rather" and said_over(line, mark):
        return Plan(mark, "scratch", end=mark.end)
    if mark.code == "scratch" and (other := _other_foot(line, mark)) is not None:
        return other
    new = next(iter(_following(line, mark)), None)
    if new is not None and new.kind == "foot":
        return _foot_plan(line, mark, new, earlier is not None)
    if new is not None and (mark.code != "it_was" or said_wrongly(line, mark, new)):
        if new.kind == "time":
            return Plan(mark, "time", new, end=new.end, used=[new])
        if new.kind in NUMBERS:
            if mark.code == "make_it" and _each_its_foot(line, mark, new):
                return None
            if mark.code == "scratch" and starts_afresh(line, mark, new):
                return Plan(mark, "scratch", end=mark.end)
            return Plan(mark, "value", new, end=new.end, used=[new])
    if mark.code == "scratch":
        return _scratch(line, mark)
    if mark.code == "rather" and unsaid(line, mark):
        return Plan(mark, "scratch", end=mark.end)
    if (
        new is not None
        and new.kind == "finding"
        and mark.code in ("rather", "make_it", "it_was")
        and new.start - mark.end <= 2
        and (means(line, mark) or only_that(line, mark, new))
    ):
        return Plan(mark, "code", new, end=new.end, used=[new])
    return None


def _each_its_foot(line: Line, mark: Mark, new: Mark) -> bool:
    """ "Fifty on the near, call it fifty one on the off": two numbers, each of a foot."""
    behind = next((m for m in line.marks if m.kind == "foot" and m.start >= new.end), None)
    before = next(
        (m for m in reversed(line.marks) if m.kind == "foot" and m.end <= mark.start), None
    )
    if behind is None or before is None or before.code == behind.code:
        return False
    on = line.norm(new.end) in ("on", "in") and behind.start - new.end <= 2
    return on and mark.start - before.end <= 1 + line.break_at(before.end)


def _foot_plan(line: Line, mark: Mark, new: Mark, chained: bool) -> Plan | None:
    """ "No, the right", "scratch that, left hind": another foot, or words that begin afresh.

    Args:
        line: words and marks.
        mark: the correction.
        new: the foot that follows it.
        chained: another correction stands right before it.
    """
    if mark.code == "it_was" and is_the_fourth(line, new):
        return None
    wrong, end = not_the(line, new)
    ended = line.break_at(new.end) and not any(
        line.words[i].sort == "stop" for i in range(mark.end, new.start)
    )
    scratch = mark.code == "scratch"
    if scratch and not wrong and not ended and line.norm(new.start - 1) != "the":
        return Plan(mark, "scratch", end=mark.end)
    closes = _closes(line, mark, new, chained)
    if not closes and mark.code == "rather" and said_again(line, mark, new):
        return Plan(mark, "scratch", end=mark.end)
    if closes or wrong is not None:
        return Plan(mark, "foot", new, wrong, end, [new] + ([wrong] if wrong else []))
    return Plan(mark, "scratch", end=mark.end) if scratch else None


def _closes(line: Line, mark: Mark, new: Mark, chained: bool) -> bool:
    """Whether a foot behind a correction is all that is put right: "no, the right."."""
    after = line.norm(new.end)
    if line.break_at(new.end) or after in ("not", "", "and", "so"):
        return True
    if mark.code == "it_was" and denies_the_foot(line, mark):
        return True  # "it's not the hinds that are chipped it's the fronts hinds are perfect"
    if chained and (
        mark.code in ("scratch", "it_was")
        or turns_away(line, new)
        or any(m.kind == "foot" and m.start == new.end for m in line.marks)
    ):
        return True
    if mark.code == "rather" and after in ("i", "we"):
        return True
    return is_told_behind(line, new)


def _scratch(line: Line, mark: Mark) -> Plan | None:
    """ "Scratch that", "forget the crack", "scratch what I said about the thrush"."""
    if line.norm(mark.end - 1) == "the":
        thing = next((m for m in line.marks if m.start == mark.end), None)
        if thing is None or thing.kind not in ("finding", "work"):
            return None
    else:
        thing = about(line, mark)
    if thing is None:
        return Plan(mark, "scratch", end=mark.end)
    return Plan(mark, "restore", None, thing, thing.end, [thing])


def _other_foot(line: Line, mark: Mark) -> Plan | None:
    """ "Scratch the near fore, that's the off": what was told of the one is the other's."""
    wrong = next((m for m in line.marks if m.kind == "foot" and m.start == mark.end), None)
    if wrong is None or line.norm(mark.end - 1) != "the":
        return None
    is_it = next((m for m in line.marks if m.code == "it_was" and m.start >= wrong.end), None)
    if is_it is None or is_it.start - wrong.end > 1 + line.break_at(wrong.end):
        return None
    at = is_it.end + (line.norm(is_it.end) == "the")
    new = next((m for m in line.marks if m.kind == "foot" and m.start == at), None)
    return Plan(mark, "foot", new, wrong, new.end, [new, wrong, is_it]) if new else None


def _flip(line: Line, mark: Mark) -> Plan:
    """ "Swap those, right is the quarter and left is the three eighths": with what it repeats."""
    again = restated(line, mark)
    return Plan(mark, "flip", end=again[-1].end if again else mark.end, used=again)


def _undeny(line: Line, mark: Mark) -> Plan | None:
    """ "Leave out the no blood, there was a spot of it": what was denied is there."""
    thing = next((m for m in line.marks if m.kind == "finding" and m.start == mark.end), None)
    return Plan(mark, "undeny", thing, end=thing.end, used=[thing]) if thing else None


def _nearer(line: Line, mark: Mark) -> Plan | None:
    """ "In a week, well, more like ten days": a time or a number right behind one of its kind."""
    old, new = said_before(line, mark), next(iter(_following(line, mark)), None)
    if old is None or new is None:
        return None
    if old.kind == "time" and (new.kind == "time" or _bare(new)):
        return Plan(mark, "time" if new.kind == "time" else "value", new, end=new.end, used=[new])
    if new.kind in NUMBERS and old.number and about_as_large(old.number, new.number):
        return Plan(mark, "value", new, end=new.end, used=[new])
    return None


def _bare(mark: Mark) -> bool:
    """A number of which no unit is said: "six weeks, or more like seven"."""
    return mark.kind in NUMBERS and mark.number is not None and mark.number.unit is None


def _other_time(line: Line, mark: Mark) -> Plan | None:
    """ "Six weeks, I told her, so I'm coming on the seventh instead": of two times the last."""
    times = [m for m in line.marks if m.kind == "time" and m.end <= mark.start][-2:]
    if len(times) < 2 or mark.start - times[1].end > 1 or times[1].start - times[0].end > _WHILE:
        return None
    return Plan(mark, "time", times[1], end=mark.end, used=[times[1]])


def _go_for(line: Line, mark: Mark) -> Plan | None:
    """ "Five weeks. No wait, she's got the show, so let's go four"."""
    new = next(iter(_following(line, mark)), None)
    if new is None or time_lately(line, mark) is None:
        return None
    if new.kind == "time":
        return Plan(mark, "time", new, end=new.end, used=[new])
    closes = line.break_at(new.end) or line.norm(new.end) in _AFTER_WEEKS
    return Plan(mark, "value", new, end=new.end, used=[new]) if closes and _bare(new) else None


_AFTER_WEEKS = frozenset({"", "then", "that", "so", "and", "not", "instead", "this", "again", "for",
                          "because", "since", "till", "until"})  # fmt: skip
_OF_TIMES = {"nearer": _nearer, "instead": _other_time, "go_for": _go_for}


def plans(line: Line, begin: int = 0, end: int | None = None) -> list[Plan]:
    """The corrections of a stretch of words that do something, in order."""
    stop = len(line.words) if end is None else end
    out: list[Plan] = []
    for mark in in_order([*line.marks, *named_nearer(line), *derided(line)]):
        if mark.kind != "correction" or mark.code in ("new_horse", "end_horse"):
            continue
        if not (begin <= mark.start and mark.end <= stop):
            continue
        if out and mark.start < out[-1].end:
            continue
        near = out[-1].mark if out and mark.start - out[-1].end <= 3 else None
        plan = plan_for(line, mark, near)
        if plan is not None:
            plan.end = min(max(plan.end, mark.end), stop)
            out.append(plan)
    return out


def _following(line: Line, mark: Mark) -> list[Mark]:
    """Marks right after the correcting words, over commas, pauses and small words."""
    at = mark.end
    by_start = {m.start: m for m in line.marks}
    for _ in range(7):
        if at >= len(line.words):
            break
        hit = by_start.get(at)
        told = hit is not None and hit.kind in (*NUMBERS, "foot", "time", "finding")
        if hit is not None and told and not _denied_foot(line, hit):
            return [hit]
        further = _past(line, mark, hit, at)
        if further == at:
            if mark.code == "scratch" or (mark.code == "rather" and line.words[at].sort == "stop"):
                return after_reason(line, at)  # "New shoes on the fronts. No. Hinds."
            return after_aside(line, mark)
        at = further
    return []


def _denied_foot(line: Line, mark: Mark) -> bool:
    """ "Not the left, the right": a foot that is not meant."""
    at = mark.start
    return mark.kind == "foot" and "not" in (line.norm(at - 1), line.norm(at - 2))


def _past(line: Line, mark: Mark, hit: Mark | None, at: int) -> int:
    """Where the words go on behind one that puts nothing right; ``at`` itself if it stops them."""
    word = line.words[at]
    if hit is not None and (hit.kind == "correction" or _denied_foot(line, hit)):
        return hit.end
    if word.sort in ("comma", "pause") or word.norm in _SKIP:
        return at + 1
    if word.sort == "stop" and mark.code == "scratch":
        return at + 1
    glue = ("unsure_before", "mild", "adverb", "copula")
    if hit is not None and hit.kind == "role" and hit.code in glue:
        return at if word.sort == "stop" and mark.code == "rather" else hit.end
    return at


def _restore(line: Line, mark: Mark) -> Plan | None:
    """What stands after all, and what was meant to go instead."""
    inside = [
        m
        for m in line.marks
        if m.kind in ("finding", "work") and mark.start <= m.start < mark.end + 1
    ]
    after = [
        m
        for m in line.marks
        if m.kind in ("finding", "work", "value") and mark.end <= m.start <= mark.end + 12
    ]
    words = " ".join(w.norm for w in line.words[mark.start : mark.end + 14])
    meant = "meant" in words
    if not inside and not meant:
        return None
    nailed = line.norm(mark.start) == "put" and line.norm(mark.end) in ("on", "under")
    if nailed and any(m.kind == "work" for m in inside):
        return None  # "put the heart bar back on": a job, and nothing taken back
    wrong = after[0] if after and meant else None
    keep = inside[0] if inside else None
    if keep is None and wrong is None:
        return None
    end = wrong.end if wrong else mark.end
    return Plan(mark, "restore", keep, wrong, end, [m for m in (keep, wrong) if m])
