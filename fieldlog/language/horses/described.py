"""A horse that is described instead of named: "then the bay gelding in stall four", "her foal"."""

from __future__ import annotations

from collections.abc import Sequence, Set

from fieldlog.language.horses.naming import BEASTS, COLOURS, SEXES, Opening
from fieldlog.language.lexicon import word_set
from fieldlog.language.words.tokens import Token

_LEADS = word_set("leads_to_name") | {"another", "to", "on", "one", "her", "his", "their", "my"}
_STRONG = frozenset({"next", "then", "now", "onto", "another", "second", "third", "last"})
"""Words that lead to another horse than the one before."""
_KIN = frozenset({"foal", "yearling", "brother", "sister", "mother", "dam", "mate", "stablemate",
                  "companion", "daughter", "son"})  # fmt: skip
_OWNS = frozenset({"her", "his", "their", "'s"})
_PLACES = frozenset({"stall", "box", "number", "horse", "pen", "stable", "loosebox"})
_ORDINALS = {"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7,
             "eight": 8, "nine": 9, "ten": 10, "eleven": 11, "twelve": 12,
             "first": 1, "second": 2, "third": 3, "fourth": 4, "fifth": 5, "sixth": 6}  # fmt: skip
_BREAKS = frozenset({"stop", "pause", "comma"})


def descriptions(words: Sequence[Token], told: Set[int]) -> list[tuple[Opening, bool]]:
    """Where a clause begins with the looks of a horse, in order, and whether a word before them
    ("next", "then") says that it is another one.

    Args:
        words: those of the note.
        told: words that a mark begins with that tells of a foot, a job, a finding...
    """
    out = []
    at = 0
    while at < len(words):
        found = _description(words, at) if _may_begin(words, at) else None
        if found is not None and _goes_on(words, found[0].end, told):
            out.append(found)
            at = found[0].end
        else:
            at += 1
    return out


def _may_begin(words: Sequence[Token], at: int) -> bool:
    """Whether a clause begins at a word, as far as stops or words like "then" show it."""
    return at == 0 or words[at - 1].sort in _BREAKS or words[at].norm in _STRONG


def _description(words: Sequence[Token], begin: int) -> tuple[Opening, bool] | None:
    """The looks told from a word on; None if none are."""
    at, strong, details, looks = begin, False, {}, set()
    while at < len(words) and at < begin + 9:
        norm = words[at].norm
        if norm in COLOURS:
            details["colour"] = norm
        elif norm in SEXES or norm in BEASTS:
            details["sex" if norm in SEXES else "kind"] = norm
        elif norm in _KIN and words[at - 1].norm in _OWNS and at > begin:
            looks.add(norm)
            strong = True
        elif norm in _PLACES and at + 1 < len(words) and words[at + 1].norm in _ORDINALS:
            looks.add(f"{norm} {_ORDINALS[words[at + 1].norm]}")
            at += 1
        elif norm in _LEADS or (norm == "in" and (details or looks)):
            strong = strong or norm in _STRONG
        else:
            break
        at += 1
    while at > begin and words[at - 1].norm in _LEADS | {"in"}:
        at -= 1
    if not details and not looks:
        return None
    named = {key: value for key, value in details.items() if key != "kind"}
    said = frozenset({*details.values(), *looks})
    return Opening(begin, at, "", named, False, looks=said), strong


def _goes_on(words: Sequence[Token], end: int, told: Set[int]) -> bool:
    """Whether something is told right behind the looks of a horse."""
    at = end
    while at < len(words) and (
        words[at].sort in ("comma", "pause")
        or words[at].norm
        in ("is", "'s", "was", "has", "had", "got", "and", "she", "he", "a", "the", "just")
    ):
        at += 1
    return at >= len(words) or at in told or words[end].sort in _BREAKS


def looks_behind(words: Sequence[Token], end: int) -> frozenset[str]:
    """What is told of a horse right behind its name: "Pippin first, the little skewbald"."""
    looks = set()
    at = end
    while at < min(len(words), end + 8):
        norm = words[at].norm
        if norm in COLOURS | SEXES | BEASTS:
            looks.add(norm)
        elif norm not in _LEADS | {"a"} and words[at].sort not in ("comma", "pause"):
            break
        at += 1
    return frozenset(looks)
