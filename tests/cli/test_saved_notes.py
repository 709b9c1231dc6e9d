"""Saved notes at the command line: found, shown, corrected by a new revision, taken back."""

from __future__ import annotations

import json
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from fieldlog.core.facts import Due, Entry, Fact, FactKind, FootBasis, HorseMention
from fieldlog.core.feet import Foot
from fieldlog.core.units import Quantity, Unit
from fieldlog.records.store import Store
from tests.cli.conftest import Run

TEXT = "left front toe three and a half thrush in the left hind recheck in four weeks"
WHY = ("--reason", "misheard")


@pytest.fixture
def note(home: Path) -> str:
    """The short name of a saved note of Juniper with a length, a finding and a promise."""
    facts = (
        _fact("toe three and a half", FactKind.MEASUREMENT, "toe_length", Foot.LF,
              quantity=Quantity(3.5, Unit.INCH)),
        _fact("thrush", FactKind.FINDING, "thrush", Foot.LH),
        _fact("recheck in four weeks", FactKind.FOLLOW_UP, "recheck"),
    )  # fmt: skip
    entry = Entry(facts, TEXT, (0, len(TEXT)), HorseMention("Juniper", (0, 0), known=True))
    with Store.open(home / "fieldlog.db") as store:
        draft = store.add_drafts(None, [entry])[0]
        return store.save_entry(draft.id).id[:8]


def _fact(
    words: str, kind: FactKind, code: str, *feet: Foot, quantity: Quantity | None = None
) -> Fact:
    at = TEXT.index(words)
    basis = FootBasis.SAID if feet else FootBasis.WHOLE_HORSE
    return Fact(kind, code, feet, basis, quantity=quantity, span=(at, at + len(words)))


def facts_now(run: Run, note: str) -> list[str]:
    """The lines of the facts of a note, without their numbers."""
    shown = json.loads(run("notes", "show", note, "--json").output)
    return [fact["words"] for fact in shown["facts"]]


def test_saved_notes_are_listed_newest_first_and_by_horse(run: Run, note: str) -> None:
    listed = run("notes").output
    assert listed.index(note) < listed.index("2026-")
    assert TEXT in run("notes", "list", "--horse", "juniper").output
    assert TEXT not in run("notes", "list", "--horse", "Bramble").output
    few = json.loads(run("notes", "list", "--limit", "2", "--json").output)
    assert few[0]["id"][:8] == note
    assert len(few) == 2
    assert "--limit shows more" in run("notes", "list", "--limit", "2").output
    assert "No note of that day is saved" in run("notes", "list", "--day", "2020-01-01").output


def test_a_note_is_shown_with_numbers_and_its_words(run: Run, note: str) -> None:
    shown = run("notes", "show", note).output
    assert f"“{TEXT}”" in shown
    assert "Juniper" in shown
    assert "1  left front · toe length · 3 1/2 in" in shown
    assert "2  left hind · thrush" in shown


def test_its_short_name_alone_shows_a_note(run: Run, note: str) -> None:
    assert run("notes", note).output == run("notes", "show", note).output
    assert run("notes", "corect", note).exit_code == 2


def test_a_value_is_typed_anew_and_both_revisions_stay(run: Run, note: str, home: Path) -> None:
    done = run("notes", "change", note, "1", "3 1/4", *WHY)
    assert done.exit_code == 0, done.output
    assert "was  left front · toe length · 3 1/2 in" in done.output
    assert "now  left front · toe length · 3 1/4 in" in done.output
    assert f"fieldlog notes undo {note}" in done.output
    with Store.open(home / "fieldlog.db") as store:
        first, second = store.revisions(store.saved_note(note).id)
        assert store.verify_chain().ok
    assert (first.entry.text, second.entry.text) == (TEXT, TEXT)
    assert [r.entry.facts[0].quantity for r in (first, second)] == [
        Quantity(3.5, Unit.INCH),
        Quantity(3.25, Unit.INCH),
    ]
    assert second.reason == "misheard"
    both = run("notes", "show", note, "--all").output
    assert both.index("3 1/4 in") < both.index("misheard") < both.index("3 1/2 in")


def test_a_finding_is_typed_anew_in_words_and_keeps_its_foot(run: Run, note: str) -> None:
    done = run("notes", "change", note, "2", "white", "line", "separation", *WHY)
    assert "now  left hind · white line separation" in done.output
    assert "white line separation" in run("search", "separation", "horse:Juniper").output
    assert (
        "Nothing saved fits"
        in run("search", "finding:thrush", "horse:Juniper", "since:today").output
    )


def test_not_there_and_suspected(run: Run, note: str) -> None:
    run("notes", "change", note, "2", "--not", *WHY)
    assert facts_now(run, note)[1] == "left hind · no thrush"
    run("notes", "change", note, "2", "--not", *WHY)
    run("notes", "change", note, "2", "--maybe", *WHY)
    assert facts_now(run, note)[1] == "left hind · suspected thrush"
    refused = run("notes", "change", note, "1", "--not", *WHY)
    assert refused.exit_code == 2
    assert "cannot be “not there”" in refused.stderr


def test_other_readings_are_offered_by_number(run: Run, note: str) -> None:
    offered = run("notes", "change", note, "2").output
    assert "left hind · thrush" in offered
    number = next(line.split()[0] for line in offered.splitlines() if line.endswith(" severe"))
    run("notes", "change", note, "2", "--pick", number, *WHY)
    assert facts_now(run, note)[1] == "left hind · thrush · severe"
    assert run("notes", "change", note, "2", "--pick", "99", *WHY).exit_code == 2


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        (("RF",), "right front"),
        (("near", "hind"), "left hind"),
        (("fronts",), "both fronts"),
        (("all",), "all four"),
        (("LF", "RH"), "left front and right hind"),
    ],
)
def test_a_fact_goes_to_another_foot(
    run: Run, note: str, typed: tuple[str, ...], shown: str
) -> None:
    done = run("notes", "foot", note, "1", *typed, *WHY)
    assert f"now  {shown} · toe length" in done.output


def test_the_whole_horse_is_no_foot(run: Run, note: str) -> None:
    assert "now  toe length" in run("notes", "foot", note, "1", "horse", *WHY).output
    assert "is no foot" in run("notes", "foot", note, "1", "fifth", *WHY).stderr


def test_a_fact_is_added_and_deleted(run: Run, note: str) -> None:
    added = run("notes", "add", note, "right front flare", *WHY)
    assert "new  right front · flare" in added.output
    assert facts_now(run, note)[3] == "right front · flare"
    gone = run("notes", "delete", note, "4", *WHY)
    assert "gone  right front · flare" in gone.output
    assert len(facts_now(run, note)) == 3
    unknown = run("notes", "add", note, "xyzzy", *WHY)
    assert unknown.exit_code == 2
    assert "was not understood" in unknown.stderr


def test_the_words_of_a_deleted_fact_are_still_found(run: Run, note: str) -> None:
    run("notes", "delete", note, "2", *WHY)
    assert "as spoken: thrush" in run("notes", "show", note).output
    assert "as spoken" in run("search", "thrush", "horse:Juniper").output
    run("notes", "undo", note)
    assert "as spoken: thrush" not in run("notes", "show", note).output


def test_a_promise_follows_its_corrected_fact_and_says_so(run: Run, note: str) -> None:
    def mine() -> dict[str, Any]:
        listed = json.loads(run("follow-ups", "list", "--horse", "Juniper", "--json").output)
        return next((f for f in listed if f["entry_id"].startswith(note)), {})

    first = mine()
    moved = run("notes", "change", note, "3", "on 2027-02-01", *WHY).output
    assert "On the due list now:" in moved
    assert "2027-02-01" in moved
    assert (mine()["id"], mine()["due"]) == (first["id"], "2027-02-01")
    assert "No longer on the due list" in run("notes", "delete", note, "3", *WHY).output
    assert mine() == {}
    assert "On the due list now:" in run("notes", "undo", note).output
    assert mine()["due"] == "2027-02-01"
    run("notes", "undo", note)
    assert (mine()["id"], mine()["due"]) == (first["id"], first["due"])


def test_a_note_goes_to_another_horse_and_back(run: Run, note: str) -> None:
    moved = run("notes", "horse", note, "bramble", *WHY)
    assert moved.exit_code == 0, moved.output
    assert "was  Juniper" in moved.output
    assert "now  Bramble" in moved.output
    assert TEXT in run("notes", "list", "--horse", "Bramble").output
    already = run("notes", "horse", note, "Bramble", *WHY)
    assert already.exit_code == 2
    assert "Bramble's already" in already.stderr
    back = run("notes", "undo", note)
    assert "was  Bramble" in back.output
    assert "now  Juniper" in back.output


def test_undo_goes_back_step_by_step_and_then_says_that_it_is_at_the_first(
    run: Run, note: str, home: Path
) -> None:
    run("notes", "foot", note, "1", "RF", *WHY)
    run("notes", "horse", note, "Bramble", *WHY)
    run("notes", "delete", note, "2", *WHY)
    for expected in ("new  left hind · thrush", "now  Juniper", "now  left front · toe length"):
        assert expected in run("notes", "undo", note).output
    done = run("notes", "undo", note)
    assert done.exit_code == 2
    assert "as it was first saved" in done.stderr
    with Store.open(home / "fieldlog.db") as store:
        stored = store.saved_note(note)
        assert stored.revision == 7
        assert store.revisions(stored.id)[0].entry.facts == stored.entry.facts
        names = [r.horse.name if r.horse else "" for r in store.revisions(stored.id)]
        assert store.verify_chain().ok
    assert names == ["Juniper", "Juniper", "Bramble", "Bramble", "Bramble", "Juniper", "Juniper"]


def test_words_of_an_addition_that_made_no_fact_are_named(run: Run, note: str) -> None:
    """They vanished without a word."""
    added = run("notes", "add", note, "left hind flare, call the vet tomorrow", *WHY).output
    assert "veterinarian to see the horse" in added
    assert ("“left hind flare” made no fact: type it on its own." in added) is (
        "new  left hind · flare" not in added
    )
    assert "made no fact" not in run("notes", "add", note, "right hind flare", *WHY).output


def test_after_an_undo_it_is_said_what_the_next_one_takes_back(run: Run, note: str) -> None:
    """“To take this back” behind an undo named a command that takes back something else."""
    for reason in ("first", "second"):
        made = run("notes", "change", note, "1", "--maybe", "--reason", reason).output
        assert f"To take this back: fieldlog notes undo {note}" in made
    once = run("notes", "undo", note).output
    assert "To take this back" not in once
    assert f"To take back the correction before that as well: fieldlog notes undo {note}" in once
    twice = run("notes", "undo", note).output
    assert "It stands as it was first saved." in twice
    assert "notes undo" not in twice


def test_a_change_after_an_undo_is_undone_on_its_own(run: Run, note: str) -> None:
    run("notes", "foot", note, "1", "RF", *WHY)
    run("notes", "undo", note)
    run("notes", "foot", note, "1", "LH", *WHY)
    assert "now  left front" in run("notes", "undo", note).output
    assert "as it was first saved" in run("notes", "undo", note).stderr


@pytest.mark.parametrize(
    ("arguments", "code", "words"),
    [
        (("show", "zzzz"), 1, "No saved note starts with “zzzz”"),
        (("show", ""), 1, "No saved note starts with “”"),
        (("change", "NOTE", "9", "3 in", *WHY), 2, "has 3 facts"),
        (("change", "NOTE", "0", "3 in", *WHY), 2, "has 3 facts"),
        (("change", "NOTE", "1", "3 in"), 2, "--reason"),
        (("change", "NOTE", "1", "3 in", "--reason", " "), 2, "--reason"),
        (("change", "NOTE", "1", "3 1/2 in", *WHY), 2, "says that already"),
        (("change", "NOTE", "1", "300", *WHY), 2, "cannot be a toe length"),
        (("change", "NOTE", "1", "3 1/0", *WHY), 2, "0 below the line"),
        (("change", "NOTE", "2", "xyzzy", *WHY), 2, "was not understood"),
        (("change", "NOTE", "2", "flare", "--not", *WHY), 2, "one at a time"),
        (("horse", "NOTE", "Nobody", *WHY), 1, "no horse called"),
        (("foot", "NOTE", "1", "LF", *WHY), 2, "says that already"),
    ],
)
def test_what_makes_no_sense_is_a_sentence_and_changes_nothing(
    run: Run, note: str, home: Path, arguments: tuple[str, ...], code: int, words: str
) -> None:
    bad = run("notes", *(note if a == "NOTE" else a for a in arguments))
    assert bad.exit_code == code, bad.output
    assert words in bad.stderr
    assert "Traceback" not in bad.output
    with Store.open(home / "fieldlog.db") as store:
        assert store.saved_note(note).revision == 1


def test_a_draft_is_told_from_a_saved_note(run: Run, home: Path) -> None:
    with Store.open(home / "fieldlog.db") as store:
        draft = store.add_drafts(None, [Entry((), "x", (0, 1))])[0].id
    refused = run("notes", "show", draft[:8])
    assert refused.exit_code == 2
    assert "is still a draft" in refused.stderr
    assert f"fieldlog drafts {draft[:8]}" in refused.stderr


def test_search_and_history_name_the_note_to_correct(run: Run, note: str) -> None:
    assert note in run("search", "horse:Juniper", "thrush").output
    assert note in run("horse", "Juniper", "--history").output


def test_a_note_that_was_taken_out_says_so(run: Run, note: str) -> None:
    run("notes", "foot", note, "1", "RF", *WHY)
    run("clients", "forget", "Marta Ellery", "--reason", "asked for it", "--yes")
    shown = run("notes", note, "--all").output
    assert "(taken out on request)" in shown
    assert "toe" not in shown + run("notes").output.split(note)[1].splitlines()[0]


def test_a_fact_is_broken_in_two_and_joined_again(run: Run, note: str) -> None:
    run("notes", "foot", note, "2", "hinds", *WHY)
    broken = run("notes", "break", note, "2", "--reason", "only one of them")
    assert broken.exit_code == 0, broken.stderr
    assert "now  left hind · thrush" in broken.output
    assert "new  right hind · thrush" in broken.output
    assert facts_now(run, note)[1:3] == ["left hind · thrush", "right hind · thrush"]
    joined = run("notes", "join", note, "2", "3", "--reason", "both after all")
    assert "both hinds · thrush" in joined.output
    assert facts_now(run, note)[1] == "both hinds · thrush"
    assert len(facts_now(run, note)) == 3
    run("notes", "undo", note)
    assert len(facts_now(run, note)) == 4


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("break", "2"), "nothing to split"),
        (("join", "1", "2"), "of the same sort"),
        (("join", "2", "2"), "one fact already"),
        (("join", "2", "9"), "no number 9"),
    ],
)
def test_what_cannot_be_broken_or_joined_says_why(
    run: Run, note: str, arguments: tuple[str, ...], words: str
) -> None:
    bad = run("notes", arguments[0], note, *arguments[1:], *WHY)
    assert bad.exit_code == 2
    assert words in bad.stderr
    assert "now revision" not in run("notes", "show", note).output


def test_a_correction_is_kept_as_a_rule_when_told_to(run: Run, note: str, home: Path) -> None:
    nothing = run("notes", "learn", note)
    assert nothing.exit_code == 2
    assert "nothing to learn" in nothing.stderr
    changed = run("notes", "change", note, "2", "seedy toe", *WHY)
    assert f"fieldlog notes learn {note}" in changed.output, changed.output
    assert not (home / "my_words.toml").exists(), "only when told to"
    learnt = run("notes", "learn", note)
    assert "Kept as a rule of yours" in learnt.output
    assert "seedy_toe" in (home / "my_words.toml").read_text(encoding="utf-8")
    run("notes", "undo", note)
    assert run("notes", "learn", note).exit_code == 2, "what was taken back teaches nothing"


def test_a_typed_danger_takes_the_place_of_the_fact_and_calls_the_vet_beside_it(
    run: Run, note: str
) -> None:
    """The call came first, took the place and the foot of what was typed, and was not urgent."""
    run("notes", "change", note, "2", "canker", *WHY)
    facts = facts_now(run, note)
    assert facts[1].startswith("left hind · ")
    assert "canker-like growth" in facts[1], "seen or suspected, but in no case a disease"
    assert any("veterinarian to see the horse" in line for line in facts[2:])
    due = json.loads(run("follow-ups", "list", "--json").output)
    call = [f for f in due if f["horse"] == "Juniper" and f["code"] == "vet_visit"]
    assert [f["urgent"] for f in call] == [True]


def test_weeks_typed_over_a_promise_are_its_day(run: Run, note: str) -> None:
    listed = json.loads(run("notes", "list", "--limit", "1", "--json").output)
    day = listed[0]["at"][:10]
    changed = run("notes", "change", note, "3", "6", "weeks", "--reason", "said wrongly")
    wanted = (date.fromisoformat(day) + timedelta(weeks=6)).isoformat()
    assert f"({wanted})" in changed.output


def test_a_saved_note_of_the_wrong_day_goes_to_the_right_one(run: Run) -> None:
    """Nothing could mend it: the visit, its recheck and every paper kept the day of the copy."""
    short = run("type", "--horse", "Rosie", "trimmed all four. Recheck in six weeks.").output[:8]
    run("save", short)
    told = run("notes", "day", short, "2026-11-10", "--reason", "copied late").output
    assert "was  2026-11-25" in told
    assert "now  2026-11-10" in told
    assert "On the due list now: recheck, 2026-12-22." in told
    assert "2026-11-10" in run("notes", "show", short).output.splitlines()[0]
    paper = run("paper", "neglect", "Rosie").output
    assert "Had been saved under 2026-11-25, is of 2026-11-10." in " ".join(paper.split())
    assert "now  2026-11-25" in run("notes", "undo", short).output
    assert "2027-01-06" in run("follow-ups", "list", "--horse", "Rosie").output
    assert "is to come" in run("notes", "day", short, "2027-01-01", "--reason", "x").stderr
    assert "none was changed" in run("data", "verify").output


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("33 1/4 in", "33 1/4 in is no usual toe length: look again."),
        ("toe angle 520 degrees", "520° is no usual toe angle: look again."),
        ("3 1/4 in", ""),
    ],
)
def test_a_slip_of_the_fingers_is_told(run: Run, note: str, words: str, told: str) -> None:
    """What is typed counts as looked at: a toe of 33 inches went into the record unasked."""
    shown = run("notes", "show", note).output
    (line,) = [x for x in shown.splitlines() if "left front · toe length" in x]
    said = " ".join(
        run("notes", "change", note, line.split()[0], *words.split(), *WHY).output.split()
    )
    assert "now" in said
    assert (told in said) if told else ("usual" not in said)


def test_words_typed_over_a_fact_that_made_none_are_named(run: Run, note: str) -> None:
    words = ("flare", "left", "hind", "and", "the", "dog", "barked", "at", "us")
    said = run("notes", "change", note, "1", *words, *WHY).output
    assert "made no fact: type it on its own." in " ".join(said.split())


@pytest.mark.parametrize("typed", ["3 1/4 in", "53 degrees"])
def test_what_made_a_fact_is_not_said_to_have_made_none(run: Run, note: str, typed: str) -> None:
    """The network alone takes a bare measure for a fact, and its words stay as a passage."""
    said = run("notes", "add", note, typed, *WHY)
    assert said.exit_code == 0
    assert "new" in said.output
    assert "made no fact" not in said.output


def test_what_another_note_promised_is_told_where_no_visit_keeps_it_now(
    run: Run, home: Path
) -> None:
    """A visit under the wrong horse had closed two promises; they came back without a word."""
    trim = Fact(FactKind.WORK, "trim")
    promises = [
        Fact(FactKind.FOLLOW_UP, "recheck", due=Due("", "", on=date(2026, 11, 20)), id="look"),
        Fact(FactKind.FOLLOW_UP, "next_trim", due=Due("", "", on=date(2026, 12, 22)), id="trim"),
    ]
    ids = []
    with Store.open(home / "fieldlog.db") as store:
        duke = store.horse_named("Duke")
        for days, facts in ((10, [trim, *promises]), (3, [trim])):
            entry = Entry(tuple(facts), "trimmed", (0, 7))
            at = datetime(2026, 11, 24, 9).astimezone() - timedelta(days=days)
            (draft,) = store.add_drafts(None, [entry], at=at)
            store.assign_horse(draft.id, duke.id)
            ids.append(store.save_entry(draft.id).id[:8])
    both = "recheck, 2026-11-20; next trim or shoeing, 2026-12-22."
    moved = run("notes", "horse", ids[1], "Juniper", *WHY).output
    assert f"Open again, as no visit kept it: {both}" in moved
    back = run("notes", "undo", ids[1]).output
    assert "Off the due list, as a visit kept it: " in back
    assert "recheck (visited on 2026-11-21)" in back
    assert f"Open again, as no visit kept it: {both}" in run(
        "notes", "day", ids[1], "2026-11-10", *WHY
    ).output  # fmt: skip
    assert "due list" not in run("notes", "add", ids[1], "left hind flare", *WHY).output


def test_a_note_of_two_horses_is_parted_and_made_one_again(run: Run, note: str) -> None:
    before = facts_now(run, note)
    done = run("notes", "part", note, "2", "Willow", "--reason", "two horses in one note")
    assert done.exit_code == 0, done.output
    assert "gone  left hind · thrush" in done.output
    assert "Goes along to Willow: recheck" in done.output
    (last,) = (line for line in done.output.splitlines() if line.startswith("Willow's part"))
    other = last.split()[4].rstrip(":")
    assert facts_now(run, note) == before[:1]
    assert facts_now(run, other) == before[1:]
    assert "“left front toe three and a half”" in run("notes", "show", note).output
    shown = run("notes", "show", other, "--all").output
    assert f"for Willow, parted from note {note}: two horses in one note:" in shown
    assert f"what follows is note {other}" in run("notes", "show", note, "--all").output
    paper = run("paper", "record", "Juniper").output
    assert "What was left out is about another horse" in " ".join(paper.split())
    refused = run("notes", "undo", other)
    assert refused.exit_code == 2
    assert f"fieldlog notes undo {note}" in refused.stderr
    assert run("notes", "undo", note).exit_code == 0
    assert facts_now(run, note) == before
    assert run("notes", "show", other).exit_code == 1
    assert run("data", "verify").exit_code == 0


def test_a_note_is_parted_only_where_something_was_said(run: Run, note: str) -> None:
    run("notes", "add", note, "right front flare", *WHY)
    refused = run("notes", "part", note, "4", "Willow", *WHY)
    assert "it has no place in the words" in refused.stderr
    first = run("notes", "part", note, "1", "Juniper", *WHY)
    assert "Juniper's already" in first.stderr
