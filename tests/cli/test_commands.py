"""The command line on real records: what a farrier does after the day, and what goes wrong."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from datetime import date
from pathlib import Path

import icalendar
import jsonschema
import pypdf
import pytest
from click.testing import CliRunner

from fieldlog.cli.main import cli
from fieldlog.core.facts import Entry, Fact, FactKind, FootBasis, HorseMention
from fieldlog.core.feet import Foot
from fieldlog.records.store import Store
from tests.cli.conftest import Run


def add_draft(home: Path, horse: str = "Juniper", sure: bool = True) -> str:
    """One typed draft in the store; returns its id."""
    fact = Fact(FactKind.FINDING, "thrush", (Foot.LH,), FootBasis.SAID, span=(0, 6))
    if not sure:
        fact = fact.with_doubt("foot_assumed", "Which left foot was meant?")
    entry = Entry((fact,), "thrush on the left hind", (0, 23), HorseMention(horse, (0, 0)))
    with Store.open(home / "fieldlog.db") as store:
        return store.add_drafts(None, [entry])[0].id


def save_note(home: Path, horse: str, text: str, *facts: Fact) -> None:
    """One saved typed note."""
    entry = Entry(facts, text, (0, len(text)), HorseMention(horse, (0, 0), known=True))
    with Store.open(home / "fieldlog.db") as store:
        store.save_entry(store.add_drafts(None, [entry])[0].id)


def said(kind: FactKind, code: str, text: str, part: str, **details: str) -> Fact:
    """A promise or an advice in the words ``part`` of ``text``."""
    at = text.index(part)
    return Fact(kind, code, span=(at, at + len(part)), details=details)


# people


def test_lists_of_people_and_horses(run: Run) -> None:
    clients = json.loads(run("clients", "list", "--json").output)
    assert {c["name"] for c in clients} >= {"Marta Ellery", "Roy Tanner"}
    horses = run("horses").output
    assert "Juniper  Marta Ellery" in horses
    only = run("horses", "list", "--owner", "roy tanner").output
    assert "Bramble" in only
    assert "Juniper" not in only


def test_adding_and_changing_a_horse_with_its_owner(run: Run) -> None:
    done = run("horses", "add", "Tilly", "--owner", "Nora Quill", "--cycle-weeks", "5")
    assert done.output == "Added Tilly of Nora Quill.\nNora Quill is a new client.\n"
    changed = run("horses", "change", "tilly", "--barn", "Long Acre", "--new-name", "Tillie")
    assert changed.exit_code == 0
    tillie = next(h for h in json.loads(run("horses", "list", "--json").output)
                  if h["name"] == "Tillie")  # fmt: skip
    assert (tillie["barn"], tillie["cycle_weeks"], tillie["client"]) == (
        "Long Acre",
        5,
        "Nora Quill",
    )
    assert run("clients", "change", "Nora Quill", "--phone", "555 0199").exit_code == 0
    assert "555 0199" in run("clients").output


def test_a_client_is_forgotten_and_the_chain_stays_whole(
    run: Run, home: Path, tmp_path: Path
) -> None:
    assert run("clients", "forget", "Roy Tanner").exit_code == 2
    asked = run("clients", "forget", "Roy Tanner", "--reason", "asked for it", input="n\n")
    assert asked.exit_code == 1
    assert "Bramble" in run("horses").output
    done = run("clients", "forget", "roy tanner", "--reason", "asked for it", "--yes")
    assert done.exit_code == 0, done.output
    assert "2 horses" in done.output
    assert "none was changed" in run("data", "verify").output
    for word in ("Bramble", "Rosie", "Tanner"):
        assert word not in run("horses").output + run("clients").output
        assert word.encode() not in (home / "fieldlog.db").read_bytes()
    assert "overgrown" not in run("search", "overgrown").output.split("Nothing saved fits")[0]
    target = tmp_path / "all.json"
    run("data", "export", str(target))
    other = tmp_path / "elsewhere"
    assert run("data", "import", str(target), at=other).exit_code == 0
    assert "none was changed" in run("data", "verify", at=other).output


def test_a_wrong_microchip_is_a_sentence(run: Run) -> None:
    """985999999999999 passes 274,877,906,943 in its last 12 digits (ISO 11784, 38 bits)."""
    bad = run("horses", "add", "Tilly", "--microchip", "985999999999999")
    assert bad.exit_code == 2
    assert bad.stderr.startswith("fieldlog: ")
    assert "Traceback" not in bad.output
    assert run("horses", "add", "Tilly", "--microchip", "968000004531234").exit_code == 0


# drafts and saving


def test_drafts_are_listed_shown_and_saved(run: Run, home: Path) -> None:
    assert "Everything is saved" in run("drafts").output
    entry = add_draft(home)
    assert "thrush on the left hind" in run("drafts").output
    assert "left hind · thrush" in run("drafts", entry[:8]).output
    assert "1 saved, 0 drafts left" in run("save", "--sure").output
    assert "thrush" in run("search", "thrush", "horse:Juniper").output


def test_doubtful_and_nameless_drafts_are_not_saved_as_sure(run: Run, home: Path) -> None:
    doubtful, nameless = add_draft(home, sure=False), add_draft(home, horse="Nobody")
    assert "0 saved, 2 drafts left" in run("save", "--sure").output
    shown = run("drafts", doubtful[:8]).output
    assert "? left hind" in shown
    assert "Which left foot was meant?" in shown
    refused = run("save", nameless[:8])
    assert refused.exit_code == 2
    assert "has no horse yet" in refused.stderr
    told = run("save", nameless[:8], "--horse", "Juniper")
    assert told.exit_code == 0
    assert "asked for a look" not in told.output
    asked = run("save", "--all", input="n\n")
    assert asked.exit_code == 1
    assert "1 facts still ask" in asked.output
    saved = run("save", "--all", "--yes").output
    assert "1 fact in it asked for a look and got none.\nA saved note asks no more." in saved
    assert "new revision" in saved
    assert "fieldlog drafts ID" in saved
    assert "1 saved, 0 drafts left" in saved


def test_lists_that_one_plans_by_tell_of_drafts_that_wait(run: Run, home: Path) -> None:
    for command in ("day", "follow-ups"):
        assert "to be looked at" not in run(command).output
    add_draft(home)
    for listed in (("day",), ("follow-ups",), ("follow-ups", "list", "--horse", "Willow")):
        said = "1 note waits to be looked at; what they say is not in this list yet"
        assert f"{said}: fieldlog review" in run(*listed).output
    vet = Fact(FactKind.FOLLOW_UP, "vet_visit", (Foot.LH,), details={"urgent": "yes"})
    nail = Fact(FactKind.FINDING, "penetrating_object", (Foot.LH,))
    no_nail = replace(nail, negated=True)
    with Store.open(home / "fieldlog.db") as store:
        store.add_drafts(None, [Entry((f,), "x", (0, 1)) for f in (vet, nail, no_nail)])
    assert "4 notes wait to be looked at, 2 with an urgent call" in run("day").output
    assert json.loads(run("follow-ups", "list", "--json").output)
    assert json.loads(run("day", "--json").output)


def test_saving_nothing_or_the_unknown_says_so(run: Run) -> None:
    assert run("save").exit_code == 2
    assert run("save", "ffffffff").exit_code == 1
    assert run("save", "--horse", "Juniper", "--sure").exit_code == 2


# follow-ups


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
    assert "due OVERDUE 2026-11-24" in moved.output
    assert "look at the crack" in run("follow-ups", "list", "--overdue").output
    assert run("follow-ups", "drop", short).exit_code == 2
    assert run("follow-ups", "drop", short, "--reason", "sold").exit_code == 0
    assert "look at the crack" not in run("follow-ups").output
    assert run("follow-ups", "reopen", short).exit_code == 0
    assert "look at the crack" in run("follow-ups").output


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
        (("none",), "due no day"),
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
        ("2026-13-40", "is not a day"),
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


# finding


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
    for odd in ('"', "foot:", "((", "NEAR", "a AND", "*", "toe_length>", "';--"):
        result = run("search", odd)
        assert result.exit_code == 0, odd
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
    assert "body condition score Henneke body condition, 1 to 9" in trends
    assert "henneke_1_9" not in trends


def test_a_draft_shown_whole_tells_before_from_after(run: Run, home: Path) -> None:
    fact = Fact(FactKind.MEASUREMENT, "toe_length", (Foot.LF,), details={"moment": "before"})
    with Store.open(home / "fieldlog.db") as store:
        (draft,) = store.add_drafts(None, [Entry((fact,), "x", (0, 1))])
    assert "toe length · before the work" in run("drafts", draft.id[:8]).output


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


# papers


def test_papers_as_files(run: Run, tmp_path: Path) -> None:
    pdf = tmp_path / "owner.pdf"
    assert run("paper", "owner", "Rosie", "--out", str(pdf)).exit_code == 0
    words = " ".join(p.extract_text() for p in pypdf.PdfReader(pdf).pages)
    assert "Rosie" in words
    assert "Bramble" not in words
    assert run("paper", "owner", "Rosie", "--out", str(pdf)).exit_code == 2
    assert run("paper", "owner", "Rosie", "--out", str(pdf), "--force").exit_code == 0
    html = tmp_path / "vet.html"
    assert run("paper", "vet", "Storm", "--out", str(html), "--to", "<b>Dr. Vet").exit_code == 0
    assert "&lt;b&gt;Dr. Vet" in html.read_text(encoding="utf-8")
    neglect = run("paper", "neglect", "Bramble").output
    assert "The chain was verified" in neglect
    assert "Entry " in neglect
    record = tmp_path / "record.pdf"
    assert run("paper", "record", "Bramble", "--out", str(record)).exit_code == 0
    assert sum(len(p.images) for p in pypdf.PdfReader(record).pages) == 1
    assert "Safety first" in run("paper", "before", "Biscuit").output
    assert "Day sheet" in run("paper", "day").output


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("owner", "Rosie", "--day", "2020-01-01"), "Nothing was saved about Rosie"),
        (("owner", "Rosie", "--out", "x.doc"), "no form of paper"),
        (("owner", "Rosie", "--out", "/nowhere/at/all/x.pdf"), "There is no folder"),
        (("record", "Rosie", "--since", "2026-05-01", "--until", "2026-01-01"), "ends before"),
    ],
)
def test_wrong_papers_are_sentences(run: Run, arguments: tuple[str, ...], words: str) -> None:
    bad = run("paper", *arguments)
    assert bad.exit_code in (1, 2)
    assert words in bad.stderr


# everything out and in


def test_export_round_trip_json_and_csv(run: Run, tmp_path: Path) -> None:
    first = tmp_path / "all.json"
    assert run("data", "export", str(first)).exit_code == 0
    schema = json.loads(run("data", "schema").output)
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(json.loads(first.read_text(encoding="utf-8")), schema)
    folder = tmp_path / "csv"
    assert run("data", "export", str(folder)).exit_code == 0
    for source in (first, folder):
        other = tmp_path / f"home-{source.name}"
        assert run("data", "import", str(source), at=other).exit_code == 0
        again = tmp_path / f"again-{source.name}.json"
        run("data", "export", str(again), at=other)
        assert again.read_bytes() == first.read_bytes()
        assert "none was changed" in run("data", "verify", at=other).output


def test_the_export_leaves_no_table_out(home: Path) -> None:
    """A table that a later schema adds goes out as well, without being named anywhere."""
    from fieldlog.papers.exchange import everything, tables_of

    with Store.open(home / "fieldlog.db") as store:
        with store.write():
            store.run("CREATE TABLE later_thing (id INTEGER PRIMARY KEY, what TEXT NOT NULL)")
            store.run("INSERT INTO later_thing (what) VALUES ('kept')")
        assert {"clients", "revisions", "follow_ups", "later_thing"} < set(tables_of(store))
        assert everything(store)["tables"]["later_thing"] == [{"id": 1, "what": "kept"}]


def test_fhir_file(run: Run, tmp_path: Path) -> None:
    target = tmp_path / "bramble.json"
    result = run("data", "fhir", "Bramble", str(target), "--since", "2026-09-01")
    assert result.exit_code == 0
    assert "Left out: work done" in result.output
    data = json.loads(target.read_text(encoding="utf-8"))
    assert data["resourceType"] == "Bundle"
    days = [e["resource"].get("effectiveDateTime", "2026-12") for e in data["entry"]]
    assert min(days) >= "2026-09-01"
    assert "Rosie" not in target.read_text(encoding="utf-8")


def test_csv_is_rfc_4180(run: Run, tmp_path: Path) -> None:
    """RFC 4180: CRLF, as many fields in each line, quotes doubled."""
    run("clients", "add", 'Ann "Nan" O’Dell, senior', "--notes", "two\nlines")
    run("data", "export", str(tmp_path / "csv"))
    raw = (tmp_path / "csv" / "clients.csv").read_bytes()
    assert b'"Ann ""Nan"" O\xe2\x80\x99Dell, senior"' in raw
    assert raw.endswith(b"\r\n")
    rows = list(csv.reader(io.StringIO(raw.decode(), newline="")))
    assert len({len(row) for row in rows}) == 1
    assert rows[0][:2] == ["id", "name"]
    assert any(row[-1] == "two\nlines" for row in rows)


def test_imports_that_do_not_fit_change_nothing(run: Run, tmp_path: Path) -> None:
    good = tmp_path / "all.json"
    run("data", "export", str(good))
    refused = run("data", "import", str(good))
    assert "empty database only" in refused.stderr
    data = json.loads(good.read_text(encoding="utf-8"))
    cases = {
        "not json": "{",
        "other": json.dumps({"format": "x"}),
        "newer": json.dumps({**data, "version": 99}),
        "cut": json.dumps({**data, "tables": {}}),
    }
    forged = json.loads(json.dumps(data))
    body = forged["tables"]["revisions"][3]["body"]
    forged["tables"]["revisions"][3]["body"] = body.replace("Trimmed", "Neglected")
    cases["forged"] = json.dumps(forged)
    orphan = json.loads(json.dumps(data))
    orphan["tables"]["horses"] = []
    cases["orphan"] = json.dumps(orphan)
    for name, text in cases.items():
        source, other = tmp_path / f"{name}.json", tmp_path / name
        source.write_text(text, encoding="utf-8")
        result = run("data", "import", str(source), at=other)
        assert result.exit_code == 2, name
        assert "Traceback" not in result.output
        assert json.loads(run("horses", "list", "--json", at=other).output) == []
    assert run("data", "import", str(tmp_path / "nothing.json"), at=tmp_path / "n").exit_code == 2


def test_verify_names_the_entry_that_was_changed(run: Run, home: Path) -> None:
    assert "none was changed" in run("data", "verify").output
    import sqlite3

    with sqlite3.connect(home / "fieldlog.db") as raw:
        raw.execute("DROP TRIGGER revisions_no_update")
        raw.execute("UPDATE revisions SET body = body || ' ' WHERE link = 2")
    result = run("data", "verify")
    assert result.exit_code == 1
    assert "BROKEN at link 2" in result.output
    assert "DOES NOT VERIFY" in run("paper", "neglect", "Bramble").output


# the machine


def test_settings_are_shown_while_the_records_cannot_be_read(run: Run, home: Path) -> None:
    (home / "fieldlog.db").write_bytes(b"no database" * 1000)
    shown = run("settings")
    assert shown.exit_code == 0
    assert "learn_from_looks" in shown.output


def test_settings_are_created_shown_and_checked(run: Run, home: Path) -> None:
    assert run("settings", "path").output.strip() == str(home / "fieldlog.toml")
    assert run("settings", "create").exit_code == 0
    assert run("settings", "create").exit_code == 2
    assert json.loads(run("settings", "show", "--json").output)["cycle_weeks"] == 6
    (home / "fieldlog.toml").write_text("cycle_weeks = 'six'\n", encoding="utf-8")
    bad = run("settings")
    assert bad.exit_code == 2
    assert "must be of type int" in bad.stderr


def test_created_settings_are_the_defaults_when_uncommented(run: Run, home: Path) -> None:
    run("settings", "create")
    path = home / "fieldlog.toml"
    lines = path.read_text(encoding="utf-8").splitlines()
    path.write_text(
        "\n".join(line[2:] if " = " in line else line for line in lines), encoding="utf-8"
    )
    from fieldlog.config import Settings, load_settings

    assert load_settings(path) == Settings()


def test_a_newer_database_is_left_alone(run: Run, home: Path) -> None:
    import sqlite3

    with sqlite3.connect(home / "fieldlog.db") as raw:
        raw.execute("PRAGMA user_version = 99")
    before = (home / "fieldlog.db").read_bytes()
    result = run("horses")
    assert result.exit_code == 1
    assert "newer fieldlog" in result.stderr
    assert (home / "fieldlog.db").read_bytes() == before


def test_a_file_that_is_no_database(run: Run, tmp_path: Path) -> None:
    (tmp_path / "other").mkdir()
    (tmp_path / "other" / "fieldlog.db").write_bytes(b"not a database at all" * 100)
    result = run("horses", at=tmp_path / "other")
    assert result.exit_code == 1
    assert "Traceback" not in result.output
    assert result.stderr.startswith("fieldlog: ")


def test_review_needs_a_terminal(run: Run) -> None:
    result = run("review")
    assert result.exit_code == 2
    assert "needs a terminal" in result.stderr


def test_review_opens_the_app_on_the_records(
    run: Run, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from fieldlog.app.main import FieldlogApp
    from fieldlog.cli import app_start

    opened: list[FieldlogApp] = []
    monkeypatch.setattr(app_start, "terminal_there", lambda: True)
    monkeypatch.setattr(FieldlogApp, "run", lambda self: opened.append(self))
    assert run("review", "--screen", "due").exit_code == 0
    (app,) = opened
    assert app.desk.places.database == home / "fieldlog.db"
    assert app.desk.today() == date(2026, 11, 25)
    (home / "fieldlog.db").write_bytes(b"no database" * 300)
    broken = run("review")
    assert broken.exit_code == 1
    assert broken.stderr.startswith("fieldlog: ")
    assert len(opened) == 1


def test_wrong_today_is_a_sentence(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FIELDLOG_TODAY", "someday")
    result = CliRunner().invoke(cli, ["--home", str(home), "follow-ups"])
    assert result.exit_code == 2
    assert "is not a day" in result.stderr


@pytest.mark.parametrize(
    ("module", "arguments"),
    [
        ("fpdf", ("paper", "owner", "Rosie", "--out", "o.pdf")),
        ("jinja2", ("paper", "owner", "Rosie", "--out", "o.html")),
        ("matplotlib", ("horse", "Bramble", "--chart", "o.png")),
    ],
)
def test_a_missing_package_is_a_sentence(
    run: Run,
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
    module: str,
    arguments: tuple[str, ...],
) -> None:
    import builtins
    from typing import Any

    real = builtins.__import__

    def without(name: str, *rest: Any, **more: Any) -> Any:
        if name.split(".")[0] == module:
            raise ModuleNotFoundError(f"No module named {module!r}", name=module)
        return real(name, *rest, **more)

    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(builtins, "__import__", without)
    result = run(*arguments)
    assert result.exit_code == 1
    assert "install fieldlog again" in result.stderr
    assert list(tmp_path.glob("o.*")) == []


def test_what_the_app_would_ask_about_is_not_saved_as_sure(run: Run, home: Path) -> None:
    fact = Fact(FactKind.FINDING, "thrush", (Foot.LH,), FootBasis.SAID, span=(0, 6), confidence=0.4)
    entry = Entry((fact,), "thrush on the left hind", (0, 23), HorseMention("Juniper", (0, 0)))
    with Store.open(home / "fieldlog.db") as store:
        short = store.add_drafts(None, [entry])[0].id[:8]
    assert "right about 40 times in 100" in run("drafts", short).output
    run("save", "--sure")
    assert short in run("drafts").output


def test_papers_say_what_was_promised_and_advised(run: Run, home: Path) -> None:
    text = (
        "told roy to soak the foot twice a day and spoke to roy roy is to keep him in a dry stall"
    )
    save_note(
        home,
        "Rosie",
        text,
        said(FactKind.ADVICE, "spoke_to", text, "told roy to soak the foot twice a day", to="Roy"),
        said(FactKind.ADVICE, "spoke_to", text, "spoke to roy", to="Roy"),
        said(FactKind.FOLLOW_UP, "owner_care", text, "keep him in a dry stall", who="owner"),
    )
    paper = run("paper", "owner", "Rosie").output
    assert "[ ] Told Roy to soak the foot twice a day." in paper
    assert "[ ] Owner care: keep him in a dry stall." in paper
    assert "[ ] Owner care: pick out the feet daily." in paper
    assert "poke to" not in paper
    assert "owner care: keep him in a dry stall" in run("follow-ups").output


def test_papers_name_nobody_else_in_spoken_words(run: Run, home: Path) -> None:
    text = "tell her about copper's shoes told pete to call dan keep the abscess dry"
    save_note(
        home,
        "Rosie",
        text,
        said(FactKind.FOLLOW_UP, "tell_owner", text, "tell her about copper's shoes", who="owner"),
        said(FactKind.ADVICE, "spoke_to", text, "told pete to call dan", to="Pete"),
        said(FactKind.FOLLOW_UP, "owner_care", text, "keep the abscess dry", who="owner"),
    )
    paper = run("paper", "owner", "Rosie").output
    assert "[ ] Tell the owner." in paper
    assert "[ ] Owner care: keep the suspected abscess dry." in paper
    for other in ("opper", "ete", "dan"):
        assert f"{other} " not in paper.split("What to do")[1].split("Next visit")[0]
    assert "copper's shoes" in run("follow-ups").output


def test_a_paper_tells_of_drafts_that_are_not_in_it(run: Run, home: Path, tmp_path: Path) -> None:
    assert run("paper", "owner", "Juniper").stderr == ""
    add_draft(home)
    one = run("paper", "owner", "Juniper")
    assert one.stderr == "1 draft of this horse is not saved and not in it: fieldlog review\n"
    add_draft(home)
    add_draft(home, "Copper")
    told = run("paper", "vet", "Juniper", "--out", str(tmp_path / "vet.txt")).stderr
    assert told == "2 drafts of this horse are not saved and not in it: fieldlog review\n"
    assert run("paper", "owner", "Juniper", "--day", "2026-10-14").stderr == ""
