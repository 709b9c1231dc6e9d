"""What the words around a correcting word say of it: whether it takes something back at all.

"Abscess, no, bruise" does, "no bruise" does not; the foot, number or finding behind it is what
takes the place of the one before.
"""

from __future__ import annotations

from fieldlog.language.lexicon import word_set
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import HEADS, Line

NUMBERS = frozenset({"number", "value", "size", "count", "shoe_size", "grade", "nail"})
"""Kinds of marks that are numbers of some sort."""


def _told_before(line: Line, mark: Mark) -> Mark | None:
    """The head that stands last before a correcting word."""
    heads = (m for m in reversed(line.marks) if m.end <= mark.start and m.kind in HEADS)
    return next(heads, None)


def means(line: Line, mark: Mark) -> bool:
    """ "I mean a corn"; a bare "no" or "wait" may go with what follows."""
    bare = mark.size == 1 or line.norm(mark.end - 1) in ("no", "wait", "actually")
    if bare and line.norm(mark.start) in ("actually", "wait", "no", "check", "wrong"):
        return False
    return line.norm(mark.end - 1) in word_set("means_words")


def only_that(line: Line, mark: Mark, new: Mark) -> bool:
    """ "Abscess, no, bruise": pauses on both sides of the "no", and nothing behind the finding."""
    before = _told_before(line, mark)
    return (
        before is not None
        and before.kind == "finding"
        and before.code != new.code
        and line.norm(mark.end - 1) == "no"
        and mark.start > 0
        and line.break_at(mark.start - 1)
        and line.break_at(mark.end)
        and line.break_at(new.end)
    )


def unsaid(line: Line, mark: Mark) -> bool:
    """ "Thrush, no, not thrush": the same thing is denied at once."""
    at = mark.end
    while line.norm(at) in (",", "it", "'s", "that", "is", "it's", "wait"):
        at += 1
    if line.norm(at) not in ("not", "isn't"):
        return False
    after = next((m for m in line.marks if m.kind == "finding" and at < m.start <= at + 2), None)
    before = _told_before(line, mark)
    return after is not None and before is not None and before.code == after.code


def turns_away(line: Line, foot: Mark) -> bool:
    """What stands behind the corrected foot is no statement about it."""
    hit = next((m for m in line.marks if m.start == foot.end), None)
    if hit is not None and (hit.kind in ("work", "followup", "time", "number", "advice")):
        return True
    return line.norm(foot.end) in (
        "vet",
        "i",
        "he",
        "she",
        "we",
        "it",
        "that",
        "they",
        "put",
        "told",
    )


def after_reason(line: Line, at: int) -> list[Mark]:
    """ "Scratch that, I read it wrong. Three and a quarter.": a number that is a sentence."""
    for begin, end in line.sentences():
        if begin >= at:
            new = [m for m in line.marks if begin <= m.start < end]
            return new if len(new) == 1 and new[0].size == end - begin else []
        if any(at <= m.start < end and m.kind in (*NUMBERS, *HEADS) for m in line.marks):
            return []
    return []


def starts_afresh(line: Line, mark: Mark, new: Mark) -> bool:
    """A full stop after "scratch that" and a value with its own cue is a new statement."""
    return any(line.words[i].sort == "stop" for i in range(mark.end, new.start)) and (
        new.kind == "value" and new.value.rule == "measure:value_first"
    )


def told_to(line: Line, mark: Mark) -> bool:
    """ "Told her to take them out at night", "don't leave it out": what somebody is to do."""
    before, last = line.norm(mark.start - 1), line.norm(mark.end - 1)
    if before == "to":
        return line.norm(mark.start - 2) not in _MUST
    if before in _NEVER:
        return True
    carried = last == "out" and line.norm(mark.start) in ("take", "leave", "knock", "put")
    return carried and before in _MODALS


_MUST = frozenset({"have", "want", "got", "need", "like", "going", "better", "gotta"})
_NEVER = frozenset({"don't", "didn't", "can't", "couldn't", "cannot", "not", "never", "won't"})
_MODALS = frozenset({"'ll", "will", "can", "could", "should", "would", "'d", "must", "may", "might",
                     "please", "she", "he", "they"})  # fmt: skip


def about(line: Line, mark: Mark) -> Mark | None:
    """ "Cancel the bit about the bruise": the finding or job that is taken back."""
    words = [line.norm(i) for i in range(mark.end, mark.end + 4)]
    if "about" not in words:
        return None
    return next(
        (m for m in line.marks if m.kind in ("finding", "work") and 0 < m.start - mark.end <= 4),
        None,
    )


def said_again(line: Line, mark: Mark, foot: Mark) -> bool:
    """ "right hind crack no sorry left hind crack": the whole statement is said anew."""
    before = [m for m in line.marks if m.kind in HEADS and m.end <= mark.start][-1:]
    after = [m for m in line.marks if m.kind in HEADS and m.start >= foot.end][:1]
    return bool(before and after) and (
        before[0].code == after[0].code
        and mark.start - before[0].end <= 3
        and after[0].start - foot.end <= 3
    )


def said_over(line: Line, mark: Mark) -> bool:
    """ "Trimmed the fronts, no, trimmed the hinds": the same is told once more of other feet."""
    before = _told_before(line, mark)
    after = next((m for m in line.marks if m.start >= mark.end and m.kind in HEADS), None)
    if before is None or after is None or before.kind not in ("work", "finding"):
        return False
    if (before.kind, before.code) != (after.kind, after.code) or mark.start - before.end > _ASIDE:
        return False
    if any(line.norm(i) not in _ONCE_MORE for i in range(mark.end, after.start)):
        return False
    first = _own_feet(line, range(before.start - _LEAD, mark.start))
    second = _own_feet(line, range(after.end, after.end + _LEAD))
    return bool(first and second) and first != second and _takes_back(line, mark, after)


_ASIDE = 7
"""Words between what is taken back and the correction."""
_LEAD = 4
_ONCE_MORE = frozenset({",", "", "a", "an", "the", "some", "i", "put", "it", "is", "'s", "was",
                        "that", "there", "wait", "sorry", "new", "i've", "we", "did"})  # fmt: skip


def _own_feet(line: Line, near: range) -> set[str]:
    return {m.code for m in line.marks if m.kind == "foot" and m.start in near}


def _takes_back(line: Line, mark: Mark, after: Mark) -> bool:
    """Whether the words cannot deny what follows: "no thrush in the right" is no correction."""
    if {line.norm(i) for i in mark.covers()} != {"no"}:
        return True
    verb = line.norm(after.start)
    apart = line.break_at(mark.end) and line.break_at(mark.start - 1)
    return apart or (after.kind == "work" and (verb.endswith("ed") or verb in ("put", "shod")))


def denies_the_foot(line: Line, mark: Mark) -> bool:
    """ "It's not the hinds that are chipped, | it's the fronts": the chips are there."""
    foot = next((m for m in reversed(line.marks) if m.kind == "foot" and m.end <= mark.start), None)
    if foot is None or line.norm(foot.end) not in ("that", "which", "who", "where"):
        return False
    lead = [line.norm(foot.start - n) for n in (1, 2, 3)]
    return not set(lead).isdisjoint(_DENIES)


_DENIES = frozenset({"not", "isn't", "wasn't", "weren't", "ain't", "aren't"})


def not_the(line: Line, foot: Mark) -> tuple[Mark | None, int]:
    at = foot.end
    seen_not = False
    by_start = {m.start: m for m in line.marks}
    for _ in range(5):
        if line.norm(at) == "not":
            seen_not = True
        hit = by_start.get(at)
        if seen_not and hit is not None and hit.kind == "foot":
            return hit, hit.end
        at += 1
        if at < len(line.words) and line.words[at].sort == "stop":
            break
    return None, foot.end
