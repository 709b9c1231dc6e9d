"""What stands right beside a foot and tells of it: a severity, a trend, a size, a count."""

from __future__ import annotations

from fieldlog.language.ellipsis.fellow_words import TO_FOOT, FellowWords
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import HEADS, SEVERITIES, Line

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


class BesideFoot(FellowWords):
    """One sentence's feet, and the words beside them that tell of them."""

    def __init__(self, line: Line, begin: int, end: int) -> None:
        super().__init__(line, begin, end)
        self.taken: set[int] = set()
        """Words that tell of a foot already, by the mark's ``id``."""
        self.behind = False
        """The amount told of the first foot stood before it."""
        self.led = False
        """The foot told of last stood before what was said of it."""

    def _tells(self, mark: Mark) -> bool:
        """Whether a mark may stand for the whole of what is said of a foot."""
        if id(mark) in self.taken:
            return False
        if mark.kind == "role":
            return mark.code in SEVERITIES or mark.code in TRENDS
        if self._is_one(mark):
            return False
        return mark.kind == "size" or (mark.kind == "count" and mark.number is not None)

    def _is_one(self, mark: Mark) -> bool:
        return mark.number is not None and self.line.text(mark) == "one"

    def _of_a_head(self, mark: Mark) -> bool:
        """ "Mild thrush", "a bad outside quarter crack": the head follows."""
        severity = mark
        for other in self.marks:
            if other.start < mark.end:
                continue
            attribute = other.kind in ("place", "side") or (
                other.kind == "role" and other.code not in ("negation", "work_negation")
            )
            if not self._between(mark.end, other.start, _OF_THING):
                return False
            words = [self.line.norm(i) for i in range(severity.end - 1, other.end)]
            if {"a", "an"} & {*words[1:]} and "of" not in words and severity.code in SEVERITIES:
                return False  # "left a bit, a toe crack in..."
            if any(self.line.break_at(i) for i in range(mark.end, other.start)):
                return False
            if other.code in SEVERITIES and severity.code in SEVERITIES:
                return False  # "right mild, bad thrush in..."
            if self.led and severity.end < self.end and self.line.norm(severity.end) == "and":
                return False  # "left mild right bad and flare in..."
            if self.led and other.kind == "finding" and self._foot_behind(other):
                return False  # "left mild, right bad, thrush in the right hind"
            if other.kind in HEADS or other.code in ("long", "wide", "deep", "high"):
                return other.kind not in ("work", "followup", "value")
            if not attribute:
                return False
            mark = other
        return False

    def _foot_behind(self, head: Mark) -> bool:
        """Whether the head has a foot of its own right behind it ("thrush in the right hind")."""
        feet = [m for m in self.marks if m.kind == "foot" and m.start >= head.end][:1]
        return any(m.start - head.end <= 3 and self._placed(m, head.end) for m in feet)

    def _left_of(self, foot: Mark) -> Mark | None:
        """ "Mild in the right hind": what stands before the foot and tells of it."""
        near = [m for m in self.marks if m.end <= foot.start and m.tells()]
        if not near:
            return None
        reach = foot.start
        while len(near) > 1 and near[-1].kind in ("place", "side"):
            if not self._between(near[-1].end, reach, TO_FOOT) or near[-2].kind != "role":
                return None
            reach = near.pop().start  # "worse on the outside of the left"
        mark = near[-1]
        low = mark.end
        if self._is_one(mark) and len(near) > 1 and near[-2].end == mark.start:
            mark = near[-2]  # "a half inch one on the right"
        elif self.line.norm(low) == "one":
            low += 1  # "a small one in the off"
        if not self._tells(mark) or not self._between(low, reach, TO_FOOT):
            return None
        if any(self.line.break_at(i) for i in range(mark.end, foot.start)):
            return None
        return mark

    def _right_of(self, foot: Mark) -> Mark | None:
        """ "Right hind only mild": what stands behind the foot and tells of it."""
        near = [m for m in self.marks if m.start >= foot.end and m.tells()]
        near = [m for m in near if m.code not in ("left_to_go", "joint")]
        if not near:
            return None
        mark = near[0]
        mild = mark.kind == "role" and mark.code in SEVERITIES
        if mild and len(near) > 1 and near[1].code in TRENDS and near[1].start == mark.end:
            mark = near[1]  # "left a touch lower than right"
            if not self._between(near[0].end, mark.start, _FROM_FOOT):
                return None
            return mark if self._between(foot.end, near[0].start, _FROM_FOOT) else None
        if not self._tells(mark) or not self._between(foot.end, mark.start, _FROM_FOOT):
            return None
        told = {self.line.norm(i) for i in range(foot.end, mark.start)}
        if mark.code in TRENDS and told & {"is", "was", "are", "being", "'s"}:
            return mark  # "the left is worse": nothing follows that it could belong to
        if self._of_a_head(mark) or self._runs_on(mark, near[1:]):
            return None
        return mark

    def _runs_on(self, mark: Mark, later: list[Mark]) -> bool:
        """ "Hinds are a little dry": the word told of the foot is one that no rule knows."""
        at = mark.end
        if mark.kind != "role" or at >= self.end or self.line.break_at(at):
            return False
        known = any(m.holds(at) for m in [*later, *self.marks])
        return not known and self.line.norm(at) not in _AFTER_ALL
