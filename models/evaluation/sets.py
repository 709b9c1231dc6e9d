"""The test sets: sounds (16 kHz mono int16) with what was said, made once and kept in a folder.

Which speakers are kept out of training stands in ``held_out.json``; models/train reads the same.
"""

from __future__ import annotations

import json
import sys
import tomllib
from collections.abc import Callable, Collection
from dataclasses import dataclass
from pathlib import Path

import noise
import numpy as np
from numpy.typing import NDArray

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
sys.path.insert(0, str(ROOT / "models" / "graph"))

from dictation import lines_of  # noqa: E402

Sound = NDArray[np.int16]
TEST_VOICES = ("hibari", "joe", "flite-slt", "espeak-us")
DEV_VOICES = ("flite-rms", "espeak-gb")
SNRS = (20, 10, 5)
LIBRISPEECH = "librispeech-dev-clean-part"
OCEAN = "speechocean762-train"


@dataclass(frozen=True)
class Item:
    """One sound of a set."""

    key: str
    said: str
    sound: Sound


def held_out() -> dict[str, list[str]]:
    """Speakers per corpus that neither training nor tuning may use."""
    table: dict[str, list[str]] = json.loads((HERE / "held_out.json").read_text("utf-8"))
    return table


def read_sound(path: Path) -> Sound:
    """Any sound file that soundfile or PyAV reads, as 16 kHz mono."""
    import soundfile
    import soxr

    try:
        samples, rate = soundfile.read(path, dtype="float32", always_2d=True)
        mono = samples.mean(1)
    except soundfile.LibsndfileError:  # M4A
        import av

        with av.open(str(path)) as container:
            change = av.AudioResampler("s16", "mono", 16000)
            frames = [f for g in container.decode(audio=0) for f in change.resample(g)]
            frames += change.resample(None)
        return np.concatenate([f.to_ndarray().ravel() for f in frames]).astype(np.int16)
    if rate != 16000:
        mono = soxr.resample(mono, rate, 16000)
    return (np.clip(mono, -1, 1) * 32767).astype(np.int16)


def transcripts(folder: Path) -> dict[str, str]:
    """What was said in each recording of a corpus, by the beginning of its file's name."""
    lines = (folder / "transcripts.tsv").read_text("utf-8").splitlines()
    return {k: t.lower() for k, t in (line.split("\t")[:2] for line in lines if line.strip())}


def human(folder: Path, speakers: list[str], limit: int) -> list[Item]:
    """Recordings of the given speakers (the beginning of the file name), evenly picked."""
    said = transcripts(folder)
    dashed = tuple(f"{s}-" if "librispeech" in folder.name else s for s in speakers)
    keys = [k for k in sorted(said) if k.startswith(dashed)]
    keys = keys[:: max(1, len(keys) // limit)][:limit]
    paths = {p.stem: p for p in folder.iterdir()}
    return [Item(k, said[k], read_sound(paths[k])) for k in keys]


def dictations(name: str) -> list[str]:
    """The texts of a file beside this one, an utterance a line."""
    return [line.strip() for line in lines_of(HERE / name)]


def spoken(texts: list[str], voices: tuple[str, ...], each: int) -> list[Item]:
    """Every text by ``each`` of the voices, in turn, with quiet around."""
    from voices import say

    items = []
    for i, text in enumerate(texts):
        for j in range(each):
            voice = voices[(i + j * len(voices) // each + i // len(voices)) % len(voices)]
            sound = np.concatenate(
                [np.zeros(4800, np.int16), say(text, voice), np.zeros(4800, np.int16)]
            )
            rng = np.random.default_rng([5, i])
            sound = sound + rng.normal(0, 3, len(sound)).astype(np.int16)
            items.append(Item(f"{voice}/{i:03d}", text, sound))
    return items


def demo() -> list[Item]:
    """The demo's sound files and their scripts."""
    notes = tomllib.loads((ROOT / "demo_data" / "notes.toml").read_text("utf-8"))["note"]
    files = {p.name.split("-")[0]: p for p in (ROOT / "demo_audio").glob("n*-*")}
    return [Item(n["id"], n["text"], read_sound(files[n["id"]])) for n in notes if n["id"] in files]


def make(
    folder: Path, people: Path | None, limit: int, names: Collection[str] = ()
) -> dict[str, list[Item]]:
    """Sets by name, all or those of ``names``, from ``folder`` where they were made before."""
    out = held_out()
    texts = dictations("dictations.txt")
    makers: dict[str, Callable[[], list[Item]]] = {
        "c-clean": lambda: spoken(texts, TEST_VOICES, 2),
        **{
            f"c-{snr}dB": lambda snr=snr: [
                Item(x.key, x.said, noise.add(x.sound, snr, 1000 * snr + i))
                for i, x in enumerate(spoken(texts, TEST_VOICES, 1))
            ]
            for snr in SNRS
        },
        "c-numbers": lambda: spoken(dictations("numbers.txt"), TEST_VOICES, 2),
        "d-demo": demo,
    }
    if people:
        makers["a-librispeech"] = lambda: human(people / LIBRISPEECH, out[LIBRISPEECH], limit)
        makers["b-speechocean"] = lambda: human(people / OCEAN, out[OCEAN], limit)
    folder.mkdir(parents=True, exist_ok=True)
    wanted = names or makers
    return {name: kept(folder / name, makers[name]) for name in makers if name in wanted}


def kept(base: Path, make_one: Callable[[], list[Item]]) -> list[Item]:
    """The set under ``base`` (``.json`` and ``.npy``, mapped into memory), made if missing."""
    index, samples = base.with_suffix(".json"), base.with_suffix(".npy")
    if not index.is_file():
        items = make_one()
        np.save(samples, np.concatenate([x.sound for x in items]))
        index.write_text(json.dumps([[x.key, x.said, len(x.sound)] for x in items]), "utf-8")
    flat = np.load(samples, mmap_mode="r")
    at, items = 0, []
    for key, said, length in json.loads(index.read_text("utf-8")):
        items.append(Item(key, said, flat[at : at + length]))
        at += length
    return items
