"""Signs that call for a veterinarian, from published guidance; the farrier only reports them.

Local law and codes of practice come first. A red flag names what was seen, who should be called
and how soon; it never says what the horse has.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import StrEnum

from fieldlog.core.facts import Fact, FactKind, Severity

NEWC = "NEWC equine compendium 2005, as reproduced at thrumsvet.co.uk"
PUNCTURE = "Morton, University of Florida Large Animal Hospital, 12 Dec 2012"
LAMINITIS = "EQUUS, 1 Apr 2017 and 27 Mar 2015"
CORN = "Lungwitz, Text-book of Horseshoeing"
ABSCESS = "americanfarriers.com/articles/7019"

DEFER = "Local law and practice come first; only a veterinarian diagnoses."


class Urgency(StrEnum):
    """How soon the veterinarian should know."""

    NOW = "now"
    WITHIN_48_H = "within 48 hours"


@dataclass(frozen=True, slots=True)
class RedFlag:
    """One reason to call a veterinarian."""

    code: str
    text: str
    """For the top of the entry."""
    source: str
    fact_ids: tuple[str, ...]
    urgency: Urgency = Urgency.NOW


@dataclass(frozen=True, slots=True)
class _Rule:
    """What one flag says, and which single fact raises it."""

    code: str
    text: str
    source: str
    fits: Callable[[Fact], bool]
    urgency: Urgency = Urgency.NOW

    def raised_by(self, facts: Iterable[Fact]) -> RedFlag:
        return RedFlag(self.code, self.told, self.source, tuple(f.id for f in facts), self.urgency)

    @property
    def told(self) -> str:
        """The sentence, with what always comes first."""
        return f"{self.text} {DEFER}"


def _any_of(*codes: str) -> Callable[[Fact], bool]:
    return lambda fact: fact.code in codes


def _bad(code: str) -> Callable[[Fact], bool]:
    """The finding, unless it was called mild."""
    return lambda fact: fact.code == code and fact.severity is not Severity.MILD


def _deep_wound(fact: Fact) -> bool:
    deep = "deep" in fact.details.get("extent", "") or "deep" in fact.details.get("depth", "")
    return fact.code == "wound" and (deep or fact.severity is Severity.SEVERE)


def _lame(fact: Fact, grade: float, scale: str) -> bool:
    quantity = fact.quantity
    return (
        fact.kind is FactKind.SCORE
        and fact.code == "lameness"
        and quantity is not None
        and fact.details.get("scale", "aaep_0_5") == scale
        and max(quantity.value, quantity.high or 0) >= grade
    )


def _minimal_weight(fact: Fact) -> bool:
    """AAEP 5 and UK 10 are the grades of (nearly) no weight bearing."""
    return _lame(fact, 5, "aaep_0_5") or _lame(fact, 10, "uk_0_10")


def _marked_lameness(fact: Fact) -> bool:
    """AAEP 4 is obvious at a walk; UK 7 to 10 is severe."""
    return (_lame(fact, 4, "aaep_0_5") or _lame(fact, 7, "uk_0_10")) and not _minimal_weight(fact)


_RULES = (
    _Rule(
        "penetrating_object",
        "Call a veterinarian now: something has gone into the foot. Do not let the horse walk, and "
        "leave the object in if the veterinarian can come promptly; if it must come out, mark the "
        "spot.",
        PUNCTURE,
        _any_of("penetrating_object"),
    ),
    _Rule(
        "not_weight_bearing",
        "Call a veterinarian now: the horse will not bear weight.",
        NEWC,
        lambda f: f.code == "not_weight_bearing" or _minimal_weight(f),
    ),
    _Rule(
        "laminitis_signs",
        "Call a veterinarian now: signs that may be laminitis. Do not walk the horse.",
        LAMINITIS,
        _any_of(
            "laminitis", "founder", "bounding_pulse", "shifting_weight", "will_not_rise",
            "rotation", "sinking",
        ),
    ),
    _Rule(
        "will_not_rise",
        "Call a veterinarian now: the horse will not or cannot rise.",
        NEWC,
        _any_of("will_not_rise"),
    ),
    _Rule(
        "fracture",
        "Call a veterinarian now: a fracture is feared. Do not walk the horse.",
        "common practice, no source",
        _any_of("fracture"),
    ),
    _Rule("deep_wound", "Call a veterinarian now: a deep wound.", NEWC, _deep_wound),
    _Rule(
        "severe_bleeding",
        "Call a veterinarian now: heavy bleeding.",
        NEWC,
        lambda f: f.code == "bleeding" and f.severity is Severity.SEVERE,
    ),
    _Rule(
        "discharge",
        "Call a veterinarian: pus or discharge from the foot. Opening sensitive tissue is "
        "veterinary work.",
        f"{CORN}; {ABSCESS}",
        _bad("discharge"),
        Urgency.WITHIN_48_H,
    ),
    _Rule(
        "abscess",
        "Tell a veterinarian: this may be an abscess. Opening sensitive tissue is veterinary work.",
        ABSCESS,
        _any_of("abscess"),
        Urgency.WITHIN_48_H,
    ),
    _Rule(
        "marked_lameness",
        "Call a veterinarian: lameness that is plain at the walk, within 48 hours if it does not "
        "ease.",
        NEWC,
        _marked_lameness,
        Urgency.WITHIN_48_H,
    ),
    _Rule(
        "canker",
        "Tell a veterinarian: growth that looks like canker.",
        "O'Grady 2018, equipodiatry.com/news/9",
        _any_of("canker"),
        Urgency.WITHIN_48_H,
    ),
)  # fmt: skip


_BY_CODE = {rule.code: rule for rule in _RULES}


def red_flags(facts: Iterable[Fact]) -> list[RedFlag]:
    """Flags raised by facts that are about today, the most urgent first.

    What was denied ("no heat"), or is history, or is only planned raises nothing. Doubt does not
    lower a flag: a suspicion is exactly what a veterinarian should hear.
    """
    present = [f for f in facts if _of_today(f)]
    hits = ((rule, [f for f in present if rule.fits(f)]) for rule in _RULES)
    found = [rule.raised_by(some) for rule, some in hits if some]
    if not any(flag.code == _HOT_AND_BEATING for flag in found):
        hot, beating = ([f for f in present if f.code == c] for c in ("heat", "digital_pulse"))
        if hot and beating:
            found.append(_BY_CODE[_HOT_AND_BEATING].raised_by([*hot, *beating]))
    return sorted(found, key=lambda flag: flag.urgency is not Urgency.NOW)


_HOT_AND_BEATING = "laminitis_signs"
"""What heat and a pulse that is felt are a sign of together (EQUUS); neither is by itself."""


def _of_today(fact: Fact) -> bool:
    seen = fact.kind in (FactKind.FINDING, FactKind.SCORE)
    return seen and not (fact.negated or fact.historical or fact.planned)


def flag_text(code: str) -> str:
    """The sentence for a flag code, e.g. for an entry read back from the records.

    A code that is not known any more still says to call.
    """
    rule = _BY_CODE.get(code)
    return rule.told if rule else f"Call a veterinarian. {DEFER}"
