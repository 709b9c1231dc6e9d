"""The demo from sound to saved record with the real recogniser, once; and what it refuses."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from fieldlog.cli.demo_commands import MARKER, own_folder
from fieldlog.cli.demo_day import DemoDay, load_day
from fieldlog.cli.demo_report import NoteResult, note_lines
from fieldlog.cli.main import cli
from fieldlog.core.words import Transcript
from fieldlog.errors import BadImport, InputError
from fieldlog.language.lexicon import find_item
from fieldlog.paths import places
from tests.cli.conftest import DATA, Run

AUDIO = DATA.parent / "demo_audio"


@pytest.fixture(scope="module")
def demo_home(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, object]]:
    """The whole demo, run once for this file, its drafts saved without looking."""
    base = tmp_path_factory.mktemp("demo")
    result = CliRunner().invoke(
        cli,
        ["--home", str(base / "mine"), "demo", "--no-app", "--json", "--save", "--folder",
         str(base / "day")],
    )  # fmt: skip
    assert result.exit_code == 0, result.output
    assert not (base / "mine" / "fieldlog.db").exists(), "the demo touched the user's database"
    return base / "day", json.loads(result.stdout)


@pytest.mark.xdist_group("demo")
def test_the_whole_day_is_read_and_understood(demo_home: tuple[Path, dict[str, object]]) -> None:
    _, data = demo_home
    notes = data["notes"]
    assert isinstance(notes, list)
    assert len(notes) == 16
    assert all(n["reader"].startswith("vosk/") for n in notes)
    assert data["words"] == 630
    rate = data["word_error_rate"]
    assert isinstance(rate, float)
    assert 0 < rate < 0.5
    script = data["fields_from_script"]
    assert isinstance(script, dict)
    assert script["fact"]["recall"] > 0.9
    assert script["fact"]["precision"] > 0.9


@pytest.mark.xdist_group("demo")
def test_the_saved_day_flows_on(
    demo_home: tuple[Path, dict[str, object]], run: Run, tmp_path: Path
) -> None:
    home, _ = demo_home
    copy = tmp_path / "day"
    shutil.copytree(home, copy)
    assert "2026-11-25" in run("search", "since:2026-11-25", "thrush", at=copy).output
    history = run("horse", "Biscuit", "--since", "2026-11-25", at=copy).output
    assert "Wednesday 2026-11-25" in history
    assert "none was changed" in run("data", "verify", at=copy).output
    assert "Biscuit" in run("paper", "owner", "Biscuit", at=copy).output
    again = run("import", str(AUDIO / "n01-20261125-075200.opus"), at=copy)
    assert "known already" in again.output
    assert again.exit_code == 0


def test_the_demo_empties_only_its_own_folder(tmp_path: Path) -> None:
    mine = places(tmp_path / "mine")
    made = own_folder(tmp_path / "day", mine)
    (made / "old.db").touch()
    assert own_folder(tmp_path / "day", mine) == made
    assert [p.name for p in made.iterdir()] == [MARKER]
    other = tmp_path / "other"
    other.mkdir()
    (other / "letter.txt").write_text("keep me", encoding="utf-8")
    with pytest.raises(InputError, match="not empty"):
        own_folder(other, mine)
    assert (other / "letter.txt").exists()
    with pytest.raises(InputError, match="your own records"):
        own_folder(mine.data, mine)


def test_the_truth_uses_known_codes_and_points_into_its_text(day: DemoDay) -> None:
    tables = {"finding": "finding", "measurement": "measure", "work": "work",
              "follow_up": "followup", "handling": "handling", "score": "score"}  # fmt: skip
    facts = [f for n in day.notes for _, f in n.facts]
    facts += [f for v in day.visits for f in v.facts]
    for fact in facts:
        if fact.kind.value in tables:
            assert find_item(fact.code, tables[fact.kind.value]) is not None, fact.code
    for visit in day.visits:
        for fact in visit.facts:
            assert 0 <= fact.span[0] < fact.span[1] <= len(visit.text)


def test_every_note_has_its_sound_and_few_megabytes(day: DemoDay) -> None:
    for note in day.notes:
        (sound,) = AUDIO.glob(f"{note.id}-*")
        assert f"{note.at:%Y%m%d-%H%M%S}" in sound.name
    size = sum(p.stat().st_size for p in AUDIO.iterdir())
    assert size < 15_000_000
    assert {p.suffix for p in AUDIO.glob("n*")} == {
        ".opus", ".ogg", ".mp3", ".m4a", ".flac", ".wav",
    }  # fmt: skip


def test_damaged_demo_data_is_a_sentence(tmp_path: Path) -> None:
    for name in ("day.toml", "notes.toml", "earlier.toml"):
        shutil.copy(DATA / name, tmp_path / name)
    (tmp_path / "notes.toml").write_text("note = 3", encoding="utf-8")
    with pytest.raises(BadImport, match="cannot be read"):
        load_day(tmp_path)


def test_the_report_shows_right_wrong_missed_and_made_up(day: DemoDay) -> None:
    from dataclasses import replace

    note = day.notes[0]
    facts = [f for _, f in note.facts]
    call = replace(facts[10], code="vet_visit", rule="redflag:heat")
    got = (
        facts[0], replace(facts[2], feet=facts[7].feet), replace(facts[6], code="sore"), call,
    )  # fmt: skip
    lines = note_lines(NoteResult(note, Transcript.typed("this is juniper"), got))
    marks = [line[:5].strip() for line in lines]
    assert marks.count("=") == 1
    assert marks.count("~") == 1
    assert marks.count("+") == 1
    assert marks.count("!") == 1
    assert marks.count("-") == len(facts) - 2
