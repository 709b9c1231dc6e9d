"""The invented day in ``demo_data/``, read into the shapes that fieldlog works with."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from fractions import Fraction
from pathlib import Path
from typing import Any

from fieldlog.core.facts import Fact, FactKind, FootBasis
from fieldlog.core.feet import Foot
from fieldlog.core.units import Quantity, Unit
from fieldlog.errors import BadImport


@dataclass(frozen=True, slots=True)
class DemoClient:
    """An owner of the invented day."""

    key: str
    name: str
    barn: str
    phone: str = ""


@dataclass(frozen=True, slots=True)
class DemoHorse:
    """A horse of the invented day."""

    key: str
    name: str
    client: str
    colour: str = ""
    sex: str = ""
    born: int = 0
    cycle_weeks: int = 6
    microchip: str = ""
    story: str = ""


@dataclass(frozen=True, slots=True)
class DemoNote:
    """One dictation and what it means."""

    id: str
    horse: str
    """Key of the horse that it starts with."""
    at: datetime
    text: str
    facts: tuple[tuple[str, Fact], ...]
    """Horse key and fact."""


@dataclass(frozen=True, slots=True)
class DemoVisit:
    """One earlier visit to one horse; the facts' spans point into ``text``."""

    horse: str
    on: date
    text: str
    facts: tuple[Fact, ...]


@dataclass(frozen=True, slots=True)
class DemoDay:
    """Everything in ``demo_data/``."""

    on: date
    farrier: str
    contact: str
    clients: tuple[DemoClient, ...]
    horses: tuple[DemoHorse, ...]
    notes: tuple[DemoNote, ...]
    visits: tuple[DemoVisit, ...]

    def horse(self, key: str) -> DemoHorse:
        """The horse with that key.

        Raises:
            KeyError: there is none.
        """
        return {h.key: h for h in self.horses}[key]


def load_day(folder: Path) -> DemoDay:
    """Read the three files.

    Raises:
        BadImport: a file is missing or does not fit.
    """
    try:
        day, notes, earlier = (
            tomllib.loads((folder / name).read_text(encoding="utf-8"))
            for name in ("day.toml", "notes.toml", "earlier.toml")
        )
        return DemoDay(
            on=day["date"],
            farrier=day["farrier"],
            contact=day["contact"],
            clients=tuple(DemoClient(**c) for c in day["client"]),
            horses=tuple(DemoHorse(**h) for h in day["horse"]),
            notes=tuple(_note(n) for n in notes["note"]),
            visits=tuple(_visit(v) for v in earlier["visit"]),
        )
    except (OSError, KeyError, TypeError, ValueError) as problem:
        raise BadImport(
            f"The demo's data in {folder} cannot be read: {problem}.",
            "Get the folder demo_data again from where you got fieldlog.",
        ) from problem


def _note(data: Mapping[str, Any]) -> DemoNote:
    facts = []
    for raw in data["facts"]:
        plain = dict(raw)
        horse = plain.pop("horse", data["horse"])
        facts.append((horse, _fact(plain, data["at"].date())))
    return DemoNote(data["id"], data["horse"], data["at"], data["text"], tuple(facts))


def _fact(plain: dict[str, Any], on: date) -> Fact:
    basis = FootBasis.SAID if plain.get("feet") else FootBasis.WHOLE_HORSE
    fact = Fact.from_dict({"foot_basis": basis, "rule": "demo", **plain})
    due = fact.due
    if due is not None and due.period and due.on is None:
        fact = replace(fact, due=replace(due, on=on + _period(due.period)))
    return fact


def _period(text: str) -> timedelta:
    match = re.fullmatch(r"P(\d+)([DW])", text)
    if not match:
        raise ValueError(f"unknown period {text}")
    return timedelta(days=int(match[1]) * (7 if match[2] == "W" else 1))


def _visit(data: Mapping[str, Any]) -> DemoVisit:
    text: str = data["text"]
    facts: list[Fact] = []
    for raw in data["facts"]:
        plain = dict(raw)
        said = plain.pop("said", "")
        at = text.index(said)
        fact = _fact(plain, data["date"])
        spoken = replace(fact.due, spoken=fact.due.spoken or said) if fact.due else None
        facts.append(replace(fact, span=(at, at + len(said)), due=spoken))
    for line in data.get("measures", ()):
        sentence, fact = _measure(line)
        start = len(text) + 1
        text = f"{text} {sentence}"
        facts.append(replace(fact, span=(start, len(text) - 1)))
    return DemoVisit(data["horse"], data["date"], text, tuple(facts))


_LINE = re.compile(
    r"(?P<code>\w+)(?: (?P<foot>LF|RF|LH|RH))? (?P<number>\d+(?: \d+/\d+|\.\d+|/\d+)?)"
    r" (?P<unit>in|mm|deg)(?: (?P<moment>before|after))?"
)


def _measure(line: str) -> tuple[str, Fact]:
    """``toe_length LF 3 1/4 in after`` as a sentence and a fact."""
    match = _LINE.fullmatch(line)
    if not match:
        raise ValueError(f"cannot read the measurement “{line}”")
    value = float(sum(Fraction(part) for part in match["number"].split()))
    unit = Unit(match["unit"])
    quantity = Quantity(value, unit, spoken=match["number"])
    feet = (Foot(match["foot"]),) if match["foot"] else ()
    name = match["code"].replace("_", " ")
    where = f"{feet[0].american} {name}" if feet else name
    sentence = f"{where[0].upper()}{where[1:]} {quantity.shown()}"
    if match["moment"]:
        sentence += f" {match['moment']}"
    details = {"moment": match["moment"]} if match["moment"] else {}
    basis = FootBasis.SAID if feet else FootBasis.WHOLE_HORSE
    fact = Fact(
        FactKind.MEASUREMENT, match["code"], feet, basis, quantity=quantity, details=details,
        rule="demo",
    )  # fmt: skip
    return f"{sentence}.", fact
