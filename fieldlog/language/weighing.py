"""Feet and manner, weighed: what the rules say of a fact against what the network hears.

For each foot the chance that the fact is of it is made of both (weights in ``data/weighing.toml``,
fitted by ``models/confidence/weigh.py`` on notes that neither had learnt from); likewise whether
it is doubtful, of earlier, planned, and who says so. Where the chance goes against the rules, the
fact follows it, is marked for a look, and keeps the rules' version one key away. Nothing that calls
for a veterinarian is weighed away.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from typing import Any

from fieldlog.core.facts import (
    Fact,
    FactKind,
    FootBasis,
    Reading,
    Reporter,
    SpokenCorrection,
)
from fieldlog.core.feet import Foot
from fieldlog.core.redflags import red_flags
from fieldlog.language.gist import Opinion, label, told_with
from fieldlog.language.gist_facts import near_correction
from fieldlog.language.lexicon import find_item, read_data
from fieldlog.language.logit import log_odds, logistic
from fieldlog.language.wording import describe_feet

GROUPS: dict[str, tuple[str, ...]] = {
    "uncertain": ("@uncertain",),
    "historical": ("@historical",),
    "planned": ("@planned",),
    "reporter": tuple(f"@{r.value}" for r in Reporter if r is not Reporter.FARRIER),
}
"""What is weighed beside the feet, and the network's names for it."""
AGAINST = 0.65
"""Chance from which the rules' word gives way: in plain talk they are seldom wrong."""
QUIET = 0.2
"""Chance below which what the network hears of a manner that no rule tells is not weighed."""
EDGE = 0.01
"""Chances beyond it are all alike."""
_ON_A_FOOT = frozenset({FactKind.FINDING, FactKind.MEASUREMENT, FactKind.WORK})
"""Kinds of fact that are not taken off every foot."""
_SAYS = frozenset({
    "says", "said", "say", "reckons", "reckoned", "reckon", "thinks", "thought", "told", "tells",
    "swears", "reports", "reported", "noticed", "rang", "claims", "calls", "called",
})  # fmt: skip
"""Words of a fact that name who says it."""
_NOT_WEIGHED = frozenset({FactKind.NOTE, FactKind.SCORE})
_GAVE_WAY = frozenset({"foot_unstated", "foot_assumed"})

Signs = dict[str, float]


def weighed(
    facts: Sequence[Fact], opinion: Opinion, corrections: Sequence[SpokenCorrection] = ()
) -> list[Fact]:
    """The facts, each told as the rules and the network together have it.

    Only a fact whose code is told once is weighed: of two the network cannot say which is which.
    """
    weights: Signs = read_data("weighing").get("weight", {})
    if not weights:
        return list(facts)
    says = [first for word, first, _ in opinion.words if word in _SAYS]
    out = []
    for fact, told in weighable(facts, opinion):
        if told and not near_correction(fact.span, corrections):
            told_by = any(fact.span[0] <= at < fact.span[1] for at in says)
            fact = _settled(fact, told, weights, told_by)
        out.append(fact)
    return out


def weighable(facts: Sequence[Fact], opinion: Opinion) -> Iterator[tuple[Fact, dict[str, float]]]:
    """Each fact with how the network hears it told; nothing where that cannot be weighed."""
    often = Counter(label(f.code, f.negated) for f in facts)
    for fact in facts:
        once = often[label(fact.code, fact.negated)] == 1
        if not once or fact.rule.startswith("personal") or fact.kind in _NOT_WEIGHED:
            yield fact, {}
        else:
            yield fact, opinion.told(fact.code, fact.negated, fact.span)


def _settled(fact: Fact, told: dict[str, float], weights: Signs, told_by: bool) -> Fact:
    def chance(signs: Signs) -> float:
        return logistic(sum(weights.get(name, 0.0) * value for name, value in signs.items()))

    new = _on_feet(fact, told, chance)
    mine = set(told_with(fact.to_dict()))
    for group, names in () if _disease(fact) else GROUPS.items():
        if group == "reporter" and told_by and not mine.isdisjoint(names):
            continue  # "the owner says" leaves no doubt who says so
        heard = [name for name in names if name in mine or told.get(name, 0.0) >= QUIET]
        so = {
            name: chance(manner_signs(fact, told, group, name, mine))
            for name in heard
            if name in told
        }
        kept = {n for n, c in so.items() if c > (1 - AGAINST if n in mine else AGAINST)}
        if kept != {name for name in so if name in mine}:
            best = max(kept, key=so.__getitem__, default="")
            new = replace(new, **_manner(group, best.removeprefix("@")))
    if new == fact or (red_flags([fact]) and not red_flags([new])):
        return fact
    return _marked(fact, new)


def _on_feet(fact: Fact, told: dict[str, float], chance: Callable[[Signs], float]) -> Fact:
    feet = tuple(
        foot
        for foot in Foot
        if chance(foot_signs(fact, told, foot)) > (1 - AGAINST if foot in fact.feet else AGAINST)
    )
    if set(feet) == set(fact.feet) or (not feet and fact.kind in _ON_A_FOOT):
        return fact
    # Nobody names three feet by chance, and a number that was read off one foot is of that foot.
    of_one = fact.kind is FactKind.MEASUREMENT and fact.feet and len(feet) > len(fact.feet)
    if len(feet) == 3 or of_one:
        return fact
    return replace(
        fact,
        feet=feet,
        foot_basis=FootBasis.HEARD if feet else FootBasis.WHOLE_HORSE,
        doubts=tuple(d for d in fact.doubts if d.code not in _GAVE_WAY),
        why_foot="A second opinion on the words hears this foot." if feet else "",
    )


def _manner(group: str, best: str) -> dict[str, Any]:
    if group == "reporter":
        return {"reporter": Reporter(best or Reporter.FARRIER.value)}
    return {group: bool(best)}


def _marked(fact: Fact, new: Fact) -> Fact:
    """The fact as it was weighed, with the rules' version one key away."""
    was, now = fact.to_dict(), new.to_dict()
    told_of = ("feet", "foot_basis", *GROUPS)
    changes = {k: was.get(k) for k in told_of if was.get(k) != now.get(k)}
    told = [describe_feet(fact.feet) or "no foot"] if "feet" in changes else []
    told += [_in_words(k, was.get(k)) for k in changes if k not in ("feet", "foot_basis")]
    shown = ", ".join(told)
    new = replace(new, readings=(Reading(shown, changes), *fact.readings))
    return new.with_doubt(
        "second_opinion", f"The rules say: {shown}. A second opinion outweighs them."
    )


def _in_words(field: str, value: Any) -> str:
    """How the rules had it: ``doubtful``, ``not earlier``, ``the owner says so``."""
    if field == "reporter":
        return f"{value} says so" if value else "your own word"
    name = {"uncertain": "doubtful", "historical": "earlier", "planned": "planned"}[field]
    return name if value else f"not {name}"


def foot_signs(fact: Fact, told: dict[str, float], foot: Foot) -> Signs:
    """The numbers that the chance of a foot is made of."""
    named = float(foot in fact.feet)
    heard = log_odds(told[f"@{foot.value}"], EDGE)
    out = {"feet": 1.0, "feet:named": named, "feet:heard": heard, "feet:both": heard * named}
    for kind in (fact.foot_basis.value, *(("candidate",) if _candidate(fact) else ())):
        out |= {f"feet:{kind}": 1.0, f"feet:{kind}:named": named, f"feet:{kind}:heard": heard}
    out[f"feet:of_{len(fact.feet)}"] = named if fact.feet else 1.0
    out["feet:mate:heard"] = log_odds(told[f"@{foot.mate.value}"], EDGE)
    out["feet:mate:named"] = float(foot.mate in fact.feet)
    return out


def manner_signs(
    fact: Fact, told: dict[str, float], group: str, name: str, mine: set[str]
) -> Signs:
    """The numbers that the chance of a manner is made of.

    Args:
        fact: the fact.
        told: how the network hears it told.
        group: one of ``GROUPS``.
        name: one of its names.
        mine: the names of how the rules have it.
    """
    said, heard = float(name in mine), log_odds(told[name], EDGE)
    others = [other for other in GROUPS[group] if other != name and other in told]
    loudest = max((told[other] for other in others), default=0.5)
    signs = {
        "": 1.0, ":said": said, ":heard": heard, ":both": heard * said,
        ":other_said": float(any(other in mine for other in others)),
        ":other_heard": log_odds(loudest, EDGE),
        ":denied": float(fact.negated), ":denied:said": float(fact.negated) * said,
    }  # fmt: skip
    if _candidate(fact):
        signs |= {":candidate": 1.0, ":candidate:said": said, ":candidate:heard": heard}
    return {group + sign: value for sign, value in signs.items()}


def _disease(fact: Fact) -> bool:
    """Whether it is a word for a disease, which is a suspicion or somebody's report in any case."""
    item = find_item(fact.code, "finding") if fact.kind is FactKind.FINDING else None
    return item is not None and bool(item.more.get("disease"))


def _candidate(fact: Fact) -> bool:
    return fact.rule.startswith("gist")
