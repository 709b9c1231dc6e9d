"""Red flags of an entry: their codes, and an urgent follow-up for a veterinarian at the top.

The rules and their published sources are in ``fieldlog.core.redflags``; local law and practice
come first, and only a veterinarian diagnoses.
"""

from __future__ import annotations

from collections.abc import Sequence

from fieldlog.core.facts import Due, Fact, FactKind
from fieldlog.core.redflags import red_flags


def with_red_flags(facts: Sequence[Fact]) -> tuple[tuple[Fact, ...], tuple[str, ...]]:
    """The facts, with a call for a veterinarian first if a flag is raised, and the flag codes.

    A flag whose call was already spoken ("call the vet today") makes no second one.
    """
    flags = red_flags(facts)
    if not flags:
        return tuple(facts), ()
    codes = tuple(dict.fromkeys(flag.code for flag in flags))
    spoken = any(f.code == "vet_visit" and f.kind is FactKind.FOLLOW_UP for f in facts)
    if spoken:
        return tuple(facts), codes
    first = next(f for f in facts if not f.negated)
    raised = {i for flag in flags for i in flag.fact_ids}
    found = [f for f in facts if f.id in raised]
    call = Fact(
        kind=FactKind.FOLLOW_UP,
        code="vet_visit",
        details={"who": "vet", "urgent": "yes"},
        due=Due(spoken="now"),
        span=first.span,
        sound=first.sound,
        rule=f"redflag:{codes[0]}",
        # Nobody is called out unasked for what may have been misheard.
        doubts=found[0].doubts if all(f.needs_look for f in found) else (),
    )
    return (call, *facts), codes
