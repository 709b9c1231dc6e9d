"""What the network hears a number to be of: a toe, a heel, how deep something goes, a grade.

A number that no rule could place becomes a marked candidate where the network is sure of what was
measured; one that the rules have as something else is told as it is heard, the rules' version one
key away. The network has learnt from annotated numbers (``models/gist``) of what each was and of
which foot; value and unit are the rules' own.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cache
from itertools import pairwise

from fieldlog.core.facts import Fact, FactKind, FootBasis, Reading, Reporter, SpokenCorrection
from fieldlog.core.feet import Foot
from fieldlog.core.units import UNITS, Quantity, Unit
from fieldlog.language.lexicon import Item, find_item, items
from fieldlog.language.numbers.spoken import NumberSpan
from fieldlog.language.opinion.gist_facts import near_correction, outweighed
from fieldlog.language.opinion.gist_marks import CANDIDATE, FOOT_HEARD
from fieldlog.language.opinion.heard import Opinion, Span
from fieldlog.language.values.kinds import dimension_of, fits, likely_units, quantity_of
from fieldlog.language.values.slots import COUNTED
from fieldlog.language.words.tokens import Token

SURELY = 0.7
"""Chance from which a number that no rule placed is told as what the network hears."""
NOT_THIS = 0.3
"""Chance below which the network contradicts the rules on what a number is of."""
LIKELY = 0.5
"""Chance from which a manner is told of a candidate."""
OF_FEET = 0.7
"""Chance from which a foot is told of it."""
HIGHEST = 5
"""The highest grade of any scale that is graded by foot."""
_GRADES = frozenset({"obel", "club_grade", "hoof_tester_grade", "pulse_grade"})
_REPEATED = ("same", "again")
"""Rules whose facts repeat a number that was said of something else."""


def spans_of(facts: Sequence[Fact], numbers: Sequence[NumberSpan]) -> dict[str, Span]:
    """By a fact's id the characters of the number that it tells; the nearest of equal ones."""
    out = {}
    for fact in facts:
        if fact.quantity is None or fact.rule.startswith(_REPEATED):
            continue
        alike = [n for n in numbers if n.value == fact.quantity.value]
        if alike:
            own = min(alike, key=lambda n: apart((n.start, n.end), fact.span))
            out[fact.id] = (own.start, own.end)
    return out


def apart(one: Span, other: Span) -> int:
    """Characters between two spans; none where they share some."""
    return max(0, one[0] - other[1], other[0] - one[1])


def with_numbers(
    facts: Sequence[Fact],
    opinion: Opinion,
    numbers: Sequence[NumberSpan],
    habit: str = "",
    corrections: Sequence[SpokenCorrection] = (),
) -> tuple[list[Fact], dict[str, Span]]:
    """The facts with their numbers as the network hears them, and where those stand.

    Args:
        facts: the facts of an entry.
        opinion: what the network says of the note.
        numbers: the entry's numbers; times are none.
        habit: ``in`` or ``mm`` if the farrier always means that.
        corrections: what was taken back; only the rules know which number holds there.

    Returns:
        The facts, and by a fact's id the characters of its number.
    """
    at = spans_of(facts, numbers)
    out = [
        _retold(fact, opinion, at[fact.id], habit)
        if fact.kind is FactKind.MEASUREMENT
        and fact.id in at
        and not near_correction(at[fact.id], corrections)
        else fact
        for fact in facts
    ]
    for number in untold(out, numbers, at, corrections):
        new = _candidate(number, opinion, habit)
        if new is not None and not any(tells(old, number.value, new.span) for old in out):
            out.append(new)
            at[new.id] = (number.start, number.end)
    return out, at


def untold(
    facts: Sequence[Fact],
    numbers: Sequence[NumberSpan],
    at: Mapping[str, Span],
    corrections: Sequence[SpokenCorrection] = (),
) -> list[NumberSpan]:
    """The numbers that no fact tells, but those near a correction.

    Args:
        facts: the facts of an entry.
        numbers: its numbers.
        at: by a fact's id the characters of its number.
        corrections: what was taken back; only the rules know which number holds there.
    """
    taken = set(at.values())
    # "Fifteen two": a value made of two numbers is none of either.
    made_up = [f.span for f in facts if f.quantity is not None and f.id not in at]
    return [
        n
        for n in numbers
        if (n.start, n.end) not in taken
        and not near_correction((n.start, n.end), corrections)
        and not any(first <= n.start and n.end <= last for first, last in made_up)
        and not any(_tail_of(n, other) for other in numbers)
    ]


def _tail_of(number: NumberSpan, other: NumberSpan) -> bool:
    """ "One | eighty centimetres": what is left of a number that was said in two parts."""
    beside = 0 <= number.start - other.end <= 1
    return beside and other.value >= 100 and other.value % 100 == number.value


def without_counts(numbers: Sequence[NumberSpan], words: Sequence[Token]) -> list[NumberSpan]:
    """The numbers that measure; "five weeks ago" and "three strides" count, "ten o'clock" is a
    place, "out of three" a scale, and what "should be fifty next time" was not measured."""
    counted = {word.start for word in words if word.norm in _COUNTED_OR_CLOCK}
    at = {word.start: place for place, word in enumerate(words)}
    return [
        n
        for n in numbers
        if (n.unit is not None or n.end + 1 not in counted)
        and not _wished(words, at.get(n.start, 0))
        and words[at.get(n.start, 0) - 1].norm != "clock"
    ]


_COUNTED_OR_CLOCK = COUNTED | {"o'clock", "oclock"}
_WISHES = (("should", "be"), ("out", "of"), ("be", "nearer"), ("aim", "for"), ("aiming", "for"))
"""Words before a number that is none of today's."""


def _wished(words: Sequence[Token], at: int) -> bool:
    return at > 1 and (words[at - 2].norm, words[at - 1].norm) in _WISHES


_NOT_THIS_ONE = re.compile(
    r"^(?: deep| wide| long| high| degrees)?,? ?(?:and |it's |that's |it was )?"
    r"(?:not|instead of|rather than) (?:the |at )?$",
    re.IGNORECASE,
)
"""Between the number that holds and the one that does not."""
_DENIED = re.compile(r"\b(?:not|isn't|wasn't) (?:at )?$", re.IGNORECASE)
_PUT_RIGHT = re.compile(
    r"^(?: degrees| mil)?(?:,? ?[a-z ]{0,20})?(?:,| but| it's| that's) ?(?:it's )?$", re.IGNORECASE
)
"""Between a number that does not hold and the one that does."""


def without_denied(numbers: Sequence[NumberSpan], text: str) -> list[NumberSpan]:
    """The numbers that hold: of "fifty two, not fifty" the first."""
    denied = {
        later.start
        for number, later in pairwise(numbers)
        if _NOT_THIS_ONE.match(text[number.end : later.start])
    }
    denied |= {
        number.start
        for number, later in pairwise(numbers)
        if _DENIED.search(text[: number.start]) and _PUT_RIGHT.match(text[number.end : later.start])
    }
    return [n for n in numbers if n.start not in denied]


def is_pronoun(number: NumberSpan) -> bool:
    """ "The left one", "one on the toe": no measure."""
    return number.unit is None and number.spoken.lower() == "one"


def tells(fact: Fact, value: float, span: Span) -> bool:
    """Whether a fact tells this value of these very words, whatever it is of."""
    return (
        fact.quantity is not None and fact.quantity.value == value and apart(span, fact.span) == 0
    )


def likeliest(opinion: Opinion, span: Span, among: Sequence[Item]) -> tuple[Item | None, float]:
    """The one of some items that is heard at a number or a time, and the chance of it."""
    best, most = None, 0.0
    for item in among:
        chance = opinion.chance(item.id, False, span, beside=0)
        if chance > most:
            best, most = item, chance
    return best, most


@cache
def _measures() -> tuple[Item, ...]:
    return items("measures")


@cache
def _graded() -> tuple[Item, ...]:
    """The grades of a foot or a hoof tester; a grade of the horse has words of its own."""
    return tuple(item for item in items("scores") if item.id in _GRADES)


def _quantity(code: str, number: NumberSpan, habit: str) -> Quantity | None:
    """The number as a measure of ``code``; None if it can be none."""
    unit = number.unit
    if unit is not None:
        if UNITS[unit].dimension is not dimension_of(code):
            return None
        likely = any(fits(code, number.value * by, unit) for by in (1, 2, 0.5))
        inferred = False
    else:
        unit = next(iter(likely_units(code, number.value, habit)), None)
        likely = unit is not None and any(fits(code, number.value * by, unit) for by in (1, 1.5))
        inferred = True
    if unit is None or not likely:
        return None
    return quantity_of(number, unit, inferred)


def _grade(number: NumberSpan) -> Quantity | None:
    """The number as a grade; None if it has a unit or is too large."""
    if number.unit not in (None, Unit.GRADE) or number.value > HIGHEST:
        return None
    return Quantity(number.value, Unit.GRADE, high=number.high, spoken=number.spoken)


def _candidate(number: NumberSpan, opinion: Opinion, habit: str) -> Fact | None:
    """The measure that the network hears in a number that no rule placed."""
    span = (number.start, number.end)
    item, chance = likeliest(opinion, span, (*_measures(), *_graded()))
    if item is None or chance < SURELY:
        return None
    grade = item.table == "score"
    if not grade and is_pronoun(number):
        return None
    quantity = _grade(number) if grade else _quantity(item.id, number, habit)
    if quantity is None:
        return None
    told = opinion.told(item.id, False, span, beside=0)
    feet = heard_feet(told)
    of_horse = item.per == "horse" and not grade
    if of_horse:
        feet = ()
    new = Fact(
        FactKind.SCORE if grade else FactKind.MEASUREMENT, item.id, feet,
        FootBasis.HEARD if feet else FootBasis.WHOLE_HORSE if of_horse else FootBasis.UNSTATED,
        details={"scale": item.more["scales"][0]} if grade else {},
        places=_places(item.id, told), quantity=quantity,
        historical=told.get("@historical", 0.0) >= LIKELY,
        uncertain=told.get("@uncertain", 0.0) >= LIKELY,
        planned=told.get("@planned", 0.0) >= LIKELY,
        reporter=heard_reporter(told), span=span, rule=f"gist:{item.id}",
        why_foot=FOOT_HEARD if feet else "",
    )  # fmt: skip
    return new.with_doubt("model_candidate", CANDIDATE)


def heard_feet(told: Mapping[str, float]) -> tuple[Foot, ...]:
    """The feet that the network hears there."""
    return tuple(foot for foot in Foot if told.get(f"@{foot.value}", 0.0) >= OF_FEET)


def heard_reporter(told: Mapping[str, float]) -> Reporter:
    """Who is heard to say so; the farrier if nobody else."""
    likely = (who for who in Reporter if told.get(f"@{who.value}", 0.0) >= LIKELY)
    return next(likely, Reporter.FARRIER)


def _places(code: str, told: Mapping[str, float]) -> tuple[str, ...]:
    """The place that is heard, if it is one."""
    parts = [
        name.removeprefix("@at_")
        for name, chance in told.items()
        if name.startswith("@at_") and chance >= LIKELY
    ]
    sides = [side for side in ("medial", "lateral") if told.get(f"@{side}", 0.0) >= LIKELY]
    if len(parts) != 1 or len(sides) > 1:
        return ()
    if not sides:
        return () if parts[0] in code else (parts[0],)
    return (f"{sides[0]}_{parts[0]}",)


def _retold(fact: Fact, opinion: Opinion, span: Span, habit: str) -> Fact:
    """The fact as what the network hears its number to be of, if that is not what the rules say."""
    quantity = fact.quantity
    if quantity is None or fact.taught:
        return fact
    item, chance = likeliest(opinion, span, _measures())
    if item is None or item.id == fact.code or chance < SURELY:
        return fact
    if opinion.chance(fact.code, False, span, beside=0) >= NOT_THIS:
        return fact
    said = NumberSpan(
        *span, quantity.value, quantity.high, quantity.approximate, quantity.qualifier,
        None if quantity.unit_inferred else quantity.unit, quantity.spoken,
    )  # fmt: skip
    new = _quantity(item.id, said, habit)
    old = find_item(fact.code, "measure")
    if new is None or old is None:
        return fact
    was = fact.to_dict()
    back = Reading(old.label, {"code": fact.code, "quantity": was["quantity"]})
    feet = {} if item.per == old.per else {"feet": (), "foot_basis": FootBasis.WHOLE_HORSE}
    if feet:
        back.changes.update(feet=was["feet"], foot_basis=was["foot_basis"])
    fact = replace(fact, code=item.id, quantity=new, readings=(back, *fact.readings), **feet)  # type: ignore[arg-type]
    doubts = tuple(d for d in fact.doubts if d.code not in ("competing_readings", "out_of_range"))
    return outweighed(replace(fact, doubts=doubts), old.label)
