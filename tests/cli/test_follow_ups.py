"""What was promised, at the command line: from the list to done, and into a calendar."""

from __future__ import annotations

import json
from datetime import date, datetime, timedelta
from pathlib import Path

import icalendar
import pytest

from fieldlog.core.facts import Due, Entry, Fact, FactKind, FootBasis, HorseMention
from fieldlog.core.feet import ALL_FEET
from fieldlog.records.store import Store
from tests.cli.conftest import Run
from tests.cli.drafts import save_note


def test_follow_ups_from_list_to_done(run: Run) -> None:
    listed = run("follow-ups").output
    assert "Bramble" in listed
    assert "radiographs" in listed
    found = json.loads(run("follow-ups", "list", "--horse", "Bramble", "--json").output)
    films = next(f for f in found if f["code"] == "radiographs")
    shown = run("follow-ups", "show", films["id"][:8]).output
    assert "from the note of" in shown
    assert "Get radiographs before the next trim" in shown
    assert run("follow-ups", "done", films["id"][:8], "--note", "films seen").exit_code == 0
    left = json.loads(run("follow-ups", "list", "--horse", "Bramble", "--json").output)
    assert films["id"] not in [f["id"] for f in left]
    closed = run("follow-ups", "list", "--horse", "Bramble", "--closed").output
    assert "done" in closed


def test_follow_ups_by_hand(run: Run) -> None:
    """Four weeks from 2026-11-25 is 2026-12-23 (calendar arithmetic, by hand)."""
    made = run("follow-ups", "add", "look at the crack", "--horse", "willow", "--in-weeks", "4")
    assert "due 2026-12-23" in made.output
    short = made.output.split()[1].rstrip(":")
    past = run("follow-ups", "move", short, "yesterday")
    assert past.exit_code == 2
    assert "2026-11-24 is past" in past.stderr
    assert "--past" in past.stderr
    assert "due 2026-12-23" in run("follow-ups", "show", short).output.replace(": ", " ")
    moved = run("follow-ups", "move", short, "yesterday", "--past")
    assert "overdue since 2026-11-24" in moved.output
    assert "look at the crack" in run("follow-ups", "list", "--overdue").output
    assert run("follow-ups", "drop", short).exit_code == 2
    assert run("follow-ups", "drop", short, "--reason", "sold").exit_code == 0
    assert "look at the crack" not in run("follow-ups").output
    assert run("follow-ups", "reopen", short).output.startswith("Open again: Willow")
    assert run("follow-ups", "reopen", short).output.startswith("Open already: Willow")
    assert "look at the crack" in run("follow-ups").output


def test_one_added_by_hand_is_not_past_by_a_slip(run: Run) -> None:
    slip = run("follow-ups", "add", "look", "--horse", "Willow", "--due", "2025-12-23")
    assert slip.exit_code == 2
    assert "2025-12-23 is past" in slip.stderr
    meant = run("follow-ups", "add", "look", "--due", "2026-11-20", "--past")
    assert "look, overdue since 2026-11-20." in meant.output
    assert "ring, without a day." in run("follow-ups", "add", "ring").output


def test_a_day_that_was_taken_away_does_not_come_back_in_words(run: Run, home: Path) -> None:
    """“in four weeks” counts from the note, and was what the farrier took away."""
    text = "recheck in four weeks and bring boots next time"
    weeks = Due("in four weeks", "P4W", on=date(2026, 12, 23))
    at = text.index("recheck"), text.index(" and")
    recheck = Fact(FactKind.FOLLOW_UP, "recheck", span=at, due=weeks)
    later = text.index("bring"), len(text)
    bring = Fact(FactKind.FOLLOW_UP, "bring", span=later, due=Due("next time", ""))
    save_note(home, "Juniper", text, recheck, bring)
    found = json.loads(run("follow-ups", "list", "--horse", "Juniper", "--json").output)
    due = {f["code"]: f["id"] for f in found}
    assert "recheck, without a day" in run("follow-ups", "move", due["recheck"], "none").output
    assert "due: no day" in run("follow-ups", "show", due["recheck"]).output
    assert "due: next time" in run("follow-ups", "show", due["bring"]).output


def test_why_it_was_closed_stands_behind_it(run: Run) -> None:
    made = run("follow-ups", "add", "ring", "--horse", "Willow").output.split()[1].rstrip(":")
    assert "Done: Willow: ring (rang)\n" in run("follow-ups", "done", made, "--note", "rang").output


def test_a_closed_follow_up_keeps_how_it_was_closed(run: Run) -> None:
    ids = [
        run("follow-ups", "add", text, "--horse", "Willow").output.split()[1].rstrip(":")
        for text in ("ring", "look")
    ]
    assert run("follow-ups", "done", ids[0], "--note", "rang").exit_code == 0
    for again in (("done", ids[1], ids[0]), ("drop", ids[0], "--reason", "x"),
                  ("move", ids[0], "friday")):  # fmt: skip
        refused = run("follow-ups", *again)
        assert refused.exit_code == 2
        assert "ring, Willow, is done already (rang)." in refused.stderr
        assert f"follow-ups reopen {ids[0]}" in refused.stderr
    listed = json.loads(run("follow-ups", "list", "--closed", "--json").output)
    states = {f["text"]: (f["state"], f["reason"]) for f in listed}
    assert (states["ring"], states["look"]) == (("done", "rang"), ("open", ""))


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        # 2026-11-25 is a Wednesday.
        (("friday",), "due 2026-11-27"),
        (("next friday",), "due 2026-12-04"),
        (("in", "two", "weeks"), "due 2026-12-09"),
        (("31.12.2026",), "due 2026-12-31"),
        (("31/12",), "due 2026-12-31"),
        (("12/31/26",), "due 2026-12-31"),
        (("24.11.",), "due 2027-11-24"),
        (("none",), "without a day"),
    ],
)
def test_a_promise_moves_to_a_day_as_it_is_said(
    run: Run, typed: tuple[str, ...], said: str
) -> None:
    short = run("follow-ups", "add", "ring").output.split()[1].rstrip(":")
    moved = run("follow-ups", "move", short, *typed)
    assert said in moved.output
    assert ("may mean 2026-11-27" in moved.output) == (typed == ("next friday",))


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("12/01", "may be 2026-12-01 or 2027-01-12"),
        ("02.03.2027", "may be 2027-02-03 or 2027-03-02"),
        ("31.31.2026", "is not a day"),
        ("2026-13-40", "in the calendar"),
        ("whenever", "is not a day"),
    ],
)
def test_no_day_and_a_day_that_may_be_two_are_refused(run: Run, typed: str, words: str) -> None:
    short = run("follow-ups", "add", "ring", "--due", "today").output.split()[1].rstrip(":")
    refused = run("follow-ups", "move", short, typed)
    assert refused.exit_code == 2
    assert words in refused.stderr
    assert "due: today" in run("follow-ups", "show", short).output


def test_views_of_follow_ups(run: Run) -> None:
    run("follow-ups", "add", "ring", "--due", "today", "--who", "owner", "--if", "no better")
    today = run("follow-ups", "list", "--today").output
    assert "ring, if: no better" in today
    assert "ring" in run("follow-ups", "list", "--week").output
    assert "ring" in run("follow-ups", "list", "--waiting").output
    assert "ring" not in run("follow-ups", "list", "--who", "vet").output
    found = json.loads(run("follow-ups", "list", "--by-barn", "--json").output)
    barns = [f["barn"] for f in found]
    assert barns == sorted(barns, key=lambda b: (not b, b))


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("done", "zzzz"), "No single follow-up"),
        (("add", "x", "--kind", "nonsense"), "no kind of follow-up"),
        (("add", "x", "--due", "someday"), "is not a day"),
        (("add", "x", "--due", "today", "--in-weeks", "2"), "say the same thing"),
        (("list", "--horse", "Nobody"), "no horse called"),
    ],
)
def test_wrong_follow_ups_are_sentences(run: Run, arguments: tuple[str, ...], words: str) -> None:
    bad = run("follow-ups", *arguments)
    assert bad.exit_code in (1, 2)
    assert words in bad.stderr
    assert "Traceback" not in bad.output


def test_calendar_file_read_by_icalendar(run: Run, tmp_path: Path) -> None:
    target = tmp_path / "dates.ics"
    made = run("follow-ups", "add", "ring, then look; ü", "--due", "2026-12-23").output
    short = made.split()[1].rstrip(":")
    assert run("follow-ups", "ics", str(target)).exit_code == 0
    first = {str(e["UID"]): e for e in _events(target)}
    ring = next(e for e in first.values() if "ring, then look; ü" in str(e["SUMMARY"]))
    assert ring.decoded("DTSTART") == date(2026, 12, 23)
    assert run("follow-ups", "ics", str(target)).exit_code == 2
    run("follow-ups", "move", short, "2026-12-30")
    run("follow-ups", "ics", str(target), "--force")
    moved = {str(e["UID"]): e for e in _events(target)}[str(ring["UID"])]
    assert moved.decoded("DTSTART") == date(2026, 12, 30)
    assert moved.decoded("SEQUENCE") > ring.decoded("SEQUENCE")
    run("follow-ups", "done", short)
    run("follow-ups", "ics", str(target), "--force")
    gone = {str(e["UID"]): e for e in _events(target)}[str(ring["UID"])]
    assert str(gone["STATUS"]) == "CANCELLED"
    assert gone.decoded("SEQUENCE") > moved.decoded("SEQUENCE")
    visits = [u for u in first if u.startswith("visit-")]
    assert len(visits) >= 3


def _events(path: Path) -> list[icalendar.Component]:
    return list(icalendar.Calendar.from_ical(path.read_bytes()).walk("VEVENT"))


def test_what_is_of_no_horse_says_so(run: Run) -> None:
    short = run("follow-ups", "add", "order nails").output.split()[1].rstrip(":")
    assert run("follow-ups", "move", short, "friday").output.startswith("Moved: no horse: order")
    assert run("follow-ups", "done", short).output == "Done: no horse: order nails\n"


def test_a_barn_is_known_by_its_beginning_and_none_that_fits_is_not_none(run: Run) -> None:
    listed = run("follow-ups", "list", "--barn", "alder").output
    assert "Alder Creek" in listed
    assert "Stony Ridge" not in listed
    unknown = run("follow-ups", "list", "--barn", "Nowhere")
    assert unknown.exit_code == 1
    assert "Known are Alder Creek, " in unknown.stderr
    none = run("follow-ups", "list", "--horse", "Willow", "--who", "vet").output
    assert none.startswith("None that fits. Open in all: ")


def test_the_same_said_again_is_one_line_and_is_done_with_one_word(run: Run) -> None:
    """It stood there twice, and had to be done twice."""
    ids = [
        run("follow-ups", "add", "Ring Jo.", "--horse", "Willow", "--due", "today")
        .output.split()[1]
        .rstrip(":")
        for _ in range(2)
    ]
    listed = run("follow-ups", "list", "--horse", "Willow").output
    assert listed.count("Ring Jo.") == 1
    assert "said twice: by hand" in " ".join(listed.split())
    assert run("follow-ups", "done", ids[1]).exit_code == 0
    assert "Ring Jo." not in run("follow-ups").output
    closed = json.loads(run("follow-ups", "list", "--horse", "Willow", "--closed", "--json").output)
    assert {i for f in closed for i in (f["id"][:8], *(a[:8] for a in f["also"]))} >= set(ids)
    run("follow-ups", "reopen", ids[0])
    moved = run("follow-ups", "move", ids[0], "2026-12-23").output
    assert "said twice" in moved
    run("follow-ups", "drop", ids[0], "--reason", "rang")
    assert "Ring Jo." not in run("follow-ups").output


def test_the_same_said_again_is_one_event(run: Run, tmp_path: Path) -> None:
    for _ in range(2):
        run("follow-ups", "add", "ring Jo", "--horse", "Willow", "--due", "2026-12-23")
    target = tmp_path / "due.ics"
    run("follow-ups", "ics", str(target), "--no-visits")
    events = [e for e in target.read_text().split("BEGIN:VEVENT") if "ring Jo" in e]
    assert sorted("STATUS:CANCELLED" in e for e in events) == [False, True]


def test_the_options_of_the_list_may_follow_at_once(run: Run) -> None:
    """“Without a subcommand this is list”, the help says."""
    assert run("follow-ups", "--json").output == run("follow-ups", "list", "--json").output
    assert run("follow-ups", "--overdue").output == run("follow-ups", "list", "--overdue").output
    assert (
        run("notes", "--horse", "Rosie").output == run("notes", "list", "--horse", "Rosie").output
    )
    assert "Commands" in run("follow-ups", "--help").output
    assert run("follow-ups", "--nonsense").exit_code == 2


def test_words_of_a_follow_up_need_no_quotes_and_may_name_the_day(run: Run) -> None:
    """“In two weeks is one word too many”; and in quotes the day was lost without a word."""
    made = run("follow-ups", "add", "recheck", "in", "two", "weeks", "--horse", "Willow")
    # Two weeks from Wednesday 2026-11-25 is 2026-12-09.
    assert "recheck in two weeks, due 2026-12-09." in made.output
    assert "rasps friday, due 2026-11-27." in run("follow-ups", "add", "rasps friday").output
    doubt = run("follow-ups", "add", "rasps", "next", "friday").output
    assert "Check the day: “next Friday” may mean 2026-11-27" in doubt
    asked = run("follow-ups", "add", "rasps", "friday", "--due", "2026-12-01").output
    assert "due 2026-12-01." in asked


def test_a_visit_keeps_a_recheck_that_was_typed_and_nothing_else(run: Run, home: Path) -> None:
    """“Ring the owner” counted as a recheck: the next saved visit closed it, and told nobody."""
    for text in ("ring the feed merchant", "recheck"):
        run("follow-ups", "add", text, "--horse", "Willow")
    later = datetime.now().astimezone() + timedelta(days=2)  # promised is it on the real day
    trim = Fact(FactKind.WORK, "trim", ALL_FEET, FootBasis.SAID, span=(0, 4))
    entry = Entry((trim,), "trim", (0, 4), HorseMention("Willow", (0, 0), known=True))
    with Store.open(home / "fieldlog.db") as store:
        store.save_entry(store.add_drafts(None, [entry], later)[0].id)
    listed = run("follow-ups", "list", "--horse", "Willow").output
    assert "ring the feed merchant" in listed
    assert "recheck" not in listed
