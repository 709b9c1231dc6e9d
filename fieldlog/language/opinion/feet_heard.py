"""A foot of which the network hears what the rules tell of others only.

"Off hind, one, toe" behind a crack of the near hind, "the other the same but smaller": the foot is
named, the finding is not, and no pattern joins them. Where the network surely hears a told code of
a foot that no fact tells it of, that foot gets a candidate of its own, marked.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fieldlog.core.facts import Fact, FactKind, FootBasis, SpokenCorrection, new_id
from fieldlog.core.feet import Foot
from fieldlog.language.opinion.gist_marks import CANDIDATE, FOOT_HEARD
from fieldlog.language.opinion.heard import Opinion, Span
from fieldlog.language.opinion.labels import label
from fieldlog.language.opinion.weighed_feet import led_by_its_foot

SURELY = 0.85
"""Chance from which a foot is proposed: of those that unseen writers left 0.7 were so told."""
_OF_A_FOOT = frozenset({FactKind.FINDING, FactKind.WORK})


def with_feet(
    facts: Sequence[Fact],
    opinion: Opinion,
    part: Span,
    corrections: Sequence[SpokenCorrection] = (),
) -> list[Fact]:
    """The facts of an entry, with candidates for the feet that the network hears them of too.

    Args:
        facts: what is told.
        opinion: what the network says of the note.
        part: first and last character of the entry.
        corrections: what was taken back; with any, only the rules know which foot was meant.
    """
    if corrections:
        return list(facts)
    told: dict[tuple[FactKind, str], list[Fact]] = {}
    for fact in facts:
        told.setdefault((fact.kind, label(fact.code, False)), []).append(fact)
    out = list(facts)
    for (kind, _), alike in told.items():
        if kind not in _OF_A_FOOT or any(not f.feet or f.taught for f in alike):
            continue
        known = {foot for f in alike for foot in f.feet}
        for negated in sorted({f.negated for f in alike}):
            hosts = [f for f in alike if f.negated is negated]
            at: dict[Span, list[Foot]] = {}
            heard = opinion.at_feet(hosts[0].code, negated, part, SURELY)
            if len(heard) == len(Foot) and all(led_by_its_foot(f, opinion) for f in hosts):
                continue  # the other feet are those of a job in the next words
            for name, span in heard.items():
                foot = Foot(name)
                if foot not in known:
                    at.setdefault(span, []).append(foot)
                    known.add(foot)
            out += [_candidate(hosts, feet, span) for span, feet in at.items()]
    return out


def _candidate(hosts: Sequence[Fact], feet: Sequence[Foot], span: Span) -> Fact:
    """The nearest fact of those, of other feet; its size and how bad it is are its own."""
    host = min(hosts, key=lambda f: (abs(f.span[0] - span[0]), f.span))
    new = replace(
        host, id=new_id(), feet=tuple(feet), foot_basis=FootBasis.HEARD, span=span, quantity=None,
        severity=None, comparison=None, rule=f"gist:{host.code}", doubts=(), readings=(),
        why_foot=FOOT_HEARD,
    )  # fmt: skip
    return new.with_doubt("model_candidate", CANDIDATE)


def said_once(facts: Sequence[Fact]) -> tuple[list[Fact], list[Fact]]:
    """The facts, and the candidates that only say again what another fact of the entry tells."""
    out: list[Fact] = []
    for fact in sorted(facts, key=lambda f: f.only_heard):
        if not (fact.only_heard and _told_by(out, fact)):
            out.append(fact)
    kept = {f.id for f in out}
    return [f for f in facts if f.id in kept], [f for f in facts if f.id not in kept]


def _told_by(facts: Sequence[Fact], again: Fact) -> bool:
    """Whether the facts tell all of it: each foot, each place, its size and its time."""
    alike = [
        f for f in facts
        if (f.kind, label(f.code, f.negated)) == (again.kind, label(again.code, again.negated))
        and (f.historical, f.planned) == (again.historical, again.planned)
        and again.quantity in (None, f.quantity) and again.due in (None, f.due)
    ]  # fmt: skip
    if not again.feet:
        return bool(alike)
    told = {(foot, place) for f in alike for foot in f.feet for place in (*f.places, "")}
    return told.issuperset((foot, place) for foot in again.feet for place in (*again.places, ""))
