"""What the network hears a number to be the size of: a crack, a flare, what was taken off.

"Twenty eight mil, was thirty four": the rules give a finding the size that is said in a form they
know. A number that no fact tells, and at which the network surely hears a finding or a job that is
told without it, becomes the size of that; one that it hears to be of earlier becomes a fact of
earlier beside it. Both are marked. Value and unit are the rules' own.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from dataclasses import replace

from fieldlog.core.facts import Fact, FactKind, Reading, SpokenCorrection, new_id
from fieldlog.core.feet import Foot
from fieldlog.core.units import UNITS, Dimension, Quantity, Unit
from fieldlog.language.lexicon import find_item
from fieldlog.language.numbers.spoken import NumberSpan
from fieldlog.language.opinion.gist_facts import kin, near_correction, on_heard_feet, outweighed
from fieldlog.language.opinion.gist_marks import CANDIDATE
from fieldlog.language.opinion.heard import Opinion, Span
from fieldlog.language.opinion.numbers_heard import (
    LIKELY,
    apart,
    heard_feet,
    is_pronoun,
    tells,
    untold,
)
from fieldlog.language.values.kinds import quantity_of

SURELY = 0.9
"""Chance from which a number is the size of what the network hears at it."""
NOT_ITS = 0.4
"""Chance below which a number is not the size of what the rules give it to: of 50 such of unseen
writers five were."""
SIZE_HEARD = "No rule gives this size; the trained network hears it in these words."
_SIZED = frozenset({FactKind.FINDING, FactKind.WORK})
_IN = frozenset({Dimension.LENGTH, Dimension.ANGLE})
LONGEST = 10
"""Inches beyond which a bare number is none."""


def without_others_sizes(
    facts: Sequence[Fact],
    opinion: Opinion,
    numbers: Sequence[NumberSpan],
    corrections: Sequence[SpokenCorrection] = (),
) -> list[Fact]:
    """The facts; a size that the network does not hear to be of its finding or job is taken off it.

    "Toes rolled, shoe set back a quarter", "heels high, forty-two mil": the number is then free for
    what it is heard to be of. The rules' version stays one key away.

    Args:
        facts: the facts of an entry.
        opinion: what the network says of the note.
        numbers: the entry's numbers; times are none.
        corrections: what was taken back; only the rules know which number holds there.
    """
    told = frozenset(fact.code for fact in facts)
    return [_without_others_size(fact, opinion, numbers, corrections, told) for fact in facts]


def _without_others_size(
    fact: Fact,
    opinion: Opinion,
    numbers: Sequence[NumberSpan],
    corrections: Sequence[SpokenCorrection],
    told: Set[str],
) -> Fact:
    size = fact.quantity
    if size is None or fact.kind not in _SIZED or fact.negated or fact.taught:
        return fact
    first, last = fact.span
    own = [(n.start, n.end) for n in numbers if n.value == size.value and first <= n.start < last]
    if len(own) != 1 or near_correction(own[0], corrections):
        return fact
    if not opinion.knows(fact.code, False):
        return fact
    if opinion.chance(fact.code, False, own[0], beside=0) >= NOT_ITS:
        return fact
    if fact.kind is FactKind.WORK and _of_kin(fact, opinion, own[0], told):
        return fact
    shown = f"{fact.code.replace('_', ' ')} {size.spoken}".strip()
    back = Reading(shown, {"quantity": fact.to_dict()["quantity"]})
    bare = replace(fact, quantity=None, readings=(back, *fact.readings))
    return outweighed(bare, shown)


def _of_kin(fact: Fact, opinion: Opinion, at: Span, told: Set[str]) -> bool:
    """Whether a number is heard as the size of a kindred job that nothing tells: it is this one's,
    under another name ("took the toe back three eighths")."""
    names = [name for name in opinion.heard(at, NOT_ITS) if name not in told]
    return any(find_item(name, "work") and kin(name, fact.code, True) for name in names)


def without_size_of_nothing(facts: Sequence[Fact]) -> list[Fact]:
    """The facts; what is denied has no size, whoever denied it."""
    return [
        replace(f, quantity=None) if f.negated and f.kind is FactKind.FINDING else f for f in facts
    ]


def with_sizes(
    facts: Sequence[Fact],
    opinion: Opinion,
    numbers: Sequence[NumberSpan],
    at: Mapping[str, Span],
    corrections: Sequence[SpokenCorrection] = (),
) -> list[Fact]:
    """The facts with the sizes that the network hears.

    Args:
        facts: the facts of an entry.
        opinion: what the network says of the note.
        numbers: the entry's numbers; times are none.
        at: by a fact's id the characters of the number that it tells.
        corrections: what was taken back; only the rules know which number holds there.
    """
    out = list(facts)
    for number in untold(facts, numbers, at, corrections):
        if not is_pronoun(number):
            _sized(out, number, opinion)
    return out


def _sized(out: list[Fact], number: NumberSpan, opinion: Opinion) -> None:
    """Give a number to what it is heard to be the size of, if that is told."""
    span = (number.start, number.end)
    codes = {f.code for f in out if f.kind in _SIZED and not f.negated and not f.taught}
    likely = [(opinion.chance(code, False, span, beside=0), code) for code in codes]
    chance, code = max(likely, default=(0.0, ""))
    if chance < SURELY:
        return
    told = opinion.told(code, False, span, beside=0)
    feet, earlier = heard_feet(told), told.get("@historical", 0.0) >= LIKELY
    alike = [f for f in out if f.code == code and f.kind in _SIZED and not f.negated]
    if any(tells(f, number.value, span) for f in alike):
        return
    near = sorted(alike, key=lambda f: (not _of(f, feet), apart(span, f.span), f.span))
    unit = _unit(number, [f.quantity for f in near if f.quantity is not None])
    if unit is None:
        return
    size = quantity_of(number, unit, number.unit is None)
    bare = next((f for f in near if f.quantity is None and f.historical is earlier
                 and _of(f, feet)), None)  # fmt: skip
    if bare is not None:
        _fill(out, bare, size, feet)
        return
    host = near[0]
    new = replace(
        host, id=new_id(), quantity=size, historical=earlier, comparison=None, severity=None,
        span=span, rule=f"gist:{code}", doubts=(), readings=(),
    )  # fmt: skip
    if feet and host.feet and feet != host.feet:
        new = on_heard_feet(new, feet)
    out.append(new.with_doubt("model_candidate", CANDIDATE))


def _fill(out: list[Fact], bare: Fact, size: Quantity, feet: Sequence[Foot]) -> None:
    """Give a fact its size; feet of it that the size is not heard of become a fact of their own."""
    own = tuple(foot for foot in bare.feet if foot in feet) or bare.feet
    rest = tuple(foot for foot in bare.feet if foot not in own)
    at = out.index(bare)
    filled = replace(bare, quantity=size).with_doubt("second_opinion", SIZE_HEARD)
    if rest:
        out[at] = replace(bare, feet=rest)
        out.insert(at, replace(filled, id=new_id(), feet=own))
    else:
        out[at] = filled


def _of(fact: Fact, feet: Sequence[Foot]) -> bool:
    return not feet or not fact.feet or not set(feet).isdisjoint(fact.feet)


def _unit(number: NumberSpan, others: Sequence[Quantity]) -> Unit | None:
    """The unit said, or that of the other sizes of the same; else parts of an inch, as they are
    said: a quarter, two and a half."""
    if number.unit is not None:
        return number.unit if UNITS[number.unit].dimension in _IN else None
    if others:
        return others[0].unit
    parts = not float(number.value).is_integer() and float(number.value * 32).is_integer()
    return Unit.INCH if parts and number.value < LONGEST else None
