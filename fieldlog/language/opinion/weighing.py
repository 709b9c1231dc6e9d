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
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from types import MappingProxyType
from typing import Any

from fieldlog.core.facts import (
    Comparison,
    Fact,
    FactKind,
    FootBasis,
    Reading,
    Reporter,
    Severity,
    SpokenCorrection,
    Trend,
)
from fieldlog.core.feet import ALL_FEET, Foot
from fieldlog.language.corrections.swaps import SWAPPED
from fieldlog.language.feet.closing_pairs import NAMED_BEHIND
from fieldlog.language.lexicon import find_item, items, read_data
from fieldlog.language.opinion.gist import Opinion, Span, as_told, label, told_with, words_of
from fieldlog.language.opinion.gist_facts import flags_kept, near_correction, outweighed
from fieldlog.language.opinion.gist_marks import FOOT_HEARD
from fieldlog.language.opinion.logit import Signs, log_odds, weighed_chance
from fieldlog.language.wording import describe_feet
from fieldlog.language.wording import label as words_for

GROUPS: dict[str, tuple[str, ...]] = {
    "uncertain": ("@uncertain",),
    "historical": ("@historical",),
    "planned": ("@planned",),
    "reporter": tuple(f"@{r.value}" for r in Reporter if r is not Reporter.FARRIER),
    "severity": tuple(f"@{severity.value}" for severity in Severity),
    "comparison": tuple(f"@{trend.value}" for trend in Trend),
    "places": ("@medial", "@lateral", *(f"@at_{item.id}" for item in items("places"))),
}
"""What is weighed beside the feet, and the network's names for it."""
FILLED = frozenset({"severity", "comparison", "places"})
"""Groups on which the rules are often silent where something was said."""
_OF_SUSPICION = frozenset({"uncertain", "historical", "planned", "reporter"})
"""What is not weighed of a word for a disease: it is a suspicion or somebody's report."""
AGAINST = 0.55
"""Chance from which the rules' word gives way: in plain talk they are seldom wrong."""
AT_NUMBER = 0.55
"""The same for the foot of a number, at whose very words the network has learnt to tell it."""
ALL_FOUR = 0.8
"""Chance from which a pair that the rules have becomes all four feet."""
SILENT = 0.6
"""Chance from which a place, a severity or a comparison is told where the rules have none."""
PLAINLY = 0.65
"""Chance against a place, a severity or a comparison that the rules have, from which it goes: it
was mostly said in so many words."""
WITH_SIDE = 0.35
"""Chance from which a part is told with the side of which it was not quite heard."""
SIDE = 0.3
"""Chance from which a side is told with a part that has two; both, if both have it."""
TWO_SIDED = frozenset({
    "@at_quarter", "@at_heel", "@at_bar", "@at_collateral_sulcus", "@at_heel_bulb",
})  # fmt: skip
QUIET = 0.2
"""Chance below which what the network hears of a manner that no rule tells is not weighed."""
EDGE = 0.01
"""Chances beyond it are all alike."""
LED = "led"
"""The sort of a finding whose words begin with its foot."""
_ON_A_FOOT = frozenset({FactKind.FINDING, FactKind.MEASUREMENT, FactKind.WORK})
"""Kinds of fact that are not taken off every foot."""
Told = Mapping[str, float]
_SAYS = frozenset({
    "says", "said", "say", "reckons", "reckoned", "reckon", "thinks", "thought", "told", "tells",
    "swears", "reports", "reported", "noticed", "rang", "claims", "calls", "called",
})  # fmt: skip
"""Words of a fact that name who says it."""
_NONE: Mapping[str, Span] = MappingProxyType({})
_NOT_WEIGHED = frozenset({FactKind.NOTE})
_GAVE_WAY = frozenset({"foot_unstated", "foot_assumed"})


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
            told_by = any(fact.span[0] <= at < fact.span[1] for at in says)
            if led_by_its_foot(fact, opinion):
                sorts = (*sorts, LED)
            fact = _settled(fact, told, sorts, weights, told_by)
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


def told_of(fact: dict[str, Any]) -> set[str]:
    """``told_with``'s names, without a place that the code names already."""
    return {
        name
        for name in told_with(fact)
        if not name.startswith("@at_") or name.removeprefix("@at_") not in fact["code"]
    }


def _settled(fact: Fact, told: Told, sorts: Sequence[str], weights: Signs, told_by: bool) -> Fact:
    def chance(signs: Signs) -> float:
        return weighed_chance(signs, weights)

    new = fact if fact.kind is FactKind.SCORE else _on_feet(fact, told, sorts, chance)
    mine, disease = told_of(as_told(fact)), _disease(fact)
    filled = fact
    at_issue = mine.union(name for name, heard in told.items() if heard >= QUIET)
    for group, names in GROUPS.items():
        if at_issue.isdisjoint(names):
            continue
        own = mine.intersection(names)
        if (disease and group in _OF_SUSPICION) or not _weighs(fact, group):
            continue
        if own and fact.code == "change" and group in ("places", "comparison"):
            continue  # it tells of nothing else: "toes shorter than last time"
        if own and group == "reporter" and told_by:
            continue  # "the owner says" leaves no doubt who says so
        if own and group in FILLED and "twice" in sorts:
            continue  # which of two is worse than last time, the words beside it tell
        silent = group in FILLED and not own
        least = SILENT if silent else AGAINST
        own_least = 1 - (PLAINLY if group in FILLED else AGAINST)
        kept, near = {}, {}
        for name in names:
            if name in at_issue and name in told and _says(fact, name):
                so = chance(manner_signs(told, group, name, mine, manner_sorts(fact, sorts)))
                if so > (own_least if name in own else least):
                    kept[name] = so
                else:
                    near[name] = so
        if group == "places" and kept:
            kept |= _belonging(kept, near)
        if kept.keys() == own.intersection(told):
            continue
        changed = _manner(fact, group, kept)
        if changed and silent:
            filled = replace(filled, **changed)
        new = replace(new, **changed)
    if new == fact or not flags_kept([fact], [new]):
        return fact
    return _marked(fact, new, sure=new == filled)


def _belonging(kept: Mapping[str, float], near: Mapping[str, float]) -> dict[str, float]:
    """What of the names that were not quite heard belongs to those that were.

    A side is seldom told of no part, nor a quarter of no side.
    """
    sides = [name for name in kept if not name.startswith("@at_")]
    parts = [name for name in kept if name.startswith("@at_")]
    if sides and not parts:
        best = max((n for n in near if n.startswith("@at_")), key=near.__getitem__, default="")
        return {best: near[best]} if best and near[best] >= WITH_SIDE else {}
    if parts and not sides and set(parts) & TWO_SIDED:
        both = {n: near[n] for n in near if not n.startswith("@at_")}
        if len(both) == 2 and min(both.values()) >= SIDE:
            return both
        best = max(both, key=both.__getitem__, default="")
        return {best: both[best]} if best and both[best] >= SIDE else {}
    return {}


def _weighs(fact: Fact, group: str) -> bool:
    """Whether the group is weighed of this fact: not what it compares with another foot, and of a
    score only who gave it."""
    if fact.kind is FactKind.SCORE:
        return group == "reporter"  # its number and its foot were said at once
    if group == "comparison":
        return fact.comparison is None or fact.comparison.against == "last_visit"
    if group == "places" and any(place.startswith("clock_") for place in fact.places):
        return False  # the network knows no hours
    return group not in ("places", "severity") or fact.kind in _ON_A_FOOT


def _says(fact: Fact, name: str) -> bool:
    """Whether the name can be told of the fact: gone is what is not there."""
    if name == f"@{Trend.GONE.value}":
        return fact.negated
    return name.removeprefix("@at_") not in fact.code if name.startswith("@at_") else True


def manner_sorts(fact: Fact, sorts: Sequence[str]) -> tuple[str, ...]:
    """The sorts that count for its manner: also whether it is denied."""
    return (*sorts, "denied") if fact.negated else tuple(sorts)


def _on_feet(
    fact: Fact, told: Told, sorts: Sequence[str], chance: Callable[[Signs], float]
) -> Fact:
    if fact.foot_basis is FootBasis.SAID and _named_roundabout(fact):
        return fact
    against = AT_NUMBER if "measured" in sorts else AGAINST
    chances = {foot: chance(foot_signs(fact, told, foot, sorts)) for foot in ALL_FEET}
    feet = tuple(
        foot for foot in ALL_FEET if chances[foot] > (1 - against if foot in fact.feet else against)
    )
    if set(feet) == set(fact.feet) or (not feet and fact.kind in _ON_A_FOOT):
        return fact
    if not fact.feet and fact.kind is FactKind.FOLLOW_UP:
        return fact  # without stops the foot in hand seems to be of the promise behind it
    # Nobody names three feet by chance, and a number that was read off one foot is of that foot.
    of_one = fact.kind is FactKind.MEASUREMENT and fact.feet and len(feet) > len(fact.feet)
    if len(feet) == 3 or of_one or _widened(fact, feet, chances):
        return fact
    if LED in sorts and len(feet) == 4:
        return fact
    return replace(
        fact,
        feet=feet,
        foot_basis=FootBasis.HEARD if feet else FootBasis.WHOLE_HORSE,
        doubts=tuple(d for d in fact.doubts if d.code not in _GAVE_WAY),
        why_foot=FOOT_HEARD if feet else "",
    )


def _named_roundabout(fact: Fact) -> bool:
    """Whether the feet were named in a way that the network seldom hears: three feet by one name
    ("all but the left hind"), "that's the hinds" behind their sides, "flip that"."""
    if fact.why_foot == SWAPPED or fact.why_foot.endswith(NAMED_BEHIND):
        return True
    return len(fact.feet) == 3 and fact.why_foot.count("“") == 1


def foot_named(fact: Fact) -> list[str]:
    """The words that its foot was named with, as the network reads them."""
    named = fact.why_foot.partition("“")[2].partition("”")[0]
    return [word for word, _, _ in words_of(named)]


def led_by_its_foot(fact: Fact, opinion: Opinion) -> bool:
    """Whether a finding's words begin with its one foot: "right hind thrush all four trimmed".

    In short notes the network then takes the feet of the job behind it for the finding's too. Of
    900 notes' findings that it rightly told of all four feet for one, none began so.
    """
    if fact.kind is not FactKind.FINDING or fact.foot_basis is not FootBasis.SAID:
        return False
    name = foot_named(fact)
    if len(fact.feet) != 1 or not name:
        return False
    led = [word for word, first, _ in opinion.words if first >= fact.span[0]][: len(name)]
    return led == name or _ends_with(name, fact.span, opinion)


def _ends_with(name: list[str], span: Span, opinion: Opinion) -> bool:
    """Whether a finding and its foot are a clause: "thrush right hind. All trimmed"."""
    own = [word for word, first, last in opinion.words if span[0] <= first and last <= span[1]]
    behind = [word for word, first, _ in opinion.words if first >= span[1]][:1]
    clause = len(own) <= _CLAUSE and not {".", ","} & {*own} and behind in ([], ["."])
    before = [word for word, _, last in opinion.words if last <= span[0]][-1:]
    return clause and before in ([], ["."]) and own[-len(name) :] == name


_CLAUSE = 6
"""Words of such a clause at most."""


def _widened(fact: Fact, feet: Sequence[Foot], chances: Mapping[Foot, float]) -> bool:
    """Whether a pair that the rules have becomes all four on less than a plain hearing."""
    more = [chances[foot] for foot in feet if foot not in fact.feet]
    return len(feet) == 4 and len(fact.feet) == 2 and min(more) < ALL_FOUR


def _manner(fact: Fact, group: str, kept: Mapping[str, float]) -> dict[str, Any]:
    """What the fact gets of a group; nothing where that cannot be told."""
    best = max(kept, key=kept.__getitem__, default="").removeprefix("@")
    if group == "reporter":
        return {"reporter": Reporter(best or Reporter.FARRIER.value)}
    if group == "severity":
        return {"severity": Severity(best) if best else None}
    if group == "comparison":
        return {"comparison": Comparison(Trend(best)) if best else None}
    if group == "places":
        return _placed(fact, kept)
    return {group: bool(best)}


def _placed(fact: Fact, kept: Mapping[str, float]) -> dict[str, Any]:
    """The places of the names that are kept; no more than one side and two parts are told apart."""
    parts = [name.removeprefix("@at_") for name in kept if name.startswith("@at_")]
    sides = [name.removeprefix("@") for name in kept if not name.startswith("@at_")]
    if len(parts) > 2 or (len(sides) > 1 and len(parts) != 1):
        return {}
    named = tuple(p for p in fact.places if p.split("_", 1)[-1] in fact.code and not sides)
    if sides:
        return {"places": tuple(f"{side}_{part}" for side in sides for part in parts or ["wall"])}
    return {"places": (*named, *(part for part in parts if part not in named))}


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


def foot_signs(fact: Fact, told: Told, foot: Foot, sorts: Sequence[str]) -> Signs:
    """The numbers that the chance of a foot is made of."""
    named, mate = float(foot in fact.feet), foot.mate
    heard = log_odds(told[f"@{foot.value}"], EDGE)
    mate_heard = log_odds(told[f"@{mate.value}"], EDGE)
    numbers = (1.0, named, heard, heard * named, mate_heard, float(mate in fact.feet))
    names = _foot_sign_names((fact.foot_basis.value, *sorts), len(fact.feet))
    return {name: numbers[at] for name, at in names}


@lru_cache(maxsize=256)
def _foot_sign_names(kinds: tuple[str, ...], feet: int) -> tuple[tuple[str, int], ...]:
    """The names of ``foot_signs``, each with which of its six numbers it stands for.

    Args:
        kinds: how the feet came to be known, and the sorts of the fact.
        feet: how many it has.
    """
    always, named, heard, both, mate_heard, mate_named = range(6)
    out = [("feet", always), ("feet:named", named), ("feet:heard", heard), ("feet:both", both)]
    for kind in kinds:
        out.append((f"feet:{kind}", always))
        out += [(f"feet:{kind}:named", named), (f"feet:{kind}:heard", heard)]
    out.append((f"feet:of_{feet}", named if feet else always))
    return (*out, ("feet:mate:heard", mate_heard), ("feet:mate:named", mate_named))


def manner_signs(told: Told, group: str, name: str, mine: set[str], sorts: Sequence[str]) -> Signs:
    """The numbers that the chance of a manner is made of.

    Args:
        told: how the network hears the fact told.
        group: one of ``GROUPS``.
        name: one of its names.
        mine: the names of how the rules have it.
        sorts: what sort of fact it is.
    """
    said, heard = float(name in mine), log_odds(told[name], EDGE)
    others = [other for other in GROUPS[group] if other != name and other in told]
    loudest = max((told[other] for other in others), default=0.5)
    signs = {
        "": 1.0, ":said": said, ":heard": heard, ":both": heard * said,
        ":other_said": float(any(other in mine for other in others)),
        ":other_heard": log_odds(loudest, EDGE),
    }  # fmt: skip
    for sort in sorts:
        signs |= {f":{sort}": 1.0, f":{sort}:said": said, f":{sort}:heard": heard}
    return {group + sign: value for sign, value in signs.items()}


def _disease(fact: Fact) -> bool:
    """Whether it is a word for a disease, which is a suspicion or somebody's report in any case."""
    item = find_item(fact.code, "finding") if fact.kind is FactKind.FINDING else None
    return item is not None and item.disease
