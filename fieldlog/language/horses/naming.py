"""A horse named or described in a note: its name, its looks, the words that tell them."""

from __future__ import annotations

import re
from collections.abc import Sequence, Set
from dataclasses import dataclass

from fieldlog.core.facts import HorseMention
from fieldlog.language.lexicon import read_data, word_set
from fieldlog.language.words.known_words import vocabulary
from fieldlog.language.words.tokens import Token

COLOURS = word_set("colours")
SEXES = word_set("sexes")
TYPES = word_set("horse_types")
LINKS = word_set("horse_links")
NEVER = word_set("never_a_name")
_TITLES = {part: frozenset(words) for part, words in read_data("titles").items()}


def herd_words(part: str) -> dict[str, frozenset[str]]:
    """The word lists of one part of data/herds.toml, by their names."""
    return {name: frozenset(words) for name, words in read_data("herds")[part].items()}


def has_stops(words: Sequence[Token]) -> bool:
    """Whether a note is written with commas or stops, as a typed one is."""
    return any(w.sort in ("stop", "comma") for w in words)


BREAKS = frozenset({"stop", "pause", "comma"})
"""Sorts of what stands between two clauses."""
COUNTED: dict[str, int] = read_data("herds")["counted"]
"""Numbers by which boxes and horses are called."""
BEASTS = frozenset({"donkey", "mule", "cob", "pony", "jenny", "hunter", "hinny", "shetland"})


@dataclass(slots=True)
class Opening:
    """Where a horse's part begins."""

    start: int
    """First word of the words that open it."""
    end: int
    """One past the last word of the mention."""
    name: str
    details: dict[str, str]
    known: bool
    replaced: tuple[int, int] | None = None
    """Words in which a detail or the name was corrected ("grey mare, er, bay mare")."""
    begins: int | None = None
    """Where its part begins, if that is before the words that name it."""
    looks: frozenset[str] = frozenset()
    """What else it was called: "stall 4", "pony"."""


_PLAIN = herd_words("plain_names")
NameAt = tuple[int, int, str]
"""First word, one past the last, the name."""


def known_names(words: Sequence[Token], names: Sequence[str]) -> list[NameAt]:
    """Where names from the caller's list stand: first word, one past the last, the name."""
    wanted = {tuple(re.findall(r"[^\W_]+", name.lower())): name for name in names if name.strip()}
    out: list[NameAt] = []
    longest = max((len(w) for w in wanted), default=0)
    at = 0
    while at < len(words):
        for size in range(longest, 0, -1):
            name = wanted.get(tuple(w.norm for w in words[at : at + size]))
            if name is not None:
                out.append((at, at + size, name))
                at += size - 1
                break
        at += 1
    return out


def without_plain_words(words: Sequence[Token], found: Sequence[NameAt], text: str) -> list[NameAt]:
    """The names that stand in a note, without plain words that are some horse's name too.

    Among many names there are a Copper, a Star and a Blue: such a word is taken for a horse only
    where it is written or spoken as one, or is elsewhere in the note.

    Args:
        words: those of the note.
        found: where names of a long list stand.
        text: the note.
    """
    written = text != text.lower() and any(w.sort == "stop" for w in words)
    sure = {n[2] for n in found if _as_a_name(words, n, text, written)}
    return [n for n in found if n[2] in sure and (not written or titled(text, words, n[0]))]


def _as_a_name(words: Sequence[Token], name: NameAt, text: str, written: bool) -> bool:
    """Whether a word stands as a name does."""
    begin, end, _ = name
    if any(w.norm not in vocabulary() for w in words[begin:end]):
        return True
    opens = begin == 0 or words[begin - 1].sort in BREAKS
    if written and not titled(text, words, begin):
        return False
    if written and begin and words[begin - 1].sort != "stop":
        return True
    before = words[begin - 1].norm if begin else ""
    behind = words[end] if end < len(words) else None
    told = behind is None or behind.sort in BREAKS or behind.norm in _PLAIN["behind"]
    return told and (opens or before in _PLAIN["before"])


def titled(text: str, words: Sequence[Token], at: int) -> bool:
    return at < len(words) and text[words[at].start : words[at].start + 1].isupper()


def bare_name(
    words: Sequence[Token], at: int, text: str, meaningful: Set[int] = frozenset()
) -> int:
    """One past the last word of an unlisted name at ``at``; 0 if no name stands there."""
    word = words[at]
    if word.norm in NEVER or not word.norm.isalpha() or len(word.norm) < 2:
        return 0
    if not text[word.start].isupper():
        return at + 1 + _goes_on(words, at, meaningful)
    end = at + 1
    days = word_set("days_and_months")
    while (
        end < len(words)
        and words[end].norm not in days  # "Marzipan. Runs Saturday."
        and words[end].sort == "word"
        and text[words[end].start].isupper()
        and words[end].norm.isalpha()
        and words[end].norm not in NEVER
        and end - at < 3
    ):
        end += 1
    return end


def _goes_on(words: Sequence[Token], at: int, meaningful: Set[int]) -> bool:
    """Whether the next word belongs to a name without capitals, as a recogniser writes it: "lady
    jane". Only a title tells: behind other names the next word may be of anything."""
    behind = at + 1
    if behind >= len(words) or behind in meaningful or words[behind].sort != "word":
        return False
    second = words[behind].norm
    if not second.isalpha() or second in NEVER | _TITLES["never_second"] | COLOURS | SEXES | LINKS:
        return False
    first = words[at].norm
    may = first in _TITLES["also_names"] and second not in vocabulary()
    return may or first in _TITLES["always"]


def mention(opening: Opening, words: Sequence[Token]) -> HorseMention:
    """The mention with character spans."""
    details = dict(opening.details)
    if not opening.name and opening.looks:
        details["called"] = _called(opening)
    return HorseMention(
        name=opening.name,
        span=(words[opening.start].start, words[opening.end - 1].end),
        details=details,
        known=opening.known,
    )


def _called(opening: Opening) -> str:
    """What a horse without a name was called, its colour first: "bay gelding", "stall 4"."""
    known = [opening.details[key] for key in ("colour", "sex") if key in opening.details]
    others = {look for look in opening.looks if not look.startswith("in ")}  # "in 4" is a stall too
    return " ".join([*known, *sorted(others - set(known))])
