"""Horse files from the demo's invented day, without a database."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from fieldlog.cli.demo_day import DemoDay, load_day
from fieldlog.core.facts import Fact, FactKind
from fieldlog.language.wording import label
from fieldlog.papers.content import (
    HorseFile,
    Link,
    Promise,
    SealedEntry,
    Subject,
    VisitNotes,
    Writer,
)

DATA = Path(__file__).parents[2] / "demo_data"
WHO = {"vet_visit": "vet", "radiographs": "vet", "owner_care": "owner", "second_handler": "owner"}


@pytest.fixture(scope="session")
def day() -> DemoDay:
    return load_day(DATA)


@pytest.fixture(scope="session")
def writer() -> Writer:
    return Writer("Sam Hadley", "555 0100")


def horse_file(day: DemoDay, key: str) -> HorseFile:
    """One horse of the demo with everything that was saved about it."""
    horse = day.horse(key)
    client = next(c for c in day.clients if c.key == horse.client)
    by_day: dict[date, list[Fact]] = {}
    for visit in day.visits:
        if visit.horse == key:
            by_day.setdefault(visit.on, []).extend(visit.facts)
    for note in day.notes:
        by_day.setdefault(day.on, []).extend(f for k, f in note.facts if k == key)
    visits = tuple(VisitNotes(on, tuple(facts)) for on, facts in sorted(by_day.items()))
    promises = tuple(
        Promise(
            label(f.code, "followup"),
            f.details.get("who") or WHO.get(f.code, "farrier"),
            f.due.on if f.due else None,
            f.details.get("condition", ""),
            f.feet,
            before_next_visit=bool(f.due and "next" in f.due.anchor),
        )
        for f in visits[-1].facts
        if f.kind is FactKind.FOLLOW_UP
    )
    sealed = tuple(
        SealedEntry(
            v.day, (Link(n, 1, datetime(2026, 11, 25, 17, tzinfo=UTC), f"{n:064x}"),), "", v.facts
        )
        for n, v in enumerate(visits, 1)
    )
    return HorseFile(
        Subject(horse.name, client.name, client.barn, f"{horse.colour} {horse.sex}"),
        visits,
        promises,
        (),
        day.on + timedelta(weeks=horse.cycle_weeks),
        sealed,
    )
