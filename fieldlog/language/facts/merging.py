"""Facts said twice are one fact with both stretches; two values of one thing are asked about."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from fieldlog.core.facts import Fact, FactKind, FootBasis


def merge_same(facts: Sequence[Fact]) -> list[Fact]:
    """Facts said twice in a row are one fact with both stretches of words."""
    out: list[Fact] = []
    for fact in facts:
        if (
            fact.code == "normal"
            and not fact.places
            and fact.foot_basis in (FootBasis.UNSTATED, FootBasis.CARRIED)
            and any(f.code == "normal" and f.feet for f in out[-2:])
        ):
            continue
        twin = next((i for i in range(len(out) - 1, max(-1, len(out) - 4), -1)
                     if _same(out[i], fact)), None)  # fmt: skip
        if twin is None:
            out.append(fact)
            continue
        old = out[twin]
        out[twin] = replace(
            old,
            span=(min(old.span[0], fact.span[0]), max(old.span[1], fact.span[1])),
            places=old.places or fact.places,
            severity=old.severity or fact.severity,
            due=old.due or fact.due,
            details={**fact.details, **old.details},
            uncertain=old.uncertain or fact.uncertain,
            historical=old.historical or fact.historical,
        )
    return out


def _same(a: Fact, b: Fact) -> bool:
    return (
        a.kind is b.kind
        and a.code == b.code
        and a.kind in (FactKind.FINDING, FactKind.WORK, FactKind.FOLLOW_UP, FactKind.HANDLING)
        and (a.feet == b.feet or (a.kind is FactKind.FOLLOW_UP and not (a.feet and b.feet)))
        and a.negated == b.negated
        and a.planned == b.planned
        and (a.historical == b.historical or a.code == "abscess")  # "and it burst at the heel"
        and (a.places == b.places or not a.places or not b.places)
        and (a.quantity is None or b.quantity is None)
        and (a.due is None or b.due is None or a.due == b.due)
        and a.comparison == b.comparison
        and a.details.get("what") == b.details.get("what")
    )


def ask_two_values(facts: Sequence[Fact]) -> list[Fact]:
    """A second value for the same measure of the same foot, run on from the first: both are asked.

    "Toe three and three" is what a recogniser leaves of "three and three eighths".
    """
    out = list(facts)
    for at, (one, two) in enumerate(pairwise(facts)):
        if (
            two.rule == "measure:same_cue"
            and (one.kind, one.code, one.feet, one.places)
            == (two.kind, two.code, two.feet, two.places)
            and one.historical == two.historical
        ):
            for i in (at, at + 1):
                out[i] = out[i].with_doubt(
                    "competing_readings", "Two values for one measure: was a fraction lost?"
                )
    return out
