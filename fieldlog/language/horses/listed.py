"""Horses that no list knows, told one after another: names typed as names are, looks."""

from __future__ import annotations

from collections.abc import Sequence

from fieldlog.language.horses.naming import (
    BEASTS,
    COLOURS,
    NEVER,
    SEXES,
    Opening,
    bare_name,
    titled,
)
from fieldlog.language.lexicon import word_set
from fieldlog.language.words.known_words import vocabulary
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.tokens import Token

_ORDINALS = frozenset({"first", "second", "third", "fourth", "last", "next"})
TELLS_OF_ONE = frozenset({"work", "finding", "foot", "time", "measure", "value", "followup"})


def comes_in_turn(words: Sequence[Token], end: int) -> bool:
    """ "...at Hollow Farm biscuit first trimmed all four": said without a stop before it."""
    after = words[end].norm if end < len(words) else ""
    return after in ("first", "next", "last")


def in_turn(
    words: Sequence[Token], text: str, meaningful: set[int], known: set[int]
) -> list[Opening]:
    """ "Biscuit first, trimmed all four. Then Marlow, shod in front.": unlisted, but typed as names
    are, and behind nothing but a stop."""
    out: list[Opening] = []
    for at, word in enumerate(words):
        if at and words[at - 1].sort != "stop":
            continue
        named = at + (word.norm == "then")
        if named in meaningful | known or not titled(text, words, named):
            continue
        end = bare_name(words, named, text)
        after = [w.sort for w in words[end : end + 2]]
        first = named == at and comes_in_turn(words, end) and after[1:] in (["comma"], ["stop"])
        strange = not any(w.norm in vocabulary() for w in words[named:end])
        if not end or not (first or (named > at and strange and after[:1] == ["comma"])):
            continue
        name = text[words[named].start : words[end - 1].end]
        if not {w.norm for w in words[end : end + 3]} & word_set("owner_words"):
            out.append(Opening(at, end + first, name, {}, False))
    return out


def in_a_row(
    words: Sequence[Token], marks: Sequence[Mark], text: str, taken: set[int]
) -> list[Opening]:
    """ "Smudge, trim. Dot, trim.": unlisted names that open a sentence, each with a comma and what
    was done or found right behind it; one alone may be anybody who is spoken to.

    One that is a word of the trade or of talk ("Clover", "Anyway") counts beside another that is
    none, and before a job.
    """
    told = {m.start: m.kind for m in marks if m.kind in TELLS_OF_ONE}
    out: list[Opening] = []
    strange = 0
    for at in range(len(words)):
        if (at and words[at - 1].sort != "stop") or at in taken or not titled(text, words, at):
            continue
        end = bare_name(words, at, text)
        if not end or [w.sort for w in words[end : end + 1]] != ["comma"] or end + 1 not in told:
            continue
        ordinary = any(w.norm in vocabulary() for w in words[at:end])
        if words[at].norm.endswith("est") or words[at].norm in _ORDINALS:
            continue  # "Longest, off hind. Shortest, near fore"
        owned = {w.norm for w in words[end + 1 : end + 4]} & word_set("owner_words")
        if owned or (ordinary and told[end + 1] != "work"):
            continue
        strange += not ordinary
        out.append(Opening(at, end, text[words[at].start : words[end - 1].end], {}, False))
    return out if strange and len(out) > 1 else []


def by_their_looks(words: Sequence[Token], marks: Sequence[Mark]) -> list[Opening]:
    """ "The foal, trim. The mare, trim": colours and sexes that open a sentence, each with a comma
    and what was done or found right behind it; one alone may be the horse of the whole note."""
    told = {m.start for m in marks if m.kind in TELLS_OF_ONE or m.code == "same"}
    out: list[Opening] = []
    looks: set[str] = set()
    for at in range(len(words)):
        if at and words[at - 1].sort != "stop":
            continue
        look = at
        while look < len(words) and words[look].norm in _LEADS_TO_LOOKS:
            look += 1
        if look + 2 >= len(words) or look + 2 not in told:
            continue
        if words[look + 1].sort != "comma" and words[look + 1].norm != ":":
            continue
        word = words[look].norm
        if word in COLOURS | SEXES | BEASTS:
            looks.add(word)
            out.append(Opening(at, look + 1, "", _looks_of(word), False))
    return out if len(looks) > 1 and len(looks) == len(out) else []


def _looks_of(word: str) -> dict[str, str]:
    """What a colour or a sex tells of a horse; a donkey tells no more than that."""
    if word in COLOURS:
        return {"colour": word}
    return {"sex": word} if word in SEXES else {}


_LEADS_TO_LOOKS = frozenset({"the", "then", "and", "old", "little", "big", "young", "wee", "other",
                             "last"})  # fmt: skip


def announced(words: Sequence[Token], text: str, meaningful: set[int]) -> list[Opening]:
    """ "Two ponies, Pip and Squeak. Pip trimmed. Squeak's trimmed as well.": unlisted names that
    are told one after another, and of which at least two open a sentence later."""
    told: dict[str, int] = {}
    for at in range(len(words)):
        if at == 0 or words[at - 1].sort in ("stop", "comma"):
            listed = _listed_by(words, at, text, meaningful)
            told |= {name: end for name, end in listed if name not in told}
    out = [
        Opening(at, at + 1, text[words[at].start : words[at].end], {}, False)
        for at in range(1, len(words))
        if told.get(words[at].norm, at) < at
        and words[at - 1].sort == "stop"
        and titled(text, words, at)
    ]
    return out if len({o.name for o in out}) > 1 else []


def _listed_by(
    words: Sequence[Token], begin: int, text: str, meaningful: set[int]
) -> list[tuple[str, int]]:
    """The names of "Pip, Dot and Squeak.", from their first word to a stop, each with the end of
    the list; none if that is no list of names."""
    names: list[str] = []
    at = begin
    while at < len(words) and words[at].sort != "stop":
        if at not in meaningful and _one_name(words, at, text):
            names.append(words[at].norm)
        elif (words[at].sort != "comma" and words[at].norm != "and") or not names:
            return []
        at += 1
    linked = at < len(words) and any(w.norm == "and" for w in words[begin:at])
    return [(name, at) for name in names] if linked and len(names) > 1 else []


def _one_name(words: Sequence[Token], at: int, text: str) -> bool:
    word = words[at]
    return word.norm not in NEVER and word.norm.isalpha() and titled(text, words, at)
