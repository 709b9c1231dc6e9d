"""Settings and places: defaults, clear refusals, one folder with FIELDLOG_HOME."""

from __future__ import annotations

from pathlib import Path

import pytest

from fieldlog.config import Settings, load_settings
from fieldlog.errors import ConfigError, NotAllowed
from fieldlog.paths import places


def test_a_missing_file_gives_the_defaults(tmp_path: Path) -> None:
    assert load_settings(tmp_path / "none.toml") == Settings()


def test_values_are_read(tmp_path: Path) -> None:
    file = tmp_path / "s.toml"
    file.write_text('tones = false\ncycle_weeks = 5\nfarrier_name = "Ada Quill"\n')
    settings = load_settings(file)
    assert (settings.tones, settings.cycle_weeks, settings.farrier_name) == (False, 5, "Ada Quill")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("tones = maybe", "cannot be read"),
        ("tunes = true", "unknown key “tunes”"),
        ('cycle_weeks = "six"', "“cycle_weeks” must be a whole number"),
        ("cycle_weeks = true", "“cycle_weeks” must be a whole number"),
        ("cycle_weeks = 99", "“cycle_weeks” is 99. It can be 1 to 52"),
        ("accept_above = 7", "“accept_above” is 7. It can be 0 to 1"),
        ('lameness_scale = "five"', 'It can be "aaep_0_5", "uk_0_10"'),
        ('condition_scale = "fat"', "“condition_scale” is 'fat'"),
        ('length_unit = "ell"', 'It can be "", "in", "mm"'),
        ('theme = "pink"', 'It can be "dark", "light"'),
        (r'model = "C:\Users\ada\models"', "with / or between single quotes"),
    ],
)
def test_mistakes_are_told(tmp_path: Path, text: str, told: str) -> None:
    file = tmp_path / "s.toml"
    file.write_text(text)
    with pytest.raises(ConfigError, match=told):
        load_settings(file)


def test_the_mark_of_the_windows_editor_is_no_mistake(tmp_path: Path) -> None:
    file = tmp_path / "s.toml"
    file.write_bytes("farrier_name = 'Zoë'\r\ncycle_weeks = 8\r\n".encode("utf-8-sig"))
    assert load_settings(file) == Settings(farrier_name="Zoë", cycle_weeks=8)


@pytest.mark.parametrize("encoding", ["utf-16", "cp1252"])
def test_a_file_in_another_encoding_is_told_what_to_do(tmp_path: Path, encoding: str) -> None:
    file = tmp_path / "s.toml"
    file.write_bytes("farrier_name = 'Zoë'".encode(encoding))
    with pytest.raises(ConfigError, match="save it with the encoding UTF-8"):
        load_settings(file)


def test_home_moves_everything(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FIELDLOG_HOME", str(tmp_path / "home"))
    here = places().make()
    assert here.database.parent == tmp_path / "home"
    assert here.sounds.stat().st_mode & 0o077 == 0


@pytest.mark.parametrize("empty", ["", "  "])
def test_an_empty_home_is_none(monkeypatch: pytest.MonkeyPatch, empty: str) -> None:
    """An unset variable of a script is empty: the records must not land where it happens to run."""
    monkeypatch.delenv("FIELDLOG_HOME", raising=False)
    usual = places()
    monkeypatch.setenv("FIELDLOG_HOME", empty)
    assert places() == usual


def test_a_folder_that_cannot_be_made_is_told(tmp_path: Path) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("")
    with pytest.raises(NotAllowed, match="FIELDLOG_HOME"):
        places(blocked / "inside").make()
