"""What is said of a second foot without saying the thing again.

"Thrush bad in the left hind, mild on the right", "cracks in both fronts, worse on the left", "three
mil on the left, five on the right", "none in the off hind": a severity, a size, a comparison or a
denial with a foot of its own and no head of its own gets a head here, ``change:again`` (or
``change:denied``, or the comparison's own), and the note reader copies the finding before.

Whether the word belongs to the foot on its left or its right is told by a preposition ("bad *in*
the left"), by a comma, and else by what the other feet of the sentence leave over.
"""

from __future__ import annotations

from dataclasses import replace

from fieldlog.core.facts import Severity
from fieldlog.core.units import UNITS
from fieldlog.language.fellow_words import SAME_WHAT, TO_FOOT, FellowWords
from fieldlog.language.foot_order import SIDES, is_heading, pairs_in_order
from fieldlog.language.lexicon import find_item
from fieldlog.language.marks import Mark
from fieldlog.language.sentence_words import WHERE
from fieldlog.language.units_said import COPULAS, HEADS, SEVERITIES, Line
from fieldlog.language.value_kinds import Value, fits, quantity_of

_TRENDS = frozenset({"better", "worse", "larger", "smaller", "gone", "growing_out"})
_FROM_FOOT = frozenset({"'s", "is", "are", "was", "just", "only", "a", "an", "about", "has",
                        "had", "looks", "one", "side", "foot", "being", "got", "still", "pretty",
                        "quite", "really", "way", "feels", "more", "like", "nearer", "maybe",
                        "around", "the", "not", "very", "real", "some", "but", "it", "they", "to",
                        "at"})  # fmt: skip
_OF_THING = frozenset({"of", "a", "an", "the", "in", "at", "on", "some", "old", "and"})
_AFTER_ALL = frozenset({"and", "but", "though", "today", "now", "so", "too", "the", "still", "or",
                        "on", "in", "at", "with", "i", "we", "he", "she", "than", "as", "is",
                        "again", "there", "this", "only", "then", "which"})  # fmt: skip
_SOUND_WORDS = frozenset({"clean", "clear", "fine", "good", "normal", "grand", "tidy", "lovely",
                          "perfect", "healthy", "nice", "excellent"})  # fmt: skip
_NO_FOOT_AFTER = frozenset({"rein", "lead", "circle", "turn", "hand"})
_NONE = frozenset({"none", "nothing", "nil", "not"})
_SAME_AGAIN = frozenset({"finding", "work", "change", "value"})


def gapped(line: Line) -> Line:
    """The line with heads for what is said of a second foot only."""
    pairs_in_order(line)
    seen = False
    for begin, end in line.sentences():
        seen = _Sentence(line, begin, end, seen).read()
    return line


class _Sentence(FellowWords):
    """One sentence's feet, and what stands beside them."""

    def __init__(self, line: Line, begin: int, end: int, seen: bool) -> None:
        super().__init__(line, begin, end)
        self.seen = seen
        """A finding was said in an earlier sentence."""
        self.taken: set[int] = set()
        self.none_first = False
        """ "None left front, none right front": said before each foot."""
        self.behind = False
        """The amount told of the first foot stood before it."""
        self.led = False
        """The foot told of last stood before what was said of it."""

    def read(self) -> bool:
        """Make the heads; true if a finding has been said by now."""
        feet = [
            m
            for m in self.marks
            if m.kind == "foot"
            and not m.tags & {"compared", "idle"}
            and self.line.norm(m.end) not in _NO_FOOT_AFTER
        ]
        for at, foot in enumerate(feet):
            following = feet[at + 1] if at + 1 < len(feet) else None
            self._good_beside(foot)
            self._foot(foot, feet[:at], following)
        self.opposites()
        return self.seen or any(m.kind == "finding" for m in self.marks)

    # -- beside a foot ----------------------------------------------------------------------

    def _tells(self, mark: Mark) -> bool:
        """Whether a mark may stand for the whole of what is said of a foot."""
        if id(mark) in self.taken:
            return False
        if mark.kind == "role":
            return mark.code in SEVERITIES or mark.code in _TRENDS
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
        if mild and len(near) > 1 and near[1].code in _TRENDS and near[1].start == mark.end:
            mark = near[1]  # "left a touch lower than right"
            if not self._between(near[0].end, mark.start, _FROM_FOOT):
                return None
            return mark if self._between(foot.end, near[0].start, _FROM_FOOT) else None
        if not self._tells(mark) or not self._between(foot.end, mark.start, _FROM_FOOT):
            return None
        told = {self.line.norm(i) for i in range(foot.end, mark.start)}
        if mark.code in _TRENDS and told & {"is", "was", "are", "being", "'s"}:
            return mark  # "the left is worse": nothing follows that it could belong to
        if self._of_a_head(mark) or self._runs_on(mark, near[1:]):
            return None
        return mark

    def _runs_on(self, mark: Mark, later: list[Mark]) -> bool:
        """ "Hinds are a little dry": the word told of the foot is one that no rule knows."""
        at = mark.end
        if mark.kind != "role" or at >= self.end or self.line.break_at(at):
            return False
        known = any(at in m.covers() for m in [*later, *self.marks])
        return not known and self.line.norm(at) not in _AFTER_ALL

    # -- deciding ---------------------------------------------------------------------------

    def _foot(self, foot: Mark, earlier: list[Mark], following: Mark | None) -> None:
        heads = [m for m in self.marks if m.kind in HEADS and m.end <= foot.start]
        if len(heads) > 1 and self._says_nothing(heads[-1]):
            heads.pop()
        source = heads[-1] if heads else None
        strikes = any(m.code == "strikes" and 0 <= m.start - foot.end <= 1 for m in self.marks)
        if strikes and source is not None and source.kind == "finding":
            foot.tags.add("looks_back")
            return
        if foot.code in SIDES and earlier and is_heading(earlier[-1], [foot]):
            low = foot.start - self.line.break_at(foot.start - 1)
            if source is not None and source.kind == "finding" and source.end == low:
                low = source.start  # "fronts cracked left a little right a lot"
            # "in front left a little right a lot": each side, then what is said of it
            self.led = self.led or self._between(earlier[-1].end, low, frozenset())
        if source is not None and self._apart(source, foot, earlier, self.led):
            return
        left, right = self._left_of(foot), self._right_of(foot)
        if self.led and foot.code in SIDES and left is not None:
            left = left if self._placed(foot, left.end) else None
        if source is not None and source.kind == "work" and right is not None:
            sick = [m for m in heads if m.kind == "finding" and m.code != "normal"]
            if sick and right.kind == "role" and not self._placed(foot, source.end):
                source = sick[-1]  # "cleaned it out, right hind only a touch": of thrush
        none = self._none_before(foot)
        known = self.seen if source is None else source.kind == "finding"
        if known and self._has_one(foot):
            return
        if source is not None and source.kind == "finding" and self._is_so(source, foot):
            return
        if source is None:
            if not self.seen or earlier:
                return
            alone = left is None or left.start - self.begin <= 1
            if not alone or self.claimed(foot):
                return
        elif source.kind not in _SAME_AGAIN or not self._fed(source, foot, earlier):
            self.behind = left is not None and left.kind in ("size", "count")
            if right is not None and self._goes_right(right, foot, following):
                self.taken.add(id(right))
            if earlier and earlier[-1].code != foot.code and self.line.norm(foot.end) == "same":
                told = self.line.norm(foot.end + 1)
                if told in SAME_WHAT or foot.end + 1 >= self.end:
                    self._same_behind(foot)
            return
        whole = False
        if none is not None:
            word, before = self.line.norm(none[0]), self.line.norm(none[0] - 1)
            plain = word == "not" and (before == "but" or before not in COPULAS)
            whole = plain or word in ("none", "nothing", "nor")
        if none is not None and (whole or not self.claimed(foot)):
            self._deny(none, foot)
            return
        also = self._also_before(foot)
        if also is not None and (self.line.norm(also[0]) in ("so", "as") or not self.claimed(foot)):
            self.make(Mark("change", "same", *also, tags={"too"}), foot)
            return
        too = next((m for m in self.marks if m.code == "too" and m.start == foot.end), None)
        if too is not None and source is not None and not self._placed(foot, source.end):
            too.kind, too.code = "change", "same"
            too.tags.add("too")
            foot.tags.add("looks_forward")
            return
        if left is not None and right is not None and not self._placed(foot, left.end):
            if self.behind:
                right = None  # "three mil near fore, four off fore, two near hind"
            else:
                left = None
        if left is None and right is None and source is not None and not self.claimed(foot):
            if self._another(foot) or self._elsewhere(foot):
                return
            if self._same_behind(foot):
                return
        if left is not None and self.line.norm(left.start - 1) == "one" and self._another(foot):
            return
        if left is not None:
            if self._of_source(left, source, foot, earlier):
                return
            free = self._placed(foot, left.end) or not self.claimed(foot)
            if free and self._again(left, source, foot):
                foot.tags.add("looks_back")
            return
        if right is not None:
            if not self._goes_right(right, foot, following):
                foot.tags.add("looks_back")
            elif self._again(right, source, foot):
                foot.tags.add("looks_forward")
                self.led = True
            return
        if source is not None and (words := self._amount_behind(foot)) is not None:
            self.make(Mark("change", "again", *words, value=Severity.SEVERE), foot)

    def _of_source(self, trend: Mark, source: Mark | None, foot: Mark, earlier: list[Mark]) -> bool:
        """ "Right front crack is worse, off hind...": the trend is of the crack just named."""
        if source is None or trend.kind != "role" or trend.code not in _TRENDS:
            return False
        if not self._between(source.end, trend.start, COPULAS | {"a", "lot", "bit", "getting"}):
            return False
        if not self._placed(foot, trend.end):
            return True
        one, two = earlier[-1].code if earlier else "", foot.code
        return len(one) == len(two) == 2 and one[1] != two[1] and one[1] in "FH"

    def _amount_behind(self, foot: Mark) -> tuple[int, int] | None:
        """The words of "left hind had a lot"."""
        at = foot.end
        while self.line.norm(at) in ("has", "had", "'s", "got", "is", "a", "with"):
            at += 1
        closes = (
            at + 1 >= self.end
            or self.line.break_at(at + 1)
            or (self.led and self.line.norm(at + 1) in ("and", "but", "so"))
            or any(m.kind == "foot" and m.start - at <= 3 and m.start > at for m in self.marks)
        )
        if at > foot.end and closes and self.line.norm(at) in ("lot", "lots", "loads", "plenty"):
            return at, at + 1
        return None

    def _says_nothing(self, head: Mark) -> bool:
        """ "Nothing to speak of (in the right)": no finding of its own behind another."""
        return head.code == "normal" and self.line.norm(head.start) in ("nothing", "none")

    def _fed(self, source: Mark, foot: Mark, earlier: list[Mark]) -> bool:
        """Whether the source has a foot of its own, so that this is a second one."""
        if any(m.start >= source.start for m in earlier):
            return True
        before = [m for m in self.marks if m.kind in HEADS and m.end <= source.start]
        low = before[-1].end if before else self.begin
        own = [m for m in earlier if low <= m.start and m.end <= source.start]
        if before:
            own = [m for m in own if not self._placed(m, low)]
        return bool(own) and own[-1].code != foot.code

    def _goes_right(self, mark: Mark, foot: Mark, following: Mark | None) -> bool:
        """Whether what stands between two feet tells of the first: "left hind bad, right mild"."""
        if following is None or self.line.norm(foot.end) in ("'s", "is", "has"):
            return True
        where = {i for m in self.marks if m.kind in WHERE for i in m.covers()}
        words = {self.line.norm(i) for i in where if mark.end <= i < following.start}
        links = TO_FOOT | {"and", "but", "one"} | words
        beside = self._between(mark.end, following.start, links)
        if not beside or any(self.line.break_at(i) for i in range(mark.end, following.start)):
            return True
        if any(self.line.break_at(i) for i in range(foot.end, mark.start)):
            return False
        if self._placed(following, mark.end):
            return False
        if self.led or self.behind:
            return self.led
        return self._right_of(following) is not None or self.claimed(following)

    def _none_before(self, foot: Mark) -> tuple[int, int] | None:
        """The words of "none in the right", "but not the right"."""
        at = foot.start - 1
        while self.line.norm(at) in TO_FOOT and at > self.begin:
            at -= 1
        if self.line.norm(at) == "nor":
            return at, at + 1
        back = at
        while self.line.norm(back) in ("to", "speak", "of", "at", "all", "much", "there", "really"):
            back -= 1
        if self.line.norm(back) in ("nothing", "none") and self._placed(foot, at + 1):
            at = back
        word = self.line.norm(at)
        if word not in _NONE:
            return None
        if word in ("none", "nil") and any(m.kind == "finding" and m.end == at for m in self.marks):
            return None  # "corn none in the left front": of the corn just named
        placed, before = self._placed(foot, at + 1), self.line.norm(at - 1)
        alone = before not in COPULAS and self._closes(foot)  # "..., not the right."
        if word == "not" and not placed and not alone and before != "but":
            return None
        told = [m for m in self.marks if m.end <= at and m.tells()]
        first = word == "none" and bool(told) and (told[-1].kind == "finding" or self.none_first)
        self.none_first = self.none_first or first
        if word != "not" and not placed and not first:
            return None
        hit = [m for m in self.marks if at in m.covers()]
        if any(m.code != "normal" and (m.kind != "role" or m.code == "pseudo_negation")
               for m in hit):  # fmt: skip
            return None
        return at, at + 1

    def _closes(self, foot: Mark) -> bool:
        """Whether nothing follows a foot in its clause."""
        ends = foot.end >= self.end or self.line.break_at(foot.end)
        return ends or self.line.norm(foot.end) in ("and", "but", "so", "though", "yet")

    def _good_beside(self, foot: Mark) -> None:
        """ "Clean on the right", "off fore nothing": no fault seen on that foot."""
        at = foot.start - 1
        while self.line.norm(at) in TO_FOOT and at > self.begin:
            at -= 1
        heads = [m for m in self.marks if m.kind in HEADS and m.end <= at]
        lands = bool(heads) and heads[-1].code.startswith("lands")
        if lands and self.line.norm(at) in ("flat", "level") and self._placed(foot, at + 1):
            item = find_item("lands_flat", "finding")
            self.make(Mark("finding", "lands_flat", at, at + 1, item), foot)
            return
        before = next((m for m in self.marks if m.end == at + 1), None)
        if (
            before is not None
            and before.kind == "role"
            and before.code == "good_word"
            and self._placed(foot, at + 1)
            and self.line.norm(before.end - 1) in _SOUND_WORDS
            and self.line.norm(before.start - 1) not in ("not", "isn't", "aren't", "no", "any")
        ):
            before.kind, before.code = "finding", "normal"
            before.item = find_item("normal", "finding")
            foot.tags.add("looks_back")
            return
        at = foot.end
        while self.line.norm(at) in ("has", "had", "'s", "got"):
            at += 1
        no = foot.end + self.line.break_at(foot.end)
        if self.line.norm(no) in ("no", "nope") and no + 1 == self.end and not heads:
            self.make(Mark("change", "denied", no, no + 1), foot)  # "Right, no."
            return
        comma = at == foot.end and foot.start == self.begin and (
            self.line.norm(at) == "," and self.line.norm(at + 1) in ("nothing", "none")
        )  # fmt: skip
        at += bool(comma and (at + 2 >= self.end or self.line.break_at(at + 2)))
        word = self.line.norm(at)
        if word not in ("nothing", "none") or (word == "nothing" and at > foot.end and not comma):
            return
        beyond = at + 1
        near = next((m for m in self.marks if m.start >= beyond), None)
        closes = self.line.break_at(beyond) or beyond >= self.end or at > foot.end
        if self._listed_before(foot, at, near):
            self.none_first = self.behind = True
            foot.tags.add("looks_back")
            return
        if closes or (near is not None and near.kind == "foot" and near.start == beyond):
            if word == "none" and any(
                m.kind == "finding" and m.end == foot.start for m in self.marks
            ):
                # "thrush left front none right front a bit": denied where it is named first
                none = Mark("role", "negation_after", at, beyond)
                kept = [m for m in self.line.marks if at not in m.covers()]
                self.line.marks = sorted([*kept, none], key=lambda m: (m.start, m.end))
                self.marks = [m for m in self.line.marks if self.begin <= m.start < self.end]
                foot.tags.add("looks_back")
                return
            head = Mark("change", "denied", at, beyond)
            if word == "nothing":
                item = find_item("normal", "finding")
                head = Mark("finding", "normal", foot.end, beyond, item)
            self.make(head, foot)

    def _listed_before(self, foot: Mark, at: int, near: Mark | None) -> bool:
        """ "(No heat | heat none) left front, none right front": each denial before its foot."""
        if near is None or near.kind != "foot" or near.start != at + 1 or at != foot.end:
            return False
        back = foot.start - 1
        denied = self.line.norm(back) in ("none", "nil")
        back -= denied
        head = next((m for m in self.marks if m.kind == "finding" and m.end == back + 1), None)
        if head is None:
            return self.none_first and denied
        none = denied or self.line.norm(head.start - 1) == "no"
        return denied or (none and self._right_of(near) is None)

    def _deny(self, words: tuple[int, int], foot: Mark) -> None:
        self.make(Mark("change", "denied", *words), foot)

    def _again(self, mark: Mark, source: Mark | None, foot: Mark) -> bool:
        """Make a head of what tells of the foot; false if it cannot be one."""
        if self.line.norm(mark.start) == "not" and mark.code == "better":
            mark.kind, mark.code = "role", "mild"
        one = "one" in (self.line.norm(mark.end), self.line.norm(mark.end - 1))
        if mark.kind == "role" and mark.code in ("larger", "smaller") and one:
            mark.kind, mark.code = "change", "again"
            return True
        of_work = source is not None and source.kind == "work"
        told = any(m.kind == "finding" and m.end <= mark.start for m in self.marks)
        if mark.kind == "role" and of_work and not (told and foot.end <= mark.start):
            return False
        if mark.kind == "role" and mark.code in _TRENDS:
            mark.kind = "change"
            mark.tags.add("second_foot")
            return True
        if mark.kind == "role":
            mark.value = Severity(mark.code)
        elif mark.kind == "count" and source is not None and source.kind == "value":
            like_it: Value = source.value
            unit = mark.number.unit or like_it.quantity.unit
            if not fits(like_it.kind, mark.number.value, unit):
                return False
            said = quantity_of(mark.number, unit, mark.number.unit is None)
            mark.value = replace(like_it, quantity=said, rule="measure:same_series")
            mark.kind, mark.code = "value", like_it.kind
            self.taken.add(id(mark))
            return True
        elif mark.kind == "count":
            near = [m for m in self.marks if m.kind == "size" and m.end <= mark.start]
            near += [m for m in self.marks if m.kind == "change" and isinstance(m.value, Value)]
            if not near:
                return False
            like: Value = near[-1].value
            unit = mark.number.unit or like.quantity.unit
            if UNITS[unit].dimension is not UNITS[like.quantity.unit].dimension:
                return False
            said = quantity_of(mark.number, unit, mark.number.unit is None)
            mark.value = replace(like, quantity=said)
        mark.kind, mark.code, mark.item = "change", "again", find_item("change", "finding")
        self.taken.add(id(mark))
        return True
