"""What stands right beside a foot and tells of it: a severity, a trend, a size, a count."""

from __future__ import annotations

from fieldlog.language.ellipsis.sentence import TO_FOOT, Sentence
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import HEADS, SEVERITIES

TRENDS = frozenset({"better", "worse", "larger", "smaller", "gone", "growing_out"})
_FROM_FOOT = frozenset({"'s", "is", "are", "was", "just", "only", "a", "an", "about", "has",
                        "had", "looks", "one", "side", "foot", "being", "got", "still", "pretty",
                        "quite", "really", "way", "feels", "more", "like", "nearer", "maybe",
                        "around", "the", "not", "very", "real", "some", "but", "it", "they", "to",
                        "at"})  # fmt: skip
_OF_THING = frozenset({"of", "a", "an", "the", "in", "at", "on", "some", "old", "and"})
_AFTER_ALL = frozenset({"and", "but", "though", "today", "now", "so", "too", "the", "still", "or",
                        "on", "in", "at", "with", "i", "we", "he", "she", "than", "as", "is",
                        "again", "there", "this", "only", "then", "which"})  # fmt: skip


def _tells(said: Sentence, mark: Mark) -> bool:
    """Whether a mark may stand for the whole of what is said of a foot."""
    if id(mark) in said.taken:
        return False
    if mark.kind == "role":
        return mark.code in SEVERITIES or mark.code in TRENDS
    if _is_one(said, mark):
        return False
    return mark.kind == "size" or (mark.kind == "count" and mark.number is not None)


def _is_one(said: Sentence, mark: Mark) -> bool:
    return mark.number is not None and said.line.text(mark) == "one"


def _of_a_head(said: Sentence, mark: Mark) -> bool:
    """ "Mild thrush", "a bad outside quarter crack": the head follows."""
    severity = mark
    for other in said.marks:
        if other.start < mark.end:
            continue
        attribute = other.kind in ("place", "side") or (
            other.kind == "role" and other.code not in ("negation", "work_negation")
        )
        if not said.between(mark.end, other.start, _OF_THING):
            return False
        words = [said.line.norm(i) for i in range(severity.end - 1, other.end)]
        if {"a", "an"} & {*words[1:]} and "of" not in words and severity.code in SEVERITIES:
            return False  # "left a bit, a toe crack in..."
        if any(said.line.break_at(i) for i in range(mark.end, other.start)):
            return False
        if other.code in SEVERITIES and severity.code in SEVERITIES:
            return False  # "right mild, bad thrush in..."
        if said.led and severity.end < said.end and said.line.norm(severity.end) == "and":
            return False  # "left mild right bad and flare in..."
        if said.led and other.kind == "finding" and _foot_behind(said, other):
            return False  # "left mild, right bad, thrush in the right hind"
        if other.kind in HEADS or other.code in ("long", "wide", "deep", "high"):
            return other.kind not in ("work", "followup", "value")
        if not attribute:
            return False
        mark = other
    return False


def _foot_behind(said: Sentence, head: Mark) -> bool:
    """Whether the head has a foot of its own right behind it ("thrush in the right hind")."""
    feet = [m for m in said.marks if m.kind == "foot" and m.start >= head.end][:1]
    return any(m.start - head.end <= 3 and said.placed(m, head.end) for m in feet)


def left_of(said: Sentence, foot: Mark) -> Mark | None:
    """ "Mild in the right hind": what stands before the foot and tells of it."""
    near = [m for m in said.marks if m.end <= foot.start and m.tells()]
    if not near:
        return None
    reach = foot.start
    while len(near) > 1 and near[-1].kind in ("place", "side"):
        if not said.between(near[-1].end, reach, TO_FOOT) or near[-2].kind != "role":
            return None
        reach = near.pop().start  # "worse on the outside of the left"
    mark = near[-1]
    low = mark.end
    if _is_one(said, mark) and len(near) > 1 and near[-2].end == mark.start:
        mark = near[-2]  # "a half inch one on the right"
    elif said.line.norm(low) == "one":
        low += 1  # "a small one in the off"
    if not _tells(said, mark) or not said.between(low, reach, TO_FOOT):
        return None
    if any(said.line.break_at(i) for i in range(mark.end, foot.start)):
        return None
    return mark


def right_of(said: Sentence, foot: Mark) -> Mark | None:
    """ "Right hind only mild": what stands behind the foot and tells of it."""
    near = [m for m in said.marks if m.start >= foot.end and m.tells()]
    near = [m for m in near if m.code not in ("left_to_go", "joint")]
    if not near:
        return None
    mark = near[0]
    mild = mark.kind == "role" and mark.code in SEVERITIES
    if mild and len(near) > 1 and near[1].code in TRENDS and near[1].start == mark.end:
        mark = near[1]  # "left a touch lower than right"
        if not said.between(near[0].end, mark.start, _FROM_FOOT):
            return None
        return mark if said.between(foot.end, near[0].start, _FROM_FOOT) else None
    if not _tells(said, mark) or not said.between(foot.end, mark.start, _FROM_FOOT):
        return None
    told = {said.line.norm(i) for i in range(foot.end, mark.start)}
    if mark.code in TRENDS and told & {"is", "was", "are", "being", "'s"}:
        return mark  # "the left is worse": nothing follows that it could belong to
    if _of_a_head(said, mark) or _runs_on(said, mark, near[1:]):
        return None
    return mark


def _runs_on(said: Sentence, mark: Mark, later: list[Mark]) -> bool:
    """ "Hinds are a little dry": the word told of the foot is one that no rule knows."""
    at = mark.end
    if mark.kind != "role" or at >= said.end or said.line.break_at(at):
        return False
    known = any(m.holds(at) for m in [*later, *said.marks])
    return not known and said.line.norm(at) not in _AFTER_ALL
