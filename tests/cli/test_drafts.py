"""Drafts at the command line: listed, shown whole, saved; and the app that opens on them."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from fieldlog.core.facts import Entry, Fact, FactKind, FootBasis, HorseMention, Passage
from fieldlog.core.feet import Foot
from fieldlog.records.store import Store
from tests.cli.conftest import Run
from tests.cli.drafts import add_draft


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
    assert "1 fact still asks" in asked.output
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
        said = "1 note waits to be looked at; what it says is not in this list yet"
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


def test_a_draft_shown_whole_tells_before_from_after(run: Run, home: Path) -> None:
    fact = Fact(FactKind.MEASUREMENT, "toe_length", (Foot.LF,), details={"moment": "before"})
    with Store.open(home / "fieldlog.db") as store:
        (draft,) = store.add_drafts(None, [Entry((fact,), "x", (0, 1))])
    assert "toe length · before the work" in run("drafts", draft.id[:8]).output


def test_what_the_app_would_ask_about_is_not_saved_as_sure(run: Run, home: Path) -> None:
    fact = Fact(FactKind.FINDING, "thrush", (Foot.LH,), FootBasis.SAID, span=(0, 6), confidence=0.4)
    entry = Entry((fact,), "thrush on the left hind", (0, 23), HorseMention("Juniper", (0, 0)))
    with Store.open(home / "fieldlog.db") as store:
        short = store.add_drafts(None, [entry])[0].id[:8]
    assert "right about 40 times in 100" in run("drafts", short).output
    run("save", "--sure")
    assert short in run("drafts").output


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


def test_what_is_left_says_what_it_waits_for(run: Run, home: Path) -> None:
    add_draft(home, sure=False)
    add_draft(home, horse="Nobody")
    left = run("save", "--sure").output
    assert "1 has no horse yet: fieldlog save ID --horse NAME" in left
    assert "1 asks for a look: fieldlog review" in left
    assert "1 saved, 1 draft left." in run("save", "--all", "--yes").output


def test_without_any_note_drafts_say_how_to_get_one(run: Run, tmp_path: Path) -> None:
    assert "fieldlog import FOLDER" in run("drafts", at=tmp_path / "new").output


def test_words_of_which_nothing_was_understood_are_not_sure(run: Run, home: Path) -> None:
    """Saved with the rest they would be a visit at which nothing was seen."""
    text = "a lovely old girl and dreadful weather"
    entry = Entry(
        (), text, (0, len(text)), HorseMention("Rosie", (0, 0), known=True),
        passages=(Passage((0, len(text)), text),),
    )  # fmt: skip
    with Store.open(home / "fieldlog.db") as store:
        draft = store.add_drafts(None, [entry])[0].id
    listed = next(line for line in run("drafts").output.splitlines() if draft[:8] in line)
    assert listed.split()[4:6] == ["0", "1"]
    sure = run("save", "--sure").output
    assert "0 saved" in sure
    assert "1 made no fact" in sure
    assert "Nothing in it was understood" in run("save", draft[:8]).output
    page = " ".join(run("horse", "Rosie").output.split())
    assert "No fact was made of what was said: A lovely old girl and dreadful weather." in page


def test_a_draft_that_was_set_aside_is_found_and_brought_back(run: Run, home: Path) -> None:
    draft, two = add_draft(home), add_draft(home)
    with Store.open(home / "fieldlog.db") as store:
        store.discard(draft, "only a test")
        parts = store.split_entry(two, 10)
        store.join_entries(parts[0].id, parts[1].id)
        store.save_entry(parts[0].id)
    none = run("drafts").output
    assert none == "No drafts. 1 was set aside: fieldlog drafts --aside\n"
    listed = run("drafts", "--aside").output
    assert draft[:8] in listed
    assert parts[1].id[:8] not in listed  # it is part of another one
    assert run("drafts", "--bring-back", "zzz").exit_code == 1
    back = run("drafts", "--bring-back", draft[:8]).output
    assert back == f"A draft again: {draft[:8]} Juniper. Look at it: fieldlog review\n"
    assert draft[:8] in run("drafts").output
    assert run("drafts", "--aside").output == "No draft was set aside.\n"


def test_the_day_of_a_draft_is_mended_with_what_counts_from_it(run: Run, home: Path) -> None:
    """A phone's file that was copied has today's date: the visit and its recheck were weeks off."""
    note = "trimmed all four. Recheck in six weeks. Bring number one shoes on december 20."
    entry = run("type", "--horse", "Rosie", note).output[:8]

    def told() -> tuple[str, set[str]]:
        (draft,) = json.loads(run("drafts", "--json").output)
        dues = {f["due"]["on"] for f in draft["entry"]["facts"] if "due" in f}
        return draft["at"][:10], dues

    assert told() == ("2026-11-25", {"2027-01-06", "2026-12-20"})
    mended = run("drafts", entry, "--of-day", "2026-11-10")
    assert mended.exit_code == 0
    assert "2026-12-22" in mended.output
    assert told() == ("2026-11-10", {"2026-12-22", "2026-12-20"})
    with Store.open(home / "fieldlog.db") as store:
        (draft,) = store.drafts()
        store.undo(draft.id)
    assert told() == ("2026-11-25", {"2027-01-06", "2026-12-20"})
    run("drafts", entry, "--of-day", "yesterday")
    run("save", entry)
    with Store.open(home / "fieldlog.db") as store:
        horse = store.horse_named("Rosie")
        assert max(v.day for v in store.visits(horse.id)) == date(2026, 11, 24)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--of-day", "yesterday"), "--of-day needs the drafts it is for."),
        (("abc", "--of-day", "yesterday"), "No draft starts with “abc”."),
        (("abc", "--of-day", "2026-12-24"), "is to come"),
    ],
)
def test_a_day_that_cannot_be_is_a_sentence(
    run: Run, arguments: tuple[str, ...], words: str
) -> None:
    refused = run("drafts", *arguments)
    assert refused.exit_code != 0
    assert words in refused.stderr


def test_an_empty_list_of_drafts_says_what_makes_one(run: Run, tmp_path: Path) -> None:
    from tests.cli.test_sound_commands import wav

    new = tmp_path / "new"
    said = run("drafts", at=new).output
    for way in ("fieldlog record", "fieldlog import FOLDER", "fieldlog type"):
        assert way in said
    run("import", "--no-reading", str(wav(tmp_path / "memo.wav")), at=new)
    assert "1 recording waits to be read: fieldlog read" in run("drafts", at=new).output


def test_a_note_about_no_horse_leaves_the_drafts_and_its_promise_stays(run: Run) -> None:
    """“Order more shoes” is said between two horses; no horse is to be made up for it."""
    made = run("type", "order more size two shoes").output
    short = made.split()[0]
    assert f"if it is about none: fieldlog drafts {short} --no-horse" in " ".join(made.split())
    assert f"fieldlog drafts {short} --no-horse" in run("save", short).stderr
    said = run("drafts", short, "--no-horse").output
    assert "On the list of follow-ups" in said
    assert "No drafts" in run("drafts").output
    listed = run("follow-ups").output
    assert "order more size two shoes" in listed
    shown = run("follow-ups", "show", said.split("(")[1].split(")")[0]).output
    assert "no horse" in shown
    assert "“order more size two shoes”" in shown
    assert "A draft again" in run("drafts", "--bring-back", short).output
    assert "order more size two shoes" not in run("follow-ups").output
    assert run("drafts", "--no-horse").exit_code == 2


def test_what_was_put_off_to_the_visit_is_told_when_it_is_saved(run: Run) -> None:
    first = run("type", "--horse", "Duke", "--day", "2026-11-01", "trimmed. bring pads next time")
    assert "Put off" not in run("save", first.output.split()[0]).output
    short = run("type", "--horse", "Duke", "trimmed all four").output.split()[0]
    said = run("save", short).output
    assert "Put off to this visit and still open: Duke: bring pads next time" in said
    done = said.split("What is done of it: fieldlog ")[1].splitlines()[0]
    assert run(*done.split()).exit_code == 0
    assert "bring pads" not in run("follow-ups").output
