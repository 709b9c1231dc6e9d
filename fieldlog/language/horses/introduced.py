"""A horse introduced: "next horse is Dusty, a bay gelding"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from fieldlog.language.horses.naming import (
    COLOURS,
    LINKS,
    SEXES,
    TYPES,
    NameAt,
    Opening,
    bare_name,
    titled,
)
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.tokens import Token

_FRESH = frozenset({"next", "new"})
_WEAK = frozenset({"this", "here", "doing", "did", "done", "now", "okay", "got", "have", "horse",
                   "working", "moving", "going", "move", "on", "onto", "over", "and",
                   "switching", "note", "notes", "record", "entry", "another"})  # fmt: skip
"""First words that begin a horse only before a name or what tells of one."""
_LEADS_TO_NAME = frozenset({"this", "here", "notes", "note", "horse", "working", "moving", "onto",
                            "on"})  # fmt: skip


@dataclass(slots=True)
class _Told:
    """What the words behind "next horse is" tell of a horse."""

    end: int
    """One past the last word that tells."""
    at: int
    """Where the reading stopped: the word of the name, if there is one."""
    name: str = ""
    known: bool = False
    details: dict[str, str] = field(default_factory=dict)
    replaced: tuple[int, int] | None = None


def introduced(
    words: Sequence[Token],
    mark: Mark,
    names: Sequence[NameAt],
    text: str,
    meaningful: set[int],
) -> Opening | None:
    """ "Next horse is Dusty, a bay gelding": the horse that the words behind a trigger tell of."""
    told = _read_on(words, mark, names, text, meaningful)
    if told.name:
        told.end, more = _described(words, told.end, meaningful)
        told.details = {**more, **told.details}
    first, last = words[mark.start].norm, words[mark.end - 1].norm
    weak = first in _WEAK
    seen = "sex" in told.details or "colour" in told.details
    if not told.name and not seen and (weak or told.end <= mark.end):
        if first in _FRESH and last in ("horse", "one", "'s"):
            return Opening(mark.start, mark.end, "", {}, False)
        return None
    if weak and _too_weak(words, mark, told, text):
        return None
    if told.name and not told.known and not _may_be_name(words, mark, told, text):
        return None
    name = told.name
    if name and not told.known:
        name = " ".join(part[:1].upper() + part[1:] for part in name.split())
    return Opening(mark.start, told.end, name, told.details, told.known, told.replaced)


def _may_be_name(words: Sequence[Token], mark: Mark, told: _Told, text: str) -> bool:
    """Whether an unlisted name is written as the note writes names: "from start to finish" and
    "the tan horse, whose name is Sherman" name no Finish and no Whose."""
    if titled(text, words, told.at) or words[mark.end - 1].norm in ("called", "named", "name"):
        return True
    return not any(w.sort == "stop" for w in words) or not text[:1].isupper()


def _read_on(
    words: Sequence[Token],
    mark: Mark,
    names: Sequence[NameAt],
    text: str,
    meaningful: set[int],
) -> _Told:
    """Colour, sex, kind and name behind a trigger, at most 14 words on."""
    told = _Told(mark.end, mark.end)
    known = {n[0]: n for n in reversed(names)}
    for at in range(mark.end, min(len(words), mark.end + 14)):
        told.at = at
        if words[at].sort == "stop":
            return told
        if at in known:
            _, told.end, told.name = known[at]
            told.known = True
            return told
        of_a_finding = at in meaningful and words[at].norm in COLOURS
        if of_a_finding or not _describes(words[at], at, told):
            ended = 0 if at in meaningful else bare_name(words, at, text, meaningful)
            if ended:
                told.name = " ".join(text[w.start : w.end] for w in words[at:ended])
                told.end = ended
            return told
    told.at = min(len(words), mark.end + 14)
    return told


def _describes(word: Token, at: int, told: _Told) -> bool:
    """Take a word that describes a horse or leads on to its name; false for any other."""
    if word.norm in COLOURS:
        if told.details.get("colour", word.norm) != word.norm:
            told.replaced = (at, at + 1)
        told.details["colour"] = word.norm
    elif word.norm in SEXES:
        told.details["sex"] = word.norm
    elif word.norm not in TYPES:
        leads = word.norm in LINKS or word.sort in ("comma", "pause") or word.norm == "sorry"
        return leads or (word.norm == "no" and bool(told.details))
    told.end = at + 1
    return True


def _too_weak(words: Sequence[Token], mark: Mark, told: _Told, text: str) -> bool:
    """Whether "this", "on", "doing" stand before no name that is known or typed as one."""
    if told.known or "sex" in told.details or titled(text, words, told.at):
        return False
    return words[mark.start].norm not in _LEADS_TO_NAME or told.at > mark.end + 1


def _described(
    words: Sequence[Token], end: int, meaningful: set[int]
) -> tuple[int, dict[str, str]]:
    """Colour and sex said after a name ("Ranger, palomino gelding"); a white line is no colour."""
    details: dict[str, str] = {}
    last = at = end
    while at < len(words) and at - end < 8:
        word = words[at]
        breed = word.norm in TYPES and [w.norm for w in words[at + 1 : at + 2]] == ["horse"]
        if at in meaningful and not breed:
            break
        if word.norm in COLOURS:
            details["colour"] = word.norm
        elif word.norm in SEXES:
            details["sex"] = word.norm
        elif word.norm not in TYPES | {"a", "the", "she", "he", "'s", "is"} and word.sort not in (
            "comma",
            "pause",
        ):
            break
        at += 1
        if word.norm in COLOURS | SEXES:
            last = at
    return (last, details) if details else (end, {})
