"""A sentence cut into units: where the words between two heads stop belonging to the left one.

``split_between`` finds the place from clause starters, commas and pauses, triggers that look
forward, articles, and whether a foot name looks back or forward (``foot_between``).
"""

from __future__ import annotations

from collections.abc import Sequence

from fieldlog.language.feet.foot_between import foot_looks_back
from fieldlog.language.feet.foot_order import behind, is_heading
from fieldlog.language.lexicon import word_set
from fieldlog.language.words.marks import ALL_FOUR, Mark
from fieldlog.language.words.units_said import (
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
    low, high = _feet_parted(line, left, between, right, held, last, led)
    inner = [m for m in between if low <= m.start < high]
    split = _last_break(line, low, high, inner, right)
    if split is None:
        split = _first_forward(line, inner, low, high, left, right)
    if right.kind == "finding":
        # "crack, maybe an inch tall, no blood": the size stands before what is denied
        sized = min((m.end for m in inner if m.kind == "size"), default=None)
        denied = [m.start for m in inner if m.code == "negation" and sized is not None
                  and sized < m.start]  # fmt: skip
        split = max([split, *denied[:1]])
    for mark in inner:
        split = _with_its_time(line, mark, split, left, right)
    return max(low, split)


def _feet_parted(
    line: Line,
    left: UnitSaid,
    between: list[Mark],
    right: Mark,
    held: bool,
    last: bool,
    led: bool,
) -> tuple[int, int]:
    """Behind the last foot that is of the left head, and before the first of the right one."""
    low, high = left.head.end, right.start
    own = left.feet() or _inner_foot(line, left.head)
    for mark in between:
        if mark.kind == "foot" and not mark.tags & {"compared", "idle"}:
            if not foot_looks_back(line, mark, left, right, held, own, last, led):
                return low, min(high, _with_article(line, mark.start, low))
            own.append(mark)
            low = max(low, _with_place(line, mark))
    return low, high


def _first_forward(
    line: Line, inner: list[Mark], low: int, high: int, left: UnitSaid, right: Mark
) -> int:
    """Where the first word stands that tells of what follows; else where its attributes begin."""
    past = max([low, *(m.end for m in inner if not _may_precede(line, m, right))])
    forward = [
        m
        for m in inner
        if m.kind == "role"
        and _looks_forward(m, right)
        and not (m.code == "history_before" and m.start < past)
    ]
    backward = _trailing(line, forward, low)
    forward = [m for m in forward if m not in backward and not _sized_after(inner, m, right)]
    if forward:
        return forward[0].start
    return _attributes_before(line, inner, right, low, high, left)


def _with_its_time(line: Line, mark: Mark, split: int, left: UnitSaid, right: Mark) -> int:
    """The split, before a time or a size that is of the right head all the same."""
    if mark.kind == "size" and mark.end == right.start and line.norm(right.start) == "came":
        return min(split, mark.start)  # "feet are long two inches came off the toes"
    if mark.kind != "time":
        return split
    # "... trimmed next time they need to have somebody": the time looks forward as well
    ahead = mark.value.due.anchor == "next_visit"
    if ahead and right.kind == "followup" and left.head.kind != "followup":
        split = mark.start if 0 <= split - mark.end <= 1 else split
    to_do = right.kind == "work" and right.start - mark.end <= 2 and not _is_past(line, right)
    ours = ahead and line.norm(mark.end) in ("i", "we")
    if ours and (line.break_at(mark.start - 1) or to_do):
        split = min(split, mark.start)  # "rolled the toes, next time I bring them back"
    said = {line.norm(i) for i in range(mark.end, right.start)}
    own_time = left.head.kind == "followup" and mark.start - left.head.end <= 1
    if said & {"'ll", "will"} and said <= _I_WILL and not own_time:
        return min(split, mark.start)  # "... near fore the same in six weeks I'll set the toe back"
    return split


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


def _trailing(line: Line, forward: list[Mark], low: int) -> list[Mark]:
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


_BEFORE_HEAD = frozenset({*SEVERITIES, "article", "adverb", "copula", "new", "starter",
                          "good_word", "history_before"})  # fmt: skip


def _attributes_before(
    line: Line, inner: list[Mark], right: Mark, low: int, split: int, left: UnitSaid
) -> int:
    """Pull articles, severity, bare places and sizes that stand directly before the head."""
    at = right.start
    if right.kind not in ("finding", "handling"):
        inner = [m for m in inner if m.code not in SEVERITIES]
    for mark in reversed(inner):
        graded = mark.kind == "grade" and line.norm(mark.end) in ("on", "for", "in")
        linked = line.norm(mark.end) in COPULAS or graded
        if mark.end != at and not (mark.end == at - 1 and linked):
            break
        if not _is_of(line, mark, right, low, left):
            break
        at = mark.start
    while at - 1 >= low and line.norm(at - 1) in ("the", "his", "her", "a", "an", "and", "some"):
        at -= 1
    return min(split, max(at, low))


def _is_of(line: Line, mark: Mark, right: Mark, low: int, left: UnitSaid) -> bool:
    """Whether an attribute right before a head is its own, and not of the head on the left."""
    if mark.kind == "role":
        return mark.code in _BEFORE_HEAD
    if mark.kind in ("place", "side"):
        has_side = left.head.kind != "value" or any(m.kind == "side" for m in left.marks())
        bare_side = mark.kind == "side" and right.kind == "value" and not has_side
        return not bare_side and not _placed(line, mark)
    if mark.kind == "time":
        ahead = mark.value.due.anchor == "next_visit" and left.head.kind != "followup"
        return ahead and right.kind in ("work", "followup")
    if mark.kind == "grade":
        return right.kind == "score"
    return mark.kind == "size" and _size_is_of(mark, right, low, left)


def _placed(line: Line, place: Mark) -> bool:
    """ "At the outside heel": a place with a preposition before it."""
    back = place.start - 1
    while line.norm(back) in SIDES:
        back -= 1
    return line.norm(back - (line.norm(back) in ARTICLES)) in PREPOSITIONS


def _size_is_of(size: Mark, right: Mark, low: int, left: UnitSaid) -> bool:
    """ "A two inch crack", "half an inch came off"; sizes of findings come first, before a job."""
    if right.kind not in ("finding", "work"):
        return False
    if right.kind == "work" and size.value.measure not in _DONE:
        return False
    if size.value.rule == "size:before_work":
        return True
    # "a crack about twenty mil dressed it back"
    of_left = left.head.kind == right.kind == "work" and size.start - left.head.end <= 1
    of_left = of_left or (left.head.kind == "finding" and right.kind == "work")
    return not of_left and size.start - 1 >= low


def _begins_anew(line: Line, foot: Mark) -> bool:
    """ "... any of the four, hinds are a little dry": a clause of which nothing is known."""
    at = foot.start - 1
    while line.norm(at) in ARTICLES:
        at -= 1
    told = line.norm(foot.end) in COPULAS or line.norm(foot.end) == "plain"  # "hinds plain"
    return told and line.norm(at) not in PREPOSITIONS


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
        unit.feet_follow = bool(units) and _feet_behind_value(units[-1])
        units.append(unit)
        unit.before = [m for m in marks if start <= m.start < head.start and m is not head]
        gap_words = set(range(*head.gap)) if head.gap else set()
        unit.after = [m for m in marks if m.start in gap_words and m is not head]
        following = heads[at + 1] if at + 1 < len(heads) else None
        stop = following.start if following else end
        between = [
            m for m in marks if head.end <= m.start < stop and m is not following and m is not head
        ]
        already = held or any(u.feet() for u in units)
        if following is None:
            _set_idle(line, between, already)
            unit.after += between
            unit.end = end
            break
        led = _foot_led(marks, units)
        split = split_between(line, unit, between, following, already, feet_behind, led)
        unit.after += [m for m in between if m.start < split and m not in unit.after]
        unit.end = start = split
    return units, []


def _feet_behind_value(last: UnitSaid) -> bool:
    """ "Fifty-two left front, fifty-three ...": a value whose foot stands behind it."""
    return (
        last.head.kind == "value"
        and any(m.start >= last.head.end for m in last.feet())
        and not any(m.start < last.head.start for m in last.feet())
    )


def _set_idle(line: Line, between: list[Mark], fed: bool) -> None:
    """Tag the feet behind the last head that begin a clause of which nothing is known."""
    for mark in between:
        fed = fed or any(m.kind == "foot" and m.end <= mark.start for m in between)
        if fed and mark.kind == "foot" and _begins_anew(line, mark):
            mark.tags.add("idle")


def _foot_led(marks: list[Mark], units: list[UnitSaid]) -> bool:
    """Whether the foot told of last stood before what was said of it, and was no heading."""
    footed = next((u for u in reversed(units) if u.feet() and u.feet()[0].code != ALL_FOUR), None)
    if footed is None:
        return False
    first = footed.feet()[0]
    return first.end <= footed.head.start and not is_heading(first, _next_foot(marks, first))
