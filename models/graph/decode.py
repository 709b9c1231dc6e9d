"""Run libvosk over sounds: what was heard, how sure, how fast."""

from __future__ import annotations

import json
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray


@dataclass
class Heard:
    """One decoded sound."""

    words: list[dict[str, Any]]
    seconds: float
    """Seconds of work."""

    @property
    def text(self) -> str:
        return " ".join(w["word"] for w in self.words)


class Decoder:
    """A loaded model folder."""

    def __init__(self, folder: Path) -> None:
        import vosk

        vosk.SetLogLevel(-1)
        self.vosk = vosk
        start = time.perf_counter()
        self.model = vosk.Model(model_path=str(folder))
        self.load_seconds = time.perf_counter() - start

    def __call__(self, sound: NDArray[np.int16]) -> Heard:
        start = time.perf_counter()
        reader = self.vosk.KaldiRecognizer(self.model, 16000)
        reader.SetWords(True)
        data = sound.tobytes()
        words: list[dict[str, Any]] = []
        for at in range(0, len(data), 8000):
            if reader.AcceptWaveform(data[at : at + 8000]):
                words += json.loads(reader.Result()).get("result", [])
        words += json.loads(reader.FinalResult()).get("result", [])
        return Heard(words, time.perf_counter() - start)
