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
from fieldlog.errors import NotFound
from fieldlog.records.search_line import read_line
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
        # Of what was misheard the words stay, as spoken, without their fact.
        assert [(h.day.year, bool(h.label)) for h in opened.search("thrush")] == [
            (2026, True),
            (2024, False),
        ]
        assert [h.day.year for h in opened.search("finding:crack")] == [2024]


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("foot:middle", "foot: takes LF, RF"),
        ("since:junk", "since: takes a day, month or year"),
        ("until:2026-13-40", "until: takes the same"),
        ("severity:awful", "severity: takes mild, moderate or severe"),
        ("open:perhaps", "open: takes yes or no"),
        ("finding:***", "finding: takes something seen"),
        ("hrse:Juniper", "Did you mean horse:Juniper?"),
        ("toe_lenght>3in", "Did you mean toe_length?"),
        ("xyzzy>3", "there is no such measure. Measures are toe_length"),
        ("toe_angle>48mm", "toe_angle is not measured in mm"),
        ("toe_length>banana", "A number belongs behind the sign, e.g. toe_length>95."),
        ("toe_length>", "A number belongs behind the sign, e.g. toe_length>95."),
        ("foot:", "foot: takes LF, RF"),
        ("horse:", "takes the horse's name or the start of it; no space before it."),
        ("toe_length>3 1/0 in", "A fraction cannot have 0 below the line."),
    ],
)
def test_a_filter_that_means_nothing_is_said_and_finds_nothing(
    store: Store, line: str, words: str
) -> None:
    (said,) = read_line(line, TODAY).unclear
    assert said.startswith(f"“{line}” was not understood")
    assert words in said
    assert store.search(line, TODAY) == []
    assert store.search(f"thrush {line}", TODAY) == []


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("horse:Nobody thrush", "No horse in your records fits horse:Nobody."),
        ("owner:Nell barn:Moon", "No horse in your records fits owner:Nell barn:Moon."),
        ("owner:Nell open:yes", ""),
        ("thrush", ""),
    ],
)
def test_that_no_horse_is_meant_is_said(store: Store, line: str, said: str) -> None:
    assert store.nobody_meant(read_line(line, TODAY)) == said


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("bramble", "Bramble is a horse; its notes: horse:Bramble"),
        ("thrush juniper", "Juniper is a horse; its notes: horse:Juniper"),
        ("hollow creek",
         'Hollow Creek is a barn; notes of the horses there: barn:"Hollow Creek"'),
        ("nell harrow", 'Nell Harrow is an owner; notes of their horses: owner:"Nell Harrow"'),
        ("horse:Bramble bramble", ""),
        ("brambles", ""),
    ],
)  # fmt: skip
def test_a_name_among_the_words_is_told_with_the_filter_for_it(
    store: Store, line: str, said: str
) -> None:
    """A horse's name alone found nothing, or the few sentences that say it, and led nowhere."""
    assert store.named_in(read_line(line, TODAY)) == said


def test_only_a_kept_search_is_forgotten(store: Store) -> None:
    store.save_search("hinds", "foot:hind")
    store.forget_search(" hinds ")
    with pytest.raises(NotFound, match="No search is kept as “hinds”"):
        store.forget_search("hinds")


def test_today_and_yesterday_are_days(store: Store) -> None:
    day = date(2026, 8, 2)
    assert [h.day.isoformat() for h in store.search("radiographs since:yesterday", day)] == [
        "2026-08-01"
    ]
    assert store.search("radiographs since:today", day) == []


@pytest.mark.parametrize(
    ("line", "setting", "low_mm", "told"),
    [
        # 3 1/4 in is 82.55 mm, by hand.
        ("toe_length>3 1/4", "", 82.55, "inches"),
        ("toe_length>3 1/4", "in", 82.55, "inches"),
        ("toe_length>95", "", 95.0, "millimetres"),
        ("toe_length>4", "mm", 4.0, "millimetres"),
        ("toe_length>1", "", 25.4, "inches"),
        ("toe_length>3.25inches", "mm", 82.55, ""),
        ("sole_depth>5/8 in", "", 15.875, ""),
        ("toe_angle>48", "mm", 48.0, ""),
        ("toe_length>3¼", "", 82.55, "inches"),
        ("toe_length>3-1/4IN", "mm", 82.55, ""),
        ("toe_length>.5 inches", "", 12.7, ""),
        ("toe_angle>48°", "", 48.0, ""),
    ],
)
def test_a_bare_number_has_the_unit_that_fits(
    line: str, setting: str, low_mm: float, told: str
) -> None:
    wanted = read_line(line, TODAY, setting)
    ((_, _, low),) = wanted.compare
    assert low == pytest.approx(low_mm)
    assert [t.split(" is taken in ")[1].split(";")[0] for t in wanted.taken] == [told] * bool(told)
    assert not wanted.unclear
    assert not wanted.words


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
