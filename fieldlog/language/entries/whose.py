"""Facts of which it is not sure whose they are, where a note tells of several horses.

Asked about is what is said of several at once; what was told before any horse was named; what
stands behind words that may be of another horse; and without stops, what stands far behind those
that say whose turn it is. Of the facts that nothing else asked about (``tests/gold``, ``rounds``
and ``circuit``, names known), one in six of these was another horse's, one in twenty-seven of the
rest.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fieldlog.core.facts import Fact
from fieldlog.language.entries.by_horse import PartRead
from fieldlog.language.words.tokens import Token

_FAR = 40
"""Words behind the start of one horse's part."""


def asked_whose(
    parts: Sequence[PartRead], words: Sequence[Token], hints: Sequence[int]
) -> list[PartRead]:
    """The parts of a note; a fact that may be of another horse is doubted.

    Args:
        parts: all of the note, in order.
        words: those of the note.
        hints: words that may be of another horse (``horses.hints``).
    """
    if len({horse for part in parts for horse in part.about.horses}) < 2:
        return list(parts)
    stopped = any(word.sort == "stop" for word in words)
    out = []
    for part in parts:
        about = part.about
        hint = next((words[at] for at in hints if about.reads <= at < about.end), None)
        far = words[about.begin + _FAR :] if not stopped else ()
        facts = tuple(
            _asked(fact, part, words, hint, bool(far) and fact.span[0] >= far[0].start)
            for fact in part.entry.facts
        )
        out.append(part._replace(entry=replace(part.entry, facts=facts)))
    return out


def _asked(
    fact: Fact, part: PartRead, words: Sequence[Token], hint: Token | None, far: bool
) -> Fact:
    """A fact with a doubt if it may be of another horse.

    Args:
        fact: the fact.
        part: the part in which it stands.
        words: those of the note.
        hint: the first word of the part that may be of another horse.
        far: whether it stands far behind the words that name the horse, without stops between.
    """
    about, text = part.about, part.entry.text
    if not about.who:
        return fact.with_doubt("whose", "Told before a horse was named: whose is it?")
    if len(about.who) > 1 and about.said is not None:
        said = text[words[about.said[0]].start : words[about.said[1] - 1].end]
        return fact.with_doubt("whose", f"Said of “{said}”: of this horse too?")
    if hint is not None and fact.span[1] > hint.start:
        word = text[hint.start : hint.end]
        return fact.with_doubt("whose", f"“{word}” stands before it: is it of the same horse?")
    if far:
        name = about.who[0].name or "this horse"
        return fact.with_doubt("whose", f"Told long after the horse was named: is it {name}'s?")
    return fact
