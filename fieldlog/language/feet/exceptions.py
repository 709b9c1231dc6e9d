"""Feet that are left out: "all four but the left hind", "hinds done, not the off one".

What is told is then of the other feet. The foot mark takes them as its meaning and is tagged
``all_but``; which words leave out, and how near the feet they leave out of have to stand, is said
here.
"""

from __future__ import annotations

from collections.abc import Sequence

from fieldlog.core.feet import ALL_FEET
from fieldlog.language.lexicon import find_item
from fieldlog.language.words.marks import ALL_FOUR, PAIRS, Mark, in_order
from fieldlog.language.words.units_said import COPULAS, Line

_SIDES = {"left": "R", "near_word": "R", "right": "L", "off_word": "L"}
"""The side that is left of a pair without this one."""
_THE = frozenset({"the", "his", "her", "that", "this", "their", "your"})
_PLAIN = frozenset({"except", "excepting", "excluding", "barring", "minus"})
"""Words that leave out and mean nothing else; those below have to stand near."""
_OTHERWISE = frozenset({"but", "bar", "besides", "save", "without"})
_IN_TWO = frozenset({("apart", "from"), ("other", "than"), ("aside", "from"), ("exception", "of"),
                     ("except", "for"), ("but", "for"), ("save", "for"),
                     ("except", "not")})  # fmt: skip
_PASSED_BY = frozenset({"skipped", "missed", "skipping", "missing"})
_BEFORE_NOT = frozenset({"but", "only", "though", "just", "well", "and", "so"})
_WHO = frozenset({"i", "we", "that", "i've", "'ve", "out", "just"})
_IRON = frozenset({"egg", "heart", "straight", "z", "a", "the", "side", "heel"})
"""Before a bar that is iron or horn."""
_CLOSES = frozenset({"and", "which", "that", "because", "he", "she", "so", "i", "today", "this",
                     "who", "as", "though", "it", "then"})  # fmt: skip
_DONE = frozenset({"done", "shod", "reset", "clean", "good", "fine", "sound", "tight"})
_THEY = frozenset({"them", "'em", "feet", "hooves"})
_THEM = frozenset({"them", "'em", "they", "'re", "they're"})
_FAR = 9


def without(line: Line, mark: Mark) -> Mark | None:
    """The foot mark as the feet that it leaves over; None if it leaves none out."""
    found = _leaves_out(line, mark)
    if found is None:
        return None
    at, plain = found
    subject = line.norm(mark.end) in COPULAS and line.norm(mark.end) != "had"
    subject = subject and not (_of_several(line, mark) and _right_behind(line, at))
    subject = subject and line.norm(at - 1) != "everything"
    said_all = line.norm(at - 1) == "all"
    if said_all or (not subject and _all_before(line, mark, at, plain)):
        rest = [f.value for f in ALL_FEET if f.value not in mark.code.split("+")]
        if not 2 <= len(rest) < 4:
            return None
        begin = at - 1 if line.norm(at - 1) in ("all", "four") else at
        return _as(mark, "+".join(rest), begin)
    pair = None if subject else _pair_before(line, at, plain, mark)
    mate = _mate(mark, pair) if pair is not None else ""
    return _as(mark, mate, at) if mate else None


def _of_several(line: Line, mark: Mark) -> bool:
    """ "Both fronts bar the left | have flare": the verb is not of the one foot."""
    return line.norm(mark.end) in ("are", "have", "were", "'re") and "+" not in mark.code


def _right_behind(line: Line, at: int) -> bool:
    """Whether the exception at ``at`` follows a foot at once."""
    return any(m.kind == "foot" and m.end == at for m in line.marks)


def _as(mark: Mark, code: str, begin: int) -> Mark:
    """The mark with its meaning, and with the words that leave out as its own."""
    mark.code, mark.start = code, begin
    mark.tags.add("all_but")
    return mark


def without_exceptions(marks: Sequence[Mark]) -> list[Mark]:
    """The marks but those of words that leave a foot out: a "not" there denies nothing."""
    taken = {i for m in marks if "all_but" in m.tags for i in m.covers()}
    return [m for m in marks if "all_but" in m.tags or not m.touches(taken)]


def jobs_unsaid(line: Line, marks: Sequence[Mark]) -> list[Mark]:
    """The marks, with the trim of "did all but the off hind", which names no job."""
    told = {i for m in marks if m.kind == "work" for i in m.covers()}
    out = list(marks)
    for foot in [m for m in marks if "all_but" in m.tags]:
        at = foot.start - 1
        while line.norm(at) in _ALL_OF_IT:
            at -= 1
        if line.norm(at) == "did" and not told & {*range(at, foot.start)}:
            out = [m for m in out if not m.holds(at)]
            out.append(Mark("work", "trim", at, at + 1, find_item("trim", "work")))
    return in_order(out)


_ALL_OF_IT = frozenset({"all", "everything", "the", "lot", "them", "'em", "four", "feet", "of"})


def leaves_out(line: Line, job: Mark) -> bool:
    """Whether a job is left out of what was told before it: "hinds done bar the clinching"."""
    found = _leaves_out(line, Mark("foot", "", job.start, job.start))
    if found is None or not (found[1] or line.norm(found[0]) == "bar"):
        return False
    begin = line.sentence_begin(job.start)
    return any(m.kind in ("work", "finding") and begin <= m.start < found[0] for m in line.marks)


def _leaves_out(line: Line, mark: Mark) -> tuple[int, bool] | None:
    """Where the words begin that leave the foot out, and whether they do nothing else."""
    at = mark.start - 1
    while line.norm(at) in _THE:
        at -= 1
    word, before = line.norm(at), line.norm(at - 1)
    if (before, word) in _IN_TWO:
        at -= 1 + (before == "exception" and line.norm(at - 2) == "the")
        at -= line.norm(at - 1) == "with"
        return at, True
    if word in _PLAIN:
        return at, True
    if word == "bar" and before in _IRON:
        return None
    if word in _OTHERWISE:
        return at, False
    if word == "not" and _may_leave_out(line, at):
        return _begins(line, at), False
    if word in ("left", "leaving") and _three_before(line, at) and line.norm(mark.end) != "alone":
        return at, False
    while word in _WHO:
        at, word = at - 1, line.norm(at - 1)
    if word in _PASSED_BY:
        while line.norm(at - 1) in _WHO:
            at -= 1
        plain = line.norm(at - 1) in _PLAIN
        return _begins(line, at) if not plain else at - 1, plain
    return None


def _may_leave_out(line: Line, at: int) -> bool:
    """Whether a "not" stands behind feet or what was done to them, not behind a verb."""
    before = line.norm(at - 1)
    feet = any(m.kind == "foot" and m.end == at for m in line.marks)
    return feet or line.break_at(at - 1) or before in _BEFORE_NOT | _THEY or _is_done(before)


def _is_done(word: str) -> bool:
    return word.endswith("ed") or word in _DONE


def _begins(line: Line, at: int) -> int:
    while line.norm(at - 1) in _BEFORE_NOT:
        at -= 1
    return at


def _all_before(line: Line, mark: Mark, at: int, plain: bool) -> bool:
    """ "Thrush in every foot but the left hind": all four feet stand before the exception."""
    if line.norm(at - 1) == "four":
        return True
    if any(line.norm(i) == "everything" for i in range(max(0, at - 4), at)):
        return not any(line.words[i].sort == "stop" for i in range(max(0, at - 4), at))
    if _three_before(line, at) or _all_of_them(line, at):
        return True
    four = [m for m in line.marks if m.kind == "foot" and m.code == ALL_FOUR and m.end <= at]
    four += [m for m in _inside_jobs(line) if m.code == ALL_FOUR and m.end <= at]
    four.sort(key=lambda m: m.start)
    return bool(four) and _near(line, mark, four[-1].end, at, plain)


def _three_before(line: Line, at: int) -> bool:
    """ "Seedy in three of them, not the left front", "three feet done but the off hind"."""
    words = [line.norm(i) for i in range(max(0, at - 5), at)]
    if any(line.words[i].sort == "stop" for i in range(max(0, at - 5), at)):
        return False
    return any(
        words[i] == "three" and (words[i + 1] in _THEY or words[i + 2 : i + 3][:1] == ["them"]
                                 or words[i + 2 : i + 3] == ["'em"])
        for i in range(len(words) - 1)
    )  # fmt: skip


def _all_of_them(line: Line, at: int) -> bool:
    """ "All trimmed bar the off fore", "rasped them all but the left hind"."""
    led = line.norm(at - 2) in _THEM or line.break_at(at - 3)
    return (line.norm(at - 2) == "all" and _is_done(line.norm(at - 1)) and led) or (
        line.norm(at - 1) == "all" and line.norm(at - 2) in _THEM
    )


def _near(line: Line, mark: Mark, end: int, at: int, plain: bool) -> bool:
    """Whether an exception at ``at`` is of the feet that end at ``end``."""
    between = range(end, at)
    if any(line.words[i].sort == "stop" for i in between) or len(between) > _FAR:
        return False
    if any(m.kind == "foot" and end <= m.start < at for m in line.marks):
        return False
    loose = [i for i in between if not line.break_at(i)]
    if plain or not loose:
        return True
    done = [_is_done(line.norm(i)) for i in loose]
    closes = line.break_at(mark.end) or line.norm(mark.end) in _CLOSES or any(
        m.kind == "time" and m.start == mark.end for m in line.marks)  # fmt: skip
    return any(done) and len(loose) <= 2 and closes


def _pair_before(line: Line, at: int, plain: bool, mark: Mark) -> Mark | None:
    """The pair that the foot is left out of: "fronts reset but not the left"."""
    feet = [m for m in line.marks if m.kind == "foot" and m.end <= at]
    feet += [m for m in _inside_jobs(line) if m.end <= at]
    feet.sort(key=lambda m: m.start)
    last = feet[-1] if feet else None
    if last is None or last.code not in PAIRS:
        return None
    return last if _near(line, mark, last.end, at, plain) else None


def _inside_jobs(line: Line) -> list[Mark]:
    """ "Hinds done", "all four done": feet that a job's own words begin with."""
    pairs = {"hinds": "LH+RH", "backs": "LH+RH", "fronts": "LF+RF", "fores": "LF+RF"}
    jobs = [m for m in line.marks if m.kind == "work"]
    out = [
        Mark("foot", pairs[word], m.start, m.start + 1)
        for m in jobs
        if (word := line.norm(m.start)) in pairs
    ]
    four = [m for m in jobs if [line.norm(m.start), line.norm(m.start + 1)] == ["all", "four"]]
    return [*out, *(Mark("foot", ALL_FOUR, m.start, m.start + 2) for m in four)]


def _mate(mark: Mark, pair: Mark) -> str:
    """The foot of the pair that is left."""
    if mark.code in _SIDES:
        return _SIDES[mark.code] + pair.code[1]
    rest = [foot for foot in pair.code.split("+") if foot != mark.code]
    return rest[0] if len(rest) == 1 else ""
