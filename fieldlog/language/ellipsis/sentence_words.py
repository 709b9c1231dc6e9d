"""Words of one sentence that mean something else beside a foot or another finding.

"Another one" is a crack's fellow and no next visit, "not too bad in the left" is mild and no clean
foot, "threw the off fore" is a shoe, "more on the left" is worse.
"""

from __future__ import annotations

from itertools import pairwise

from fieldlog.language.ellipsis.sentence import WHERE, Sentence
from fieldlog.language.lexicon import find_item
from fieldlog.language.words.marks import Mark, in_order
from fieldlog.language.words.units_said import HEADS

_TRODDEN = frozenset({"nail", "screw", "thorn", "wire", "spike", "glass", "bolt", "staple", "tack"})
_OWN_NAIL = frozenset({"new", "another", "fresh", "loose", "put", "drove", "bent", "high", "hot",
                       "toe", "heel", "last", "extra", "no", "one", "each", "missing"})  # fmt: skip
_LOSES = frozenset({"lost", "threw", "thrown", "throwed", "cast", "flung"})
_OPPOSITE = {"digital_pulse": "pulse_normal", "bounding_pulse": "pulse_normal",
             "pulse_normal": "pulse_normal", "tester_positive": "tester_negative"}  # fmt: skip


def settle(said: Sentence) -> None:
    """Everything that can be settled before the feet are looked at."""
    _dorsal_wall(said)
    _clock_range(said)
    _fellows(said)
    _nothing_there(said)
    _not_bad(said)
    _lost(said)
    _loose(said)
    _trodden_in(said)
    _comparatives(said)
    _one_and_one(said)


def _fellows(said: Sentence) -> None:
    """ "Another one in the right front" is a crack's fellow, no next visit."""
    feet = {m.start for m in said.marks if m.kind == "foot"}
    for mark in said.marks:
        ahead = {mark.end, mark.end + 1, mark.end + 2} & feet
        small = said.line.norm(mark.start) in ("small", "little", "wee", "tiny")
        if mark.code == "ignored" and small and mark.size == 2 and ahead:
            mark.code, mark.end = "mild", mark.end - 1  # "a small one in the off"
        if mark.kind == "followup" and said.line.norm(mark.start) == "another" and ahead:
            said.line.marks = [m for m in said.line.marks if m is not mark]
    said.put(said.line.marks)


def _clock_range(said: Sentence) -> None:
    """ "Separation from ten to two": the face of a clock, when said right of a finding."""
    hours = [m for m in said.marks if m.kind == "count" and m.number is not None]
    for first, second in pairwise(hours):
        one, two = first.number, second.number
        whole = all(n.unit is None and n.value in range(1, 13) for n in (one, two))
        link = [said.line.norm(i) for i in range(first.start + 1, second.start)]
        lead = said.line.norm(first.start - 1)
        if not whole or not (link == ["to"] or (link == ["and"] and lead == "between")):
            continue
        near = [m for m in said.marks if m.kind in ("finding", "place") and m.end <= first.start]
        if not near or first.start - near[-1].end > 2:
            continue
        first.end = first.start + 1
        for mark, number in ((first, one), (second, two)):
            mark.kind, mark.code = "clock", f"clock_{int(number.value)}"


def _dorsal_wall(said: Sentence) -> None:
    """ "Crack in the dorsal wall": a place where nothing is measured."""
    measured = any(m.kind == "value" for m in said.marks)
    for mark in said.marks:
        if mark.kind == "measure" and said.line.norm(mark.end - 1) == "wall" and not measured:
            mark.kind, mark.code = "place", "dorsal_wall"
            mark.item = find_item("dorsal_wall", "place")


def _nothing_there(said: Sentence) -> None:
    """ "Nothing in front, thrush behind": no fault; "shod in front, nothing behind": bare."""
    for at, mark in enumerate(said.marks):
        plain = mark.item is not None and mark.item.plain
        if mark.code != "barefoot" or said.line.norm(mark.start) != "nothing" or plain:
            continue
        if any(m.kind in ("work", "shoe_size") for m in said.marks[:at]):
            return
        pair = "LH+RH" if said.line.norm(mark.end - 1) == "behind" else "LF+RF"
        foot = Mark("foot", pair, mark.start + 1, mark.end, tags={"looks_back"})
        mark.kind, mark.code, mark.end = "finding", "normal", mark.start + 1
        mark.item = find_item("normal", "finding")
        said.line.marks = in_order([*said.line.marks, foot])
    said.put(said.line.marks)


def _not_bad(said: Sentence) -> None:
    """ "Thrush in both hinds, not too bad in the left": mild thrush there, no clean foot."""
    for at, mark in enumerate(said.marks):
        if mark.code != "normal":
            continue
        words = [said.line.norm(i) for i in sorted(mark.covers())]
        if words[:1] != ["not"] or "bad" not in words:
            continue
        earlier = [m for m in said.marks[:at] if m.kind in ("finding", "foot")]
        sick = [m for m in earlier if m.kind == "finding" and m.code != "normal"]
        pair = [m for m in earlier if m.kind == "foot" and "+" in m.code]
        ahead = said.marks[at + 1] if at + 1 < len(said.marks) else None
        before_a_head = ahead is not None and ahead.kind == "finding"
        if not sick and earlier and {"so", "as", "too"} & {*words} and _ill_before(said):
            # "underrun on the left front. The right's not so bad": the same thing, less of it
            sick, pair = [mark], [mark]
        placed = said.line.norm(mark.end) in ("in", "on")
        if (sick and (pair or placed)) or (before_a_head and ahead and ahead.start == mark.end):
            mark.kind, mark.code, mark.item = "role", "mild", None


def _ill_before(said: Sentence) -> bool:
    """Whether the finding said last, in an earlier sentence, was no good news."""
    before = [m for m in said.line.marks if m.kind == "finding" and m.end <= said.begin]
    return bool(before) and before[-1].code not in ("normal", "sound", "better_shape")


def _lost(said: Sentence) -> None:
    """ "Threw the off fore": a shoe, not the foot."""
    for foot in [m for m in said.marks if m.kind == "foot"]:
        at = foot.start - 1
        while said.line.norm(at) in ("the", "his", "her", "a", "that"):
            at -= 1
        if said.line.norm(at) not in _LOSES or said.line.norm(at - 1) in ("nearly", "almost"):
            continue
        hit = [m for m in said.marks if m.holds(at) and m.kind != "role"]
        soon = any(
            0 <= m.start - foot.end <= (said.line.norm(foot.end) != "and")
            for m in said.marks
            if m.kind in HEADS and m.kind != "work" and m.code != "wall_broken"
        )
        if not hit and not soon:
            item = find_item("shoe_lost", "finding")
            said.make(Mark("finding", "shoe_lost", at, at + 1, item), foot)


def _loose(said: Sentence) -> None:
    """ "Right front shoe missing and the other three loose": shoes, where one was named."""
    for foot in [m for m in said.marks if m.kind == "foot"]:
        at = foot.end
        while said.line.norm(at) in ("are", "is", "'re", "'s", "were", "all", "was"):
            at += 1
        if said.line.norm(at) != "loose":
            continue
        shod = {said.line.norm(i) for i in range(said.begin, foot.start)} & {"shoe", "shoes"}
        lost = any(m.code == "shoe_lost" and m.end <= foot.start for m in said.marks)
        if not (shod or lost):
            continue
        if not any(m.holds(at) and m.kind in HEADS for m in said.marks):
            item = find_item("shoe_loose", "finding")
            said.make(Mark("finding", "shoe_loose", at, at + 1, item), foot)


def _trodden_in(said: Sentence) -> None:
    """ "There's a nail in the left hind": in the foot, not in its shoe."""
    for foot in [m for m in said.marks if m.kind == "foot"]:
        at = foot.start - 1
        while said.line.norm(at) in ("the", "his", "her", "that"):
            at -= 1
        if said.line.norm(at) != "in" or said.line.norm(at - 1) not in _TRODDEN:
            continue
        lead = {said.line.norm(i) for i in range(at - 5, at - 1)}
        taken = any(m.holds(at - 1) and m.kind in HEADS for m in said.marks)
        if taken or lead & _OWN_NAIL or said.line.norm(foot.end) in ("shoe", "plate"):
            continue
        item = find_item("penetrating_object", "finding")
        said.make(Mark("finding", "penetrating_object", at - 1, at, item), foot)


def _comparatives(said: Sentence) -> None:
    """ "More on the left", "the left more than the right": worse, of two feet."""
    for at in range(said.begin, said.end):
        word = said.line.norm(at)
        if word not in ("more", "most", "mostly", "mainly"):
            continue
        if {said.line.norm(at - 1), said.line.norm(at - 2)} & {"not", "no", "any"}:
            continue
        after = said.line.norm(at + 1)
        if after == "so":
            closes = at + 2 >= said.end or said.line.break_at(at + 2)
            after = "on" if closes else said.line.norm(at + 2)
        hit = [m for m in said.marks if m.holds(at)]
        has = said.line.norm(at - 1) in ("has", "had", "'s", "got")
        if has and (at + 1 >= said.end or said.line.break_at(at + 1)):
            after = "on"
        if after == "the" and word == "more" and _only_a_foot(said, at + 2):
            after = "on"  # "toed out on both, more the left"
        if after in ("on", "in", "than") and all(m.kind == "role" for m in hit):
            start = at
            for m in hit:
                said.line.marks = [x for x in said.line.marks if x is not m]
            said.line.marks = in_order([*said.line.marks, Mark("role", "worse", start, at + 1)])
    said.put(said.line.marks)


def _only_a_foot(said: Sentence, at: int) -> bool:
    """Whether a foot begins here and closes its clause."""
    foot = next((m for m in said.marks if m.kind == "foot" and m.start == at), None)
    if foot is None:
        return False
    return foot.end >= said.end or said.line.break_at(foot.end) or said.line.norm(foot.end) == "and"


def _one_and_one(said: Sentence) -> None:
    """ "Two cracks, one at the toe and one at the quarter": the second is a fact of its own."""
    ones = [
        at
        for at in range(said.begin, said.end)
        if said.line.norm(at) in ("one", "another")
        and said.line.norm(at + 1) in ("at", "in", "on")
        and _place_at(said, at + 2) is not None
    ]
    if ones and said.line.norm(ones[0]) == "one":
        ones = ones[1:]
    for at in ones:
        head = Mark("change", "again", at, at + 1)
        kept = [m for m in said.line.marks if not m.holds(at)]
        said.line.marks = in_order([*kept, head])
    said.put(said.line.marks)


def _place_at(said: Sentence, at: int) -> Mark | None:
    at += said.line.norm(at) in ("the", "his", "her")
    return next((m for m in said.marks if m.start == at and m.kind in WHERE), None)


def opposites(said: Sentence) -> None:
    """ "Pulse up in the left front, normal in the right": normal is said of the pulse."""
    last = ""
    for mark in said.marks:
        if mark.kind not in HEADS:
            continue
        plain = {said.line.norm(i) for i in mark.covers()} & {"normal", "negative"}
        if mark.code == "normal" and last in _OPPOSITE and plain and mark.size == 1:
            mark.code = _OPPOSITE[last]
            mark.item = find_item(mark.code, "finding")
        elif mark.code != "normal":
            last = mark.code
