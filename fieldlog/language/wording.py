"""Short plain wording for facts, used by screens and papers alike.

A disease word is never shown as a diagnosis: unsure ones read "suspected ...", reported ones say
who said so, and a bare one keeps the cautious label from the data file.
"""

from __future__ import annotations

import re
from functools import cache

from fieldlog.core.facts import Due, Fact, FactKind, FootBasis, Reporter, Trend
from fieldlog.core.feet import Foot
from fieldlog.core.feet import describe_feet as american_feet
from fieldlog.core.units import Quantity, Unit
from fieldlog.language.lexicon import find_item

DOT = " · "

TABLE = {
    FactKind.FINDING: "finding",
    FactKind.MEASUREMENT: "measure",
    FactKind.WORK: "work",
    FactKind.FOLLOW_UP: "followup",
    FactKind.HANDLING: "handling",
    FactKind.ADVICE: "advice",
    FactKind.SCORE: "score",
}
_TREND = {
    Trend.BETTER: "better",
    Trend.WORSE: "worse",
    Trend.SAME: "unchanged",
    Trend.LARGER: "larger",
    Trend.SMALLER: "smaller",
    Trend.NEW: "new",
    Trend.GONE: "gone",
    Trend.GROWING_OUT: "growing out",
}
_REPORTER = {Reporter.OWNER: "owner says", Reporter.VET: "vet says", Reporter.OTHER: "reported"}
_WHO = {"vet": "vet", "owner": "owner", "other": "somebody else"}
CAUTION = re.compile(r"\s*\((?:as reported or )?suspected\)|\s*\(veterinary\)")
_SCALES = {
    "aaep_0_5": "of 5 (AAEP)",
    "uk_0_10": "of 10 (UK)",
    "henneke_1_9": "of 9 (Henneke)",
    "bcs_0_5": "of 5 (UK condition score)",
    "obel_1_4": "(Obel)",
    "redden_1_4": "(Redden club foot)",
}
_NOT_SO = {
    "stood_well": "did not stand well",
    "would_not_stand": "did stand",
    "kicked": "did not kick",
    "bit": "did not bite",
    "reared": "did not rear",
    "pulled_back": "did not pull back",
    "leaned": "did not lean",
    "snatched": "did not snatch the foot away",
    "needs_two_people": "does not need two people",
    "lost_patience": "did not lose patience",
    "lands_flat": "does not land flat",
    "toe_first": "does not land toe first",
    "heel_first": "does not land heel first",
    "lands_uneven": "does not land on one side first",
    "not_weight_bearing": "bears weight",
    "will_not_rise": "rises",
    "better_shape": "does not look better",
    "shoe_loose": "shoe not loose",
    "shoe_sprung": "shoe not sprung or twisted",
    "shoe_worn": "shoe not worn",
    "pad_loose": "pad and packing in place",
    "nail_missing": "no nail missing",
    "worn_hoof": "hoof not worn down",
    "not_examined": "examined",
    "normal": "not right",
    "lameness": "sound",
    "drugs_none": "drugs given",
}
"""What is said instead of "no ..." where that would be no English."""
_NOT_BEFORE = frozenset(
    {"nervous", "green", "hard_to_pick_up", "held", "cross_tied", "sedated_by_vet", "sleepy"}
    | {"improving_manners", "tester_positive", "tester_negative", "overgrown", "toed_in"}
    | {"toed_out", "base_narrow", "base_wide", "short_strided", "shifting_weight", "sound"}
    | {"quick_nail"}
)
"""Labels that say how something is: "not sore to hoof testers"."""
_MANY = {
    Unit.MM: "millimetres",
    Unit.CM: "centimetres",
    Unit.M: "metres",
    Unit.INCH: "inches",
    Unit.FOOT: "feet",
    Unit.HAND: "hands",
    Unit.DEGREE: "degrees",
    Unit.KG: "kilograms",
    Unit.LB: "pounds",
    Unit.DAY: "days",
    Unit.WEEK: "weeks",
    Unit.MONTH: "months",
    Unit.PERCENT: "per cent",
}
_BRITISH_SETS = {
    frozenset({Foot.LF, Foot.RF}): "both fores",
    frozenset({Foot.LH, Foot.RH}): "both hinds",
    frozenset({Foot.LF, Foot.LH}): "both near feet",
    frozenset({Foot.RF, Foot.RH}): "both off feet",
}


@cache
def label(code: str, table: str = "") -> str:
    """Plain words for an id, e.g. ``toe length`` for ``toe_length``.

    Args:
        code: an id from the data files, or a place such as ``medial_quarter`` or ``clock_12``.
        table: ``finding``, ``work``, ``place``...; empty looks everywhere. Unknown ids are
            returned with their underscores as spaces.
    """
    if code.startswith("clock_"):
        return f"{code[6:]} o'clock"
    hit = find_item(code, table)
    if hit is not None:
        return hit.label
    side, _, region = code.partition("_")
    if side in ("medial", "lateral"):
        side_word = "inside" if side == "medial" else "outside"
        return f"{side_word} {label(region, 'place')}" if region else side_word
    return code.replace("_", " ")


def describe_feet(feet: tuple[Foot, ...], british: bool = False) -> str:
    """Plain words for a set of feet: ``left front``, or ``near fore`` if ``british``."""
    if not british:
        return american_feet(feet)
    if frozenset(feet) in _BRITISH_SETS:
        return _BRITISH_SETS[frozenset(feet)]
    if not feet or len(feet) == 4:
        return american_feet(feet)
    return " and ".join(foot.british for foot in Foot if foot in feet)


def describe_what(fact: Fact) -> str:
    """What a fact says, without its feet: ``no thrush``, ``suspected founder``, ``trim``.

    What is not of today says so, a job or a number as well as a finding: ``pad (earlier)``.
    """
    what = _what(fact)
    return f"{what} (earlier)" if fact.historical else what


def _what(fact: Fact) -> str:
    """The same without the time."""
    name = str(fact.details.get("text") or label(fact.code, TABLE.get(fact.kind, "")))
    plain = CAUTION.sub("", name)
    if fact.kind is FactKind.FINDING:
        if fact.negated:
            return _absent(fact, plain)
        if fact.uncertain:
            return f"suspected {plain}"
        of_others = fact.reporter is not Reporter.FARRIER or fact.historical
        return plain if of_others else name
    if fact.kind is FactKind.WORK:
        if fact.planned:
            return f"not planned: {plain}" if fact.negated else f"planned: {plain}"
        return f"not done: {plain}" if fact.negated else name
    if fact.negated:
        return _absent(fact, name)
    return f"{name}, perhaps" if fact.uncertain else name


def _absent(fact: Fact, plain: str) -> str:
    """``plain`` said not to be so: ``no thrush``, ``not sore to hoof testers``."""
    if not fact.details.get("text"):
        if fact.code in _NOT_SO:
            return _NOT_SO[fact.code]
        if fact.code in _NOT_BEFORE:
            return f"not {plain}"
    return f"no {plain}"


def unit_fits(unit: Unit) -> str:
    """Why a unit that was not spoken was taken: ``...; inches fit the size.``"""
    name = _MANY.get(unit, "")
    said = f"{name} fit" if name else f"a {unit.name.lower()} fits"
    return f"The unit was not spoken; {said} the size."


def describe_due(due: Due) -> str:
    """When something is due: ``in four weeks (2026-12-23)``."""
    words = due.spoken or due.anchor.replace("_", " ")
    if due.on is None:
        return words
    day = due.on.isoformat()
    if due.until is not None and due.until != due.on:
        day = f"{day} to {due.until.isoformat()}"
    if due.ambiguous:
        day = f"{day}?"
    return f"{words} ({day})" if words else day


def describe(fact: Fact, british: bool = False) -> str:
    """One short line for a fact, e.g. ``left front · toe length · 3 1/4 in``.

    Args:
        fact: the fact.
        british: near fore, off hind... instead of left front, right hind.
    """
    parts: list[str] = []
    if fact.feet:
        parts.append(describe_feet(fact.feet, british))
    elif fact.foot_basis is FootBasis.UNSTATED:
        parts.append("foot?")
    what = describe_what(fact)
    if fact.places:
        what = f"{what}, {' and '.join(label(place, 'place') for place in fact.places)}"
    parts.append(what)
    parts.extend(_particulars(fact))
    return DOT.join(parts)


def on_scale(quantity: Quantity, scale: str) -> str:
    """A value with the scale it is on, if any: ``4 of 5 (AAEP)``."""
    return f"{quantity.shown()} {_SCALES.get(scale, scale)}".strip()


def _particulars(fact: Fact) -> list[str]:
    out: list[str] = []
    if fact.quantity is not None:
        out.append(on_scale(fact.quantity, fact.details.get("scale", "")))
    if fact.details.get("scale_assumed"):
        out.append("the scale was not spoken")
    if fact.severity is not None:
        out.append(fact.severity.value)
    if fact.comparison is not None:
        trend = _TREND[fact.comparison.trend]
        if fact.comparison.trend in (Trend.NEW, Trend.GONE, Trend.GROWING_OUT):
            out.append(trend)
        elif fact.comparison.against == "last_visit":
            out.append(f"{trend} since last visit")
        else:
            joint = "as" if fact.comparison.trend is Trend.SAME else "than"
            word = "same" if joint == "as" else trend
            out.append(f"{word} {joint} {fact.comparison.against}")
    out.extend(_spoken_details(fact))
    if fact.reporter is not Reporter.FARRIER:
        out.append(_REPORTER[fact.reporter])
    if fact.kind is FactKind.FOLLOW_UP:
        who = _WHO.get(fact.details.get("who", ""), fact.details.get("who", ""))
        if who and who != "farrier":
            out.append(f"by {who}")
    if fact.due is not None:
        out.append(describe_due(fact.due))
    if fact.details.get("condition"):
        out.append(str(fact.details["condition"]))
    return [part for part in out if part]


def _spoken_details(fact: Fact) -> list[str]:
    details = fact.details
    out: list[str] = []
    if details.get("size"):
        out.append(f"size {details['size']}")
    if details.get("clips"):
        out.append(f"{details['clips']} clips")
    count, nails = details.get("nail_count", ""), details.get("nails", "")
    if count or nails:
        out.append(f"{count} {nails} nails".replace("  ", " ").strip())
    for key in ("product", "material", "extent", "repeatable", "strikes", "gait", "what", "to"):
        if details.get(key):
            prefix = {"strikes": "strikes ", "to": "to "}.get(key, "")
            word = "repeatable" if key == "repeatable" else f"{prefix}{details[key]}"
            out.append(word)
    if details.get("about"):
        out.append(CAUTION.sub("", label(details["about"])))
    if details.get("alternative"):
        out.append(f"or {CAUTION.sub('', label(details['alternative'], 'finding'))}")
    if details.get("reason"):
        out.append(f"because {label(details['reason'], 'handling')}")
    return out
