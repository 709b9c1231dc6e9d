"""The vocabulary audit, and that the shipped model hears the extraction's terms."""

from __future__ import annotations

from pathlib import Path

import pytest

from fieldlog.errors import ModelDamaged
from fieldlog.paths import project_folder
from fieldlog.speech.shipped import SHIPPED
from fieldlog.speech.vocabulary import Unheard, audit, hears, terms_in, words_of

DATA = Path(__file__).parents[2] / "fieldlog" / "language" / "data"


def test_what_a_model_lacks_is_listed(tmp_path: Path) -> None:
    (tmp_path / "graph").mkdir()
    (tmp_path / "graph" / "words.txt").write_text("<eps> 0\nhigh 1\nheel 2\n", encoding="utf-8")
    found = audit(["(high|tall) heel ['s]", "heel"], hears(tmp_path))
    assert found == [Unheard("(high|tall) heel ['s]", ("tall",))]


def test_a_model_without_a_list_of_words_is_asked_itself(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Small official models carry their words inside the graph; ``vosk_model_find_word`` says a
    word's number or -1 (vosk_api.h)."""
    import vosk

    class Model:
        def __init__(self, model_path: str) -> None:
            assert model_path == str(tmp_path)

        def vosk_model_find_word(self, word: str) -> int:
            return ["<eps>", "high", "heel"].index(word) if word in ("high", "heel") else -1

    monkeypatch.setattr(vosk, "Model", Model)
    assert audit(["high heel", "tall heel"], hears(tmp_path)) == [Unheard("tall heel", ("tall",))]


def test_a_folder_that_is_no_model_is_told_by_the_real_library(tmp_path: Path) -> None:
    with pytest.raises(ModelDamaged, match="does not load"):
        hears(tmp_path / "nothing")


def test_words_of_a_pattern() -> None:
    assert words_of("~trim [the] (toe|toes) # 12") == ["trim", "the", "toe", "toes"]


def test_damaged_data_is_refused(tmp_path: Path) -> None:
    (tmp_path / "bad.toml").write_text("= 3", encoding="utf-8")
    with pytest.raises(ValueError, match=r"bad\.toml"):
        terms_in(tmp_path)


@pytest.mark.skipif(project_folder("models") is None, reason="no shipped model")
def test_the_shipped_model_hears_the_core_of_the_trade() -> None:
    models = project_folder("models")
    assert models is not None
    core = [
        "near fore",
        "off hind",
        "toe",
        "heel",
        "frog",
        "sole",
        "white line",
        "coronet",
        "sulcus",
        "thrush",
        "abscess",
        "flare",
        "underrun",
        "contracted",
        "sheared",
        "seedy toe",
        "quarter crack",
        "laminitis",
        "founder",
        "canker",
        "keratoma",
        "ringbone",
        "sidebone",
        "clenches",
        "clinches",
        "aught",
        "mil",
        "degrees",
        "sixteenths",
        "radiographs",
        "recheck",
    ]
    assert audit(core, hears(models / SHIPPED)) == []


def test_the_data_files_have_terms() -> None:
    assert len(terms_in(DATA)) > 100
