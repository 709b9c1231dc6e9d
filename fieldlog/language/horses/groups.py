"""Several horses spoken of at once: "both ponies", "all three of them", "everybody"."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from fieldlog.language.horses.naming import herd_words
from fieldlog.language.words.tokens import Token

_COUNTS = {"both": 2, "two": 2, "pair": 2, "couple": 2, "neither": 2, "three": 3, "four": 4,
           "five": 5, "six": 6, "seven": 7, "eight": 8}  # fmt: skip
_KINDS = herd_words("kinds")
"""What a horse of a kind told of in the plural may have been called."""
_N = "|".join(_COUNTS)
_KIND = "|".join(_KINDS)
_HOW_MANY = r"(?:the |them |these |those |my |our |all )*"
_GROUP = re.compile(
    rf"""(?<!\S)(?:
      (?:all\ |the\ )*(?P<n1>{_N}|all|lot|each|every\ one|none|neither|any)\ of\ (?:them|'em|these
        |those|you|(?:the|my|our|his|her)\ (?:(?P<n2>{_N})\b\ ?)?(?P<k1>{_KIND})?)
      |{_HOW_MANY}(?:(?P<n3>{_N})\ )?(?:other\ |little\ |old\ |big\ |wee\ )*(?P<k2>{_KIND})
      |(?P<rest>(?:the\ )?rest(?:\ of\ (?:them|'em|the\ (?:horses|ponies|lot)))?
        |(?:all\ )?the\ others)
      |everybody|everyone|nobody|the\ (?:whole\ )?(?:lot|string|row|yard|barn|bunch|team)
      |them\ all|they\ all|the\ pair|all\ (?P<n4>three|five|six|seven|eight)
      |the\ (?P<n5>three|four|five|six)\ (?:of\ (?:them|'em)\ )?(?=i\ |that\ |who\ |we\ )
      |all(?=\ \w+\ weeks)
    )(?!\S)""",
    re.VERBOSE,
)
_FEET_TOO = re.compile(
    r" of (?:them|'em|these|those)$|^(?:the )?rest$|others|them all|the pair|^the lot$"
)
"""Ends of groups that are feet where feet were spoken of."""
_BARE = re.compile(
    r"(?<!\S)(?:both(?! (?:his|her|the|their|my|of (?:his|her)|fronts?|hinds?|fores?|feet|sides"
    r"|heels|shoes|toes)(?!\S))"
    rf"|all four|(?:the|my|all) (?:other )?(?:{_N})|(?:two|three)|each|apiece"
    r"|all(?= (?:trimmed|shod|done|stood|reset|good|fine|barefoot|back|due|in)(?!\S)))(?!\S)"
)
"""Groups of horses only beside what is told of whole horses: they are feet elsewhere."""

_SHOES = "ones"
""" "Four new ones": shoes; a group only with a word before it ("the ones", "both ones")."""


@dataclass(frozen=True, slots=True)
class Group:
    """Words that mean several horses."""

    start: int
    end: int
    """One past the last word."""
    count: int
    """How many; 0 for all of them."""
    looks: frozenset[str]
    """What each of them may have been called; empty if nothing is told."""
    bare: bool = False
    """Whether it might be feet as well."""
    others: bool = False
    """Whether those that are spoken of just now are not among them."""
    opens_sentence: bool = False
    """Whether it is one only at the start of a sentence: "All trimmed"."""

    def hardly_feet(self, first: str, stopped: bool) -> bool:
        """Whether it is told otherwise of feet ("none of them", "the two of them").

        Args:
            first: its first word.
            stopped: whether the note has stops; without them "all four of them" may be feet.
        """
        return first in ("none", "neither", "both") or (stopped and self.end - self.start > 2)


def groups(words: Sequence[Token]) -> list[Group]:
    """Where several horses are spoken of, in order.

    Args:
        words: those of the note.
    """
    text, at_char = _joined(words)
    sure = [_sure(m, at_char) for m in _GROUP.finditer(text) if m[0] != _SHOES]
    taken = {at for g in sure for at in range(g.start, g.end)}
    bare = [_bare(m, at_char) for m in _BARE.finditer(text)]
    free = [g for g in bare if not taken & {*range(g.start, g.end)}]
    return sorted([*sure, *free], key=lambda group: group.start)


def _sure(match: re.Match[str], at_char: Mapping[int, int]) -> Group:
    """A group by words that mean horses, or things that were spoken of just now."""
    kind = match["k1"] or match["k2"]
    return Group(
        at_char[match.start()],
        at_char[match.end()],
        _count(match[0].split()),
        _KINDS[kind] if kind else frozenset(),
        bare=kind is None and bool(_FEET_TOO.search(match[0])),
        others=bool(match["rest"]),
    )


def _bare(match: re.Match[str], at_char: Mapping[int, int]) -> Group:
    """A group by a number alone."""
    said = match[0].split()
    return Group(
        at_char[match.start()],
        at_char[match.end()],
        _count(said),
        frozenset(),
        bare=True,
        others="other" in said,
        opens_sentence=said == ["all"],
    )


def _count(words: Sequence[str]) -> int:
    """How many horses some words say; 0 for all of them."""
    return next((_COUNTS[word] for word in reversed(words) if word in _COUNTS), 0)


def _joined(words: Sequence[Token]) -> tuple[str, dict[int, int]]:
    """The words with blanks between them, and the word at each of their edges."""
    text, at_char = "", {}
    for at, word in enumerate(words):
        text += " " if text else ""
        at_char[len(text)] = at
        text += word.norm if word.sort in ("word", "filler") else "."
        at_char[len(text)] = at + 1
    return text, at_char
