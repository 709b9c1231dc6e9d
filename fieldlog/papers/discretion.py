"""Who else must not be named on a paper of one horse: the other horses and the other clients."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING

from fieldlog.core.facts import Fact
from fieldlog.records.types import Horse

if TYPE_CHECKING:
    from fieldlog.records.store import Store


def names_of_others(store: Store, horse: Horse) -> frozenset[str]:
    """Names of the other horses and of the other clients, in small letters, word by word."""
    names = [h.name for h in store.horses() if h.id != horse.id]
    names += [h.name for h in store.spelt_otherwise()]
    names += [c.name for c in store.clients() if c.id != horse.client_id]
    names += [n for n, stays in store.other_spellings("client") if stays != horse.client_id]
    own = _name_words((horse.name, horse.client, *store.other_names(horse.id)))
    return _name_words(names) - own - _TITLES


_TITLES = frozenset({"dr", "doctor", "miss", "mr", "mrs", "ms", "the", "and", "of", "old", "young"})


def _name_words(names: Iterable[str]) -> frozenset[str]:
    words = (re.sub(r"['’]s?$", "", w) for name in names for w in _WORD.findall(name.lower()))
    return frozenset(w for w in words if len(w) > 1)


_WORD = re.compile(r"[\w'’]+")


def names_any(text: str, names: frozenset[str]) -> bool:
    """Whether ``text`` holds one of the names: ``let her know about copper's shoes``."""
    return bool(_name_words([text]) & names)


def named_in(texts: Iterable[str], names: frozenset[str]) -> list[str]:
    """Which of the names are in the texts, as words in small letters, in order of the alphabet."""
    return sorted(_name_words(texts) & names)


_SPOKEN = frozenset({"about", "condition", "otherwise", "reason", "said", "text", "to", "what"})
"""Details that are words of the note; the others are our own codes."""


def discreet(fact: Fact, strangers: frozenset[str]) -> Fact:
    """A fact without those of its spoken details that hold another's name."""
    kept = {
        key: value
        for key, value in fact.details.items()
        if key not in _SPOKEN or not names_any(str(value), strangers)
    }
    return fact if len(kept) == len(fact.details) else replace(fact, details=kept)
