"""The second look: what it writes for libvosk, what it hears, and how sure its words are.

libvosk is the reference reader of the files. The network's own chances are checked against the
equations of long short-term memory (Hochreiter and Schmidhuber 1997, with the forget gate of Gers
et al. 2000), worked out here in numpy.
"""

from __future__ import annotations

import json
import shutil
import wave
from pathlib import Path

import numpy as np
import pytest

from fieldlog.core.words import Word
from fieldlog.paths import project_folder
from fieldlog.speech.models import SpeechModel
from fieldlog.speech.rescoring import Added, pack_recurrent, read_recurrent, write_rescoring
from fieldlog.speech.second_look import DIFFERS, UNCHECKED, as_sure_as_both
from fieldlog.speech.shipped import SHIPPED

MODELS = project_folder("models")
PACKED = (MODELS or Path()) / SHIPPED
SOUND = Path(__file__).parent / "data" / "near_fore.wav"


def word(text: str, start: float, confidence: float) -> Word:
    return Word(text, start, start + 0.3, confidence, reader="vosk")


def test_a_word_that_both_hear_is_as_sure_as_the_first_look() -> None:
    sure = as_sure_as_both([word("thrush", 1.0, 1.0)], [word("thrush", 1.02, 0.99)])
    unsure = as_sure_as_both([word("thrush", 1.0, 1.0)], [word("thrush", 1.02, 0.3)])
    assert sure[0].confidence > 0.97
    assert unsure[0].confidence < sure[0].confidence - 0.2


def test_a_word_that_the_first_look_heard_otherwise_is_unsure() -> None:
    heard = as_sure_as_both([word("five", 1.0, 1.0)], [word("i've", 1.0, 0.9)])
    assert (heard[0].text, heard[0].confidence) == ("five", DIFFERS)


def test_the_same_word_elsewhere_does_not_make_it_sure() -> None:
    first = [word("left", 0.0, 1.0), word("soft", 2.0, 1.0)]
    assert as_sure_as_both([word("left", 2.0, 1.0)], first)[0].confidence == DIFFERS


def test_a_word_beyond_the_first_look_is_never_certain() -> None:
    heard = as_sure_as_both([word("sound", 5.0, 1.0)], [word("is", 1.0, 1.0)])
    assert heard[0].confidence == UNCHECKED


def test_nothing_is_lost_where_the_second_look_is_left_with_nothing() -> None:
    heard = as_sure_as_both([], [word("hot", 1.0, 1.0), word("nail", 1.4, 0.4)])
    assert [(w.text, w.confidence) for w in heard] == [("hot", DIFFERS), ("nail", 0.4)]


WORDS = ["<s>", "</s>", "<name>", "near", "fore"]


def small_network(seed: int = 3) -> dict[str, np.ndarray]:
    dice = np.random.default_rng(seed)
    shapes = {
        "table": (5, 4), "often": (5,), "usual": (5,), "in.0": (12, 4), "again.0": (12, 3),
        "bias.0": (12,), "predict": (4, 3), "predict_bias": (4,),
    }  # fmt: skip
    return {k: dice.normal(size=s).astype(np.float32) for k, s in shapes.items()}


def test_packing_keeps_a_network_to_a_byte(tmp_path: Path) -> None:
    weights = small_network()
    pack_recurrent(tmp_path / "n" / "network.npz", WORDS, weights)
    words, again = read_recurrent(tmp_path / "n" / "network.npz")
    assert words == WORDS
    assert {k: v.shape for k, v in again.items()} == {k: v.shape for k, v in weights.items()}
    for name, values in weights.items():
        step = np.abs(values).max() / 127
        assert np.abs(again[name] - values).max() <= step


def test_names_stand_where_the_class_stands(tmp_path: Path) -> None:
    weights = small_network()
    weights["often"][:] = [-5, -3, -4, -2, -9]
    numbers = {"<eps>": 0, "near": 1, "fore": 2, "#0": 3, "<s>": 4, "</s>": 5, "bramble": 6,
               "hill": 7}  # fmt: skip
    shares = {"bramble": -1.0, "near": -1.0, "fore": -1.0}
    write_rescoring(tmp_path, numbers, WORDS, weights, shares, Added(1.0, 0.0))
    data = (tmp_path / "rnnlm" / "feat_embedding.final.mat").read_bytes()
    table = np.frombuffer(data[-8 * 5 * 4 :], "<f4").reshape(8, 5)
    name, less = np.append(weights["table"][2], -4.0), np.array([0, 0, 0, 0, -1])
    assert table[6] == pytest.approx(name + less)
    # A word that is said more often than the name keeps its own place; a rarer one does not.
    assert table[1] == pytest.approx(np.append(weights["table"][3], -2.0))
    assert table[2] == pytest.approx(name + less)
    # The second word of a name has been paid for by the first.
    assert not table[7].any()


needs_model = pytest.mark.skipif(
    not (PACKED / "recurrent" / "network.npz").is_file(), reason="no second look in this checkout"
)


@needs_model
def test_libvosk_adds_half_of_what_the_network_says(tmp_path: Path, shipped: SpeechModel) -> None:
    """The cost of one and the same reading with and without the network, side by side."""
    import vosk

    vosk.SetLogLevel(-1)
    folder = shipped.path
    words, weights = read_recurrent(PACKED / "recurrent" / "network.npz")
    text = (folder / "graph" / "words.txt").read_text(encoding="utf-8")
    numbers = {w: int(n) for w, n in (line.split() for line in text.splitlines())}

    def costs(weight: float) -> dict[str, float]:
        copy = tmp_path / f"w{weight}"
        shutil.copytree(folder, copy, ignore=shutil.ignore_patterns("rnnlm", "rescore"))
        write_rescoring(copy, numbers, words, weights, {}, Added(weight, 0.0))
        reader = vosk.KaldiRecognizer(vosk.Model(model_path=str(copy)), 16000)
        reader.SetMaxAlternatives(20)
        with wave.open(str(SOUND)) as file:
            reader.AcceptWaveform(file.readframes(file.getnframes()))
        heard = json.loads(reader.FinalResult())["alternatives"]
        return {a["text"]: float(a["confidence"]) for a in heard}

    without, with_it = costs(1e-6), costs(0.5)
    both = [t for t in without if t in with_it]
    assert both
    # The two grammars around the network cancel but for the end of the sentence.
    rest = [with_it[t] - without[t] - 0.9 * 0.5 * 0.5 * log_chance(t, words, weights) for t in both]
    end = 0.9 * 0.5 * 0.5 * float(weights["usual"][words.index("</s>")])
    assert rest == pytest.approx([end] * len(rest), abs=0.05)


def log_chance(text: str, words: list[str], weights: dict[str, np.ndarray]) -> float:
    """The network's log chance of a text and its end, not divided by the sum over all words."""
    place = {w: i for i, w in enumerate(words)}
    cells = weights["again.0"].shape[1]
    said, kept = np.zeros(cells), np.zeros(cells)
    before, total = place["<s>"], 0.0
    for word_ in [*text.split(), "</s>"]:
        gates = (
            weights["in.0"] @ weights["table"][before] + weights["again.0"] @ said
            + weights["bias.0"]
        )  # fmt: skip
        let_in, keep, new, let_out = np.split(gates, 4)
        kept = kept / (1 + np.exp(-keep)) + np.tanh(new) / (1 + np.exp(-let_in))
        said = np.tanh(kept) / (1 + np.exp(-let_out))
        before = place.get(word_, place["<name>"])
        expected = weights["predict"] @ said + weights["predict_bias"]
        total += float(weights["table"][before] @ expected + weights["often"][before])
    return total
