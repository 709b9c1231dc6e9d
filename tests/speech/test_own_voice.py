"""Learning a voice: its arithmetic against others', its file, what it does to the model."""

from __future__ import annotations

import itertools
import json
import sys
import wave
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from fieldlog.errors import SpeechError
from fieldlog.paths import Places
from fieldlog.sound import keep
from fieldlog.speech import own_voice, shipped
from fieldlog.speech.barn_noise import LOUDNESS, noisy
from fieldlog.speech.cepstra import cepstra
from fieldlog.speech.ctc import loss_and_slope
from fieldlog.speech.kaldi import Component, Network
from fieldlog.speech.own_network import OUT, Change, OwnNetwork
from fieldlog.speech.own_voice import OwnVoice, Spoken
from tests.cli.conftest import DATA

MODELS = Path(__file__).parents[2] / "models"
DEMO = next((DATA.parent / "demo_audio").glob("*.wav"))
PHONES = 5
"""Outputs of the small network, the blank among them."""


def sound(seconds: float = 3.0) -> np.ndarray[Any, np.dtype[np.int16]]:
    with wave.open(str(DEMO)) as file:
        return np.frombuffer(file.readframes(int(seconds * file.getframerate())), np.int16)


def affine(name: str, out: int, inputs: int, draw: np.random.Generator) -> Component:
    weight = draw.normal(0, inputs**-0.5, (out, inputs)).astype(np.float32)
    return Component(name, "affine", out, weight, draw.normal(0, 0.1, out).astype(np.float32))


@pytest.fixture
def small() -> Network:
    """A network of the shipped one's shape, with two blocks and few units."""
    draw = np.random.default_rng(3)
    wide, narrow, cepstral = 12, 6, 8
    parts = [affine("norm", cepstral, cepstral, draw), affine("a1", wide, 5 * cepstral, draw)]
    for low, high in (("l2", "a2"), ("l3", "a3"), ("bl0", "ba0"), ("bl1", "ba1")):
        parts += [affine(low, narrow, 3 * wide, draw), affine(high, wide, narrow, draw)]
    parts.append(affine(OUT, PHONES, wide, draw))
    around = "Append(Offset({0},-{1}),{0},Offset({0},{1}))"
    wired = {"a1": ("norm", 2), "l2": ("r1", 1), "l3": ("r2", 1), "bl0": ("r3", 3), "bl1": ("b", 6)}
    lines = [
        f"component-node name={part} component={part} input={around.format(node, reach)}"
        for part, (node, reach) in wired.items()
    ]
    return Network(lines, parts, 20, 20)


def changed(network: OwnNetwork, by: float, seed: int = 1) -> dict[str, Change]:
    draw = np.random.default_rng(seed)
    sizes = network.sizes().items()
    one = {n: draw.normal(1, by, k).astype(np.float32) for n, k in sizes}
    return {n: (gain, draw.normal(0, by, len(gain)).astype(np.float32)) for n, gain in one.items()}


def test_cepstra_are_those_of_another_program() -> None:
    """Against kaldi-native-fbank (github.com/csukuangfj), an implementation of Kaldi's features."""
    knf: Any = pytest.importorskip("kaldi_native_fbank")
    options = knf.MfccOptions()
    options.frame_opts.dither = 0
    options.use_energy = False
    options.num_ceps = options.mel_opts.num_bins = 40
    options.mel_opts.low_freq, options.mel_opts.high_freq = 20, 7600
    theirs = knf.OnlineMfcc(options)
    theirs.accept_waveform(16_000, sound().astype(np.float32).tolist())
    theirs.input_finished()
    wanted = np.array([theirs.get_frame(i) for i in range(theirs.num_frames_ready)])
    assert cepstra(sound()).shape == wanted.shape
    np.testing.assert_allclose(cepstra(sound()), wanted, atol=2e-3)
    assert len(cepstra(np.zeros(399, np.int16))) == 0


def collapsed(path: tuple[int, ...]) -> tuple[int, ...]:
    """Graves et al., ICML 2006, 3.1: repeated outputs are one, then blanks go."""
    return tuple(k for k, _ in itertools.groupby(path) if k)


@pytest.mark.parametrize("said", [(1,), (1, 2), (2, 2), (1, 2, 1)])
def test_the_loss_is_the_sum_over_every_way_to_say_it(said: tuple[int, ...]) -> None:
    draw = np.random.default_rng(0)
    steps, outputs = 6, 3
    scores = draw.normal(size=(steps, outputs))

    def loss(scores: np.ndarray[Any, Any]) -> float:
        chances = np.exp(scores) / np.exp(scores).sum(1, keepdims=True)
        ways = itertools.product(range(outputs), repeat=steps)
        fit = (np.prod(chances[range(steps), w]) for w in ways if collapsed(w) == said)
        return float(-np.log(sum(fit)))

    logs = scores - np.log(np.exp(scores).sum(1, keepdims=True))
    found, slope = loss_and_slope(logs, said)
    assert found == pytest.approx(loss(scores))
    for step, output in ((0, 0), (2, said[0]), (5, 1)):
        nudge = np.zeros_like(scores)
        nudge[step, output] = 1e-5
        wanted = (loss(scores + nudge) - loss(scores - nudge)) / 2e-5
        assert slope[step, output] == pytest.approx(wanted, abs=1e-6)


def test_what_is_too_short_to_be_said_teaches_nothing() -> None:
    loss, slope = loss_and_slope(np.log(np.full((2, 3), 1 / 3)), (1, 1))  # needs a blank between
    assert loss == np.inf
    assert not slope.any()


def test_slopes_are_those_of_the_loss(small: Network) -> None:
    network = OwnNetwork(small)
    heard = np.random.default_rng(2).normal(size=(40, 8)).astype(np.float32)
    said = (1, 3, 2)
    changes = changed(network, 0.2)
    log_probs, passed = network.listen(heard, changes)
    assert len(log_probs) == 14  # every third frame
    np.testing.assert_allclose(np.exp(log_probs).sum(1), 1, rtol=1e-5)
    slopes = network.slopes(loss_and_slope(log_probs, said)[1], passed, changes)
    assert slopes.keys() == network.sizes().keys()

    def loss(name: str, part: int, unit: int, by: float) -> float:
        gain, offset = (x.copy() for x in changes[name])
        (gain, offset)[part][unit] += by
        return loss_and_slope(network.listen(heard, changes | {name: (gain, offset)})[0], said)[0]

    for name in slopes:
        for part in (1,) if name == OUT else (0, 1):
            for unit in (0, 3):
                around = loss(name, part, unit, 1e-3) - loss(name, part, unit, -1e-3)
                assert slopes[name][part][unit] == pytest.approx(around / 2e-3, abs=0.02), name


def test_a_voice_worked_into_the_weights_is_heard_alike(small: Network) -> None:
    network = OwnNetwork(small)
    changes = changed(network, 0.2)
    heard = np.random.default_rng(4).normal(size=(30, 8)).astype(np.float32)
    nothing = own_voice.unchanged(network)
    inside = OwnNetwork(own_voice.with_voice(small, changes)).listen(heard, nothing)[0]
    np.testing.assert_allclose(inside, network.listen(heard, changes)[0], atol=1e-4)
    with pytest.raises(SpeechError, match="another model"):
        own_voice.with_voice(small, {OUT: changes[OUT]})


def test_a_network_of_another_shape_is_refused(small: Network) -> None:
    without = replace(small, components=[c for c in small.components if c.name != "l3"])
    with pytest.raises(SpeechError, match="cannot learn"):
        OwnNetwork(without)


def lessons(network: OwnNetwork, bent: float) -> list[Spoken]:
    """Sentences that the network would hear rightly if they were not ``bent``."""
    draw = np.random.default_rng(5)
    made: list[Spoken] = []
    while len(made) < 20:
        x = draw.normal(size=(240, 8)).astype(np.float32)
        best = network.listen(x, own_voice.unchanged(network))[0].argmax(1)
        said = collapsed(tuple(int(k) for k in best))
        if said:
            made.append(Spoken((x * np.float32(1 + bent) + np.float32(bent),), said))
    return made


def test_a_voice_is_learnt_and_proved_on_sentences_kept_aside(small: Network) -> None:
    network = OwnNetwork(small)
    done: list[tuple[int, int]] = []
    changes, proof = own_voice.learn(
        network, lessons(network, 0.4), lambda at, of: done.append((at, of))
    )
    assert proof.better
    assert proof.unlike[1] < 0.95 * proof.unlike[0]
    assert done[-1][0] == done[-1][1]
    others = lessons(network, 0.4)[:3]
    nothing = own_voice.unchanged(network)
    assert (
        own_voice.proved(network, others, changes)[0]
        < own_voice.proved(network, others, nothing)[0]
    )


def test_too_little_is_not_learnt_from(small: Network) -> None:
    network = OwnNetwork(small)
    with pytest.raises(SpeechError, match="seconds are too little"):
        own_voice.learn(network, lessons(network, 0.4)[:3])


def test_a_voice_is_kept_whole(small: Network, tmp_path: Path) -> None:
    voice = OwnVoice(changed(OwnNetwork(small), 0.1), "abc", {"sentences": 40})
    file = tmp_path / "own_voice.npz"
    own_voice.save(voice, file)
    again = own_voice.load(file)
    assert (again.network, again.about, again.digest) == ("abc", {"sentences": 40}, voice.digest)
    np.testing.assert_allclose(again.changes["a2"][0], voice.changes["a2"][0], atol=1e-3)
    file.write_bytes(file.read_bytes()[:200])
    with pytest.raises(SpeechError, match="cannot be read"):
        own_voice.load(file)


def test_the_old_voice_stays_where_the_new_one_cannot_be_written(
    small: Network, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "own_voice.npz"
    voice = OwnVoice(changed(OwnNetwork(small), 0.1), "abc", {})
    own_voice.save(voice, file)

    def full(fd: int, data: bytes) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(keep, "write_all", full)
    with pytest.raises(OSError, match="No space"):
        own_voice.save(OwnVoice(changed(OwnNetwork(small), 0.2), "abc", {}), file)
    assert own_voice.load(file).digest == voice.digest
    assert [p.name for p in tmp_path.iterdir()] == ["own_voice.npz"]
    assert file.stat().st_mode & 0o777 == 0o600


def test_a_voice_of_a_later_version_or_another_model_is_refused(
    small: Network, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "own_voice.npz"
    changes = changed(OwnNetwork(small), 0.1)
    with monkeypatch.context() as later:
        later.setattr(own_voice, "FORMAT", 2)
        own_voice.save(OwnVoice(changes, "abc", {}), file)
    with pytest.raises(SpeechError, match=r"format 2.*readings are kept"):
        own_voice.load(file)
    with pytest.raises(FileNotFoundError):
        own_voice.load(tmp_path / "none.npz")
    del changes["a2"]
    with pytest.raises(SpeechError, match="belongs to another model"):
        own_voice.with_voice(small, changes)


def test_noise_is_as_loud_as_it_is_meant_to_be() -> None:
    voice = np.clip(sound() // 4, -8000, 8000).astype(np.int16)
    for seed in range(6):
        mixed = noisy(voice, np.random.default_rng(seed))
        assert len(mixed) == len(voice)
        noise = mixed.astype(float) - voice
        louder = 20 * np.log10(voice.astype(float).std() / noise.std())
        assert LOUDNESS[0] - 1 < louder < LOUDNESS[1] + 1
    assert np.array_equal(mixed, noisy(voice, np.random.default_rng(5)))
    assert np.abs(noisy(np.zeros(16_000, np.int16), np.random.default_rng(1))).max() < 100


@pytest.mark.skipif(not MODELS.is_dir(), reason="the evaluator comes with a checkout only")
def test_the_shipped_network_is_heard_as_its_description_says() -> None:
    """Against an evaluator of Kaldi's network descriptions that knows nothing of our layers."""
    pytest.importorskip("kaldi_native_fbank")
    sys.path.append(str(MODELS / "evaluation"))
    phones_heard: Any = pytest.importorskip("phones_heard")
    folder = shipped.shipped_folder()
    assert folder is not None
    read = shipped.read_network(folder, shipped.describe(folder))
    network = OwnNetwork(read)
    heard = cepstra(sound(2.0))
    mine, _ = network.listen(heard, own_voice.unchanged(network))
    np.testing.assert_allclose(mine, phones_heard.outputs(read, heard), atol=0.02)


def test_the_model_is_expanded_with_the_voice_in_mind(ready: Places) -> None:
    folder = shipped.shipped_folder()
    assert folder is not None
    network = OwnNetwork(shipped.read_network(folder, shipped.describe(folder)))
    plain = shipped.shipped_model(ready)
    assert plain is not None
    own_voice.save(
        OwnVoice(changed(network, 0.01), shipped.network_hash(folder), {}), ready.own_voice
    )
    with_voice = shipped.shipped_model(ready)
    assert with_voice is not None
    assert with_voice.name == f"{plain.name}{shipped.WITH_VOICE}"
    same = (Path("graph/HCLG.fst"), Path("conf/model.conf"))
    for part in same:
        assert (with_voice / part).read_bytes() == (plain / part).read_bytes()
    assert (with_voice / "am/final.mdl").read_bytes() != (plain / "am/final.mdl").read_bytes()
    heard = words(with_voice)
    assert len(heard) > 5
    assert len(set(heard) & set(words(plain))) > 0.7 * len(set(heard))
    # One that was learnt with another network, or that is damaged, is not used and stops nothing.
    own_voice.save(OwnVoice(changed(network, 0.01), "another", {}), ready.own_voice)
    assert shipped.shipped_model(ready) == plain
    ready.own_voice.write_bytes(b"damaged")
    assert shipped.shipped_model(ready) == plain


def words(folder: Path) -> list[str]:
    import vosk

    vosk.SetLogLevel(-1)
    reader = vosk.KaldiRecognizer(vosk.Model(model_path=str(folder)), 16_000)
    reader.AcceptWaveform(sound(8.0).tobytes())
    found: str = json.loads(reader.FinalResult())["text"]
    return found.split()
