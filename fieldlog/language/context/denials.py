"""Denials that stand behind what they deny, and a nought before it.

"Thrush none", "heat and pulse absent", "cracks not seen", "zero heat". What the farrier found
against another's word ("owner thinks there's heat but I found none") is a fact of his own.
"""

from __future__ import annotations

from itertools import pairwise

from fieldlog.language.context.taken_for import taken_for
from fieldlog.language.ellipsis.mates import deny_mates
from fieldlog.language.words.marks import Mark, in_order
from fieldlog.language.words.units_said import Line

_FARRIER = frozenset({"i", "i've", "me", "we"})
_SAW = frozenset(
    {
        "found", "saw", "see", "felt", "find", "had", "got", "could", "couldn't", "can", "can't",
        "never", "didn't", "'ve", "feel", "noticed", "seen",
    }
)  # fmt: skip
_IS_NOT = (("'s", "not"), ("isn't",), ("ain't",), ("is", "not"), ("wasn't",))
_COULD_NOT = frozenset({"can't", "couldn't", "didn't", "never"})
_THAT = frozenset({"one", "it", "anything", "that", "them"})
_NONE = frozenset({"none", "nothing", "any", "no"})
_OF_IT = frozenset(
    {"sign", "of", "it", "that", "signs", "a", "today", "at", "all", "myself", "them"}
)


def settle_denials(line: Line, marks: list[Mark]) -> list[Mark]:
    """The marks, with noughts and late denials told from other words."""
    marks = deny_mates(line, marks)
    out: list[Mark] = []
    first_at = {m.start: m for m in reversed(marks)}
    for mark in marks:
        following = first_at.get(mark.end)
        if (
            mark.kind == "number"
            and mark.number.value == 0
            and line.text(mark) in ("zero", "nought", "naught", "0")
            and following is not None
            and following.kind == "finding"
        ):
            mark = Mark("role", "negation", mark.start, mark.end)
        elif mark.code == "negation" and _said_behind(line, marks, mark):
            mark.code = "negation_after"
        elif mark.code == "negation_after" and line.norm(mark.end).endswith("ing"):
            continue  # "the foot's quit changing"
        if mark.kind == "finding" and _stopped(line, mark):
            out = [m for m in out if not m.holds(mark.start - 1)]
            out.append(Mark("role", "negation", mark.start - 1, mark.start))
        out.append(mark)
    for step in (_place_again, taken_for, _own_words, _now_well):
        out = step(line, out)
    return out


def _stopped(line: Line, mark: Mark) -> bool:
    """ "Stopped draining", "quit bleeding"."""
    word, before = line.norm(mark.start), line.norm(mark.start - 1)
    done = before in ("stopped", "quit", "ceased", "stopping") or (
        before in ("done", "finished") and line.norm(mark.start - 2) in ("is", "'s", "are", "all")
    )
    return done and word.endswith("ing")


def _said_behind(line: Line, marks: list[Mark], no: Mark) -> bool:
    """ "Thrush no, heat: nil": the word closes what stands before it."""
    word = line.text(no)
    if word not in ("no", "nil"):
        return False
    start = no.start
    ends = no.end >= len(line.words) or line.words[no.end].sort == "stop"
    if (word == "nil" or ends) and line.norm(start - 1) in (":", ","):
        start -= 1
    closes = word == "nil" or line.break_at(no.end)
    return closes and any(m.kind == "finding" and m.end == start for m in marks)


def _foot_next(line: Line, marks: list[Mark], at: int) -> bool:
    while line.norm(at) in ("the", "his", "her"):
        at += 1
    return any(m.kind == "foot" and m.start == at for m in marks)


def _words_at(line: Line, at: int, count: int) -> tuple[str, ...]:
    return tuple(line.norm(at + i) for i in range(count))


def _own_words(line: Line, marks: list[Mark]) -> list[Mark]:
    """ "But I found none": what somebody reported is denied by the farrier himself.

    So is what he himself took it for: "I was going to say thrush, but it isn't".
    """
    reports = [m for m in marks if m.code in ("owner_says", "vet_says", "other_says", "nearly")]
    if not reports:
        return marks
    out = list(marks)
    for at in range(len(line.words)):
        told = [m for m in reports if m.end <= at]
        if not told:
            continue
        word = line.norm(at)
        if word in ("he", "she", "it"):
            no = _is_not_so(line, out, told[-1], at)
        elif word in _FARRIER or (word in ("can't", "couldn't") and line.break_at(at - 1)):
            no = _disagrees(line, at) or _found_none(line, out, at, word in _FARRIER)
        else:
            continue
        if no is not None:
            words = no.covers()
            out = [m for m in out if not m.touches(words)]
            out.append(no)
    return in_order(out)


def _is_not_so(line: Line, marks: list[Mark], report: Mark, at: int) -> Mark | None:
    """ "Rider says he's lame. Well he's not"."""
    said = next((n for n in _IS_NOT if _words_at(line, at + 1, len(n)) == n), None)
    if said is None:
        return None
    end = at + 1 + len(said)
    closes = line.break_at(end) or line.norm(end) in ("when", "for", "today", "now", "either")
    if not closes and not _foot_next(line, marks, end):
        return None
    no = ("role", "negation_after") if report.code == "nearly" else ("change", "denied_here")
    return Mark(*no, at, end)


def _disagrees(line: Line, at: int) -> Mark | None:
    """ "Owner thinks he's lame, I don't", "I disagree"."""
    closes = line.break_at(at + 2) or line.norm(at + 2) in ("no", "and", "so")
    if line.norm(at + 1) not in ("don't", "disagree") or not closes:
        return None
    return Mark("change", "denied_here", at, at + 2)


def _found_none(line: Line, marks: list[Mark], at: int, mine: bool) -> Mark | None:
    """ "But I found none", "I couldn't find it", "can't see it": said of the whole report."""
    end = at + mine
    while line.norm(end) in _SAW:
        end += 1
    denied = {line.norm(i) for i in range(at, end)} & _COULD_NOT
    if end == at + 1 or line.norm(end) not in (_NONE | _THAT if denied else _NONE):
        return None
    end += 1
    while line.norm(end) in _OF_IT:
        end += 1
    closes = line.break_at(end) or line.norm(end) in ("and", "so", "in", "on", "but")
    if not closes and not any(m.kind == "foot" and m.start == end for m in marks):
        return None
    told = ("finding", "work", "foot", "place")
    if any(m.kind in told and at <= m.start < end for m in marks):
        return None
    return Mark("change", "denied_here", at, end)


_WELL = frozenset(
    {
        "normal", "clear", "fine", "okay", "ok", "good", "clean", "dry", "quiet", "cool", "cold",
        "healed",
    }
)  # fmt: skip
_NOW = frozenset({"now", "today"})
_EARLIER = frozenset({"was", "were", "had", "'d", "used"})
_THEN = ("history_before", "history_after", "against_last")


def _now_well(line: Line, marks: list[Mark]) -> list[Mark]:
    """ "Thrush was bad in the summer, clear now": what was there then is denied today."""
    out = list(marks)
    for begin, end in line.sentences():
        for at in range(begin, end):
            if line.norm(at) not in _WELL:
                continue
            first, last = at, at + 1
            if line.norm(at - 1) in _NOW:
                first = at - 1
            elif line.norm(last) in _NOW:
                last += 1
            else:
                continue
            heads = [m for m in out if begin <= m.start and m.end <= first and m.kind in _HEADS]
            if not heads or heads[-1].kind != "finding" or heads[-1].code in ("normal", "sound"):
                continue
            since = heads[-1].start - 3
            told = any(m.code in _THEN and m.start >= since and m.end <= first for m in out)
            if not told or not any(
                line.norm(i) in _EARLIER for i in range(max(begin, since), first)
            ):
                continue
            between = [m for m in out if heads[-1].end <= m.start < first]
            if any(m.kind == "place" for m in between[-1:]):
                continue
            words = set(range(first, last))
            out = [m for m in out if not m.touches(words)]
            out.append(Mark("change", "denied_here", first, last))
    return in_order(out)


_HEADS = frozenset({"finding", "work", "value", "followup", "handling", "change", "score"})


_TAKEN_BACK = frozenset({"no", "sorry", "wait", "rather", "mean", "actually", "correction", "oops"})
_BESIDE = frozenset(
    {"the", "i", "or", "on", "in", "at", "its", "his", "her", "it's", "it", "'s", ","}
)


def _place_again(line: Line, marks: list[Mark]) -> list[Mark]:
    """ "Inside quarter, no, the outside quarter": the second place is meant."""
    places = [m for m in marks if m.kind in ("place", "side")]
    gone: set[int] = set()
    for left, right in pairwise(places):
        words = [line.norm(i) for i in range(left.end, right.start)]
        if not 1 <= len(words) <= 5 or not set(words) & _TAKEN_BACK:
            continue
        if set(words) - _TAKEN_BACK - _BESIDE or (left.kind != right.kind and len(words) > 4):
            continue
        group_end = max([right.end, *(m.end for m in places if m.start == right.end)])
        if any(m.kind == "finding" and m.start == group_end for m in marks):
            continue
        gone.add(id(left))
        gone |= {id(m) for m in places if m.end == left.start}
    return [m for m in marks if id(m) not in gone]
