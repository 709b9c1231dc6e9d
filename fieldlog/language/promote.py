"""Marks that only their neighbours can settle, decided before clauses are built.

Good words with a subject become "nothing wrong seen", comparisons with a subject of their own
become heads, feet after "than" are only compared with, sides are told from the verbs and adverbs
that sound like them, and "white line" is a place unless it is spoken of as a thing found.
"""

from __future__ import annotations

from collections.abc import Sequence

from fieldlog.core.units import Unit
from fieldlog.language.context.comparisons import settle_trends
from fieldlog.language.context.denials import settle_denials
from fieldlog.language.context.own_subject import has_own_subject
from fieldlog.language.context.reporters import settle_reporters
from fieldlog.language.ellipsis.mate_words import told_of_mates
from fieldlog.language.ellipsis.ones_said import with_ones
from fieldlog.language.feet.closing_pairs import closed_pairs
from fieldlog.language.feet.exceptions import jobs_unsaid, without_exceptions
from fieldlog.language.feet.feet_joined import (
    all_of_them,
    ends_of_measures,
    pair_at_the_end,
    sided_ends,
)
from fieldlog.language.feet.feet_settled import settled_foot
from fieldlog.language.feet.turn_feet import closing_feet, other_side
from fieldlog.language.lexicon import find_item
from fieldlog.language.senses.bystanders import without_bystanders
from fieldlog.language.senses.good_words import settle_good
from fieldlog.language.senses.plain_words import settle_plain_words
from fieldlog.language.senses.taken_off import settle_taken_off
from fieldlog.language.senses.team_talk import with_team_talk
from fieldlog.language.words.marks import Mark, in_order
from fieldlog.language.words.units_said import Line, mark_before

_COMPARE = frozenset({"better", "worse", "same"})
_TELLING = frozenset({"told", "asked", "advised", "showed", "reminded"})
_WHITE_LINE_TRIGGERS = frozenset({"negation", "work_negation", "unsure_before", "mild", "severe"})


def promote(line: Line) -> Line:
    """A line whose context-dependent marks are settled."""
    line = line.with_marks(_settled_marks(line))
    for at, mark in enumerate(line.marks):
        _compared(line, mark)
        _settle_word(line, at, mark)
    line = line.with_marks(_told(line, line.marks))
    for at, mark in enumerate(line.marks):
        if mark.kind == "role":
            _settle_comparison(line, at, mark)
    return line


def _settled_marks(line: Line) -> list[Mark]:
    """The marks after what looks at all of them: feet, jobs, mates, bystanders, who says it."""
    line = line.with_marks(with_team_talk(line))
    feet = [m for m in (settled_foot(line, m) for m in line.marks) if m is not None]
    marks = all_of_them(line, jobs_unsaid(line, without_exceptions(feet)))
    marks = sided_ends(line, marks)
    marks = closed_pairs(line, ends_of_measures(line, marks))
    marks = pair_at_the_end(line, marks)
    marks = closing_feet(line, other_side(line, marks))
    marks = settle_taken_off(line.with_marks(marks))
    marks = told_of_mates(line, _denied_feet(line, marks))
    marks = settle_plain_words(line, without_bystanders(line, marks))
    marks = with_ones(line, marks)
    return settle_trends(line, settle_denials(line, settle_reporters(line, marks)))


def _settle_word(line: Line, at: int, mark: Mark) -> None:
    """Settle a word that its neighbours alone decide about."""
    if mark.kind == "place" and mark.code == "white_line":
        _white_line(line, at, mark)
    elif mark.kind == "role" and mark.code == "good_word":
        settle_good(line, at, mark)
    elif mark.kind == "role" and mark.code == "long":
        _long(line, at, mark)
    elif mark.code == "normal" and line.norm(mark.start) == "no":
        _no_trouble_with(line, at, mark)
    elif mark.code == "measure" and mark.kind == "work":
        if any(m.kind == "number" and m.start - mark.end <= 6 for m in line.marks[at + 1 :]):
            mark.kind, mark.code = "role", "copula"  # "measured fifty-two"
    elif mark.code == "same" and _same_again(line, mark):
        mark.code = "copula"


def _long(line: Line, at: int, mark: Mark) -> None:
    """ "Left front's long": overgrown."""
    previous = mark_before(line, at) if line.text(mark) == "long" else None
    if previous is not None and previous.code in ("mild", "moderate", "severe"):
        previous = mark_before(line, line.marks.index(previous))
    if previous is not None and previous.kind == "foot":
        mark.kind, mark.code = "finding", "overgrown"
        mark.item = find_item("overgrown", "finding")


def _no_trouble_with(line: Line, at: int, mark: Mark) -> None:
    """ "No trouble with thrush": a denial of what follows."""
    marks = line.marks[at + 1 :]
    ahead = next((m for m in marks if m.start - mark.end <= 2 and m.kind != "role"), None)
    if line.norm(mark.end) in ("with", "from") and ahead is not None and ahead.kind == "finding":
        mark.kind, mark.code = "role", "negation"


def _settle_comparison(line: Line, at: int, mark: Mark) -> None:
    """ "Right too", "left front's better": heads, if they are of a foot or a place themselves."""
    if mark.code == "too":
        previous = mark_before(line, at)
        if line.break_at(mark.end) and previous is not None and previous.kind == "foot":
            mark.kind, mark.code = "change", "same"
            mark.tags.add("too")
    elif _compares(line, mark) and has_own_subject(line, at):
        mark.kind = "change"


def _compares(line: Line, mark: Mark) -> bool:
    """ "Better", "worse", "same"; "longer than the right"."""
    if mark.code not in _COMPARE:
        if mark.code not in ("larger", "smaller"):
            return False
        ahead = [line.norm(i) for i in range(mark.end, mark.end + 5)]
        if "than" not in ahead or not (ahead[0] == "than" or _foot_beside(line.marks, mark)):
            return False
    return line.text(mark) != "less"


def _foot_beside(marks: Sequence[Mark], mark: Mark) -> bool:
    return any(m.kind == "foot" and 0 <= m.start - mark.end <= 2 for m in marks)


def _same_again(line: Line, mark: Mark) -> bool:
    """ "Same again in four weeks" compares nothing."""
    timed = any(m.kind == "time" and 0 <= m.start - mark.end <= 1 for m in line.marks)
    return timed and line.text(mark) == "same again"


_NOUGHT = frozenset({"nothing", "nobody", "none", "nowt", "neither"})


def _told(line: Line, marks: Sequence[Mark]) -> list[Mark]:
    """ "Told her to soak it" is advice, and what was asked of her is a follow-up of its own."""
    out: list[Mark] = []
    for at, mark in enumerate(marks):
        if mark.code == "spoke_to" and line.norm(mark.end) in _NOUGHT:
            continue  # "I've said nothing to the owner"
        out.append(mark)
        if mark.kind != "role" or mark.code != "by_owner" or line.norm(mark.start) not in _TELLING:
            continue
        asked = line.norm(mark.start) in ("told", "advised")
        ahead = [m for m in marks[at + 1 :] if m.start - mark.end <= 8]
        if any(m.kind in ("followup", "work") for m in ahead):
            if not asked or mark.end - mark.start < 2:
                continue
            out.append(Mark("role", "by_owner", mark.start + 1, mark.end, mark.item))
        mark.kind, mark.code = "advice", "spoke_to"
        mark.item = find_item("spoke_to", "advice")
        mark.end = mark.start + 1
    return _advised(line, out)


def _advised(line: Line, marks: list[Mark]) -> list[Mark]:
    """ "Advised her to have the vet", "I said get the vet": advice, beside the visit itself."""
    item = find_item("advised_vet", "advice")
    for visit in [m for m in marks if m.code == "vet_visit"]:
        if line.norm(visit.start) == "told":  # "told her vet"
            said = Mark("advice", "spoke_to", visit.start, visit.start + 1)
            said.item, visit.start = find_item("spoke_to", "advice"), visit.start + 1
            marks = [*marks, said]
        begin = visit.start - 1 - (line.norm(visit.start - 1) == "to")
        words = range(begin - 1, visit.start)
        if [line.norm(begin - 1), line.norm(begin)] == ["i", "said"]:
            marks = [m for m in marks if not m.covers() & set(words)]
            marks.append(Mark("advice", "advised_vet", begin - 1, visit.start, item))
            continue
        for mark in marks:
            told = mark.code == "spoke_to" and 0 <= visit.start - mark.end <= 6
            if told and {"advised", "recommended"} & {line.norm(i) for i in mark.covers()}:
                mark.code, mark.item = "advised_vet", item
    return in_order(marks)


def _denied_feet(line: Line, marks: list[Mark]) -> list[Mark]:
    """ "The off fore isn't", "nothing in the off fore": what was found before is not there.

    Such a foot gets a head of its own, ``change:denied``; the note reader copies the finding.
    """
    out: list[Mark] = []
    for mark in marks:
        out.append(mark)
        if mark.kind != "foot" or "compared" in mark.tags:
            continue
        nothing = _nothing_before(line, marks, mark)
        if nothing is not None:
            nothing.kind, nothing.code = "change", "denied"
            continue
        if (straight := _goes_straight(line, marks, mark)) is not None:
            out.append(straight)
            continue
        at = mark.end
        if line.norm(at) in ("'s", "is", "has", "was"):
            at += 1
        word = line.norm(at)
        if word in _NOT_SO and line.break_at(at + 1):
            taken = [m for m in marks if m.start >= mark.end and m.end <= at + 1]
            for other in taken:
                other.kind, other.code = "role", "copula"
            out.append(Mark("change", "denied", at, at + 1))
    gone = {i for m in out if m.code == "denied" for i in m.covers()}
    out = [m for m in out if m.code == "denied" or not m.touches(gone)]
    return in_order(out)


_GAITS = ("paddling", "winging", "dish")
"""What a foot does that does not go straight; "dishing" is said of the gait too."""
_CARRIED = frozenset({"he", "she", "it", "one", "just", "that", "'s", "is", "they", "both"})
_GOES = frozenset({"goes", "go", "going", "went", "carries", "carried", "moves", "tracks", "comes",
                   "travels", "flies", "swings"})  # fmt: skip
_LATELY = 30
"""Words between what one foot does and "the other goes straight"."""


def _goes_straight(line: Line, marks: list[Mark], foot: Mark) -> Mark | None:
    """ "He wings in on the right, the left he carries straight": the left does not wing."""
    at = foot.end
    while line.norm(at) in _CARRIED:
        at += 1
    if line.norm(at) not in _GOES:
        return None
    end = at + 1 + (line.norm(at + 1) == "it")
    if line.norm(end) not in ("straight", "true"):
        return None
    swings = any(m.code in _GAITS and 0 <= foot.start - m.end <= _LATELY for m in marks)
    return Mark("change", "denied", at, end + 1, value=_GAITS) if swings else None


def _nothing_before(line: Line, marks: list[Mark], foot: Mark) -> Mark | None:
    """The "nothing" of "nothing in the off fore", if a finding stands before and no other after."""
    back = foot.start - 1
    while line.norm(back) in ("in", "on", "with", "the", "his", "her", "from", "at"):
        back -= 1
    if line.norm(back) not in ("nothing", "none") or foot.start - back < 2:
        return None
    if not line.break_at(foot.end):
        return None
    hit = next((m for m in marks if m.start == back and m.code == "negation"), None)
    seen = any(m.kind == "finding" and m.end <= back for m in marks)
    return hit if seen else None


_NOT_SO = frozenset({"not", "isn't", "wasn't", "hasn't", "doesn't", "didn't", "don't", "aren't",
                     "weren't"})  # fmt: skip


def _compared(line: Line, mark: Mark) -> None:
    """ "Than the left", "compared to the off fore": a foot that is only compared with."""
    if mark.kind != "foot" or "all_but" in mark.tags:
        return
    back = mark.start - 1
    while line.norm(back) in ("the", "his", "her", "its", "on", "one", "in", "that"):
        back -= 1
    word = line.norm(back)
    if word == "like" and line.norm(mark.end) in ("'s", "is", "has", "was", "had", "got"):
        return
    if word in ("than", "as", "like", "matches", "match", "matching") or (
        word in ("to", "with")
        and line.norm(back - 1) in ("compared", "next", "similar", "relative")
    ):
        mark.tags.add("compared")


def _white_line(line: Line, at: int, mark: Mark) -> None:
    """ "No white line", "white line eight mil": a finding, where it is spoken of as one."""
    previous = mark_before(line, at)
    after = line.norm(mark.end)
    if (
        previous is not None
        and previous.kind == "role"
        and previous.code in _WHITE_LINE_TRIGGERS
        and after not in ("'s", "is", "are", "looks", "good", "tight", "at", "was")
        and not any(
            m.kind == "finding" and 0 <= m.start - mark.end <= 1
            for m in line.marks[at + 1 : at + 3]
        )
    ):
        mark.kind, mark.code = "finding", "white_line_disease"
        mark.item = find_item("white_line_disease", "finding")
    elif _so_wide(line, at):
        mark.kind, mark.code = "finding", "white_line_stretched"
        mark.item = find_item("white_line_stretched", "finding")


_WIDE = 25
"""Millimetres of white line at most."""
_MEASURED = frozenset({"is", "'s", "at", "the", "about", "in", "on", "of", "was", "now", ",",
                       "around"})  # fmt: skip


_ELSEWHERE = frozenset({"deep", "up", "down", "below", "from", "above"})


def _so_wide(line: Line, at: int) -> bool:
    """ "White line eight mil at the toe, was twelve": how wide it is, said of nothing else."""
    end = line.marks[at].end
    for mark in line.marks[at + 1 : at + 5]:
        if any(line.norm(i) not in _MEASURED for i in range(end, mark.start)):
            return False
        end = mark.end
        if mark.kind == "number":
            own = mark.number.unit is Unit.MM and mark.number.value <= _WIDE
            moved = line.norm(end) in ("up", "down") and line.norm(end + 1) == "from"
            return own and (moved or line.norm(end) not in _ELSEWHERE)
        if mark.kind not in ("foot", "place", "side") and mark.code not in ("copula", "article"):
            return False
    return False
