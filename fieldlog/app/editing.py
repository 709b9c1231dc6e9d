"""What a correction does to facts: pure functions, one per key."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from fieldlog.core.facts import BY_HAND, Fact, FactKind, FootBasis, new_id
from fieldlog.core.feet import Foot

FOOT_DOUBTS = frozenset({"foot_unstated", "foot_assumed"})
"""Doubts that end when the foot is chosen by hand."""

CHOSEN_WHY = "You chose the foot yourself."


class CannotEdit(Exception):
    """A correction that makes no sense here; its text says why, for the farrier."""


def accept(fact: Fact) -> Fact:
    """The fact as it stands, looked at."""
    return replace(fact, doubts=(), confidence=1.0)


def taken(fact: Fact) -> Fact:
    """What was set aside, taken after all; a foot that is not known is still asked about."""
    left = tuple(d for d in fact.doubts if d.code in FOOT_DOUBTS)
    return replace(accept(fact), doubts=left)


def change(fact: Fact, changes: dict[str, Any]) -> Fact:
    """``fact`` with other fields (as in ``Fact.to_dict``; None removes one), looked at.

    Raises:
        ValueError: a value is not one of the known ones.
    """
    data = {**fact.to_dict(), **changes, "id": fact.id}
    if "feet" in changes and "foot_basis" not in changes:
        data["foot_basis"] = FootBasis.CHOSEN.value
        data["why_foot"] = CHOSEN_WHY
    if "readings" not in changes:
        data["readings"] = []
    data = {key: value for key, value in data.items() if value is not None}
    return accept(Fact.from_dict(data))


def reworded(old: Fact, new: Fact) -> Fact:
    """``new`` (understood from typed words) standing where ``old`` stood, looked at.

    The place in words and sound is kept, and so are the feet unless the typed words named some.
    """
    said = bool(new.feet) and new.foot_basis is FootBasis.SAID
    return accept(
        replace(
            new,
            id=old.id,
            span=old.span,
            sound=old.sound,
            rule=BY_HAND,
            feet=new.feet if said else old.feet,
            foot_basis=FootBasis.CHOSEN if said else old.foot_basis,
            why_foot=CHOSEN_WHY if said else old.why_foot,
            readings=(),
        )
    )


def move(fact: Fact, feet: tuple[Foot, ...]) -> Fact:
    """``fact`` on other feet (none: the whole horse); other doubts stay."""
    return replace(
        fact,
        feet=feet,
        foot_basis=FootBasis.CHOSEN if feet else FootBasis.WHOLE_HORSE,
        why_foot=CHOSEN_WHY,
        doubts=tuple(d for d in fact.doubts if d.code not in FOOT_DOUBTS),
    )


def toggle_negated(fact: Fact) -> Fact:
    """Seen becomes not seen, done becomes not done, and back.

    Raises:
        CannotEdit: the fact has a measured value, which cannot be absent.
    """
    if fact.kind in (FactKind.MEASUREMENT, FactKind.SCORE) and fact.quantity is not None:
        raise CannotEdit("A measured value cannot be “not there”. Delete it if it is wrong.")
    return replace(fact, negated=not fact.negated)


def toggle_uncertain(fact: Fact) -> Fact:
    """Certain becomes suspected, and back."""
    return replace(fact, uncertain=not fact.uncertain)


def split(fact: Fact) -> tuple[Fact, ...]:
    """One fact per foot, else per place, else one for each of two findings joined by "or".

    Raises:
        CannotEdit: there is only one of everything.
    """
    if len(fact.feet) > 1:
        return tuple(
            replace(fact, id=fact.id if i == 0 else new_id(), feet=(foot,))
            for i, foot in enumerate(fact.feet)
        )
    if len(fact.places) > 1:
        return tuple(
            replace(fact, id=fact.id if i == 0 else new_id(), places=(place,))
            for i, place in enumerate(fact.places)
        )
    other = fact.details.get("alternative", "")
    if other:
        rest = {key: value for key, value in fact.details.items() if key != "alternative"}
        return (
            replace(fact, details=rest),
            replace(fact, id=new_id(), code=other, details=rest),
        )
    raise CannotEdit("This is one thing on one foot already: nothing to split.")


def join(first: Fact, second: Fact) -> Fact:
    """One fact for what was heard as two: the feet and places of both, the words of both.

    Raises:
        CannotEdit: the two do not say the same thing.
    """
    if (first.kind, first.code) != (second.kind, second.code):
        raise CannotEdit(
            "Only two facts of the same sort can be joined, such as thrush and thrush."
        )
    if first.quantity != second.quantity and first.quantity and second.quantity:
        raise CannotEdit("These two have different values: change one of them first.")
    if (first.negated, first.historical, first.planned) != (
        second.negated,
        second.historical,
        second.planned,
    ):
        raise CannotEdit("One is seen now and the other is not: these two cannot be joined.")
    feet = tuple(f for f in Foot if f in first.feet or f in second.feet)
    places = (*first.places, *(p for p in second.places if p not in first.places))
    spans = [f.span for f in (first, second) if f.span != (0, 0)]
    sounds = [f.sound for f in (first, second) if f.sound is not None]
    return replace(
        first,
        feet=feet,
        places=places,
        quantity=first.quantity or second.quantity,
        severity=first.severity or second.severity,
        details={**second.details, **first.details},
        due=first.due or second.due,
        span=(min(s[0] for s in spans), max(s[1] for s in spans)) if spans else (0, 0),
        sound=(min(s[0] for s in sounds), max(s[1] for s in sounds)) if sounds else None,
        foot_basis=FootBasis.CHOSEN if feet else FootBasis.WHOLE_HORSE,
        doubts=tuple({d.code: d for d in (*second.doubts, *first.doubts)}.values()),
        confidence=min(first.confidence, second.confidence),
    )
