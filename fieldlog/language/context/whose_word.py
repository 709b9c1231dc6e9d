"""Whose word each statement is: the farrier's, the owner's, the vet's or somebody else's.

``reporters`` marks who says something; here it is decided how far a saying reaches: over a list
joined to it, until the farrier speaks for himself again, names another foot or turns.
"""

from __future__ import annotations

from itertools import pairwise

from fieldlog.core.facts import Reporter
from fieldlog.language.context.reporters import films_before
from fieldlog.language.lexicon import word_set
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import Line, UnitSaid

_SAYERS = {"farrier_says": Reporter.FARRIER, "owner_says": Reporter.OWNER,
           "vet_says": Reporter.VET, "other_says": Reporter.OTHER}  # fmt: skip
_PERSONS = {
    "vet": Reporter.VET, "veterinarian": Reporter.VET, "doc": Reporter.VET, "dr": Reporter.VET,
    "doctor": Reporter.VET, "owner": Reporter.OWNER, "client": Reporter.OWNER,
    "rider": Reporter.OWNER, "lady": Reporter.OWNER, "trainer": Reporter.OTHER,
    "missus": Reporter.OWNER, "groom": Reporter.OWNER, "dealer": Reporter.OTHER,
    "seller": Reporter.OTHER,
}  # fmt: skip
_LAY = (Reporter.OWNER, Reporter.OTHER)
_PRONOUNS = frozenset({"he", "she", "they"})
_TURNS = frozenset({"but", "so", "however", "though", "although", "anyway", "okay", "otherwise"})
"""Clause starters after which the farrier speaks for himself again."""


def _says(line: Line, mark: Mark) -> Reporter:
    """Who speaks; "he says" is whoever of vet and owner was named last."""
    told = _SAYERS[mark.code]
    if mark.code == "owner_says" and line.norm(mark.start) in _PRONOUNS:
        for at in range(mark.start - 1, max(-1, mark.start - 60), -1):
            person = _PERSONS.get(line.norm(at))
            if person is not None:
                return person
    return told


def reporter_of(
    line: Line, unit: UnitSaid, left: UnitSaid | None, current: Reporter, at: int
) -> Reporter:
    """Who says what the unit tells.

    Args:
        line: the words.
        unit: the statement.
        left: the unit before it in the sentence, if any.
        current: whose word that one was.
        at: how many units of the sentence stand before.
    """
    if unit.head.kind == "advice" or unit.head.code == "denied_here":
        return Reporter.FARRIER
    if unit.head.code in ("rotation", "sinking") and films_before(line, unit.head.start):
        return Reporter.VET
    if unit.head.code == "drugs_given" and _from_a_vet(line, unit):
        return Reporter.VET
    if (named := _sayer_before(line, unit)) is not None:
        return named
    late = [m for m in unit.after if m.kind == "role" and m.code in _SAYERS]
    late = [m for m in late if m.code != "farrier_says"]
    closes = late and (at == 0 or _closes(line, late[0]) or "behind" in late[0].tags)
    if late and (late[0].code != "owner_says" or closes):
        return _says(line, late[0])
    if current is Reporter.FARRIER or left is None or unit.head.kind == "work":
        return Reporter.FARRIER
    return current if _goes_on(line, left, unit, current) else Reporter.FARRIER


def _sayer_before(line: Line, unit: UnitSaid) -> Reporter | None:
    """Whose word it is by what is said before it: "owner says", "I found"."""
    for mark in reversed(unit.before):
        if mark.kind == "role" and mark.code in _SAYERS:
            if mark.code == "farrier_says" and line.norm(mark.start) == "me":
                continue
            if _i_myself(line, mark, unit):
                return Reporter.FARRIER
            if unit.head.kind == "work" and line.norm(mark.end - 1) in ("found", "saw", "seen"):
                continue  # "kids found it so I put it back on"
            return _says(line, mark)
    return None


def _goes_on(line: Line, left: UnitSaid, unit: UnitSaid, current: Reporter) -> bool:
    """Whether somebody's word goes on: "owner says he's short and there's heat in it"."""
    head, apart = unit.head, unit.head.start - left.head.end
    if line.norm(head.start - 1) in ("i", "i've"):
        return False
    between = {line.norm(i) for i in range(left.head.end, head.start)}
    joined = between & {"and", "or", ",", "with"}
    far = apart > 6 or (current in _LAY and not joined and apart > 2)
    if between & _TURNS or far or head.kind in ("followup", "handling", "advice"):
        return False
    if any(line.norm(m.start) == "i" for m in unit.roles(*_MY_WORDS)):
        return False
    if not joined and unit.feet():
        return False
    return current not in _LAY or not any(
        m.kind == "foot" or (m.kind == "role" and m.code == "starter") for m in unit.before
    )


def _from_a_vet(line: Line, unit: UnitSaid) -> bool:
    """ "The vet gave him bute", "on bute from the vet": who gave it knows of it."""
    near = range(max(unit.start, unit.head.start - 6), unit.head.end + 4)
    told = {line.norm(i) for i in near}
    return bool(told & word_set("vet_words")) and not told & {
        "i",
        "owner",
        "she's",
        "no",
        "nothing",
    }


def _i_myself(line: Line, mark: Mark, unit: UnitSaid) -> bool:
    """ "Doc said to take them off so I pulled them", "he's on bute, I gave him nothing"."""
    before = line.norm(unit.head.start - 1)
    if line.norm(unit.head.start) == "i" or before in ("i", "i've"):
        return mark.end < unit.head.start - 1 or unit.head.kind != "work"
    between = [line.norm(i) for i in range(mark.end, unit.head.start)]
    return unit.head.kind == "work" and any(
        a == "so" and b in ("i", "we", "i've", "i'm") for a, b in pairwise(between)
    )


def _closes(line: Line, mark: Mark) -> bool:
    """The saying stands behind what was said: "short in front, the owner noticed it"."""
    return line.norm(mark.end) in ("it", "that", "this", "") or line.break_at(mark.end)


_MY_WORDS = ("farrier_says", "unsure_before", "unsure_after")
