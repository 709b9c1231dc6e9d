"""What the network hears a time to be of: the next trim, a recheck, work for a later visit.

"Three weeks again", "hinds tomorrow": the time is said, the promise is not. A time that no rule
gave to anything goes to the told promise that the network hears at its words, else it makes a
candidate of one; both are marked. The network has learnt from annotated times (``models/gist``).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fieldlog.core.facts import Due, Fact, FactKind, FootBasis, SpokenCorrection
from fieldlog.language.gist import Opinion, Span
from fieldlog.language.gist_facts import near_correction
from fieldlog.language.gist_marks import CANDIDATE
from fieldlog.language.lexicon import Item, items
from fieldlog.language.numbers_heard import LIKELY, heard_feet, heard_reporter

SURELY = 0.8
"""Chance from which a time is told as what the network hears."""
BESIDE = 90
"""Characters from a time within which a promise without one may be what it is of."""
_KINDS = {FactKind.FOLLOW_UP: "followups", FactKind.WORK: "work"}
Time = tuple[Span, Due]


def with_times(
    facts: Sequence[Fact],
    opinion: Opinion,
    times: Sequence[Time],
    corrections: Sequence[SpokenCorrection] = (),
) -> list[Fact]:
    """The facts of an entry with its times as the network hears them.

    Args:
        facts: what is told.
        opinion: what the network says of the note.
        times: the entry's times, by their characters.
        corrections: what was taken back; only the rules know which time holds there.
    """
    out = list(facts)
    for span, due in times:
        if any(f.due is not None and _alike(f.due, due) for f in out):
            continue
        if near_correction(span, corrections):
            continue
        kind, item, chance = _heard(opinion, span)
        if item is None or chance < SURELY:
            continue
        told = opinion.told(item.id, False, span, beside=0)
        if kind is FactKind.WORK and told.get("@planned", 0.0) < LIKELY:
            continue
        at = _host(out, kind, item, span)
        if at is not None:
            out[at] = replace(out[at], due=due).with_doubt(
                "second_opinion", f"A second opinion on the words gives it “{due.spoken}”."
            )
        elif not any(f.code == item.id and f.kind is kind and f.due is not None for f in out):
            out.append(_candidate(kind, item, span, due, told))
    return out


def _alike(one: Due, other: Due) -> bool:
    return (one.period, one.anchor, one.on) == (other.period, other.anchor, other.on)


def _heard(opinion: Opinion, span: Span) -> tuple[FactKind, Item | None, float]:
    """The promise or work that is told at a time's words, and the chance of it."""
    best: tuple[FactKind, Item | None, float] = (FactKind.FOLLOW_UP, None, 0.0)
    for kind, table in _KINDS.items():
        for item in items(table):
            chance = opinion.chance(item.id, False, span, beside=0)
            if "emits" not in item.more and chance > best[2]:
                best = (kind, item, chance)
    return best


def _host(facts: Sequence[Fact], kind: FactKind, item: Item, span: Span) -> int | None:
    """Where the nearest promise of that code stands that has no time yet."""
    near = {
        at: max(0, f.span[0] - span[1], span[0] - f.span[1])
        for at, f in enumerate(facts)
        if f.kind is kind and f.code == item.id and f.due is None and not f.negated
        and (kind is FactKind.FOLLOW_UP or f.planned) and not f.rule.startswith("personal")
    }  # fmt: skip
    at = min(near, key=near.__getitem__, default=None)
    return at if at is not None and near[at] <= BESIDE else None


def _candidate(kind: FactKind, item: Item, span: Span, due: Due, told: dict[str, float]) -> Fact:
    feet = heard_feet(told) if item.per != "horse" else ()
    unstated = FootBasis.UNSTATED if kind is FactKind.WORK else FootBasis.WHOLE_HORSE
    new = Fact(
        kind, item.id, feet, FootBasis.HEARD if feet else unstated, due=due,
        reporter=heard_reporter(told), planned=kind is FactKind.WORK, span=span,
        rule=f"gist:{item.id}",
        why_foot="A second opinion on the words hears this foot." if feet else "",
    )  # fmt: skip
    return new.with_doubt("model_candidate", CANDIDATE)
