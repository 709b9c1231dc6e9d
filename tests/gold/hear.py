"""Write the gold notes as the shipped model hears them: ``python -m tests.gold.hear test``.

Says each note with the synthetic voices of ``models/graph/voices.py`` (one voice per note, in
turn), reads the sound with real libvosk and keeps words and confidences, one note a line, in
``heard-SPLIT.jsonl``. Already heard notes are kept, so that it can be stopped and run again. The
words are kept as heard; ``tests.gold.evaluate`` mends them by the rules of the day.
Synthetic voices only: real people in a barn are heard worse.
"""

from __future__ import annotations

import importlib
import json
import sys
import tempfile
from pathlib import Path

from fieldlog.config import Settings
from fieldlog.paths import places as places_under
from fieldlog.speech.opening import open_recogniser
from fieldlog.speech.recogniser import transcribe
from tests.gold.annotation import HERE, read_notes

SHORTHAND = ("Petra", "Quill")
"""Styles that are typed, not spoken: marks and abbreviations that no voice says."""
VOICES = ("flite-slt", "flite-rms", "flite-awb")


def say(text: str, voice: str) -> bytes:
    """16 kHz mono PCM with half a second of quiet at both ends."""
    sys.path.insert(0, str(Path(__file__).parents[2] / "models" / "graph"))
    voices = importlib.import_module("voices")

    quiet = bytes(16000)
    return quiet + bytes(voices.say(text, voice).tobytes()) + quiet


def main(split: str) -> None:
    """Hear what is not yet heard of a split."""
    target = HERE / f"heard-{split}.jsonl"
    lines = target.read_text(encoding="utf-8").splitlines() if target.exists() else []
    done = {json.loads(line)["text"] for line in lines}
    with tempfile.TemporaryDirectory() as home, target.open("a", encoding="utf-8") as out:
        places = places_under(Path(home)).make()
        for number, note in enumerate(read_notes(split)):
            if note.text in done or note.style in SHORTHAND:
                continue
            voice = VOICES[number % len(VOICES)]
            sound = say(note.text, voice)
            pieces = (sound[at : at + 8000] for at in range(0, len(sound), 8000))
            words = transcribe(open_recogniser(Settings(), places), pieces).words
            heard = [
                [text, round(w.start, 2), round(w.end, 2), round(w.confidence, 3)]
                for w in words
                for text in (w.heard or w.text).split()
            ]
            row = {"text": note.text, "voice": voice, "words": heard}
            out.write(json.dumps(row) + "\n")
            out.flush()


if __name__ == "__main__":
    main(sys.argv[1] if len(sys.argv) > 1 else "test")
