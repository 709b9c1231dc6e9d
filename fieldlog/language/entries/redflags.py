"""Red flags of an entry: their codes, and an urgent follow-up for a veterinarian at the top.

The rules and their published sources are in ``fieldlog.core.redflags``; local law and practice
come first, and only a veterinarian diagnoses.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from fieldlog.core.facts import Due, Fact, FactKind
from fieldlog.core.redflags import red_flags

_TAKEN_OUT = re.compile(
    r"\b(?:vet|veterinarian|doctor|doc|dr\.? \w+)\b(?P<lead>[^.;?!]{0,60}?)"
    r"\b(?:pulled|removed|took|drew|dug|got|extracted)\b"
    r"[^.;?!]{0,30}?\b(?:nail|screw|wire|glass|stone|it|thing|object)\b",
    re.IGNORECASE,
)
""" "The vet came and pulled the nail"; what she will do, or was to do, is another thing."""
_NOT_YET = re.compile(
    r"\b(?:will|'ll|if|when|until|till|coming|comes|to|hasn't|never|not|nobody|before|should|can"
    r"|might|want|wants|i|i've)\b|n't\b",
    re.IGNORECASE,
)
_LEAD = 14
"""Characters before the veterinarian in which such a word stands."""
_AROUND = 80
"""Characters around an object in the foot in which it is told that a vet took it out."""


def _seen_to(fact: Fact, text: str) -> bool:
    """Whether a veterinarian has taken out what was in the foot: nobody need be called for it."""
    if fact.code != "penetrating_object":
        return False
    around = text[max(0, fact.span[0] - _AROUND) : fact.span[1] + _AROUND]
    return any(
        not _NOT_YET.search(around[max(0, told.start() - _LEAD) : told.start()] + told["lead"])
        for told in _TAKEN_OUT.finditer(around)
    )


def with_red_flags(
    facts: Sequence[Fact], text: str = ""
) -> tuple[tuple[Fact, ...], tuple[str, ...]]:
    """The facts, with a call for a veterinarian first if a flag is raised, and the flag codes.

    A flag whose call was already spoken ("call the vet today") makes no second one, and what a
    veterinarian has taken out of the foot raises none.

    Args:
        facts: the facts of an entry.
        text: the note.
    """
    flags = red_flags([f for f in facts if not _seen_to(f, text)])
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
