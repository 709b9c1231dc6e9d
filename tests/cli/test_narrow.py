"""Lists on a terminal of 80 columns: nothing that they say is cut off."""

from __future__ import annotations

from pathlib import Path

import pytest

from fieldlog.cli import session
from fieldlog.cli.session import folded, table
from fieldlog.core.facts import Entry
from fieldlog.records.store import Store
from tests.cli.conftest import Run

LONG = "This computer cannot record sound yet (a library is missing). Install it, then try again."


@pytest.fixture(autouse=True)
def terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(session, "_is_terminal", lambda err=False: True)
    monkeypatch.setenv("COLUMNS", "80")


def test_a_long_cell_goes_on_in_the_next_line() -> None:
    shown = table(("part", "state", "who"), [("microphone", LONG, "owner"), ("model", "ok", "")])
    lines = shown.splitlines()
    assert max(map(len, lines)) <= 80
    assert "…" not in shown
    assert " ".join(line[12:73].strip() for line in lines[2:-1]) == LONG
    assert lines[2].startswith("microphone  This computer")
    assert lines[2].endswith("  owner")


def test_a_long_cell_is_only_cut_where_that_is_asked_for() -> None:
    lines = table(("id", "words"), [("1", LONG)], cut=True).splitlines()
    assert lines[-1].endswith("…")
    assert len(lines) == 3


def test_follow_ups_show_who_is_to_act_and_all_that_is_to_be_done(run: Run) -> None:
    run("follow-ups", "add", "call or message the owner about the pads and the wet paddock",
        "--horse", "Bramble", "--due", "today", "--who", "owner")  # fmt: skip
    shown = run("follow-ups").output
    assert max(map(len, shown.splitlines())) <= 80
    assert "call or message the owner about the pads and the wet paddock (owner)" in shown
    assert "…" not in shown


def test_a_promise_stands_in_two_lines_where_columns_are_too_narrow(run: Run) -> None:
    """In columns it took up to ten, sixteen letters wide."""
    wanted = "get radiographs of both fronts before the next trim, and call when they are in"
    run("horses", "change", "Bramble", "--barn", "Stony Brook Equestrian Centre")
    run("follow-ups", "add", wanted, "--horse", "Bramble", "--due", "2026-11-27", "--who", "vet")
    shown = run("follow-ups", "list", "--horse", "Bramble").output.splitlines()
    at = next(n for n, line in enumerate(shown) if "2026-11-27" in line)
    assert shown[at][8:] == "  2026-11-27  Bramble, Stony Brook Equestrian Centre"
    assert " ".join(" ".join(shown[at + 1 : at + 3]).split()).startswith(f"{wanted} (vet)")
    assert shown[at + 1].startswith(" " * 10)


def test_a_list_that_fits_is_a_table(run: Run, tmp_path: Path) -> None:
    run("follow-ups", "add", "order nails", at=tmp_path)
    shown = run("follow-ups", at=tmp_path).output
    assert shown.splitlines()[0].split() == ["id", "due", "horse", "barn", "what", "who"]


def test_a_long_sentence_goes_on_at_a_word(run: Run) -> None:
    refused = run("horse", "Nobody at all")
    assert max(map(len, refused.stderr.splitlines())) <= 80
    assert " ".join(refused.stderr.split()).endswith("“fieldlog horses add NAME” adds one.")


def test_a_line_goes_on_under_its_start() -> None:
    words = "left hind thrush in the central sulcus"
    assert folded(f"  12  {words}", 30).splitlines() == [
        "  12  left hind thrush in the",
        "      central sulcus",
    ]
    assert folded("short", 30) == "short"
    assert folded("x" * 40, 30) == "x" * 40


def test_a_list_of_drafts_fits_with_its_rule(run: Run, home: Path) -> None:
    with Store.open(home / "fieldlog.db") as store:
        store.add_drafts(None, [Entry((), "words " * 40, (0, 240))])
    lines = run("drafts").output.splitlines()
    assert {len(line) for line in lines[1:]} == {80}
    assert set(lines[1]) == {"-", " "}


def test_hits_of_a_search_fit(run: Run) -> None:
    lines = run("search", "thrush", "horse:Rosie").output.splitlines()
    assert max(map(len, lines)) <= 80


def test_trends_stand_in_whole_lines(run: Run) -> None:
    shown = run("horse", "Juniper", "--trends").output.splitlines()
    assert max(map(len, shown)) <= 80
    feet = [line for line in shown if line.startswith("  left front")]
    assert len(feet) == 3
    for line in feet:
        assert " to 2026-10-14" in line, "its days stand whole behind it"
