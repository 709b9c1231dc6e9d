"""The real libvosk with the shipped model on real sound."""

from __future__ import annotations

import json
import socket
import threading
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from fieldlog.config import Settings
from fieldlog.core.words import Transcript
from fieldlog.errors import ModelDamaged
from fieldlog.paths import Places, project_folder
from fieldlog.sound.decode import sound_chunks
from fieldlog.sound.pcm import in_pieces, silence
from fieldlog.speech import vosk_reader
from fieldlog.speech.models import SpeechModel
from fieldlog.speech.opening import after_hearing, open_recogniser
from fieldlog.speech.recogniser import transcribe
from fieldlog.speech.vosk_reader import VoskRecogniser, load, words_from


@pytest.fixture(scope="session")
def note() -> bytes:
    """The first dictation of the demo day, synthetic speech."""
    folder = project_folder("demo_audio")
    if folder is None:
        pytest.skip("no demo sounds in this installation")
    (path,) = Path(folder).glob("n01*")
    return b"".join(sound_chunks(path))


def read(model: SpeechModel, sound: bytes, piece: float = 0.1) -> Transcript:
    return transcribe(VoskRecogniser(model), in_pieces(sound, piece))


def test_words_have_times_confidences_and_a_reader(shipped: SpeechModel, note: bytes) -> None:
    transcript = read(shipped, note)
    assert "left front" in transcript.text
    assert transcript.reader == f"vosk/{shipped.name}"
    assert transcript.duration == pytest.approx(len(note) / 32_000)
    at = 0.0
    for word in transcript.words:
        assert word.reader == transcript.reader
        assert 0 <= word.confidence <= 1
        assert at <= word.start <= word.end <= transcript.duration + 0.1
        at = word.start
    # The words lie where the sound is: most of their time is louder than the note's quiet parts.
    samples = np.abs(np.frombuffer(note, "<i2").astype(float))
    inside = [samples[int(w.start * 16e3) : int(w.end * 16e3)].mean() for w in transcript.words]
    assert np.median(inside) > np.percentile(samples, 30)


def test_how_the_sound_is_cut_hardly_matters(shipped: SpeechModel, note: bytes) -> None:
    """Pauses are looked for between slices, so a cut may move an end by a slice, no more."""
    fine, coarse = read(shipped, note, 0.25), read(shipped, note, 5.0)
    assert fine.text == coarse.text


def test_silence_of_half_an_hour_is_an_empty_note(shipped: SpeechModel) -> None:
    minute = silence(60)
    transcript = transcribe(VoskRecogniser(shipped), (minute for _ in range(30)))
    assert transcript.words == ()
    assert transcript.text == ""
    assert transcript.duration == 1800


def test_skipped_silence_keeps_the_times(
    shipped: SpeechModel, note: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Against Kaldi reading all of it."""
    short = note[: 32_000 * 8]
    sound = short + silence(25) + short
    skipped = read(shipped, sound)
    monkeypatch.setattr(vosk_reader, "_SKIP_AFTER", 1 << 40)
    whole = read(shipped, sound)
    assert skipped.text == whole.text
    for a, b in zip(skipped.words, whole.words, strict=True):
        assert a.start == pytest.approx(b.start, abs=0.05)


def test_renewing_keeps_words_and_times(
    shipped: SpeechModel, note: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Against one Kaldi object for the whole note; a doubtful word may come out otherwise."""
    short = note[: 32_000 * 8]
    sound = short + silence(5) + short + silence(5) + short
    whole = read(shipped, sound)
    made: list[object] = []
    fresh = VoskRecogniser._fresh

    def counted(self: VoskRecogniser) -> object:
        made.append(self)
        return fresh(self)

    monkeypatch.setattr(vosk_reader, "_RENEW_AFTER", 5 * 32_000)
    monkeypatch.setattr(VoskRecogniser, "_fresh", counted)
    renewed = read(shipped, sound)
    assert len(made) >= 3
    for word in ("juniper", "trimmed"):
        starts = [w.start for w in renewed.words if w.text == word]
        assert len(starts) == 3
        assert starts == pytest.approx([w.start for w in whole.words if w.text == word], abs=0.1)


def test_a_pause_in_the_middle_of_a_phrase_is_bridged(shipped: SpeechModel, note: bytes) -> None:
    """Six seconds of silence (holding a hoof) put between two words of one sentence."""
    whole = read(shipped, note)
    words = [w.text for w in whole.words]
    at = next(i for i in range(len(words) - 1) if words[i : i + 2] == ["left", "front"]) + 2
    cut = round((whole.words[at - 1].end + whole.words[at].start) / 2 * 16_000) * 2
    parted = read(shipped, note[:cut] + silence(6) + note[cut:])
    assert parted.text.split()[at - 2 : at] == ["left", "front"]
    heard_later = [w for w in parted.words if w.start > cut / 32_000 + 5.5]
    assert len(heard_later) >= len(words) - at - 2
    assert len({*words} ^ {w.text for w in parted.words}) <= 3


def resident_megabytes() -> float:
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * 4096 / 1e6


@pytest.mark.skipif(not Path("/proc/self/statm").exists(), reason="needs /proc")
def test_memory_stays_flat_over_a_long_note(shipped: SpeechModel, note: bytes) -> None:
    """Two minutes here; tests/bench/bench_recognition.py does half an hour."""
    reader = VoskRecogniser(shipped)
    for _ in range(2):
        reader.feed(note)
    early = resident_megabytes()
    for _ in range(4):
        reader.feed(note)
    assert resident_megabytes() - early < 40
    assert reader.finish().duration == pytest.approx(6 * len(note) / 32_000)


def test_one_model_serves_all_threads(shipped: SpeechModel, note: bytes) -> None:
    assert load(shipped) is load(shipped)
    texts: list[str] = []
    piece = note[: 32_000 * 6]
    threads = [
        threading.Thread(target=lambda: texts.append(read(shipped, piece).text)) for _ in range(2)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert texts[0] == texts[1] == read(shipped, piece).text


def test_models_with_other_names_do_not_pile_up(
    shipped: SpeechModel, tmp_path: Path, note: bytes
) -> None:
    kept = VoskRecogniser(shipped)
    kept.feed(note[:64_000])
    for number in range(3):
        other = tmp_path / f"{number}"
        other.symlink_to(shipped.path)
        load(replace(shipped, path=other))
    assert len(vosk_reader._LOADED) == 2
    kept.feed(note[64_000:])  # whoever reads with a forgotten model goes on
    assert "weeks" in kept.finish().text


def test_partial_words_come_before_final_ones(shipped: SpeechModel, note: bytes) -> None:
    reader = VoskRecogniser(shipped)
    assert reader.partial() == ""
    partial = ""
    for piece in in_pieces(note[: 32_000 * 4], 0.2):
        if reader.feed(piece):
            break
        partial = reader.partial() or partial
    assert len(partial.split()) > 2
    reader.finish()
    assert reader.partial() == ""


def test_finish_without_sound_and_wrong_use(shipped: SpeechModel) -> None:
    reader = VoskRecogniser(shipped)
    with pytest.raises(ValueError, match="even number"):
        reader.feed(b"\0")
    assert reader.finish().words == ()
    assert reader.finish() is reader.finish()
    with pytest.raises(ValueError, match="finished"):
        reader.feed(b"\0\0")


def test_what_the_library_refuses_is_a_sentence(
    shipped: SpeechModel, monkeypatch: pytest.MonkeyPatch
) -> None:
    import vosk

    def refuses(*_: object, **__: object) -> None:
        raise Exception("Failed to create a model")  # what vosk 0.3.45 raises

    with monkeypatch.context() as patch:
        patch.setattr(vosk, "KaldiRecognizer", refuses)
        with pytest.raises(ModelDamaged, match=f"{shipped.name} does not load"):
            VoskRecogniser(shipped)
    with monkeypatch.context() as patch:
        patch.setattr(vosk, "Model", refuses)
        patch.setattr(vosk_reader, "_LOADED", {})
        with pytest.raises(ModelDamaged, match=f"{shipped.name} does not load"):
            VoskRecogniser(shipped)
        assert vosk_reader._LOADED == {}
    assert VoskRecogniser(shipped).finish().text == "", "and the next note is read"


def test_results_without_words() -> None:
    for result in ('{"text": ""}', "{}", '{"result": [], "text": ""}'):
        assert words_from(result, "r") == []


def test_odd_numbers_in_results_are_tamed() -> None:
    result = json.dumps(
        {
            "result": [
                {"word": "a", "start": -0.01, "end": 0.2, "conf": 1.0000001},
                {"word": "b", "start": 0.19, "end": 0.18, "conf": -0.1},
                {"word": "c", "start": 0.1, "end": 0.4},
            ]
        }
    )
    words = words_from(result, "r", later=10.0)
    assert [w.start for w in words] == pytest.approx([9.99, 10.19, 10.19])
    assert all(w.end >= w.start for w in words)
    assert [w.confidence for w in words] == [1.0, 0.0, 1.0]


def test_names_of_the_day_and_sound_alikes_are_applied(ready: Places, note: bytes) -> None:
    reader = open_recogniser(Settings(), ready, names=["Juniper", "Old Mill Barn"])
    transcript = transcribe(reader, in_pieces(note[: 32_000 * 8], 0.2))
    assert "juniper" in transcript.text
    assert len(after_hearing()) == 1
    assert len(after_hearing(["Juniper"])) == 2


def test_reading_uses_no_network(
    ready: Places, note: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*args: object, **how: object) -> None:
        raise AssertionError("no network here")

    monkeypatch.setattr(socket, "socket", refuse)
    monkeypatch.setattr(socket, "create_connection", refuse)
    assert transcribe(open_recogniser(Settings(), ready), [note[:64_000]]).words
