"""The shipped model learns one voice: gains and offsets for the units of its network.

From sentences that the farrier read aloud, whose words are therefore known, as they were read and
with noise behind them. A few minutes move some 21,000 numbers beside the network's 8.4 million
weights, held near one and nought all the more the less there is to learn from (maximum a
posteriori); half the way is then gone, for words, unlike sounds alone, are heard better so. Every
fifth sentence is first kept aside: only if it is then heard better is the voice taken, learnt from
all. ``models/evaluation/own_voice.py`` measures what it is worth for people and voices kept apart.
"""

from __future__ import annotations

import hashlib
import io
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fieldlog.errors import SpeechError
from fieldlog.sound.keep import write_whole
from fieldlog.speech.barn_noise import noisy
from fieldlog.speech.cepstra import FRAMES_PER_SECOND, cepstra
from fieldlog.speech.ctc import loss_and_slope
from fieldlog.speech.kaldi import Network
from fieldlog.speech.own_network import OUT, Array, Change, OwnNetwork

FORMAT = 1
ROUNDS, TOGETHER = 8, 4
"""How often every sentence is learnt from, and how many at once."""
RATE, DROP = 0.015, 0.12
"""The first step of the gains and offsets (Adam), and the share of units left out."""
HOLD = 0.6
"""Of the square of what moved, over the seconds learnt from: chosen on development speakers."""
WAY = 0.5
"""How much of what was learnt is taken."""
NOISES = 3
"""With how many noises a sentence is learnt, beside the quiet one."""
ASIDE = 5
"""Every which sentence is kept aside for the proof."""
LEAST_SECONDS = 45.0
"""With less nothing is learnt: the kept-aside sentences would prove nothing."""
STRANGE = 3.5
"""Nats a phone from which a recording is not the sentence that was asked for."""
Progress = Callable[[int, int], None]
"""Called with how many of how many sentences have been gone through."""


@dataclass(frozen=True)
class Spoken:
    """One sentence as it was read aloud."""

    versions: tuple[Array, ...]
    """Cepstra, frames by coefficients: as it was read, then with noises behind it."""
    said: tuple[int, ...]
    """Outputs of the network, in order."""

    @property
    def heard(self) -> Array:
        return self.versions[0]

    @property
    def seconds(self) -> float:
        return len(self.heard) / FRAMES_PER_SECOND


@dataclass(frozen=True)
class OwnVoice:
    """What was learnt of a voice."""

    changes: Mapping[str, Change]
    network: str
    """SHA-256 of the network's file that it belongs to."""
    about: Mapping[str, Any]
    """When and from how much it was learnt, and what the proof said."""

    @property
    def digest(self) -> str:
        """Another for every other voice."""
        parts = (part for _, pair in sorted(self.changes.items()) for part in pair)
        joined = b"".join(part.astype(np.float16).tobytes() for part in parts)
        return hashlib.sha256(joined).hexdigest()


@dataclass(frozen=True)
class Proof:
    """How the sentences kept aside are heard, before and after."""

    unlike: tuple[float, float]
    """Nats a sound by which they are unlike what was said."""
    wrong: tuple[int, int]
    """Sounds heard wrongly; with so few sentences chance plays a part in it."""
    sounds: int

    @property
    def better(self) -> bool:
        return self.unlike[1] < self.unlike[0]


def spoken(
    sound: NDArray[np.int16], phones: Sequence[str], outputs: Sequence[str], noises: int = NOISES
) -> Spoken:
    """A sentence ready to learn from.

    Args:
        sound: samples, mono, 16 kHz; not empty.
        phones: ARPABET without stress, as ``pronounce.phrase`` gives them.
        outputs: the model's phones; output 0, the blank, is not among them.
        noises: with how many noises beside the quiet version; none is enough to judge it.
    """
    at = {phone: number for number, phone in enumerate(outputs, 1)}
    draw = np.random.default_rng(len(sound))
    sounds = [sound, *(noisy(sound, draw) for _ in range(noises))]
    return Spoken(tuple(map(cepstra, sounds)), tuple(at[p] for p in phones))


def unlike(network: OwnNetwork, sentence: Spoken) -> float:
    """Nats a phone by which a recording is unlike its sentence; infinity if it is too short."""
    log_probs, _ = network.listen(sentence.heard, unchanged(network))
    return loss_and_slope(log_probs, sentence.said)[0] / len(sentence.said)


def learn(
    network: OwnNetwork,
    sentences: Sequence[Spoken],
    progress: Progress = lambda done, of: None,
) -> tuple[dict[str, Change], Proof]:
    """Gains and offsets for a voice, and what the sentences kept aside say of it.

    Raises:
        SpeechError: less than ``LEAST_SECONDS`` of sound.
    """
    seconds = sum(s.seconds for s in sentences)
    if seconds < LEAST_SECONDS:
        raise SpeechError(
            f"{seconds:.0f} seconds are too little to learn a voice from.",
            f"Read more sentences aloud, {LEAST_SECONDS:.0f} seconds at least.",
        )
    aside = sentences[ASIDE - 1 :: ASIDE]
    rest = [s for number, s in enumerate(sentences, 1) if number % ASIDE]
    of = ROUNDS * (len(rest) + len(sentences))
    done = 0

    def one_more() -> None:
        nonlocal done
        done += 1
        progress(done, of)

    tried = _learnt(network, rest, one_more)
    before, after = proved(network, aside, unchanged(network)), proved(network, aside, tried)
    sounds = sum(len(s.said) for s in aside)
    proof = Proof((before[0] / sounds, after[0] / sounds), (before[1], after[1]), sounds)
    return (_learnt(network, sentences, one_more) if proof.better else tried), proof


def with_voice(network: Network, changes: Mapping[str, Change]) -> Network:
    """The network with gains and offsets worked into its weights.

    Raises:
        SpeechError: they belong to a network of other layers.
    """
    sizes = OwnNetwork(network).sizes()
    if sizes != {name: len(offset) for name, (_, offset) in changes.items()}:
        raise SpeechError("What was learnt of a voice belongs to another model.", "Learn it anew.")
    components = []
    for part in network.components:
        if part.name in changes and part.weight is not None and part.bias is not None:
            gain, offset = changes[part.name]
            if part.name == OUT:
                gain = np.ones_like(offset)
            part = replace(part, weight=part.weight * gain[:, None], bias=part.bias * gain + offset)
        components.append(part)
    return replace(network, components=components)


def save(voice: OwnVoice, path: Path) -> None:
    """Write a voice into one file, whole or not at all; only its owner may read it.

    Raises:
        OSError: the system refuses; what was there stays.
    """
    arrays: dict[str, NDArray[Any]] = {}
    for name, (gain, offset) in voice.changes.items():
        arrays[f"{name}.gain"] = gain.astype(np.float16)
        arrays[f"{name}.offset"] = offset.astype(np.float16)
    head = {"format": FORMAT, "network": voice.network, "about": dict(voice.about)}
    arrays["head"] = np.frombuffer(json.dumps(head).encode(), np.uint8)
    packed = io.BytesIO()
    np.savez_compressed(packed, allow_pickle=False, **arrays)
    write_whole(path, packed.getvalue())


def load(path: Path) -> OwnVoice:
    """A voice that ``save`` wrote.

    Raises:
        SpeechError: the file is damaged or of a later version.
        FileNotFoundError: there is none.
    """
    try:
        with np.load(io.BytesIO(path.read_bytes()), allow_pickle=False) as data:
            head = json.loads(bytes(data["head"]))
            if head["format"] != FORMAT:
                raise ValueError(f"format {head['format']}")
            names = [k.removesuffix(".gain") for k in data.files if k.endswith(".gain")]
            changes = {
                n: (data[f"{n}.gain"].astype(np.float32), data[f"{n}.offset"].astype(np.float32))
                for n in names
            }
        return OwnVoice(changes, head["network"], head["about"])
    except FileNotFoundError:
        raise
    except Exception as problem:  # numpy and zipfile raise many kinds
        raise SpeechError(
            f"What was learnt of your voice cannot be read: {problem}.",
            "Learn it anew (fieldlog voice learn); your readings are kept.",
        ) from problem


def unchanged(network: OwnNetwork) -> dict[str, Change]:
    """Gains and offsets that change nothing."""
    return {
        n: (np.ones(k, np.float32), np.zeros(k, np.float32)) for n, k in network.sizes().items()
    }


def _learnt(
    network: OwnNetwork, sentences: Sequence[Spoken], one_more: Callable[[], None]
) -> dict[str, Change]:
    """Gains and offsets after all rounds."""
    changes = unchanged(network)
    adam = _Adam(changes)
    hold = HOLD / sum(s.seconds for s in sentences)
    draw = np.random.default_rng(1)
    groups = -(-len(sentences) // TOGETHER)
    for turn in range(ROUNDS * groups):
        if turn % groups == 0:
            order = draw.permutation(len(sentences))
        some = order[turn % groups * TOGETHER :][:TOGETHER]
        total = {n: (2 * hold * (g - 1), 2 * hold * o) for n, (g, o) in changes.items()}
        for at in some:
            one = sentences[at]
            version = one.versions[(turn // groups) % len(one.versions)]
            for name, found in _slopes_of(network, version, one.said, changes, draw).items():
                for sum_, slope in zip(total[name], found, strict=True):
                    sum_ += slope / TOGETHER
            one_more()
        adam.step(total, RATE * (1 - turn / (ROUNDS * groups)))
    return {n: (1 + WAY * (gain - 1), WAY * offset) for n, (gain, offset) in changes.items()}


def _slopes_of(
    network: OwnNetwork,
    heard: Array,
    said: Sequence[int],
    changes: Mapping[str, Change],
    draw: np.random.Generator,
) -> dict[str, Change]:
    """The slopes of the loss a phone of one sentence; none of one that is too short."""
    log_probs, passed = network.listen(heard, changes, DROP, draw)
    loss, slope = loss_and_slope(log_probs, said)
    if not np.isfinite(loss):
        return {}
    return network.slopes(slope / len(said), passed, changes)


class _Adam:
    """Kingma and Ba, ICLR 2015, with their figures; changes its parameters in place."""

    def __init__(self, changes: Mapping[str, Change]) -> None:
        self._parts = {n: [p, np.zeros_like(p), np.zeros_like(p)] for n, p in _flat(changes)}
        self._turn = 0

    def step(self, slopes: Mapping[str, Change], rate: float) -> None:
        self._turn += 1
        for name, slope in _flat(slopes):
            value, mean, square = self._parts[name]
            mean += 0.1 * (slope - mean)
            square += 0.001 * (slope * slope - square)
            even = mean / (1 - 0.9**self._turn)
            value -= rate * even / (np.sqrt(square / (1 - 0.999**self._turn)) + 1e-8)


def _flat(changes: Mapping[str, Change]) -> list[tuple[tuple[str, int], Array]]:
    return [((n, i), part) for n, pair in changes.items() for i, part in enumerate(pair)]


def proved(
    network: OwnNetwork, sentences: Sequence[Spoken], changes: Mapping[str, Change]
) -> tuple[float, int]:
    """Nats by which the sentences are unlike what was said, and sounds heard wrongly."""
    from rapidfuzz.distance import Levenshtein

    nats, wrong = 0.0, 0
    for one in sentences:
        log_probs, _ = network.listen(one.heard, changes)
        nats += loss_and_slope(log_probs, one.said)[0]
        best = log_probs.argmax(1)
        new = np.concatenate([[True], best[1:] != best[:-1]])
        phones = [int(output) for output in best[new & (best != 0)]]
        wrong += Levenshtein.distance(phones, list(one.said))
    return nats, wrong
