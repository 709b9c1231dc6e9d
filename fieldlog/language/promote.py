"""Marks that only their neighbours can settle, decided before clauses are built.

Good words with a subject become "nothing wrong seen", comparisons with a subject of their own
become heads, feet after "than" are only compared with, sides are told from the verbs and adverbs
that sound like them, and "white line" is a place unless it is spoken of as a thing found.
"""

from __future__ import annotations

from fieldlog.core.units import Unit
from fieldlog.language.bystanders import without_bystanders
from fieldlog.language.closing_pairs import closed_pairs
from fieldlog.language.comparisons import about_finding, settle_trends
from fieldlog.language.denials import settle_denials
from fieldlog.language.exceptions import jobs_unsaid, without_exceptions
from fieldlog.language.feet_joined import (
    all_of_them,
    ends_of_measures,
    pair_at_the_end,
    sided_ends,
)
from fieldlog.language.feet_settled import settled_foot
from fieldlog.language.lexicon import find_item, word_set
from fieldlog.language.marks import Mark
from fieldlog.language.mate_words import told_of_mates
from fieldlog.language.ones_said import with_ones
from fieldlog.language.plain_words import settle_plain_words
from fieldlog.language.reporters import settle_reporters
from fieldlog.language.taken_off import settle_taken_off
from fieldlog.language.turn_feet import closing_feet, other_side
from fieldlog.language.units_said import COPULAS, HEADS, Line

_COMPARE = frozenset({"better", "worse", "same"})
_LOOKS = word_set("look_verbs")
_TELLING = frozenset({"told", "asked", "advised", "showed", "reminded"})
_SMALL_ROLES = frozenset({"copula", "adverb", "article"})
_WHITE_LINE_TRIGGERS = frozenset({"negation", "work_negation", "unsure_before", "mild", "severe"})


def promote(line: Line) -> Line:
    """A line whose context-dependent marks are settled."""
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
    marks = settle_trends(line, settle_denials(line, settle_reporters(line, marks)))
    line = line.with_marks(marks)
    out: list[Mark] = []
    for at, mark in enumerate(marks):
        _compared(line, at, mark)
        if mark.kind == "place" and mark.code == "white_line":
            _white_line(line, at, mark)
        elif mark.kind == "role" and mark.code == "good_word":
            _good(line, at, mark)
        elif mark.kind == "role" and mark.code == "long" and line.text(mark) == "long":
            previous = _before(line, at)
            if previous is not None and previous.code in ("mild", "moderate", "severe"):
                previous = _before(line, line.marks.index(previous))
            if previous is not None and previous.kind == "foot":
                mark.kind, mark.code = "finding", "overgrown"
                mark.item = find_item("overgrown", "finding")
        elif mark.code == "normal" and line.norm(mark.start) == "no":
            ahead = [m for m in marks[at + 1 :] if m.start - mark.end <= 2 and m.kind != "role"]
            if line.norm(mark.end) in ("with", "from") and ahead and ahead[0].kind == "finding":
                mark.kind, mark.code = "role", "negation"
        elif mark.code == "measure" and mark.kind == "work":
            ahead = [m for m in marks[at + 1 :] if m.start - mark.end <= 6]
            if any(m.kind == "number" for m in ahead):
                mark.kind, mark.code = "role", "copula"
        elif mark.code == "same" and _same_again(line, mark):
            mark.code = "copula"
        out.append(mark)
    out = _told(line, out)
    line = line.with_marks(out)
    for at, mark in enumerate(out):
        if mark.kind == "role" and mark.code == "too":
            previous = _before(line, at)
            closes = line.break_at(mark.end)
            if closes and previous is not None and previous.kind == "foot":
                mark.kind, mark.code = "change", "same"
                mark.tags.add("too")
            continue
        compares = mark.code in _COMPARE or (
            mark.code in ("larger", "smaller")
            and "than" in [line.norm(i) for i in range(mark.end, mark.end + 5)]
            and (line.norm(mark.end) == "than" or _foot_beside(out, mark))
        )
        compares = compares and line.text(mark) != "less"
        if mark.kind == "role" and compares and _has_own_subject(line, out, at):
            mark.kind = "change"
    return line.with_marks(out)


def _foot_beside(marks: list[Mark], mark: Mark) -> bool:
    return any(m.kind == "foot" and 0 <= m.start - mark.end <= 2 for m in marks)


def _same_again(line: Line, mark: Mark) -> bool:
    """ "Same again in four weeks" compares nothing."""
    timed = any(m.kind == "time" and 0 <= m.start - mark.end <= 1 for m in line.marks)
    return timed and line.text(mark) == "same again"


def _told(line: Line, marks: list[Mark]) -> list[Mark]:
    """ "Told her to soak it" is advice, and what was asked of her is a follow-up of its own."""
    out: list[Mark] = []
    for at, mark in enumerate(marks):
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
    return sorted(marks, key=lambda m: (m.start, m.end))


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
    out = [m for m in out if m.code == "denied" or not (m.covers() & gone)]
    return sorted(out, key=lambda m: (m.start, m.end))


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


def _before(line: Line, at: int) -> Mark | None:
    """The mark before number ``at``, over copulas, adverbs and articles, if words touch."""
    for mark in reversed(line.marks[:at]):
        if mark.kind == "role" and mark.code in _SMALL_ROLES:
            continue
        between = range(mark.end, line.marks[at].start)
        covered = {
            i for m in line.marks if m.kind == "role" and m.code in _SMALL_ROLES for i in m.covers()
        }
        loose = [i for i in between if i not in covered]
        return None if loose else mark
    return None


def _compared(line: Line, at: int, mark: Mark) -> None:
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
    previous = _before(line, at)
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


def _good(line: Line, at: int, mark: Mark) -> None:
    previous = _before(line, at)
    word_before = line.norm(mark.start - 1)
    following = line.marks[at + 1] if at + 1 < len(line.marks) else None
    first = line.norm(mark.end - 1)
    if first == "nicely" or (first == "straight" and line.norm(mark.end) in ("out", "up")):
        return
    if first == "well" and line.norm(mark.end) in ("a", "an", "the"):
        return  # "pretty well a pair"
    if following is not None and following.kind == "number" and following.start == mark.end:
        return
    if first in ("wide", "cold", "dead", "pretty", "really", "very", "quite", "fairly", "so", "all",
                 "perfectly", "looking", "still", "and", "just", "real", "lot"):  # fmt: skip
        return
    subject = (
        previous is not None
        and (previous.kind in ("foot", "place") or (previous.kind == "finding" and False))
        and "compared" not in previous.tags
    )
    looks = word_before in _LOOKS and first not in ("well", "clear", "even", "okay", "ok")
    places_next = (
        following is not None
        and following.kind == "place"
        and following.start == mark.end
        and first not in ("okay", "ok", "well", "happy")
        and not (word_before == "a" and following.code == "quarter")
    )
    axis = first == "straight" and any(
        m.kind == "finding" and m.code.startswith("axis") for m in line.marks[:at]
    )
    if axis and not any(line.words[i].sort == "stop" for i in range(0, mark.start)):
        mark.kind, mark.code = "finding", "axis_straight"
        mark.item = find_item("axis_straight", "finding")
        return
    unsaid = ("straight", "dry", "level", "even", "normal", "tight", "firm", "cool", "cold")
    if first in unsaid and not subject:
        return
    firm = first in ("tight", "snug", "solid")
    if firm and subject and previous is not None and _tight(line, mark, previous):
        return
    if first in ("straight", "level", "even"):
        return  # how a leg or a pair stands
    if subject or looks or places_next:
        if first in ("well",) and not subject:
            return
        if (
            first in ("okay", "ok", "alright")
            and not looks
            and not _says_okay(line, mark, previous)
        ):
            return
        mark.kind, mark.code = "finding", "normal"
        mark.item = find_item("normal", "finding")


_SHOES = frozenset({"shoe", "shoes", "nail", "nails", "clench", "clenches", "clinch", "clinches",
                    "sprung", "glue", "plate", "plates"})  # fmt: skip


def _tight(line: Line, mark: Mark, subject: Mark) -> bool:
    """ "Near shoe's hanging, off one's tight" is of the shoes, "white lines tight" of the line."""
    lead = {line.norm(i) for i in range(mark.start - 14, mark.start)}
    shoe = subject.kind == "foot" and bool(lead & _SHOES)
    if not shoe and subject.code != "white_line":
        return False
    mark.kind, mark.code = "finding", "shoe_tight" if shoe else "white_line_tight"
    mark.item = find_item(mark.code, "finding")
    return True


def _of_finding(line: Line, marks: list[Mark], at: int) -> bool:
    """ "Swelling about the same in the off fore": what was just named, whose foot follows."""
    if not about_finding(line, marks, at):
        return False
    begin = line.sentence_begin(marks[at].start)
    heads = [m for m in marks[:at] if m.kind in HEADS and m.start >= begin]
    low = heads[-2].end if len(heads) > 1 else begin
    own = [m for m in marks[:at] if m.kind == "foot" and low <= m.start < heads[-1].start]
    if len(heads) > 1:
        own = [m for m in own if not _placed(line, m)]
    if not own:
        return True
    plain = line.text(marks[at]) == "same"
    return not plain and any(m.kind == "foot" and m.start == marks[at].end for m in marks)


def _place_of(line: Line, marks: list[Mark], head: Mark, place: Mark) -> bool:
    """ "Flare, outside quarters, same as last time": the place is of the flare just named."""
    return (
        head.kind == "finding"
        and 0 <= place.start - head.end <= 3
        and not any(m.kind == "foot" and head.end <= m.start < place.start for m in marks)
        and not any(
            line.norm(i) in ("the", "his", "her", "and") for i in range(head.end, place.end)
        )
    )


def _placed(line: Line, foot: Mark) -> bool:
    back = foot.start - 1
    while line.norm(back) in ("the", "his", "her"):
        back -= 1
    return line.norm(back) in ("in", "on", "of", "at")


_BEFORE_A_NOUN = frozenset({"the", "his", "her", "on", "in", "off", "that"})


def _says_okay(line: Line, mark: Mark, foot: Mark | None) -> bool:
    """ "Left front okay, right front okay", not "trimmed the near hind, okay, the off hind..."."""
    if line.norm(mark.start - 1) in COPULAS:
        return True
    bare = foot is not None and foot.kind == "foot" and foot.end == mark.start
    bare = bare and foot is not None and line.norm(foot.start - 1) not in _BEFORE_A_NOUN
    beyond = next((m for m in line.marks if m.start >= mark.end), None)
    closes = line.break_at(mark.end) or line.norm(mark.end) in ("and", "but", "too")
    return bare and (closes or (beyond is not None and beyond.kind == "foot"
                                and beyond.start == mark.end))  # fmt: skip


def _has_own_subject(line: Line, marks: list[Mark], at: int) -> bool:
    """Whether a comparison speaks of a foot or place itself, not of the finding before it."""
    mark = marks[at]
    if "forward" in mark.tags:
        return False
    following = marks[at + 1] if at + 1 < len(marks) else None
    if mark.code == "same" and "same" in line.text(mark) and not _of_finding(line, marks, at):
        goes_on = mark.end
        while line.norm(goes_on) in ("on", "with", "for", "in", "the", "his", "her", "both", "as"):
            goes_on += 1
        if any(m.kind == "foot" and m.start in (mark.end, goes_on) for m in marks[at + 1 :]):
            return True
    if (
        following is not None
        and following.kind == "finding"
        and following.start == mark.end
        and mark.code != "same"
    ):
        return False
    heads = [
        m
        for m in marks[:at]
        if m.kind in HEADS
        and not any(line.words[i].sort == "stop" for i in range(m.end, mark.start))
    ]
    if not heads:
        return True
    previous = _before(line, at)
    if previous is None:
        breaks = any(
            line.words[i].sort in ("pause", "comma") for i in range(heads[-1].end, mark.start)
        )
        foot_between = any(m.kind == "foot" and m.start > heads[-1].end for m in marks[:at])
        return breaks and foot_between and False
    if previous.kind == "foot" and "compared" not in previous.tags:
        back = previous.start - 1
        while line.norm(back) in ("the", "his", "her"):
            back -= 1
        prepositional = line.norm(back) in ("on", "in", "of", "at")
        return (not prepositional and mark.start > previous.end) or line.break_at(
            previous.start - 1
        )
    if previous.kind == "place" and _place_of(line, marks[:at], heads[-1], previous):
        return False
    return previous.kind == "place" and line.norm(previous.start - 1) not in (
        "in",
        "at",
        "on",
        "the",
    )
