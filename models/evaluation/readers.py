"""Run one reader over sets in a process of its own, so memory and load time are its own (Linux).

    python readers.py SPEC EVERY SETS_FOLDER OUT.json SET [SET ...]

SPEC is ``vosk:FOLDER``, ``pocketsphinx`` or ``whisper:FOLDER``; every EVERY-th sound is read, and
work is counted in CPU seconds.
"""

from __future__ import annotations

import json
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

Reader = Callable[[NDArray[np.int16]], str]


def vosk_reader(folder: str) -> Reader:
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
        reader._done = None  # the loaded model serves every sound
        reader.feed(sound.tobytes())
        return reader.finish().text

    return read


def resident() -> float:
    """Megabytes of this process's own memory now (the sets are only mapped, and not counted)."""
    lines = Path("/proc/self/status").read_text("ascii").splitlines()
    return next(int(x.split()[1]) / 1024 for x in lines if x.startswith("RssAnon"))


def main() -> None:
    spec, every, folder, out, *names = sys.argv[1:]
    kind, _, path = spec.partition(":")
    before = time.perf_counter()
    reader = (
        vosk_reader(path) if kind == "vosk"
        else whisper_reader(path) if kind == "whisper"
        else pocketsphinx_reader()
    )  # fmt: skip
    load = time.perf_counter() - before
    heard: dict[str, list[str]] = {}
    work = seconds = 0.0
    for name in names:
        base = Path(folder) / name
        index = json.loads(base.with_suffix(".json").read_text("utf-8"))
        flat = np.load(base.with_suffix(".npy"), mmap_mode="r")
        at, texts = 0, []
        for i, (_, _, length) in enumerate(index):
            if i % int(every):
                at += length
                continue
            start = time.process_time()
            texts.append(reader(np.array(flat[at : at + length])))
            work += time.process_time() - start
            seconds += length / 16000
            at += length
        heard[name] = texts
    facts = {
        "load": load,
        "rtf": work / max(seconds, 1e-9),
        "resident_mb": resident(),
        "heard": heard,
    }
    Path(out).write_text(json.dumps(facts), encoding="utf-8")


if __name__ == "__main__":
    main()
