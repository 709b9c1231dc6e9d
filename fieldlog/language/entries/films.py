"""What only the vet's pictures show, or is mostly the vet's finding, is told as the vet's word, if
the network hears that it is.

``reporters.read_off_films`` settles it where the rules read films; what the network adds behind
them ("six degrees on the off fore, four on the near") is settled here, once all is told.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from fieldlog.core.facts import Fact, Reporter
from fieldlog.language.lexicon import word_set
from fieldlog.language.opinion.heard import Opinion

_PICTURED = frozenset({"rotation", "sinking", "palmar_angle", "founder_distance",
                       "horn_laminar_zone"})  # fmt: skip
"""Nobody sees these without pictures: of 860 told by 48 writers 820 were the vet's."""
_HIS_FINDING = frozenset({"sole_depth", "navicular", "ringbone", "sidebone", "obel"})
"""The vet's in three of four notes that name a vet or pictures."""
_IS_HIS = 0.5
"""Chance that the network hears it told by the vet, from which it is: what somebody is said to have
said must have been said by him, however likely the finding is the vet's."""
_PICTURED_IS_HIS = 0.3
"""The same of what nobody sees without pictures."""
_OWN_DOUBT = 0.5
"""Chance from which the doubt is the vet's own, not what any word for a disease gets."""


_THEN = re.compile(
    r"\b(?:took|taken|shot|had|did|were|was|got)\b(?: \w+){0,2} "
    r"(?:pictures?|films?|x-?rays?|radiographs?|rads|plates)\b(?: \w+){0,3}? "
    r"(?:last (?:week|month|year|spring|summer|autumn|fall|winter)"
    r"|(?:\w+ )?(?:weeks?|months?|fortnight) (?:ago|back))\b",
    re.IGNORECASE,
)
"""Films of an earlier day: what only they show, told behind, is of then."""
_LATER = re.compile(r"\b(?:today|now|yesterday|this morning|new|latest)\b", re.IGNORECASE)


def of_then(facts: Sequence[Fact], text: str) -> list[Fact]:
    """ "The doctor took pictures last month. Left front sole depth eleven": eleven a month ago.

    Args:
        facts: what is told of a horse.
        text: the note.
    """
    films = _THEN.search(text)
    if films is None:
        return list(facts)
    return [
        replace(fact, historical=True)
        if _shown_then(fact, text, films.end()) and not fact.taught
        else fact
        for fact in facts
    ]


def _shown_then(fact: Fact, text: str, begin: int) -> bool:
    """Whether a value behind the films can only be theirs, and no later day was named since."""
    shown = fact.code in _PICTURED | {"sole_depth"} and fact.quantity is not None
    first = fact.span[0]
    return shown and not fact.planned and first >= begin and not _LATER.search(text, begin, first)


def as_vets_word(facts: Sequence[Fact], opinion: Opinion) -> list[Fact]:
    """The facts; what the farrier can hardly have seen himself, and the vet is heard to have said,
    is the vet's word.

    Args:
        facts: what is told of a horse.
        opinion: what the network says of the note.
    """
    if not any(f.code in _PICTURED | _HIS_FINDING for f in facts):
        return list(facts)
    his = word_set("films") | word_set("vet_words")
    named = any(word.removesuffix("'s") in his for word, _, _ in opinion.words)
    return [_settled(fact, opinion, named) for fact in facts]


def _settled(fact: Fact, opinion: Opinion, named: bool) -> Fact:
    if fact.reporter is not Reporter.FARRIER or fact.taught:
        return fact
    if fact.code in _PICTURED:
        least = _PICTURED_IS_HIS
    elif named and fact.code in _HIS_FINDING:
        least = _IS_HIS
    else:
        return fact
    told = opinion.told(fact.code, fact.negated, fact.span)
    if told.get(f"@{Reporter.VET.value}", 0.0) < least:
        return fact
    doubted = fact.uncertain and told.get("@uncertain", 0.0) >= _OWN_DOUBT
    return replace(fact, reporter=Reporter.VET, uncertain=doubted)
