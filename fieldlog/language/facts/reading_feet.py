"""Which feet a unit is of: those named in it, those that its head means, those in hand."""

from __future__ import annotations

from dataclasses import replace

from fieldlog.core.facts import FactKind, FootBasis
from fieldlog.core.feet import ALL_FEET, Foot, describe_feet
from fieldlog.language.context.comparisons import rather
from fieldlog.language.context.head_context import Context
from fieldlog.language.facts.maker import FactMaker
from fieldlog.language.facts.objects import (
    WHOLE_JOBS,
    done_to,
    stands_alone,
    the_whole_horse,
    told_apart,
)
from fieldlog.language.feet.closing_pairs import NAMED_BEHIND
from fieldlog.language.feet.feet_named import inner_feet, narrowed, several, spoken_feet
from fieldlog.language.feet.tracker import (
    MENDS,
    NO_FAULT,
    OF_A_FOOT,
    OF_ALL,
    OF_THE_HORSE,
    Assignment,
)
from fieldlog.language.lexicon import find_item
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import HEADS, Line, UnitSaid

_IN_HAND = ("in_hand", "bad_one")
_ENDS = {"LF+RF": "fronts", "LH+RH": "hinds"}
_ON_BOTH = frozenset({"shorten_toe", "lower_heel", "set_back_toe", "roll_toe"})
_TELLS_MORE = frozenset({"which", "that", "who", "because", "cause", "'cause", "as", "it", "where",
                         "he", "she"})  # fmt: skip


def feet_named_in(maker: FactMaker, unit: UnitSaid) -> Assignment | None:
    """The feet named in the unit, or None if none were."""
    marks = spoken_feet(maker.line, unit)
    named = [_name(maker, mark) for mark in marks]
    if spared := _spared_and_told_of(maker, unit, marks, named):
        # "... except the left hind, which has a crack"
        maker.tracker.in_hand = spared
        if all(m.end <= unit.head.start for m in marks):
            return maker.tracker.name("in_hand", describe_feet(spared))
    named = narrowed([n for n in named if n.feet]) or named
    if not named and (both := _both_meant(maker, unit)) is not None:
        return maker.tracker.name("both", both)
    if (own := _of_the_head(maker, unit, named)) is not None:
        return own
    if not any(n.feet for n in named) and all(m.code in _IN_HAND for m in marks):
        return None
    if len(named) == 1:
        return named[0]
    if any("all_but" in m.tags for m in unit.feet()):
        return named[-1]
    feet = tuple(f for f in Foot if any(f in n.feet for n in named))
    basis = next((n.basis for n in named if n.basis is not FootBasis.SAID), FootBasis.SAID)
    maker.tracker.in_hand = feet
    return Assignment(feet, basis, " ".join(n.why for n in named))


def _name(maker: FactMaker, mark: Mark) -> Assignment:
    """The feet of one foot mark; takes them in hand."""
    named = maker.tracker.name(mark.code, maker.line.text(mark))
    if "pair_behind" in mark.tags:
        why = f"“{maker.line.text(mark)}” was said here, {NAMED_BEHIND}"
        return replace(named, why=why)
    return named


def _spared_and_told_of(
    maker: FactMaker, unit: UnitSaid, marks: list[Mark], named: list[Assignment]
) -> tuple[Foot, ...]:
    """The feet left out of "all but the left hind, which ...", of which more is told."""
    spared: tuple[Foot, ...] = ()
    for mark, one in zip(marks, named, strict=True):
        at = mark.end + maker.line.break_at(mark.end)
        if "all_but" not in mark.tags:
            continue
        if maker.line.norm(at) in _TELLS_MORE or _fault_behind(maker.line, unit, mark):
            rest = one.feet
            spared = tuple(f for f in ALL_FEET if f not in rest)
            spared = (rest[0].mate,) if len(rest) == 1 else spared
    return spared


def _fault_behind(line: Line, unit: UnitSaid, foot: Mark) -> bool:
    """ "All clean bar the off hind, bit of thrush in there": the fault is the one foot's."""
    if unit.head.start >= foot.end and unit.head.kind == "finding":
        end = unit.head.end + (line.norm(unit.head.end) in ("in", "on", "to"))
        return unit.head.code not in NO_FAULT and line.norm(end) in _THERE
    if unit.head.code not in ("normal", "sound"):
        return False
    fault = next((m for m in line.marks if m.start >= foot.end and m.kind in HEADS), None)
    if fault is None or fault.kind != "finding" or fault.code in NO_FAULT:
        return False
    between = [line.words[at] for at in range(foot.end, fault.start)]
    near = len(between) <= _NEAR and all(word.sort != "stop" for word in between)
    return near and not {word.norm for word in between} & {"no", "not", "without"}


_THERE = frozenset({"there", "that", "it"})
_NEAR = 5
"""Words between a foot and what is told of it."""


def _both_meant(maker: FactMaker, unit: UnitSaid) -> str | None:
    """The words that mean both feet of the end in hand, if no foot was named."""
    in_hand = maker.tracker.in_hand
    if "each" in unit.head.tags and in_hand:
        return "each"
    if len(in_hand) == 1 and (unit.head.code == "mismatched" or several(maker.line, unit)):
        return maker.line.text(unit.head)
    if unit.head.kind == "value" and _plural_measured(maker, unit):
        return maker.line.norm(unit.head.start - 1)
    if unit.head.code in _ON_BOTH and _plural(maker, unit):
        # "three and a half left, three and a quarter right, took half an inch off the toes"
        return "toes"
    return None


def _of_the_head(maker: FactMaker, unit: UnitSaid, named: list[Assignment]) -> Assignment | None:
    """The feet that a head brings with it: "fronts", one side of a pair, "bare behind"."""
    inner = inner_feet(maker.line, unit)
    spares = any("all_but" in m.tags for m in unit.feet())
    if inner and inner[1].startswith("all") and named and not spares:
        # "new shoes all round, threes in front": the pair in hand, of which more is told
        return maker.tracker.name(*inner, take=False)
    ends = _tagged(unit, "feet:") or _of_its_row(unit)
    if ends:
        return maker.tracker.name(ends, _ENDS.get(ends, maker.line.text(unit.head)))
    side = _tagged(unit, "side:")
    if side:
        return _one_side(maker, unit, named, side)
    if inner and not any(m.start >= unit.head.start for m in unit.feet()):
        return maker.tracker.name(*inner)
    return None


def _one_side(maker: FactMaker, unit: UnitSaid, named: list[Assignment], side: str) -> Assignment:
    """ "Fronts fifty-two and fifty-three": one foot of the pair, which stays in hand."""
    pair = named[0].feet if named else maker.tracker.in_hand
    end = _tagged(unit, "pair:")
    own = tuple(Foot(f) for f in end.split("+")) if end else ()
    maker.tracker.in_hand = own or maker.tracker.end or pair
    one = maker.tracker.name(side, side)
    both = {*one.feet, *(f.mate for f in one.feet)}
    maker.tracker.in_hand = tuple(f for f in ALL_FEET if f in both)
    if "order_guessed" in unit.head.tags:
        why = "Two values for a pair; left first is a guess."
        return Assignment(one.feet, FootBasis.ASSUMED, why)
    return one


def _plural(maker: FactMaker, unit: UnitSaid) -> bool:
    """Whether toes or heels are spoken of after both feet of an end were named."""
    begin = unit.start if unit.start < unit.head.start else unit.head.start
    words = {maker.line.norm(i) for i in range(begin, unit.head.end + 4)}
    if not words & {"toes", "heels"} or len(maker.tracker.in_hand) != 1:
        return False
    last = [m for m in maker.line.marks if m.kind == "foot" and m.end <= unit.head.start][-2:]
    sides = {_SIDE_OF.get(m.code, m.code) for m in last}
    return sides == {"left", "right"} and unit.head.start - last[-1].end <= 8


def _plural_measured(maker: FactMaker, unit: UnitSaid) -> bool:
    """ "... five degrees left seven right soles about eight mil": of both, in one breath."""
    line, at = maker.line, unit.head.start - 1
    while line.norm(at) in ("about", "are", "were", "around", "roughly", "maybe"):
        at -= 1
    thing = line.norm(at)
    if thing not in ("soles", "toes", "heels") or len(maker.tracker.in_hand) != 1:
        return False
    last = [m for m in line.marks if m.kind == "foot" and m.end <= unit.head.start][-2:]
    if len(last) < 2 or at - last[-1].end > _SAID_SINCE:
        return False
    told = {line.norm(i) for i in range(last[0].start, at)}
    sides = {_SIDE_OF.get(m.code, m.code) for m in last}
    ends = {m.code[1:] for m in last if m.code in _SIDE_OF}
    return sides == {"left", "right"} and len(ends) < 2 and thing not in told


_SAID_SINCE = 8
"""Words between the second foot of a pair and what is measured on both."""
_SIDE_OF = {"LF": "left", "LH": "left", "RF": "right", "RH": "right"}


def foot_compared(maker: FactMaker, unit: UnitSaid) -> Foot | None:
    """The foot that the unit compares with, if any."""
    for mark in unit.marks():
        if mark.kind == "foot" and "compared" in mark.tags:
            found = maker.tracker.name(mark.code, maker.line.text(mark), take=False)
            if len(found.feet) == 1:
                return found.feet[0]
    return None


def whose_feet(
    maker: FactMaker, unit: UnitSaid, context: Context, kind: FactKind, code: str
) -> Assignment:
    """The feet of a unit's fact, named or not."""
    before = maker.tracker.in_hand
    apart = code in WHOLE_JOBS and told_apart(maker.line, unit)
    named = None if code == "condition" or apart else feet_named_in(maker, unit)
    if named is None:
        return _unnamed(maker, unit, context, kind, code)
    if rather(maker.line, unit, named.feet, before):
        named = maker.tracker.name("+".join(f.value for f in before), "both")
    if code in OF_THE_HORSE:
        named = _WHOLE_HORSE
    if kind is FactKind.WORK and len(named.feet) == 4:
        maker.tracker.for_job_only = True
    return named


def _unnamed(
    maker: FactMaker, unit: UnitSaid, context: Context, kind: FactKind, code: str
) -> Assignment:
    """The feet where none was named: none, those in hand, or a guess."""
    head = unit.head
    item = head.item or find_item(code, "measure" if head.kind == "value" else head.kind)
    per_horse = item is not None and item.per == "horse"
    of_horse = per_horse or kind in (FactKind.HANDLING, FactKind.ADVICE, FactKind.SCORE)
    if of_horse and not _of_the_foot(maker, unit, kind, code, per_horse):
        return _WHOLE_HORSE
    if code == "club_grade":
        return maker.tracker.name("bad_one", "club")
    if code == "barefoot" and maker.tracker.last == ("trim", tuple(Foot)):
        return Assignment(tuple(Foot), FootBasis.CARRIED, "All four were trimmed just before.")
    alone = len(maker.tracker.in_hand) == 1 and stands_alone(maker.line, unit)
    if alone or (code in WHOLE_JOBS and the_whole_horse(maker.line, unit)):
        plain = item is not None and item.plain
        return Assignment(tuple(Foot), FootBasis.SAID if plain else FootBasis.ASSUMED, OF_ALL)
    feet_said = unit.says_feet(maker.line) or context.negated or code == "normal"
    guess = context.uncertain and code in ("bruise", "abscess", "nail_bind")
    mend = (code in MENDS or guess) and not context.negated
    if kind is FactKind.FINDING:
        maker.tracker.back_to_both(unit.sentence)
    elif (thing := done_to(maker.line, unit)) and maker.tracker.back_to(thing):
        mend = False
    return maker.tracker.carry(kind is FactKind.WORK or feet_said, mend)


def _of_the_foot(
    maker: FactMaker, unit: UnitSaid, kind: FactKind, code: str, per_horse: bool
) -> bool:
    """ "Snatched it away", "leaning back off them": the horse's, but told of feet in hand."""
    if code in OF_A_FOOT:
        return True
    if per_horse and kind is FactKind.FINDING and maker.tracker.in_hand:
        return unit.leans_on_it(maker.line)
    graded = kind is FactKind.SCORE and code == "lameness"
    held = (graded or kind is FactKind.HANDLING) and unit.says_it(maker.line)
    return held and len(maker.tracker.in_hand) == 1


_WHOLE_HORSE = Assignment((), FootBasis.WHOLE_HORSE, "This is about the whole horse.")


def _of_its_row(unit: UnitSaid) -> str:
    """The feet that a plain row's words are of where no foot is named behind them."""
    item = unit.head.item
    if item is None or any(m.start >= unit.head.end for m in unit.feet()):
        return ""
    return str(item.more.get("feet", ""))


def _tagged(unit: UnitSaid, begin: str) -> str:
    """What follows ``begin`` in a tag of the head; empty if there is no such tag."""
    return next((t[len(begin) :] for t in unit.head.tags if t.startswith(begin)), "")
