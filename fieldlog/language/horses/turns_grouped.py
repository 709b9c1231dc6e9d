"""Several horses spoken of at once: their part, and what goes on behind it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fieldlog.language.horses.groups import Group
from fieldlog.language.horses.listed import TELLS_OF_ONE
from fieldlog.language.horses.mentioned import clause_start, leads_only
from fieldlog.language.horses.naming import BREAKS, herd_words
from fieldlog.language.horses.parting import WHOLE_HORSE, Parting, Turn

_WORDS = herd_words("turns")


def grouped(parting: Parting, group: Group) -> None:
    """Several horses are spoken of at once."""
    if len(parting.herd.beasts) < 2 or (parting.now.said and parting.now.said[1] > group.start):
        return
    if group.opens_sentence and group.start and parting.words[group.start - 1].sort != "stop":
        return
    parting.worked(group.start)
    members = _members(parting, group)
    if len(members) < 2:
        return
    leading = leads_only(parting.words, group.start)
    begin, until = _reach(parting, group, leading)
    if begin is None or not parting.told(begin, until, TELLS_OF_ONE | WHOLE_HORSE):
        return
    if group.bare and not _of_whole_horses(parting, begin, until, group):
        return
    _begin(parting, group, members, begin, until)


def _begin(parting: Parting, group: Group, members: Sequence[int], begin: int, until: int) -> None:
    """Note the part of a group, of one that is excepted from it, and what goes on behind both.

    Args:
        parting: the parts so far.
        group: the words that mean several horses.
        members: which they are.
        begin: the first word of what is told of them.
        until: the one behind the last.
    """
    before, excepted = parting.now, _excepted(parting, group.end, until)
    if excepted is not None:
        members = [horse for horse in members if horse not in excepted.horses]
    who = tuple(
        replace(parting.herd.beasts[horse].opening, start=group.start, end=group.end,
                replaced=None, begins=None)
        for horse in members
    )  # fmt: skip
    parting.out.append(Turn(begin, who, tuple(members), (group.start, group.end)))
    parting.tell(members, begin, until if excepted is None else excepted.begin)
    if excepted is not None:
        parting.out.append(excepted)
    if until < len(parting.words):
        parting.out.append(Turn(until, before.who, before.horses))


def _excepted(parting: Parting, begin: int, end: int) -> Turn | None:
    """ "Everybody six weeks except Juno, she's four": the part of the one that is excepted."""
    words = parting.words
    found = [at for at in range(begin, end) if words[at].norm in _WORDS["except"]]
    for at in found[:1]:
        first = at + 1
        while first < end and words[first].norm in ("for", "the", "old", "little"):
            first += 1
        for horse, beast in enumerate(parting.herd.beasts):
            name = beast.opening.name.lower().split()
            named = bool(name) and [w.norm for w in words[first : first + len(name)]] == name
            if named or (first < end and words[first].norm in beast.looks):
                last = first + (len(name) if named else 1)
                return Turn(at, (replace(beast.opening, start=at, end=last, begins=None),),
                            (horse,), (at, last))  # fmt: skip
    return None


def _of_whole_horses(parting: Parting, begin: int, until: int, group: Group) -> bool:
    """Whether what is told there is of whole horses: "both of them" are feet where feet are
    spoken of before in the sentence."""
    if parting.told(begin, until, WHOLE_HORSE):
        return True
    start = begin
    while start > 0 and parting.words[start - 1].sort != "stop":
        start -= 1
    before = [t.said[1] for t in parting.out if t.said is not None and len(t.who) > 1]
    start = max([start, parting.out[-1].begin if parting.out[-1].said else 0, *before])
    feet = parting.told(start, until, frozenset({"foot", "place"}))
    if group.hardly_feet(parting.words[group.start].norm, parting.stopped):
        feet = [m for m in feet if not group.start <= m.start < group.end]
    return not feet


def _members(parting: Parting, group: Group) -> list[int]:
    """The horses that a group is."""
    now = set(parting.now.horses)
    if group.others:
        rest = [horse for horse in parting.herd.last(0) if horse not in now]
        return rest[-group.count :] if group.count else rest
    if group.looks:
        alike = parting.herd.looking(set(group.looks), group.count)
        if len(alike) > 1:
            return alike
    members = parting.herd.last(group.count)
    if group.bare and group.count not in (0, len(members)):
        return []
    return members


def _reach(parting: Parting, group: Group, leading: bool) -> tuple[int | None, int]:
    """The first word of what is told of a group, and the one behind the last."""
    words = parting.words
    behind = not parting.stopped and parting.told(group.end, group.end + 2, WHOLE_HORSE)
    if leading or behind:
        return group.start, _end_of_sentence(parting, group.end)
    begin = clause_start(words, group.start - 1) if group.start else 0
    begin = max(begin, parting.now.begin)
    if not parting.stopped:
        marks = [m for m in parting.marks if m.end in (group.start, group.start - 1)]
        begins = [m.start for m in marks if m.kind in TELLS_OF_ONE | WHOLE_HORSE | {"number"}]
        return min(begins, default=None), group.end
    end = group.end
    while end < len(words) and words[end].sort not in BREAKS:
        end += 1
    return begin, end


def _end_of_sentence(parting: Parting, at: int) -> int:
    """One past the last word of the sentence; without stops, the next foot behind a fact."""
    words = parting.words
    if any(w.sort == "stop" for w in words):
        while at < len(words) and words[at].sort != "stop":
            at += 1
        return at
    first = next((m.end for m in parting.told(at, len(words), TELLS_OF_ONE | WHOLE_HORSE)), at)
    feet = [m.start for m in parting.told(first, len(words), frozenset({"foot"}))]
    return min(feet, default=len(words))
