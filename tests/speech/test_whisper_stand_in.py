"""The second reader's own work, with a library of ours in the place of faster-whisper.

The stand-in takes the calls that faster-whisper 1.x takes (its README, "Usage"), and "hears" one
word where it becomes loud, to a tenth of a second, so that what is fed, cut and timed can be told.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path

import numpy as np
import pytest

from fieldlog.core.words import Word
from fieldlog.errors import ModelDamaged, SpeechError, UnreadableSound
from fieldlog.paths import project_folder
from fieldlog.sound.pcm import BYTES_PER_SECOND, in_pieces, silence, write_wav
from fieldlog.speech import second_apart, second_reader
from fieldlog.speech.second_apart import ApartReader
from fieldlog.speech.second_reader import WhisperRecogniser

MODELS = Path(__file__).parents[2] / "models"
LIBRARY = """
from pathlib import Path
from types import SimpleNamespace as Made

import numpy as np


class WhisperModel:
    def __init__(self, path, device, compute_type, cpu_threads):
        if (Path(path) / "model.bin").read_bytes() == b"damaged":
            raise RuntimeError("File model.bin is incomplete")
        vocabulary = {"toe": 7, "8": 3, "half": 9, "<|0.00|>": 4, "50%": 1, "¼": 2}
        self.hf_tokenizer = Made(get_vocab=lambda: vocabulary)
        self.calls = []

    def transcribe(self, sound, **how):
        self.calls.append(how)
        if how["initial_prompt"].startswith("Trouble"):
            raise MemoryError("no more memory")
        loud = np.abs(sound[: len(sound) // 1600 * 1600]).reshape(-1, 1600).max(1) > 0.1
        words = [
            Made(word=f" Toe-{n}'s,", start=n / 10, end=n / 10 + 0.1, probability=1.5)
            for n in np.flatnonzero(loud & ~np.append(False, loud)[:-1]).tolist()
        ]
        return iter([Made(words=words), Made(words=None)]), Made(language="en")
"""


@pytest.fixture
def weights(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    library = tmp_path / "library" / "faster_whisper"
    library.mkdir(parents=True)
    (library / "__init__.py").write_text(LIBRARY, encoding="utf-8")
    monkeypatch.syspath_prepend(str(library.parent))
    monkeypatch.delitem(sys.modules, "faster_whisper", raising=False)
    folder = tmp_path / "tiny"
    folder.mkdir()
    (folder / "model.bin").write_bytes(b"weights")
    yield folder
    sys.modules.pop("faster_whisper", None)


def beeps(*at: float, seconds: float) -> bytes:
    """Quiet with a tenth of a second of loud sound at each of these times."""
    sound = np.zeros(round(seconds * 16_000), "<i2")
    for start in at:
        sound[round(start * 16_000) : round((start + 0.1) * 16_000)] = 20_000
    return sound.tobytes()


def heard(words: list[Word] | tuple[Word, ...]) -> list[tuple[str, float]]:
    return [(w.text, round(w.start, 3)) for w in words]


def test_words_come_without_marks_parted_at_hyphens_with_their_share_of_the_time(
    weights: Path,
) -> None:
    reader = WhisperRecogniser(weights)
    assert reader.feed(beeps(0.5, seconds=2.0)) == []
    assert reader.partial() == ""
    note = reader.finish()
    assert heard(note.words) == [("toe", 0.5), ("5's", 0.55)]
    assert (note.reader, note.duration) == ("whisper/tiny", 2.0)
    assert all(w.confidence == 1.0 for w in note.words), "a chance is never more than one"
    assert reader.finish() is note
    with pytest.raises(ValueError, match="finished"):
        reader.feed(b"\0\0")


def test_half_a_sample_is_refused(weights: Path) -> None:
    with pytest.raises(ValueError, match="even number"):
        WhisperRecogniser(weights).feed(b"\0")


def test_without_sound_nothing_is_asked(weights: Path) -> None:
    reader = WhisperRecogniser(weights)
    assert reader.finish().words == ()
    assert reader._model.calls == []


def test_numbers_are_to_be_written_as_words(weights: Path) -> None:
    reader = WhisperRecogniser(weights, prompt="Farrier.")
    reader.feed(silence(1.0))
    reader.finish()
    (how,) = reader._model.calls
    assert how["suppress_tokens"] == [-1, 1, 2, 3], "digits and signs, but no mark of time"
    assert how["initial_prompt"] == "Farrier."
    assert "hotwords" not in how


def test_long_sound_is_cut_where_it_is_quiet_and_times_go_on(
    weights: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(second_reader, "PIECE", 10.0)
    monkeypatch.setattr(second_reader, "_CUT_WITHIN", 4.0)
    times = [n / 2 for n in range(1, 50) if n != 15]  # a beep every half second, none at 7.5
    sound = beeps(*times, seconds=25.0)
    reader = WhisperRecogniser(weights)
    early = [w for piece in in_pieces(sound, 0.7) for w in reader.feed(piece)]
    assert early
    assert len(reader._pcm) <= 10 * BYTES_PER_SECOND, "no more than a piece is held"
    note = reader.finish()
    starts = [w.start for w in note.words if w.text == "toe"]
    assert starts == pytest.approx(times, abs=0.11), "no beep is lost or cut in two"
    assert note.duration == 25.0


def test_another_note_begins_anew_with_the_same_model(weights: Path) -> None:
    first = WhisperRecogniser(weights)
    first.feed(beeps(0.2, seconds=1.0))
    second = first.fresh("Juniper.")
    second.feed(beeps(0.7, seconds=1.0))
    assert heard(second.finish().words)[0] == ("toe", 0.7)
    assert heard(first.finish().words)[0] == ("toe", 0.2)
    assert first._model is second._model


def test_weights_that_do_not_load_are_told(weights: Path) -> None:
    (weights / "model.bin").write_bytes(b"damaged")
    with pytest.raises(ModelDamaged, match="tiny does not load"):
        WhisperRecogniser(weights)


@pytest.fixture
def apart(weights: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[ApartReader]:
    """The real child process, with the stand-in for a library."""
    monkeypatch.setenv("PYTHONPATH", str(weights.parent / "library"), prepend=":")
    reader = ApartReader(weights)
    yield reader
    reader.close()


def test_the_child_reads_one_note_after_another(apart: ApartReader, tmp_path: Path) -> None:
    for at in (0.3, 0.8):
        path = tmp_path / f"{at}.wav"
        write_wav(path, beeps(at, seconds=1.0))
        note = apart.read(path, ["Juniper"])
        assert heard(note.words)[0] == ("toe", at)
        assert note.reader == "whisper/tiny"


def test_what_goes_wrong_in_the_child_comes_back_as_a_sentence(
    apart: ApartReader, tmp_path: Path
) -> None:
    with pytest.raises(UnreadableSound, match="There is no file"):
        apart.read(tmp_path / "gone.wav")
    path = tmp_path / "note.wav"
    write_wav(path, beeps(0.3, seconds=1.0))
    with pytest.raises(SpeechError, match="The second reader failed: no more memory") as caught:
        apart.read(path, ["Trouble"])
    assert "words stay" in caught.value.remedy
    assert apart.read(path).words, "and it goes on"


def test_weights_are_tried_in_the_child(apart: ApartReader) -> None:
    assert second_apart.check(apart) == second_reader.verify(apart.weights)


def test_damaged_weights_cost_a_sentence_only(apart: ApartReader, tmp_path: Path) -> None:
    (apart.weights / "model.bin").write_bytes(b"damaged")
    path = tmp_path / "note.wav"
    write_wav(path, silence(0.5))
    with pytest.raises(ModelDamaged, match="does not load"):
        apart.read(path)


@pytest.mark.skipif(project_folder("models") is None, reason="a checkout has the tools")
def test_measuring_it_hears_each_sound_by_itself(
    weights: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Words of one sound that came back with the next one would count as errors."""
    monkeypatch.syspath_prepend(str(MODELS / "evaluation"))
    read = import_module("readers").opened(f"whisper:{weights}")
    sounds = [np.frombuffer(beeps(at, seconds=1.0), "<i2") for at in (0.3, 0.8)]
    assert [read(sound) for sound in sounds] == ["toe 3's", "toe 8's"]
