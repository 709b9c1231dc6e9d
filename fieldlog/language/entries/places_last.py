"""Where the thing before was, told once more: what is done to it, or seen at it.

"Flare on the outside of the near hind. Dressed it", "soft place at the toe, sore": where neither
rules nor network found a place, the second thing is where the first one is, unless the network
hears nothing of the kind there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fieldlog.core.facts import Fact, FactKind
from fieldlog.language.opinion.heard import Opinion
from fieldlog.language.opinion.labels import told_with

_HEARD = 0.1
"""Chance from which the network leaves the place standing."""
_BACK = 2
"""Most facts between the two."""
_FAR = 90
"""Most characters between the two."""
_ANY = frozenset({"*"})
_OPEN = frozenset({"abscess", "abscess_track", "wound", "soft_spot", "thrush", "discharge",
                   "skin_sores", "penetrating_object", "deep_sulcus"})  # fmt: skip
_FROM = {
    "dress_flare": frozenset({"flare"}),
    "pare_bar": frozenset({"folded_bar"}),
    "float_heel": frozenset({"sheared_heel", "heel_crack"}),
    "lower_heel": frozenset({"high_heel", "sheared_heel", "imbalance"}),
    "pare_sole": frozenset({"corn", "retained_sole"}),
    "seal": frozenset({"wall_broken"}),
    "heat": frozenset({"swelling"}),
    "wound": frozenset({"overreach", "interference", "scar", "rub", "proud_flesh"}),
    "sore": _ANY, "hollow": _ANY, "depth": _ANY, "bad_smell": _OPEN, "bleeding": _OPEN,
    "discharge": _OPEN, "thrush": frozenset({"deep_sulcus", "bad_smell"}),
    "deep_sulcus": frozenset({"thrush"}), "treat": frozenset({"bad_smell", "wound"}),
}  # fmt: skip
"""By code: what it is seen at or done to, most often at the very same place."""
_DENIED = frozenset({"heat", "wound", "bad_smell", "swelling"})
"""What is looked for at the same place and denied there."""
_PLACED = frozenset({FactKind.FINDING, FactKind.MEASUREMENT})


def with_last_places(facts: Sequence[Fact], opinion: Opinion) -> list[Fact]:
    """The facts; one without a place has that of what it is told of."""
    order = sorted(facts, key=lambda fact: fact.span)
    new: dict[str, Fact] = {}
    for at, fact in enumerate(order):
        if fact.places or fact.code not in _FROM or (fact.negated and fact.code not in _DENIED):
            continue
        for before in reversed(order[max(0, at - _BACK) : at]):
            before = new.get(before.id, before)
            told = before.places and before.kind in _PLACED and not before.negated
            if not told or before.feet != fact.feet or fact.span[0] - before.span[1] > _FAR:
                continue
            places = tuple(place for place in before.places if place not in fact.code)
            known = _FROM[fact.code] is _ANY or before.code in _FROM[fact.code]
            if known and places and _heard(fact, places, opinion):
                new[fact.id] = replace(fact, places=places)
            break
    return [new.get(fact.id, fact) for fact in facts]


def _heard(fact: Fact, places: Sequence[str], opinion: Opinion) -> bool:
    told = opinion.told(fact.code, fact.negated, fact.span)
    names = [name for name in told_with({"places": list(places)}) if name in told]
    return bool(names) and min(told[name] for name in names) >= _HEARD
