"""Saved things found again at the command line: search, one horse, the day sheet."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from fieldlog.core.facts import Entry, Fact, FactKind, FootBasis
from fieldlog.core.feet import Foot
from fieldlog.core.units import Quantity, Unit
from fieldlog.records.store import Store
from tests.cli.conftest import Run
from tests.cli.drafts import save_note


def test_last_springs_toe_length_is_found(run: Run) -> None:
    """The journey of the README: last spring's left-front toe length of a horse."""
    history = run("horse", "Juniper", "--foot", "near fore", "--since", "2026-03-01").output
    spring = history.split("2026-04-29")[1]
    assert "toe length · 3 1/4 in" in spring


def test_search_with_filters_synonyms_and_odd_lines(run: Run) -> None:
    thrush = run("search", "thrush", "foot:hind", "since:2026-08").output
    assert "Rosie" in thrush
    assert "central sulcus" in thrush
    hits = json.loads(run("search", "x", "rays", "--json").output)
    assert any("adiographs" in h["label"] + h["sentence"] for h in hits)
    for odd in ('"', "((", "NEAR", "a AND", "*", "';--"):
        result = run("search", odd)
        assert result.exit_code == 0, odd
    for bare in ("foot:", "toe_length>"):
        assert "was not understood" in run("search", bare).stderr
    assert run("search").exit_code == 2
    assert "no hit 900" in run("search", "thrush", "--play", "900").stderr
    assert "no sound for that hit" in run("search", "thrush", "--play", "1").stderr


def test_an_unclear_search_says_so_and_a_bare_number_its_unit(run: Run, home: Path) -> None:
    unclear = run("search", "thrush", "since:junk", "--keep", "bad")
    assert unclear.exit_code == 2
    assert "“since:junk” was not understood" in unclear.stderr
    assert "No kept searches" in run("search", "--list").output
    assert "Did you mean toe_length?" in run("search", "toe_lenght>3in").stderr
    bare = run("search", "toe_length>4").output
    assert bare.startswith("“toe_length>4” is taken in inches;")
    assert "4 3/16 in" in bare
    assert "· 3 " not in bare
    (home / "fieldlog.toml").write_text('length_unit = "mm"\n')
    assert "· 3 1/4 in" in run("search", "toe_length>4", "--limit", "200").output


def test_searches_are_kept(run: Run) -> None:
    run("search", "thrush", "foot:hind", "--keep", "wet feet")
    assert "wet feet" in run("search", "--list").output
    again = run("search", "--kept", "wet feet", "horse:Rosie").output
    assert "Rosie" in again
    run("search", "--forget", "wet feet")
    assert run("search", "--kept", "wet feet").exit_code == 1
    twice = run("search", "--forget", "wet feet")
    assert twice.exit_code == 1
    assert "No search is kept as “wet feet”" in twice.stderr


def test_a_trend_of_a_grade_is_named_by_its_scale_once(run: Run, home: Path) -> None:
    grade = Fact(
        FactKind.SCORE, "lameness", quantity=Quantity(1, Unit.GRADE), details={"scale": "aaep_0_5"}
    )
    save_note(home, "Rosie", "lame one of five", grade)
    shown = run("horse", "Rosie", "--trends").output.splitlines()
    assert [line for line in shown if "lameness" in line] == ["AAEP lameness, 0 to 5"]


def test_a_search_for_a_horse_that_is_not_there_says_so(run: Run) -> None:
    assert "Bramble is a horse; its notes: horse:Bramble" in run("search", "bramble").output
    assert "No horse in your records fits horse:Nobdy." in run("search", "horse:Nobdy").output
    assert "Nothing saved fits." in run("search", "horse:Rosie", "xyzzy").output


def test_horse_page_trends_and_chart(run: Run, tmp_path: Path) -> None:
    page = run("horse", "biscuit").output
    assert page.index("Safety first") < page.index("Last visit")
    assert "kicked" in page
    trends = run("horse", "Bramble", "--trends").output
    assert "toe length" in trends
    assert "█" in trends
    chart = tmp_path / "bramble.svg"
    assert run("horse", "Bramble", "--chart", str(chart)).exit_code == 0
    assert "Bramble" in chart.read_text(encoding="utf-8")
    assert run("horse", "Bramble", "--chart", str(tmp_path / "x.gif")).exit_code == 2
    assert json.loads(run("horse", "Bramble", "--json").output)["horse"]["name"] == "Bramble"


def test_two_lengths_of_a_foot_are_told_apart_and_scales_are_named(run: Run) -> None:
    for listed in (("horse", "Bramble", "--history"), ("search", "toe length", "horse:Bramble")):
        shown = run(*listed).output
        assert "left front · toe length · 4 13/16 in · before the work" in shown
        assert "left front · toe length · 4 3/16 in · after the work" in shown
    trends = run("horse", "Bramble", "--trends").output
    assert "\nHenneke body condition, 1 to 9\n" in "\n" + trends
    assert "henneke_1_9" not in trends


def test_unknown_horse_and_foot(run: Run) -> None:
    near = run("horse", "Brambel")
    assert near.exit_code in (0, 1)
    nobody = run("horse", "Zzyzx")
    assert nobody.exit_code == 1
    assert "There is no horse called" in nobody.stderr
    assert "is no foot" in run("horse", "Bramble", "--foot", "fifth").stderr


def test_day_sheet_groups_by_barn(run: Run) -> None:
    sheet = run("day").output
    assert "Alder Creek: 2 horses" in sheet
    assert sheet.index("Alder Creek") < sheet.index("Stony Ridge")
    assert "Biscuit" in sheet
    data = json.loads(run("day", "2026-11-25", "--json").output)
    assert {s["barn"] for s in data} >= {"Alder Creek", "Stony Ridge", "Pine Hollow"}
    assert "is not a day" in run("day", "soon").stderr


def test_trends_and_history_speak_the_farriers_units_and_names(run: Run, home: Path) -> None:
    shown = run("horse", "Bramble", "--trends").output
    assert "4 3/16 in" in shown
    assert "45°" in shown
    assert "2.5 to 3.5, " in shown
    (home / "fieldlog.toml").write_text('length_unit = "mm"\nbritish_names = true\n')
    shown = run("horse", "Bramble", "--trends").output
    assert "106 mm" in shown
    assert "near fore" in shown
    assert "left front" not in shown + run("horse", "Bramble", "--history").output


def test_a_filter_that_leaves_nothing_is_not_an_empty_record(run: Run) -> None:
    shown = run("horse", "Bramble", "--history", "--since", "2026-11-20").output
    assert "Nothing is saved about Bramble since 2026-11-20." in shown
    assert "The last visit was on 2026-10-28" in shown
    trends = run("horse", "Bramble", "--trends", "--foot", "LH").output
    assert "No measurements of Bramble, left hind are saved." in trends


def test_the_day_sheet_is_of_a_day_as_it_is_said(run: Run) -> None:
    """2026-11-25 is a Wednesday."""
    assert "Friday 27 November 2026" in run("day", "friday").output
    assert run("day", "fryday").exit_code == 2
    assert "tomorrow" in run("day", "fryday").output


def test_the_course_of_many_seasons_fits_the_line(run: Run, home: Path) -> None:
    with Store.open(home / "fieldlog.db") as store:
        juniper = store.horse_named("Juniper").id
        for n in range(40):
            toe = Fact(FactKind.MEASUREMENT, "toe_length", (Foot.RF,), FootBasis.SAID,
                       quantity=Quantity(3 + n % 16 / 16, Unit.INCH), span=(0, 3))  # fmt: skip
            at = datetime(2020, 1, 1, tzinfo=UTC) + timedelta(weeks=6 * n)
            (draft,) = store.add_drafts(None, [Entry((toe,), "toe", (0, 3))], at)
            store.assign_horse(draft.id, juniper)
            store.save_entry(draft.id)
    lines = run("horse", "Juniper", "--trends").output.splitlines()
    course = [line for line in lines if line.startswith("  right front")]
    assert len(course[1]) <= 80
    assert "  …" in course[1]
    assert " 2020-01-01 to 2026-10-14" in course[1]


def test_one_barn_is_one_stop_and_no_barn_is_the_last(run: Run) -> None:
    run("horses", "change", "Copper", "--barn", "Pine Hollow")
    run("horses", "change", "Copper", "--barn", "alder creek")
    run("horses", "change", "Duke", "--barn", "")
    stops = json.loads(run("day", "--json").output)
    names = [[h["horse"] for h in s["horses"]] for s in stops]
    assert names[0] == ["Copper", "Juniper"]
    assert (stops[-1]["barn"], names[-1]) == ("", ["Duke"])
    assert run("follow-ups", "list", "--barn", "alder creek").exit_code == 0
    run("horses", "change", "Juniper", "--barn", "ALDER Creek")
    respelt = json.loads(run("horses", "list", "--json").output)
    assert {h["barn"] for h in respelt if "lder" in h["barn"].lower()} == {"ALDER Creek"}


def test_a_search_is_kept_under_a_name(run: Run) -> None:
    refused = run("search", "--keep", " ", "thrush")
    assert refused.exit_code == 2
    assert "kept under a name" in refused.stderr
    assert "No kept searches" in run("search", "--list").output


def test_a_day_gone_by_may_be_named_wherever_one_is_asked_for(run: Run) -> None:
    """“type --day friday” took it; the lists of what was typed did not."""
    run("type", "--horse", "Willow", "--day", "friday", "trimmed all four")
    assert "trimmed all four" in run("drafts", "--day", "last friday").output
    assert "trimmed all four" not in run("drafts", "--day", "two days ago").output
    run("save", "--sure")
    # The Friday before Wednesday 2026-11-25 is the 20th.
    assert "2026-11-20" in run("notes", "list", "--day", "friday").output
    assert run("paper", "owner", "Willow", "--day", "friday").exit_code == 0


@pytest.mark.parametrize("since", ["spring", "2026-03", "2026", "90d", "last monday"])
def test_a_period_begins_as_it_does_in_a_search(run: Run, since: str) -> None:
    assert run("horse", "Bramble", "--history", "--since", since).exit_code == 0
    paper = run("paper", "record", "Bramble", "--since", since, "--until", "2026-11")
    assert paper.exit_code == 0


def test_the_day_of_the_day_sheet_needs_no_quotes(run: Run) -> None:
    assert "Friday 4 December 2026" in run("day", "next", "friday").output
    assert run("day", "in", "two", "weeks").output == run("day", "2026-12-09").output
    assert "Wednesday 9 December 2026" in run("paper", "day", "in", "two", "weeks").output
