"""Sentences read aloud: each is kept whole, under its own words, and only they count."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from fieldlog.errors import DiskFull, InputError, ModelMissing, SpeechError
from fieldlog.paths import Places
from fieldlog.sound import keep
from fieldlog.sound.decode import sound_chunks
from fieldlog.sound.pcm import joined
from fieldlog.speech import readings
from tests.sound.sounds import pcm, sweep, write

SOUND = pcm(sweep(2.0))
OTHER = pcm(sweep(3.0))


def test_a_reading_is_kept_as_it_was_recorded(home: Places) -> None:
    readings.keep(home, 7, SOUND)
    ((number, path),) = readings.read_aloud(home).items()
    assert number == 7
    assert joined(sound_chunks(path)) == SOUND
    assert path.stat().st_mode & 0o777 == 0o600
    readings.keep(home, 7, OTHER)
    assert joined(sound_chunks(path)) == OTHER
    assert len(list(home.readings.iterdir())) == 1


def test_the_earlier_reading_stays_where_the_disk_is_full(
    home: Places, monkeypatch: pytest.MonkeyPatch
) -> None:
    readings.keep(home, 7, SOUND)

    def full(fd: int, data: bytes) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(keep, "write_all", full)
    with pytest.raises(DiskFull, match="the reading"):
        readings.keep(home, 7, OTHER)
    assert joined(sound_chunks(readings.read_aloud(home)[7])) == SOUND
    assert len(list(home.readings.iterdir())) == 1


def test_a_reading_of_other_words_never_counts(
    home: Places, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A later version may ask for another sentence under the same number."""
    readings.keep(home, 1, SOUND)
    readings.keep(home, 2, SOUND)
    asked = ("something else altogether", *readings.sentences()[1:])
    monkeypatch.setattr(readings, "sentences", lambda: asked)
    assert set(readings.read_aloud(home)) == {2}


def test_files_are_taken_by_the_numbers_in_their_names(tmp_path: Path) -> None:
    for name in ("10 late.wav", "2.wav", "002 again.wav", "0.wav", "41.wav", "note.wav"):
        write(tmp_path / name, sweep(1.0))
    found = [(number, path.name) for number, path in readings.numbered_files(tmp_path)]
    assert found == [(2, "002 again.wav"), (2, "2.wav"), (10, "10 late.wav")]


def test_a_folder_without_numbers_says_how_to_name_files(tmp_path: Path) -> None:
    write(tmp_path / "note.wav", sweep(1.0))
    with pytest.raises(InputError, match="begins with a sentence's number") as caught:
        readings.numbered_files(tmp_path)
    assert "voice sentences" in caught.value.remedy


def test_too_few_are_not_learnt_from(home: Places) -> None:
    readings.keep(home, 1, SOUND)
    with pytest.raises(SpeechError, match=r"1 of 40 sentences are read; it takes 15"):
        readings.learn(home, datetime(2026, 11, 30, 9, tzinfo=UTC))
    assert not home.own_voice.exists()


def test_without_a_model_there_is_nobody_to_teach(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(readings, "shipped_folder", lambda: None)
    with pytest.raises(ModelMissing, match="No speech model came"):
        readings.teacher()


def test_forgetting_a_voice_keeps_the_readings_unless_told(home: Places) -> None:
    assert not readings.forget(home, readings=True)
    readings.keep(home, 1, SOUND)
    home.own_voice.parent.mkdir(parents=True, exist_ok=True)
    home.own_voice.write_bytes(b"a voice")
    assert readings.forget(home, readings=False)
    assert not home.own_voice.exists()
    assert set(readings.read_aloud(home)) == {1}
    assert not readings.forget(home, readings=False)
    assert readings.forget(home, readings=True)
    assert readings.read_aloud(home) == {}
