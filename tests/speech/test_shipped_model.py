"""The shipped model: packed files, their expansion, and real libvosk hearing real sound.

``data/near_fore.wav`` was spoken by the hibari-tts voice "heart", which no training used.
"""

from __future__ import annotations

import json
import multiprocessing
import shutil
import wave
from pathlib import Path
from typing import Any

import pytest

from fieldlog.errors import ModelDamaged, ModelMissing
from fieldlog.paths import project_folder
from fieldlog.speech import kaldi
from fieldlog.speech.models import SpeechModel
from fieldlog.speech.pronounce import names_to_say
from fieldlog.speech.shipped import DONE, SHIPPED, describe, ensure_expanded

MODELS = project_folder("models")
PACKED = (MODELS or Path()) / SHIPPED
SOUND = Path(__file__).parent / "data" / "near_fore.wav"

pytestmark = pytest.mark.skipif(not PACKED.is_dir(), reason="no shipped model in this checkout")


@pytest.fixture
def cache(shipped: SpeechModel) -> Path:
    return shipped.path.parents[1]


@pytest.fixture
def expanded(shipped: SpeechModel) -> Path:
    return shipped.path


def heard(folder: Path, sound: Path = SOUND) -> list[dict[str, Any]]:
    import vosk

    vosk.SetLogLevel(-1)
    reader = vosk.KaldiRecognizer(vosk.Model(model_path=str(folder)), 16000)
    reader.SetWords(True)
    with wave.open(str(sound)) as file:
        reader.AcceptWaveform(file.readframes(file.getnframes()))
    words: list[dict[str, Any]] = json.loads(reader.FinalResult())["result"]
    return words


def test_libvosk_hears_the_trade(expanded: Path) -> None:
    words = heard(expanded)
    text = " ".join(w["word"] for w in words)
    assert "near fore toe length three and a quarter" in text
    assert "thrush in the central sulcus" in text


def test_words_come_with_times_and_confidence(expanded: Path) -> None:
    words = heard(expanded)
    assert all(0 <= w["start"] < w["end"] <= 6.0 for w in words)
    assert [w["start"] for w in words] == sorted(w["start"] for w in words)
    assert all(0.0 < w["conf"] <= 1.0 for w in words)


def test_it_is_expanded_once(expanded: Path, cache: Path) -> None:
    before = (expanded / DONE).stat().st_mtime_ns
    assert ensure_expanded(PACKED, cache) == expanded
    assert (expanded / DONE).stat().st_mtime_ns == before


def test_a_name_that_no_training_text_had_is_heard(expanded: Path, cache: Path) -> None:
    listed = (expanded / "graph/words.txt").read_text(encoding="utf-8")
    assert "\nzephyrine " not in listed
    names = names_to_say(["Zephyrine"])
    named = ensure_expanded(PACKED, cache, names)
    assert named != expanded
    assert "\nzephyrine " in (named / "graph/words.txt").read_text(encoding="utf-8")
    assert "near fore toe length" in " ".join(w["word"] for w in heard(named))


def test_a_changed_file_is_refused(tmp_path: Path) -> None:
    copy = tmp_path / "model"
    shutil.copytree(PACKED, copy)
    conf = copy / "conf" / "model.conf"
    conf.write_text(conf.read_text(encoding="ascii") + "--beam=1.0\n", encoding="ascii")
    with pytest.raises(ModelDamaged, match=r"conf/model\.conf"):
        ensure_expanded(copy, tmp_path / "cache")
    assert not list((tmp_path / "cache").rglob("*.fst"))


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    copy = tmp_path / "model"
    shutil.copytree(PACKED, copy)
    (copy / "graph" / "phones.bin").unlink()
    with pytest.raises(ModelDamaged, match=r"phones\.bin: the file is missing"):
        ensure_expanded(copy, tmp_path / "cache")


def test_no_folder_is_no_model(tmp_path: Path) -> None:
    with pytest.raises(ModelMissing):
        ensure_expanded(tmp_path / "nothing", tmp_path / "cache")


@pytest.mark.parametrize(
    "content", ["", "[]", "not JSON", '{"name": "farrier-en"}', '{"format": 99}']
)
def test_a_description_of_another_kind_is_refused(tmp_path: Path, content: str) -> None:
    (tmp_path / "model.json").write_text(content, encoding="utf-8")
    with pytest.raises(ModelDamaged, match=r"model\.json.*Install fieldlog again"):
        describe(tmp_path)


def test_a_cache_that_cannot_be_written_leaves_nothing_half_made(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(kaldi, "write_acoustic_model", full)
    with pytest.raises(OSError, match="No space"):
        ensure_expanded(PACKED, tmp_path / "cache")
    assert [p for p in (tmp_path / "cache").rglob("*") if p.is_file()] == []
    assert not list((tmp_path / "cache").rglob(".making-*"))


def _expand(cache: Path) -> str:
    return str(ensure_expanded(PACKED, cache))


def test_two_processes_may_expand_at_once(tmp_path: Path) -> None:
    with multiprocessing.get_context("spawn").Pool(2) as pool:
        folders = pool.map(_expand, [tmp_path, tmp_path])
    assert folders[0] == folders[1]
    assert (Path(folders[0]) / DONE).is_file()
    assert [p.name for p in Path(folders[0]).parent.iterdir()] == [Path(folders[0]).name]


def test_a_half_made_folder_is_made_anew(tmp_path: Path, expanded: Path) -> None:
    cache = expanded.parents[1]
    copy = tmp_path / "cache"
    target = copy / expanded.relative_to(cache)
    target.mkdir(parents=True)
    (target / "am").mkdir()
    assert ensure_expanded(PACKED, copy) == target
    assert (target / DONE).is_file()


def test_the_model_says_what_it_is() -> None:
    facts = describe(PACKED)
    assert facts["name"] == SHIPPED
    assert facts["graph"].startswith("static")
    assert facts["words"] > 15_000
    assert len(facts["phones"]) == 39


def test_pauses_do_not_end_a_fact(expanded: Path) -> None:
    """Rules 2 to 5 of Kaldi's endpointer wait longer than its defaults (0.5, 1, 2 and 20 s)."""
    lines = (expanded / "conf" / "model.conf").read_text(encoding="ascii").split()
    rules = dict(line[2:].split("=") for line in lines)
    assert float(rules["endpoint.rule2.min-trailing-silence"]) >= 1.5
    short, long = "endpoint.rule3.min-trailing-silence", "endpoint.rule3.min-utterance-length"
    assert float(rules[short]) >= 1.5 or float(rules.get(long, 0)) >= 30
    assert float(rules["endpoint.rule4.min-trailing-silence"]) >= 2.0
    assert float(rules["endpoint.rule5.min-utterance-length"]) >= 40
