"""Papers made at the command line, and what must not be on them."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pypdf
import pytest

from fieldlog.core.facts import Fact, FactKind, FootBasis, Reporter
from fieldlog.core.feet import ALL_FEET, Foot
from fieldlog.core.units import Quantity, Unit
from fieldlog.records.store import Store
from tests.cli.conftest import Run
from tests.cli.drafts import add_draft, said, save_note


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
    assert "The chain was verified" in " ".join(neglect.split())
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
        (("vet", "Rosie", "--earlier", "-1"), "--earlier takes a number from 0 on"),
        (("record", "Rosie", "--since", "2026-05-01", "--until", "2026-01-01"), "ends before"),
    ],
)
def test_wrong_papers_are_sentences(run: Run, arguments: tuple[str, ...], words: str) -> None:
    bad = run("paper", *arguments)
    assert bad.exit_code in (1, 2)
    assert words in bad.stderr


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
    assert "[ ] Keep him in a dry stall." in paper
    assert "[ ] Pick out the feet daily, agreed on 14 Oct 2026." in paper
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
    assert "[ ] Keep the suspected abscess dry." in paper
    for other in ("opper", "ete", "dan"):
        assert f"{other} " not in paper.split("What to do")[1].split("Next visit")[0]
    assert "copper's shoes" in run("follow-ups").output


def test_a_paper_tells_of_drafts_that_are_not_in_it(run: Run, home: Path, tmp_path: Path) -> None:
    (home / "fieldlog.toml").write_text('farrier_name = "Ada Quill"', encoding="utf-8")
    assert run("paper", "owner", "Juniper").stderr == ""
    add_draft(home)
    one = run("paper", "owner", "Juniper")
    assert one.stderr == "1 draft of this horse is not saved and not in it: fieldlog review\n"
    add_draft(home)
    add_draft(home, "Copper")
    told = run("paper", "vet", "Juniper", "--out", str(tmp_path / "vet.txt")).stderr
    assert told == "2 drafts of this horse are not saved and not in it: fieldlog review\n"
    assert run("paper", "owner", "Juniper", "--day", "2026-10-14").stderr == ""


def test_blocks_of_a_paper_stand_apart_and_a_letter_says_to_whom(run: Run) -> None:
    letter = run("paper", "vet", "Storm", "--to", "Dr. Ines Varga").output
    assert "\nTo     Dr. Ines Varga\nFrom   " in letter
    assert "\n\nThis paper says" in letter
    sheet = run("day").output
    assert "\n\nJuniper (" in sheet


def found(code: str, foot: Foot) -> Fact:
    """A finding on one foot."""
    return Fact(FactKind.FINDING, code, (foot,), FootBasis.SAID)


def test_dated_papers_show_each_correction_with_its_reason(run: Run, home: Path) -> None:
    text = "left front thrush and flare"
    save_note(
        home,
        "Rosie",
        text,
        found("thrush", Foot.LF),
        found("flare", Foot.LF),
    )
    note = json.loads(run("notes", "list", "--horse", "Rosie", "--json").output)[0]["id"]
    assert "corrected" not in run("paper", "owner", "Rosie").output
    run("notes", "foot", note, "1", "right front", "--reason", "wrong foot")
    run("notes", "delete", note, "2", "--reason", "said of Bramble")
    for paper in ("neglect", "record"):
        words = run("paper", paper, "Rosie").output
        told = words[words.index("Corrected ") :]
        assert "revision 2: wrong foot" in told
        assert "- Was: left front, thrush." in told
        assert "- Now: right front, thrush." in told
        assert "- Left out: left front, flare." in told
        assert "Bramble" not in words, "a reason may name another horse"
    seal = run("paper", "neglect", "Rosie").output.partition("Seal")[2]
    assert "revision 2" in seal, "every link stands in the seal, with its own hash"
    assert "revision 3" in seal
    assert "no saved entry has been changed since" not in seal
    assert "were corrected after I saved them" in " ".join(
        run("paper", "owner", "Rosie").output.split()
    )


def test_a_dated_record_says_which_entry_went_to_another_horse(run: Run, home: Path) -> None:
    text = "left front thrush"
    save_note(home, "Rosie", text, found("thrush", Foot.LF))
    note = json.loads(run("notes", "list", "--horse", "Rosie", "--json").output)[0]["id"]
    run("notes", "horse", note, "Bramble", "--reason", "said under the wrong horse")
    words = " ".join(run("paper", "neglect", "Rosie").output.split())
    assert "was saved under this horse and later given to another" in words
    assert "Bramble" not in words
    came = " ".join(run("paper", "neglect", "Bramble").output.split())
    assert "Had been saved under another horse." in came
    assert "Rosie" not in came


def test_an_urgent_call_without_a_day_is_on_every_day_sheet(run: Run, home: Path) -> None:
    text = "call the vet"
    urgent = Fact(FactKind.FOLLOW_UP, "vet_visit", details={"who": "vet", "urgent": "yes"})
    save_note(home, "Duke", text, urgent)
    assert run("follow-ups", "list").output.count("URGENT") == 1
    shown = run("day", "2026-11-26").output
    assert "Duke" in shown
    assert "URGENT, vet: Veterinarian to see the horse" in " ".join(shown.split())


def test_cautions_on_papers_have_days_as_papers_write_them(run: Run) -> None:
    shown = run("paper", "before", "Biscuit").output
    assert "kicked (3 times, last 30 Sep 2026)" in shown


@pytest.mark.parametrize("kind", ["owner", "vet", "record", "neglect"])
def test_a_paper_without_a_name_or_with_drafts_waiting_says_so_beside_it(
    run: Run, home: Path, kind: str
) -> None:
    add_draft(home, "Rosie")
    done = run("paper", kind, "Rosie")
    assert "1 draft of this horse is not saved and not in it" in done.stderr
    assert "Your name is not on it (setting farrier_name)" in done.stderr
    (home / "fieldlog.toml").write_text('farrier_name = "Ada Quill"', encoding="utf-8")
    named = run("paper", kind, "Rosie")
    assert "Your name" not in named.stderr
    assert "Ada Quill" in named.stdout


def test_a_caution_is_written_as_papers_write(run: Run) -> None:
    for paper in (("owner", "Bramble"), ("before", "Bramble"), ("day", "2026-11-25")):
        text = " ".join(run("paper", *paper).output.split())
        assert "both hinds, snatched the foot away (29 Jul 2026)" in text


def test_a_dated_record_says_why_a_promise_was_dropped_and_what_its_numbers_are(
    run: Run, home: Path
) -> None:
    with Store.open(home / "fieldlog.db") as store:
        (films,) = [f for f in store.follow_ups() if f.code == "radiographs"]
    run("follow-ups", "drop", films.id, "--reason", "the owner does not want it")
    text = " ".join(run("paper", "neglect", "Bramble").output.split())
    assert re.search(
        r"\[dropped\] vet: Radiographs .*? Dropped on \d+ \w+ 20\d\d: the owner does not want it\.",
        text,
    )
    done = r"\[done\] farrier: Recheck, by [^.]*\. Asked on [^.]*\. Seen to on 26 Aug 2026\."
    assert re.search(done, text)
    assert "those that are not here are of other horses" in text
    once = run("paper", "neglect", "Duke").output
    assert "1 numbered entries" not in once


def test_no_reason_of_a_promise_names_another_client(run: Run, home: Path) -> None:
    with Store.open(home / "fieldlog.db") as store:
        (films,) = [f for f in store.follow_ups() if f.code == "radiographs"]
    run("follow-ups", "drop", films.id, "--reason", "Marta Ellery took the plates home")
    text = run("paper", "neglect", "Bramble").output
    assert "Ellery" not in text
    assert "the reason names another" in " ".join(text.split())


def test_papers_of_a_horse_that_was_sold_keep_the_owners_apart(run: Run, home: Path) -> None:
    text = "dan whitcombe says he was lame told dan to rest it dan still owes me for march"
    lame = said(FactKind.FINDING, "lameness", text, "dan whitcombe says he was lame")
    save_note(
        home,
        "Copper",
        text,
        replace(lame, reporter=Reporter.OWNER),
        said(FactKind.ADVICE, "spoke_to", text, "told dan to rest it", to="Dan"),
        loose="dan still owes me for march",
    )
    mine = " ".join(run("paper", "record", "Copper").output.split())
    assert "Dan still owes me for march." in mine
    changed = run("horses", "change", "Copper", "--owner", "Roy Tanner").output
    assert '--owner "Roy Tanner" --all-along' in changed
    for kind in ("record", "owner", "vet"):
        paper = run("paper", kind, "Copper").output
        assert "Roy Tanner" in paper
        assert "Dan" not in paper, kind
    record = " ".join(run("paper", "record", "Copper").output.split())
    assert "The horse had another owner on this day." in record
    assert "What was spoken with the name of another is left out." in record
    assert "I was told:" in run("paper", "owner", "Copper").output
    neglect = run("paper", "neglect", "Copper")
    assert "had another owner on this day" in neglect.stdout
    assert "“words as kept” may name others (dan, whitcombe)" in neglect.stderr


NAIL = Fact(FactKind.FINDING, "penetrating_object", (Foot.LH,), FootBasis.SAID, id="nail")
CALL = "something has gone into the foot"


def test_what_calls_a_veterinarian_follows_the_corrected_facts(run: Run, home: Path) -> None:
    """A nail that was misheard alarmed the owner still; one that was added told the vet nothing."""
    trim = Fact(FactKind.WORK, "trim", ALL_FEET, FootBasis.SAID, id="trim")
    save_note(home, "Rosie", "trimmed all four nail in the left hind", trim, NAIL)
    for paper in (("paper", "owner", "Rosie"), ("paper", "vet", "Rosie"), ("horse", "Rosie")):
        assert CALL in run(*paper).output
    with Store.open(home / "fieldlog.db") as store:
        note = store.saved_entries(store.horse_named("Rosie").id)[0]
        store.revise_entry(note.id, (trim,), "it was a shoe nail")
    for paper in (("paper", "owner", "Rosie"), ("paper", "vet", "Rosie"), ("horse", "Rosie")):
        assert CALL not in run(*paper).output
    with Store.open(home / "fieldlog.db") as store:
        store.revise_entry(note.id, (trim, NAIL), "it was a nail after all")
    for paper in (("paper", "owner", "Rosie"), ("paper", "vet", "Rosie"), ("horse", "Rosie")):
        assert CALL in run(*paper).output


def test_a_day_that_is_past_is_not_asked_for_by_then(run: Run, home: Path) -> None:
    """“Please see the horse, by Friday” four days after that Friday reads as a slip."""
    trim = Fact(FactKind.WORK, "trim", ALL_FEET, FootBasis.SAID)
    with Store.open(home / "fieldlog.db") as store:
        rosie = store.horse_named("Rosie").id
        due = store.newest_write().date() - timedelta(days=400)  # type: ignore[union-attr]
        store.add_follow_up("vet_visit", "vet", who="vet", horse_id=rosie, due=due)
        store.add_follow_up("call", "call the owner about the crack", horse_id=rosie, due=due)
    save_note(home, "Rosie", "trimmed all four", trim)
    letter = " ".join(run("paper", "vet", "Rosie").output.split())
    assert f"Please see the horse, due {due:%A} {due.day} {due:%B %Y} and still open" in letter
    summary = " ".join(run("paper", "owner", "Rosie").output.split())
    assert "Call you about the crack, due" in summary
    assert "call the owner" not in summary.lower()


def test_a_dated_record_says_of_each_request_when_it_was_made(run: Run, home: Path) -> None:
    """Three times “call the vet” without a day is one request to whoever reads it in court."""
    for spoken in ("call the vet today", "call the vet please"):
        call = said(FactKind.FOLLOW_UP, "vet_visit", spoken, spoken, who="owner")
        save_note(home, "Rosie", spoken, call)
    day = re.escape(f"{datetime.now():%-d %b %Y}")
    for paper in ("neglect", "record"):
        text = " ".join(run("paper", paper, "Rosie").output.split())
        assert len(re.findall(rf"owner: Veterinarian to see[^.]*\. Asked on {day}\.", text)) == 2


def test_a_score_says_that_its_scale_was_not_spoken(run: Run, home: Path) -> None:
    """Condition 2 of 9 (Henneke) is a starved horse, 2 of 5 is none."""
    score = Fact(FactKind.SCORE, "condition", (), FootBasis.WHOLE_HORSE,
                 quantity=Quantity(2, Unit.GRADE), details={"scale": "henneke_1_9"})  # fmt: skip
    unsure = score.with_doubt("scale_assumed", "The scale was not named; it is assumed.")
    save_note(home, "Rosie", "condition two", unsure)
    save_note(home, "Storm", "condition two of nine", score)
    for paper in ("neglect", "vet", "owner", "record"):
        told = " ".join(run("paper", paper, "Rosie").output.split())
        assert "2 of 9 (Henneke), the scale was not spoken" in told
        assert "not spoken" not in run("paper", paper, "Storm").output
    draft = add_draft(home, "Bramble")
    with Store.open(home / "fieldlog.db") as store:
        store.set_facts(draft, [unsure], "set")
        store.accept_fact(draft, unsure.id)
        store.save_entry(draft)
    looked_at = run("paper", "neglect", "Bramble").output
    assert "2 of 9 (Henneke)" in looked_at
    assert "not spoken" not in looked_at


def test_work_is_not_called_seen_in_a_dated_record(run: Run, home: Path) -> None:
    trim = Fact(FactKind.WORK, "trim", ALL_FEET, FootBasis.SAID)
    save_note(home, "Rosie", "trimmed all four", trim)
    text = run("paper", "neglect", "Rosie").output
    assert re.search(r"Done, and left undone:\n- All four: trim\.\n\nWords as kept: “trimmed", text)


def test_the_day_sheet_has_what_is_about_no_horse_and_how_late_a_horse_is(run: Run) -> None:
    """Pads to order were on the due list only; a horse left out for weeks looked due today."""
    run("follow-ups", "add", "order pads", "--due", "2026-11-25")
    run("follow-ups", "add", "write the bills", "--due", "2027-02-01")
    for command in (("day",), ("paper", "day")):
        text = " ".join(run(*command).output.split())
        assert "About no horse -------------- [ ] farrier: Order pads" in text
        assert "write the bills" not in text.lower()
    later = " ".join(run("day", "2027-01-20").output.split())
    assert "OVERDUE, farrier: Order pads" in later
    assert re.search(r"Rosie .*?, due \d+ \w+ 202\d, \d+ days late, last seen", later)
    assert "late, last seen" not in run("day", "2026-06-01").output


def test_a_telephone_call_is_no_visit_on_paper(run: Run, home: Path) -> None:
    """The letter said “I saw Rosie” of a day on which somebody rang."""
    told = Fact(FactKind.FINDING, "lameness", (Foot.LH,), FootBasis.SAID, reporter=Reporter.OWNER)
    seen_on = re.search(r"I saw Rosie on (.*?) for", run("paper", "vet", "Rosie").output)
    assert seen_on is not None
    save_note(home, "Rosie", "owner rang lame left hind", told)
    last = " ".join(run("paper", "vet", "Rosie").output.split())
    assert f"I saw Rosie on {seen_on[1]} for" in last
    assert re.search(r"Reported to me since, without a visit -+ - .*?: Left hind: lameness", last)
    today = f"{datetime.now():%Y-%m-%d}"
    letter = " ".join(run("paper", "vet", "Rosie", "--day", today).output.split())
    assert "when I did not see the horse" in letter
    record = run("paper", "record", "Rosie", "--since", today).output
    assert "0 visits" in record
    assert f"{datetime.now().year}, without a visit\n" in record
    assert f"{datetime.now().year}, without a visit\n" in run("paper", "neglect", "Rosie").output
    page = " ".join(run("horse", "Rosie").output.split())
    assert "Noted since, without a visit" in page
    assert "Left hind: lameness, owner says." in page
