"""A horse that is described instead of named: "then the bay gelding in stall four", "her foal"."""

from __future__ import annotations

from collections.abc import Sequence, Set
from dataclasses import dataclass, field

from fieldlog.language.horses.naming import (
    BEASTS,
    BREAKS,
    COLOURS,
    COUNTED,
    SEXES,
    Opening,
    has_stops,
    herd_words,
)
from fieldlog.language.lexicon import word_set
from fieldlog.language.words.tokens import Token

_WORDS = herd_words("looks")
_LEADS = word_set("leads_to_name") | _WORDS["leads"]
_ANOTHER = _WORDS["owns"] | {"the"}
"""Behind "and": another horse's looks begin ("the mare and her foal")."""
_LONGEST = 9
"""Words of a description at most."""
_NEAR = 6
"""Words behind "number two" in which something is told, where no stop is."""


def descriptions(words: Sequence[Token], told: Set[int]) -> list[tuple[Opening, bool]]:
    """Where a clause begins with the looks of a horse, in order, and whether a word before them
    ("next", "then") says that it is another one.

    Args:
        words: those of the note.
        told: words that a mark begins with that tells of a foot, a job, a finding...
    """
    out = []
    at = 0
    stopped = has_stops(words)
    while at < len(words):
        found = _joined(words, at) if _may_begin(words, at, stopped, told) else []
        if found and _goes_on(words, found[-1][0], told, stopped):
            out += found
            at = found[-1][0].end
        else:
            at += 1
    return out


def closing_descriptions(words: Sequence[Token]) -> list[Opening]:
    """The looks of horses of which the words before them may tell: "look at the mare", "six weeks
    for the mare and the foal"."""
    out: list[Opening] = []
    for at in range(1, len(words)):
        behind = words[at].norm == "the" and words[at - 1].norm in _WORDS["of_it"]
        if behind and not (out and at < out[-1].end):
            out += [opening for opening, _ in _joined(words, at)]
    return out


def _joined(words: Sequence[Token], begin: int) -> list[tuple[Opening, bool]]:
    """The looks told from a word on, and those joined to them: "the mare and the foal"."""
    found = _description(words, begin)
    if found is None:
        return []
    end = found[0].end
    more = _joined(words, end + 1) if _next(words, end) == "and" and end + 1 < len(words) else []
    return [found, *more]


def _may_begin(words: Sequence[Token], at: int, stopped: bool, told: Set[int]) -> bool:
    """Whether a clause begins at a word, as far as stops or words like "then" show it; without
    stops, any word that leads to looks may begin one."""
    norm = words[at].norm
    if at == 0 or words[at - 1].sort in BREAKS or norm in _WORDS["strong"]:
        return True
    before = words[at - 1].norm
    if stopped or (before in _WORDS["no_clause"] and at - 1 not in told):
        return False
    if norm in COLOURS and before not in _WORDS["articles"] | COLOURS:
        return _next(words, at + 1) in SEXES | BEASTS  # "trimmed | grey filly trimmed"
    return norm in _WORDS["places"] | _WORDS["owns"] | _WORDS["ranks"] | {"the"}


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
        """Take the word at ``at`` as part of a description.

        Args:
            words: those of the note.
            at: the word.
            begin: the first word of the description.

        Returns:
            How many words were taken.
        """
        norm = words[at].norm
        self.owned = self.owned or norm in _WORDS["owns"]
        if norm in COLOURS:
            self.details["colour"] = norm
            return 1
        if norm in SEXES or norm in BEASTS:
            self.details["sex" if norm in SEXES else "kind"] = norm
            return 1
        if norm in _WORDS["kin"] and (self.owned or words[at - 1].norm == "the"):
            if words[at - 1].norm == "'s":  # "the mare's daughter" is no mare
                self.details, self.others = {}, set()
            self.others.add(norm)
            lodges = norm in _WORDS["lodgers"]
            self.strong = self.strong or ((self.owned or lodges) and not _is_told(words, begin))
            return 1
        if norm in _WORDS["one"] and self.details and words[at - 1].norm in COLOURS:
            return 1
        return (
            self._take_place(words, at) or self._take_stall(words, at) or self._take_rank(words, at)
        )

    def _take_place(self, words: Sequence[Token], at: int) -> int:
        """ "Stall four", "number two"."""
        norm, behind = words[at].norm, _next(words, at + 1)
        if norm not in _WORDS["places"] or behind not in COUNTED:
            return 0
        if _next(words, at + 2) in _WORDS["of_feet"]:
            return 0
        self.others.add(f"{norm} {COUNTED[behind]}")
        if norm in _WORDS["stalls"]:
            self.others.add(f"in {COUNTED[behind]}")
        self.strong = True
        return 2

    def _take_stall(self, words: Sequence[Token], at: int) -> int:
        """ "The one in three": in a box that was told of before."""
        inside = words[at].norm in _WORDS["in_it"] and _next(words, at + 1) == "in"
        if not inside or _next(words, at + 2) not in COUNTED:
            return 0
        self.others.add(f"in {COUNTED[words[at + 2].norm]}")
        return 3

    def _take_rank(self, words: Sequence[Token], at: int) -> int:
        """ "The second one", "the last mare"; "the other one" is a foot, as a rule."""
        norm, behind = words[at].norm, _next(words, at + 1)
        ranked = behind in _WORDS["one"] | COLOURS | SEXES | BEASTS
        if norm not in _WORDS["ranks"] or not ranked or (norm, behind) == ("other", "one"):
            return 0
        self.others.add(f"{norm} one")
        self.strong = True
        return 2 if behind in _WORDS["one"] else 1


def _next(words: Sequence[Token], at: int) -> str:
    return words[at].norm if at < len(words) else ""


def _description(words: Sequence[Token], begin: int) -> tuple[Opening, bool] | None:
    """The looks told from a word on, and whether they are another horse's; None if none are."""
    at, end, looks = _behind_owner(words, begin), begin, _Looks()
    looks.owned = at > begin
    while at < min(len(words), begin + _LONGEST):
        taken = looks.take(words, at, begin)
        if taken:
            at = end = at + taken
            continue
        if words[at].norm not in _LEADS and words[at].norm not in _WORDS["inside"]:
            break
        if end > begin and words[at].norm == "and" and _next(words, at + 1) in _ANOTHER:
            break
        looks.strong = looks.strong or (end == begin and words[at].norm in _WORDS["strong"])
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
    if words[begin].norm in _LEADS | _WORDS["of_feet"] | _WORDS["where"]:
        return begin
    return begin + 2 + (_next(words, begin + 2) == "own")


def _is_told(words: Sequence[Token], begin: int) -> bool:
    """ "That's her brother": told of the horse that was just named."""
    return words[begin].norm in ("that", "he", "she") and _next(words, begin + 1) in ("'s", "is")


def _with_its_place(words: Sequence[Token], end: int) -> int:
    """One past the last word of "the pony in the end stable", from the end of "the pony"."""
    if _next(words, end) not in _WORDS["inside"]:
        return end
    for at in range(end + 1, min(len(words), end + 6)):
        if words[at].norm in _WORDS["where"] and _next(words, at + 1) not in _WORDS["where"]:
            return at + 1
    return end


def _goes_on(words: Sequence[Token], found: Opening, told: Set[int], stopped: bool) -> bool:
    """Whether something is told right behind the looks of a horse."""
    end, behind = found.end, _next(words, found.end)
    if words[end - 2].norm == "number" and behind in _WORDS["of_sizes"]:
        return False
    if behind in _WORDS["of_feet"] or {behind, _next(words, end + 1)} & _WORDS["gone"]:
        return False
    if _no_horse(words, end):
        return False
    if end >= len(words) or words[end].sort in BREAKS or behind in _WORDS["tells"]:
        return True
    if any(look.startswith("in ") for look in found.looks):
        return True
    if behind in _WORDS["pronouns"] or (not stopped and _tells_later(words, found, told)):
        return True
    at = end
    while at < len(words) and words[at].norm in _WORDS["between"]:
        at += 1
    return at in told


def _no_horse(words: Sequence[Token], end: int) -> bool:
    """ "Number four, Possum, is not a horse"."""
    behind = [w.norm for w in words[end : end + _NEAR + 1]]
    return "horse" in behind and behind[max(0, behind.index("horse") - 2)] == "not"


def _tells_later(words: Sequence[Token], found: Opening, told: Set[int]) -> bool:
    """Whether what is told without stops behind a box, a number or "her foal" is that horse's,
    though other words come first."""
    first = words[found.start].norm
    if any(w.norm in _WORDS["stalls"] for w in words[found.start : found.end]):
        return True
    near = any(at in told for at in range(found.end, found.end + _NEAR))
    return near and first in _WORDS["owns"] | _WORDS["places"]


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
