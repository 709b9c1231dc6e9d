"""What stands right before and behind a foot name: its verb, its heading, a head of its own."""

from __future__ import annotations

from fieldlog.language.words.marks import ALL_FOUR, Mark
from fieldlog.language.words.units_said import ARTICLES, COPULAS, FORWARD, Line, UnitSaid


def led_in(line: Line, head: Mark) -> bool:
    """The foot before this value was named with "on" or "in" as well, before its first value."""
    feet = [m for m in line.marks if m.kind == "foot" and m.end <= head.start]
    if not feet:
        return False
    at = feet[-1].start - 1
    while line.norm(at) in ARTICLES:
        at -= 1
    told = any(m.kind == "value" and m.start == feet[-1].end for m in line.marks)
    return line.norm(at) in ("on", "in") and told


def is_subject(line: Line, foot: Mark, chain: bool = True) -> bool:
    """ "Left front is", "left front and right hind were": a verb follows the feet."""
    at = foot.end
    for mark in line.marks if chain else ():
        if mark.kind == "foot" and mark.start >= at:
            between = {line.norm(i) for i in range(at, mark.start)} - {"the", "his", "her"}
            if between != {"and"}:
                break
            at = mark.end
    return line.norm(at) in COPULAS or line.norm(at) in _IS_NOT


_IS_NOT = frozenset({"isn't", "aren't", "wasn't", "weren't", "doesn't", "hasn't", "ain't"})


def clause_between(line: Line, foot: Mark, head: Mark) -> bool:
    """Whether "and", "but", "then" or "so" begins a clause between a foot and a head behind it."""
    return any(
        m.kind == "role"
        and m.code in ("starter", "joint")
        and m.start >= foot.end
        and line.norm(m.start) in ("and", "but", "then", "so")
        for m in line.marks
        if m.end <= head.start
    )


def value_first(line: Line, value: Mark) -> bool:
    """ "Three and an eighth right hind, three and a half near hind": its foot is behind it."""
    later = [m for m in line.marks if m.start >= value.end and m.tells()][:2]
    if not later or later[0].kind != "foot" or later[0].start - value.end > 1:
        return False
    return len(later) < 2 or later[1].kind not in ("value", "place", "measure")


def introduced(line: Line, unit: UnitSaid) -> bool:
    """ "There's a crack", "I found no heat": a clause that needs no foot before it."""
    return any(
        m.kind == "role"
        and m.code in ("starter", "farrier_says", "negation")
        and line.norm(m.start) in ("there", "i", "found", "find", "saw", "see", "got", "had", "has")
        for m in unit.before
    )


def fronted(line: Line, foot: Mark, head: Mark) -> bool:
    """ "On the right front there's a bruise", "in the hinds it hasn't changed"."""
    if line.norm(foot.end) not in ("there", "there's", "it", "they", "he's", "he", "she"):
        return False
    said_of_it = head.code == "normal" and head.start - foot.end <= 3
    if line.norm(foot.end) in ("it", "they", "he", "she") and not (
        head.kind == "change" or said_of_it
    ):
        return False
    return not own_after(line, head, led=True)


_BEFORE_ITS_FOOT = frozenset({"the", "his", "her", "both", "on", "in", "of", "off", "to", "all"})


def own_after(line: Line, head: Mark, led: bool = False) -> bool:
    """Whether a foot behind a head is its own and does not begin the next clause."""
    feet = [m for m in line.marks if m.kind == "foot" and m.start >= head.end]
    for foot in [m for m in feet if "compared" not in m.tags][:1]:
        between = [line.norm(i) for i in range(head.end, foot.start)]
        if "looks_back" in foot.tags:
            return True
        if not set(between) <= _BEFORE_ITS_FOOT or line.norm(foot.end) == "there":
            return False
        if is_subject(line, foot, False):
            return False
        return bool(between) or not led or foot.code == ALL_FOUR
    return False


def told_behind(line: Line, foot: Mark, head: Mark, led: bool = False) -> bool:
    """ "Hinds trimmed", "hinds stay bare", "behind I just reset": the foot's job follows it."""
    if head.kind not in ("work", "finding"):
        return False
    if own_after(line, head, led) or {line.norm(i) for i in head.covers()} & {
        "hinds",
        "fronts",
        "behind",
        "front",
    }:
        return False
    between = {line.norm(i) for i in range(foot.end, head.start)}
    return between <= {"just", "only", "stay", "staying", "left", "i", "we", "all", "got", "both"}


_TIES_A_FINDING = frozenset({"a", "an", "the", "has", "had", "got", "is", "'s", "with", "some",
                             "bit", "of", "just", "only", "at", "about"})  # fmt: skip


def opens(line: Line, foot: Mark, head: Mark, last: bool) -> bool:
    """ "... the left hind and right hind a bit of flare": the second foot has its own finding."""
    if head.kind not in ("finding", "value"):
        return False
    inside = range(foot.end, head.start)
    if any(line.break_at(i) for i in inside) or any(line.norm(i) == "and" for i in inside):
        return False
    between = [m for m in line.marks if foot.end <= m.start and m.end <= head.start]
    if any(m.kind == "foot" or (m.kind == "role" and m.code in FORWARD) for m in between):
        return False
    known = {i for m in between for i in m.covers()}
    if any(i not in known and line.norm(i) not in _TIES_A_FINDING for i in inside):
        return False
    cued = head.kind == "value" and any(m.start == foot.end and m.kind == "place" for m in between)
    return cued or not own_after(line, head, led=not last)


_DONE_WORDS = frozenset({"shod", "bare", "barefoot", "reset", "new"})


def is_participle(line: Line, head: Mark) -> bool:
    """ "Trimmed", "shod", "bare": one word that tells what was done to the foot before it."""
    word = line.norm(head.end - 1)
    return head.size == 1 and (word.endswith("ed") or word in _DONE_WORDS)
