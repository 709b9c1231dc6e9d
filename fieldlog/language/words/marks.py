"""Marks: the meaningful stretches of a note, found by pattern and made disjoint.

``note_marks.find_marks`` collects candidates from the vocabulary, the context roles, the foot
names, the numbers and the times; ``resolve`` is the pure function that decides between overlapping
ones:
more words win, then the more specific table, then the earlier. Soft roles (articles, copulas,
clause starters) only take words that nothing else wanted.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence, Set
from dataclasses import dataclass, field
from functools import cache, lru_cache
from typing import Any

from fieldlog.language.lexicon import KINDS, Item, find_item, items, read_data
from fieldlog.language.personal import Phrase
from fieldlog.language.words.matcher import Matcher

PAIRS, ALL_FOUR = ("LF+RF", "LH+RH"), "LF+RF+LH+RH"
"""What a mark of several feet means: the fronts, the hinds; all of them."""
SOFT = frozenset({"starter", "article", "joint", "copula", "adverb", "good_word", "by", "deep",
                  "long", "high", "against_foot", "size", "each", "counted", "material", "wide",
                  "farrier_says", "urgent", "twice"})  # fmt: skip
GLUE = frozenset({"starter", "article", "joint", "copula", "adverb", "against_foot", "urgent",
                  "farrier_says"})  # fmt: skip
_RANK = {
    "time": 0, "number": 1, "finding": 2, "foot": 3, "correction": 4, "measure": 4, "score": 4,
    "work": 5, "followup": 5, "handling": 6, "advice": 6, "side": 7, "place": 7, "clock": 2,
    "role": 8,
}  # fmt: skip


@lru_cache(maxsize=4096)
def _covered(start: int, end: int, gap: tuple[int, int] | None) -> frozenset[int]:
    """Kept, for the rules ask thousands of times which words a note's few marks have."""
    words = frozenset(range(start, end))
    return words.difference(range(*gap)) if gap else words


@dataclass(slots=True)
class Mark:
    """A stretch of words with a meaning."""

    kind: str
    """``finding``, ``work``, ``place``..., ``number``, ``time``, ``foot``, ``role``,
    ``correction`` or ``side``."""
    code: str
    start: int
    """First word (index into the significant words)."""
    end: int
    item: Item | None = None
    value: Any = None
    """The number span or time span; a ``Value`` once a number is understood."""
    number: Any = None
    """The number span, kept when ``value`` changes."""
    gap: tuple[int, int] | None = None
    tags: set[str] = field(default_factory=set)

    def covers(self) -> frozenset[int]:
        """Indices of the words that belong to it."""
        return _covered(self.start, self.end, self.gap)

    def holds(self, word: int) -> bool:
        """Whether a word belongs to it."""
        inside = self.start <= word < self.end
        return inside and not (self.gap and self.gap[0] <= word < self.gap[1])

    def touches(self, words: Set[int]) -> bool:
        """Whether one of some words belongs to it; mostly there are none, which costs nothing."""
        return bool(words) and not words.isdisjoint(self.covers())

    def tells(self) -> bool:
        """False for glue: articles, copulas, clause starters."""
        return not (self.kind == "role" and self.code in GLUE)

    @property
    def size(self) -> int:
        return self.end - self.start - (self.gap[1] - self.gap[0] if self.gap else 0)


def in_order(marks: Iterable[Mark]) -> list[Mark]:
    """Marks as they were said: by their first word, then by their last."""
    return sorted(marks, key=lambda m: (m.start, m.end))


@dataclass(frozen=True, slots=True)
class _Target:
    kind: str
    code: str
    item: Item | None = None


@cache
def _compiled() -> tuple[Matcher, tuple[_Target, ...]]:
    matcher = Matcher(read_data("spoken_forms")["stands_for"])
    targets: list[_Target] = []

    def add(kind: str, code: str, forms: Iterable[str], item: Item | None = None) -> None:
        targets.append(_Target(kind, code, item))
        for form in forms:
            matcher.add(form, len(targets) - 1)

    for name in KINDS:
        for item in items(name):
            add(item.table, item.means, item.forms, item)
    for row in read_data("context")["role"]:
        add("role", row["id"], row["forms"])
    for row in read_data("corrections")["role"]:
        add("correction", row["id"], row["forms"])
    for row in read_data("feet")["foot"]:
        add("foot", row["means"], row["forms"])
    add("side", "medial", ["(inside|medial|medially|inner|med) [side|edge]"])
    add("side", "lateral", ["(outside|lateral|laterally|outer|lat) [side|edge]"])
    return matcher, tuple(targets)


@cache
def pattern_words() -> frozenset[str]:
    """Every word that some pattern of the vocabulary, the context or the feet names."""
    return frozenset(_compiled()[0].words())


def candidates(
    words: Sequence[str], number_words: Iterable[int], walls: Iterable[int]
) -> list[Mark]:
    """Every mark that a pattern allows, overlapping ones included."""
    matcher, targets = _compiled()
    numbers, blocked = set(number_words), set(walls)
    out = []
    for hit in matcher.find(words, numbers, blocked):
        target = targets[hit.key]
        out.append(Mark(target.kind, target.code, hit.start, hit.end, target.item, gap=hit.gap))
    feet = sorted({(m.start, m.end) for m in out if m.kind == "foot"})
    out += _around_feet(words, numbers, blocked, feet)
    return out


def _around_feet(
    words: Sequence[str], numbers: set[int], walls: set[int], feet: Sequence[tuple[int, int]]
) -> list[Mark]:
    """Marks that go on behind a foot: "heel on the left front is crushed", "the off fore shoe".

    The foot lies in the mark's gap and stays a mark of its own.
    """
    matcher, targets = _compiled()
    holes = _holes(words, feet)
    if not holes:
        return []
    left_out = {i for low, high in holes.items() for i in range(low, high)}
    kept = [i for i in range(len(words)) if i not in left_out]
    place = {old: new for new, old in enumerate(kept)}
    out = []
    for hit in matcher.find(
        [words[i] for i in kept],
        {place[i] for i in numbers if i in place},
        {place[i] for i in walls if i in place},
    ):
        target = targets[hit.key]
        first, last = kept[hit.start], kept[hit.end - 1]
        inside = [(a, b) for a, b in holes.items() if first < a and b <= last]
        if len(inside) != 1 or hit.gap is not None or target.kind not in _ROUND_A_FOOT:
            continue
        if _tied_apart(words, first) or (target.kind == "work" and _done_apart(words, last, feet)):
            continue
        mark = Mark(target.kind, target.code, first, last + 1, target.item, gap=inside[0])
        if inside[0] in feet:
            if words[inside[0][1]] in _IS and words[first] != "off":
                continue  # "in the central sulcus, near fore is cracked"
            mark.tags.add("bare_foot_inside")
        out.append(mark)
    return out


def _holes(words: Sequence[str], feet: Sequence[tuple[int, int]]) -> dict[int, int]:
    """Feet with the words that lead to them, which other marks may go on behind; none overlap."""
    holes: dict[int, int] = {}
    for start, end in feet:
        if end - start == 1 and words[start] in _NO_HOLE:
            continue
        if end - start == 1 and words[start] == "left" and words[start - 1] not in _DETERMINERS:
            continue  # "left the hinds alone"
        begin = start
        if words[start - 1] in _DETERMINERS and words[start - 2] in _OF and start > 1:
            begin = start - 2
        elif start and words[start - 1] in _OF:
            begin = start - 1
        if any(low < end and begin < high and high - low > end - begin for low, high in
               holes.items()):  # fmt: skip
            continue
        holes = {low: high for low, high in holes.items() if not (low < end and begin < high)}
        holes[begin] = end
    return holes


def _tied_apart(words: Sequence[str], first: int) -> bool:
    """ "In the outside quarter in the right hind crack in...": the place is of what was before."""
    lead = first - 1
    while lead > 0 and words[lead] in _PLACED_AS:
        lead -= 1
    return 0 <= lead < first - 1 and words[lead] in _TIES


def _done_apart(words: Sequence[str], last: int, feet: Sequence[tuple[int, int]]) -> bool:
    """A job behind a foot that is none of it: the verb has an object of its own.

    "Flare on the left front, dressed it" was seen, then done; "flare off fore, trimmed all four"
    has a foot of its own.
    """
    if words[last + 1 : last + 2] in (["it"], ["them"]):
        return True
    return any(last < a <= last + 2 for a, _ in feet)


_PLACED_AS = frozenset({"the", "his", "her", "inside", "outside", "medial", "lateral"})
_TIES = frozenset({"in", "at", "on", "of", "round", "around", "along"})
_IS = frozenset({"is", "'s", "are", "was", "were", "has", "had"})
_NO_HOLE = frozenset({"off", "near", "back", "other", "both", "behind", "right"})
_DETERMINERS = frozenset({"the", "his", "her", "that", "this", "its"})
_OF = frozenset({"on", "of", "in", "to"})
_ROUND_A_FOOT = frozenset({"finding", "work", "measure", "handling"})


def own_phrases(words: Sequence[str], phrases: Sequence[Phrase]) -> list[Mark]:
    """Marks for the farrier's own phrases; they count one word longer than they are."""
    out = []
    for phrase in phrases:
        item = find_item(phrase.code, phrase.kind)
        wanted = phrase.words.split()
        for at in range(len(words) - len(wanted) + 1):
            if item is not None and list(words[at : at + len(wanted)]) == wanted:
                mark = Mark(phrase.kind, phrase.code, at, at + len(wanted), item)
                mark.tags.add("personal")
                out.append(mark)
    return out


def resolve(found: Iterable[Mark]) -> list[Mark]:
    """Disjoint marks in reading order; see the module text for who wins."""
    marks = list(found)
    hard = [m for m in marks if not (m.kind == "role" and m.code in SOFT)]
    soft = [m for m in marks if m.kind == "role" and m.code in SOFT]
    taken: set[int] = set()
    chosen: list[Mark] = []
    for mark in sorted(hard, key=_strength):
        words = mark.covers()
        if taken.isdisjoint(words):
            taken |= words
            chosen.append(mark)
    for mark in sorted(soft, key=lambda m: (-m.size, m.start, m.code)):
        end = mark.start
        while end < mark.end and end not in taken:
            end += 1
        if end > mark.start:
            taken |= set(range(mark.start, end))
            chosen.append(Mark(mark.kind, mark.code, mark.start, end, mark.item, gap=None))
    return in_order(chosen)


def _strength(mark: Mark) -> tuple[float, int, int, str, bool]:
    """What overlapping marks are sorted by, the strongest first."""
    personal, round_a_foot = "personal" in mark.tags, "bare_foot_inside" in mark.tags
    size = mark.size + personal - 1.5 * round_a_foot
    plain = mark.item is not None and mark.item.plain
    return (-size, _rank(mark), mark.start, mark.code, not plain)


def _rank(mark: Mark) -> int:
    """Of which table a mark is, the most specific first."""
    if mark.code.endswith("_word"):
        return 9
    if mark.code == "new_horse":
        return _RANK["foot"]
    return _RANK.get(mark.kind, 9)
