"""Whether a foot named between two heads belongs to the left one or to the right one.

"Left front has thrush, right front is clean", "thrush left front, cracks right front": the words
between the heads, what both heads are and how the feet before were told say which.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from fieldlog.language.feet.foot_neighbours import (
    clause_between,
    fronted,
    introduced,
    is_participle,
    is_subject,
    led_in,
    opens,
    own_after,
    told_behind,
    value_first,
)
from fieldlog.language.feet.foot_order import is_heading, names_thing
from fieldlog.language.lexicon import Item
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import (
    ARTICLES,
    NEEDS_FOOT,
    PREPOSITIONS,
    Line,
    UnitSaid,
)

_HIS = frozenset({"the", "his", "her"})
_TURNS_TO = frozenset({"moving", "next", "onto", "turning", "over"})
_PARTS = frozenset({"it", "them", "him", "her", "that", "frog", "frogs", "toe", "toes", "heel",
                    "heels", "sole", "soles", "bar", "bars", "wall", "walls", "flare",
                    "clinches", "clenches"})  # fmt: skip
_NEW_SUBJECT = frozenset({"and", "but", "so", "i", "we", "he", "she", "they", "you", "it"})
_NO_OBJECT = frozenset({"barefoot", "leave_alone", "clips"})


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
    own = _own_feet(line, foot, left, own)
    if _goes_on(line, foot, left, right, own, last):
        return True
    if right is None or line.norm(right.start) in ("hinds", "fronts", "fores"):
        return not own
    at = foot.start - 1
    while line.norm(at) in ARTICLES:
        at -= 1
    between = _Between(line, foot, left, right, held, own, last, led, at)
    for holds, whose in _ORDER:
        if holds(between):
            return whose
    return _by_habit(between)


def _own_feet(line: Line, foot: Mark, left: UnitSaid, own: list[Mark]) -> list[Mark]:
    """The left unit's feet, without a heading and without those of a clause before."""
    own = [m for m in own if not (is_heading(m, [foot]) and m.end <= left.head.start)]
    if foot.start - left.head.end <= 2 and line.norm(left.head.end) in ("on", "in"):
        # "He took pictures of the fronts and found thrush in the left": not the fronts' thrush
        own = [m for m in own if not clause_between(line, m, left.head)]
    return own


def _goes_on(
    line: Line, foot: Mark, left: UnitSaid, right: Mark | None, own: list[Mark], last: bool
) -> bool:
    """Whether the foot goes on a list: "left front and right front", "left front right front"."""
    if not own or own[-1].end > foot.start:
        return False
    joint = {line.norm(i) for i in range(own[-1].end, foot.start)} - _HIS
    joined = bool(joint) and joint <= {"and", "or"} and not is_subject(line, foot)
    if joined and not (right is not None and opens(line, foot, right, last)):
        return True
    listed = own[-1].end == foot.start and own[-1].start >= left.head.end
    return listed and _in_a_list(line, foot, left.head)


def _in_a_list(line: Line, foot: Mark, head: Mark) -> bool:
    """ "Trimmed left front right front left hind, ...": one foot of several in a row."""
    if "+" in foot.code or is_subject(line, foot, False):
        return False
    begun = any(m.kind == "foot" and m.start == foot.end for m in line.marks)
    if head.kind == "work" and (begun or line.break_at(foot.end)):
        return True
    return line.norm(foot.end) == "and" and any(
        m.kind == "foot" and m.start in (foot.end + 1, foot.end + 2) for m in line.marks
    )


@dataclass(slots=True)
class _Between:
    """A foot between two heads; the arguments of ``foot_looks_back``."""

    line: Line
    foot: Mark
    left: UnitSaid
    right: Mark
    held: bool
    own: list[Mark]
    last: bool
    led: bool
    at: int
    """The word before the foot and its articles."""

    def word(self) -> str:
        """The word before the foot and its articles."""
        return self.line.norm(self.at)

    def work(self) -> bool:
        """Whether a job stands on the left."""
        return self.left.head.kind == "work"

    def done(self) -> bool:
        """ "Packed it", "trimmed the frog": the job on the left has its object already."""
        head = self.left.head
        if self.line.norm(head.end - 1) in ("it", "them", "him", "her", "that", "on", "off"):
            return True
        several = head.kind == "work" and head.size > 1
        return several and bool({self.line.norm(i) for i in head.covers()} & _PARTS)

    def next_to_left(self) -> bool:
        """Whether nothing but articles parts the foot from the head on the left."""
        return self.at < self.left.head.end

    def object(self) -> bool:
        """ "Trimmed the left front": the foot that the job on the left is done to."""
        inside = range(self.left.head.end, self.foot.start)
        near = self.work() and self.next_to_left() and not self.done()
        return near and not any(self.line.break_at(i) for i in inside)

    def adjacent(self) -> bool:
        """Whether the head on the left may take the foot behind it as its object."""
        takes = self.left.head.code not in _NO_OBJECT and not self.done()
        return self.next_to_left() and takes

    def preposed(self) -> bool:
        """ "On the left front", "in front", "behind"."""
        if self.line.norm(self.foot.start) in ("in", "up", "behind", "out", "all"):
            return True
        return self.word() in PREPOSITIONS and self.at >= self.left.head.end

    def cut_before(self) -> bool:
        """Whether a comma or a pause stands right before the foot."""
        return self.line.break_at(self.foot.start - 1)

    def cut_behind(self) -> bool:
        """Whether a comma or a pause stands right behind the foot."""
        return self.line.break_at(self.foot.end)


def _moved_on(b: _Between) -> bool:
    """ "Trimmed it, moving on to the left hind"."""
    inside = range(b.left.head.end, b.foot.start)
    return any(b.line.norm(i) in _TURNS_TO for i in inside)


def _same_deal(b: _Between) -> bool:
    """ "Put a new shoe on, left front same deal"."""
    same = b.right.code == "same" and b.right.kind == "change"
    return same and b.right.start == b.foot.end and b.held


def _changed_since(b: _Between) -> bool:
    """ "Thrush left front, right front's better"."""
    line, foot, right = b.line, b.foot, b.right
    return (
        right.kind == "change"
        and right.code not in ("again", "denied")
        and not own_after(line, right)
        and right.start - foot.end <= 2
        and not {b.word(), line.norm(foot.start)} & {"in", "on", "at", "of", "up", "behind"}
        and not any(m.kind == "foot" and foot.end <= m.start < right.start for m in line.marks)
        and not b.cut_behind()
    )


def _horse_told_before(b: _Between) -> bool:
    """ "Copped a kick off him, all four trimmed"."""
    of_horse = b.left.head.kind in ("handling", "advice") or (
        b.left.head.kind == "finding" and _of_the_horse(b.left.head.item)
    )
    return (
        of_horse
        and b.right.kind in NEEDS_FOOT
        and 0 <= b.right.start - b.foot.end <= 1
        and not own_after(b.line, b.right)
        and b.word() not in PREPOSITIONS
        and b.line.norm(b.foot.start) not in ("in", "up", "behind")
    )


def _of_the_horse(item: Item | None) -> bool:
    return item is not None and item.per == "horse"


def _condition_before(b: _Between) -> bool:
    """ "Body condition five, left front has thrush"."""
    return b.left.head.code == "condition" and b.right.kind in NEEDS_FOOT


def _thing_with_its_foot(b: _Between) -> bool:
    """ "Left front bar shoe, right front ...": a thing that has a foot, or one told behind it."""
    if not b.object() or not names_thing(b.line, b.left.head):
        return False
    led = any(m.end <= b.left.head.start for m in b.own)
    return led or told_behind(b.line, b.foot, b.right)


def _verb_with_its_foot(b: _Between) -> bool:
    """ "Fronts trimmed, hinds pulled": each verb has its foot before it."""
    head = b.left.head
    taken = b.next_to_left() and any(m.end == head.start for m in b.own)
    return taken and is_participle(b.line, head)


def _takes_object(b: _Between) -> bool:
    """ "Trimmed the left front": the foot that the job before it is done to."""
    if not b.object() or b.left.head.code in _NO_OBJECT:
        return False
    verb = b.line.norm(b.foot.end) not in ("have", "got")
    return not (verb and is_subject(b.line, b.foot, bool(b.own)))


def _second_object(b: _Between) -> bool:
    """ "Trimmed the fronts, hinds ...": the job has its foot behind it already."""
    return any(m.start >= b.left.head.end for m in b.own) and _takes_object(b)


def _fronted_foot(b: _Between) -> bool:
    """ "On the right front there's a bruise", where a foot was told of before."""
    told = bool(b.own) or (b.led and not introduced(b.line, b.left))
    return b.held and told and fronted(b.line, b.foot, b.right)


def _has_its_own(b: _Between) -> bool:
    """ "Left front thrush, right front ...", "thrush; right front is fine"."""
    if b.own:
        return True
    if not is_subject(b.line, b.foot, chain=b.held and not b.left.feet_follow):
        return False
    ties = ("on", "in", "of") if b.line.norm(b.foot.end) == "and" else ("on", "in")
    placed = b.word() in ties and not b.line.break_at(b.at - 1) and b.at > b.left.head.end - 1
    return not placed


def _foot_after_foot(b: _Between) -> bool:
    """ "Thrush left front right front ..."."""
    return any(m.kind == "foot" and m.start == b.foot.end for m in b.line.marks)


def _job_on_it(b: _Between) -> bool:
    """ "Reset the hinds", "shoes on in front"."""
    return b.left.head.kind in ("work", "followup") and (b.adjacent() or b.preposed())


def _job_behind_it(b: _Between) -> bool:
    """ "Packed it, hinds trimmed": the next job is told of the foot before it."""
    beside = (b.work() and not b.adjacent()) or b.led
    beside = (beside and is_participle(b.line, b.right)) or (b.done() and b.work())
    return beside and not b.preposed() and told_behind(b.line, b.foot, b.right, b.led)


def _begins_a_clause(b: _Between) -> bool:
    """ "Thrush, left front cracked"."""
    return b.cut_before() and not b.cut_behind() and not own_after(b.line, b.right)


def _heads_the_next(b: _Between) -> bool:
    """ "Left hind heat and a corn, right hind, thrush"."""
    apart = b.cut_before() and b.cut_behind() and b.foot.code != "both"
    needs = b.led and apart and b.right.kind in NEEDS_FOOT
    return needs and not own_after(b.line, b.right, b.led)


def _horse_told_next(b: _Between) -> bool:
    """ "Thrush left front, stood well"."""
    horse_next = b.right.kind in ("work", "followup", "handling", "advice", "score")
    horse_next = horse_next or _of_the_horse(b.right.item)
    return horse_next and b.left.head.kind in (*NEEDS_FOOT, "score", "change")


def _on_each_its_values(b: _Between) -> bool:
    """ "On the left three and a half fifty two on the right three and a quarter"."""
    values = b.left.head.kind == b.right.kind == "value"
    led = b.led and values and b.right.start == b.foot.end
    return led and b.preposed() and led_in(b.line, b.left.head)


def _opens_the_next(b: _Between) -> bool:
    """ "Thrush, on the right front a crack"."""
    opens = b.line.break_at(b.at - 1 if b.word() in PREPOSITIONS else b.at)
    opens = opens and not b.cut_behind() and b.foot.end >= b.right.start - 1
    return opens and b.preposed()


def _ends_a_clause(b: _Between) -> bool:
    """ "Thrush left front, cracks ...", "thrush left front and ..."."""
    return b.cut_behind() or b.line.norm(b.foot.end) in _NEW_SUBJECT


def _values_first(b: _Between) -> bool:
    """ "Three and an eighth right hind, three and a half near hind"."""
    if b.left.head.kind != "value":
        return False
    if b.left.feet_follow:
        return True
    return b.right.kind == "value" and value_first(b.line, b.right)


def _of_the_horse_before(b: _Between) -> bool:
    """ "Short strided left front ...": what the whole horse has needs no foot."""
    return _of_the_horse(b.left.head.item)


def _by_habit(b: _Between) -> bool:
    """As feet were told of before in this note: in front of what is said of them, or behind it."""
    return ((b.last and not b.led) or not b.held) and b.left.head.kind in NEEDS_FOOT


_LEFT, _RIGHT = True, False
_ORDER: tuple[tuple[Callable[[_Between], bool], bool], ...] = (
    (_moved_on, _RIGHT),
    (_same_deal, _RIGHT),
    (_changed_since, _RIGHT),
    (_horse_told_before, _RIGHT),
    (_condition_before, _RIGHT),
    (_thing_with_its_foot, _RIGHT),
    (_verb_with_its_foot, _RIGHT),
    (_second_object, _RIGHT),
    (_takes_object, _LEFT),
    (_fronted_foot, _RIGHT),
    (_has_its_own, _RIGHT),
    (_foot_after_foot, _LEFT),
    (_job_on_it, _LEFT),
    (_job_behind_it, _RIGHT),
    (_begins_a_clause, _RIGHT),
    (_heads_the_next, _RIGHT),
    (_horse_told_next, _LEFT),
    (_on_each_its_values, _RIGHT),
    (_opens_the_next, _RIGHT),
    (_Between.preposed, _LEFT),
    (_ends_a_clause, _LEFT),
    (_values_first, _LEFT),
    (_Between.cut_before, _RIGHT),
    (_of_the_horse_before, _RIGHT),
)
"""What is asked in turn of a foot between two heads, and whose foot it is if so."""
