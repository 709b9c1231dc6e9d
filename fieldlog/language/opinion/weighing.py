"""Feet and manner, weighed: what the rules say of a fact against what the network hears.

For each foot the chance that the fact is of it is made of both (weights in ``data/weighing.toml``,
fitted by ``models/confidence/weigh.py`` on notes that neither had learnt from); likewise whether
it is doubtful, of earlier, planned, who says so, where on the hoof, how bad and how it compares.
Where the chance goes against the rules, the fact follows it, is marked for a look, and keeps the
rules' version one key away; where the rules are silent, the fact is told as it is heard, their
version one key away too. Nothing that calls for a veterinarian is weighed away.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import Any

from fieldlog.core.facts import Fact, FactKind, Reading, Reporter, SpokenCorrection
from fieldlog.language.lexicon import read_data
from fieldlog.language.opinion.gist_facts import flags_kept, near_correction, outweighed
from fieldlog.language.opinion.heard import Opinion, Span
from fieldlog.language.opinion.labels import label
from fieldlog.language.opinion.logit import Signs, weighed_chance
from fieldlog.language.opinion.weighed_feet import LED, led_by_its_foot, on_feet
from fieldlog.language.opinion.weighed_manner import GROUPS, Weighed, manner_changed
from fieldlog.language.opinion.weighed_parts import Told
from fieldlog.language.wording import describe_feet
from fieldlog.language.wording import label as words_for

_SAYS = frozenset({
    "says", "said", "say", "reckons", "reckoned", "reckon", "thinks", "thought", "told", "tells",
    "swears", "reports", "reported", "noticed", "rang", "claims", "calls", "called",
})  # fmt: skip
"""Words of a fact that name who says it."""
_NONE: Mapping[str, Span] = MappingProxyType({})
_NOT_WEIGHED = frozenset({FactKind.NOTE})


def weighed(
    facts: Sequence[Fact],
    opinion: Opinion,
    corrections: Sequence[SpokenCorrection] = (),
    numbers: Mapping[str, Span] = _NONE,
) -> list[Fact]:
    """The facts, each told as the rules and the network together have it.

    What is told more than once in the note weighs less at each place, as it was fitted. As they
    were, if a call for a veterinarian would be lost.

    Args:
        facts: the facts of an entry.
        opinion: what the network says of the note.
        corrections: what was taken back; only the rules know what holds there.
        numbers: by a fact's id the characters of its number.
    """
    weights: Signs = read_data("weighing").get("weight", {})
    if not weights:
        return list(facts)
    says = [first for word, first, _ in opinion.words if word in _SAYS]
    out = []
    for fact, told, sorts in weighable(facts, opinion, numbers):
        if told and not near_correction(fact.span, corrections):
            settled = set(_settled_groups(fact, facts, says))
            if led_by_its_foot(fact, opinion):
                sorts = (*sorts, LED)
            fact = _weighed(fact, told, sorts, weights, settled)
        out.append(fact)
    return out if flags_kept(facts, out) else list(facts)


def weighable(
    facts: Sequence[Fact], opinion: Opinion, numbers: Mapping[str, Span] = _NONE
) -> Iterator[tuple[Fact, Told, tuple[str, ...]]]:
    """Each fact with how the network hears it told, nothing where that cannot be weighed; and its
    sorts: a candidate, measured, told more than once in the note.

    What is measured is told at its number (``numbers``), everything else at its words.
    """
    often = Counter(label(f.code, f.negated) for f in facts)
    for fact in facts:
        sorts = ("candidate",) if fact.only_heard else ()
        if fact.taught or fact.kind in _NOT_WEIGHED:
            yield fact, {}, sorts
        elif fact.kind is FactKind.MEASUREMENT and fact.id in numbers:
            told = opinion.told(fact.code, fact.negated, numbers[fact.id], beside=0)
            yield fact, told, (*sorts, "measured")
        else:
            twice = ("twice",) if often[label(fact.code, fact.negated)] > 1 else ()
            yield fact, opinion.told(fact.code, fact.negated, fact.span), (*sorts, *twice)


def _settled_groups(fact: Fact, facts: Sequence[Fact], says: Sequence[int]) -> Iterator[str]:
    """Groups of which a fact's words leave no doubt: "the owner says" who says so, "was two inches,
    now it's one" what is of now."""
    first, last = fact.span
    if fact.reporter is not Reporter.FARRIER and any(first <= at < last for at in says):
        yield "reporter"
    if fact.quantity and fact.comparison and not fact.historical:
        then = (f for f in facts if f.historical and f.quantity and f.code == fact.code)
        if any(f.feet == fact.feet for f in then):
            yield "historical"


def _weighed(
    fact: Fact, told: Told, sorts: Sequence[str], weights: Signs, settled: Collection[str]
) -> Fact:
    """The fact as the rules and the network together have it, marked where that is new."""

    def chance(signs: Signs) -> float:
        return weighed_chance(signs, weights)

    new = fact if fact.kind is FactKind.SCORE else on_feet(fact, told, sorts, chance)
    filled = fact
    for changed, silent in manner_changed(Weighed(fact, told, sorts, chance, settled)):
        if changed and silent:
            filled = replace(filled, **changed)
        new = replace(new, **changed)
    if new == fact or not flags_kept([fact], [new]):
        return fact
    return _marked(fact, new, sure=new == filled)


def _marked(fact: Fact, new: Fact, sure: bool) -> Fact:
    """The fact as it was weighed, with the rules' version one key away.

    Where the rules only were silent (``sure``), its chance alone says whether to look.
    """
    was, now = fact.to_dict(), new.to_dict()
    changes = {k: was.get(k) for k in ("feet", "foot_basis", *GROUPS) if was.get(k) != now.get(k)}
    told = [describe_feet(fact.feet) or "no foot"] if "feet" in changes else []
    told += [_in_words(k, was.get(k)) for k in changes if k not in ("feet", "foot_basis")]
    shown = ", ".join(told)
    new = replace(new, readings=(Reading(shown, changes), *fact.readings))
    return new if sure else outweighed(new, shown)


def _in_words(field: str, value: Any) -> str:
    """How the rules had it: ``doubtful``, ``not earlier``, ``the owner says so``."""
    if field == "reporter":
        return f"{value} says so" if value else "your own word"
    if field == "places":
        return ", ".join(words_for(place, "place") for place in value) if value else "no place"
    if field == "severity":
        return str(value) if value else "no severity"
    if field == "comparison":
        return str(value["trend"]).replace("_", " ") if value else "no comparison"
    name = {"uncertain": "doubtful", "historical": "earlier", "planned": "planned"}[field]
    return name if value else f"not {name}"
