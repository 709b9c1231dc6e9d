"""Clauses without punctuation: groups marks into units, one head with what belongs to it.

A *head* is a finding, a job, a value, a follow-up, a grade...; everything else is an attribute.
Between two heads there is one place where the words stop belonging to the left head and start
belonging to the right one: ``units_built`` finds it, and ``foot_looks_back`` here says whether a
foot name between them belongs to the left one.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from copy import copy
from dataclasses import dataclass, field
from itertools import pairwise

from fieldlog.core.facts import Due
from fieldlog.language.foot_order import is_heading, names_thing
from fieldlog.language.lexicon import word_set
from fieldlog.language.marks import ALL_FOUR, Mark
from fieldlog.language.tokens import Token

HEADS = frozenset({"finding", "work", "followup", "handling", "advice", "score", "value",
                   "change"})  # fmt: skip
SIDES = frozenset({"inside", "outside", "medial", "lateral", "inner", "outer"})
"""Words for one side of one hoof."""
NEEDS_FOOT = frozenset({"finding", "work", "value"})
FORWARD = frozenset({"negation", "other_says", "work_negation", "unsure_before", "owner_says",
                     "vet_says", "plan", "history_before", "farrier_says", "by_owner", "by_vet",
                     "if"})  # fmt: skip
SEVERITIES = frozenset({"mild", "moderate", "severe"})
BREAKS = frozenset({"comma", "pause"})
PREPOSITIONS = word_set("prepositions")
COPULAS = word_set("copulas")
_NEW_SUBJECT = frozenset({"and", "but", "so", "i", "we", "he", "she", "they", "you", "it"})
_NO_OBJECT = frozenset({"barefoot", "leave_alone", "clips"})
ARTICLES = word_set("articles")


@dataclass(slots=True)
class UnitSaid:
    """One head and the marks before and after it that belong to it."""

    head: Mark
    before: list[Mark] = field(default_factory=list)
    after: list[Mark] = field(default_factory=list)
    start: int = 0
    """First word of the unit."""
    end: int = 0
    """One past its last word."""
    sentence: int = 0
    feet_follow: bool = False
    """The unit before is a value whose foot stood behind it, so this one's may as well."""
    about: str = ""
    """For follow-ups: the finding or job that it concerns."""

    def marks(self) -> list[Mark]:
        """All marks but the head."""
        return [*self.before, *self.after]

    def roles(self, *codes: str) -> list[Mark]:
        """The role marks with one of these codes."""
        return [m for m in self.marks() if m.code in codes and m.kind == "role"]

    def has(self, *codes: str) -> bool:
        """True if one of these roles is in the unit."""
        for marks in (self.before, self.after):
            for mark in marks:
                if mark.code in codes and mark.kind == "role":
                    return True
        return False

    def of(self, kind: str) -> list[Mark]:
        """The marks of one kind."""
        return [m for m in self.marks() if m.kind == kind]

    def span(self, line: Line) -> tuple[int, int]:
        """Characters from the first to the last word that has a meaning in the unit."""
        words = {i for m in [self.head, *self.marks()] if m.tells() for i in m.covers()}
        if self.head.end > self.head.start:
            words |= {self.head.start, self.head.end - 1}
        words = words or {self.start}
        return line.words[min(words)].start, line.words[max(words)].end

    def says_feet(self, line: Line) -> bool:
        """ "Feet were badly overgrown": all that are in hand."""
        return any(line.norm(i) in ("feet", "hooves") for i in range(self.start, self.end))

    def leans_on_it(self, line: Line) -> bool:
        """ "Leaning back off them": a way of standing told of the feet in hand."""
        return any(
            line.norm(i) in ("off", "on") and line.norm(i + 1) in ("them", "it")
            for i in range(self.head.start, self.end)
        )

    def says_it(self, line: Line) -> bool:
        """ "Snatched it away": the one foot in hand."""
        words = [line.norm(i) for i in range(self.head.start, self.end)]
        return any(a == "it" and b not in ("of", "about") for b, a in pairwise(words))

    def when(self) -> Due | None:
        """The time beside the head, else the first behind it, else the last before it."""
        head, other = self.head, self.roles("otherwise")
        late = other[0].start if other and other[0].start >= head.end else None
        times = [m for m in self.of("time") if late is None or m.start < late]
        beside = [m for m in times if -1 <= head.start - m.end <= 2 or 0 <= m.start - head.end <= 1]
        behind = [m for m in times if m.start >= head.end]
        beside.sort(key=lambda m: abs(head.start - m.end) if m.end <= head.start else 0)
        chosen = beside[:1] or behind[:1] or times[-1:]
        due: Due | None = chosen[0].value.due if chosen else None
        return due

    def feet(self) -> list[Mark]:
        """Feet that the unit is about (not merely compared with)."""
        return [m for m in self.marks() if m.kind == "foot" and not m.tags & {"compared", "idle"}]


class _Norms(dict[int, str]):
    """Words by their number, and an empty string outside the note."""

    def __missing__(self, at: int) -> str:
        return ""


class Line:
    """The significant words of a note with helpers to look around a mark."""

    norm: Callable[[int], str]
    """The word at a number, or an empty string outside the note; asked for thousands of times."""

    def __init__(self, words: Sequence[Token], marks: Sequence[Mark]) -> None:
        self.words = words
        self.marks = marks
        self.norm = _Norms((at, word.norm) for at, word in enumerate(words)).__getitem__
        self._sentences: tuple[tuple[int, int], ...] | None = None

    def with_marks(self, marks: Sequence[Mark]) -> Line:
        """The same words with other marks."""
        line = copy(self)
        line.marks = marks
        return line

    def text(self, mark: Mark) -> str:
        """The words of a mark."""
        return " ".join(map(self.norm, sorted(mark.covers())))

    def break_at(self, at: int) -> bool:
        """True if the word at ``at`` is a comma or a pause (or past an end)."""
        return not 0 <= at < len(self.words) or self.words[at].sort in (*BREAKS, "stop")

    def sentences(self) -> tuple[tuple[int, int], ...]:
        """Word ranges between full stops."""
        if self._sentences is None:
            self._sentences = tuple(self._between_stops())
        return self._sentences

    def sentence_begin(self, at: int) -> int:
        """The first word of the sentence that a word is in."""
        return next((low for low, high in self.sentences() if low <= at < high), 0)

    def _between_stops(self) -> list[tuple[int, int]]:
        out: list[tuple[int, int]] = []
        begin = 0
        for at, word in enumerate(self.words):
            if word.sort == "stop":
                if at > begin:
                    out.append((begin, at))
                begin = at + 1
        if begin < len(self.words):
            out.append((begin, len(self.words)))
        return out


def foot_looks_back(
    line: Line,
    foot: Mark,
    left: UnitSaid,
    right: Mark | None,
    held: bool,
    own: list[Mark],
    last: bool = False,
    led: bool = False,
) -> bool:
    """Whether a foot name between two heads belongs to the left one.

    Args:
        line: the words.
        foot: the foot mark.
        left: the unit on its left.
        right: the next head of the sentence, if any.
        held: a foot was already in hand before this unit.
        own: feet that the left unit has already.
        last: in this sentence feet stand behind what is said of them.
        led: the foot named last stood before what was said of it.
    """
    if foot.tags & {"looks_back", "all_but"}:
        return True
    if "looks_forward" in foot.tags:
        return False
    own = [m for m in own if not (is_heading(m, [foot]) and m.end <= left.head.start)]
    if foot.start - left.head.end <= 2 and line.norm(left.head.end) in ("on", "in"):
        # "He took pictures of the fronts and found thrush in the left": not the fronts' thrush
        own = [m for m in own if not _clause_between(line, m, left.head)]
    if own and own[-1].end <= foot.start:
        joint = {line.norm(i) for i in range(own[-1].end, foot.start)} - {"the", "his", "her"}
        joined = bool(joint) and joint <= {"and", "or"} and not is_subject(line, foot)
        if joined and not (right is not None and _opens(line, foot, right, last)):
            return True
        listed = own[-1].end == foot.start and own[-1].start >= left.head.end
        listed = listed and "+" not in foot.code and not is_subject(line, foot, False)
        begun = any(m.kind == "foot" and m.start == foot.end for m in line.marks)
        further = line.norm(foot.end) == "and" and any(
            m.kind == "foot" and m.start in (foot.end + 1, foot.end + 2) for m in line.marks
        )
        work = left.head.kind == "work" and (begun or line.break_at(foot.end))
        if listed and (work or further):
            return True  # "trimmed left front right front left hind, ..."
    if right is None or line.norm(right.start) in ("hinds", "fronts", "fores"):
        return not own
    at = foot.start - 1
    while line.norm(at) in ARTICLES:
        at -= 1
    if any(line.norm(i) in _TURNS_TO for i in range(left.head.end, foot.start)):
        return False
    if right.code == "same" and right.kind == "change" and right.start == foot.end and held:
        return False  # "put a new shoe on, left front same deal"
    if (
        right.kind == "change"
        and right.code not in ("again", "denied")
        and not _own_after(line, right)
        and right.start - foot.end <= 2
        and not {line.norm(at), line.norm(foot.start)} & {"in", "on", "at", "of", "up", "behind"}
        and not any(m.kind == "foot" and foot.end <= m.start < right.start for m in line.marks)
        and not line.break_at(foot.end)
    ):
        return False
    done = line.norm(left.head.end - 1) in ("it", "them", "him", "her", "that", "on", "off")
    if left.head.kind == "work" and left.head.size > 1:
        done = done or bool({line.norm(i) for i in left.head.covers()} & _PARTS)
    of_horse = left.head.kind in ("handling", "advice") or (
        left.head.kind == "finding" and left.head.item is not None and left.head.item.per == "horse"
    )
    if (
        of_horse
        and right.kind in NEEDS_FOOT
        and 0 <= right.start - foot.end <= 1
        and not _own_after(line, right)
        and line.norm(at) not in PREPOSITIONS
        and line.norm(foot.start) not in ("in", "up", "behind")
    ):
        return False  # "copped a kick off him, all four trimmed"
    if left.head.code == "condition" and right is not None and right.kind in NEEDS_FOOT:
        return False
    broken = any(line.break_at(i) for i in range(left.head.end, foot.start))
    taken = any(m.end == left.head.start for m in own) and _is_participle(line, left.head)
    is_object = left.head.kind == "work" and at < left.head.end and not done and not broken
    if is_object and names_thing(line, left.head) and any(m.end <= left.head.start for m in own):
        return False
    if is_object and names_thing(line, left.head) and _told_behind(line, foot, right):
        return False
    if taken and at < left.head.end:
        # "fronts trimmed, hinds pulled": each verb has its foot before it
        return False
    subject = is_subject(line, foot, bool(own)) and line.norm(foot.end) not in ("have", "got")
    if is_object and left.head.code not in _NO_OBJECT and not subject:
        return not any(m.start >= left.head.end for m in own)
    told = bool(own) or (led and not _introduced(line, left))
    if held and told and _fronted(line, foot, right):
        return False
    ties = ("on", "in", "of") if line.norm(foot.end) == "and" else ("on", "in")
    placed = line.norm(at) in ties and not line.break_at(at - 1) and at > left.head.end - 1
    subject = is_subject(line, foot, chain=(held or bool(own)) and not left.feet_follow)
    if own or (subject and not placed):
        return False
    if any(m.kind == "foot" and m.start == foot.end for m in line.marks):
        return True
    adjacent = at < left.head.end and left.head.code not in _NO_OBJECT and not done
    preposed = line.norm(foot.start) in ("in", "up", "behind", "out", "all") or (
        line.norm(at) in PREPOSITIONS and at >= left.head.end
    )
    if left.head.kind in ("work", "followup") and (adjacent or preposed):
        return True
    beside = (left.head.kind == "work" and not adjacent) or led
    beside = (beside and _is_participle(line, right)) or (done and left.head.kind == "work")
    if beside and not preposed and _told_behind(line, foot, right, led):
        return False
    if (
        line.break_at(foot.start - 1)
        and not line.break_at(foot.end)
        and not _own_after(line, right)
    ):
        return False
    apart = line.break_at(foot.start - 1) and line.break_at(foot.end) and foot.code != "both"
    if led and apart and right.kind in NEEDS_FOOT and not _own_after(line, right, led):
        return False  # "left hind heat and a corn, right hind, thrush"
    horse_next = right.kind in ("work", "followup", "handling", "advice", "score") or (
        right.item is not None and right.item.per == "horse"
    )
    if horse_next and left.head.kind in (*NEEDS_FOOT, "score", "change"):
        return True
    values = left.head.kind == right.kind == "value"
    if preposed and led and values and right.start == foot.end and _led_in(line, left.head):
        return False  # "on the left three and a half fifty two on the right three and a quarter"
    if preposed:
        opens = line.break_at(at - 1 if line.norm(at) in PREPOSITIONS else at)
        return not (opens and not line.break_at(foot.end) and foot.end >= right.start - 1)
    if line.break_at(foot.end) or line.norm(foot.end) in _NEW_SUBJECT:
        return True
    if left.feet_follow and left.head.kind == "value":
        return True
    if left.head.kind == right.kind == "value" and _value_first(line, right):
        return True
    if line.break_at(foot.start - 1):
        return False
    if left.head.item is not None and left.head.item.per == "horse":
        return False
    return ((last and not led) or not held) and left.head.kind in NEEDS_FOOT


def _led_in(line: Line, head: Mark) -> bool:
    """The foot before this value was named with "on" or "in" as well, before its first value."""
    feet = [m for m in line.marks if m.kind == "foot" and m.end <= head.start]
    if not feet:
        return False
    at = feet[-1].start - 1
    while line.norm(at) in ARTICLES:
        at -= 1
    told = any(m.kind == "value" and m.start == feet[-1].end for m in line.marks)
    return line.norm(at) in ("on", "in") and told


_TURNS_TO = frozenset({"moving", "next", "onto", "turning", "over"})
_PARTS = frozenset({"it", "them", "him", "her", "that", "frog", "frogs", "toe", "toes", "heel",
                    "heels", "sole", "soles", "bar", "bars", "wall", "walls", "flare",
                    "clinches", "clenches"})  # fmt: skip


def is_subject(line: Line, foot: Mark, chain: bool = True) -> bool:
    """ "Left front is", "left front and right hind were": a verb follows the feet."""
    at = foot.end
    for mark in line.marks if chain else ():
        if mark.kind == "foot" and mark.start >= at:
            between = {line.norm(i) for i in range(at, mark.start)} - {"the", "his", "her"}
            if between != {"and"}:
                break
            at = mark.end
    return line.norm(at) in COPULAS or line.norm(at) in _IS_NOT


_IS_NOT = frozenset({"isn't", "aren't", "wasn't", "weren't", "doesn't", "hasn't", "ain't"})


def _clause_between(line: Line, foot: Mark, head: Mark) -> bool:
    return any(
        m.kind == "role"
        and m.code in ("starter", "joint")
        and m.start >= foot.end
        and line.norm(m.start) in ("and", "but", "then", "so")
        for m in line.marks
        if m.end <= head.start
    )


def _value_first(line: Line, value: Mark) -> bool:
    """ "Three and an eighth right hind, three and a half near hind": its foot is behind it."""
    later = [m for m in line.marks if m.start >= value.end and m.tells()][:2]
    if not later or later[0].kind != "foot" or later[0].start - value.end > 1:
        return False
    return len(later) < 2 or later[1].kind not in ("value", "place", "measure")


def _introduced(line: Line, unit: UnitSaid) -> bool:
    """ "There's a crack", "I found no heat": a clause that needs no foot before it."""
    return any(
        m.kind == "role"
        and m.code in ("starter", "farrier_says", "negation")
        and line.norm(m.start) in ("there", "i", "found", "find", "saw", "see", "got", "had", "has")
        for m in unit.before
    )


def _fronted(line: Line, foot: Mark, head: Mark) -> bool:
    """ "On the right front there's a bruise", "in the hinds it hasn't changed"."""
    if line.norm(foot.end) not in ("there", "there's", "it", "they", "he's", "he", "she"):
        return False
    said_of_it = head.code == "normal" and head.start - foot.end <= 3
    if line.norm(foot.end) in ("it", "they", "he", "she") and not (
        head.kind == "change" or said_of_it
    ):
        return False
    return not _own_after(line, head, led=True)


_BEFORE_ITS_FOOT = frozenset({"the", "his", "her", "both", "on", "in", "of", "off", "to", "all"})


def _own_after(line: Line, head: Mark, led: bool = False) -> bool:
    """Whether a foot behind a head is its own and does not begin the next clause."""
    feet = [m for m in line.marks if m.kind == "foot" and m.start >= head.end]
    for foot in [m for m in feet if "compared" not in m.tags][:1]:
        between = [line.norm(i) for i in range(head.end, foot.start)]
        if "looks_back" in foot.tags:
            return True
        if not set(between) <= _BEFORE_ITS_FOOT or line.norm(foot.end) == "there":
            return False
        if is_subject(line, foot, False):
            return False
        return bool(between) or not led or foot.code == ALL_FOUR
    return False


def _told_behind(line: Line, foot: Mark, head: Mark, led: bool = False) -> bool:
    """ "Hinds trimmed", "hinds stay bare", "behind I just reset": the foot's job follows it."""
    if head.kind not in ("work", "finding"):
        return False
    if _own_after(line, head, led) or {line.norm(i) for i in head.covers()} & {
        "hinds",
        "fronts",
        "behind",
        "front",
    }:
        return False
    between = {line.norm(i) for i in range(foot.end, head.start)}
    return between <= {"just", "only", "stay", "staying", "left", "i", "we", "all", "got", "both"}


_TIES_A_FINDING = frozenset({"a", "an", "the", "has", "had", "got", "is", "'s", "with", "some",
                             "bit", "of", "just", "only", "at", "about"})  # fmt: skip


def _opens(line: Line, foot: Mark, head: Mark, last: bool) -> bool:
    """ "... the left hind and right hind a bit of flare": the second foot has its own finding."""
    if head.kind not in ("finding", "value"):
        return False
    inside = range(foot.end, head.start)
    if any(line.break_at(i) for i in inside) or any(line.norm(i) == "and" for i in inside):
        return False
    between = [m for m in line.marks if foot.end <= m.start and m.end <= head.start]
    if any(m.kind == "foot" or (m.kind == "role" and m.code in FORWARD) for m in between):
        return False
    known = {i for m in between for i in m.covers()}
    if any(i not in known and line.norm(i) not in _TIES_A_FINDING for i in inside):
        return False
    cued = head.kind == "value" and any(m.start == foot.end and m.kind == "place" for m in between)
    return cued or not _own_after(line, head, led=not last)


_DONE_WORDS = frozenset({"shod", "bare", "barefoot", "reset", "new"})


def _is_participle(line: Line, head: Mark) -> bool:
    word = line.norm(head.end - 1)
    return head.size == 1 and (word.endswith("ed") or word in _DONE_WORDS)
