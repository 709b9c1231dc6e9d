"""Horses and clients of one name, and names that are nearly those of others."""

from __future__ import annotations

import json
import re
import shlex
from pathlib import Path

import pytest

from tests.cli.conftest import Run
from tests.cli.drafts import add_draft


def clients(run: Run) -> list[str]:
    return [c["name"] for c in json.loads(run("clients", "list", "--json").output)]


def test_two_horses_of_one_name_are_told_apart_by_their_owners(run: Run, home: Path) -> None:
    added = run("horses", "add", "Juniper", "--owner", "Nora Quill").output
    assert "There is another Juniper" in added
    assert '"Juniper of Nora Quill" or "Juniper of Marta Ellery"' in added
    refused = run("horse", "Juniper")
    assert refused.exit_code == 2
    assert 'Say which: "Juniper of Marta Ellery" or "Juniper of Nora Quill".' in refused.stderr
    assert "Nora Quill" in run("horse", "juniper of nora quill").output
    wrong = run("horse", "Juniper of Norah")
    assert wrong.exit_code == 2
    assert "Juniper of Nora Quill" in wrong.stderr
    draft = add_draft(home, horse="Nobody")
    assert run("save", draft[:8], "--horse", "Juniper of Nora Quill").exit_code == 0
    renamed = run("horses", "change", "Juniper of Nora Quill", "--new-name", "June")
    assert renamed.output == "Changed June.\n"
    assert run("horse", "Juniper of Nora Quill").exit_code == 1
    assert "thrush" in run("horse", "June", "--history").output
    assert run("horse", "Juniper").exit_code == 0
    assert "another Juniper" in run("horses", "change", "June", "--new-name", "Juniper").output


@pytest.mark.parametrize("owner", [(), ("--owner", "Marta Ellery")])
def test_horses_that_no_owner_tells_apart_are_named_by_their_id(
    run: Run, owner: tuple[str, ...]
) -> None:
    said = run("horses", "add", "Tilly", *owner, "--barn", "Long Acre").output
    assert "another" not in said
    added = run("horses", "add", "Tilly", *owner, "--barn", "Short Acre").output
    command = re.search(r"fieldlog (horses change .*) --new-name NAME", added)
    assert command is not None
    assert run(*shlex.split(command[1]), "--new-name", "Matilda").exit_code == 0
    found = {h["name"]: h["barn"] for h in json.loads(run("horses", "list", "--json").output)}
    assert (found["Tilly"], found["Matilda"]) == ("Long Acre", "Short Acre")


def test_two_horses_of_one_name_and_one_owner_are_told_apart_by_their_barns(run: Run) -> None:
    """“Tilly of 6ae38656” tells a farrier nothing."""
    for barn in ("Long Acre", "Short Acre"):
        said = run("horses", "add", "Tilly", "--owner", "Marta Ellery", "--barn", barn).output
    assert '"Tilly of Short Acre" or "Tilly of Long Acre"' in said
    assert "Barn   Long Acre" in run("horse", "tilly of long acre").output
    refused = run("horse", "Tilly of Marta Ellery")
    assert refused.exit_code == 2
    assert "Tilly of Long Acre" in refused.stderr


def test_a_horse_whose_own_name_has_an_of_is_found(run: Run) -> None:
    run("horses", "add", "Star of Long Acre")
    assert run("horse", "star of long acre").exit_code == 0


def test_an_owner_that_is_nearly_a_known_one_is_said(run: Run) -> None:
    added = run("horses", "add", "Ember", "--owner", "Roy Taner").output
    assert "Roy Taner is a new client." in added
    assert "Did you mean Roy Tanner?" in added
    commands = re.findall(r"^  fieldlog (.*)$", added, re.MULTILINE)
    assert len(commands) == 1
    assert run(*shlex.split(commands[0])).exit_code == 0
    assert "Roy Taner" not in clients(run)
    ember = next(
        h for h in json.loads(run("horses", "list", "--json").output) if h["name"] == "Ember"
    )
    assert ember["client"] == "Roy Tanner"
    plain = run("horses", "add", "Zephyr", "--owner", "Quentin Osk").output
    assert "Did you mean" not in plain


def test_a_second_client_of_one_name_is_refused(run: Run) -> None:
    refused = run("clients", "add", "marta ellery")
    assert refused.exit_code == 2
    assert "There is a client called marta ellery already." in refused.stderr
    assert 'fieldlog clients change "marta ellery"' in refused.stderr
    assert len([c for c in clients(run) if c.casefold() == "marta ellery"]) == 1
    assert run("clients", "change", "Roy Tanner", "--new-name", "Marta Ellery").exit_code == 2
    assert run("clients", "change", "Marta Ellery", "--new-name", "Marta ELLERY").exit_code == 0
    assert "Did you mean Roy Tanner?" in run("clients", "change", "Roy Taner").stderr
    assert "There is a Roy Tanner too" in run("clients", "add", "Roy Taner").output


def test_what_is_to_be_typed_has_quotes_that_a_shell_knows(run: Run, tmp_path: Path) -> None:
    empty = tmp_path / "empty"
    for listed in ("clients", "horses"):
        told = run(listed, at=empty).output.strip()
        command = told.split("Add one: fieldlog ")[1].removesuffix(" --phone ...")
        assert run(*shlex.split(command), at=empty).exit_code == 0
    assert "Marta Ellery" in clients_at(run, empty)


def clients_at(run: Run, folder: Path) -> list[str]:
    return [c["name"] for c in json.loads(run("clients", "list", "--json", at=folder).output)]


def test_lists_tell_two_horses_of_one_name_apart(run: Run, home: Path) -> None:
    """Six lines said “Rosie”, of two owners: the wrong one was saved, or called about."""
    run("horses", "add", "Juniper", "--owner", "Nora Quill")
    note = "trimmed all four, thrush left hind. Recheck in six weeks."
    typed = run("type", "--horse", "Juniper of Nora Quill", note).output
    assert typed.splitlines()[0].endswith("Juniper of Nora Quill")
    short = typed[:8]
    assert "Juniper of Nora Quill" in run("drafts").output
    assert f"Saved Juniper of Nora Quill ({short})." in run("save", short).output
    assert "Juniper of Nora Quill" in run("notes").output
    assert "Juniper of Nora Quill" in run("notes", "show", short).output.splitlines()[0]
    listed = run("follow-ups").output
    assert "Juniper of Nora Quill" in listed
    assert "Juniper of Marta Ellery" in listed
    run("follow-ups", "ics", str(home / "due.ics"))
    calendar = (home / "due.ics").read_text(encoding="utf-8")
    assert "SUMMARY:Juniper of Nora Quill: recheck" in calendar
    assert "SUMMARY:Juniper of Nora Quill: next visit" in calendar
    assert "SUMMARY:Rosie: " in calendar
    found = run("search", "thrush").output
    assert "Juniper of Nora Quill: left hind · thrush" in found
    assert "Rosie: left hind" in found  # nobody shares its name
    only = run("search", 'horse:"juniper of nora quill"', "trim", "foot:hind").output
    assert "Juniper of Nora Quill" in only
    assert "Marta Ellery" not in only


def test_an_owner_keeps_a_name(run: Run) -> None:
    before = clients(run)
    refused = run("clients", "change", "Marta Ellery", "--new-name", " ")
    assert refused.exit_code == 2
    assert "A client needs a name." in refused.stderr
    assert clients(run) == before


@pytest.mark.parametrize(("one", "other"), [("42", "77 Sunset"), ("Буран", "Звезда")])
def test_names_that_have_no_sound_in_english_do_not_sound_alike(
    run: Run, one: str, other: str
) -> None:
    run("horses", "add", one)
    assert run("horses", "add", other).output == f"Added {other}.\n"


def test_where_two_horses_have_a_name_the_help_tells_them_apart(run: Run) -> None:
    """It offered “Juniper, Juniper”, and for a draft of either a third Juniper."""
    run("horses", "add", "Juniper", "--owner", "Nora Quill")
    near = run("horse", "Junipre").stderr
    assert "Juniper of Nora Quill" in near
    assert "Juniper of Marta Ellery" in near
    typed = run("type", "--horse", "Juniper", "trimmed all four").output
    assert 'Which of them is this, "Juniper of' in typed
    assert "horses add" not in typed


def test_a_horse_that_is_entered_twice_is_told_how_it_goes_again(run: Run) -> None:
    added = run("horses", "add", "Juniper", "--owner", "Marta Ellery", "--barn", "Long Acre").output
    assert "Both are Marta Ellery's. If it is one horse, take the new one out: " in added
    command = added.split("take the new one out: fieldlog ")[1].strip()
    assert run(*shlex.split(command)).exit_code == 0
    assert "There is another" not in run("horses", "add", "Tansy", "--owner", "Nora Quill").output
