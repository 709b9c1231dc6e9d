"""The second reader in a process of its own: it is slow, it is low in rank, and it may be ended.

Nothing waits for it, a model that takes its process down takes nothing else down, and quitting
ends it in the middle of a note. Run as ``python -m fieldlog.speech.second_apart WEIGHTS`` it reads
one request a line (``{"sound": path, "names": [...]}``) and writes one answer a line.
"""

from __future__ import annotations

import contextlib
import json
import os
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any, Protocol

from fieldlog.core.words import Transcript
from fieldlog.errors import ModelDamaged, ModelMissing, SpeechError, UnreadableSound

if TYPE_CHECKING:
    from fieldlog.config import Settings
    from fieldlog.paths import Places

_NICENESS = 10
_KINDS = {"ModelMissing": ModelMissing, "ModelDamaged": ModelDamaged,
          "UnreadableSound": UnreadableSound}  # fmt: skip


class SecondReader(Protocol):
    """Reads whole finished notes, one after the other."""

    @property
    def reader(self) -> str:
        """Which reader and model; written into every word."""

    def read(self, sound: Path, names: Sequence[str] = ()) -> Transcript:
        """The words of a sound file, with times and confidences.

        Args:
            sound: the file.
            names: horses, owners and barns that may be named.

        Raises:
            UnreadableSound: the file is gone or damaged.
            SpeechError: the reader cannot be had, failed, or was closed meanwhile.
        """

    def close(self) -> None:
        """End it, also in the middle of a note and from another thread."""


def wanted(settings: Settings, places: Places) -> bool:
    """Whether a second reader is to be used here: not switched off, package and weights there.

    A folder named in the settings counts as there; if it is not, opening says so.
    """
    from fieldlog.speech.second_reader import available, weights_there

    there = bool(settings.second_model) or weights_there(places.cache)
    return settings.second_reader and there and available()


def open_second(settings: Settings, places: Places, folder: Path | None = None) -> ApartReader:
    """The second reader that the settings name; its model loads with the first note.

    Args:
        settings: the farrier's.
        places: whose cache.
        folder: weights asked for on the command line.

    Raises:
        ModelMissing: faster-whisper or the weights are not installed.
        ModelDamaged: the weights are not whole.
        SpeechError: the cache folder cannot take them.
    """
    from fieldlog.speech.second_reader import GET, available, find_weights

    if not available():
        raise ModelMissing("The second reader is not installed.", GET)
    chosen = folder or (Path(settings.second_model).expanduser() if settings.second_model else None)
    try:
        weights = find_weights(places.cache, chosen)
    except OSError as problem:
        raise SpeechError(
            f"The second reader's weights cannot be put into {places.cache}: {problem.strerror}.",
            "Make room there (150 MB are needed) and check its permissions.",
        ) from problem
    return ApartReader(weights)


def check(second: ApartReader) -> str:
    """Load the weights in their own process and let them read a second of silence.

    Returns:
        SHA-256 of ``model.bin``.

    Raises:
        ModelDamaged: they do not load, or are not what was put together.
        SpeechError: the process broke off.
    """
    import tempfile

    from fieldlog.sound.pcm import silence, write_wav
    from fieldlog.speech.second_reader import verify

    digest = verify(second.weights)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "silence.wav"
        write_wav(path, silence(1.0))
        second.read(path)
    return digest


class ApartReader:
    """A child process with Whisper in it; started with the first note, kept for the next ones."""

    def __init__(self, weights: Path, command: Sequence[str] | None = None) -> None:
        """Set up; nothing is started yet.

        Args:
            weights: from ``find_weights``.
            command: another program that speaks the same lines, for tests.
        """
        from fieldlog.speech.second_reader import reader_name

        self.weights = weights
        self._reader = reader_name(weights)
        self._command = list(
            command or (sys.executable, "-m", "fieldlog.speech.second_apart", str(weights))
        )
        self._child: subprocess.Popen[bytes] | None = None
        self._closed = False

    @property
    def reader(self) -> str:
        return self._reader

    def read(self, sound: Path, names: Sequence[str] = ()) -> Transcript:
        answer = self._ask({"sound": str(sound), "names": list(names)})
        if "error" in answer:
            kind = _KINDS.get(str(answer.get("kind")), SpeechError)
            raise kind(str(answer["error"]), str(answer.get("remedy", "")))
        return Transcript.from_dict(answer)

    def _ask(self, request: dict[str, Any]) -> dict[str, Any]:
        child = self._started()
        line = b""
        with contextlib.suppress(OSError, ValueError):
            _pipe(child.stdin).write(json.dumps(request).encode() + b"\n")
            _pipe(child.stdin).flush()
            line = _pipe(child.stdout).readline()
        if self._closed:
            raise SpeechError("The second reader was stopped.", "It goes on the next time.")
        try:
            answer = json.loads(line)
        except ValueError as problem:
            self._end()
            raise SpeechError(
                "The second reader broke off in the middle of a note.",
                "The first reader's words stay. “fieldlog models second” checks the second one.",
            ) from problem
        return dict(answer)

    def _started(self) -> subprocess.Popen[bytes]:
        if self._closed:
            raise SpeechError("The second reader was stopped.", "It goes on the next time.")
        if self._child is None or self._child.poll() is not None:
            self._end()
            # Nothing of it looks for a model on the network, whatever the library's defaults are.
            environment = {**os.environ, "HF_HUB_OFFLINE": "1"}
            environment.pop("PYTHONSTARTUP", None)
            try:
                self._child = subprocess.Popen(
                    self._command,
                    stdin=subprocess.PIPE,
                    stdout=subprocess.PIPE,
                    stderr=subprocess.DEVNULL,
                    env=environment,
                )
            except OSError as problem:
                raise SpeechError(
                    f"The second reader cannot be started: {problem.strerror}.",
                    "The first reader's words stay.",
                ) from problem
        return self._child

    def close(self) -> None:
        self._closed = True
        child = self._child
        if child is not None:
            child.kill()
            child.wait()

    def _end(self) -> None:
        child, self._child = self._child, None
        if child is None:
            return
        child.kill()
        child.wait()
        for pipe in (child.stdin, child.stdout):
            with contextlib.suppress(OSError):
                _pipe(pipe).close()


def _pipe(pipe: IO[bytes] | None) -> IO[bytes]:
    if pipe is None:
        raise ValueError("the child has no pipes")
    return pipe


def main() -> int:
    """Answer requests until standard input ends."""
    answers = os.fdopen(os.dup(1), "w", encoding="utf-8")
    os.dup2(2, 1)  # whatever libraries print must not get between the answers
    with contextlib.suppress(OSError, AttributeError):
        os.nice(_NICENESS)
    from fieldlog.errors import FieldlogError
    from fieldlog.sound.decode import sound_chunks
    from fieldlog.speech.recogniser import transcribe
    from fieldlog.speech.second_reader import WhisperRecogniser, prompt_with, verify

    weights = Path(sys.argv[1])
    model: WhisperRecogniser | None = None
    for line in sys.stdin:
        request = json.loads(line)
        try:
            if model is None:
                verify(weights)
                model = WhisperRecogniser(weights, threads=_threads())
            reader = model.fresh(prompt_with(request["names"]))
            answer = transcribe(reader, sound_chunks(Path(request["sound"]))).to_dict()
        except FieldlogError as problem:
            answer = {"error": problem.message, "remedy": problem.remedy,
                      "kind": type(problem).__name__}  # fmt: skip
        except Exception as problem:  # the library's own, e.g. too little memory
            answer = {"error": f"The second reader failed: {problem}.",
                      "remedy": "The first reader's words stay."}  # fmt: skip
        answers.write(json.dumps(answer) + "\n")
        answers.flush()
    return 0


def _threads() -> int:
    """Half of the processors: the farrier works on meanwhile."""
    return max(1, (os.cpu_count() or 2) // 2)


if __name__ == "__main__":
    sys.exit(main())
