"""Run one reader over sets in a process of its own, so memory and load time are its own (Linux).

    python readers.py SPEC EVERY SETS_FOLDER OUT.json SET [SET ...]

SPEC is ``vosk:FOLDER``, ``pocketsphinx`` or ``whisper:FOLDER``; every EVERY-th sound is read, and
work is counted in CPU seconds.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

Reader = Callable[[NDArray[np.int16]], str]


def vosk_reader(folder: str) -> Reader:
    """A model folder of libvosk, ours or any."""
    sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "graph"))
    from decode import Decoder

    decoder = Decoder(Path(folder))
    return lambda sound: decoder(sound).text


def pocketsphinx_reader() -> Reader:
    """The stock English model with its own language model."""
    import pocketsphinx

    decoder = pocketsphinx.Decoder(loglevel="FATAL")

    def read(sound: NDArray[np.int16]) -> str:
        decoder.start_utt()
        decoder.process_raw(sound.tobytes(), full_utt=True)
        decoder.end_utt()
        best = decoder.hyp()
        return best.hypstr if best else ""

    return read


def whisper_reader(folder: str) -> Reader:
    """The optional second reader as fieldlog runs it (int8, one thread, its prompt)."""
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
    from fieldlog.speech.second_reader import WhisperRecogniser

    reader = WhisperRecogniser(Path(folder), threads=1)

    def read(sound: NDArray[np.int16]) -> str:
        note = reader.fresh()  # the loaded model serves every sound
        note.feed(sound.tobytes())
        return note.finish().text

    return read


def resident() -> float:
    """Megabytes of this process's own memory now (the sets are only mapped, and not counted)."""
    lines = Path("/proc/self/status").read_text("ascii").splitlines()
    return next(int(x.split()[1]) / 1024 for x in lines if x.startswith("RssAnon"))


def opened(spec: str) -> Reader:
    """The reader that a SPEC names.

    Raises:
        ArgumentTypeError: there is no such reader, or no such folder.
    """
    kind, _, folder = spec.partition(":")
    if kind not in ("vosk", "whisper", "pocketsphinx"):
        raise argparse.ArgumentTypeError(f"no reader {kind!r}")
    if kind == "pocketsphinx":
        return pocketsphinx_reader()
    if not Path(folder).is_dir():
        raise argparse.ArgumentTypeError(f"there is no folder {folder!r}")
    return vosk_reader(folder) if kind == "vosk" else whisper_reader(folder)


@dataclass
class Work:
    """What a reader took, in seconds of its processor and of sound."""

    work: float = 0.0
    sound: float = 0.0

    def read(self, reader: Reader, sound: NDArray[np.int16]) -> str:
        """What the reader hears in it."""
        start = time.process_time()
        text = reader(sound)
        self.work += time.process_time() - start
        self.sound += len(sound) / 16000
        return text


def sounds(base: Path, every: int) -> Iterator[NDArray[np.int16]]:
    """Every ``every``-th sound of a set."""
    flat, at = np.load(base.with_suffix(".npy"), mmap_mode="r"), 0
    for i, (_, _, length) in enumerate(json.loads(base.with_suffix(".json").read_text("utf-8"))):
        if i % every == 0:
            yield np.array(flat[at : at + length])
        at += length


def main() -> None:
    ask = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    ask.add_argument("spec", help="vosk:FOLDER, pocketsphinx or whisper:FOLDER")
    ask.add_argument("every", type=int, help="read every so many-th sound")
    ask.add_argument("folder", type=Path, help="of the sets")
    ask.add_argument("out", type=Path, help="the results, JSON")
    ask.add_argument("names", nargs="+", metavar="SET", help="sets of that folder")
    args = ask.parse_args()
    before = time.perf_counter()
    try:
        reader = opened(args.spec)
    except argparse.ArgumentTypeError as problem:
        ask.error(str(problem))
    load, took = time.perf_counter() - before, Work()
    heard = {
        name: [took.read(reader, sound) for sound in sounds(args.folder / name, args.every)]
        for name in args.names
    }
    facts = {
        "load": load,
        "rtf": took.work / max(took.sound, 1e-9),
        "resident_mb": resident(),
        "heard": heard,
    }
    args.out.write_text(json.dumps(facts), encoding="utf-8")


if __name__ == "__main__":
    main()
