"""What a paper is about, and the lines that facts make on it.

Papers are built from these plain shapes, so that a paper can only say what it was handed: one
horse, its owner, its visits. ``gather`` fills them from the saved records.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime

from fieldlog.core.facts import Fact, FactKind, FootBasis, Reporter
from fieldlog.core.feet import ALL_FEET, Foot
from fieldlog.core.units import UNITS, Dimension, show_number
from fieldlog.language.wording import DOT, describe, describe_feet, label
from fieldlog.papers.document import Block, Table

INFERRED = " *"
INFERRED_NOTE = "* The unit was not spoken; it was concluded from the size."

NOT_A_DIAGNOSIS = (
    "This paper says what a farrier saw, felt and measured. Words for disease on it are "
    "suspicions, never a diagnosis: only a licensed veterinarian diagnoses, takes radiographs, "
    "sedates and prescribes. Local rules come first."
)


@dataclass(frozen=True, slots=True)
class Writer:
    """Who the paper is from."""

    name: str = ""
    contact: str = ""
    british: bool = False
    """Near fore, off hind... instead of left front, right hind."""

    def signature(self) -> str:
        """For the line under a letter."""
        return ", ".join(part for part in (self.name or "farrier", self.contact) if part)

    def stated(self) -> str:
        """For the head of a paper; without a name a line to write it on."""
        return self.signature() if self.name else ", ".join(filter(None, ("_" * 24, self.contact)))


@dataclass(frozen=True, slots=True)
class Subject:
    """The horse that a paper is about."""

    horse: str
    owner: str = ""
    barn: str = ""
    looks: str = ""
    """``bay mare, 9 years``."""
    microchip: str = ""
    ueln: str = ""

    def head(self) -> tuple[tuple[str, str], ...]:
        """Label and value pairs for the paper's head; empty ones left out."""
        pairs = (
            ("Horse", f"{self.horse} ({self.looks})" if self.looks else self.horse),
            ("Owner", self.owner),
            ("Barn", self.barn),
            ("Microchip", self.microchip),
            ("UELN", self.ueln),
        )
        return tuple(pair for pair in pairs if pair[1])


@dataclass(frozen=True, slots=True)
class Correction:
    """One change of a note after it was saved."""

    saved_at: datetime | None
    revision: int
    reason: str
    before: tuple[Fact, ...]
    after: tuple[Fact, ...]
    moved: str = ""
    """A sentence if the note changed its horse or its day."""


@dataclass(frozen=True, slots=True)
class VisitNotes:
    """What was saved about one horse on one day."""

    day: date
    facts: tuple[Fact, ...]
    loose: tuple[str, ...] = ()
    """Sentences that made no fact, kept as spoken."""
    red_flags: tuple[str, ...] = ()
    """One sentence each."""
    advice: Mapping[str, str] = field(default_factory=dict)
    """What was advised, in the words that were spoken, by the id of the fact."""
    corrections: tuple[Correction, ...] = ()
    """What was changed after it was saved, the oldest first."""
    other_owner: bool = False
    """The horse belonged to somebody else on that day."""
    named_others: bool = False
    """Some of what was spoken is left out, as it holds a name that is another's."""
    visited: bool = True
    """Whether the horse was seen on that day; else somebody rang, or it was called off."""


OTHER_OWNER = "The horse had another owner on this day."


@dataclass(frozen=True, slots=True)
class Promise:
    """A follow-up."""

    what: str
    who: str = "farrier"
    """``farrier``, ``owner``, ``vet`` or another."""
    due: date | None = None
    condition: str = ""
    feet: tuple[Foot, ...] = ()
    state: str = "open"
    """``open``, ``done`` or ``dropped``."""
    before_next_visit: bool = False
    urgent: bool = False
    code: str = ""
    asked: date | None = None
    """The day of the note that it comes from; None if it was added by hand."""
    became: str = ""
    """When and how it was closed: ``Dropped on 4 Dec 2026: the owner does not want it.``"""

    def account(self, british: bool = False) -> str:
        """What was promised and what became of it, for a record that must stand by itself."""
        asked = f"Asked on {short_day(self.asked)}." if self.asked else ""
        parts = (f"[{self.state}] {self.who}: {self.line(british)}", asked, self.became)
        return " ".join(filter(None, parts))

    def mark(self, today: date) -> str:
        """``URGENT, `` or ``OVERDUE, `` before an open promise, for the farrier's own pages."""
        late = "OVERDUE, " if self.due is not None and self.due < today else ""
        return f"URGENT, {late}" if self.urgent else late

    def line(self, british: bool = False, on: date | None = None) -> str:
        """One line: what, where, when, on what condition.

        Args:
            british: near fore, off hind...
            on: the day of the visit that the paper is about; what another visit left open says so.
        """
        text = self.what
        if self.feet:
            text += f", {describe_feet(self.feet, british)}"
        if self.due:
            # “By” a day that is past reads as a mistake to whoever gets the paper.
            past = on is not None and self.due < on
            text += f", {'due' if past else 'by'} {long_day(self.due)}"
            text += " and still open" if past else ""
        elif self.before_next_visit:
            text += ", before the next visit"
        if on and self.asked and self.asked != on:
            text += f", agreed on {short_day(self.asked)}"
        if self.condition:
            text += f" ({self.condition})"
        return sentence(text)


def asked_once(promises: Iterable[Promise], on: date | None) -> list[Promise]:
    """The open promises; of those in the same words that of the visit ``on``, or the first."""
    kept: dict[str, Promise] = {}
    for promise in promises:
        key = f"{promise.who} {promise.line()}".casefold()
        if promise.state == "open" and (key not in kept or promise.asked == on):
            kept[key] = promise
    return list(kept.values())


@dataclass(frozen=True, slots=True)
class Link:
    """One revision's place in the hash chain."""

    number: int
    revision: int
    saved_at: datetime | None
    hash: str


@dataclass(frozen=True, slots=True)
class SealedEntry:
    """One saved entry as it stands now, with the place of each of its revisions in the chain."""

    day: date
    links: tuple[Link, ...]
    """The first revision's first; never empty."""
    text: str
    facts: tuple[Fact, ...]
    corrections: tuple[Correction, ...] = ()
    other_owner: bool = False
    """The horse belonged to somebody else on that day."""
    visited: bool = True
    """Whether it tells of a visit; else somebody rang, or it was called off."""


@dataclass(frozen=True, slots=True)
class HorseFile:
    """Everything a paper may use about one horse."""

    subject: Subject
    visits: tuple[VisitNotes, ...] = ()
    """Oldest first."""
    promises: tuple[Promise, ...] = ()
    cautions: tuple[str, ...] = ()
    """Handling cautions over all visits, with their day."""
    next_visit: date | None = None
    sealed: tuple[SealedEntry, ...] = field(default=())
    given_away: tuple[str, ...] = ()
    """A sentence for each entry that was saved under this horse and later given to another."""
    left: str = ""
    """Since when and why it is visited no more: ``left 4 Dec 2026: sold``; or empty."""

    @property
    def last_visit(self) -> VisitNotes | None:
        """The last day on which the horse was seen; None if it never was."""
        return next((v for v in reversed(self.visits) if v.visited), None)

    def cautions_before(self, day: date) -> list[str]:
        """Those that were not only seen on ``day``: what was stands on its paper by the foot."""
        return [line for line in self.cautions if not line.endswith(f"({short_day(day)})")]


def long_day(day: date) -> str:
    """``Wednesday 25 November 2026``: no order of day and month to mistake."""
    return f"{day:%A} {day.day} {day:%B %Y}"


def short_day(day: date) -> str:
    """``25 Nov 2026``."""
    return f"{day.day} {day:%b %Y}"


def sentence(text: str) -> str:
    """With a capital at the start and a full stop at the end."""
    text = text.strip()
    if not text:
        return ""
    return text[0].upper() + text[1:] + ("" if text[-1] in ".?!)" else ".")


def line_of(fact: Fact) -> str:
    """A fact in words without its feet: ``suspected thrush, central sulcus, mild``."""
    bare = replace(fact, feet=(), foot_basis=FootBasis.WHOLE_HORSE)
    return describe(bare).replace(DOT, ", ")


def lines_by_foot(facts: Iterable[Fact], british: bool = False) -> list[str]:
    """One line for each set of feet, in the order of the feet; whole-horse facts last."""
    groups: dict[tuple[Foot, ...], list[str]] = {}
    for fact in facts:
        feet = tuple(f for f in ALL_FEET if f in fact.feet)
        text = line_of(fact)
        if fact.foot_basis is FootBasis.UNSTATED:
            text = f"{text} (foot not stated)"
        seen = groups.setdefault(feet, [])
        if text not in seen:
            seen.append(text)
    order = sorted(groups, key=lambda feet: (not feet, [ALL_FEET.index(f) for f in feet]))
    lines = []
    for feet in order:
        words = "; ".join(groups[feet])
        where = describe_feet(feet, british) if feet else "whole horse"
        lines.append(f"{where[0].upper()}{where[1:]}: {words}.")
    return lines


SEEN = (FactKind.FINDING, FactKind.SCORE)


def first_hand(facts: Iterable[Fact]) -> list[Fact]:
    """Facts that the farrier states from own observation, today, not by hearsay."""
    return [f for f in facts if f.reporter is Reporter.FARRIER and not f.historical]


def of_kind(facts: Iterable[Fact], *kinds: FactKind) -> list[Fact]:
    """The facts of these kinds, in their order."""
    return [f for f in facts if f.kind in kinds]


MeasureKey = tuple[tuple[Foot, ...], str, bool]
"""One row of measurements: its foot or none, the measure, and whether a foot was meant at all."""


def measure_keys(fact: Fact) -> list[MeasureKey]:
    """The rows that a measurement stands in: one a foot; none for what says no value."""
    if fact.kind is not FactKind.MEASUREMENT or fact.quantity is None or fact.negated:
        return []
    unsaid = fact.foot_basis is FootBasis.UNSTATED and not fact.feet
    single: list[tuple[Foot, ...]] = [(f,) for f in ALL_FEET if f in fact.feet]
    return [(feet, fact.code, unsaid) for feet in single or [()]]


def measure_table(
    facts: Iterable[Fact], british: bool = False, taken: Mapping[MeasureKey, date] | None = None
) -> Block | None:
    """Measurements by foot, with before and after where both were taken; None without any.

    Args:
        facts: what was measured.
        british: near fore, off hind...
        taken: the day of each row, where rows are of several days.
    """
    cells: dict[MeasureKey, dict[str, list[str]]] = {}
    for fact in facts:
        moment = fact.details.get("moment", "")
        column = moment if moment in ("before", "after") else "value"
        # Two depths on one foot are told apart by where they were taken.
        where = " and ".join(label(place, "place") for place in fact.places)
        words = f"{where}: {shown_twice(fact)}" if where else shown_twice(fact)
        for key in measure_keys(fact):
            row = cells.setdefault(key, {})
            row.setdefault(column, []).append(words)
    if not cells:
        return None
    order = sorted(cells, key=lambda k: (not k[0], [ALL_FEET.index(f) for f in k[0]]))
    rows = [
        (
            describe_feet(feet, british) if feet else "not stated" if unsaid else "whole horse",
            label(code, "measure"),
            ", ".join(row.get("before", [])),
            ", ".join(row.get("after", []) + row.get("value", [])),
        )
        for feet, code, unsaid in order
        for row in (cells[feet, code, unsaid],)
    ]
    note = INFERRED_NOTE if any(INFERRED in cell for row in rows for cell in row[2:]) else ""
    header: tuple[str, ...] = ("Foot", "Measured", "Before", "After, or as is")
    widths: tuple[int, ...] = (3, 3, 3, 3)
    shown: list[tuple[str, ...]] = list(rows)
    if not any(before for *_, before, _ in rows):
        header, widths = ("Foot", "Measured", "Value"), (3, 4, 4)
        shown = [(a, b, d) for a, b, _, d in rows]
    if taken is not None:
        header, widths = (*header, "On"), (*widths, 2)
        shown = [(*row, short_day(taken[key])) for row, key in zip(shown, order, strict=True)]
    return Table(header, tuple(shown), widths, note)


def shown_twice(fact: Fact) -> str:
    """A length as it was meant and in the other system: ``3 1/4 in (83 mm)``."""
    quantity = fact.quantity
    if quantity is None:
        return ""
    text = quantity.shown()
    if UNITS[quantity.unit].dimension is Dimension.LENGTH:
        if quantity.unit.value == "in":
            text += f" ({quantity.base:.0f} mm)"
        elif quantity.unit.value in ("mm", "cm"):
            from fieldlog.core.units import Unit

            sixteenths = round(quantity.base / 25.4 * 16) / 16
            text += f" (about {show_number(sixteenths, Unit.INCH)} in)"
    return text + INFERRED if quantity.unit_inferred else text


def unique(lines: Sequence[str]) -> tuple[str, ...]:
    """Without repeats (in capitals or not), order kept."""
    kept: dict[str, str] = {}
    for line in lines:
        kept.setdefault(line.casefold(), line)
    return tuple(kept.values())
