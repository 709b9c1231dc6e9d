"""``voice``: sentences from files and from a microphone, learning, forgetting."""

from __future__ import annotations

import re
import shutil
import time
import wave
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest

from fieldlog.cli import voice_commands
from fieldlog.paths import places
from fieldlog.sound import capture, portaudio
from fieldlog.sound.capture import FakeMicrophone
from fieldlog.sound.decode import sound_chunks
from fieldlog.speech import own_voice, readings
from fieldlog.speech.pronounce import phrase
from tests.cli.conftest import DATA, Run

AUDIO = DATA.parent / "demo_audio"


def spoken(path: Path, loud: float = 0.2, seconds: float = 3.0) -> Path:
    """Something that is no silence."""
    draw = np.random.default_rng(1)
    noise = (draw.normal(0, loud * 8000, int(16_000 * seconds))).clip(-32_768, 32_767)
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(16_000)
        file.writeframes(noise.astype(np.int16).tobytes())
    return path


@pytest.fixture
def anything(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every sound passes for its sentence: there is no voice to read them here."""
    monkeypatch.setattr(own_voice, "STRANGE", np.inf)


def test_nothing_is_learnt_yet(run: Run) -> None:
    result = run("voice")
    assert result.exit_code == 0
    assert "Not learnt yet; 0 of 40 sentences are read." in result.output
    assert "Nothing was learnt" in run("voice", "forget").output
    few = run("voice", "learn")
    assert few.exit_code == 1
    assert "fieldlog voice read" in few.output


def test_the_sentences_name_every_foot_and_can_be_spoken(run: Run) -> None:
    lines = run("voice", "sentences").output.splitlines()
    assert len(lines) == len(readings.sentences()) == 40
    assert lines[0].startswith("01  left front")
    together = " ".join(readings.sentences())
    for foot in ("left front", "right front", "left hind", "right hind", "near fore", "off fore"):
        assert foot in together
    assert not any(c.isdigit() for c in together)
    phones = {p for s in readings.sentences() for p in phrase(s)}
    assert len(phones) == 39  # all that CMUdict has (speech.cs.cmu.edu/cgi-bin/cmudict)


def test_what_is_not_the_sentence_is_left_out(run: Run, home: Path, tmp_path: Path) -> None:
    folder = tmp_path / "phone"
    folder.mkdir()
    spoken(folder / "01 short.wav", seconds=0.4)
    spoken(folder / "02.wav", loud=0.0)
    spoken(folder / "03.wav", loud=20.0)
    shutil.copy(next(AUDIO.glob("n05-*.mp3")), folder / "04 another note.mp3")
    result = run("voice", "read", "--from", str(folder))
    for number, why in (
        (1, "It took 0.4 s"), (2, "Hardly anything"), (3, "It was too loud"), (4, "It "),
    ):  # fmt: skip
        assert f"Sentence {number}: {why}" in " ".join(result.output.split())
    assert "Kept 0 sentences." in result.output
    assert readings.read_aloud(places(home)) == {}


def test_another_sentence_is_told_from_the_one_that_was_asked_for(home: Path) -> None:
    ear = readings.teacher()
    note = b"".join(sound_chunks(next(AUDIO.glob("*.wav"))))[: 32_000 * 6]
    assert ear.wrong_with(9, note) == "It does not sound like this sentence."


def test_files_without_numbers_are_refused(run: Run, tmp_path: Path) -> None:
    spoken(tmp_path / "note.wav")
    result = run("voice", "read", "--from", str(tmp_path))
    assert result.exit_code == 2
    assert "voice sentences" in result.output


@pytest.mark.usefixtures("anything")
def test_sentences_are_read_into_the_microphone(
    run: Run, home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    sound = spoken(tmp_path / "voice.wav")
    monkeypatch.setattr(portaudio, "choose", lambda wanted: None)
    monkeypatch.setattr(capture, "SystemMicrophone", lambda wanted: FakeMicrophone(sound))
    heard = voice_commands._heard_until_enter

    def heard_to_the_end(microphone: FakeMicrophone) -> bytes:
        """As soon as Enter may be pressed all has been said: the fake one is that quick."""
        monkeypatch.setattr(
            voice_commands,
            "_asked",
            lambda what: wait_for(microphone) if "ends" in what else asked(what),
        )
        return heard(microphone)

    asked = voice_commands._asked
    monkeypatch.setattr(voice_commands, "_heard_until_enter", heard_to_the_end)
    result = run("voice", "read", input="\n\nq\n")
    assert result.exit_code == 0, result.output
    assert set(readings.read_aloud(places(home))) == {1, 2}
    assert "2 are read; 13 more at least" in result.output
    on = run("voice", "read", input="q\n")
    assert "\n03  left hind" in on.output
    assert "\n01  left front" not in on.output


def wait_for(microphone: FakeMicrophone) -> bool:
    while not microphone.ended:
        time.sleep(0.01)
    return False


@pytest.fixture
def sixteen(anything: None, run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Sixteen sentences are read; learning goes through them once."""
    for number in range(1, 17):
        spoken(tmp_path / f"{number:02}.wav")
    assert "Kept 16 sentences." in run("voice", "read", "--from", str(tmp_path)).output
    monkeypatch.setattr(own_voice, "ROUNDS", 1)


@pytest.mark.usefixtures("sixteen")
def test_a_voice_that_helps_is_used_and_can_be_forgotten(
    run: Run, home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    learnt = run("voice", "learn")
    assert learnt.exit_code == 0, learnt.output
    assert "with your voice in mind from now on" in " ".join(learnt.output.split())
    today = datetime.now(UTC).date().year
    assert f"Learnt on {today}-" in run("voice").output
    assert "from 16 sentences (0.8 minutes)" in run("voice").output
    assert re.search(r"farrier-en-\d+-own-voice", run("models").output)
    rolled = tmp_path / "stick"
    run("data", "roll", str(rolled), "--make-folder")
    new = tmp_path / "new"
    assert run("data", "unroll", str(next(rolled.glob("fieldlog-*"))), at=new).exit_code == 0
    assert places(new).own_voice.is_file()
    assert "readings are kept" in run("voice", "forget").output
    assert "own-voice" not in run("models").output
    assert "removed" in run("voice", "forget", "--readings").output
    assert readings.read_aloud(places(home)) == {}


@pytest.mark.usefixtures("sixteen")
def test_a_voice_that_does_not_help_changes_nothing(
    run: Run, home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(own_voice, "WAY", -3.0)  # the wrong way
    result = run("voice", "learn")
    assert result.exit_code == 1
    assert "Nothing was changed" in " ".join(result.output.split())
    assert not places(home).own_voice.exists()
    assert len(readings.read_aloud(places(home))) == 16


def test_a_damaged_voice_is_told_of(run: Run, home: Path) -> None:
    places(home).own_voice.write_bytes(b"damaged")
    result = run("voice")
    assert result.exit_code == 1
    assert "fieldlog voice learn" in " ".join(result.output.split())
