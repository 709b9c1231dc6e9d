"""Names that no list knows, in a note typed with capitals: of horses, by what is said around them.

"Sorcha, trimmed", "Pete's near fore", "then the donkey, Nelson" tell of horses; "Gary says", "told
Ruthie", "over at Breda's" of people and their places. Each place where a name stands speaks for one
or the other; a name is a horse's where more of them do.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence, Set

from fieldlog.language.horses.naming import (
    BEASTS,
    BREAKS,
    COLOURS,
    NEVER,
    SEXES,
    TYPES,
    NameAt,
    bare_name,
    titled,
)
from fieldlog.language.lexicon import word_set
from fieldlog.language.words.known_words import vocabulary
from fieldlog.language.words.tokens import Token

_KIN = word_set("kin_of_a_horse")
_PEOPLE_DO = word_set("people_do")
_PEOPLE_ARE = word_set("people_are")
_TO_PEOPLE = word_set("done_to_people")
_OWNERS = word_set("owner_words")
_NO_NAMES = word_set("days_and_months")
_IS = frozenset({"'s", "is", "was", "has", "had", "got", "gets", "needs"})
_TURNS = frozenset({"first", "next", "last"})
_LEADS = frozenset({"then", "now", "next", "and", "onto", "after"})
_PLACES = frozenset({"at", "from", "to", "near"})
_CONJUNCTIONS = word_set("leads_to_name") | {"if", "because", "while", "as", "though", "only"}
_SEVERAL = frozenset({"both", "two", "three", "four", "these", "those", "all"})
_POINTS = frozenset({"there", "this", "that", "it", "here", "first", "up", "last", "next", "one"})
_ASKED_FOR = frozenset({"hold", "put", "stand", "whoa", "give", "come", "get", "pass", "leave",
                        "move", "stop", "look", "listen", "don't", "can", "could", "would", "you",
                        "bring", "go", "take", "fetch", "love", "mate"})  # fmt: skip
_ORDINALS = frozenset({"first", "second", "third", "fourth", "last", "next"})
_NEAR = 4
"""Words behind a name in which something may be told of it."""


def unlisted_names(
    words: Sequence[Token], told: Set[int], text: str, listed: Set[int]
) -> list[NameAt]:
    """Where horses stand that are named with capitals, in order; none in a note without stops.

    Args:
        words: those of the note.
        told: words that a mark begins with that tells of a foot, a job, a finding...
        text: the note, with its capitals.
        listed: words of names that are known.
    """
    if not any(w.sort == "stop" for w in words) or text == text.lower():
        return []
    found, speaks = _heard_of(words, told, text, listed)
    least = 2 if listed else 1  # Where horses are known, others are more often people.
    return [one for one in found if speaks[one[2]] >= least]


def perhaps_names(words: Sequence[Token], told: Set[int], text: str, listed: Set[int]) -> list[int]:
    """Where words with capitals begin that are not people's for sure; arguments as above."""
    if not any(w.sort == "stop" for w in words) or text == text.lower():
        return []
    found, speaks = _heard_of(words, told, text, listed)
    return [begin for begin, _, name in found if speaks[name] >= 0]


def _heard_of(
    words: Sequence[Token], told: Set[int], text: str, listed: Set[int]
) -> tuple[list[NameAt], Counter[str]]:
    """The words with capitals, and how far each speaks for a horse."""
    found = _capitals(words, text, listed)
    speaks: Counter[str] = Counter()
    for begin, end, name in found:
        speaks[name] += _speaks(words, begin, end, told)
    _share(words, found, speaks)
    return found, speaks


def _capitals(words: Sequence[Token], text: str, listed: Set[int]) -> list[NameAt]:
    """Words written with capitals that may be names; an ordinary word that begins a sentence only
    if it has its capital elsewhere too."""
    found: list[NameAt] = []
    at = 0
    while at < len(words):
        if not titled(text, words, at):
            at += 1
            continue
        begins = not at or words[at - 1].sort == "stop"
        if begins and (words[at].norm in _CONJUNCTIONS or _before_a_name(words, at, text)):
            at += 1
            continue
        end = bare_name(words, at, text) if _may_be(words, at, text, listed) else 0
        if end:
            found.append((at, end, text[words[at].start : words[end - 1].end]))
        at = max(end, at + 1)
    sure = {
        name
        for at, end, name in found
        if (at and words[at - 1].sort != "stop") or end - at > 1 or _in_a_list(words, end, text)
    }
    return [
        (at, end, name)
        for at, end, name in found
        if name in sure or not all(w.norm in vocabulary() for w in words[at:end])
    ]


def _before_a_name(words: Sequence[Token], at: int, text: str) -> bool:
    """ "Told Anna": an ordinary word before a name that is none."""
    second = words[at + 1] if at + 1 < len(words) else None
    return (
        second is not None
        and second.sort == "word"
        and titled(text, words, at + 1)
        and words[at].norm in vocabulary()
        and second.norm not in vocabulary()
    )


def _in_a_list(words: Sequence[Token], end: int, text: str) -> bool:
    """Whether commas and an "and" lead from a name to other words with a capital."""
    while end + 1 < len(words) and titled(text, words, end + 1):
        if words[end].norm == "and":
            return True
        if words[end].sort != "comma":
            return False
        end += 2
    return False


def _may_be(words: Sequence[Token], at: int, text: str, listed: Set[int]) -> bool:
    word = words[at]
    return (
        at not in listed
        and word.sort == "word"
        and word.norm not in NEVER
        and word.norm not in _NO_NAMES | _ORDINALS
        and not word.norm.endswith("est")
        and titled(text, words, at)
        and (at == 0 or words[at - 1].norm not in _SEVERAL)
        and word.norm not in BEASTS | SEXES | COLOURS | TYPES
    )


def _speaks(words: Sequence[Token], begin: int, end: int, told: Set[int]) -> int:
    """Over 0 where a name stands as a horse's, under 0 where as a person's or a place's."""
    norms = [w.norm for w in words[end : end + _NEAR + 1]]
    behind = norms[0] if norms else ""
    comma = end < len(words) and words[end].sort == "comma"
    first = norms[1] if comma and len(norms) > 1 else behind
    before = words[begin - 1].norm if begin else ""
    if first in _PEOPLE_DO or before in _TO_PEOPLE or set(norms[:3]) & _OWNERS:
        return -2
    if before in _PLACES or (behind == "'s" and norms[1:2] and norms[1] in _KIN):
        return -1
    if behind in _IS and norms[1:2] and norms[1] in _PEOPLE_ARE:
        return -2
    if end + comma in told or first in _TURNS:
        return 2
    if behind in _IS and any(at in told for at in range(end + 1, end + 1 + _NEAR)):
        return 1
    looks = BEASTS | SEXES | COLOURS | _KIN
    kin = words[begin - 2].norm if begin > 1 and words[begin - 1].sort == "comma" else before
    if kin in looks:
        return 1
    points = before in _IS and begin > 1 and words[begin - 2].norm in _POINTS
    tells = behind in _IS or (not _asks(words, end + 1) if comma else _stops(words, end))
    return int(points or before == "on" or (_opens(words, begin) and tells))


def _stops(words: Sequence[Token], at: int) -> bool:
    return at >= len(words) or words[at].sort in BREAKS


def _asks(words: Sequence[Token], at: int) -> bool:
    """Whether somebody is asked to do something: "Dave, hold him"."""
    return at < len(words) and words[at].norm in _ASKED_FOR


def _opens(words: Sequence[Token], begin: int) -> bool:
    """Whether a name begins a clause, alone or behind a word that leads to the next horse."""
    at = begin - 1
    while at >= 0 and words[at].norm in _LEADS:
        at -= 1
    return at < 0 or words[at].sort == "stop"


def _share(words: Sequence[Token], found: Sequence[NameAt], speaks: Counter[str]) -> None:
    """Names in one list are all horses' if one of them is, and none a person's."""
    run: list[NameAt] = []
    for one in [*found, (len(words) + 9, 0, "")]:
        joined = run and all(
            w.norm == "and" or w.sort == "comma" for w in words[run[-1][1] : one[0]]
        )
        if joined and one[0] <= len(words) and one[0] - run[-1][1] <= 2:
            run.append(one)
            continue
        names = {name for _, _, name in run}
        if len(names) > 1 and any(speaks[name] > 0 for name in names):
            for name in names:
                speaks[name] += int(speaks[name] == 0)
        run = [one]
