"""The optional second reader: comparison always, real Whisper only where it is installed."""

from __future__ import annotations

import wave
from pathlib import Path

import pytest

from fieldlog.core.disputes import marked
from fieldlog.core.words import Transcript, Word
from fieldlog.errors import ModelDamaged, ModelMissing
from fieldlog.speech.second_reader import (
    WhisperRecogniser,
    available,
    find_weights,
)

SOUND = Path(__file__).parent / "data" / "near_fore.wav"


def said(text: str) -> Transcript:
    words = tuple(Word(t, i * 0.3, i * 0.3 + 0.3) for i, t in enumerate(text.split()))
    return Transcript(words, "vosk/x", 10.0)


def rivals(first: str, second: str) -> list[tuple[str, str]]:
    both = marked(said(first), said(second))
    assert both.text == first
    return [(w.text, w.rival) for w in both.words if w.rival]


def test_the_same_words_have_no_rival() -> None:
    assert rivals("near fore toe three", "near fore toe three") == []


def test_a_different_word_is_noted() -> None:
    assert rivals("near four toe", "near fore toe") == [("four", "fore")]


def test_a_stretch_is_noted_on_each_of_its_words() -> None:
    assert rivals("a city toe here", "a seedy tow here") == [
        ("city", "seedy tow"),
        ("toe", "seedy tow"),
    ]


def test_words_only_one_reader_heard() -> None:
    assert rivals("toe long", "toe very long") == [("toe", "toe very")]
    assert rivals("toe very long", "toe long") == [("very", "nothing")]


def test_fillers_tell_nothing() -> None:
    assert rivals("uh toe long", "toe long um") == []


def test_without_words_there_is_nothing_to_mark() -> None:
    assert marked(Transcript((), "vosk/x"), said("toe")).words == ()


def test_a_given_folder_must_be_whole(tmp_path: Path) -> None:
    with pytest.raises(ModelMissing):
        find_weights(tmp_path, tmp_path / "none")
    (tmp_path / "model.bin").write_bytes(b"x")
    with pytest.raises(ModelDamaged, match=r"config\.json, tokenizer\.json"):
        find_weights(tmp_path, tmp_path)


@pytest.mark.skipif(available(), reason="faster-whisper is installed")
def test_without_the_package_it_says_so(tmp_path: Path) -> None:
    with pytest.raises(ModelMissing, match="not installed"):
        WhisperRecogniser(tmp_path)


@pytest.mark.skipif(not available(), reason="faster-whisper is not installed")
def test_it_hears_a_note_with_times(tmp_path: Path) -> None:
    try:
        weights = find_weights(tmp_path)
    except ModelMissing:
        pytest.skip("the weights are not installed")
    reader = WhisperRecogniser(weights)
    with wave.open(str(SOUND)) as file:
        assert reader.feed(file.readframes(file.getnframes())) == []
    note = reader.finish()
    assert reader.finish() is note
    assert "toe length three and a quarter" in note.text
    assert all(0 <= w.start <= w.end <= 6.5 for w in note.words)
    assert all(w.reader == "whisper/whisper-base" for w in note.words)
    with pytest.raises(ValueError, match="finished"):
        reader.feed(b"\0\0")
