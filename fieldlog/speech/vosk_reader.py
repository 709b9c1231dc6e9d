"""The real recogniser: libvosk 0.3.45 with a model folder, offline.

One loaded model serves the whole process; each note has its own recogniser. Sentences that Kaldi
cuts at pauses are only collected here: understanding runs on the joined note.
"""

from __future__ import annotations

import json
import threading
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Any

from fieldlog.core.words import Transcript, Word
from fieldlog.errors import ModelDamaged
from fieldlog.sound.pcm import BYTES_PER_SECOND, SAMPLE_RATE
from fieldlog.speech.models import SpeechModel
from fieldlog.speech.recogniser import check_fed
from fieldlog.speech.second_look import as_sure_as_both

Touch = Callable[[Sequence[Word]], list[Word]]
"""Something done to the words of a note after they were heard: names, words that sound alike."""

_SLICE = 8_000
"""Bytes handed to Kaldi at once (a quarter of a second): pauses are noticed between slices."""

_NOTHING = 2
"""Largest sample that counts as digital silence."""

_SKIP_AFTER = 15 * BYTES_PER_SECOND
"""Bytes of digital silence after which more of it is not read; longer than any pause."""

_RENEW_AFTER = 120 * BYTES_PER_SECOND
"""Bytes after which a pause brings a new Kaldi object. One object grew by 80 MB in half an hour
(tests/bench/bench_recognition.py); making one takes a millisecond."""

_TAIL = bytes(2 * BYTES_PER_SECOND)
"""Quiet at the end of a note, so that the first look comes to its last words."""

_KEEP_LOADED = 2
"""Models held in memory, the last used; each list of names makes one of its own (100 MB)."""

_LOADED: dict[Path, Any] = {}
_LOCK = threading.Lock()


class VoskRecogniser:
    """Reads one note. Not to be shared between threads."""

    def __init__(self, model: SpeechModel, after: Sequence[Touch] = ()) -> None:
        """Load the model, or take it if it is loaded already.

        Args:
            model: a folder that was examined and proven.
            after: applied in order to each lot of final words.

        Raises:
            ModelDamaged: libvosk refuses it.
        """
        self.model = model
        self._after = tuple(after)
        self._loaded = load(model)
        self._looks_twice = (model.path / "rnnlm").is_dir()
        self._kaldi = self._fresh()
        self._words: list[Word] = []
        self._bytes = 0
        self._base = 0
        """Bytes of the note that Kaldi's times do not count: read by its forerunner, or skipped."""
        self._since_fresh = 0
        self._quiet = 0
        self._skipping = False
        self._done: Transcript | None = None

    def _fresh(self) -> Any:
        import vosk

        try:
            kaldi = vosk.KaldiRecognizer(self._loaded, SAMPLE_RATE)
        except Exception as problem:
            raise _refused(self.model) from problem
        kaldi.SetWords(True)
        return kaldi

    @property
    def reader(self) -> str:
        return self.model.reader

    def feed(self, pcm: bytes) -> list[Word]:
        check_fed(pcm, self._done is not None)
        fresh: list[Word] = []
        for at in range(0, len(pcm), _SLICE):
            piece = pcm[at : at + _SLICE]
            self._bytes += len(piece)
            self._quiet = self._quiet + len(piece) if _is_nothing(piece) else 0
            if self._quiet > _SKIP_AFTER:
                if not self._skipping:
                    fresh += self._taken(last=True)
                self._skipping = True
                self._base += len(piece)
                continue
            self._skipping = False
            self._since_fresh += len(piece)
            if self._kaldi.AcceptWaveform(piece):
                fresh += self._at_a_pause()
        return fresh

    def _at_a_pause(self) -> list[Word]:
        """Words up to here; now and then with a new Kaldi object, for an old one grows."""
        if self._since_fresh < _RENEW_AFTER:
            return self._taken(last=False)
        words = self._taken(last=True)
        self._kaldi = self._fresh()
        self._base, self._since_fresh = self._bytes, 0
        return words

    def partial(self) -> str:
        if self._done is not None or not self._bytes:
            return ""
        return str(json.loads(self._kaldi.PartialResult()).get("partial", ""))

    def finish(self) -> Transcript:
        if self._done is None:
            if self._bytes:
                if self._looks_twice and not self._skipping:
                    self._kaldi.AcceptWaveform(_TAIL)
                self._taken(last=True)
            self._done = Transcript(tuple(self._words), self.reader, self._bytes / BYTES_PER_SECOND)
            del self._kaldi
        return self._done

    def _taken(self, last: bool) -> list[Word]:
        """The words of the stretch that ends here; after the ``last`` one Kaldi hears no more."""
        later = self._base / BYTES_PER_SECOND
        first = self._first_look(later) if self._looks_twice else []
        result = self._kaldi.FinalResult() if last else self._kaldi.Result()
        words = words_from(result, self.reader, later)
        if self._looks_twice:
            words = as_sure_as_both(words, first)
        for touch in self._after:
            words = touch(words)
        self._words += words
        return words

    def _first_look(self, later: float) -> list[Word]:
        """What the graph alone hears in the stretch that is about to end, but for its last bit."""
        self._kaldi.SetPartialWords(True)
        heard = json.loads(self._kaldi.PartialResult()).get("partial_result", [])
        self._kaldi.SetPartialWords(False)
        return _words(heard, self.reader, later)


def words_from(result: str, reader: str, later: float = 0.0) -> list[Word]:
    """The words of one of Kaldi's JSON results; there may be none at all.

    Times come with a jitter of a frame; they are kept in order and never negative. ``later`` is
    added to them, in seconds.
    """
    return _words(json.loads(result).get("result", ()), reader, later)


def _words(items: Iterable[dict[str, Any]], reader: str, later: float) -> list[Word]:
    words: list[Word] = []
    at = 0.0
    for item in items:
        start = max(at, float(item["start"]) + later)
        end = max(start, float(item["end"]) + later)
        confidence = min(1.0, max(0.0, float(item.get("conf", 1.0))))
        words.append(Word(str(item["word"]), start, end, confidence, reader=reader))
        at = start
    return words


def _is_nothing(piece: bytes) -> bool:
    """True for digital silence, as gated recorders and muted microphones write it."""
    samples = memoryview(piece).cast("h")
    return max(samples) <= _NOTHING and min(samples) >= -_NOTHING


def load(model: SpeechModel) -> Any:
    """The loaded ``vosk.Model``, shared by the whole process; takes seconds the first time.

    Raises:
        ModelDamaged: libvosk refuses it.
    """
    with _LOCK:
        loaded = _LOADED.pop(model.path, None)
        if loaded is None:
            import vosk

            vosk.SetLogLevel(-1)
            try:
                loaded = vosk.Model(model_path=str(model.path))
            except Exception as problem:
                raise _refused(model) from problem
        _LOADED[model.path] = loaded
        while len(_LOADED) > _KEEP_LOADED:
            del _LOADED[next(iter(_LOADED))]
        return loaded


def _refused(model: SpeechModel) -> ModelDamaged:
    return ModelDamaged(
        f"The speech model {model.name} does not load.",
        "Copy or fetch it again, or choose another model.",
    )
