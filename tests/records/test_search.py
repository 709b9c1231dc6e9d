"""Search lines: words, synonyms, filters; and no line that fails."""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fieldlog.core.facts import Entry, Fact, FactKind, Severity
from fieldlog.core.feet import Foot
from fieldlog.core.units import Quantity, Unit
from fieldlog.records.store import Store

TODAY = date(2026, 11, 25)


def finding(code: str, foot: Foot, **more: object) -> Fact:
    return replace(Fact(FactKind.FINDING, code, (foot,)), **more)  # type: ignore[arg-type]


def put(store: Store, horse: str, day: date, text: str, *facts: Fact) -> str:
    placed = tuple(replace(f, span=(0, len(text))) for f in facts)
    at = datetime(day.year, day.month, day.day, 9, tzinfo=UTC)
    (draft,) = store.add_drafts(None, [Entry(placed, text, (0, len(text)))], at=at)
    store.assign_horse(draft.id, store.horse_named(horse).id)
    store.save_entry(draft.id)
    return draft.id


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    with Store.open(tmp_path_factory.mktemp("search") / "f.db") as opened:
        nell = opened.add_client("Nell Harrow")
        opened.add_horse("Bramble", client_id=nell.id, barn="Hollow Creek")
        opened.add_horse("Juniper", barn="Mill 100%_Lane")
        separation = "white_line_separation"
        put(opened, "Bramble", date(2026, 4, 2), "stretched white line out front",
            finding(separation, Foot.LF, places=("toe",), severity=Severity.MILD))  # fmt: skip
        put(opened, "Juniper", date(2025, 12, 1), "white line is opening up",
            finding(separation, Foot.RF))  # fmt: skip
        put(opened, "Juniper", date(2026, 6, 1), "hind white line open",
            finding(separation, Foot.RH, severity=Severity.SEVERE))  # fmt: skip
        put(opened, "Juniper", date(2026, 7, 1), "looks foundered on the near fore no thrush",
            finding("thrush", Foot.LF, negated=True),
            Fact(FactKind.MEASUREMENT, "toe_length", (Foot.LF,),
                 quantity=Quantity(4.0, Unit.INCH)))  # fmt: skip
        put(opened, "Bramble", date(2026, 8, 1), "vet to take radiographs",
            Fact(FactKind.NOTE, "note"))  # fmt: skip
        opened.add_follow_up("call", "ring", horse_id=opened.horse_named("Bramble").id)
        yield opened


@pytest.mark.parametrize(
    ("line", "days"),
    [
        # "All horses with white line separation on a front foot since spring" is one line.
        ('finding:"white line separation" foot:front since:spring', ["2026-04-02"]),
        ("finding:white_line_separation foot:front", ["2026-04-02", "2025-12-01"]),
        ("finding:separation until:2025", ["2025-12-01"]),
        ("severity:severe", ["2026-06-01"]),
        ("place:toe", ["2026-04-02"]),
        ("not:thrush", ["2026-07-01"]),
        ("finding:thrush", []),
        ("x rays", ["2026-08-01"]),
        ("radiograph", ["2026-08-01"]),
        ("left front foundered", ["2026-07-01"] * 2),
        ("near fore laminitis", ["2026-07-01"] * 2),
        ("toe_length>=101mm toe_length<102mm", ["2026-07-01"]),
        ("toe_length>4.5in", []),
        ("toe_length=4in", ["2026-07-01"]),
        ('owner:nell "white line"', ["2026-04-02"]),
        ('barn:"hollow creek" open:yes place:toe', ["2026-04-02"]),
        ('barn:"mill 100%" severity:severe', ["2026-06-01"]),
        ("barn:%", []),
        ("horse:_", []),
        ("horse:nobody", []),
        ("open:no not:thrush", ["2026-07-01"]),
        ("stretched line of", []),
    ],
)
def test_lines_find_their_days(store: Store, line: str, days: list[str]) -> None:
    assert [h.day.isoformat() for h in store.search(line, TODAY)] == days


def test_a_late_import_stands_by_its_day(tmp_path: Path) -> None:
    with Store.open(tmp_path / "f.db") as opened:
        opened.add_horse("Bramble")
        put(opened, "Bramble", date(2026, 5, 1), "no thrush",
            finding("thrush", Foot.LF, negated=True))  # fmt: skip
        early = put(opened, "Bramble", date(2024, 5, 1), "bad thrush", finding("thrush", Foot.LF))
        assert [h.day.year for h in opened.search("thrush")] == [2026, 2024]
        assert [h.day.year for h in opened.search("thrush", limit=1)] == [2026]
        opened.revise_entry(early, (finding("crack", Foot.LF),), "misheard")
        assert [h.day.year for h in opened.search("thrush")] == [2026]
        assert [h.day.year for h in opened.search("finding:crack")] == [2024]


_PIECES = st.sampled_from(
    ["horse:", "foot:", "finding:", "not:", "since:", "until:", "place:", "barn:", "owner:",
     "severity:", "open:", "toe_length>", '"', "(", ")", "*", "NEAR", "AND", "OR", "NOT", "^", ":",
     "-", "'", "%", "_", "\x00", "\udc80", "٣", "white line", "near fore", "9" * 400, "1e999",
     "0000-00", "99999w", "{label}", "label :", "+", ";", "--"]
)  # fmt: skip


@settings(
    max_examples=int(os.environ.get("FIELDLOG_EXAMPLES", "300")),
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(st.lists(_PIECES | st.text(max_size=12), max_size=8), st.booleans())
def test_no_line_fails(store: Store, pieces: list[str], spaced: bool) -> None:
    """The long run: ``FIELDLOG_EXAMPLES=20000`` with ``tests/records/test_search.py``."""
    line = (" " if spaced else "").join(pieces)
    assert all(h.entry_id for h in store.search(line, TODAY))
