"""A note that is typed, where nobody can speak."""

from __future__ import annotations

import io
import json
import os
import pty
import signal
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path

import pytest

from fieldlog.core.facts import HorseMention
from fieldlog.paths import places
from fieldlog.records.store import Store
from tests.cli.conftest import DATA, Run

NOTE = "left front toe 3 1/4 in, thrush in the left hind. Recheck in four weeks."


def test_a_typed_note_waits_as_a_draft_in_its_own_words(run: Run) -> None:
    done = run("type", "--horse", "juniper", NOTE)
    assert done.exit_code == 0, done.output
    assert "left front · toe length · 3 1/4 in" in done.output
    (draft,) = json.loads(run("drafts", "--json").output)
    assert draft["entry"]["text"] == NOTE
    assert draft["horse"]["name"] == "Juniper"
    assert draft["at"].startswith("2026-11-25")
    assert f"fieldlog save {draft['id'][:8]}" in done.output
    assert "2026-12-23" in run("drafts", draft["id"][:8]).output
    assert run("save", draft["id"][:8]).exit_code == 0
    assert "left hind · thrush" in run("search", "thrush", "horse:Juniper", "since:today").output


def test_a_draft_of_a_new_horse_says_how_it_comes_onto_the_list(run: Run) -> None:
    told = run("type", "New horse Thimble, thrush left hind.").output
    (draft,) = json.loads(run("drafts", "--json").output)
    short = draft["id"][:8]
    assert f"fieldlog save --horse NAME {short}" in told
    assert "“Thimble” is a new one, before that: fieldlog horses add Thimble" in told
    assert run("save", "--horse", "Thimble", short).exit_code != 0
    assert run("horses", "add", "Thimble").exit_code == 0
    assert run("save", "--horse", "Thimble", short).exit_code == 0
    run("type", "Thrush left hind.")
    assert (
        "is a new one"
        not in run("drafts", json.loads(run("drafts", "--json").output)[0]["id"][:8]).output
    )


@pytest.mark.parametrize(
    "note", ["Left front toe 3 1/4 in.", "Left front toe 3 1/4 in. Recheck in four weeks."]
)
def test_a_value_in_digits_with_its_unit_stands(run: Run, note: str) -> None:
    """“toe ... in” is no toed-in foot where a number stands between."""
    run("type", "--horse", "Rosie", note)
    (draft,) = json.loads(run("drafts", "--json").output)
    codes = [f["code"] for f in draft["entry"]["facts"]]
    assert "toe_length" in codes
    assert "toed_in" not in codes


def test_each_horse_that_is_named_gets_its_draft(run: Run) -> None:
    run("type", "This is Rosie. Thrush in the left hind. New horse Bramble. Trimmed all four.")
    drafts = json.loads(run("drafts", "--json").output)
    assert [d["horse"]["name"] for d in drafts] == ["Rosie", "Bramble"]


def test_lines_are_typed_or_come_from_a_file(run: Run) -> None:
    run("type", "--horse", "Rosie", "--day", "yesterday", input="thrush left hind\ntrimmed\n")
    (draft,) = json.loads(run("drafts", "--json").output)
    assert draft["entry"]["text"] == "thrush left hind. trimmed."
    assert draft["at"].startswith("2026-11-24")


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_a_piped_note_is_read_however_the_editor_wrote_it(
    home: Path, run: Run, encoding: str
) -> None:
    """Windows' editor marks its UTF-8, its shell writes UTF-16, old programs one byte a letter."""
    note = "Rosie, left front toe 3 1/4 in. Zoë asks for café pads."
    run("type", "--horse", "Rosie", input=f"{note}\r\n".encode(encoding))
    (draft,) = json.loads(run("drafts", "--json").output)
    assert draft["entry"]["text"] == note


def test_bytes_on_the_command_line_that_are_no_characters_lose_no_note(run: Run) -> None:
    broken = os.fsdecode(b"thrush left hind, Zo\xeb")
    assert run("type", "--horse", "Rosie", broken).exit_code == 0
    (draft,) = json.loads(run("drafts", "--json").output)
    assert draft["entry"]["text"] == "thrush left hind, Zoë"


def test_taught_words_leave_what_was_typed_as_it_is(run: Run, home: Path) -> None:
    """A swap mends what a reader mishears; nobody mishears what is typed."""
    from fieldlog.language.personal import PersonalRules, Swap, save_personal

    rules = PersonalRules(words=(Swap("rush", "thrush"),))
    save_personal(rules, places(home).personal_rules)
    run("type", "--horse", "Rosie", "he was in a rush")
    (draft,) = json.loads(run("drafts", "--json").output)
    assert draft["entry"]["text"] == "he was in a rush"


@pytest.mark.parametrize("file", ["fieldlog.toml", "my_words.toml"])
def test_nothing_is_typed_in_vain(run: Run, home: Path, file: str) -> None:
    """What keeps a note from being kept is told before a line is read, not after."""
    (home / file).write_text("[[broken", encoding="utf-8")
    read = io.StringIO("thrush left hind\n")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("fieldlog.cli.typing_commands._piped", lambda: read.read().splitlines())
        refused = run("type", "--horse", "Rosie")
    assert refused.exit_code != 0
    assert file in refused.stderr
    assert read.read() == "thrush left hind\n"


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((), "Nothing was typed"),
        (("  ",), "Nothing was typed"),
        (("--horse", "Nobody"), "Nothing was typed"),
        (("--day", "2026-12-24", "thrush"), "is to come"),
        (("--day", "someday", "thrush"), "is not a day"),
    ],
)
def test_what_makes_no_note_is_a_sentence(
    run: Run, home: Path, arguments: tuple[str, ...], words: str
) -> None:
    refused = run("type", *arguments, input="")
    assert refused.exit_code in (1, 2)
    assert words in refused.stderr
    with Store.open(home / "fieldlog.db") as store:
        assert store.drafts() == []


def test_taught_words_that_a_windows_editor_saved_are_read(run: Run, home: Path) -> None:
    taught = '[[name]]\nheard = "june purr"\nmeant = "Juniper"\n'
    (home / "my_words.toml").write_bytes(taught.encode("utf-8-sig"))
    assert run("type", "--horse", "Juniper", "trimmed all four").exit_code == 0


def read_until(terminal: int, words: bytes) -> bytes:
    """What a program writes, up to ``words``."""
    written = b""
    while words not in written:
        written += os.read(terminal, 4096)
    return written


@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGHUP])
def test_a_note_that_is_cut_off_while_it_is_typed_is_kept(
    home: Path, run: Run, how: signal.Signals
) -> None:
    """Ctrl-C keeps a recording; here it threw ten typed lines away, and so did a closed window."""
    ours, theirs = pty.openpty()
    typing = subprocess.Popen(
        [sys.executable, "-m", "fieldlog", "--home", str(home), "type", "--horse", "Rosie"],
        stdin=theirs,
        stdout=theirs,
        stderr=theirs,
        env={**os.environ, "PYTHONPATH": str(DATA.parent)},
    )
    os.close(theirs)  # so that reading ends when it does
    read_until(ours, b"an empty line ends it")
    os.write(ours, b"thrush left hind\n")
    read_until(ours, b"hind\r\n")
    os.write(ours, b"trimmed all four\n")
    read_until(ours, b"four\r\n")
    time.sleep(0.5)
    typing.send_signal(how)
    read_until(ours, b"fieldlog save")
    assert typing.wait(60) == 0
    os.close(ours)
    (draft,) = json.loads(run("drafts", "--json").output)
    assert draft["entry"]["text"] == "thrush left hind. trimmed all four."


@pytest.mark.parametrize("piped", [False, True])
def test_words_for_a_horse_that_is_not_known_are_kept(run: Run, home: Path, piped: bool) -> None:
    """They were refused, and whoever had piped them in had to find them again: nothing is lost."""
    note = "thrush left hind"
    words = () if piped else (note,)
    told = run("type", "--horse", "Nobody", *words, input=f"{note}\n" if piped else "")
    assert told.exit_code == 0
    assert "no horse called “Nobody”" in told.stderr
    assert "kept as a draft without a horse" in told.stderr
    assert "Nobody?" in told.stdout
    with Store.open(home / "fieldlog.db") as store:
        (draft,) = store.drafts()
        assert draft.horse is None
        assert draft.entry.horse == HorseMention("Nobody", (0, 0), known=False)
        assert draft.entry.text.startswith(note)
    run("horses", "add", "Nobody")
    with Store.open(home / "fieldlog.db") as store:
        (draft,) = store.drafts()
    assert draft.horse is not None
    assert draft.horse.name == "Nobody"


def test_words_for_one_of_two_horses_of_a_name_are_kept(run: Run, home: Path) -> None:
    run("horses", "add", "Rosie", "--owner", "Dan Whitcombe")
    told = run("type", "--horse", "Rosie", "thrush left hind")
    assert (told.exit_code, "Several horses are called Rosie" in told.stderr) == (0, True)
    with Store.open(home / "fieldlog.db") as store:
        (draft,) = store.drafts()
        assert draft.horse is None


def test_a_name_that_is_not_known_is_told_before_the_note_is_typed(
    run: Run, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("fieldlog.cli.typing_commands._by_hand", lambda: True)
    refused = run("type", "--horse", "Nobody", input="thrush left hind\n\n")
    assert refused.exit_code != 0
    assert "an empty line ends it" not in refused.stderr
    with Store.open(home / "fieldlog.db") as store:
        assert store.drafts() == []


def test_words_that_the_records_refuse_after_they_were_typed_are_kept(
    run: Run, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another window holds the lock too long: what was typed was gone."""
    from fieldlog.records import base, files

    monkeypatch.setattr(base, "BUSY_SECONDS", 0.05)
    with closing(sqlite3.connect(home / "fieldlog.db", isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        refused = run("type", "--horse", "Rosie", input="trimmed all four\nthrush left hind\n")
        assert refused.exit_code == 1
        assert "Another fieldlog window is writing" in refused.stderr
        (file,) = home.glob("typed-*.txt")
        assert f'fieldlog type < "{file}"' in refused.stderr

        def full(*_: object) -> None:
            raise OSError(28, "No space left on device")

        monkeypatch.setattr(files, "write_whole", full)
        assert "Your words were:\nreset the fronts" in run("type", "reset the fronts").stderr
    kept = run("type", "--horse", "Rosie", input=file.read_bytes())
    assert kept.exit_code == 0
    assert "“trimmed all four. thrush left hind.”" in kept.output


def test_a_note_of_which_nothing_was_understood_is_not_offered_to_be_saved(run: Run) -> None:
    said = run("type", "--horse", "Rosie", "the gate squeaks a lot").output
    assert "Nothing was understood of" in said
    assert "If all is right" not in said
    assert "the gate squeaks a lot" in said


def test_a_note_of_several_horses_makes_a_draft_of_each_with_its_own_words(run: Run) -> None:
    told = run(
        "type",
        "Juniper, trimmed. Then the bay gelding in stall four, left hind thrush. Oh, and on "
        "Juniper the right hind has seedy toe.",
    ).output
    mine, his = json.loads(run("drafts", "--json").output)
    assert mine["horse"]["name"] == "Juniper"
    shown = run("drafts", mine["id"][:8]).output
    assert "“Juniper, trimmed. … Oh, and on Juniper the right hind has seedy toe.”" in shown
    assert "stall four" not in shown
    assert "right hind · seedy toe" in shown
    assert his["horse"] is None
    other = run("drafts", his["id"][:8]).output
    assert "bay gelding stall 4?" in other
    assert "left hind · thrush" in other
    assert "horses add" not in other, "a horse that is only described has no name to add"
    assert mine["id"][:8] in told
