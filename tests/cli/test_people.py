"""Clients and horses at the command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from fieldlog.core.facts import Fact, FactKind, FootBasis
from fieldlog.core.feet import Foot
from fieldlog.records.store import Store
from tests.cli.conftest import Run
from tests.cli.drafts import add_draft, save_note


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


def test_a_new_horse_gets_the_drafts_that_name_it(run: Run, home: Path) -> None:
    entry = add_draft(home, horse="Tilly")
    added = run("horses", "add", "tilly").output
    assert f"The draft that names it is tilly's now: {entry[:8]}" in added
    assert run("save", entry[:8]).exit_code == 0
    other = add_draft(home, horse="Rosie Two")
    assert other[:8] not in run("horses", "add", "Rosie").output


@pytest.mark.parametrize(("group", "name"), [("horses", "Rosie"), ("clients", "Roy Tanner")])
def test_a_change_of_nothing_says_so(run: Run, group: str, name: str) -> None:
    refused = run(group, "change", name)
    assert refused.exit_code == 2
    assert "Nothing to change was given" in refused.stderr


def test_a_horse_entered_by_mistake_goes_and_one_with_notes_stays(run: Run) -> None:
    run("horses", "add", "Jupiner", "--owner", "Marta Ellery")
    gone = run("horses", "remove", "Jupiner")
    assert gone.exit_code == 0, gone.stderr
    assert "Removed Jupiner of Marta Ellery" in gone.output
    assert "Jupiner" not in run("horses").output
    kept = run("horses", "remove", "Juniper")
    assert kept.exit_code == 2
    assert "Something is noted of Juniper, or was once, so it stays" in kept.stderr
    assert "Juniper" in run("horses").output


def test_a_horse_whose_only_note_was_given_away_stays_in_the_chain(run: Run, home: Path) -> None:
    run("horses", "add", "Jupiner")
    text = "left hind thrush"
    fact = Fact(FactKind.FINDING, "thrush", (Foot.LH,), FootBasis.SAID)
    save_note(home, "Jupiner", text, fact)
    note = json.loads(run("notes", "list", "--horse", "Jupiner", "--json").output)[0]["id"]
    assert run("notes", "horse", note, "Juniper", "--reason", "misheard").exit_code == 0
    assert run("horses", "remove", "Jupiner").exit_code == 2
    assert run("data", "verify").exit_code == 0


def test_a_horse_that_undo_may_need_stays(run: Run, home: Path) -> None:
    draft = add_draft(home, "Juniper")
    run("horses", "add", "Jupiner")
    with Store.open(home / "fieldlog.db") as store:
        store.assign_horse(draft, store.horse_named("Jupiner").id)
        store.assign_horse(draft, store.horse_named("Juniper").id)
    assert "undo would give it back" in run("horses", "remove", "Jupiner").stderr
    run("save", draft[:8])
    assert run("horses", "remove", "Jupiner").exit_code == 0


def test_a_forgotten_client_is_on_no_list(run: Run) -> None:
    assert run("clients", "forget", "Roy Tanner", "--reason", "asked", "--yes").exit_code == 0
    for command in (("clients",), ("horses",), ("day", "--until", "2028-01-01")):
        assert "Removed" not in run(*command).output
    kept = json.loads(run("horses", "list", "--json").output)
    assert [h["name"] for h in kept if h["name"].startswith("Removed")]


@pytest.mark.parametrize(
    ("born", "taken"),
    [
        ("2017", True),
        ("2017-04-02", True),
        ("April 2017", True),
        ("", True),
        ("banana", False),
        ("2099", False),
        ("1899", False),
        ("12/04/17", False),
    ],
)
def test_a_birth_has_a_year_that_can_be(run: Run, born: str, taken: bool) -> None:
    for command in (("add", "Pip"), ("change", "Rosie")):
        done = run("horses", *command, "--born", born)
        assert (done.exit_code == 0) is taken, done.output
        assert taken or f"“{born}” is no year or date of birth." in done.stderr


def test_a_name_is_one_name_however_its_accents_are_written(run: Run) -> None:
    """A Mac takes names of files apart into letters and accents: the same name was another."""
    apart, together = "Zoe\u0308", "Zo\u00eb"
    owner_apart, owner = "Rene\u0301e", "Ren\u00e9e"
    assert run("horses", "add", apart, "--owner", owner_apart, "--barn", apart).exit_code == 0
    assert together in [h["name"] for h in json.loads(run("horses", "list", "--json").output)]
    for name in (apart, together, f"{apart} of {owner}", f"{together} of {owner_apart}"):
        assert f"Horse  {together}" in run("horse", name).output
    assert run("clients", "add", owner).exit_code == 2
    assert run("type", "--horse", apart, f"trimmed {apart}").exit_code == 0
    assert run("save", "--all", "--yes").exit_code == 0
    for line in (f"horse:{apart}", f"horse:{together}", f"owner:{owner_apart}", f"barn:{apart}"):
        assert "· trim" in run("search", line).output


def test_a_horse_that_was_sold_leaves_the_lists_and_comes_back(run: Run) -> None:
    assert "Copper" in run("day").output
    done = run("horses", "left", "copper", "--reason", "sold").output
    assert done.startswith("Copper is due no more: sold.\nDropped with it: 1 follow-up.\n")
    assert 'fieldlog horses back "Copper"' in done
    assert "Copper" not in run("day").output + run("follow-ups").output
    assert "left 2026-11-25: sold" in run("horses").output
    assert "visited no more, left 25 Nov 2026: sold" in run("horse", "Copper").output
    assert "toe angle · 52°" in run("horse", "Copper", "--history").output
    back = run("horses", "back", "Copper").output
    assert back == "Copper is visited again. 1 follow-up open again.\n"
    assert "Copper" in run("day").output
    assert run("horses", "back", "Copper").exit_code == 2


def test_a_horse_spelt_nearly_as_a_known_one_is_told(run: Run) -> None:
    said = run("horses", "add", "Junipur", "--owner", "Marta Ellery").output
    assert "There is a Juniper of Marta Ellery too." in said
    assert 'fieldlog horses same "Junipur" "Juniper"' in said
    assert "There is a" not in run("horses", "add", "Quicksilver").output


def test_a_horse_whose_owner_is_not_known_any_more(run: Run) -> None:
    assert run("horses", "change", "Copper", "--owner", "").output == "Changed Copper.\n"
    assert "Copper" not in run("horses", "list", "--owner", "Dan Whitcombe").output


def test_without_a_reason_nobody_is_asked_whether_to_forget(run: Run) -> None:
    refused = run("clients", "forget", "Roy Tanner", "--reason", " ", input="y\n")
    assert refused.exit_code == 2
    assert "cannot be undone" not in refused.output


def test_what_stays_of_a_forgotten_client_with_a_sold_horse_is_said(run: Run) -> None:
    run("horses", "change", "Copper", "--owner", "Roy Tanner")
    said = run("clients", "forget", "Dan Whitcombe", "--reason", "asked for it", "--yes").output
    assert "Left: what was noted of Copper before it was sold" in said
    assert "Copper   Roy Tanner" in run("horses").output


def test_two_spellings_of_a_horse_become_one_and_two_again(run: Run) -> None:
    run("horses", "add", "Junipur", "--owner", "Roy Tanner")
    before = run("horses").output
    said = run("horses", "same", "junipur", "Juniper").output
    assert "Junipur and Juniper are one horse now, Juniper." in said
    assert 'To take this back: fieldlog horses apart "Junipur"' in said
    assert "also Junipur" in run("horses").output
    assert "Before the visit: Juniper" in run("horse", "Junipur").output
    assert run("horses", "same", "Junipur", "Juniper").exit_code != 0
    assert run("horses", "apart", "Junipur").exit_code == 0
    assert run("horses").output == before
    assert "none was changed" in run("data", "verify").output
    nothing = run("horses", "apart", "Junipur")
    assert nothing.exit_code != 0
    assert "There are none" in nothing.output


def test_two_spellings_of_an_owner_and_of_a_barn(run: Run) -> None:
    run("horses", "add", "Tilly", "--owner", "Roy Taner", "--barn", "Alder Crk")
    before = run("horses").output, run("clients").output
    said = run("clients", "same", "Roy Taner", "roy tanner").output
    assert "Roy Taner and Roy Tanner are one client now: Roy Tanner." in said
    assert "Alder Creek is" not in said
    moved = run("barns", "same", "Alder Crk", "alder creek").output
    assert moved.startswith("Alder Crk is Alder Creek now, with 1 horse from there.")
    assert "Roy Taner" not in run("horses").output + run("clients").output
    assert "Alder Crk" not in run("barns").output
    assert json.loads(run("barns", "list", "--json").output)[0]["barn"] == "Alder Creek"
    assert run("barns", "apart", "Alder Crk").exit_code == 0
    assert run("clients", "apart", "Roy Taner").exit_code == 0
    assert (run("horses").output, run("clients").output) == before
    for wrong in (("clients", "same", "A", "B"), ("barns", "same", "A", "B")):
        assert run(*wrong).exit_code != 0


def test_an_owner_that_is_not_known_is_told_how_to_add(run: Run) -> None:
    refused = run("horses", "change", "Duke", "--owner", "Nell Ashby")
    assert refused.exit_code != 0
    assert 'a new one: fieldlog clients add "Nell Ashby"' in refused.stderr


def test_the_list_names_two_of_one_name_as_they_are_to_be_typed(run: Run) -> None:
    run("horses", "add", "Rosie", "--owner", "Marta Ellery")
    listed = run("horses").output
    for name in ("Rosie of Roy Tanner", "Rosie of Marta Ellery"):
        assert name in listed
        assert run("horse", name).exit_code == 0
    assert "Juniper of" not in listed
