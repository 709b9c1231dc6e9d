"""A sentence cut into units: where the words between two heads stop belonging to the left one.

``split_between`` finds the place from clause starters, commas and pauses, triggers that look
forward, articles, and whether a foot name looks back or forward (``foot_between``).
"""

from __future__ import annotations

from collections.abc import Sequence

from fieldlog.language.foot_between import foot_looks_back
from fieldlog.language.foot_order import behind, is_heading
from fieldlog.language.lexicon import word_set
from fieldlog.language.marks import ALL_FOUR, Mark
from fieldlog.language.units_said import (
    ARTICLES,
    BREAKS,
    COPULAS,
    FORWARD,
    HEADS,
    PREPOSITIONS,
    SEVERITIES,
    SIDES,
    Line,
    UnitSaid,
)

_I_WILL = frozenset({"i", "we", "'ll", "will", "then", "just", "also", "try", "to"})
_DONE = frozenset({"", "amount"})
"""What the size of a job measures; a width, length or depth is a finding's."""
_SAYS = frozenset({"owner_says", "vet_says", "other_says"})


def split_between(
    line: Line,
    left: UnitSaid,
    between: list[Mark],
    right: Mark,
    held: bool,
    last: bool = False,
    led: bool = False,
) -> int:
    """Word index from which the words between two heads belong to the right one."""
    low, high = left.head.end, right.start
    own = left.feet() or _inner_foot(line, left.head)
    for mark in between:
        if mark.kind == "foot" and not mark.tags & {"compared", "idle"}:
            if foot_looks_back(line, mark, left, right, held, own, last, led):
                own.append(mark)
                low = max(low, _with_place(line, mark))
            else:
                high = min(high, _with_article(line, mark.start, low))
                break
    inner = [m for m in between if low <= m.start < high]
    split = high
    cut = _last_break(line, low, high, inner, right)
    if cut is not None:
        split = cut
    else:
        past = max([low, *(m.end for m in inner if not _may_precede(line, m, right))])
        forward = [
            m
            for m in inner
            if m.kind == "role"
            and _looks_forward(m, right)
            and not (m.code == "history_before" and m.start < past)
        ]
        backward_only = _trailing(line, forward, low, right)
        forward = [
            m for m in forward if m not in backward_only and not _sized_after(inner, m, right)
        ]
        split = (
            forward[0].start
            if forward
            else _attributes_before(line, inner, right, low, split, left)
        )
    if right.kind == "finding":
        # "crack, maybe an inch tall, no blood": the size stands before what is denied
        sizes = [m.end for m in inner if m.kind == "size"]
        denied = [
            m.start for m in inner if m.code == "negation" and min(sizes, default=m.start) < m.start
        ]
        split = max([split, *denied[:1]])
    for mark in inner:
        # "... trimmed next time they need to have somebody": the time looks forward as well
        ahead = mark.kind == "time" and mark.value.due.anchor == "next_visit"
        if ahead and right.kind == "followup" and left.head.kind != "followup":
            split = mark.start if 0 <= split - mark.end <= 1 else split
        ours = ahead and line.norm(mark.end) in ("i", "we")
        to_do = right.kind == "work" and right.start - mark.end <= 2 and not _is_past(line, right)
        if ours and (line.break_at(mark.start - 1) or to_do):
            split = min(split, mark.start)  # "rolled the toes, next time I bring them back"
        if mark.kind == "size" and mark.end == right.start and line.norm(right.start) == "came":
            split = min(split, mark.start)  # "feet are long two inches came off the toes"
        said = {line.norm(i) for i in range(mark.end, right.start)}
        own_time = left.head.kind == "followup" and mark.start - left.head.end <= 1
        if mark.kind == "time" and said & {"'ll", "will"} and said <= _I_WILL and not own_time:
            # "... near fore the same in six weeks I'll set the toe back"
            split = min(split, mark.start)
    return max(low, split)


def _is_past(line: Line, job: Mark) -> bool:
    word = line.norm(job.start)
    return word.endswith("ed") or word in word_set("past_verbs")


def _inner_foot(line: Line, head: Mark) -> list[Mark]:
    """ "Hinds good": feet that a finding's own words begin with."""
    pair = {"hinds": "LH+RH", "fronts": "LF+RF"}.get(line.norm(head.start), "")
    opens = head.kind == "finding" and pair
    return [Mark("foot", pair, head.start, head.start + 1)] if opens else []


def _sized_after(inner: list[Mark], forward: Mark, right: Mark) -> bool:
    """Whether the size of a finding stands behind a forward-looking word, before a job."""
    return right.kind == "work" and any(
        m.kind == "size" and m.start > forward.start and m.value.measure not in _DONE for m in inner
    )


def _trailing(line: Line, forward: list[Mark], low: int, right: Mark) -> list[Mark]:
    """Forward-looking doubt words that stand at the end of a clause and so look back."""
    return [
        m
        for m in forward
        if (
            m.code == "unsure_before"
            and line.norm(m.start) in ("maybe", "probably", "possibly", "perhaps")
            and not line.break_at(m.start - 1)
            and (line.break_at(m.end) or (m.start == low and _between_head_and_foot(line, m)))
        )
        or (
            m.code.endswith("_says")
            and m.code != "farrier_says"
            and line.norm(m.end) in ("it", "that", "this", "them")
            and line.norm(m.end + 1) not in COPULAS
        )
    ]


def _between_head_and_foot(line: Line, mark: Mark) -> bool:
    """ "Swelling maybe off hind...": of the swelling, whosever foot follows."""
    feet = [m for m in line.marks if m.kind == "foot"]
    return any(m.start == mark.end for m in feet) and not any(m.end == mark.start for m in feet)


def _looks_forward(mark: Mark, right: Mark) -> bool:
    """Whether a role tells of the head behind it: "no", "I think", "I'd say (abscess)"."""
    if "behind" in mark.tags:
        return False
    if mark.code in FORWARD or "forward" in mark.tags:
        return True
    return mark.code == "unsure_after" and 0 <= right.start - mark.end <= 1


def _with_place(line: Line, foot: Mark) -> int:
    """The end of a foot with its place: "at the right hind pastern, bleeding"."""
    at = foot.start - 1
    while line.norm(at) in ARTICLES:
        at -= 1
    if line.norm(at) not in ("in", "on", "at", "of"):
        return foot.end
    place = next((m for m in line.marks if m.start == foot.end and m.kind == "place"), None)
    if place is None or line.norm(place.end) in COPULAS:
        return foot.end
    if any(
        m.kind in ("value", "number")
        and m.code not in ("depth", "remaining")
        and 0 <= m.start - place.end <= 1
        for m in line.marks
    ):
        return foot.end
    return place.end


def _with_article(line: Line, at: int, low: int) -> int:
    while at - 1 >= low and (
        line.norm(at - 1) in ARTICLES or line.norm(at - 1) in PREPOSITIONS | {"and"}
    ):
        at -= 1
        place = next((m for m in line.marks if m.kind in ("place", "side") and m.end == at), None)
        if place is not None and line.norm(at) == "of" and place.start > low:
            at = place.start  # "and the heel of the right hind is sore"
    return at


def _last_break(line: Line, low: int, high: int, inner: list[Mark], head: Mark) -> int | None:
    """The last comma, pause or clause starter after which only forward attributes stand."""
    starters = {m.start for m in inner if m.kind == "role" and m.code in ("starter", "except")}
    for at in range(high - 1, low - 1, -1):
        is_break = line.words[at].sort in BREAKS
        if not is_break and at not in starters:
            continue
        later = [m for m in inner if m.start > at]
        if all(_may_precede(line, m, head) for m in later):
            saying = next((m for m in inner if m.end == at and m.code in _SAYS), None)
            if saying is not None and not is_break:
                return saying.start
            return at + 1 if is_break else at
    return None


def _may_precede(line: Line, mark: Mark, right: Mark) -> bool:
    """Whether an attribute may stand before its head."""
    head = right.start
    if mark.kind == "size" and right.kind == "work" and mark.value.measure not in _DONE:
        return False
    if mark.kind == "size" and right.item is not None and right.item.per == "horse":
        return False
    if mark.code == "new" and mark.size > 2:
        return False
    if mark.kind == "role" and mark.code in ("growing_out", "gone", "better", "worse"):
        return mark.end >= head
    if mark.kind == "role":
        return mark.code not in ("unsure_after", "history_after", "not_hairline", "to_hairline",
                                 "twice", "against_last", "left_to_go",
                                 "negation_after")  # fmt: skip
    if mark.kind in ("place", "side"):
        return not (line.break_at(mark.end) and mark.end < head)
    if mark.kind == "time":
        # "..., next time they need somebody to hold her"
        return right.kind == "followup"
    return mark.kind in ("number", "foot", "size", "name")


def _attributes_before(
    line: Line, inner: list[Mark], right: Mark, low: int, split: int, left: UnitSaid
) -> int:
    """Pull articles, severity, bare places and sizes that stand directly before the head."""
    at = right.start
    has_side = left.head.kind != "value" or any(m.kind == "side" for m in left.marks())
    if right.kind not in ("finding", "handling"):
        inner = [m for m in inner if m.code not in SEVERITIES]
    for mark in reversed(inner):
        graded = mark.kind == "grade" and line.norm(mark.end) in ("on", "for", "in")
        linked = line.norm(mark.end) in COPULAS or graded
        if mark.end != at and not (mark.end == at - 1 and linked):
            break
        if mark.kind == "role" and mark.code in (
            *SEVERITIES, "article", "adverb", "copula", "new", "starter", "good_word",
            "history_before",
        ):  # fmt: skip
            at = mark.start
        elif mark.kind == "side" and right.kind == "value" and not has_side:
            break
        elif mark.kind in ("place", "side"):
            back = mark.start - 1
            while line.norm(back) in SIDES:
                back -= 1
            if line.norm(back) in ARTICLES:
                back -= 1
            if line.norm(back) in PREPOSITIONS:
                break
            at = mark.start
        elif (
            mark.kind == "time"
            and right.kind in ("work", "followup")
            and (mark.value.due.anchor == "next_visit" and left.head.kind != "followup")
        ) or (mark.kind == "grade" and right.kind == "score"):
            at = mark.start
        elif mark.kind == "size" and right.kind in ("finding", "work"):
            tied = mark.value.rule == "size:before_work"
            of_left = left.head.kind == right.kind == "work" and mark.start - left.head.end <= 1
            # "a crack about twenty mil dressed it back": sizes of findings come first
            of_left = of_left or (left.head.kind == "finding" and right.kind == "work")
            if (mark.start - 1 < low or of_left) and not tied:
                break
            if right.kind == "work" and mark.value.measure not in _DONE:
                break
            at = mark.start
        else:
            break
    while at - 1 >= low and line.norm(at - 1) in ("the", "his", "her", "a", "an", "and", "some"):
        at -= 1
    return min(split, max(at, low))


def _begins_anew(line: Line, foot: Mark) -> bool:
    """ "... any of the four, hinds are a little dry": a clause of which nothing is known."""
    at = foot.start - 1
    while line.norm(at) in ARTICLES:
        at -= 1
    return line.norm(foot.end) in COPULAS and line.norm(at) not in PREPOSITIONS


def _next_foot(marks: Sequence[Mark], foot: Mark) -> list[Mark]:
    return [m for m in marks if m.kind == "foot" and m.start >= foot.end][:1]


def build_units(
    line: Line, begin: int, end: int, number: int, held: bool
) -> tuple[list[UnitSaid], list[Mark]]:
    """The units of one sentence.

    Args:
        line: words and marks of the note.
        begin: first word of the sentence.
        end: one past its last word.
        number: index of the sentence, kept in the units.
        held: a foot is in hand when the sentence begins.

    Returns:
        The units, and the marks of a sentence that has no head at all.
    """
    marks = [m for m in line.marks if begin <= m.start < end]
    heads = [m for m in marks if m.kind in HEADS]
    if not heads:
        return [], marks
    feet_behind = behind(marks)
    units: list[UnitSaid] = []
    start = begin
    for at, head in enumerate(heads):
        unit = UnitSaid(head, sentence=number, start=start)
        units.append(unit)
        if len(units) > 1:
            last = units[-2]
            unit.feet_follow = (
                last.head.kind == "value"
                and any(m.start >= last.head.end for m in last.feet())
                and not any(m.start < last.head.start for m in last.feet())
            )
        unit.before = [m for m in marks if start <= m.start < head.start and m is not head]
        gap_words = set(range(*head.gap)) if head.gap else set()
        unit.after = [m for m in marks if m.start in gap_words and m is not head]
        following = heads[at + 1] if at + 1 < len(heads) else None
        stop = following.start if following else end
        between = [
            m for m in marks if head.end <= m.start < stop and m is not following and m is not head
        ]
        if following is None:
            for mark in between:
                fed = held or any(u.feet() for u in units)
                fed = fed or any(m.kind == "foot" and m.end <= mark.start for m in between)
                if fed and mark.kind == "foot" and _begins_anew(line, mark):
                    mark.tags.add("idle")
            unit.after += between
            unit.end = end
        else:
            already = held or any(u.feet() for u in units)
            footed = next(
                (u for u in reversed(units) if u.feet() and u.feet()[0].code != ALL_FOUR), None
            )
            first = footed.feet()[0] if footed is not None else None
            led = footed is not None and first is not None and first.end <= footed.head.start
            if first is not None and is_heading(first, _next_foot(marks, first)):
                led = False
            split = split_between(line, unit, between, following, already, feet_behind, led)
            unit.after += [m for m in between if m.start < split and m not in unit.after]
            unit.end = split
            start = split
    return units, []
