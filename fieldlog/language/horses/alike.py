"""A horse told to be like another one: "Dolly, same as Copper", "number two, ditto", "same on Max".

What is meant by it is told elsewhere (``entries.same_as``); here stands only where it is said, of
whom, and which horse it is like.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fieldlog.language.horses.naming import BREAKS, COUNTED, Opening
from fieldlog.language.horses.parting import Turn
from fieldlog.language.horses.same_words import SAME_WORDS, same_said
from fieldlog.language.words.tokens import Token

_REFERENCE = 4
"""Words behind "same as" in which the other horse is named or described."""

_DEGREE = 6
"""Words behind it in which it is said to be better or worse."""


@dataclass(frozen=True, slots=True)
class Alike:
    """Words that tell of a horse what was told of another one."""

    turn: int
    """The part of the note in which they stand, by its place among the turns."""
    start: int
    """Their first word."""
    end: int
    """One past the last."""
    like: int
    """The other horse, by its place among the horses of the note."""
    name: str
    """What the note calls the other horse; empty if it has no name."""
    other_degree: bool = False
    """Whether it is said to be better or worse: "same as Copper, only worse"."""


def likenesses(words: Sequence[Token], turns: Sequence[Turn]) -> list[Alike]:
    """Where a horse is told to be like another one, in order.

    Args:
        words: those of the note.
        turns: whose turn it is in it.
    """
    out: list[Alike] = []
    if not any(w.norm in SAME_WORDS["heads"] for w in words):
        return out
    for at, turn in enumerate(turns):
        stop = turns[at + 1].begin if at + 1 < len(turns) else len(words)
        found = next(_said_in(words, turns, at, stop), None) if turn.horses else None
        out += [found] if found is not None else []
    return out


def _said_in(
    words: Sequence[Token], turns: Sequence[Turn], turn: int, stop: int
) -> Iterator[Alike]:
    """The likenesses that one part tells."""
    said = turns[turn].said
    at = turns[turn].begin
    while at < stop:
        end = same_said(words, at)
        if not end:
            at += 1
            continue
        like, behind = None, end
        if _norm(words, end) == "as":
            like, behind = _referred(words, turns, turn, end + 1)
        elif said is not None and _leads(words, end, said):
            like, behind = _one_before(turns, turn), said[1]
        elif said is not None and _follows(words, at, end, said, stop):
            like = _one_before(turns, turn)
        if like is not None and like not in turns[turn].horses:
            worse = min(_degree_said(words, behind), stop)
            name = _called(turns[: turn + 1], like)
            yield Alike(turn, at, max(behind, worse), like, name, worse > behind)
        at = end


def _degree_said(words: Sequence[Token], at: int) -> int:
    """One past the last of "only worse", "but not so bad" from a word on; 0 if it is not said."""
    for end in range(at, min(len(words), at + _DEGREE)):
        if words[end].norm in SAME_WORDS["other_degree"]:
            return end + 1
        if words[end].sort != "comma" and words[end].norm not in SAME_WORDS["to_degree"]:
            break
    return 0


def _norm(words: Sequence[Token], at: int) -> str:
    return words[at].norm if 0 <= at < len(words) else ""


def _leads(words: Sequence[Token], end: int, said: tuple[int, int]) -> bool:
    """ "Same on Minor": said before the name."""
    return end <= said[0] and all(w.norm in SAME_WORDS["onto"] for w in words[end : said[0]])


def _follows(words: Sequence[Token], at: int, end: int, said: tuple[int, int], stop: int) -> bool:
    """ "Dolly, the same": said right behind the name, and not "same size", "same on the left"."""
    if at < said[1]:
        return False
    between = words[said[1] : at]
    if not all(w.sort in BREAKS or w.norm in SAME_WORDS["links"] for w in between):
        return False
    told = words[at:end]
    behind = _norm(words, end)
    if end >= stop:
        return True
    if behind in ("on", "with", "in", "for"):
        return False
    whole = len({w.norm for w in told} & SAME_WORDS["things"]) > 0 or told[-1].norm != "same"
    return whole or words[end].sort in BREAKS or behind in SAME_WORDS["goes_on"]


def _referred(
    words: Sequence[Token], turns: Sequence[Turn], turn: int, at: int
) -> tuple[int | None, int]:
    """The horse that is named or described behind "same as", and one past those words."""
    for opening, horse in _told_before(turns, turn):
        name = re.findall(r"[^\W_]+", opening.name.lower())
        if name and [w.norm for w in words[at : at + len(name)]] == name:
            end = at + len(name)
            return (None, end) if _norm(words, end) == "'s" else (horse, end)
    for end in range(at + 1, min(len(words), at + _REFERENCE) + 1):
        word = words[end - 1].norm
        if word in SAME_WORDS["before"] and _norm(words, end) not in SAME_WORDS["visits"]:
            return _one_before(turns, turn), end + (_norm(words, end) == "one")
        for opening, horse in _told_before(turns, turn):
            looks = {*opening.looks, *opening.details.values()}
            place = f" {COUNTED.get(word, 0)}"
            if word in looks or any(look.endswith(place) for look in looks):
                return horse, end
        if word not in SAME_WORDS["leads_to_looks"]:
            break
    return None, at


def _told_before(turns: Sequence[Turn], turn: int) -> Iterator[tuple[Opening, int]]:
    """The horses of the parts before one, the last first."""
    for earlier in reversed(turns[:turn]):
        yield from zip(earlier.who, earlier.horses, strict=False)


def _one_before(turns: Sequence[Turn], turn: int) -> int | None:
    """The other horse that was told of last; None if there is none."""
    own = set(turns[turn].horses)
    alone = [t.horses[0] for t in turns[:turn] if len(t.horses) == 1 and not own & {*t.horses}]
    several = [t.horses[-1] for t in turns[:turn] if t.horses and not own & {*t.horses}]
    return next(reversed(alone or several), None)


def _called(turns: Sequence[Turn], horse: int) -> str:
    """What the note calls a horse; empty if it only describes it."""
    names = [o.name for t in turns for o, at in zip(t.who, t.horses, strict=False) if at == horse]
    return next((name for name in names if name), "")
