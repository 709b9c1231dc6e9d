"""What was said, as typed facts: the shape that every other part of fieldlog shares.

A ``Fact`` is one thing the farrier said about one horse: seen, measured, done, promised. It says
which feet, how sure, since when and by whom, and keeps the words and the sound it came from.
Codes (``thrush``, ``toe_length``, ``trim``...) are the ids in ``fieldlog/language/data/*.toml``.
A finding is always an observation or a suspicion, never a diagnosis: that is a veterinarian's.
"""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from typing import Any

from fieldlog.core.changed import changed
from fieldlog.core.feet import Foot
from fieldlog.core.spans import Span, touch
from fieldlog.core.units import Quantity, Unit

BY_HAND = "by_hand"
"""``Fact.rule`` of what was typed, not spoken."""


class FactKind(StrEnum):
    """The sorts of fact."""

    FINDING = "finding"
    MEASUREMENT = "measurement"
    WORK = "work"
    FOLLOW_UP = "follow_up"
    HANDLING = "handling"
    ADVICE = "advice"
    SCORE = "score"
    """Whole-horse grades that carry a scale: condition score, lameness grade."""
    NOTE = "note"
    """Free text the farrier chose to keep as a fact of its own."""


class FootBasis(StrEnum):
    """How the feet of a fact came to be known."""

    SAID = "said"
    """Spoken in the same clause, or the pair was."""
    CARRIED = "carried"
    """Carried on from an earlier clause about that foot."""
    OTHER_OF_PAIR = "other_of_pair"
    """"the other one", "same on the right": concluded from the pair in hand."""
    ASSUMED = "assumed"
    """Guessed, e.g. fronts for a bare "left": always asked about."""
    UNSTATED = "unstated"
    """A foot is needed and none is known: always asked about."""
    WHOLE_HORSE = "whole_horse"
    """The fact has no foot."""
    HEARD = "heard"
    """What the second opinion hears weighed more than what the rules say: always asked about."""
    CHOSEN = "chosen"
    """Set by hand in review."""


class Reporter(StrEnum):
    """Who says so."""

    FARRIER = "farrier"
    OWNER = "owner"
    VET = "vet"
    OTHER = "other"


class Severity(StrEnum):
    """Spoken severity in three steps (common practice, no source)."""

    MILD = "mild"
    MODERATE = "moderate"
    SEVERE = "severe"


class Trend(StrEnum):
    """Direction of a comparison."""

    BETTER = "better"
    WORSE = "worse"
    SAME = "same"
    LARGER = "larger"
    SMALLER = "smaller"
    NEW = "new"
    GONE = "gone"
    GROWING_OUT = "growing_out"


@dataclass(frozen=True, slots=True)
class Comparison:
    """``better than last time``, ``longer than the right``."""

    trend: Trend
    against: str = "last_visit"
    """``last_visit``, or the short name of a foot (``RF``)."""


@dataclass(frozen=True, slots=True)
class Due:
    """When something is to happen, as spoken and as dates."""

    spoken: str = ""
    period: str = ""
    """ISO 8601 duration when a period was spoken, e.g. ``P4W``."""
    on: date | None = None
    """First day meant."""
    until: date | None = None
    """Last day meant if a span was spoken."""
    anchor: str = ""
    """``before_next_visit``, ``next_visit``, or empty."""
    ambiguous: str = ""
    """Why the date is unsure, or empty."""
    alternatives: tuple[date, ...] = ()


@dataclass(frozen=True, slots=True)
class Doubt:
    """One reason to look at a fact before saving it."""

    code: str
    """``word_confidence``, ``unit_inferred``, ``foot_unstated``, ``foot_assumed``,
    ``out_of_range``, ``competing_readings``, ``changed_word``, ``readers_differ``,
    ``scale_assumed``, ``implied_work``, ``date_ambiguous``, ``name_unknown``,
    ``correction_unclear``, ``model_candidate``, ``same_as``, ``whose``..."""
    reason: str
    """A sentence for the farrier, e.g. ``The unit was not spoken; inches fit the size.``"""


@dataclass(frozen=True, slots=True)
class Reading:
    """Another way a fact could be read, offered first in the picker."""

    label: str
    changes: dict[str, Any]
    """Fields of ``Fact.to_dict`` that would differ."""


def new_id() -> str:
    """A fresh unique id."""
    return uuid.uuid4().hex


@dataclass(frozen=True)
class Fact:
    """One fact. See the module text; unset fields are empty, never invented.

    It has no slots, so that ``changed`` copies it in one go.
    """

    kind: FactKind
    code: str
    feet: tuple[Foot, ...] = ()
    foot_basis: FootBasis = FootBasis.WHOLE_HORSE
    places: tuple[str, ...] = ()
    """Place codes on the hoof, e.g. ``("medial_quarter",)``; a clock position is ``clock_12``."""
    quantity: Quantity | None = None
    severity: Severity | None = None
    negated: bool = False
    uncertain: bool = False
    historical: bool = False
    planned: bool = False
    """Work that is meant for a later visit, not done today."""
    reporter: Reporter = Reporter.FARRIER
    comparison: Comparison | None = None
    details: dict[str, str] = field(default_factory=dict)
    """Further slots as text: ``size``, ``nails``, ``nail_count``, ``clips``, ``scale``, ``gait``,
    ``who``, ``condition``, ``reason``, ``extent``, ``surface``, ``alternative``, ``strikes``..."""
    due: Due | None = None
    span: Span = (0, 0)
    """Characters of the note's text (end excluded) that the fact came from."""
    sound: tuple[float, float] | None = None
    """Seconds of the recording that the fact came from."""
    rule: str = ""
    """The rule or model that made it, e.g. ``lexicon:thrush``, ``measure:value_after``,
    ``ner:finding``, ``by_hand``."""
    confidence: float = 1.0
    """Calibrated chance, 0 to 1, that every field is right."""
    doubts: tuple[Doubt, ...] = ()
    readings: tuple[Reading, ...] = ()
    why_foot: str = ""
    """One sentence on how the foot was assigned."""
    id: str = field(default_factory=new_id)

    @property
    def needs_look(self) -> bool:
        """True if any signal asks for a human look before saving."""
        return bool(self.doubts)

    @property
    def taught(self) -> bool:
        """Whether a rule of the farrier's own made it: no model may doubt that."""
        return self.rule.startswith("personal")

    @property
    def only_heard(self) -> bool:
        """Whether the second opinion alone made it, so that it is always looked at."""
        return self.rule.startswith("gist")

    @property
    def urgent(self) -> bool:
        """Whether a promise is to be kept at once: said so, or called for by a red flag."""
        return self.rule.startswith("redflag") or self.details.get("urgent") == "yes"

    def on_feet_of(self, other: Fact) -> Fact:
        """A copy on the feet of another fact, and for its reason."""
        return changed(self, feet=other.feet, foot_basis=other.foot_basis, why_foot=other.why_foot)

    def with_doubt(self, code: str, reason: str) -> Fact:
        """A copy with one more doubt (each code once)."""
        if any(d.code == code for d in self.doubts):
            return self
        return changed(self, doubts=(*self.doubts, Doubt(code, reason)))

    def to_dict(self) -> dict[str, Any]:
        """Plain data for JSON; empty fields are left out."""
        said: dict[str, Any] = {
            "places": list(self.places),
            "quantity": _quantity_to_dict(self.quantity),
            "severity": self.severity.value if self.severity is not None else "",
            "negated": self.negated,
            "uncertain": self.uncertain,
            "historical": self.historical,
            "planned": self.planned,
            "reporter": self.reporter.value if self.reporter is not Reporter.FARRIER else "",
            "comparison": _comparison_to_dict(self.comparison),
            "details": dict(self.details),
        }
        asked: dict[str, Any] = {
            "doubts": [{"code": d.code, "reason": d.reason} for d in self.doubts],
            "readings": [{"label": r.label, "changes": r.changes} for r in self.readings],
            "why_foot": self.why_foot,
        }
        return {
            "id": self.id,
            "kind": self.kind.value,
            "code": self.code,
            "feet": [f.value for f in self.feet],
            "foot_basis": self.foot_basis.value,
            **_filled(said),
            **({"due": _due_to_dict(self.due)} if self.due is not None else {}),
            "span": list(self.span),
            **({"sound": list(self.sound)} if self.sound is not None else {}),
            "rule": self.rule,
            "confidence": self.confidence,
            **_filled(asked),
        }

    @classmethod
    def from_dict(cls, data: dict[str, Any]) -> Fact:
        """The inverse of ``to_dict``.

        Raises:
            ValueError: a value is not one of the known ones.
            KeyError: kind or code is missing.
        """
        quantity, comparison = data.get("quantity"), data.get("comparison")
        due, sound = data.get("due"), data.get("sound")
        return cls(
            id=data.get("id") or new_id(),
            kind=FactKind(data["kind"]),
            code=data["code"],
            feet=tuple(Foot(f) for f in data.get("feet", ())),
            foot_basis=FootBasis(data.get("foot_basis", FootBasis.WHOLE_HORSE)),
            places=tuple(data.get("places", ())),
            quantity=_quantity_from_dict(quantity) if quantity else None,
            severity=Severity(data["severity"]) if data.get("severity") else None,
            negated=data.get("negated", False),
            uncertain=data.get("uncertain", False),
            historical=data.get("historical", False),
            planned=data.get("planned", False),
            reporter=Reporter(data.get("reporter", Reporter.FARRIER)),
            comparison=_comparison_from_dict(comparison) if comparison else None,
            details=dict(data.get("details", {})),
            due=_due_from_dict(due) if due is not None else None,
            span=_span(data["span"]) if data.get("span") else (0, 0),
            sound=(sound[0], sound[1]) if sound else None,
            rule=data.get("rule", ""),
            confidence=data.get("confidence", 1.0),
            doubts=tuple(Doubt(x["code"], x["reason"]) for x in data.get("doubts", ())),
            readings=tuple(Reading(x["label"], x["changes"]) for x in data.get("readings", ())),
            why_foot=data.get("why_foot", ""),
        )


def _span(pair: Sequence[int]) -> Span:
    return (pair[0], pair[1])


def _filled(fields: dict[str, Any]) -> dict[str, Any]:
    """The fields that hold anything."""
    return {key: value for key, value in fields.items() if value}


def _quantity_to_dict(quantity: Quantity | None) -> dict[str, Any]:
    if quantity is None:
        return {}
    return {
        "value": quantity.value,
        "unit": quantity.unit.value,
        **({"high": quantity.high} if quantity.high is not None else {}),
        **_filled(
            {
                "approximate": quantity.approximate,
                "unit_inferred": quantity.unit_inferred,
                "qualifier": quantity.qualifier,
                "spoken": quantity.spoken,
            }
        ),
    }


def _quantity_from_dict(data: dict[str, Any]) -> Quantity:
    return Quantity(**{**data, "unit": Unit(data["unit"])})


def _comparison_to_dict(comparison: Comparison | None) -> dict[str, Any]:
    if comparison is None:
        return {}
    return {"trend": comparison.trend.value, "against": comparison.against}


def _comparison_from_dict(data: dict[str, Any]) -> Comparison:
    return Comparison(Trend(data["trend"]), data.get("against", "last_visit"))


def _due_to_dict(due: Due) -> dict[str, Any]:
    return _filled(
        {
            "spoken": due.spoken,
            "period": due.period,
            "on": due.on.isoformat() if due.on else "",
            "until": due.until.isoformat() if due.until else "",
            "anchor": due.anchor,
            "ambiguous": due.ambiguous,
            "alternatives": [a.isoformat() for a in due.alternatives],
        }
    )


def _due_from_dict(data: dict[str, Any]) -> Due:
    day = date.fromisoformat
    return Due(
        spoken=data.get("spoken", ""),
        period=data.get("period", ""),
        on=day(data["on"]) if data.get("on") else None,
        until=day(data["until"]) if data.get("until") else None,
        anchor=data.get("anchor", ""),
        ambiguous=data.get("ambiguous", ""),
        alternatives=tuple(day(a) for a in data.get("alternatives", ())),
    )


@dataclass(frozen=True, slots=True)
class SpokenCorrection:
    """Something the farrier took back or changed while speaking; both sides are kept."""

    span: Span
    """Characters of the correcting words."""
    kind: str
    """``scratch``, ``replace_value``, ``move_foot``, ``restore``, ``replace_word``."""
    before: tuple[Fact, ...] = ()
    after: tuple[Fact, ...] = ()

    def to_dict(self) -> dict[str, Any]:
        """Plain data for JSON."""
        return {
            "span": list(self.span),
            "kind": self.kind,
            "before": [f.to_dict() for f in self.before],
            "after": [f.to_dict() for f in self.after],
        }

    @classmethod
    def from_dict(cls, data: dict[str, Any]) -> SpokenCorrection:
        """The inverse of ``to_dict``."""
        before, after = (
            tuple(Fact.from_dict(f) for f in data.get(side, ())) for side in ("before", "after")
        )
        return cls(_span(data["span"]), data["kind"], before, after)


@dataclass(frozen=True, slots=True)
class Passage:
    """A stretch of the note that made no fact; kept so that no word vanishes."""

    span: Span
    text: str
    perhaps: tuple[Fact, ...] = ()
    """Set aside: what a rule made of these words and is most likely wrong. No facts until somebody
    takes them."""

    def to_dict(self) -> dict[str, Any]:
        """Plain data for JSON; empty fields are left out."""
        out: dict[str, Any] = {"span": list(self.span), "text": self.text}
        if self.perhaps:
            out["perhaps"] = [f.to_dict() for f in self.perhaps]
        return out

    @classmethod
    def from_dict(cls, data: dict[str, Any]) -> Passage:
        """The inverse of ``to_dict``."""
        perhaps = tuple(Fact.from_dict(f) for f in data.get("perhaps", ()))
        return cls(_span(data["span"]), data["text"], perhaps)


@dataclass(frozen=True, slots=True)
class HorseMention:
    """A horse named in the note: spoken name and what was said of it."""

    name: str
    span: Span
    details: dict[str, str] = field(default_factory=dict)
    """``colour``, ``sex``, ``age``...; ``called``: what one without a name was called instead."""
    known: bool = False
    """True if the name is in the list of names that the caller gave."""

    @property
    def called(self) -> str:
        """Its name, or what it was called instead ("bay gelding", "stall 4"); perhaps neither."""
        return self.name or self.details.get("called", "")

    def to_dict(self) -> dict[str, Any]:
        """Plain data for JSON."""
        return {
            "name": self.name,
            "span": list(self.span),
            "details": dict(self.details),
            "known": self.known,
        }

    @classmethod
    def from_dict(cls, data: dict[str, Any]) -> HorseMention:
        """The inverse of ``to_dict``."""
        details, known = data.get("details", {}), data.get("known", False)
        return cls(data["name"], _span(data["span"]), details, known)


@dataclass(frozen=True, slots=True)
class Entry:
    """Everything one note says about one horse."""

    facts: tuple[Fact, ...]
    text: str
    """The whole note's text; spans point into it."""
    span: Span = (0, 0)
    """The part of the text that is about this horse, from its first word to its last."""
    horse: HorseMention | None = None
    passages: tuple[Passage, ...] = ()
    corrections: tuple[SpokenCorrection, ...] = ()
    red_flags: tuple[str, ...] = ()
    """Codes from ``fieldlog/core/redflags.py``."""
    id: str = field(default_factory=new_id)
    parts: tuple[Span, ...] = ()
    """The stretches of ``span`` that are about this horse, in order, where words about other
    horses stand between them; none where all of it is."""

    @property
    def stretches(self) -> tuple[Span, ...]:
        """The stretches of the text that are about this horse, in order."""
        return self.parts or (self.span,)

    @property
    def words(self) -> str:
        """What was said of this horse, with "…" where words about others stand between."""
        return " … ".join(self.text[a:b].strip() for a, b in self.stretches)

    def says(self, span: Span) -> bool:
        """Whether a stretch of the text shares a character with what is about this horse."""
        return any(touch(part, span) for part in self.stretches)

    def to_dict(self) -> dict[str, Any]:
        """Plain data for JSON; ``parts`` only where there are some."""
        out: dict[str, Any] = {
            "id": self.id,
            "text": self.text,
            "span": list(self.span),
            "horse": self.horse.to_dict() if self.horse else None,
            "facts": [f.to_dict() for f in self.facts],
            "passages": [p.to_dict() for p in self.passages],
            "corrections": [c.to_dict() for c in self.corrections],
            "red_flags": list(self.red_flags),
        }
        if self.parts:
            out["parts"] = [list(part) for part in self.parts]
        return out

    def offers(self, passage: Passage) -> tuple[Fact, ...]:
        """What was set aside at a passage, as far as nobody took it."""
        return tuple(f for f in passage.perhaps if all(f.id != g.id for g in self.facts))

    @property
    def unread(self) -> tuple[Passage, ...]:
        """The passages that a person may want to read: but "and on Pippin", of which nothing is
        lost, since it only comes back to the horse."""
        name = self.horse.name.lower().split() if self.horse is not None else []
        known = {*name, "and", "oh", "on", "then", ""}
        return tuple(
            passage
            for passage in self.passages
            if passage.perhaps
            or not {word.strip(".,;:") for word in passage.text.lower().split()} <= known
        )

    @property
    def set_aside(self) -> tuple[Fact, ...]:
        """All that was set aside, as far as nobody took it."""
        return tuple(f for passage in self.passages for f in self.offers(passage))

    @classmethod
    def from_dict(cls, data: dict[str, Any]) -> Entry:
        """The inverse of ``to_dict``.

        Raises:
            ValueError, KeyError: as ``Fact.from_dict``; or the text is missing.
        """
        horse = data.get("horse")
        return cls(
            id=data.get("id") or new_id(),
            text=data["text"],
            span=_span(data.get("span", (0, 0))),
            horse=HorseMention.from_dict(horse) if horse else None,
            facts=tuple(Fact.from_dict(f) for f in data.get("facts", ())),
            passages=tuple(Passage.from_dict(p) for p in data.get("passages", ())),
            corrections=tuple(SpokenCorrection.from_dict(c) for c in data.get("corrections", ())),
            red_flags=tuple(data.get("red_flags", ())),
            parts=tuple(_span(part) for part in data.get("parts", ())),
        )
