"""A horse that is described instead of named: "then the bay gelding in stall four", "her foal"."""

from __future__ import annotations

from collections.abc import Sequence, Set
from dataclasses import dataclass, field

from fieldlog.language.horses.naming import BEASTS, BREAKS, COLOURS, COUNTED, SEXES, Opening
from fieldlog.language.lexicon import word_set
from fieldlog.language.words.tokens import Token

_LEADS = word_set("leads_to_name") | {"another", "to", "on", "one", "her", "his", "their", "my"}
_STRONG = frozenset({"next", "then", "now", "onto", "another", "second", "third", "last"})
"""Words that lead to another horse than the one before."""
_KIN = frozenset({"foal", "yearling", "brother", "sister", "mother", "dam", "mate", "stablemate",
                  "companion", "daughter", "son", "buddy", "friend", "pal", "mama",
                  "mum", "twin", "filly", "colt"})  # fmt: skip
_ONE = frozenset({"one", "horse", "fella", "fellow", "feller", "lad", "girl", "lady", "chap"})
_OF_FEET = frozenset({"shoe", "shoes", "nail", "nails", "s", "foot", "feet", "inch", "inches"})
"""Behind a number, or behind "the other", that no horse has."""
_IN = frozenset({"in", "at", "by", "from", "of"})
_WHERE = frozenset({"yard", "stable", "stall", "box", "barn", "field", "paddock", "door", "end",
                    "corner", "pen", "corral", "string", "row"})  # fmt: skip
_OWNS = frozenset({"her", "his", "their", "'s"})
_PLACES = frozenset({"stall", "box", "number", "horse", "pen", "stable", "loosebox"})
_RANKS = frozenset({"first", "second", "third", "fourth", "fifth", "sixth", "last", "other"})
_NO_CLAUSE = frozenset({"on", "of", "for", "than", "with", "to", "in", "at", "by", "like", "as",
                        "from", "past", "behind", "beside", "about", "see", "saw", "told", "not",
                        "and", "is", "'s", "was", "that"})  # fmt: skip
"""Words before the looks of a horse that is no subject."""
_GONE = frozenset({"sold", "died", "dead", "gone", "empty", "went"})
_OF_SIZES = frozenset({"up", "in", "front", "behind", "on", "all", "and", "hinds", "fronts", "near",
                       "off", "left", "right"})  # fmt: skip
"""Behind "number two", a size of shoes."""
_TELLS = frozenset({"is", "'s", "was", "has", "had", "needs", "gets", "got", "no", "not", "didn't",
                    "again", "wasn't", "hasn't", "isn't", "same", "ditto",
                    "likewise"})  # fmt: skip
_BETWEEN = frozenset({"and", "she", "he", "a", "the", "just"})


def descriptions(words: Sequence[Token], told: Set[int]) -> list[tuple[Opening, bool]]:
    """Where a clause begins with the looks of a horse, in order, and whether a word before them
    ("next", "then") says that it is another one.

    Args:
        words: those of the note.
        told: words that a mark begins with that tells of a foot, a job, a finding...
    """
    out = []
    at = 0
    stopped = any(w.sort in ("stop", "comma") for w in words)
    while at < len(words):
        found = _description(words, at) if _may_begin(words, at, stopped, told) else None
        if found is not None and _goes_on(words, found[0].end, told):
            out.append(found)
            at = found[0].end
        else:
            at += 1
    return out


def _may_begin(words: Sequence[Token], at: int, stopped: bool, told: Set[int]) -> bool:
    """Whether a clause begins at a word, as far as stops or words like "then" show it; without
    stops, any word that leads to looks may begin one."""
    if at == 0 or words[at - 1].sort in BREAKS or words[at].norm in _STRONG:
        return True
    if stopped or (words[at - 1].norm in _NO_CLAUSE and at - 1 not in told):
        return False
    return words[at].norm in _PLACES | _OWNS | _RANKS | {"the"}


@dataclass(slots=True)
class _Looks:
    """What is told of a horse instead of its name."""

    details: dict[str, str] = field(default_factory=dict)
    others: set[str] = field(default_factory=set)
    strong: bool = False
    """Whether it must be another horse than the one before."""
    owned: bool = False
    """Whether a word like "her" stands before: the next word may tell whose kin it is."""

    def take(self, words: Sequence[Token], at: int, begin: int) -> int:
        """Take the word at ``at`` as part of a description; how many words were taken."""
        norm = words[at].norm
        behind = words[at + 1].norm if at + 1 < len(words) else ""
        self.owned = self.owned or norm in _OWNS
        if norm in COLOURS:
            self.details["colour"] = norm
        elif norm in SEXES or norm in BEASTS:
            self.details["sex" if norm in SEXES else "kind"] = norm
        elif norm in _KIN and self.owned:
            self.others.add(norm)
            self.strong = not _is_told(words, begin)
        elif norm in _ONE and self.details and words[at - 1].norm in COLOURS:
            return 1
        elif norm in _PLACES and behind in COUNTED and _next(words, at + 2) not in _OF_FEET:
            self.others.add(f"{norm} {COUNTED[behind]}")
            self.strong = True
            return 2
        elif (
            norm in _RANKS
            and behind in _ONE | COLOURS | SEXES | BEASTS
            and not (
                norm == "other" and behind == "one"  # a foot, as a rule
            )
        ):
            self.others.add(f"{norm} one")
            self.strong = True
            return 2 if behind in _ONE else 1
        else:
            return 0
        return 1


def _next(words: Sequence[Token], at: int) -> str:
    return words[at].norm if at < len(words) else ""


def _description(words: Sequence[Token], begin: int) -> tuple[Opening, bool] | None:
    """The looks told from a word on, and whether they are another horse's; None if none are."""
    at, end, looks = _behind_owner(words, begin), begin, _Looks()
    looks.owned = at > begin
    while at < min(len(words), begin + 9):
        taken = looks.take(words, at, begin)
        if taken:
            at = end = at + taken
            continue
        if words[at].norm not in _LEADS and words[at].norm not in _IN:
            break
        looks.strong = looks.strong or (end == begin and words[at].norm in _STRONG)
        at += 1
    if end == begin:
        return None
    end = _with_its_place(words, end)
    named = {key: value for key, value in looks.details.items() if key != "kind"}
    said = frozenset({*looks.details.values(), *looks.others})
    return Opening(begin, end, "", named, False, looks=said), looks.strong


def _behind_owner(words: Sequence[Token], begin: int) -> int:
    """The first word behind "Fern's own", if somebody owns the horse that is described."""
    if _next(words, begin + 1) != "'s" or words[begin].sort != "word":
        return begin
    if words[begin].norm in _LEADS or words[begin].norm in _OF_FEET | _WHERE:
        return begin
    return begin + 2 + (_next(words, begin + 2) == "own")


def _is_told(words: Sequence[Token], begin: int) -> bool:
    """ "That's her brother": told of the horse that was just named."""
    return words[begin].norm in ("that", "he", "she") and _next(words, begin + 1) in ("'s", "is")


def _with_its_place(words: Sequence[Token], end: int) -> int:
    """One past the last word of "the pony in the end stable", from the end of "the pony"."""
    if _next(words, end) not in _IN:
        return end
    for at in range(end + 1, min(len(words), end + 6)):
        if words[at].norm in _WHERE and _next(words, at + 1) not in _WHERE:
            return at + 1
    return end


def _goes_on(words: Sequence[Token], end: int, told: Set[int]) -> bool:
    """Whether something is told right behind the looks of a horse."""
    behind = _next(words, end)
    if words[end - 2].norm == "number" and behind in _OF_SIZES:
        return False
    if behind in _OF_FEET or {behind, _next(words, end + 1)} & _GONE:
        return False
    if end >= len(words) or words[end].sort in BREAKS or behind in _TELLS:
        return True
    at = end
    while at < len(words) and words[at].norm in _BETWEEN:
        at += 1
    return at in told


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
