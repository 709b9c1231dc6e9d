"""What something was first taken for and is not: "thought it was an abscess but it's a bruise".

The farrier's own first thought is denied by what it turned out to be; what somebody else thought
stays their word.
"""

from __future__ import annotations

from fieldlog.language.words.marks import Mark, in_order
from fieldlog.language.words.units_said import Line

_THOUGHT = frozenset({"thought", "figured", "sworn", "suspected", "reckoned", "expected", "feared"})
_LIKE = (("looked", "like"), ("sure", "it"), ("sure", "he"), ("sure", "she"), ("took", "it"),
         ("sure", "there"))  # fmt: skip
_OTHERS = frozenset({"owner", "vet", "she", "he", "they", "rider", "groom", "client", "wife",
                     "husband", "daughter", "who", "always"})  # fmt: skip
_LESS = frozenset({"just", "only", "nothing", "not", "no", "more", "merely"})
_IS = frozenset({"is", "was", "'s", "wasn't", "isn't"})
_BEFORE, _BEHIND = 7, 9


def taken_for(line: Line, marks: list[Mark]) -> list[Mark]:
    """The marks, with a denial behind each finding that something only was taken for."""
    out = list(marks)
    for begin, end in line.sentences():
        own = [m for m in marks if m.kind == "finding" and begin <= m.start < end]
        for at, mark in enumerate(own):
            if not _was_thought(line, mark, max(begin, own[at - 1].end if at else begin)):
                continue
            stop = min(end, mark.end + _BEHIND)
            if (told := _turned_out(line, marks, mark, stop)) is not None:
                out = [m for m in out if m.kind != "role" or not m.covers() & {*range(*told)}]
                out.append(Mark("role", "negation_after", *told))
    return in_order(out)


def _was_thought(line: Line, mark: Mark, begin: int) -> bool:
    for at in range(max(begin, mark.start - _BEFORE), mark.start):
        if line.norm(at - 1) in _OTHERS:
            continue
        if line.norm(at) in _THOUGHT or (line.norm(at), line.norm(at + 1)) in _LIKE:
            return True
    return False


def _turned_out(line: Line, marks: list[Mark], mark: Mark, stop: int) -> tuple[int, int] | None:
    """The words that say that it is something else, and what that is stands behind them."""
    for at in range(mark.end, stop):
        if (line.norm(at), line.norm(at + 1)) == ("turned", "out"):
            end = at + 2
        elif line.norm(at) in ("it", "that") and line.norm(at + 1) in _IS and _turns(line, at - 1):
            end = at + 2
            named = any(m.kind == "finding" and 0 <= m.start - end <= 3 for m in marks)
            if not named and line.norm(end) not in _LESS:
                continue
        elif line.norm(at) == "but" and line.norm(at + 1) in _LESS:
            end = at + 1
        else:
            continue
        behind = {line.norm(i) for i in range(end, min(stop, end + 5))}
        again = any(m.code == mark.code and 0 <= m.start - end <= 5 for m in marks)
        return None if again or "right" in behind else (at, end)
    return None


def _turns(line: Line, at: int) -> bool:
    """Whether a "but", a pause or "turns out" stands there, over small words."""
    while line.norm(at) in ("actually", "really", "in", "fact"):
        at -= 1
    return line.norm(at) in ("but", "no") or line.break_at(at)
