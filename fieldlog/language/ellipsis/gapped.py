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
from fieldlog.language.ellipsis.beside_foot import TRENDS, left_of, right_of
from fieldlog.language.ellipsis.fellow_words import (
    SAME_WHAT,
    also_before,
    another,
    elsewhere,
    has_one,
    is_so,
    same_behind,
    told_apart,
)
from fieldlog.language.ellipsis.none_said import deny, good_beside, none_before
from fieldlog.language.ellipsis.sentence import TO_FOOT, WHERE, Sentence
from fieldlog.language.ellipsis.sentence_words import opposites, settle
from fieldlog.language.feet.foot_order import SIDES, is_heading, pairs_in_order
from fieldlog.language.lexicon import find_item
from fieldlog.language.values.kinds import Value, fits, quantity_of
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import COPULAS, HEADS, Line

_NO_FOOT_AFTER = frozenset({"rein", "lead", "circle", "turn", "hand"})
_SAME_AGAIN = frozenset({"finding", "work", "change", "value"})


def gapped(line: Line) -> Line:
    """The line with heads for what is said of a second foot only."""
    pairs_in_order(line)
    seen = False
    for begin, end in line.sentences():
        said = Sentence(line, begin, end, seen)
        settle(said)
        said.note_glue()
        seen = _read(said)
    return line


def _read(said: Sentence) -> bool:
    """Make the heads; true if a finding has been said by now."""
    feet = [
        m
        for m in said.marks
        if m.kind == "foot"
        and not m.tags & {"compared", "idle"}
        and said.line.norm(m.end) not in _NO_FOOT_AFTER
    ]
    for at, foot in enumerate(feet):
        following = feet[at + 1] if at + 1 < len(feet) else None
        good_beside(said, foot)
        _further(said, foot, feet[:at], following)
    opposites(said)
    return said.seen or any(m.kind == "finding" for m in said.marks)


def _further(said: Sentence, foot: Mark, earlier: list[Mark], following: Mark | None) -> None:
    """Make the head of what is said of one foot only, if it is a further one."""
    heads = [m for m in said.marks if m.kind in HEADS and m.end <= foot.start]
    if len(heads) > 1 and _says_nothing(said, heads[-1]):
        heads.pop()
    source = heads[-1] if heads else None
    if source is not None and _struck(said, source, foot):
        foot.tags.add("looks_back")
        return
    if foot.code in SIDES and earlier and is_heading(earlier[-1], [foot]):
        said.led = said.led or _right_behind(said, earlier[-1], source, foot)
    if source is not None and told_apart(said, source, foot, earlier, said.led):
        return
    left, right = left_of(said, foot), right_of(said, foot)
    if said.led and foot.code in SIDES and left is not None:
        left = left if said.placed(foot, left.end) else None
    source = _thing_meant(said, source, heads, foot, right)
    none = none_before(said, foot)
    if _has_or_is(said, source, foot):
        return
    if not _is_further(said, source, foot, earlier, left):
        if source is not None:
            _first_told(said, foot, earlier, following, left, right)
        return
    if not _denied_or_alike(said, none, source, foot):
        _amount(said, foot, earlier, following, source, left, right)


def _struck(said: Sentence, source: Mark, foot: Mark) -> bool:
    """ "Overreach on the left front, catches it with the left hind"."""
    strikes = any(m.code == "strikes" and 0 <= m.start - foot.end <= 1 for m in said.marks)
    return strikes and source.kind == "finding"


def _right_behind(said: Sentence, heading: Mark, source: Mark | None, foot: Mark) -> bool:
    """ "In front left a little right a lot": each side, then what is said of it."""
    low = foot.start - said.line.break_at(foot.start - 1)
    if source is not None and source.kind == "finding" and source.end == low:
        low = source.start  # "fronts cracked left a little right a lot"
    return said.between(heading.end, low, frozenset())


def _thing_meant(
    said: Sentence, source: Mark | None, heads: list[Mark], foot: Mark, right: Mark | None
) -> Mark | None:
    """ "Thrush left hind, cleaned it out, right hind only a touch": of the thrush."""
    if source is None or source.kind != "work" or right is None or right.kind != "role":
        return source
    sick = [m for m in heads if m.kind == "finding" and m.code != "normal"]
    return sick[-1] if sick and not said.placed(foot, source.end) else source


def _has_or_is(said: Sentence, source: Mark | None, foot: Mark) -> bool:
    """ "The other front has one starting", "neither front is sore, both hinds are"."""
    finding = source is not None and source.kind == "finding"
    if (said.seen if source is None else finding) and has_one(said, foot):
        return True
    return source is not None and finding and is_so(said, source, foot)


def _is_further(
    said: Sentence, source: Mark | None, foot: Mark, earlier: list[Mark], left: Mark | None
) -> bool:
    """Whether something was told of another foot before this one."""
    if source is not None:
        return source.kind in _SAME_AGAIN and _fed(said, source, foot, earlier)
    if not said.seen or earlier:
        return False
    alone = left is None or left.start - said.begin <= 1
    return alone and not said.claimed(foot)


def _first_told(
    said: Sentence,
    foot: Mark,
    earlier: list[Mark],
    following: Mark | None,
    left: Mark | None,
    right: Mark | None,
) -> None:
    """The first foot takes what is said of it; "left front fine, right front same again"."""
    said.behind = left is not None and left.kind in ("size", "count")
    if right is not None and _goes_right(said, right, foot, following):
        said.taken.add(id(right))
    if earlier and earlier[-1].code != foot.code and said.line.norm(foot.end) == "same":
        told = said.line.norm(foot.end + 1)
        if told in SAME_WHAT or foot.end + 1 >= said.end:
            same_behind(said, foot)


def _denied_or_alike(
    said: Sentence, none: tuple[int, int] | None, source: Mark | None, foot: Mark
) -> bool:
    """ "None in the right", "so has the right", "the right too": no amount of its own."""
    if none is not None and (_wholly(said, none) or not said.claimed(foot)):
        deny(said, none, foot)
        return True
    also = also_before(said, foot)
    if also is not None and (said.line.norm(also[0]) in ("so", "as") or not said.claimed(foot)):
        said.make(Mark("change", "same", *also, tags={"too"}), foot)
        return True
    too = next((m for m in said.marks if m.code == "too" and m.start == foot.end), None)
    if too is None or source is None or said.placed(foot, source.end):
        return False
    too.kind, too.code = "change", "same"
    too.tags.add("too")
    foot.tags.add("looks_forward")
    return True


def _wholly(said: Sentence, none: tuple[int, int]) -> bool:
    """ "None", "nothing", "but not": a denial whatever follows; "is not the right" is none."""
    word, before = said.line.norm(none[0]), said.line.norm(none[0] - 1)
    plain = word == "not" and (before == "but" or before not in COPULAS)
    return plain or word in ("none", "nothing", "nor")


def _amount(
    said: Sentence,
    foot: Mark,
    earlier: list[Mark],
    following: Mark | None,
    source: Mark | None,
    left: Mark | None,
    right: Mark | None,
) -> None:
    """Give the foot the severity, trend, size or count beside it."""
    if left is not None and right is not None and not said.placed(foot, left.end):
        # "three mil near fore, four off fore, two near hind"
        left, right = (left, None) if said.behind else (None, right)
    if _one_more(said, foot, source, left, right):
        return
    if left is not None:
        if _of_source(said, left, source, foot, earlier):
            return
        free = said.placed(foot, left.end) or not said.claimed(foot)
        if free and _again(said, left, source, foot):
            foot.tags.add("looks_back")
    elif right is not None:
        if not _goes_right(said, right, foot, following):
            foot.tags.add("looks_back")
        elif _again(said, right, source, foot):
            foot.tags.add("looks_forward")
            said.led = True
    elif source is not None and (words := _amount_behind(said, foot)) is not None:
        said.make(Mark("change", "again", *words, value=Severity.SEVERE), foot)


def _one_more(
    said: Sentence, foot: Mark, source: Mark | None, left: Mark | None, right: Mark | None
) -> bool:
    """ "Another on the left front", "a small one in the right": one more of the same."""
    if left is None and right is None and source is not None and not said.claimed(foot):
        return another(said, foot) or elsewhere(said, foot) or same_behind(said, foot)
    if left is None or said.line.norm(left.start - 1) != "one":
        return False
    return another(said, foot)


def _of_source(
    said: Sentence, trend: Mark, source: Mark | None, foot: Mark, earlier: list[Mark]
) -> bool:
    """ "Right front crack is worse, off hind...": the trend is of the crack just named."""
    if source is None or trend.kind != "role" or trend.code not in TRENDS:
        return False
    if not said.between(source.end, trend.start, COPULAS | {"a", "lot", "bit", "getting"}):
        return False
    if not said.placed(foot, trend.end):
        return True
    one, two = earlier[-1].code if earlier else "", foot.code
    return len(one) == len(two) == 2 and one[1] != two[1] and one[1] in "FH"


def _amount_behind(said: Sentence, foot: Mark) -> tuple[int, int] | None:
    """The words of "left hind had a lot"."""
    at = foot.end
    while said.line.norm(at) in ("has", "had", "'s", "got", "is", "a", "with"):
        at += 1
    closes = (
        at + 1 >= said.end
        or said.line.break_at(at + 1)
        or (said.led and said.line.norm(at + 1) in ("and", "but", "so"))
        or any(m.kind == "foot" and m.start - at <= 3 and m.start > at for m in said.marks)
    )
    if at > foot.end and closes and said.line.norm(at) in ("lot", "lots", "loads", "plenty"):
        return at, at + 1
    return None


def _says_nothing(said: Sentence, head: Mark) -> bool:
    """ "Nothing to speak of (in the right)": no finding of its own behind another."""
    return head.code == "normal" and said.line.norm(head.start) in ("nothing", "none")


def _fed(said: Sentence, source: Mark, foot: Mark, earlier: list[Mark]) -> bool:
    """Whether the source has a foot of its own, so that this is a second one."""
    if any(m.start >= source.start for m in earlier):
        return True
    before = [m for m in said.marks if m.kind in HEADS and m.end <= source.start]
    low = before[-1].end if before else said.begin
    own = [m for m in earlier if low <= m.start and m.end <= source.start]
    if before:
        own = [m for m in own if not said.placed(m, low)]
    return bool(own) and own[-1].code != foot.code


def _goes_right(said: Sentence, mark: Mark, foot: Mark, following: Mark | None) -> bool:
    """Whether what stands between two feet tells of the first: "left hind bad, right mild"."""
    if following is None or said.line.norm(foot.end) in ("'s", "is", "has"):
        return True
    where = {i for m in said.marks if m.kind in WHERE for i in m.covers()}
    words = {said.line.norm(i) for i in where if mark.end <= i < following.start}
    links = TO_FOOT | {"and", "but", "one"} | words
    beside = said.between(mark.end, following.start, links)
    if not beside or any(said.line.break_at(i) for i in range(mark.end, following.start)):
        return True
    if any(said.line.break_at(i) for i in range(foot.end, mark.start)):
        return False
    if said.placed(following, mark.end):
        return False
    if said.led or said.behind:
        return said.led
    return right_of(said, following) is not None or said.claimed(following)


def _again(said: Sentence, mark: Mark, source: Mark | None, foot: Mark) -> bool:
    """Make a head of what tells of the foot; false if it cannot be one."""
    if said.line.norm(mark.start) == "not" and mark.code == "better":
        mark.kind, mark.code = "role", "mild"
    if mark.kind == "role":
        return _role_again(said, mark, source, foot)
    if mark.kind == "count":
        if source is not None and source.kind == "value":
            return _value_again(said, mark, source.value)
        if not _size_again(said, mark):
            return False
    _head_again(said, mark)
    return True


def _head_again(said: Sentence, mark: Mark) -> None:
    mark.kind, mark.code, mark.item = "change", "again", find_item("change", "finding")
    said.taken.add(id(mark))


def _role_again(said: Sentence, mark: Mark, source: Mark | None, foot: Mark) -> bool:
    """ "Mild on the right", "the left one's worse", "a smaller one on the off fore"."""
    one = "one" in (said.line.norm(mark.end), said.line.norm(mark.end - 1))
    if mark.code in ("larger", "smaller") and one:
        mark.kind, mark.code = "change", "again"
        return True
    told = any(m.kind == "finding" and m.end <= mark.start for m in said.marks)
    of_work = source is not None and source.kind == "work"
    if of_work and not (told and foot.end <= mark.start):
        return False
    if mark.code in TRENDS:
        mark.kind = "change"
        mark.tags.add("second_foot")
        return True
    mark.value = Severity(mark.code)
    _head_again(said, mark)
    return True


def _value_again(said: Sentence, mark: Mark, like: Value) -> bool:
    """ "Fifty-two on the left, fifty-four on the right": of the same kind."""
    unit = mark.number.unit or like.quantity.unit
    if not fits(like.kind, mark.number.value, unit):
        return False
    amount = quantity_of(mark.number, unit, mark.number.unit is None)
    mark.value = replace(like, quantity=amount, rule="measure:same_series")
    mark.kind, mark.code = "value", like.kind
    said.taken.add(id(mark))
    return True


def _size_again(said: Sentence, mark: Mark) -> bool:
    """ "Three mil on the left, five on the right": a size like the one before."""
    near = [m for m in said.marks if m.kind == "size" and m.end <= mark.start]
    near += [m for m in said.marks if m.kind == "change" and isinstance(m.value, Value)]
    if not near:
        return False
    like: Value = near[-1].value
    unit = mark.number.unit or like.quantity.unit
    if UNITS[unit].dimension is not UNITS[like.quantity.unit].dimension:
        return False
    amount = quantity_of(mark.number, unit, mark.number.unit is None)
    mark.value = replace(like, quantity=amount)
    return True
