"""Places that are said once and meant twice: what lies under, in or behind the thing just told of.

"A stone beside the bar, popped it out, bruise under it", "corn at the inside heel, sore when I
squeeze it", "quarter crack outside, floated that heel": the second thing is where the first one is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fieldlog.core.facts import Fact, FactKind
from fieldlog.language.words.units_said import Line

_FAR = 3
"""Most facts between the two."""
_CLOSE = 60
"""Most characters between a thing and how deep it goes on another foot."""
_ANY = frozenset({"*"})
_FROM = {
    "wound": _ANY,
    "tester_positive": frozenset({"bruise", "corn", "sore", "stone_lodged", "soft_spot",
                                  "abscess", "keratoma"}),
    "bruise": frozenset({"stone_lodged", "corn", "keratoma", "shoe_pressure", "shoe_sprung",
                         "abscess"}),
    "abscess": frozenset({"keratoma"}),
    "keratoma": frozenset({"abscess"}),
    "sore": frozenset({"stone_lodged", "wound"}),
    "soft_spot": frozenset({"stone_lodged"}),
    "heat": frozenset({"swelling"}),
    "hollow": frozenset({"wall_separation", "white_line_separation", "depth"}),
    "depth": frozenset({"wall_separation", "white_line_separation", "penetrating_object", "hollow",
                        "seedy_toe", "white_line_disease", "soft_spot"}),
    "proud_flesh": frozenset({"wound", "scar"}),
    "clean_out": frozenset({"wound"}),
    "treat": frozenset({"wound"}),
}  # fmt: skip
"""By code: what it takes the place of."""
_AT = {"corn": "seat_of_corn", "bleeding": "frog", "canker": "frog"}
"""Where the thing before has to be, whatever it is."""
_HEELS = frozenset({"float_heel", "sheared_heel"})
_THERE = frozenset({"that", "behind", "there", "same", "under"})
_SIDES = frozenset({"medial", "lateral"})
_OWN = {"seedy_toe": ("toe",), "deep_sulcus": ("central_sulcus",)}
"""Places that a code names without its being told."""
_SIDED = frozenset({"heel_length", "heel_height"})


def carried_places(facts: Sequence[Fact], line: Line) -> list[Fact]:
    """The facts, in order, with the places that were said of the thing before."""
    out: list[Fact] = []
    for fact in facts:
        if not fact.places:
            pair = [f for f in facts if f.code == fact.code and f.feet == fact.feet]
            sided = fact.code in _SIDED and len(pair) == 2
            found = _side_in_turn(fact, out) if sided else _place(fact, out, line)
            fact = replace(fact, places=found) if found else fact
        out.append(fact)
    return out


def _place(fact: Fact, earlier: Sequence[Fact], line: Line) -> tuple[str, ...]:
    if fact.code == "depth" and earlier and fact.span[0] - earlier[-1].span[1] < _CLOSE:
        return earlier[-1].places or _OWN.get(earlier[-1].code, ())
    if fact.negated and fact.code != "tester_positive":
        return ()
    taken = _FROM.get(fact.code, frozenset())
    for before in list(reversed(earlier))[: _FAR + 1]:
        told = before.feet == fact.feet and before.places and not before.negated
        if not told or before.kind is not FactKind.FINDING:
            continue
        if fact.code in _HEELS:
            low, high = fact.span[0] - 12, fact.span[1] + 16
            words = {w.norm for w in line.words if low <= w.start <= high}
            side = before.places[0].partition("_")[0]
            return (f"{side}_heel",) if words & _THERE and side in _SIDES else ()
        if fact.code in _AT and before.places[0].endswith(_AT[fact.code]):
            return before.places
        bare = fact.code == "heat" and _SIDES & {*before.places}
        if taken is _ANY or (before.code in taken and not bare):
            return before.places
    return ()


def _side_in_turn(fact: Fact, earlier: Sequence[Fact]) -> tuple[str, ...]:
    """ "Near fore inside an inch and a half, outside two. Off fore two and two": in that order."""
    same = [f for f in earlier if f.code == fact.code]
    own = [f for f in same if f.feet == fact.feet]
    other = [f for f in same if f.feet != fact.feet][-2:]
    sided = {f.places[0].partition("_")[0] for f in other if len(f.places) == 1} == _SIDES
    return other[len(own)].places if sided and len(own) < 2 and not fact.historical else ()
