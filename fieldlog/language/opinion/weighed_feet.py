"""The feet of a fact, weighed between rules and network."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache

from fieldlog.core.facts import Fact, FactKind, FootBasis
from fieldlog.core.feet import ALL_FEET, FRONTS, HINDS, Foot
from fieldlog.language.corrections.swaps import SWAPPED
from fieldlog.language.feet.closing_pairs import NAMED_BEHIND
from fieldlog.language.feet.tracker import OF_ALL
from fieldlog.language.opinion.gist import words_of
from fieldlog.language.opinion.gist_marks import FOOT_HEARD
from fieldlog.language.opinion.heard import Opinion, Span
from fieldlog.language.opinion.logit import Signs, log_odds
from fieldlog.language.opinion.weighed_parts import AGAINST, EDGE, ON_A_FOOT, Told

AT_NUMBER = 0.55
"""The same for the foot of a number, at whose very words the network has learnt to tell it."""
ALL_FOUR = 0.8
"""Chance from which a pair that the rules have becomes all four feet."""
LED = "led"
"""The sort of a finding whose words begin with its foot."""
_GAVE_WAY = frozenset({"foot_unstated", "foot_assumed"})


def on_feet(fact: Fact, told: Told, sorts: Sequence[str], chance: Callable[[Signs], float]) -> Fact:
    if fact.foot_basis is FootBasis.SAID and _named_roundabout(fact):
        return fact
    against = AT_NUMBER if "measured" in sorts else AGAINST
    chances = {foot: chance(foot_signs(fact, told, foot, sorts)) for foot in ALL_FEET}
    feet = tuple(
        foot for foot in ALL_FEET if chances[foot] > (1 - against if foot in fact.feet else against)
    )
    if set(feet) == set(fact.feet) or (not feet and fact.kind in ON_A_FOOT):
        return fact
    if not fact.feet and fact.kind is FactKind.FOLLOW_UP:
        return fact  # without stops the foot in hand seems to be of the promise behind it
    # Nobody names three feet by chance, and a number that was read off one foot is of that foot.
    of_one = fact.kind is FactKind.MEASUREMENT and fact.feet and len(feet) > len(fact.feet)
    if len(feet) == 3 or of_one or _widened(fact, feet, chances):
        return fact
    if LED in sorts and len(feet) == 4:
        return fact
    if fact.why_foot == OF_ALL and len(feet) == 2 and feet not in (FRONTS, HINDS):
        return fact  # nobody trims a near fore and an off hind
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
