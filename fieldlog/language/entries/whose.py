"""Facts of which it is not sure whose they are, where a note tells of several horses.

Asked about is what was told before any horse was named; without stops, what stands far behind the
words that say whose turn it is; and where no horse is known, what stands behind a strange name in
its sentence. Of such facts a quarter to a half stood under another horse (own notes, open set).
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import replace

from fieldlog.core.facts import Fact
from fieldlog.language.entries.by_horse import PartRead
from fieldlog.language.horses.naming import NEVER
from fieldlog.language.words.known_words import vocabulary
from fieldlog.language.words.tokens import Token

_FAR = 40
"""Words behind the start of one horse's part."""
_FAR_IN_GROUP = 6
"""The same of several horses at once."""


def asked_whose(
    parts: Sequence[PartRead], words: Sequence[Token], any_known: bool
) -> list[PartRead]:
    """The parts of a note; a fact that may be of another horse is doubted.

    Args:
        parts: all of the note, in order.
        words: those of the note.
        any_known: whether names of the caller's list stand in it.
    """
    if len({horse for part in parts for horse in part.about.horses}) < 2:
        return list(parts)
    starts = [word.start for word in words]
    stopped = any(word.sort == "stop" for word in words)
    out = []
    for part in parts:
        facts = tuple(
            _asked(fact, part, words[: bisect_left(starts, fact.span[0])], stopped, any_known)
            for fact in part.entry.facts
        )
        out.append(part._replace(entry=replace(part.entry, facts=facts)))
    return out


def _asked(
    fact: Fact, part: PartRead, before: Sequence[Token], stopped: bool, any_known: bool
) -> Fact:
    """A fact with a doubt if it may be of another horse.

    Args:
        fact: the fact.
        part: the part in which it stands.
        before: the words of the note before it.
        stopped: whether the note has stops.
        any_known: whether names of the caller's list stand in it.
    """
    about = part.about
    if not about.who:
        return fact.with_doubt("whose", "Told before a horse was named: whose is it?")
    far = _FAR if len(about.who) == 1 else _FAR_IN_GROUP
    if not stopped and len(before) - about.begin > far:
        name = about.who[0].name or "this horse"
        whose = f"is it {name}'s?" if len(about.who) == 1 else "is it of each of them?"
        return fact.with_doubt("whose", f"Told long after the horse was named: {whose}")
    strange = None if any_known else _strange_before(part, before)
    if strange is not None:
        return fact.with_doubt("whose", f"“{strange}” stands before it: is it {strange}'s?")
    return fact


def _strange_before(part: PartRead, before: Sequence[Token]) -> str | None:
    """A word with a capital before a fact in its sentence that might be another horse's name.

    Args:
        part: the part in which the fact stands.
        before: the words of the note before it.
    """
    own = {word for opening in part.about.who for word in opening.name.lower().split()}
    plain = own | NEVER
    for word in reversed(before[part.about.reads :]):
        if word.sort == "stop":
            return None
        name = part.entry.text[word.start : word.end]
        strange = word.sort == "word" and word.norm not in plain
        if strange and name[:1].isupper() and word.norm not in vocabulary():
            return name
    return None
