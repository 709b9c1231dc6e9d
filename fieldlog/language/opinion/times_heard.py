"""What the network hears a time to be of: the next trim, a recheck, work for a later visit.

"Three weeks again", "hinds tomorrow": the time is said, the promise is not. A time that no rule
gave to anything goes to the told promise that the network hears at its words, else it makes a
candidate of one; both are marked. Training can tie annotated times to what they are of
(``models/gist/train.py``); the shipped network only learnt to hear the promise in the words.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cache

from fieldlog.core.facts import Due, Fact, FactKind, FootBasis, SpokenCorrection
from fieldlog.language.lexicon import Item, items
from fieldlog.language.opinion.gist_facts import near_correction
from fieldlog.language.opinion.gist_marks import CANDIDATE, FOOT_HEARD, TABLES
from fieldlog.language.opinion.heard import Opinion, Span
from fieldlog.language.opinion.numbers_heard import (
    LIKELY,
    apart,
    heard_feet,
    heard_reporter,
    likeliest,
)

SURELY = 0.8
"""Chance from which a time is told as what the network hears."""
BESIDE = 90
"""Characters from a time within which a promise without one may be what it is of."""
NEAR = 25
"""Characters behind heard work within which a time is still its own."""
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
        item, chance = likeliest(opinion, span, _timed())
        if item is None or chance < SURELY:
            continue
        kind = FactKind.WORK if item.table == "work" else FactKind.FOLLOW_UP
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


def with_own_times(
    facts: Sequence[Fact], opinion: Opinion, times: Sequence[Time], text: str
) -> list[Fact]:
    """The facts; heard work at whose own words a time is told is for then.

    "Nails next time", "another eighth in five weeks": no rule knew the words, so none gave them
    the time, or made a visit of it, which it is not then.

    Args:
        facts: what is told.
        opinion: what the network says of the note.
        times: the entry's times, by their characters.
        text: the note.
    """
    out = list(facts)
    taken: set[Span] = set()
    for at, fact in enumerate(facts):
        if fact.kind is not FactKind.WORK or not fact.only_heard or fact.due is not None:
            continue
        if fact.historical or fact.negated:
            continue
        own = [time for time in times if _at_words(fact.span, time[0], text)]
        told = opinion.told(fact.code, False, fact.span).get("@planned", 0.0)
        if own and (fact.planned or told >= LIKELY):
            out[at] = replace(fact, due=own[0][1], planned=True)
            taken.add(own[0][0])
    return [f for f in out if f.rule != "time:alone" or f.span not in taken]


def _at_words(said: Span, time: Span, text: str) -> bool:
    within = said[0] <= time[0] and time[1] <= said[1]
    behind = 0 <= time[0] - said[1] <= NEAR and "." not in text[said[1] : time[0]]
    return within or behind


def _alike(one: Due, other: Due) -> bool:
    return (one.period, one.anchor, one.on) == (other.period, other.anchor, other.on)


@cache
def _timed() -> tuple[Item, ...]:
    """What a time may be of: promises and jobs, not their patterns that make another."""
    tables = (TABLES[FactKind.FOLLOW_UP], TABLES[FactKind.WORK])
    return tuple(item for table in tables for item in items(table) if "emits" not in item.more)


def _host(facts: Sequence[Fact], kind: FactKind, item: Item, span: Span) -> int | None:
    """Where the nearest promise of that code stands that has no time yet."""
    near = {
        at: apart(f.span, span)
        for at, f in enumerate(facts)
        if f.kind is kind and f.code == item.id and f.due is None and not f.negated
        and (kind is FactKind.FOLLOW_UP or f.planned) and not f.taught
    }  # fmt: skip
    at = min(near, key=near.__getitem__, default=None)
    return at if at is not None and near[at] <= BESIDE else None


def _candidate(kind: FactKind, item: Item, span: Span, due: Due, told: Mapping[str, float]) -> Fact:
    feet = heard_feet(told) if item.per != "horse" else ()
    unstated = FootBasis.UNSTATED if kind is FactKind.WORK else FootBasis.WHOLE_HORSE
    new = Fact(
        kind, item.id, feet, FootBasis.HEARD if feet else unstated, due=due,
        reporter=heard_reporter(told), planned=kind is FactKind.WORK, span=span,
        rule=f"gist:{item.id}",
        why_foot=FOOT_HEARD if feet else "",
    )  # fmt: skip
    return new.with_doubt("model_candidate", CANDIDATE)
